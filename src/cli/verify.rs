//! `unguis verify`: every issued file against the register. Changes nothing.

use std::path::Path;

use serde_json::{Value, json};

use crate::cli::args::{ShowFormat, Verify};
use crate::cli::{Error, Exit, io, ledger};
use crate::diagnostic::english::Count;
use crate::register::verify::{Mismatch, OnDisk, REGISTER, Verdict, is_trace_of_issue, verify};

/// Prints what does not match, and what to do about each.
pub(super) fn run(args: &Verify) -> Result<Exit, Error> {
    let verdict = verdict(&args.out)?;
    match args.format {
        ShowFormat::Json => io::print(&format!("{:#}\n", as_json(&verdict))),
        ShowFormat::Human => io::print(&human(&verdict, &args.out)),
    }
    Ok(if verdict.is_clean() { Exit::Done } else { Exit::Findings })
}

/// Reads the register together with its folder, while nobody issues.
///
/// # Errors
/// A folder that cannot be read, or in which nothing was ever issued.
pub(super) fn verdict(out: &Path) -> Result<Verdict, Error> {
    let read = ledger::read(out)?;
    let listing: Vec<OnDisk> = io::list(out)?
        .into_iter()
        .map(|io::Found { path, bytes, sha256 }| OnDisk { path, bytes, sha256 })
        .collect();
    if let Some(read) = &read {
        return Ok(verify(&read.register, &read.problems, &listing));
    }
    if !listing.iter().any(|file| is_trace_of_issue(&file.path)) {
        return Err(Error::Usage(format!(
            "there is no register in `{}`: nothing was issued there",
            out.display()
        )));
    }
    Ok(Verdict {
        mismatches: vec![Mismatch {
            kind: "register-missing",
            path: REGISTER.to_owned(),
            says: "is not there, although something was issued here".to_owned(),
            help: "bring the register back from a backup before you issue anything here".to_owned(),
            is_fault: true,
        }],
        whole: 0,
    })
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
