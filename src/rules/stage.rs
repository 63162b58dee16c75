//! How far a case has come: what several topics ask.
//!
//! An assessment without a plan may record anything. Once surgery is planned, gaps and risks count.

use crate::facts::Facts;

/// Where surgery is written, with a phrase: the operation if there was one, else the plan.
pub(super) fn surgery(facts: &Facts) -> Option<(&'static str, String)> {
    match (&facts.case.operation, &facts.case.plan) {
        (Some(operation), _) => {
            Some(("operation.date", format!("operated on {}", operation.date.clinical())))
        }
        (None, Some(_)) => Some(("plan", "surgery is planned".to_owned())),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn the_operation_counts_before_the_plan() {
        let place =
            |fragment: &str| surgery(&facts_of(fragment)).map(|(path, label)| format!("{path}: {label}"));
        assert_eq!(place("").as_deref(), Some("operation.date: operated on 24-Nov-2026"));
        assert_eq!(place("operation: ~").as_deref(), Some("plan: surgery is planned"));
        assert_eq!(place("{operation: ~, plan: ~}"), None);
    }
}
