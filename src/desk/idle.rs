//! Whether anybody still sits there. Pure: the time comes in.

use std::time::{Duration, Instant};

/// After so long without use the address is no longer good.
pub(super) const LOCKED_AFTER: Duration = Duration::from_secs(10 * 60);

/// When the desk was last used.
#[derive(Debug, Clone, Copy)]
pub(super) struct Idle(Instant);

impl Idle {
    /// Used just now.
    pub(super) fn since(now: Instant) -> Idle {
        Idle(now)
    }

    /// Nobody has used it for too long.
    pub(super) fn is_over(self, now: Instant) -> bool {
        now.saturating_duration_since(self.0) >= LOCKED_AFTER
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_minutes_are_the_limit() {
        let now = Instant::now();
        let idle = Idle::since(now);
        assert!(!idle.is_over(now + Duration::from_secs(599)));
        assert!(idle.is_over(now + Duration::from_secs(600)));
        assert!(!Idle::since(now + Duration::from_secs(599)).is_over(now + Duration::from_secs(1198)));
    }
}
