//! `unguis export`: a case as a FHIR document, or many as a table, on standard output. Writes no file.

use std::path::Path;

use crate::cli::args::{Cases, Colour, Export, ExportForm, ListFormat, Listing};
use crate::cli::issue::{Bench, CONSENT_FORM, plan_sha256};
use crate::cli::listing::{caseload, csv, said_left_out};
use crate::cli::load::{Clinics, day, human, load_with, press};
use crate::cli::many::{Outcome, over_cases};
use crate::cli::together::{Together, has, notes};
use crate::cli::{Error, Exit, io};
use crate::diagnostic::render::render;
use crate::documents::{Paper, Toes};
use crate::export::csv::{dictionary, head, rows};
use crate::export::fhir::{IssuedPaper, OPERATION_NOTE, Source, document};
use crate::facts::Facts;
use crate::hash::sha256;
use crate::identity::ANOTHER_PATIENT_FOUND;
use crate::pipeline::{Press, Version};
use crate::register::chain::Register;
use crate::register::entry::Issued;
use crate::register::verify::REGISTER;
use crate::store::ledger::{Form, Whose, as_issued, changes_since, read};
use crate::typeset::Typesetter;
use crate::words::{List, Shown};

/// Exports in the form that is asked for.
pub(super) fn run(args: &Export, colour: Colour) -> Result<Exit, Error> {
    match args.form {
        ExportForm::Csv if args.dictionary => {
            let (head, lines) = dictionary();
            io::print(&csv(&head, &lines));
            Ok(Exit::Done)
        }
        ExportForm::Csv => table(args),
        ExportForm::Fhir if args.names || args.dictionary => Err(Error::Usage(
            "`--names` and `--dictionary` go with `--as csv`: a FHIR document is about one patient".into(),
        )),
        ExportForm::Fhir => documents(args, colour),
    }
}

/// A row a toe of every case.
fn table(args: &Export) -> Result<Exit, Error> {
    let listing = Listing {
        cases: Cases { cases: args.cases.clone(), reading: args.reading.clone(), jobs: args.jobs },
        format: ListFormat::Csv,
        out: args.out.clone(),
        names: args.names,
        at: None,
        templates: None,
    };
    let register = crate::store::ledger::glance(&args.out)?;
    let all = caseload(&listing, day(&args.reading), &register, |one| Some(rows(one.facts, args.names)))?;
    io::print(&csv(&head(args.names), &all.rows.concat()));
    io::eprint(&said_left_out(&all.left_out));
    Ok(Exit::Done)
}

/// A document a case, each in one line.
fn documents(args: &Export, colour: Colour) -> Result<Exit, Error> {
    let cases = io::case_files(&args.cases)?;
    let press = press(args.templates.as_deref())?;
    let clinics = Clinics::default();
    // Held until the files are read, so that no other run issues meanwhile.
    let reading = read(&args.out)?;
    if let Some(problem) = reading.iter().flat_map(|reading| &reading.problems).find(|one| !one.is_harmless())
    {
        return Err(Error::Register { path: args.out.join(REGISTER), what: problem.says() });
    }
    let nothing = Register::default();
    let register = reading.as_ref().map_or(&nothing, |reading| &reading.register);
    if let [case] = cases.as_slice() {
        let outcome = one(case, args, colour, &press, &clinics, register)?;
        io::eprint(&outcome.stderr);
        io::print(&outcome.stdout);
        return Ok(outcome.exit);
    }
    // One case that cannot be exported does not stand in the way of the others.
    let done = over_cases(&cases, args.jobs, |case, turn| {
        turn.go_on()?;
        let outcome = one(case, args, colour, &press, &clinics, register);
        Typesetter::evict();
        outcome
    })?;
    Ok(done.exit)
}

/// The document of one case; none if findings stop it, which are said.
fn one(
    case: &Path,
    args: &Export,
    colour: Colour,
    press: &Press,
    clinics: &Clinics,
    register: &Register,
) -> Result<Outcome, Error> {
    let stopped = |stderr: String| Outcome { exit: Exit::Findings, stderr, ..Outcome::default() };
    let loaded = load_with(case, &args.reading, clinics)?;
    let (Some(facts), Some(read)) = (&loaded.checked.facts, &loaded.read) else {
        return Ok(stopped(render(&loaded.checked.diagnostics, human(colour))));
    };
    let found = Together::default().findings(case, &loaded, register);
    if has(&found, &ANOTHER_PATIENT_FOUND) {
        return Ok(stopped(render(&found, human(colour))));
    }
    let notes = notes(&found);
    let reference = facts.case.reference.as_str();
    let latest = register.latest_of(reference);
    let not_issued =
        |document: &str| Error::NotIssued { reference: reference.to_owned(), document: document.to_owned() };
    let Some(last_day) = latest.values().map(|issued| issued.date).max() else {
        return Err(not_issued("document"));
    };
    if facts.case.operation.is_some() && !latest.contains_key(OPERATION_NOTE) {
        return Err(not_issued(OPERATION_NOTE));
    }
    let bench = Bench { path: case, loaded: &loaded, press };
    let mut changed = Vec::new();
    for (name, issued) in &latest {
        if is_changed(args, &bench, facts, register, name, issued)? {
            changed.push(format!("{name} (version {} of {})", issued.version, issued.date.clinical()));
        }
    }
    if !changed.is_empty() {
        return Ok(stopped(format!(
            "{notes}{}: changed since it was issued: {}; nothing was exported\n  help: see what changed with `unguis compare`, \
             issue it again with `unguis issue`, and then export it\n",
            case.shown(),
            List::and(changed)
        )));
    }
    let papers: Vec<IssuedPaper<'_>> =
        latest.values().map(|issued| as_it_was(args, issued)).collect::<Result<_, _>>()?;
    // Judged as of the last issue, so that the same files give the same document on any day.
    let checked = read.judged_on(last_day);
    let Some(facts) = &checked.facts else { return Err(Error::Broke(case.to_owned())) };
    let edition = checked.edition(Version::Issue { version: 1, replaces: None }, last_day);
    let ready = checked.readiness.iter().filter(|readiness| readiness.is_ready());
    let never_issued: Vec<String> = ready
        .map(|readiness| readiness.paper.name())
        .filter(|name| !latest.contains_key(name.as_str()))
        .collect();
    let source = Source {
        facts,
        edition: &edition,
        salt: register.salt().unwrap_or_default(),
        papers: &papers,
        never_issued: &never_issued,
    };
    Ok(Outcome { stdout: document(&source), stderr: notes, ..Outcome::default() })
}

/// The words of an issued document are not those that the case makes now.
fn is_changed(
    args: &Export,
    bench: &Bench<'_>,
    facts: &Facts,
    register: &Register,
    name: &str,
    issued: &Issued,
) -> Result<bool, Error> {
    let found = bench.loaded.checked.readiness.iter().find(|readiness| readiness.paper.name() == name);
    // Of a visit that the case no longer knows.
    let Some(readiness) = found else { return Ok(true) };
    let signed = facts.case.consent.as_ref().and_then(|consent| consent.signed);
    if name == CONSENT_FORM && signed.is_some() {
        // What was signed stays as it is, whatever its words would be now; but for the plan that it is about.
        let form =
            Form { document: CONSENT_FORM, plan_sha256: &plan_sha256(facts), signed, is_asked_for: false };
        return Ok(form.is_outdated(Some(issued)));
    }
    if !readiness.is_ready() {
        return Ok(!is_over(readiness.paper, facts));
    }
    let now =
        bench.make(readiness.paper, &as_issued(register, issued), Whose::Patient, day(&args.reading))?;
    Ok(!changes_since(&args.out, issued, &now.text)?.is_empty())
}

/// A document about what was planned is not made any more once there was an operation.
fn is_over(paper: Paper, facts: &Facts) -> bool {
    let is_past = facts.case.operation.is_some() || facts.case.closed.is_some();
    paper.document.toes == Toes::Planned && is_past
}

/// An issued version with its file, byte by byte as it was issued.
fn as_it_was<'a>(args: &Export, issued: &'a Issued) -> Result<IssuedPaper<'a>, Error> {
    let path = args.out.join(&issued.file);
    let pdf = io::read_kept(&path)?.filter(|pdf| sha256(pdf) == issued.pdf_sha256);
    let Some(pdf) = pdf else { return Err(Error::NotAsIssued(path)) };
    let kind = issued.document.split('/').next().unwrap_or_default();
    let title = crate::documents::document(kind).map_or("Document", |document| document.title);
    Ok(IssuedPaper { entry: issued, title, pdf })
}
