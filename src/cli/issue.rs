//! `unguis issue`: final documents, numbered and entered in the register.

use std::collections::BTreeSet;
use std::path::Path;

use crate::anatomy::Matrix;
use crate::case::Patient;
use crate::cli::args::{Colour, Issue};
use crate::cli::draft::nothing_ready;
use crate::cli::load::{Clinics, Loaded, day, human, load_with, warm_press};
use crate::cli::many::{Outcome, Turn, over_cases};
use crate::cli::together::{Together, notes};
use crate::cli::{Error, Exit, io, passed_over};
use crate::date::CivilDate;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::render::{Style, render, summary};
use crate::documents::Paper;
use crate::facts::Facts;
use crate::hash::sha256;
use crate::identity::{Detail, FORM_OUTDATED};
use crate::pipeline::{Checked, Press, Version};
use crate::register::chain::Register;
use crate::store::ledger::{Batch, DocumentFate, Fate, Form, Latest, Ledger, Made, Numbered, Whose, whom};
use crate::typeset::Typesetter;
use crate::words::{List, Shown};

/// Issues every case.
pub(super) fn run(args: &Issue, colour: Colour) -> Result<Exit, Error> {
    let press = warm_press(args.output.templates.as_deref(), args.cases.jobs)?;
    let style = human(colour);
    let (ledger, told) = Ledger::open(&args.output.out)?;
    for told in told {
        io::eprint(&format!("{told}\n"));
    }
    io::eprint(&dated_otherwise(day(&args.cases.reading), io::today()));
    let cases = io::case_files(&args.cases.cases)?;
    io::eprint(&passed_over::note(&args.cases.cases));
    let together = Together::of(&cases, args.cases.jobs);
    let clinics = Clinics::default();
    let desk = Desk { args, press: &press, ledger: &ledger, together: &together, clinics: &clinics, style };
    let done = over_cases(&cases, args.cases.jobs, |path, turn| one(path, turn, &desk))?;
    if let Some(end) = ledger.grown_to() {
        io::eprint(&format!("the register ends at {end}\n"));
    }
    io::eprint(&done.summary);
    io::eprint(&ledger.close());
    Ok(done.exit)
}

/// A date of issue that is far from the clock's is said: it stands on every page.
fn dated_otherwise(date: CivilDate, today: CivilDate) -> String {
    if date.days_until(today).abs() <= 1 {
        return String::new();
    }
    format!(
        "note: the documents are dated {}, as `--today` says; the clock of this computer says {}\n",
        date.clinical(),
        today.clinical()
    )
}

/// What every case of a run shares.
struct Desk<'a> {
    args: &'a Issue,
    press: &'a Press,
    ledger: &'a Ledger,
    together: &'a Together,
    clinics: &'a Clinics,
    style: Style,
}

fn one(path: &Path, turn: Turn<'_>, desk: &Desk<'_>) -> Result<Outcome, Error> {
    let Desk { args, press, ledger, together, clinics, style } = *desk;
    let only = &args.output.only;
    let mut loaded = load_with(path, &args.cases.reading, clinics)?;
    let plan_sha256 = loaded.checked.facts.as_ref().map(plan_sha256).unwrap_or_default();
    let form = form(args, loaded.checked.facts.as_ref(), &plan_sha256);
    let found = ledger.look(|register| {
        let mut found = together.findings(path, &loaded, register);
        found.extend(outdated(&loaded, register, &form));
        found
    });
    loaded.checked.add(found);
    let checked = &loaded.checked;
    let (free, held) = match &checked.facts {
        Some(_) => checked.free_and_held(only),
        None => (Vec::new(), Vec::new()),
    };
    let Some((facts, person)) = checked.facts.as_ref().zip(loaded.person()).filter(|_| !free.is_empty())
    else {
        if checked.blocking() == 0 {
            return Ok(nothing_ready(path, checked, only));
        }
        let mut stderr = render(&checked.diagnostics, style);
        let found = summary(&checked.diagnostics);
        stderr.push_str(&format!("{}: {found}; nothing was issued\n", path.shown()));
        return Ok(Outcome { exit: Exit::Findings, word: "refused", stderr, ..Outcome::default() });
    };
    let named = args.by.as_deref().map(str::trim).filter(|by| !by.is_empty());
    let Some(by) = named.or_else(|| facts.operator().map(|operator| operator.name.as_str())) else {
        return Err(Error::Usage(
            "it is not said who issues: name the operator in the case, or use `--by`".into(),
        ));
    };
    let batch = Batch {
        case: path,
        reference: facts.case.reference.as_str(),
        person: &person,
        papers: &free,
        form,
        case_sha256: &sha256(&loaded.case),
        clinic_sha256: &sha256(&loaded.clinic.bytes),
        templates_sha256: &sha256(press.templates.provenance().join("\n").as_bytes()),
        by,
        because: args.because.as_deref(),
        amendment: facts.case.amendment.as_deref(),
        today: day(&args.cases.reading),
    };
    let names_patient = batch.reasons().any(|reason| names(&facts.case.patient, reason));
    let bench = Bench { path, loaded: &loaded, press };
    let prepared = ledger.prepare(&batch, turn.threads, |paper, numbered, whose| {
        turn.go_on()?;
        bench.make(paper, numbered, whose, batch.today)
    });
    Typesetter::evict();
    drop(turn);
    let fate = ledger.finish(prepared?)?;
    let is_amended = |fate: &DocumentFate| matches!(fate, DocumentFate::Issued { replaces: Some(_), .. });
    let is_entered = matches!(&fate, Fate::Done(fates) if fates.iter().any(is_amended));
    let mut outcome = worded(path, &batch, fate);
    if names_patient && is_entered {
        outcome.stderr.push_str(&format!(
            "note: {}: the reason seems to name the patient, and the register, which is to name nobody, keeps it: next \
             time say what was corrected, without a name\n",
            batch.reference
        ));
    }
    outcome.stderr.insert_str(0, &notes(&checked.diagnostics));
    if !held.is_empty() {
        say_held(path, checked, &held, style, &mut outcome);
    }
    Ok(outcome)
}

/// A reason holds a name of the patient as a word of its own. Names of one or two letters are words of any text.
fn names(patient: &Patient, reason: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        let words = text.split(|letter: char| !letter.is_alphabetic());
        words.filter(|word| word.chars().count() > 2).map(str::to_lowercase).collect()
    };
    let names: Vec<String> = patient.names().flat_map(words).collect();
    words(reason).iter().any(|word| names.contains(word))
}

/// The form that the patient signs, and how it stands.
fn form<'a>(args: &Issue, facts: Option<&Facts>, plan_sha256: &'a str) -> Form<'a> {
    let has_reason = args.because.as_deref().is_some_and(|because| !because.trim().is_empty());
    Form {
        document: CONSENT_FORM,
        plan_sha256,
        signed: facts.and_then(|facts| facts.case.consent.as_ref()).and_then(|consent| consent.signed),
        is_asked_for: has_reason && args.output.only.iter().any(|only| only == CONSENT_FORM),
    }
}

/// The form that the patient signs.
pub(super) const CONSENT_FORM: &str = "consent-form";

/// A hash of what is planned: toe, nail, edges and phenol, in one spelling.
pub(super) fn plan_sha256(facts: &Facts) -> String {
    let toes = facts.planned().into_iter().map(|(toe, planned)| {
        let mut edges: Vec<&str> = planned.edges.iter().map(|edge| edge.word()).collect();
        edges.sort_unstable();
        edges.dedup();
        let matrix = if planned.matrix == Matrix::Phenol { "phenol" } else { "none" };
        format!("{} {} {} {matrix}\n", toe.code(), planned.nail.word(), edges.join("+"))
    });
    sha256(toes.collect::<String>().as_bytes())
}

/// The form was issued and signed for another plan.
fn outdated(loaded: &Loaded, register: &Register, form: &Form<'_>) -> Option<Diagnostic> {
    let latest = register.latest(loaded.checked.reference.as_deref()?, form.document)?;
    if !form.is_outdated(Some(latest)) {
        return None;
    }
    let (version, date) = (latest.version, latest.date.clinical());
    let says = format!("version {version} of the form, of {date}, was made for another plan");
    let read = loaded.read.as_ref()?;
    Some(read.compared(&FORM_OUTDATED, FORM_OUTDATED.severity, "plan", says))
}

/// Which documents were not issued, and which findings hold each.
fn say_held(path: &Path, checked: &Checked, held: &[Paper], style: Style, outcome: &mut Outcome) {
    let open: Vec<Diagnostic> =
        checked.diagnostics.iter().filter(|found| found.blocks_issue()).cloned().collect();
    let mut lines = format!("{}: {}\n", path.shown(), summary(&checked.diagnostics));
    for paper in held {
        let by: BTreeSet<&str> = checked.held(*paper).map(|found| found.rule).collect();
        lines.push_str(&format!("  {} is held by {}\n", paper.name(), List::and(by)));
    }
    outcome.stderr.push_str(&render(&open, style));
    outcome.stderr.push_str(&lines);
    outcome.exit = outcome.exit.max(Exit::Findings);
    if outcome.word != "refused" {
        outcome.word = "held in part";
    }
}

/// Sets the documents of one case as of any day.
pub(super) struct Bench<'a> {
    /// The case file's name.
    pub(super) path: &'a Path,
    /// The case as read.
    pub(super) loaded: &'a Loaded,
    /// Templates and fonts.
    pub(super) press: &'a Press,
}

impl Bench<'_> {
    /// Sets a paper as it would have been on the day it was issued: so only what was changed in
    /// the files since then differs, not what the calendar changes.
    pub(super) fn make(
        &self,
        paper: Paper,
        numbered: &Numbered,
        whose: Whose,
        today: CivilDate,
    ) -> Result<Made, Error> {
        let another_day;
        let checked = match &self.loaded.read {
            Some(read) if numbered.made_on != today => {
                another_day = read.judged_on(numbered.made_on);
                &another_day
            }
            _ => &self.loaded.checked,
        };
        let Some(facts) = checked.facts.as_ref() else { return Err(Error::Broke(self.path.to_owned())) };
        let version = Version::Issue { version: numbered.version, replaces: numbered.replaces.clone() };
        let edition = checked.edition(version, numbered.made_on);
        if whose == Whose::Nobody {
            let text = self.press.words_of_nobody(paper, facts, &edition)?;
            return Ok(Made { pdf: Vec::new(), text });
        }
        let set = self.press.set(paper, facts, &edition)?;
        Ok(Made { pdf: set.pdf, text: set.text })
    }
}

fn worded(path: &Path, batch: &Batch<'_>, fate: Fate) -> Outcome {
    let fates = match fate {
        Fate::Done(fates) => fates,
        Fate::ReasonWanted(changed, details) => return reason_wanted(path, &changed, &details),
    };
    let mut outcome = Outcome { word: "unchanged", ..Outcome::default() };
    for fate in fates {
        match fate {
            DocumentFate::Issued { file, replaces } => {
                outcome.word = "issued";
                outcome.stdout.push_str(&format!("{}\n", file.shown()));
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
            DocumentFate::Closed(latest, signed, has_plan) => {
                outcome.stderr.push_str(&format!(
                    "{}: {} was signed on {}, so version {} of {} is left as it is; another one is made only with \
                     `--only {} --because …`\n",
                    batch.reference,
                    latest.document,
                    signed.clinical(),
                    latest.version,
                    latest.date.clinical(),
                    latest.document
                ));
                if !has_plan {
                    outcome.stderr.push_str(
                        "  an older version issued it, so whether it is about the present plan cannot be told: look at \
                         it\n",
                    );
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

fn reason_wanted(path: &Path, changed: &[Latest], details: &[Detail]) -> Outcome {
    let changed = changed.iter().map(|latest| {
        format!("{} (version {} of {})", latest.document, latest.version, latest.date.clinical())
    });
    let details = details.iter().map(|detail| format!("{} of the patient", detail.words()));
    let stderr = format!(
        "{}: changed since it was issued, and no new reason given: {}; nothing was issued\n  help: see what changed \
         with `unguis compare`; then say why with `--because` or `amendment:` in the case file, or choose \
         other documents with `--only`\n",
        path.shown(),
        List::and(details.chain(changed))
    );
    Outcome { exit: Exit::Findings, word: "refused", stderr, ..Outcome::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_date_far_from_the_clocks_is_said() {
        let day = |day| CivilDate::of(2026, 11, day).expect("a literal date");
        for near in [24, 25, 26] {
            assert_eq!(dated_otherwise(day(near), day(25)), "", "{near}");
        }
        assert!(dated_otherwise(day(23), day(25)).contains("dated 23-Nov-2026"));
        assert!(dated_otherwise(day(27), day(25)).contains("clock of this computer says 25-Nov-2026"));
    }

    #[test]
    fn a_reason_that_names_the_patient_is_seen() {
        let facts = facts_of("patient: {given: Imogen Mai, family: O\u{2019}Hara-Lindsey, preferred: Midge}");
        let patient = &facts.case.patient;
        for named in ["Imogen rang", "as (MIDGE) said", "Ms Lindsey's address", "for mai"] {
            assert!(names(patient, named), "{named}");
        }
        for plain in ["batch number mistyped", "the patient rang", "", "imogene", "o"] {
            assert!(!names(patient, plain), "{plain}");
        }
    }

    #[test]
    fn a_plan_is_another_if_toe_edge_nail_or_phenol_is() {
        let plan = |plan: &str| plan_sha256(&facts_of(&format!("plan: {{{plan}}}")));
        let one = plan("L1: {nail: partial, edges: [lateral, medial], matrix: phenol}");
        assert_eq!(one, plan("L1: {nail: partial, edges: [medial, lateral], matrix: phenol}"));
        for other in [
            "R1: {nail: partial, edges: [lateral, medial], matrix: phenol}",
            "L1: {nail: partial, edges: [lateral], matrix: phenol}",
            "L1: {nail: total, edges: ~, matrix: phenol}",
            "L1: {nail: partial, edges: [lateral, medial], matrix: none}",
        ] {
            assert_ne!(one, plan(other), "{other}");
        }
    }
}
