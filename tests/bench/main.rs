//! `cargo bench`: how long a cold pack of four and a warm document take, beside general tools where they
//! are there, how much of that is not Typst's, and how many cases and jobs scale.
//!
//! Not a test: it judges nothing and asserts no time. Machines are noisy, so it prints minimum and
//! median of many runs, and the ratio of whole process to an empty run of the same binary.

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]
#![expect(clippy::float_arithmetic, reason = "times, not doses")]

mod direct;
mod pairs;
mod scale;

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const BINARY: &str = env!("CARGO_BIN_EXE_unguis");
const CASE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/routine-adult.yaml");

fn main() {
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let folder = out.path().to_string_lossy().into_owned();
    let empty = measure(40, || run(&["--version"]));
    let cold = measure(40, || run(&["draft", CASE, "--today", "2026-11-25", "--out", &folder]));
    report("start and end of the program", &empty);
    report("cold pack of four, whole process", &cold);
    println!();
    pairs::compare(&folder);
    println!();
    // The split of a cold pack and of a warm document is measured inside one process.
    let status = Command::new(BINARY)
        .args(["dev", "times", CASE, "--today", "2026-11-25"])
        .status()
        .expect("the program starts");
    assert!(status.success(), "the warm run failed");
    println!();
    direct::compare();
    println!();
    scale::measure(out.path());
}

fn run(args: &[&str]) {
    let status = Command::new(BINARY)
        .args(args)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the program starts");
    assert!(status.success(), "{args:?} failed");
}

/// Sorted times of so many runs, after two that are not counted.
fn measure(runs: usize, mut work: impl FnMut()) -> Vec<Duration> {
    work();
    work();
    let mut times: Vec<Duration> = (0..runs).map(|_| time(&mut work)).collect();
    times.sort();
    times
}

fn time(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn report(what: &str, times: &[Duration]) {
    let milliseconds = |time: Duration| time.as_secs_f64() * 1000.0;
    let (least, median) = (milliseconds(times[0]), milliseconds(times[times.len() / 2]));
    println!("{what:34} least {least:7.1} ms   median {median:7.1} ms   of {} runs", times.len());
}
