//! Threads that typeset.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::STACK;

/// Makes the parallel steps of Typst run in the thread that asks for them: with work in every thread they
/// would only wait for each other.
pub(crate) fn calculate_alone() {
    // Failing that, the pool of all threads is used, which is slower and no less right.
    drop(rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build());
}

/// What is made of each item, in their order, by so many threads, this one among them.
///
/// # Panics
/// Where the work does.
pub(crate) fn each<T: Sync, R: Send>(items: &[T], threads: usize, work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let more = threads.min(items.len()).saturating_sub(1);
    if more == 0 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let work_through = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, work(item)));
        }
    };
    let mut made = std::thread::scope(|scope| {
        let alone = || {
            calculate_alone();
            work_through()
        };
        // Where a thread cannot be started, the others do its work.
        let start = || std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, alone).ok();
        let workers: Vec<_> = (0..more).filter_map(|_| start()).collect();
        let mut made = work_through();
        for worker in workers {
            match worker.join() {
                Ok(theirs) => made.extend(theirs),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        made
    });
    made.sort_unstable_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_item_is_worked_on_once_and_stays_in_its_place() {
        let items: Vec<usize> = (0..100).collect();
        for threads in [0, 1, 2, 7, 200] {
            let seen = AtomicUsize::new(0);
            let made = each(&items, threads, |item| {
                seen.fetch_add(1, Ordering::Relaxed);
                item * 2
            });
            assert_eq!(made, items.iter().map(|item| item * 2).collect::<Vec<_>>(), "{threads}");
            assert_eq!(seen.into_inner(), 100, "{threads}");
        }
        assert!(each(&[] as &[u8], 4, |item| *item).is_empty());
    }

    #[test]
    fn work_that_breaks_breaks_all() {
        let broken = std::panic::catch_unwind(|| each(&[1, 2, 3], 3, |item| assert!(*item != 2)));
        assert!(broken.is_err());
    }
}
