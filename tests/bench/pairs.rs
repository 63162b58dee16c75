//! A cold pack of four against general tools from Python, which set the same words on plain pages.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::{CASE, report, run, time};

const ROUNDS: usize = 20;

/// The tools: how they are called, the module that must be there, and what sets the pages.
const TOOLS: [(&str, &str, &str); 2] = [
    ("Typst from Python", "typst", concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bench/plain_typst.py")),
    ("ReportLab", "reportlab", concat!(env!("CARGO_MANIFEST_DIR"), "/tests/bench/plain_reportlab.py")),
];

/// Prints times of each and the ratio of pairs. Whole processes: what else the machine does then falls on
/// both of a pair.
pub(crate) fn compare(folder: &str) {
    let python = python();
    let there: Vec<_> = TOOLS.iter().filter(|(_, module, _)| has(&python, module)).collect();
    for (tool, module, _) in TOOLS.iter().filter(|(_, module, _)| !has(&python, module)) {
        println!("{tool}: skipped, `{}` has no module `{module}`", python.display());
    }
    let ours = ["draft", CASE, "--today", "2026-11-25", "--text", "--out", folder];
    run(&ours);
    let texts = texts_below(Path::new(folder));
    for (tool, _, script) in there {
        let theirs = || {
            let mut command = Command::new(&python);
            let command = command.arg(script).arg(folder).args(&texts);
            let status = command.stdout(Stdio::null()).status().expect("Python was there a moment ago");
            assert!(status.success(), "{script} failed");
        };
        let (mut ours_took, mut theirs_took, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
        for round in 0..=ROUNDS {
            let pair = (time(|| run(&ours)), time(theirs));
            // The first pair brings programs and files into memory.
            if round > 0 {
                ratios.push(pair.0.as_secs_f64() / pair.1.as_secs_f64());
                ours_took.push(pair.0);
                theirs_took.push(pair.1);
            }
        }
        let sorted = |mut times: Vec<Duration>| {
            times.sort();
            times
        };
        ratios.sort_by(f64::total_cmp);
        report("cold pack of four, with its texts", &sorted(ours_took));
        report(&format!("{tool}, plain pages"), &sorted(theirs_took));
        println!(
            "ratio of pairs                     median {:5.2}   from {:5.2} to {:5.2}",
            ratios[ratios.len() / 2],
            ratios[0],
            ratios[ratios.len() - 1]
        );
    }
}

/// The interpreter that the outside checks use, else the one on the path. `UNGUIS_PYTHON` names another.
fn python() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/ci-python/bin/python");
    match std::env::var_os("UNGUIS_PYTHON") {
        Some(named) => named.into(),
        None if own.exists() => own,
        None => "python3".into(),
    }
}

fn has(python: &Path, module: &str) -> bool {
    let mut command = Command::new(python);
    let command = command.args(["-c", &format!("import {module}")]);
    command.stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
}

fn texts_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder of the drafts is there").flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(texts_below(&path));
        } else if path.extension().is_some_and(|ending| ending == "txt") {
            found.push(path);
        }
    }
    found.sort();
    found
}
