//! `unguis verify`: every issued file against the register, and the register against its seals and what was
//! written down elsewhere. Only a seal or a key that is asked for is written.

use std::path::Path;

use serde_json::{Value, json};

use crate::cli::args::{ShowFormat, Verify};
use crate::cli::{Error, Exit, error, io};
use crate::register::seal::{PublicKey, fingerprint};
use crate::register::verify::Verdict;
use crate::store::verdict::{Known, verdict};
use crate::store::{backup, seal};
use crate::words::{Count, Shown};

/// Prints what does not match, and what to do about each.
pub(super) fn run(args: &Verify) -> Result<Exit, Error> {
    if let Some(file) = &args.new_key {
        return new_key(file);
    }
    if let Some(file) = &args.show_key {
        io::print(&shown(&seal::public_key(file)?));
        return Ok(Exit::Done);
    }
    let trusted = args.trust.iter().map(|named| trusted(named)).collect::<Result<Vec<_>, _>>()?;
    if let Some(key) = &args.seal {
        return sealed(args, key, &trusted);
    }
    let only = [args.out.clone()];
    let folders = if args.folders.is_empty() { &only[..] } else { args.folders.as_slice() };
    if args.expect.is_some() && folders.len() > 1 {
        return Err(Error::Usage("`--expect` is of one register: name one folder".to_owned()));
    }
    let known = Known { trusted: &trusted, expected: args.expect.as_ref() };
    let (mut exit, mut all) = (Exit::Done, Vec::new());
    for named in folders {
        let looked = backup::last_copy(named).and_then(|copy| {
            let out = copy.as_ref().map_or(named, |(copy, _)| copy).clone();
            Ok((verdict(&out, known)?, out, copy))
        });
        let (verdict, out, copy) = match looked {
            Ok(looked) => looked,
            // One folder that cannot be looked at does not stand in the way of the others.
            Err(problem) if folders.len() > 1 => {
                io::eprint(&format!("{}: {}", named.shown(), error::chain(&problem)));
                exit = exit.max(problem.exit());
                continue;
            }
            Err(problem) => return Err(problem),
        };
        exit = exit.max(if verdict.is_clean() { Exit::Done } else { Exit::Findings });
        let text = || match copy.is_some() {
            true => format!("the last copy is `{}`\n{}", out.shown(), human(&verdict, &out)),
            false => human(&verdict, &out),
        };
        match args.format {
            ShowFormat::Json => all.push((named, as_json(&verdict))),
            ShowFormat::Human if folders.len() == 1 => io::print(&text()),
            ShowFormat::Human => io::print(&format!("{}: {}", named.shown(), text())),
        }
    }
    match all.as_mut_slice() {
        [] => {}
        [(_, only)] if folders.len() == 1 => io::print(&format!("{only:#}\n")),
        several => {
            let named = several.iter_mut().map(|(out, verdict)| {
                verdict["folder"] = json!(out.exact());
                verdict.take()
            });
            io::print(&format!("{:#}\n", json!({ "folders": named.collect::<Vec<_>>() })));
        }
    }
    Ok(exit)
}

/// A key is named by its fingerprint or by a file that holds it.
fn trusted(named: &str) -> Result<String, Error> {
    match fingerprint(named) {
        Some(fingerprint) => Ok(fingerprint),
        None => Ok(seal::public_key(Path::new(named))?.fingerprint()),
    }
}

fn shown(key: &PublicKey) -> String {
    format!("{}fingerprint: {}\n", key.pem(), key.fingerprint())
}

fn new_key(file: &Path) -> Result<Exit, Error> {
    let (key, beside) = seal::new_key(file)?;
    io::print(&shown(&key));
    io::eprint(&format!(
        "`{}` is the key: whoever has it can seal in the clinic's name, and nobody can make it anew. Keep it where the \
         register is not, with a copy that is locked away; `{}` may be known to all\n",
        file.shown(),
        beside.shown()
    ));
    Ok(Exit::Done)
}

fn sealed(args: &Verify, key: &Path, trusted: &[String]) -> Result<Exit, Error> {
    let out = match args.folders.as_slice() {
        [] => &args.out,
        [only] => only,
        _ => return Err(Error::Usage("one register is sealed at a time: name one folder".to_owned())),
    };
    if backup::last_copy(out)?.is_some() {
        return Err(Error::Usage(format!(
            "`{}` is a backup: seal the folder itself, and copy it again",
            out.shown()
        )));
    }
    let seal::Outcome { verdict, is_new, is_key_open } = seal::seal(out, key, trusted)?;
    match args.format {
        ShowFormat::Json => {
            let mut json = as_json(&verdict);
            json["sealed_now"] = json!(is_new);
            io::print(&format!("{json:#}\n"));
        }
        ShowFormat::Human => io::print(&human(&verdict, out)),
    }
    if is_key_open {
        io::eprint(&format!("note: other accounts can read the key `{0}`: `chmod 600 {0}`\n", key.shown()));
    }
    if !verdict.is_clean() {
        io::eprint("nothing was sealed: a seal says that everything is as it was issued\n");
        return Ok(Exit::Findings);
    }
    io::eprint(if is_new { "sealed\n" } else { "sealed to its end already: nothing was added\n" });
    Ok(Exit::Done)
}

fn human(verdict: &Verdict, out: &Path) -> String {
    let mut text = human_list(verdict, out);
    let faults = verdict.mismatches.iter().filter(|mismatch| mismatch.is_fault).count();
    let whole = Count(verdict.whole, "issued file");
    text.push_str(&match faults {
        0 => format!("{whole} as issued; the register holds together\n"),
        faults => format!("{whole} as issued; {}\n", Count(faults, "fault")),
    });
    if let Some(sealed) = &verdict.sealed {
        text.push_str(&format!(
            "sealed up to line {} of {} at {} with the key {}\n",
            sealed.lines, sealed.of, sealed.time, sealed.fingerprint
        ));
    }
    if let Some(anchor) = &verdict.anchor {
        text.push_str(&format!("the register ends at {anchor}\n"));
    }
    text
}

/// What does not match and what there is to know, each with what to do.
pub(super) fn human_list(verdict: &Verdict, out: &Path) -> String {
    let mut text = String::new();
    for mismatch in &verdict.mismatches {
        let word = if mismatch.is_fault { "fault" } else { "note" };
        let path = out.join(&mismatch.path);
        text.push_str(&format!("{word}[{}]: `{}` {}\n", mismatch.kind, path.shown(), mismatch.says));
        text.push_str(&format!("  help: {}\n", mismatch.help));
    }
    for note in &verdict.notes {
        text.push_str(&format!("note[{}]: {}\n  help: {}\n", note.kind, note.says, note.help));
    }
    text
}

/// A verdict for programs.
pub(super) fn as_json(verdict: &Verdict) -> Value {
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
    let notes: Vec<Value> = verdict
        .notes
        .iter()
        .map(|note| json!({ "kind": note.kind, "message": note.says, "help": note.help }))
        .collect();
    let sealed = verdict.sealed.as_ref().map(|sealed| {
        json!({ "lines": sealed.lines, "of": sealed.of, "time": sealed.time, "key": sealed.fingerprint })
    });
    json!({
        "clean": verdict.is_clean(),
        "whole": verdict.whole,
        "mismatches": mismatches,
        "notes": notes,
        "end": verdict.anchor,
        "sealed": sealed,
    })
}
