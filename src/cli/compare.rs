//! `unguis compare`: what has changed, word by word, since each document was last issued. Writes
//! nothing.

use std::path::Path;

use serde_json::{Value, json};

use crate::cli::args::{Colour, Compare, ShowFormat};
use crate::cli::issue::{Bench, CONSENT_FORM};
use crate::cli::load::{day, human, load, press};
use crate::cli::together::{Together, has, notes};
use crate::cli::{Error, Exit, error, io};
use crate::date::CivilDate;
use crate::diagnostic::render::render;
use crate::identity::ANOTHER_PATIENT_FOUND;
use crate::pipeline::{Press, Readiness, is_asked_for};
use crate::register::chain::Register;
use crate::register::compare::{Change, render as render_changes};
use crate::register::entry::{Issued, Sent};
use crate::store::ledger::{Whose, as_issued, changes_since, read, whom};
use crate::typeset::Typesetter;
use crate::words::{Count, List, Shown};

/// How one document stands.
enum Standing<'a> {
    /// Never issued.
    New,
    /// Issued, and can no longer be made: what is missing.
    Unready(&'a Issued, Vec<String>),
    /// Issued; the changes since then, where that version went, and when it was signed, if it was.
    Issued(&'a Issued, Vec<Change>, Vec<&'a Sent>, Option<CivilDate>),
}

/// Prints the changes of each document of each case.
pub(super) fn run(args: &Compare, colour: Colour) -> Result<Exit, Error> {
    let cases = io::case_files(&args.cases)?;
    let press = press(args.output.templates.as_deref())?;
    // Held until the texts are read, so that no other run issues meanwhile.
    let read = read(&args.output.out)?;
    if read.is_none() {
        let out = args.output.out.shown();
        io::eprint(&format!("note: there is no register in `{out}`: nothing was issued there yet\n"));
    }
    let nothing_issued = Register::default();
    let register = read.as_ref().map_or(&nothing_issued, |read| &read.register);
    let is_one = cases.len() == 1;
    let (mut exit, mut all) = (Exit::Done, Vec::new());
    for case in &cases {
        let (own, json) = match one(case, args, colour, &press, register, is_one) {
            Ok(done) => done,
            // One case that cannot be compared does not stand in the way of the others.
            Err(problem) if !is_one => {
                io::eprint(&format!("{}: {}", case.shown(), error::chain(&problem)));
                (problem.exit(), None)
            }
            Err(problem) => return Err(problem),
        };
        exit = exit.max(own);
        all.extend(json);
        Typesetter::evict();
    }
    if args.format == ShowFormat::Json {
        match all.as_slice() {
            [only] if is_one => io::print(&format!("{only:#}\n")),
            several if !is_one => io::print(&format!("{:#}\n", json!({ "cases": several }))),
            _ => {}
        }
    }
    Ok(exit)
}

fn one(
    case: &Path,
    args: &Compare,
    colour: Colour,
    press: &Press,
    register: &Register,
    is_one: bool,
) -> Result<(Exit, Option<Value>), Error> {
    let loaded = load(case, &args.reading)?;
    let Some(facts) = &loaded.checked.facts else {
        io::eprint(&render(&loaded.checked.diagnostics, human(colour)));
        return Ok((Exit::Findings, None));
    };
    let found = Together::default().findings(case, &loaded, register);
    if has(&found, &ANOTHER_PATIENT_FOUND) {
        // The words of one patient are not shown as changes of the other's.
        io::eprint(&render(&found, human(colour)));
        return Ok((Exit::Findings, None));
    }
    io::eprint(&notes(&found));
    let bench = Bench { path: case, loaded: &loaded, press };
    let reference = facts.case.reference.as_str();
    let signed = facts.case.consent.as_ref().and_then(|consent| consent.signed);
    let mut standings = Vec::new();
    for readiness in &loaded.checked.readiness {
        let name = readiness.paper.name();
        if !is_asked_for(readiness.paper, &args.output.only) {
            continue;
        }
        let standing = match register.latest(reference, &name) {
            None => Standing::New,
            Some(issued) if !readiness.is_ready() => Standing::Unready(issued, missing(readiness)),
            Some(issued) => {
                let now = bench.make(
                    readiness.paper,
                    &as_issued(register, issued),
                    Whose::Patient,
                    day(&args.reading),
                )?;
                let changes = changes_since(&args.output.out, issued, &now.text)?;
                let closed = signed.filter(|_| name == CONSENT_FORM);
                Standing::Issued(issued, changes, register.sent(reference, &name, issued.version), closed)
            }
        };
        standings.push((name, standing));
    }
    if args.format == ShowFormat::Json {
        let documents: Vec<Value> =
            standings.iter().map(|(name, standing)| as_json(name, standing)).collect();
        return Ok((Exit::Done, Some(json!({ "reference": reference, "documents": documents }))));
    }
    let colour = colour.is_wanted();
    // Of several cases each is named, and one that has not changed takes a single line.
    let is_quiet = |standing: &Standing<'_>| match standing {
        Standing::New => true,
        Standing::Issued(_, changes, ..) => changes.is_empty(),
        Standing::Unready(..) => false,
    };
    if is_one {
        io::print(&standings.iter().map(|(name, one)| as_text(name, one, colour)).collect::<String>());
    } else if standings.iter().all(|(_, standing)| is_quiet(standing)) {
        io::print(&format!("{reference}: nothing has changed since anything was issued\n"));
    } else {
        io::print(&format!("{reference}:\n"));
        let changed = standings.iter().filter(|(_, standing)| !is_quiet(standing));
        io::print(&changed.map(|(name, one)| as_text(name, one, colour)).collect::<String>());
    }
    Ok((Exit::Done, None))
}

fn missing(readiness: &Readiness) -> Vec<String> {
    readiness.missing.iter().map(ToString::to_string).collect()
}

fn as_text(name: &str, standing: &Standing<'_>, colour: bool) -> String {
    let since = |issued: &Issued| format!("version {} of {}", issued.version, issued.date.clinical());
    match standing {
        Standing::New => format!("{name}: never issued\n"),
        Standing::Unready(issued, missing) => {
            let missing = List::and(missing.iter().map(|path| format!("`{path}`")));
            format!("{name}: issued as {}, and can no longer be made: it needs {missing}\n", since(issued))
        }
        Standing::Issued(issued, changes, ..) if changes.is_empty() => {
            format!("{name}: unchanged since {}\n", since(issued))
        }
        Standing::Issued(issued, changes, sent, closed) => {
            let count = Count(changes.len(), "change");
            let mut text =
                format!("{name}: {count} since {}\n{}", since(issued), render_changes(changes, colour));
            if !sent.is_empty() {
                let gone = sent.iter().map(|sent| format!("{} on {}", whom(&sent.to), sent.date.clinical()));
                text.push_str(&format!(
                    "  warning: that version has gone to {}: they hold the old words until a new one is issued \
                     and sent\n",
                    List::and(gone)
                ));
            }
            if let Some(signed) = closed {
                text.push_str(&format!(
                    "  it was signed on {}: `issue` leaves it as it is, whatever its words would be now\n",
                    signed.clinical()
                ));
            }
            text
        }
    }
}

fn as_json(name: &str, standing: &Standing<'_>) -> Value {
    let (issued, changes, sent, missing) = match standing {
        Standing::New => (None, None, &[][..], &[][..]),
        Standing::Unready(issued, missing) => (Some(issued), None, &[][..], missing.as_slice()),
        Standing::Issued(issued, changes, sent, _) => (Some(issued), Some(changes), sent.as_slice(), &[][..]),
    };
    let closed = matches!(standing, Standing::Issued(_, _, _, Some(_)));
    let sent: Vec<Value> = sent.iter().map(|sent| json!({ "to": sent.to, "on": sent.date })).collect();
    json!({
        "name": name,
        "version": issued.map(|issued| issued.version),
        "issued": issued.map(|issued| issued.date),
        "changed": changes.map(|changes| !changes.is_empty()),
        "changes": changes,
        "sent": sent,
        "missing": missing,
        "closed": closed,
    })
}
