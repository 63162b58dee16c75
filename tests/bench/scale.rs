//! Many cases: how much more two jobs get done than one, whether memory stays flat, and the lists.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::{BINARY, run, time};

/// Cases of the comparison of jobs.
const CASES: &str = "60";
const ROUNDS: usize = 3;

/// Prints throughput and peak memory. `UNGUIS_BENCH_CASES` says how many cases the lists are of.
pub(crate) fn measure(folder: &Path) {
    jobs(folder);
    println!();
    memory(folder);
    println!();
    lists(folder);
}

fn jobs(folder: &Path) {
    let cases = invented(folder, "jobs", CASES, false);
    let mut ratios = Vec::new();
    for round in 0..ROUNDS {
        let out = |jobs: &str| folder.join(format!("jobs-{round}-{jobs}")).to_string_lossy().into_owned();
        // One job is held to one processor, since it would write on the other.
        let one = time(|| issue(&cases, &out("1"), "1", has_taskset()));
        let two = time(|| issue(&cases, &out("2"), "2", false));
        ratios.push(one.as_secs_f64() / two.as_secs_f64());
        println!("{CASES} cases issued   one job {:6.2} s   two {:6.2} s", seconds(one), seconds(two));
    }
    ratios.sort_by(f64::total_cmp);
    println!("two jobs against one   median {:.2} times the throughput", ratios[ROUNDS / 2]);
    if !has_taskset() {
        println!("without `taskset`: one job had both processors");
    }
}

fn memory(folder: &Path) {
    for count in ["50", "250"] {
        let cases = invented(folder, &format!("memory-{count}"), count, false);
        for jobs in ["1", "2"] {
            let out = folder.join(format!("memory-{count}-{jobs}")).to_string_lossy().into_owned();
            let mut command = Command::new(BINARY);
            let command =
                command.args(["issue", &cases, "--today", "2026-11-25", "--jobs", jobs, "--out", &out]);
            println!("{count:>5} cases issued, {jobs} jobs   peak memory {}", said(peak(command)));
        }
    }
    let mut command = Command::new(BINARY);
    let out = folder.join("memory-one").to_string_lossy().into_owned();
    let pack = peak(command.args(["draft", crate::CASE, "--today", "2026-11-25", "--out", &out]));
    println!("a cold pack of four        peak memory {}", said(pack));
}

fn lists(folder: &Path) {
    let count = std::env::var("UNGUIS_BENCH_CASES").unwrap_or_else(|_| "10000".into());
    println!("inventing {count} cases for the lists");
    let cases = invented(folder, "lists", &count, true);
    let status = Command::new(BINARY).args(["dev", "lists", &cases, "--today", "2026-11-25"]).status();
    assert!(status.expect("the program starts").success(), "the lists failed");
}

fn invented(folder: &Path, name: &str, count: &str, is_a_year: bool) -> String {
    let cases = folder.join(format!("cases-{name}")).to_string_lossy().into_owned();
    let mut args = vec!["dev", "invent", &cases, "--count", count];
    args.extend(is_a_year.then_some("--year"));
    run(&args);
    cases
}

fn issue(cases: &str, out: &str, jobs: &str, is_held: bool) {
    let mut command = if is_held { Command::new("taskset") } else { Command::new(BINARY) };
    if is_held {
        command.args(["-c", "0", BINARY]);
    }
    let command = command.args(["issue", cases, "--today", "2026-11-25", "--jobs", jobs, "--out", out]);
    // Some invented cases have findings: that is no failure of the run.
    command.stdout(Stdio::null()).stderr(Stdio::null()).status().expect("the program starts");
}

fn has_taskset() -> bool {
    let mut command = Command::new("taskset");
    let command = command.args(["-c", "0", "true"]).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

/// The most memory that a process was seen to hold, in KiB. `None` where the system does not tell.
fn peak(command: &mut Command) -> Option<u64> {
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the program starts");
    let status = format!("/proc/{}/status", child.id());
    let mut most = None;
    // The system keeps the highest mark itself: the last look before the end is enough.
    while child.try_wait().expect("the process is ours").is_none() {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let seen = line.and_then(|line| line.trim().trim_end_matches("kB").trim().parse().ok());
        most = most.max(seen);
        std::thread::sleep(Duration::from_millis(2));
    }
    most
}

fn said(kib: Option<u64>) -> String {
    kib.map_or_else(|| "not known".to_owned(), |kib| format!("{} MiB", kib / 1024))
}

fn seconds(time: Duration) -> f64 {
    time.as_secs_f64()
}
