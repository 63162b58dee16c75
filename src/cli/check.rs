//! `unguis check`: findings only.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use crate::case::read_text;
use crate::cli::args::{Check, Colour, Format};
use crate::cli::load::{Clinics, human, load_with};
use crate::cli::many::{Outcome, over_cases};
use crate::cli::together::Together;
use crate::cli::{Error, Exit, io, passed_over};
use crate::diagnostic::render::{Style, json_finding, render, summary};
use crate::diagnostic::{Diagnostic, Severity};
use crate::documents::Paper;
use crate::pipeline::{self, Checked};
use crate::register::chain::Register;
use crate::store::ledger::glance;
use crate::words::Shown;

/// Checks every case and prints what was found, in the order given.
pub(super) fn run(args: &Check, colour: Colour) -> Result<Exit, Error> {
    let style = match args.format {
        Format::Human => human(colour),
        Format::Short | Format::Json => Style::Short,
    };
    let cases = io::case_files(&args.cases.cases)?;
    io::eprint(&passed_over::note(&args.cases.cases));
    let beside = Beside {
        together: Together::of(&cases, args.cases.jobs),
        clinics: Clinics::default(),
        register: glance(&args.out)?,
    };
    let done = over_cases(&cases, args.cases.jobs, |path, _turn| one(path, args, style, &beside))?;
    if args.format == Format::Json {
        let cases: Vec<&Value> = done.reports.iter().filter_map(|report| report.json.as_ref()).collect();
        io::print(&format!("{:#}\n", json!({ "cases": cases })));
    }
    if args.format == Format::Human && done.reports.len() > 1 {
        io::eprint(&done.summary);
    }
    Ok(done.exit)
}

/// What a case is compared with.
struct Beside {
    together: Together,
    clinics: Clinics,
    register: Register,
}

fn one(path: &Path, args: &Check, style: Style, beside: &Beside) -> Result<Outcome, Error> {
    if io::is_clinic_file(path) {
        return clinic_alone(path, args, style);
    }
    let mut loaded = load_with(path, &args.cases.reading, &beside.clinics)?;
    let found = beside.together.findings(path, &loaded, &beside.register);
    loaded.checked.add(found);
    let checked = &loaded.checked;
    let exit = if checked.blocking() > 0 { Exit::Findings } else { Exit::Done };
    let word = if exit == Exit::Done { "clear" } else { "stopped" };
    if args.format == Format::Json {
        return Ok(Outcome { exit, word, json: Some(as_json(path, checked)), ..Outcome::default() });
    }
    let mut text = render(&checked.diagnostics, style);
    if args.format == Format::Human {
        // A blank line parts the verdict from the findings, and one case from the next.
        let gap = if text.is_empty() { "" } else { "\n" };
        text.push_str(&format!("{gap}{}: {}\n", path.shown(), verdict(path, checked)));
        if !gap.is_empty() {
            text.push('\n');
        }
    }
    Ok(Outcome { exit, word, stdout: text, ..Outcome::default() })
}

/// A clinic file that is named itself is checked without a case.
fn clinic_alone(path: &Path, args: &Check, style: Style) -> Result<Outcome, Error> {
    let bytes = io::read_clinic_file(path)?;
    let found = match read_text(&path.shown(), &bytes) {
        Ok(text) => pipeline::check_clinic(&Arc::new(text)),
        Err(found) => vec![found],
    };
    let is_clear = !found.iter().any(Diagnostic::blocks_issue);
    let (exit, word) = if is_clear { (Exit::Done, "clear") } else { (Exit::Findings, "stopped") };
    if args.format == Format::Json {
        let json = json!({
            "file": path.exact(),
            "reference": Value::Null,
            "findings": found.iter().map(json_finding).collect::<Vec<Value>>(),
            "documents": [],
        });
        return Ok(Outcome { exit, word, json: Some(json), ..Outcome::default() });
    }
    let mut text = render(&found, style);
    if args.format == Format::Human {
        let gap = if text.is_empty() { "" } else { "\n" };
        let verdict = if found.iter().any(|found| found.severity == Severity::Unreadable) {
            "no case can be read with it until this is mended"
        } else {
            "it can be used"
        };
        text.push_str(&format!("{gap}{}: {}; {verdict}\n{gap}", path.shown(), summary(&found)));
    }
    Ok(Outcome { exit, word, stdout: text, ..Outcome::default() })
}

/// `2 stops, 1 caution; nothing can be issued yet; …` or `no findings; ready to issue: …`.
fn verdict(path: &Path, checked: &Checked) -> String {
    let found = summary(&checked.diagnostics);
    if checked.facts.is_none() {
        let place = in_the_clinic_file(path, checked);
        return format!("{found}{place}; nothing can be made until this is mended");
    }
    let named = |papers: &[Paper]| {
        let names: Vec<String> = papers.iter().map(Paper::name).collect();
        if names.is_empty() { "no document yet".to_owned() } else { names.join(", ") }
    };
    let (free, held) = checked.free_and_held(&[]);
    if held.is_empty() {
        format!("{found}; ready to issue: {}", named(&free))
    } else if free.is_empty() {
        format!("{found}; nothing can be issued yet; ready to draft: {}", named(&checked.ready(&[])))
    } else {
        format!("{found}; ready to issue: {}; held: {}", named(&free), named(&held))
    }
}

/// `, 5 of them in clinic.yaml`: they are counted with the case and are no fault of it.
fn in_the_clinic_file(path: &Path, checked: &Checked) -> String {
    let case = path.shown();
    let elsewhere = |one: &&Diagnostic| one.primary.source.name() != case;
    let Some(first) = checked.diagnostics.iter().find(elsewhere) else { return String::new() };
    let count = checked.diagnostics.iter().filter(elsewhere).count();
    let of_them =
        if count == checked.diagnostics.len() { "all".to_owned() } else { format!("{count} of them") };
    format!(", {of_them} in {}", first.primary.source.name())
}

fn as_json(path: &Path, checked: &Checked) -> Value {
    let documents: Vec<Value> = checked
        .readiness
        .iter()
        .map(|readiness| {
            let missing: Vec<String> = readiness.missing.iter().map(ToString::to_string).collect();
            let held_by: BTreeSet<&str> = checked.held(readiness.paper).map(|found| found.rule).collect();
            json!({
                "name": readiness.paper.name(),
                "ready": readiness.is_ready(),
                "missing": missing,
                "held_by": held_by,
            })
        })
        .collect();
    json!({
        "file": path.exact(),
        "reference": checked.reference,
        "findings": checked.diagnostics.iter().map(json_finding).collect::<Vec<Value>>(),
        "documents": documents,
    })
}
