//! `unguis issue`: final documents, numbered and entered in the register.

use std::path::Path;

use crate::case::read_text;
use crate::cli::args::{Colour, Issue};
use crate::cli::draft::nothing_ready;
use crate::cli::ledger::{Batch, DocumentFate, Fate, Latest, Ledger, Made, Numbered};
use crate::cli::load::{Loaded, clinic_beside, day, human, load, press};
use crate::cli::many::{Outcome, Turn, over_cases};
use crate::cli::sent::whom;
use crate::cli::{Error, Exit, io};
use crate::date::CivilDate;
use crate::diagnostic::english::List;
use crate::diagnostic::render::{Style, render, summary};
use crate::documents::document;
use crate::pipeline::{self, Checked, Press, Version};
use crate::typeset::Typesetter;

/// Issues every case.
pub(super) fn run(args: &Issue, colour: Colour) -> Result<Exit, Error> {
    let press = press(args.output.templates.as_deref())?;
    let style = human(colour);
    let (ledger, told) = Ledger::open(&args.output.out)?;
    for told in told {
        io::eprint(&format!("{told}\n"));
    }
    let desk = Desk { args, press: &press, ledger: &ledger, style };
    let done = over_cases(&args.cases.cases, args.cases.jobs, |path, turn| one(path, turn, &desk))?;
    io::eprint(&done.summary);
    ledger.close()?;
    Ok(done.exit)
}

/// What every case of a run shares.
struct Desk<'a> {
    args: &'a Issue,
    press: &'a Press,
    ledger: &'a Ledger,
    style: Style,
}

fn one(path: &Path, turn: Turn<'_>, desk: &Desk<'_>) -> Result<Outcome, Error> {
    let Desk { args, press, ledger, style } = *desk;
    let loaded = load(path, &args.cases.reading)?;
    let checked = &loaded.checked;
    let Some(facts) = checked.facts.as_ref().filter(|_| checked.blocking() == 0) else {
        let mut stderr = render(&checked.diagnostics, style);
        let found = summary(&checked.diagnostics);
        stderr.push_str(&format!("{}: {found}; nothing was issued\n", path.display()));
        return Ok(Outcome { exit: Exit::Findings, word: "refused", stderr, ..Outcome::default() });
    };
    let documents: Vec<&'static str> =
        checked.ready(&args.output.only).into_iter().map(|document| document.name).collect();
    if documents.is_empty() {
        return Ok(nothing_ready(path, checked, &args.output.only));
    }
    let named = args.by.as_deref().map(str::trim).filter(|by| !by.is_empty());
    let Some(by) = named.or_else(|| facts.operator().map(|operator| operator.name.as_str())) else {
        return Err(Error::Usage(
            "it is not said who issues: name the operator in the case, or use `--by`".into(),
        ));
    };
    let batch = Batch {
        case: path,
        reference: facts.case.reference.as_str(),
        documents: &documents,
        case_sha256: &io::sha256(&loaded.case),
        clinic_sha256: &io::sha256(&loaded.clinic),
        templates_sha256: &io::sha256(press.templates.provenance().join("\n").as_bytes()),
        by,
        because: args.because.as_deref(),
        amendment: facts.case.amendment.as_deref(),
        today: day(&args.cases.reading),
    };
    let bench = Bench { path, loaded: &loaded, clinic: &clinic_beside(path, &args.cases.reading), press };
    let prepared = ledger.prepare(&batch, |document, numbered| {
        turn.go_on()?;
        bench.make(document, numbered, batch.today)
    });
    Typesetter::evict();
    drop(turn);
    Ok(worded(path, &batch, ledger.finish(prepared?)?))
}

/// Sets the documents of one case as of any day.
pub(super) struct Bench<'a> {
    /// The case file's name.
    pub(super) path: &'a Path,
    /// The case as read.
    pub(super) loaded: &'a Loaded,
    /// The clinic file's name.
    pub(super) clinic: &'a Path,
    /// Templates and fonts.
    pub(super) press: &'a Press,
}

impl Bench<'_> {
    /// Sets a document as it would have been on the day it was issued: so only what was changed in
    /// the files since then differs, not what the calendar changes.
    pub(super) fn make(
        &self,
        name: &'static str,
        numbered: &Numbered,
        today: CivilDate,
    ) -> Result<Made, Error> {
        let another_day;
        let checked = if numbered.made_on == today {
            &self.loaded.checked
        } else {
            another_day = self.checked_on(numbered.made_on)?;
            &another_day
        };
        let (Some(facts), Some(document)) = (checked.facts.as_ref(), document(name)) else {
            return Err(Error::Broke(self.path.to_owned()));
        };
        let version = Version::Issue { version: numbered.version, replaces: numbered.replaces.clone() };
        let set = self.press.set(document, facts, &checked.edition(version, numbered.made_on))?;
        Ok(Made { pdf: set.pdf, text: set.text })
    }

    fn checked_on(&self, day: CivilDate) -> Result<Checked, Error> {
        let text = |path: &Path, bytes: &[u8]| {
            let read = read_text(&path.display().to_string(), bytes);
            // Both were read before; what is unreadable was refused then.
            read.map_err(|_| Error::Broke(self.path.to_owned()))
        };
        let case = text(self.path, &self.loaded.case)?;
        let clinic = text(self.clinic, &self.loaded.clinic)?;
        Ok(pipeline::check(case.into(), &clinic.into(), day))
    }
}

fn worded(path: &Path, batch: &Batch<'_>, fate: Fate) -> Outcome {
    let fates = match fate {
        Fate::Done(fates) => fates,
        Fate::ReasonWanted(changed) => return reason_wanted(path, &changed),
    };
    let mut outcome = Outcome { word: "unchanged", ..Outcome::default() };
    for fate in fates {
        match fate {
            DocumentFate::Issued { file, replaces } => {
                outcome.word = "issued";
                outcome.stdout.push_str(&format!("{}\n", file.display()));
                if let Some((old, sent)) = replaces.filter(|(_, sent)| !sent.is_empty()) {
                    let gone =
                        sent.iter().map(|sent| format!("{} on {}", whom(&sent.to), sent.date.clinical()));
                    outcome.stderr.push_str(&format!(
                        "{}: version {} of {} has gone to {}: send the new one too\n",
                        batch.reference,
                        old.version,
                        old.document,
                        List::and(gone)
                    ));
                }
            }
            DocumentFate::Unchanged(latest) => outcome.stderr.push_str(&format!(
                "{}: {} is unchanged since version {} of {}: no new version\n",
                batch.reference,
                latest.document,
                latest.version,
                latest.date.clinical()
            )),
        }
    }
    outcome
}

fn reason_wanted(path: &Path, changed: &[Latest]) -> Outcome {
    let changed = changed.iter().map(|latest| {
        format!("{} (version {} of {})", latest.document, latest.version, latest.date.clinical())
    });
    let stderr = format!(
        "{}: changed since it was issued, and no new reason given: {}; nothing was issued\n  help: see what changed \
         with `unguis compare`; then say why with `--because` or `amendment:` in the case file, or choose \
         other documents with `--only`\n",
        path.display(),
        List::and(changed)
    );
    Outcome { exit: Exit::Findings, word: "refused", stderr, ..Outcome::default() }
}
