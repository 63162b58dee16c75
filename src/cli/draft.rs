//! `unguis draft`: PDFs marked DRAFT on every page, whatever is still open.

use std::path::Path;

use crate::cli::args::{Colour, Make};
use crate::cli::load::{day, human, load, press};
use crate::cli::many::{Outcome, Turn, over_cases};
use crate::cli::{Error, Exit, io};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::english::List;
use crate::diagnostic::render::{Style, render, summary};
use crate::pipeline::{NOT_PRINTABLE, Press, Version};
use crate::typeset::Typesetter;

/// Makes the drafts of every case.
pub(super) fn run(args: &Make, colour: Colour) -> Result<Exit, Error> {
    let press = press(args.output.templates.as_deref())?;
    let style = human(colour);
    let done =
        over_cases(&args.cases.cases, args.cases.jobs, |path, turn| one(path, turn, args, &press, style))?;
    io::eprint(&done.summary);
    Ok(done.exit)
}

fn one(path: &Path, turn: Turn<'_>, args: &Make, press: &Press, style: Style) -> Result<Outcome, Error> {
    let checked = load(path, &args.cases.reading)?.checked;
    let Some(facts) = &checked.facts else {
        let stderr = render(&checked.diagnostics, style);
        return Ok(Outcome { exit: Exit::Findings, word: "unreadable", stderr, ..Outcome::default() });
    };
    let documents = checked.ready(&args.output.only);
    if documents.is_empty() {
        let mut outcome = nothing_ready(path, &checked, &args.output.only);
        let unprintable = checked.diagnostics.iter().filter(|diagnostic| diagnostic.rule == NOT_PRINTABLE);
        let unprintable: Vec<Diagnostic> = unprintable.cloned().collect();
        outcome.stderr.insert_str(0, &render(&unprintable, style));
        return Ok(outcome);
    }
    let edition = checked.edition(Version::Draft, day(&args.cases.reading));
    let folder = args.output.out.join(facts.case.reference.as_str());
    let mut files = Vec::new();
    for document in documents {
        turn.go_on()?;
        let set = press.set(document, facts, &edition)?;
        let name = format!("{}-draft", document.name);
        if args.output.text {
            files.push((folder.join(format!("{name}.txt")), set.text.into_bytes()));
        }
        files.push((folder.join(format!("{name}.pdf")), set.pdf));
    }
    Typesetter::evict();
    drop(turn);
    // Everything is made before anything is written: a failing document leaves nothing half done.
    io::write_all_atomically(&folder, &files)?;
    let stdout = files.iter().map(|(file, _)| format!("{}\n", file.display())).collect();
    let open = checked.blocking();
    let stderr = if open == 0 {
        String::new()
    } else {
        format!("{}: {}; `unguis check` tells more\n", path.display(), summary(&checked.diagnostics))
    };
    Ok(Outcome { word: "drafted", stdout, stderr, ..Outcome::default() })
}

/// Says by name what each document asked for still needs.
pub(super) fn nothing_ready(path: &Path, checked: &crate::pipeline::Checked, only: &[String]) -> Outcome {
    let mut stderr = format!("{}: no document can be made yet\n", path.display());
    for readiness in &checked.readiness {
        if only.is_empty() || only.iter().any(|name| name == readiness.document.name) {
            let missing = List::and(readiness.missing.iter().map(|path| format!("`{path}`")));
            stderr.push_str(&format!("  {} needs {missing}\n", readiness.document.name));
        }
    }
    Outcome { exit: Exit::Findings, word: "not ready", stderr, ..Outcome::default() }
}
