//! `unguis verify`: every issued file against the register. Changes nothing.

use std::path::Path;

use serde_json::{Value, json};

use crate::cli::args::{ShowFormat, Verify};
use crate::cli::{Error, Exit, io};
use crate::register::verify::Verdict;
use crate::store::verdict::verdict;
use crate::words::Count;

/// Prints what does not match, and what to do about each.
pub(super) fn run(args: &Verify) -> Result<Exit, Error> {
    let only = [args.out.clone()];
    let folders = if args.folders.is_empty() { &only[..] } else { args.folders.as_slice() };
    let (mut exit, mut all) = (Exit::Done, Vec::new());
    for out in folders {
        let verdict = verdict(out)?;
        exit = exit.max(if verdict.is_clean() { Exit::Done } else { Exit::Findings });
        match args.format {
            ShowFormat::Json => all.push((out, as_json(&verdict))),
            ShowFormat::Human if folders.len() == 1 => io::print(&human(&verdict, out)),
            ShowFormat::Human => io::print(&format!("{}: {}", out.display(), human(&verdict, out))),
        }
    }
    match all.as_mut_slice() {
        [] => {}
        [(_, only)] => io::print(&format!("{only:#}\n")),
        several => {
            let named = several.iter_mut().map(|(out, verdict)| {
                verdict["folder"] = json!(out.display().to_string());
                verdict.take()
            });
            io::print(&format!("{:#}\n", json!({ "folders": named.collect::<Vec<_>>() })));
        }
    }
    Ok(exit)
}

fn human(verdict: &Verdict, out: &Path) -> String {
    let mut text = String::new();
    for mismatch in &verdict.mismatches {
        let word = if mismatch.is_fault { "fault" } else { "note" };
        let path = out.join(&mismatch.path);
        text.push_str(&format!("{word}[{}]: `{}` {}\n", mismatch.kind, path.display(), mismatch.says));
        text.push_str(&format!("  help: {}\n", mismatch.help));
    }
    let faults = verdict.mismatches.iter().filter(|mismatch| mismatch.is_fault).count();
    let whole = Count(verdict.whole, "issued file");
    text.push_str(&match faults {
        0 => format!("{whole} as issued; the register holds together\n"),
        faults => format!("{whole} as issued; {}\n", Count(faults, "fault")),
    });
    text
}

fn as_json(verdict: &Verdict) -> Value {
    let mismatches: Vec<Value> = verdict
        .mismatches
        .iter()
        .map(|mismatch| {
            json!({
                "kind": mismatch.kind,
                "file": mismatch.path,
                "message": mismatch.says,
                "help": mismatch.help,
                "fault": mismatch.is_fault,
            })
        })
        .collect();
    json!({ "clean": verdict.is_clean(), "whole": verdict.whole, "mismatches": mismatches })
}
