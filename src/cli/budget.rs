//! What a clinic's own templates may take: time for a document, and memory for the run. A template can go round
//! in circles or fill the memory, by a slip or on purpose; nothing inside Typst would end that.
//!
//! It watches and ends the process, which leaves whatever was written whole. It does not know what is made.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::cli::{Exit, io};
use crate::pipeline::Watch;

/// For one document. The longest of the demo cases takes a tenth of a second on a slow computer.
const SECONDS: u64 = 30;
/// For the run itself, and for each case that is worked on at once: a document of many pages takes 60.
const MEMORY_MIB: u64 = 600;
const MEMORY_OF_A_JOB_MIB: u64 = 150;
/// Between two looks: a template fills memory at some gigabytes a second.
const LOOK: Duration = Duration::from_millis(20);

/// The budget of a run.
#[derive(Debug)]
pub(super) struct Budget {
    time: Duration,
    memory_mib: u64,
    made: Mutex<Made>,
}

/// What is being made, by number, and how many there were.
#[derive(Debug, Default)]
struct Made {
    count: u64,
    now: BTreeMap<u64, (&'static str, Instant)>,
}

impl Budget {
    /// Watches over a run of so many jobs from now on.
    pub(super) fn watching(jobs: usize) -> Arc<Budget> {
        let memory_mib = MEMORY_MIB + MEMORY_OF_A_JOB_MIB * jobs as u64;
        let budget = Arc::new(Budget::new(Duration::from_secs(SECONDS), memory_mib));
        let watched = Arc::downgrade(&budget);
        let watch = move || {
            while let Some(budget) = watched.upgrade() {
                if let Some(says) = budget.exceeded(Instant::now(), io::memory_mib()) {
                    io::end_at_once(Exit::Failure, &says);
                }
                drop(budget);
                std::thread::sleep(LOOK);
            }
        };
        // Where no thread can be started nothing can be set either, and that is said.
        drop(std::thread::Builder::new().spawn(watch));
        budget
    }

    fn new(time: Duration, memory_mib: u64) -> Budget {
        Budget { time, memory_mib, made: Mutex::default() }
    }

    /// Why the run is ended, if it is.
    fn exceeded(&self, now: Instant, memory_mib: Option<u64>) -> Option<String> {
        let made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        let longest = made.now.values().min_by_key(|(_, since)| *since)?;
        let (document, since) = *longest;
        let what = if memory_mib.is_some_and(|held| held > self.memory_mib) {
            format!("takes more than {} MiB of memory", self.memory_mib)
        } else if now.saturating_duration_since(since) > self.time {
            format!("is not set after {} seconds", self.time.as_secs())
        } else {
            return None;
        };
        Some(format!(
            "error: with these templates the {document} {what}: the run was ended, and what was issued before is whole\n  \
             help: look for a loop that has no end, or a very long one, in the templates; `unguis check-templates` tries \
             them\n"
        ))
    }
}

impl Watch for Budget {
    fn begins(&self, document: &'static str) -> u64 {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.count += 1;
        let number = made.count;
        made.now.insert(number, (document, Instant::now()));
        number
    }

    fn ends(&self, number: u64) {
        self.made.lock().unwrap_or_else(PoisonError::into_inner).now.remove(&number);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_counts_for_each_document_and_memory_for_all() {
        let budget = Budget::new(Duration::from_secs(30), 900);
        let now = Instant::now();
        let later = |seconds| now + Duration::from_secs(seconds);
        assert_eq!(budget.exceeded(later(3600), Some(5000)), None, "nothing is being made");
        let letter = budget.begins("gp-letter");
        assert_eq!(budget.exceeded(later(29), Some(900)), None);
        let said = budget.exceeded(later(32), Some(900)).expect("too long");
        assert!(said.contains("the gp-letter is not set after 30 seconds"), "{said}");
        let said = budget.exceeded(later(0), Some(901)).expect("too much");
        assert!(said.contains("the gp-letter takes more than 900 MiB"), "{said}");
        assert_eq!(budget.exceeded(later(0), None), None, "where it is not told");
        budget.ends(letter);
        assert_eq!(budget.exceeded(later(3600), Some(5000)), None);
    }
}
