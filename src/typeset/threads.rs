//! Threads that typeset.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

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
    let next = AtomicUsize::new(0);
    let work_through = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, work(item)));
        }
    };
    in_order(in_threads(threads.min(items.len()), work_through))
}

/// As [`each`], in two steps. Whoever is free takes the first step of an item, in their order; where all are
/// taken, the second step of one whose first is done. So the small second steps fill what the large first ones
/// leave free.
///
/// # Panics
/// Where the work does.
pub(crate) fn each_in_two<T: Sync, M: Send, R: Send>(
    items: &[T],
    threads: usize,
    first: impl Fn(&T) -> M + Sync,
    second: impl Fn(&T, M) -> R + Sync,
) -> Vec<R> {
    let steps = Steps {
        queue: Mutex::new(Queue { next: 0, begun: 0, half: VecDeque::new() }),
        moved: Condvar::new(),
    };
    let work_through = || {
        let mut made = Vec::new();
        let mut queue = steps.queue();
        loop {
            if let Some(item) = items.get(queue.next) {
                let at = queue.next;
                (queue.next, queue.begun) = (at + 1, queue.begun + 1);
                drop(queue);
                let _begun = Begun(&steps);
                let half = first(item);
                steps.queue().half.push_back((at, half));
            } else if let Some((at, half)) = queue.half.pop_front() {
                drop(queue);
                made.push((at, second(&items[at], half)));
            } else if queue.begun == 0 {
                return made;
            } else {
                drop(steps.moved.wait(queue));
            }
            queue = steps.queue();
        }
    };
    in_order(in_threads(threads.min(items.len()), work_through))
}

/// The steps of [`each_in_two`].
struct Steps<M> {
    queue: Mutex<Queue<M>>,
    moved: Condvar,
}

impl<M> Steps<M> {
    fn queue(&self) -> MutexGuard<'_, Queue<M>> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

struct Queue<M> {
    /// The first item that nobody has taken.
    next: usize,
    /// How many first steps somebody is at.
    begun: usize,
    /// What came of those that are done, with the place of the item.
    half: VecDeque<(usize, M)>,
}

/// A first step somebody is at: it ends, also where the work breaks, and those who wait are told.
struct Begun<'a, M>(&'a Steps<M>);

impl<M> Drop for Begun<'_, M> {
    fn drop(&mut self) {
        self.0.queue().begun -= 1;
        self.0.moved.notify_all();
    }
}

fn in_order<R>(mut made: Vec<(usize, R)>) -> Vec<R> {
    made.sort_unstable_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, made)| made).collect()
}

/// What so many threads, this one among them, made together.
fn in_threads<R: Send>(threads: usize, work_through: impl Fn() -> Vec<R> + Sync) -> Vec<R> {
    let more = threads.saturating_sub(1);
    if more == 0 {
        return work_through();
    }
    std::thread::scope(|scope| {
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
    })
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
    fn both_steps_of_every_item_are_done_once_and_stay_in_their_place() {
        let items: Vec<usize> = (0..100).collect();
        for threads in [0, 1, 2, 7, 200] {
            let seen = AtomicUsize::new(0);
            let first = |item: &usize| {
                seen.fetch_add(1, Ordering::Relaxed);
                item * 2
            };
            let made = each_in_two(&items, threads, first, |item, half| {
                assert_eq!(half, item * 2);
                seen.fetch_add(1, Ordering::Relaxed);
                half + 1
            });
            assert_eq!(made, items.iter().map(|item| item * 2 + 1).collect::<Vec<_>>(), "{threads}");
            assert_eq!(seen.into_inner(), 200, "{threads}");
        }
    }

    #[test]
    fn work_that_breaks_breaks_all() {
        let broken = std::panic::catch_unwind(|| each(&[1, 2, 3], 3, |item| assert!(*item != 2)));
        assert!(broken.is_err());
        let at_first = |at: i32| {
            move || {
                each_in_two(
                    &[1, 2, 3],
                    3,
                    |item| assert!(at == 2 || *item != 2),
                    |item, ()| assert!(*item != at),
                )
            }
        };
        assert!(std::panic::catch_unwind(at_first(0)).is_err());
        assert!(std::panic::catch_unwind(at_first(2)).is_err());
    }
}
