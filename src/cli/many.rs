//! Many cases in one run: a queue, one or more threads, output in the order of the input.
//!
//! Knows nothing of what is done with a case. One bad case never stops the others; Ctrl-C stops
//! between two documents, and what is done by then is whole.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::sync::{Condvar, Mutex, OnceLock, PoisonError};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde_json::Value;

use crate::cli::{Error, Exit, error, io};
use crate::typeset::{STACK, calculate_alone, each};
use crate::words::Count;

/// What one case came to.
#[derive(Debug)]
pub(super) struct Outcome {
    /// The exit status it asks for.
    pub(super) exit: Exit,
    /// One word for the summary: `issued`, `unchanged`, `refused`.
    pub(super) word: &'static str,
    /// What to print on standard output.
    pub(super) stdout: String,
    /// What to print on standard error.
    pub(super) stderr: String,
    /// What the command collects from all cases.
    pub(super) json: Option<Value>,
}

impl Default for Outcome {
    fn default() -> Outcome {
        Outcome { exit: Exit::Done, word: "done", stdout: String::new(), stderr: String::new(), json: None }
    }
}

/// What the whole run came to.
#[derive(Debug)]
pub(super) struct Run {
    /// The gravest exit status.
    pub(super) exit: Exit,
    /// One line: `12 cases: 10 issued, 1 unchanged, 1 refused`.
    pub(super) summary: String,
    /// Each case in the order of the input; its printed text is gone by now.
    pub(super) reports: Vec<Outcome>,
}

/// Works on every case named (a folder stands for the cases in it) and prints each one's text in
/// the order of the input, as soon as it can. `jobs` of them calculate at once; while one waits for
/// the disk, another has its turn.
///
/// # Errors
/// A name that is not there. A failure inside a case is printed and counted, not returned.
pub(super) fn over_cases(
    named: &[PathBuf],
    jobs: Option<u16>,
    work: impl Fn(&Path, Turn<'_>) -> Result<Outcome, Error> + Sync,
) -> Result<Run, Error> {
    let cases = io::case_files(named)?;
    let jobs = jobs.map_or_else(io::processors, usize::from);
    let gate = Gate::new(jobs);
    // Where there are fewer cases than processors, the documents of one are made side by side.
    let threads = (jobs / cases.len().max(1)).max(1);
    let stop = stop_on_signal();
    let bar = progress(cases.len());
    let next = AtomicUsize::new(0);
    let (send, receive) = mpsc::channel();
    let mut reports = Vec::with_capacity(cases.len());
    std::thread::scope(|scope| {
        for _ in 0..(jobs * 2).clamp(1, cases.len().max(1)) {
            let (send, cases, next, gate, work) = (send.clone(), &cases, &next, &gate, &work);
            let worker = move || {
                calculate_alone();
                while !stop.load(Ordering::Relaxed) {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    let Some(case) = cases.get(at) else { break };
                    // The receiver outlives the workers.
                    let _ = send.send((
                        at,
                        guarded(case, || work(case, Turn { _pass: gate.enter(), stop, threads })),
                    ));
                }
            };
            let started = std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, worker);
            if started.is_err() {
                break;
            }
        }
        drop(send);
        print_in_order(&receive, &bar, &mut reports);
    });
    bar.finish_and_clear();
    let left = cases.len() - reports.len();
    let stopped = left > 0 && stop.load(Ordering::Relaxed);
    let exit = reports.iter().map(|report| report.exit).max().unwrap_or(Exit::Done);
    let exit = if left > 0 { exit.max(Exit::Failure) } else { exit };
    Ok(Run { exit, summary: summary(&reports, left, stopped), reports })
}

/// The first signal asks the workers to stop after the document in hand, which takes a fraction of a
/// second; nothing is cut short. The second ends the process where it stands, for a document that has no end:
/// what was written is whole.
fn stop_on_signal() -> &'static AtomicBool {
    static STOP: AtomicBool = AtomicBool::new(false);
    static HANDLER: OnceLock<()> = OnceLock::new();
    HANDLER.get_or_init(|| {
        // Without a handler the signal ends the process at once, which loses nothing that was issued.
        let _ = ctrlc::set_handler(|| {
            if STOP.swap(true, Ordering::Relaxed) {
                io::end_at_once(Exit::Failure, "stopped at once; what was issued before is whole\n");
            }
        });
    });
    &STOP
}

/// A case's turn to calculate. Whoever goes on to write drops it first.
pub(super) struct Turn<'a> {
    _pass: Pass<'a>,
    stop: &'a AtomicBool,
    /// How many documents of the case may be made at once.
    pub(super) threads: usize,
}

impl Turn<'_> {
    /// Asked before each document.
    ///
    /// # Errors
    /// The run is to stop.
    pub(super) fn go_on(&self) -> Result<(), Error> {
        if self.stop.load(Ordering::Relaxed) { Err(Error::Stopped) } else { Ok(()) }
    }
}

/// Lets so many threads calculate at once, so that others may wait for the disk meanwhile without
/// a processor standing idle.
#[derive(Debug)]
struct Gate {
    free: Mutex<usize>,
    freed: Condvar,
}

/// A place behind the gate, given back when dropped.
struct Pass<'a>(&'a Gate);

impl Gate {
    /// A gate with so many places.
    fn new(places: usize) -> Gate {
        Gate { free: Mutex::new(places.max(1)), freed: Condvar::new() }
    }

    /// Waits for a place.
    fn enter(&self) -> Pass<'_> {
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut free = self.freed.wait_while(free, |free| *free == 0).unwrap_or_else(PoisonError::into_inner);
        *free -= 1;
        Pass(self)
    }
}

impl Drop for Pass<'_> {
    fn drop(&mut self) {
        *self.0.free.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        self.0.freed.notify_one();
    }
}

/// A panic in one case is that case's outcome. What it said may hold a name and is not printed.
fn guarded(case: &Path, work: impl FnOnce() -> Result<Outcome, Error>) -> Outcome {
    let result = catch_unwind(AssertUnwindSafe(work));
    match result.unwrap_or_else(|_| Err(Error::Broke(case.to_owned()))) {
        Ok(outcome) => outcome,
        Err(problem) => failed(case, &problem),
    }
}

/// What a case came to that could not be worked on.
pub(super) fn failed(case: &Path, problem: &Error) -> Outcome {
    match problem {
        Error::Stopped => Outcome { exit: Exit::Failure, word: "given up", ..Outcome::default() },
        problem => Outcome {
            exit: problem.exit(),
            word: "failed",
            stderr: format!("{}: {}", case.display(), error::chain(problem)),
            ..Outcome::default()
        },
    }
}

/// Something from every case, in their order, from several threads. `None` for a case of which it could
/// not be had.
pub(super) fn gather<T: Send>(
    cases: &[PathBuf],
    jobs: Option<u16>,
    work: impl Fn(&Path) -> Option<T> + Sync,
) -> Vec<Option<T>> {
    let threads = jobs.map_or_else(io::processors, usize::from);
    // What breaks here breaks again when the case has its turn, and is said then.
    each(cases, threads, |case| catch_unwind(AssertUnwindSafe(|| work(case))).unwrap_or(None))
}

/// Holds back what comes early until those before it are printed.
fn print_in_order(receive: &mpsc::Receiver<(usize, Outcome)>, bar: &ProgressBar, reports: &mut Vec<Outcome>) {
    let mut early = BTreeMap::new();
    for (at, outcome) in receive {
        early.insert(at, outcome);
        while let Some(mut outcome) = early.remove(&reports.len()) {
            let (stdout, stderr) = (std::mem::take(&mut outcome.stdout), std::mem::take(&mut outcome.stderr));
            if !(stdout.is_empty() && stderr.is_empty()) {
                bar.suspend(|| {
                    io::print(&stdout);
                    io::eprint(&stderr);
                });
            }
            reports.push(outcome);
            bar.inc(1);
        }
    }
}

/// A bar for several cases on a terminal, and nothing anywhere else. It names no case.
fn progress(cases: usize) -> ProgressBar {
    if cases < 2 || !io::has_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(cases as u64), ProgressDrawTarget::stderr_with_hz(10));
    let style = ProgressStyle::with_template("{bar:30} {pos}/{len} cases, {eta} left");
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

fn summary(reports: &[Outcome], left: usize, stopped: bool) -> String {
    let mut words: Vec<(&str, usize)> = Vec::new();
    for report in reports {
        match words.iter_mut().find(|(word, _)| *word == report.word) {
            Some((_, count)) => *count += 1,
            None => words.push((report.word, 1)),
        }
    }
    words.sort_by_key(|(word, count)| (std::cmp::Reverse(*count), *word));
    let mut parts: Vec<String> = words.iter().map(|(word, count)| format!("{count} {word}")).collect();
    if left > 0 {
        let why = if stopped { "stopped by you" } else { "no thread could be started" };
        parts.push(format!("{left} not begun ({why})"));
    }
    format!("{}: {}\n", Count(reports.len() + left, "case"), parts.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cases(count: usize) -> (tempfile::TempDir, Vec<PathBuf>) {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        for at in 0..count {
            io::write_new(&dir.path().join(format!("{at:02}.yaml")), b"").expect("written");
        }
        let named = vec![dir.path().to_owned()];
        (dir, named)
    }

    fn word_of(path: &Path, _turn: Turn<'_>) -> Result<Outcome, Error> {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        match name.as_str() {
            "03.yaml" => Err(Error::Usage("bad".into())),
            "05.yaml" => Ok(Outcome { exit: Exit::Findings, word: "refused", ..Outcome::default() }),
            _ => Ok(Outcome { word: "issued", json: Some(name.into()), ..Outcome::default() }),
        }
    }

    #[test]
    fn one_bad_case_does_not_stop_the_others_and_order_is_kept() {
        let (_dir, named) = cases(12);
        for jobs in [1, 2, 7] {
            let run = over_cases(&named, Some(jobs), word_of).expect("the folder is there");
            assert_eq!(run.summary, "12 cases: 10 issued, 1 failed, 1 refused\n");
            assert_eq!(run.exit, Exit::Failure);
            let order: Vec<&str> =
                run.reports.iter().filter_map(|report| report.json.as_ref()?.as_str()).collect();
            assert!(order.is_sorted() && order.len() == 10, "{order:?}");
        }
    }

    #[test]
    fn what_is_gathered_keeps_its_order() {
        let cases: Vec<PathBuf> = (0..50).map(|at| PathBuf::from(format!("{at:02}"))).collect();
        for jobs in [1, 3] {
            let found = gather(&cases, Some(jobs), |case| match case.to_str() {
                Some("07") => panic!("broken"),
                Some("08") => None,
                other => other.map(str::to_owned),
            });
            let names: Vec<String> = found.iter().flatten().cloned().collect();
            assert!(names.len() == 48 && names.is_sorted() && found[7].is_none() && found[8].is_none());
        }
    }

    #[test]
    fn a_panic_is_one_cases_fault_and_says_nothing_of_it() {
        let outcome = guarded(Path::new("a.yaml"), || panic!("Imogen Hollis"));
        assert_eq!((outcome.exit, outcome.word), (Exit::Fault, "failed"));
        assert!(
            outcome.stderr.starts_with("a.yaml: error: unguis broke") && !outcome.stderr.contains("Hollis")
        );
    }

    #[test]
    fn a_case_that_is_asked_to_stop_is_given_up_between_two_documents() {
        let (gate, stop) = (Gate::new(1), AtomicBool::new(false));
        let mut made = 0;
        let outcome = guarded(Path::new("a.yaml"), || {
            let turn = Turn { _pass: gate.enter(), stop: &stop, threads: 1 };
            for _ in 0..4 {
                turn.go_on()?;
                made += 1;
                stop.store(made == 2, Ordering::Relaxed);
            }
            Ok(Outcome::default())
        });
        assert_eq!((made, outcome.exit, outcome.word), (2, Exit::Failure, "given up"));
        assert_eq!(summary(&[outcome], 3, true), "4 cases: 1 given up, 3 not begun (stopped by you)\n");
    }

    #[test]
    fn a_gate_lets_so_many_in_and_a_panic_gives_its_place_back() {
        let gate = Gate::new(2);
        let (inside, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    let _pass = gate.enter();
                    most.fetch_max(inside.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                    std::thread::yield_now();
                    inside.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
        assert!((1..=2).contains(&most.load(Ordering::SeqCst)), "{most:?}");
        let broken = catch_unwind(AssertUnwindSafe(|| {
            let _pass = gate.enter();
            panic!("broken");
        }));
        assert!(broken.is_err());
        let both = (gate.enter(), gate.enter());
        drop(both);
    }

    #[test]
    fn the_summary_counts_what_was_not_begun() {
        assert_eq!(summary(&[Outcome::default()], 0, false), "1 case: 1 done\n");
        assert_eq!(
            summary(&[Outcome::default()], 2, true),
            "3 cases: 1 done, 2 not begun (stopped by you)\n"
        );
    }
}
