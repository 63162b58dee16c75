//! What goes wrong around the program: kills, full and read-only disks, folders that vanish, two
//! runs at once. Afterwards every registered file is whole, and a second run completes the work.

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::support::{Ran, clinic, root, unguis_in};

const PROGRAM: &str = env!("CARGO_BIN_EXE_unguis");
const ISSUE: [&str; 4] = ["issue", "cases", "--today", "2026-11-25"];

fn start(folder: &Path) -> Child {
    Command::new(PROGRAM)
        .args(ISSUE)
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts")
}

/// The program under a shell's limits.
fn limited(folder: &Path, limits: &str, args: &[&str]) -> Ran {
    let script = format!("{limits}; exec \"$0\" \"$@\"");
    let output = Command::new("sh")
        .args(["-c", &script, PROGRAM])
        .args(args)
        .current_dir(folder)
        .output()
        .expect("a shell starts");
    Ran {
        stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
        code: output.status.code().unwrap_or(-1),
    }
}

/// How far a run has come: files and folders below `out`, and bytes of the register.
fn progress(out: &Path) -> usize {
    let below =
        |dir: &Path| fs::read_dir(dir).map(|entries| entries.flatten().map(|entry| entry.path()).collect());
    let Ok(top): Result<Vec<_>, _> = below(out) else { return 0 };
    let inside: usize = top.iter().map(|path| below(path).map_or(0, |found: Vec<_>| found.len())).sum();
    let lines =
        fs::read(out.join("register.jsonl")).map_or(0, |text| text.iter().filter(|b| **b == b'\n').count());
    top.len() + inside + lines
}

/// Waits until something has come about or the run has ended. A run that does neither hangs: it is killed
/// and the test fails, rather than waiting for ever.
fn wait_until(child: &mut Child, has_come: impl Fn() -> bool) {
    let began = Instant::now();
    while !has_come() && child.try_wait().expect("a child can be asked").is_none() {
        if began.elapsed() > Duration::from_secs(60) {
            child.kill().expect("a child can be killed");
            panic!("the run hangs");
        }
    }
}

/// Reading never fails, and no registered file is harmed, whatever else is half done.
fn assert_nothing_is_lost(folder: &Path, when: &str) {
    if !folder.join("out/register.jsonl").exists() {
        return;
    }
    let ran = unguis_in(folder, ["verify", "--format", "json"]);
    assert!(ran.code == 0 || ran.code == 1, "{when}: {}", ran.stderr);
    let verdict: Value = serde_json::from_str(&ran.stdout).expect("verify prints JSON");
    let harmless = ["line-cut-short", "leftover", "unregistered"];
    for mismatch in verdict["mismatches"].as_array().expect("a list") {
        let kind = mismatch["kind"].as_str().unwrap_or_default();
        assert!(harmless.contains(&kind), "{when}: {mismatch}");
    }
}

/// A second run completes the work: every case issued once, everything as issued.
fn assert_completed(folder: &Path, cases: usize, when: &str) {
    let ran = unguis_in(folder, ISSUE);
    assert_eq!(ran.code, 0, "{when}: {}", ran.stderr);
    let ran = unguis_in(folder, ["verify", "--format", "json"]);
    let verdict: Value = serde_json::from_str(&ran.stdout).expect("verify prints JSON");
    assert_eq!((ran.code, &verdict["whole"]), (0, &(cases * 8).into()), "{when}: {verdict}");
    assert_eq!(verdict["mismatches"], serde_json::json!([]), "{when}");
    let register = fs::read_to_string(folder.join("out/register.jsonl")).expect("written");
    assert_eq!(register.lines().count(), cases * 4, "{when}: each document once");
}

#[test]
fn killed_at_any_point_nothing_is_lost_and_a_second_run_completes() {
    // Two cases: lock, register, two folders, sixteen files with their temporary names, eight lines.
    let mut killed = 0;
    for point in 0..30 {
        let folder = clinic(2);
        let out = folder.path().join("out");
        let mut child = start(folder.path());
        wait_until(&mut child, || progress(&out) >= point);
        // A different moment between two steps each time.
        let wait = Duration::from_micros((point as u64 * 137) % 900);
        let now = Instant::now();
        while now.elapsed() < wait {
            std::hint::spin_loop();
        }
        // SIGKILL: nothing can be tidied up.
        child.kill().expect("a child can be killed");
        let ended = child.wait().expect("a child can be waited for");
        killed += usize::from(!ended.success());
        assert_nothing_is_lost(folder.path(), &format!("killed at {point}"));
        assert_completed(folder.path(), 2, &format!("killed at {point}"));
    }
    assert!(killed >= 15, "only {killed} of 30 runs were killed before they ended");
}

#[test]
fn a_full_disk_is_said_and_harms_nothing() {
    // A file larger than so many blocks cannot be written; the error reaches the program.
    for blocks in [0, 1, 20, 60, 100] {
        let folder = clinic(1);
        let limits = format!("trap '' XFSZ; ulimit -f {blocks}");
        let ran = limited(folder.path(), &limits, &ISSUE);
        assert_eq!(ran.code, 2, "{blocks}: {}{}", ran.stdout, ran.stderr);
        assert!(ran.stderr.contains("could not write `out/"), "{blocks}: {}", ran.stderr);
        assert!(ran.stderr.contains("help: make room"), "{blocks}: {}", ran.stderr);
        assert_nothing_is_lost(folder.path(), "full disk");
        assert_completed(folder.path(), 1, "full disk");
    }
}

#[test]
fn a_register_that_cannot_grow_is_cut_back_or_mended() {
    // With the signal ignored the write fails half way; without, it kills the process there. So many
    // blocks of 512 bytes beyond what the register has already.
    for (ignored, more) in [("trap '' XFSZ; ", 1), ("", 1), ("", 2)] {
        let folder = clinic(1);
        assert_completed(folder.path(), 1, "before");
        let length = fs::metadata(folder.path().join("out/register.jsonl")).expect("written").len();
        let limits = &format!("{ignored}ulimit -f {}", length / 512 + more);
        // What went on one day is entered once.
        let sent = |day: usize| {
            ["sent", "LFC-0200", "gp-letter", "--to", "gp", "--today", "2026-12-31", "--on"]
                .map(str::to_owned)
                .into_iter()
                .chain([format!("2026-12-{:02}", day + 1)])
        };
        let mut outcomes = Vec::new();
        for day in 0..12 {
            let args: Vec<String> = sent(day).collect();
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            outcomes.push(limited(folder.path(), limits, &args).code);
            assert_nothing_is_lost(folder.path(), limits);
        }
        assert!(outcomes.iter().any(|code| *code != 0), "{limits}: the limit was never met: {outcomes:?}");
        let ran = unguis_in(folder.path(), sent(20));
        assert_eq!(ran.code, 0, "{limits}: {}", ran.stderr);
        let ran = unguis_in(folder.path(), ["verify"]);
        assert_eq!(ran.code, 0, "{limits}: {}", ran.stdout);
    }
}

/// Root may write anywhere, so then the program is run as nobody.
#[test]
fn a_read_only_folder_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let folder = clinic(1);
    let mode =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("mode set");
    let program = folder.path().join("program");
    fs::copy(PROGRAM, &program).expect("the program can be copied");
    mode(&program, 0o755);
    mode(folder.path(), 0o755);
    let is_root = crate::support::tool("id", &["-u"]).trim() == "0";
    let mut command = if is_root {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(&program);
        command
    } else {
        Command::new(&program)
    };
    mode(folder.path(), 0o555);
    let output = command.args(ISSUE).current_dir(folder.path()).output().expect("the program starts");
    mode(folder.path(), 0o755);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{stderr}");
    assert!(stderr.contains("could not make the folder `out`"), "{stderr}");
    assert!(stderr.contains("help: check who may read and write there"), "{stderr}");
    assert!(!folder.path().join("out").exists());
    assert_completed(folder.path(), 1, "read-only");
}

#[test]
fn a_file_in_the_place_of_a_folder_is_said() {
    let folder = clinic(1);
    fs::write(folder.path().join("out"), "a file").expect("written");
    let ran = unguis_in(folder.path(), ISSUE);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("`out`"), "{}", ran.stderr);
    assert_eq!(fs::read_to_string(folder.path().join("out")).expect("still there"), "a file");
}

#[test]
fn a_folder_that_vanishes_is_said_and_begun_anew_by_the_next_run() {
    for point in [3, 6, 12, 20] {
        let folder = clinic(4);
        let out = folder.path().join("out");
        let mut child = start(folder.path());
        wait_until(&mut child, || progress(&out) >= point);
        fs::rename(&out, folder.path().join("gone")).expect("a folder can be moved");
        let status = child.wait().expect("a child can be waited for");
        assert!(matches!(status.code(), Some(0 | 2)), "{point}: {status}");
        assert!(!out.join("register.jsonl").exists() && !out.join("LFC-0200").exists(), "{point}");
        assert_completed(folder.path(), 4, "vanished");
    }
}

#[test]
fn two_runs_at_once_issue_each_document_once() {
    let folder = clinic(3);
    let mut both = [start(folder.path()), start(folder.path())];
    for child in &mut both {
        assert!(child.wait().expect("a child can be waited for").success());
    }
    assert_completed(folder.path(), 3, "two at once");
}

#[test]
fn a_request_to_end_stops_between_documents() {
    for signal in ["-INT", "-TERM"] {
        let folder = clinic(12);
        let mut child = Command::new(PROGRAM)
            .args(ISSUE)
            .args(["--jobs", "1"])
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        wait_until(&mut child, || progress(&folder.path().join("out")) >= 12);
        crate::support::tool("kill", &[signal, &child.id().to_string()]);
        let output = child.wait_with_output().expect("a child can be waited for");
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{stderr}");
        assert!(stderr.contains("12 cases: ") && stderr.contains("not begun (stopped by you)"), "{stderr}");
        let ran = unguis_in(folder.path(), ["verify"]);
        assert_eq!(ran.code, 0, "{}", ran.stdout);
        assert_completed(folder.path(), 12, signal);
    }
}

#[test]
fn one_bad_case_does_not_stop_the_others() {
    let folder = clinic(4);
    fs::write(folder.path().join("cases/LFC-0201.yaml"), "reference: [").expect("written");
    fs::write(folder.path().join("cases/LFC-0202.yaml"), [0xff, 0xfe, 0x00]).expect("written");
    let ran = unguis_in(folder.path(), ISSUE);
    assert_eq!(ran.code, 1, "{}", ran.stderr);
    assert!(ran.stderr.ends_with("4 cases: 2 issued, 2 refused\n"), "{}", ran.stderr);
    assert_eq!(ran.stdout.lines().count(), 8, "{}", ran.stdout);
    assert!(ran.stdout.lines().collect::<Vec<_>>().is_sorted_by_key(|line| &line[..12]), "{}", ran.stdout);
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let mut child = Command::new(PROGRAM)
        .args(["check", "cases", "--today", "2026-11-25"])
        .current_dir(root())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("a child can be waited for");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(!stderr.contains("panicked") && !stderr.contains("broke"), "{stderr}");
    assert_ne!(output.status.code(), Some(3), "{stderr}");
}
