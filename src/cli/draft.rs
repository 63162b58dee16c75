//! `unguis draft`: PDFs marked DRAFT on every page, whatever is still open.
//!
//! A draft is as old as the case it was made from. So one that can no longer be made, or is of another
//! patient, does not stay: it would open as if it were new.

use std::cmp::Reverse;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::cli::args::{Colour, Make};
use crate::cli::load::{Clinics, Loaded, day, human, load_with, warm_press};
use crate::cli::many::{Outcome, Turn, failed, over_cases};
use crate::cli::together::{Together, has, notes};
use crate::cli::{Error, Exit, io, passed_over};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::render::{Style, render, summary};
use crate::documents::{DOCUMENTS, Paper};
use crate::identity::{ANOTHER_PATIENT_FOUND, Marks, Person, REFERENCE_TWICE};
use crate::pipeline::{Checked, NOT_PRINTABLE, Press, Version, is_asked_for};
use crate::register::chain::Register;
use crate::register::verify::DRAFTS;
use crate::store::ledger::glance;
use crate::typeset::{Typesetter, each_in_two};
use crate::words::{List, Shown};

/// Makes the drafts of every case.
pub(super) fn run(args: &Make, colour: Colour) -> Result<Exit, Error> {
    let cases = io::case_files(&args.cases.cases)?;
    io::eprint(&passed_over::note(&args.cases.cases));
    let desk = Desk {
        args,
        press: warm_press(args.output.templates.as_deref(), args.cases.jobs)?,
        style: human(colour),
        together: Together::of(&cases, args.cases.jobs),
        clinics: Clinics::default(),
        register: glance(&args.output.out)?,
    };
    let done = over_cases(&cases, args.cases.jobs, |path, turn| one(path, turn, &desk))?;
    io::eprint(&done.summary);
    Ok(done.exit)
}

/// What every case of a run shares.
struct Desk<'a> {
    args: &'a Make,
    press: Arc<Press>,
    style: Style,
    together: Together,
    clinics: Clinics,
    register: Register,
}

fn one(path: &Path, turn: Turn<'_>, desk: &Desk<'_>) -> Result<Outcome, Error> {
    let mut loaded = load_with(path, &desk.args.cases.reading, &desk.clinics)?;
    let found = desk.together.findings(path, &loaded, &desk.register);
    // Of another case or patient: neither may write into this folder.
    let refused: Vec<Diagnostic> = found
        .iter()
        .filter(|one| [ANOTHER_PATIENT_FOUND.name, REFERENCE_TWICE.name].contains(&one.rule))
        .cloned()
        .collect();
    loaded.checked.add(found);
    let drafts = Drafts::of(&loaded, desk.args);
    if !refused.is_empty() {
        let mut stderr = render(&refused, desk.style);
        stderr.push_str(&format!("{}: nothing was drafted\n", path.shown()));
        // What lies there of the patient to whom the reference belongs is none of this case's.
        let is_anothers =
            has(&refused, &ANOTHER_PATIENT_FOUND) && drafts.as_ref().is_some_and(Drafts::is_of_another);
        let drafts = drafts.filter(|_| !is_anothers);
        let outcome = Outcome { exit: Exit::Findings, word: "refused", stderr, ..Outcome::default() };
        return with_removed(drafts.as_ref(), outcome);
    }
    match draft(path, turn, desk, &loaded, drafts.as_ref()) {
        Ok(Some(outcome)) => Ok(outcome),
        Ok(None) => with_removed(drafts.as_ref(), not_drafted(path, desk, &loaded.checked)),
        // What was asked to stop is no worse than before.
        Err(Error::Stopped) => Err(Error::Stopped),
        Err(problem) => with_removed(drafts.as_ref(), failed(path, &problem)),
    }
}

/// Sets the drafts; `None` if none can be made.
fn draft(
    path: &Path,
    turn: Turn<'_>,
    desk: &Desk<'_>,
    loaded: &Loaded,
    drafts: Option<&Drafts>,
) -> Result<Option<Outcome>, Error> {
    let (args, checked) = (desk.args, &loaded.checked);
    let papers = checked.ready(&args.output.only);
    let (Some(facts), Some(drafts)) = (checked.facts.as_ref().filter(|_| !papers.is_empty()), drafts) else {
        return Ok(None);
    };
    let edition = checked.edition(Version::Draft, day(&args.cases.reading));
    let mut files = Vec::new();
    // The longest first: so no thread is left with one when the others have nothing more to do.
    let mut turns: Vec<(usize, Paper)> = papers.iter().copied().enumerate().collect();
    turns.sort_by_key(|(_, paper)| Reverse(desk.press.templates.length(paper.document.template)));
    let lay_out = |(_, paper): &(usize, Paper)| {
        turn.go_on()?;
        let view = paper.view(facts, &edition);
        let pages = desk.press.pages(*paper, &view, facts, &edition)?;
        Ok::<_, Error>((view, pages))
    };
    let mut set = each_in_two(&turns, turn.threads, lay_out, |(at, paper), laid_out: Result<_, Error>| {
        let set = laid_out
            .and_then(|(view, pages)| Ok(desk.press.export(*paper, &view, facts, &edition, pages)?));
        (*at, *paper, set)
    });
    set.sort_by_key(|(at, ..)| *at);
    for (_, paper, set) in set {
        let set = set?;
        let [pdf, text] = drafts.files_of(&paper.file_stem());
        if args.output.text {
            files.push((text, set.text.into_bytes()));
        }
        files.push((pdf, set.pdf));
    }
    Typesetter::evict();
    drop(turn);
    // Everything is made before anything is written: a failing document leaves nothing half done.
    io::create_folder(&args.output.out)?;
    io::create_subfolder(&drafts.folder)?;
    let names: Vec<PathBuf> = files.iter().map(|(file, _)| file.clone()).collect();
    let removed = drafts.remove(&names)?;
    files.insert(0, (drafts.folder.join(DRAFTS), drafts.mark()));
    io::write_all_atomically(&drafts.folder, &files)?;
    let stdout = names.iter().map(|file| format!("{}\n", file.shown())).collect();
    let mut stderr = notes(&checked.diagnostics) + &told(&removed);
    if checked.blocking() > 0 {
        let found = summary(&checked.diagnostics);
        stderr.push_str(&format!("{}: {found}; `unguis check` tells more\n", path.shown()));
    }
    Ok(Some(Outcome { word: "drafted", stdout, stderr, ..Outcome::default() }))
}

fn not_drafted(path: &Path, desk: &Desk<'_>, checked: &Checked) -> Outcome {
    if checked.facts.is_none() {
        let stderr = render(&checked.diagnostics, desk.style);
        return Outcome { exit: Exit::Findings, word: "unreadable", stderr, ..Outcome::default() };
    }
    let mut outcome = nothing_ready(path, checked, &desk.args.output.only);
    let unprintable = checked.diagnostics.iter().filter(|diagnostic| diagnostic.rule == NOT_PRINTABLE);
    let unprintable: Vec<Diagnostic> = unprintable.cloned().collect();
    outcome.stderr.insert_str(0, &render(&unprintable, desk.style));
    outcome
}

/// Takes the older drafts of what was refused away, and says so.
fn with_removed(drafts: Option<&Drafts>, mut outcome: Outcome) -> Result<Outcome, Error> {
    if let Some(drafts) = drafts {
        outcome.stderr.push_str(&told(&drafts.remove(&[])?));
    }
    Ok(outcome)
}

fn told(removed: &[PathBuf]) -> String {
    let line = |file: &PathBuf| format!("removed `{}`: an older draft, no longer true\n", file.shown());
    removed.iter().map(line).collect()
}

/// The end of a draft's name.
const DRAFT: &str = "-draft";

/// The drafts in the folder of a case.
struct Drafts {
    folder: PathBuf,
    /// The documents of this run; all if none is named.
    only: Vec<String>,
    /// Whom the case is about, if it could be read.
    person: Option<Person>,
    /// Whose drafts lie there, if any do and it was written down.
    lying: Option<Marks>,
}

impl Drafts {
    /// Those of a case; `None` if not even its reference could be read.
    fn of(loaded: &Loaded, args: &Make) -> Option<Drafts> {
        let folder = args.output.out.join(loaded.checked.reference.as_deref()?);
        let mark = io::read_kept(&folder.join(DRAFTS)).ok().flatten();
        let lying = mark.and_then(|mark| serde_json::from_slice(&mark).ok());
        Some(Drafts { folder, only: args.output.only.clone(), person: loaded.person(), lying })
    }

    /// True if what lies there is known to be another patient's than that of the case.
    fn is_of_another(&self) -> bool {
        let (Some(person), Some(lying)) = (&self.person, &self.lying) else { return false };
        person.marks(&lying.salt) != *lying
    }

    /// The mark of whose drafts lie there: salted hashes, no names.
    fn mark(&self) -> Vec<u8> {
        let marks = self.person.as_ref().map(|person| person.marks(&io::salt()));
        serde_json::to_vec(&marks).unwrap_or_default()
    }

    /// `LFC-0117-gp-letter-draft.pdf`: told apart from those of other patients in any folder.
    fn files_of(&self, stem: &str) -> [PathBuf; 2] {
        let reference = self.reference();
        ["pdf", "txt"].map(|ending| self.folder.join(format!("{reference}-{stem}{DRAFT}.{ending}")))
    }

    fn reference(&self) -> String {
        self.folder.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }

    /// The drafts that lie there, each with the name of its document: `visit-note` also of
    /// `visit-note-2026-11-27-draft.pdf`.
    fn lying_there(&self) -> Result<Vec<(PathBuf, &'static str)>, Error> {
        let of = |file: PathBuf| {
            let name = file.file_name()?.to_str()?;
            let stem = name.strip_suffix(".pdf").or(name.strip_suffix(".txt"))?.strip_suffix(DRAFT)?;
            // Drafts of an older version of the tool have no reference in front.
            let stem = stem.strip_prefix(&format!("{}-", self.reference())).unwrap_or(stem);
            let is_its = |name: &&str| {
                stem.strip_prefix(*name).is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
            };
            let document = DOCUMENTS.iter().map(|document| document.name).find(is_its)?;
            Some((file, document))
        };
        // What lies elsewhere, behind a link, is not touched.
        if io::lies(&self.folder) != Some(io::Lies::Folder) {
            return Ok(Vec::new());
        }
        Ok(io::files_in(&self.folder)?.into_iter().filter_map(of).collect())
    }

    /// Removes the drafts that are no longer true: those of this run that it does not write anew, and
    /// all of them if they are not known to be this patient's. Nothing else is touched.
    fn remove(&self, written: &[PathBuf]) -> Result<Vec<PathBuf>, Error> {
        let is_same = self.person.is_none() || self.lying.is_some() && !self.is_of_another();
        let mut removed = Vec::new();
        for (file, document) in self.lying_there()? {
            let means = |only: &String| only == document || only.starts_with(&format!("{document}/"));
            let is_asked_for = self.only.is_empty() || self.only.iter().any(means);
            let is_stale = !written.contains(&file) && (is_asked_for || !is_same);
            if is_stale && io::remove_if_there(&file)? {
                removed.push(file);
            }
        }
        Ok(removed)
    }
}

/// Says by name what each document asked for still needs.
pub(super) fn nothing_ready(path: &Path, checked: &Checked, only: &[String]) -> Outcome {
    let mut stderr = format!("{}: no document can be made yet\n", path.shown());
    for readiness in &checked.readiness {
        if is_asked_for(readiness.paper, only) {
            let missing = List::and(readiness.missing.iter().map(|path| format!("`{path}`")));
            stderr.push_str(&format!("  {} needs {missing}\n", readiness.paper.name()));
        }
    }
    Outcome { exit: Exit::Findings, word: "not ready", stderr, ..Outcome::default() }
}
