//! The one way through the code: read a case, judge it on a day, then set its documents. In memory,
//! pure.
//!
//! No file, no environment, no clock: texts, today and the press come in; findings, PDFs and
//! plain text go out.

mod identity_words;

use std::collections::BTreeSet;
use std::fmt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use serde_json::Value as Json;

use crate::case::{
    self, Case, ChiNumberText, Clinic, HcNumberText, NhsNumberText, Reference, Shelf, read_case_with,
    read_clinic,
};
use crate::date::CivilDate;
use crate::diagnostic::{Diagnostic, File, Finding, Label, Path, Severity, SourceText, Span};
use crate::documents::{
    AnsweredCaution, DOCUMENTS, Edition, List as Listed, Paper, Replaces, Said, Template, missing_words,
    papers,
};
use crate::facts::{Facts, Open};
use crate::identity::{Comparison, Person};
use crate::render::{BREAK, TemplateError, Templates, TypstSource};
use crate::rules::{
    self,
    accept::{Judged, judge},
};
use crate::typeset::{
    DraftMark, Layout, MAIN, PdfMeta, STACK, SourceProblem, Typeset, TypesetError, Typesetter,
    calculate_alone, syntax, unprintable,
};
use crate::units::TextValue as _;
use crate::words::List;

/// What checking a case gave.
#[derive(Debug)]
pub struct Checked {
    /// The reference, where it could be read.
    pub reference: Option<String>,
    /// Everything that was found, in file order within each weight.
    pub diagnostics: Vec<Diagnostic>,
    /// The facts; `None` if a file was unreadable.
    pub facts: Option<Facts>,
    /// What each paper still needs.
    pub readiness: Vec<Readiness>,
}

/// What one paper still needs.
#[derive(Debug, Clone)]
pub struct Readiness {
    /// The paper.
    pub paper: Paper,
    /// Missing keys; none if it can be made.
    pub missing: Vec<Path>,
}

impl Readiness {
    /// It can be made.
    pub fn is_ready(&self) -> bool {
        self.missing.is_empty()
    }
}

impl Checked {
    /// A case of which not even the text could be taken in.
    pub fn unreadable(mut diagnostics: Vec<Diagnostic>) -> Checked {
        hold_everything(&mut diagnostics);
        Checked { reference: None, diagnostics, facts: None, readiness: nothing_ready() }
    }

    /// Findings that need more than this case.
    pub fn add(&mut self, found: impl IntoIterator<Item = Diagnostic>) {
        self.diagnostics.extend(found);
        sort(&mut self.diagnostics);
    }

    /// How many findings of a weight stand in the way of issuing.
    pub fn blocking(&self) -> usize {
        self.diagnostics.iter().filter(|diagnostic| diagnostic.blocks_issue()).count()
    }

    /// The open findings, as a list shows them.
    pub fn open(&self) -> Vec<Open> {
        open_of(&self.diagnostics)
    }

    /// The open findings that hold a paper back.
    pub fn held(&self, paper: Paper) -> impl Iterator<Item = &Diagnostic> {
        self.diagnostics.iter().filter(move |diagnostic| {
            diagnostic.blocks_issue()
                && diagnostic.holds.contains(&paper.document.name)
                && !is_of_another_visit(paper, &diagnostic.path)
        })
    }

    /// Of those asked for (all if none is named), the papers that can be issued, and those that an open
    /// finding holds back. What cannot be made yet is held only if the finding is about what it misses:
    /// before surgery nothing holds an operation note.
    pub fn free_and_held(&self, only: &[String]) -> (Vec<Paper>, Vec<Paper>) {
        let (mut free, mut held) = (Vec::new(), Vec::new());
        for Readiness { paper, missing } in &self.readiness {
            let is_asked_for = is_asked_for(*paper, only);
            let mut open = self.held(*paper).peekable();
            let is_free = missing.is_empty() && open.peek().is_none();
            if is_asked_for && is_free {
                free.push(*paper);
            } else if is_asked_for && open.any(|found| missing.is_empty() || missing.contains(&found.path)) {
                held.push(*paper);
            }
        }
        (free, held)
    }

    /// The papers that can be made, of those asked for (all if none is named).
    pub fn ready(&self, only: &[String]) -> Vec<Paper> {
        self.readiness
            .iter()
            .filter(|readiness| readiness.is_ready())
            .map(|readiness| readiness.paper)
            .filter(|paper| is_asked_for(*paper, only))
            .collect()
    }

    /// The edition of a document as it stands now: cautions answered and findings open.
    pub fn edition(&self, version: Version, made_on: CivilDate) -> Edition {
        let answered = self.diagnostics.iter().filter_map(|diagnostic| {
            let answer = diagnostic.answered.as_ref()?;
            Some(AnsweredCaution {
                title: diagnostic.title.clone(),
                says: diagnostic.primary.text.clone(),
                because: answer.because.clone(),
                by: answer.by.clone(),
                incident: answer.incident(),
                concerns_the_practice: crate::rules::FOR_THE_PRACTICE.contains(&diagnostic.rule),
            })
        });
        let open = self.diagnostics.iter().filter(|diagnostic| diagnostic.blocks_issue()).map(|diagnostic| {
            format!("{}: {}: {}", diagnostic.severity.word(), diagnostic.title, diagnostic.primary.text)
        });
        let (is_draft, version, replaces) = match version {
            Version::Draft => (true, 0, None),
            Version::Issue { version, replaces } => (false, version, replaces),
        };
        Edition { is_draft, version, made_on, replaces, answered: answered.collect(), open: open.collect() }
    }
}

/// True if a paper is one of those that were named, or none was.
pub fn is_asked_for(paper: Paper, only: &[String]) -> bool {
    only.is_empty() || only.iter().any(|name| paper.is_called(name))
}

/// True if a place in the case file belongs to another visit than the one that a paper is about.
fn is_of_another_visit(paper: Paper, path: &Path) -> bool {
    let Some(own) = paper.visit else { return false };
    let path = path.to_string();
    path.starts_with("visits[") && !path.starts_with(&format!("visits[{}]", own.at))
}

/// Draft, or a numbered issue.
#[derive(Debug, Clone)]
pub enum Version {
    /// Marked DRAFT.
    Draft,
    /// Numbered from 1.
    Issue {
        /// The number.
        version: u32,
        /// What it replaces.
        replaces: Option<Replaces>,
    },
}

/// Reads, derives and judges one case.
pub fn check(case: Arc<SourceText>, clinic: &Arc<SourceText>, today: CivilDate) -> Checked {
    read(case, clinic).judged_on(today)
}

/// A case and its clinic file as read, not yet judged.
#[derive(Debug, Clone)]
pub struct Read {
    case: case::Read<Case>,
    clinic: Arc<case::Read<Clinic>>,
    unprintable: Vec<Unprintable>,
}

/// A text that the typefaces cannot show.
#[derive(Debug, Clone)]
struct Unprintable {
    finding: Diagnostic,
    /// The characters that they lack, as they may be printed: names in capitals too.
    lacking: Vec<String>,
}

/// A clinic file as read, for the many cases that it goes with.
#[derive(Debug, Clone)]
pub struct ClinicRead {
    clinic: Arc<case::Read<Clinic>>,
    unprintable: Vec<Unprintable>,
}

impl ClinicRead {
    /// Reads a clinic file.
    pub fn of(source: &Arc<SourceText>) -> ClinicRead {
        let clinic = read_clinic(source.clone());
        ClinicRead { unprintable: unprintable_texts(&clinic), clinic: Arc::new(clinic) }
    }

    /// The clinic, if it could be read.
    pub fn clinic(&self) -> Option<&Clinic> {
        self.clinic.value.as_deref()
    }
}

/// Reads a case and its clinic file.
pub fn read(case: Arc<SourceText>, clinic: &Arc<SourceText>) -> Read {
    read_with(case, &ClinicRead::of(clinic))
}

/// Reads a case that goes with a clinic file which was read before.
pub fn read_with(case: Arc<SourceText>, clinic: &ClinicRead) -> Read {
    let shelf = clinic.clinic().map_or(Shelf::Unread, |known| Shelf::Known(&known.supplies));
    let mut case = read_case_with(case, shelf);
    if let Some(known) = clinic.clinic() {
        case.value = case.value.map(|case| Arc::new(Arc::unwrap_or_clone(case).with_keys_of(known)));
    }
    let unprintable = [unprintable_texts(&case), clinic.unprintable.clone()].concat();
    Read { case, clinic: clinic.clinic.clone(), unprintable }
}

impl Read {
    /// The patient, if the case could be read.
    pub fn person(&self) -> Option<Person> {
        self.case.value.as_deref().map(Person::of)
    }

    /// Derives and judges, as of a day.
    pub fn judged_on(&self, today: CivilDate) -> Checked {
        let mut diagnostics = [self.case.diagnostics.as_slice(), &self.clinic.diagnostics].concat();
        // The reader does not know which documents there are: what it cannot read holds them all.
        hold_everything(&mut diagnostics);
        let Some(facts) = self.facts_on(today) else {
            diagnostics.extend(self.unprintable.iter().map(|text| text.finding.clone()));
            let reference = self.reference();
            return Checked { reference, diagnostics, facts: None, readiness: nothing_ready() };
        };
        let on_paper = self.unprintable_on(&facts);
        diagnostics.extend(self.holding(&on_paper));
        diagnostics.extend(judge(&facts).into_iter().map(|judged| self.locate(judged)));
        sort(&mut diagnostics);
        // Not even a draft can show what no typeface has.
        let to_mend = |paper: Paper| {
            let is_held =
                |papers: &Option<Vec<Paper>>| papers.as_ref().is_none_or(|papers| papers.contains(&paper));
            let here = self.unprintable.iter().zip(&on_paper).filter(|(_, papers)| is_held(papers));
            let here = here.map(|(text, _)| text.finding.path.clone());
            paper.missing(&facts).into_iter().chain(here).collect()
        };
        let readiness =
            papers(&facts).into_iter().map(|paper| Readiness { paper, missing: to_mend(paper) }).collect();
        Checked { reference: self.reference(), diagnostics, facts: Some(facts), readiness }
    }

    /// For each text that the typefaces cannot show, the papers that may print it: those in whose view one of
    /// its characters stands, and those of which no view can be made yet. `None` for all, also where no view has it.
    fn unprintable_on(&self, facts: &Facts) -> Vec<Option<Vec<Paper>>> {
        if self.unprintable.is_empty() {
            return Vec::new();
        }
        let edition = Edition::draft(facts.today);
        let all: Vec<Paper> = papers(facts);
        let printed = |paper: &Paper| {
            let view = paper.missing(facts).is_empty().then(|| paper.view(facts, &edition))?;
            let mut all = BTreeSet::new();
            texts(&view, &mut all);
            Some(all.into_iter().collect::<Vec<_>>().join("\n"))
        };
        let printed: Vec<Option<String>> = all.iter().map(printed).collect();
        let of = |text: &Unprintable| {
            // These go with the edition and not with the case.
            let path = text.finding.path.to_string();
            let is_of_the_edition = ["accepted", "amendment"].iter().any(|key| path.starts_with(key));
            let has = |words: &String| text.lacking.iter().any(|lacking| words.contains(lacking));
            if is_of_the_edition || !printed.iter().flatten().any(has) {
                return None;
            }
            let held = all.iter().zip(&printed).filter(|(_, words)| words.as_ref().is_none_or(has));
            let held: Vec<Paper> = held.map(|(paper, _)| *paper).collect();
            (held.len() < all.len()).then_some(held)
        };
        self.unprintable.iter().map(of).collect()
    }

    /// The findings of the texts that cannot be shown, each with the documents that it holds.
    fn holding<'a>(&'a self, on_paper: &'a [Option<Vec<Paper>>]) -> impl Iterator<Item = Diagnostic> + 'a {
        self.unprintable.iter().zip(on_paper).map(|(text, papers)| {
            let mut finding = text.finding.clone();
            if let Some(papers) = papers {
                finding.holds.retain(|name| papers.iter().any(|paper| paper.document.name == *name));
                finding.holds_all = false;
            }
            finding
        })
    }

    /// What could not be read.
    pub fn problems(&self) -> Vec<Diagnostic> {
        [self.case.diagnostics.as_slice(), &self.clinic.diagnostics].concat()
    }

    /// The open findings of facts that were worked out from this case, as a list shows them.
    pub fn open_in(&self, facts: &Facts) -> Vec<Open> {
        let mut diagnostics: Vec<Diagnostic> = self.holding(&self.unprintable_on(facts)).collect();
        diagnostics.extend(judge(facts).into_iter().map(|judged| self.locate(judged)));
        sort(&mut diagnostics);
        open_of(&diagnostics)
    }

    /// Everything worked out as of a day; `None` if a file was unreadable.
    pub fn facts_on(&self, today: CivilDate) -> Option<Facts> {
        Some(Facts::new(self.case.value.clone()?, self.clinic.value.clone()?, today))
    }

    /// The reference, also of a file that is otherwise unreadable, as far as it stands on a line of its
    /// own.
    fn reference(&self) -> Option<String> {
        if let Some(case) = &self.case.value {
            return Some(case.reference.to_string());
        }
        let line = self.case.source.text().lines().find_map(|line| line.strip_prefix("reference:"))?;
        let word = line.split_whitespace().next()?.trim_matches(['"', '\'']);
        Reference::parse(word).ok().map(|reference| reference.to_string())
    }

    /// A finding about the reference or the patient that the case alone does not show.
    pub fn compared(
        &self,
        found: &'static Comparison,
        severity: Severity,
        path: &str,
        says: impl Into<String>,
    ) -> Diagnostic {
        let path = Path::from(path);
        let every = every_document();
        Diagnostic {
            rule: found.name,
            severity,
            title: found.title.to_owned(),
            primary: self.label(File::Case, &path, false, says.into()),
            path,
            others: Vec::new(),
            why: Some(found.why.to_owned()),
            source: None,
            help: Some(found.help.to_owned()),
            answered: None,
            holds_all: found.holds.is_none(),
            holds: found.holds.map_or(every, <[_]>::to_vec),
        }
    }

    fn locate(&self, judged: Judged) -> Diagnostic {
        let Judged { rule, finding, severity, answer } = judged;
        let Finding { path, file, at_key, says, see, see_in_clinic, fix, severity: _ } = finding;
        let primary = self.label(file, &path, at_key, says);
        let others = see.into_iter().map(|(path, text)| self.label(file, &path, false, text));
        let in_clinic = see_in_clinic.into_iter();
        let in_clinic = in_clinic.map(|(path, text)| self.label(File::Clinic, &path, false, text));
        let others = others.chain(in_clinic).collect();
        let holds: Vec<&'static str> =
            every_document().into_iter().filter(|name| rule.holds.holds(name)).collect();
        Diagnostic {
            rule: rule.name,
            severity,
            title: rule.title.to_owned(),
            path,
            primary,
            others,
            why: Some(rule.why.to_owned()),
            source: Some(rule.cite.to_string()),
            help: fix,
            answered: answer,
            holds_all: holds.len() == DOCUMENTS.len(),
            holds,
        }
    }

    fn label(&self, file: File, path: &Path, at_key: bool, text: String) -> Label {
        let (source, spans) = match file {
            File::Case => (&self.case.source, &self.case.spans),
            File::Clinic => (&self.clinic.source, &self.clinic.spans),
        };
        Label { source: source.clone(), span: spans.nearest(path, at_key), text }
    }
}

fn open_of(diagnostics: &[Diagnostic]) -> Vec<Open> {
    let open = diagnostics.iter().filter(|diagnostic| diagnostic.blocks_issue());
    open.map(|diagnostic| Open {
        rule: diagnostic.rule,
        is_stop: diagnostic.severity < Severity::Caution,
        title: diagnostic.title.clone(),
        says: diagnostic.primary.text.clone(),
        holds: diagnostic.holds.clone(),
    })
    .collect()
}

/// Open ones first, the gravest first, in the order of the file.
fn sort(diagnostics: &mut [Diagnostic]) {
    diagnostics.sort_by_key(|diagnostic| {
        (diagnostic.answered.is_some(), diagnostic.severity, diagnostic.primary.span.start)
    });
}

/// Reads a clinic file alone, and says what the pages would miss in it.
pub fn check_clinic(source: &Arc<SourceText>) -> Vec<Diagnostic> {
    let read = read(Arc::new(SourceText::new("", "")), source);
    let mut diagnostics: Vec<Diagnostic> =
        unprintable_texts(&read.clinic).into_iter().map(|text| text.finding).collect();
    diagnostics.extend(read.clinic.diagnostics.iter().cloned());
    hold_everything(&mut diagnostics);
    let found = read.clinic.value.as_deref().map_or_else(Vec::new, rules::check_clinic);
    diagnostics.extend(found.into_iter().map(|(rule, finding)| {
        let severity = finding.severity.unwrap_or(rule.severity);
        read.locate(Judged { rule, finding, severity, answer: None })
    }));
    sort(&mut diagnostics);
    diagnostics
}

/// The name of the finding that the typefaces lack a character. It is no clinical rule: what can be
/// printed is known here and nowhere above.
pub const NOT_PRINTABLE: &str = "character-not-printable";
/// Its headline.
pub const NOT_PRINTABLE_TITLE: &str = "a character cannot be printed";
/// Why it stops a document.
pub const NOT_PRINTABLE_WHY: &str = "A gap or a box in a name or an instruction would be read over.";
/// What to do about it.
pub const NOT_PRINTABLE_HELP: &str = "write it another way, in letters with or without accents";

/// A finding for every text of a file that the typefaces cannot show, at its first such character.
fn unprintable_texts<T>(read: &case::Read<T>) -> Vec<Unprintable> {
    let found = read.unusual_texts.iter().filter_map(|(path, text)| {
        let lacking = unprintable(text);
        let named = lacking.iter().map(|cluster| {
            let codes: Vec<String> = cluster.chars().map(|c| format!("U+{:04X}", u32::from(c))).collect();
            format!("`{cluster}` ({})", codes.join(" "))
        });
        let label = format!("no typeface here has {}", List::or(named));
        let value = read.spans.nearest(path, false);
        // A character written as `\u6F22` or below the first line is shown by the value's own place.
        let at = read.source.text().get(value.start..value.end)?.find(lacking.first().copied()?);
        let span = at.map_or(value, |at| Span::new(value.start + at, value.start + at + lacking[0].len()));
        let finding = Diagnostic {
            rule: NOT_PRINTABLE,
            severity: Severity::Stop,
            title: NOT_PRINTABLE_TITLE.to_owned(),
            path: path.clone(),
            primary: Label { source: read.source.clone(), span, text: label },
            others: Vec::new(),
            why: Some(NOT_PRINTABLE_WHY.to_owned()),
            source: None,
            help: Some(NOT_PRINTABLE_HELP.to_owned()),
            answered: None,
            holds: every_document(),
            holds_all: true,
        };
        let cases = |cluster: &&str| [cluster.to_string(), cluster.to_uppercase(), cluster.to_lowercase()];
        Some(Unprintable { finding, lacking: lacking.iter().flat_map(cases).collect() })
    });
    found.collect()
}

/// The names of all documents.
fn every_document() -> Vec<&'static str> {
    DOCUMENTS.iter().map(|document| document.name).collect()
}

fn hold_everything(diagnostics: &mut [Diagnostic]) {
    for diagnostic in diagnostics {
        diagnostic.holds = every_document();
        diagnostic.holds_all = true;
    }
}

/// Where the files could not be read, every document misses the whole of them.
fn nothing_ready() -> Vec<Readiness> {
    DOCUMENTS
        .iter()
        .map(|document| Readiness { paper: Paper::once(document), missing: vec![Path::root()] })
        .collect()
}

/// Why a document could not be set.
#[derive(Debug, thiserror::Error)]
#[error("the {document} could not be set")]
pub struct SetError {
    /// The document.
    pub document: &'static str,
    /// The clinic's own templates were used: the fault may be theirs.
    pub has_own_templates: bool,
    /// What is wrong.
    #[source]
    pub fault: SetFault,
}

/// What was wrong when a document could not be set.
#[derive(Debug, thiserror::Error)]
pub enum SetFault {
    /// The template could not be filled.
    #[error(transparent)]
    Template(TemplateError),
    /// The filled template could not be set. Places are those of the templates.
    #[error(transparent)]
    Typeset(TypesetError),
    /// What a clinic's own templates made of this case is not safe to be read.
    #[error("{}", .0.join("\n"))]
    Unsafe(Vec<String>),
}

impl SetError {
    /// Each mistake in a line, `file:line: what is wrong`; of several on one line the first, since the
    /// others tend to follow from it.
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        match &self.fault {
            SetFault::Template(problem) => lines.push(problem.to_string()),
            SetFault::Unsafe(faults) => lines.extend(faults.iter().cloned()),
            SetFault::Typeset(TypesetError::Source(problems)) => {
                let mut seen = Vec::new();
                for problem in problems {
                    let place = (&problem.file, problem.line);
                    if !seen.contains(&place) {
                        seen.push(place);
                        lines.push(problem.to_string());
                    }
                }
            }
            SetFault::Typeset(other) => lines.extend(other.to_string().lines().map(str::to_owned)),
        }
        lines
    }
}

/// What the PDF of a list says of itself.
#[derive(Debug, Clone, Copy)]
pub struct ListMeta<'a> {
    /// What it is about: a day, a lot, a period; may be empty.
    pub about: &'a str,
    /// The clinic.
    pub clinic: &'a str,
    /// The day on which it was made.
    pub on: CivilDate,
}

/// The same source without the lines that keep dates in one piece: then a date may end a line.
fn without_whole_dates(source: TypstSource) -> TypstSource {
    let is_other = |line: &str| !line.trim_start().starts_with("#show: whole");
    let lines = source.main.split('\n').map(|line| if is_other(line) { line } else { "" });
    TypstSource { main: lines.collect::<Vec<_>>().join("\n"), ..source }
}

/// More pages than the longest case takes.
const MOST_PAGES: usize = 200;

/// Every text of a view.
fn texts<'a>(view: &'a Json, into: &mut BTreeSet<&'a str>) {
    match view {
        Json::String(text) => {
            into.insert(text);
        }
        Json::Array(items) => items.iter().for_each(|item| texts(item, into)),
        Json::Object(keys) => keys.values().for_each(|value| texts(value, into)),
        _ => {}
    }
}

/// Templates and fonts, made once and shared by every case and thread.
#[derive(Debug)]
pub struct Press {
    /// The templates.
    pub templates: Templates,
    /// The fonts and the Typst library.
    pub typesetter: Typesetter,
    watch: Option<Arc<dyn Watch>>,
    warmth: Warmth,
}

/// What is made ready before the first document asks for it.
#[derive(Debug, Default)]
struct Warmth {
    /// Somebody is at it.
    is_coming: AtomicBool,
    is_there: OnceLock<()>,
}

/// Somebody who is told how long each document is worked on.
pub trait Watch: fmt::Debug + Send + Sync {
    /// The work on a document begins; gives its number.
    fn begins(&self, document: &'static str) -> u64;
    /// The work of this number has ended.
    fn ends(&self, number: u64);
}

/// A document that is being worked on.
struct Watched<'a>(&'a Arc<dyn Watch>, u64);

impl Drop for Watched<'_> {
    fn drop(&mut self) {
        self.0.ends(self.1);
    }
}

impl Press {
    /// The built-in templates.
    pub fn built_in() -> Press {
        Press::with(Templates::built_in())
    }

    /// These templates, and the built-in fonts.
    pub fn with(templates: Templates) -> Press {
        Press { templates, typesetter: Typesetter::new(), watch: None, warmth: Warmth::default() }
    }

    /// The same, with somebody to watch over the time that each document takes.
    pub fn watched_by(self, watch: Arc<dyn Watch>) -> Press {
        Press { watch: Some(watch), ..self }
    }

    fn watched(&self, document: &'static str) -> Option<Watched<'_>> {
        self.watch.as_ref().map(|watch| Watched(watch, watch.begins(document)))
    }

    /// Makes ready what the first document would else wait for: the typesetter with its faces, and the looks
    /// that every page imports. Nothing depends on it.
    pub fn warm_up(&self) {
        self.warmth.is_there.get_or_init(|| {
            // What is wrong with a clinic's own looks is said when a document is set.
            drop(self.typesetter.lay_out(&self.templates.sample()));
        });
    }

    /// As [`Press::warm_up`], in a thread of its own. Pages that are asked for meanwhile wait for it rather than
    /// do the same again.
    pub fn warm_up_aside(self: &Arc<Press>) {
        let press = self.clone();
        self.warmth.is_coming.store(true, Ordering::Release);
        let work = move || {
            calculate_alone();
            press.warm_up();
        };
        let started = std::thread::Builder::new().stack_size(STACK).spawn(work);
        self.warmth.is_coming.store(started.is_ok(), Ordering::Release);
    }

    fn await_warmth(&self) {
        if self.warmth.is_coming.load(Ordering::Acquire) {
            // If it has not been begun by now, the page does without.
            self.warmth.is_there.get_or_init(|| ());
        }
    }

    /// Composes, renders and sets one paper.
    ///
    /// # Errors
    /// A template that cannot be filled or set, with its name and line.
    pub fn set(
        &self,
        paper: impl Into<Paper>,
        facts: &Facts,
        edition: &Edition,
    ) -> Result<Typeset, SetError> {
        let paper = paper.into();
        let view = paper.view(facts, edition);
        let pages = self.pages(paper, &view, facts, edition)?;
        self.export(paper, &view, facts, edition, pages)
    }

    /// The pages of a paper. Those of a clinic's own templates are looked at once more: the trial has seen
    /// them with the demo cases alone.
    ///
    /// # Errors
    /// As [`Press::set`].
    pub fn pages(
        &self,
        paper: Paper,
        view: &Json,
        facts: &Facts,
        edition: &Edition,
    ) -> Result<Layout, SetError> {
        let pages = self.lay_out(paper.document, view)?;
        let mut faults = Vec::new();
        if self.has_own_templates() {
            faults = self.unsafe_pages(paper, facts, edition, view, &pages);
        }
        if !faults.is_empty() {
            return Err(self.failed(paper.document.into(), SetFault::Unsafe(faults)));
        }
        Ok(if edition.is_draft { pages.as_draft(self.draft_mark()) } else { pages })
    }

    /// How drafts are marked, beside what the templates say.
    fn draft_mark(&self) -> DraftMark {
        if self.has_own_templates() { DraftMark::AcrossAndAtTheEdge } else { DraftMark::Across }
    }

    fn has_own_templates(&self) -> bool {
        self.templates.own_files().next().is_some()
    }

    /// What makes the pages of a paper unsafe: words that are missing, a toe of the template's own, words that
    /// depend on who the patient is, very many pages.
    pub fn unsafe_pages(
        &self,
        paper: Paper,
        facts: &Facts,
        edition: &Edition,
        view: &Json,
        pages: &Layout,
    ) -> Vec<String> {
        let template = Template::from(paper.document);
        let mut faults = Vec::new();
        if pages.pages() > MOST_PAGES {
            faults.push(format!(
                "it takes {} pages, and more than {MOST_PAGES} are no document",
                pages.pages()
            ));
        }
        let filled = |view: &Json| self.templates.render(template.file, view);
        let somebody_else = filled(&identity_words::of_somebody_else(view, facts));
        let (Ok(source), Ok(other)) = (filled(view), somebody_else) else {
            faults.push(format!("{}: it cannot be filled for another patient", template.file));
            return faults;
        };
        if let Some(at) = syntax::first_other_word(&source.main, &other.main) {
            let before = source.main.get(..at).unwrap_or(&source.main);
            let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
            let origins = self.templates.origins(template.file, view);
            let place =
                origins.as_ref().and_then(|origins| origins.of(before.matches('\n').count() + 1, column));
            let place = place.map_or(template.file.to_owned(), |(file, line)| format!("{file}:{line}"));
            faults.push(format!(
                "{place}: what the page says here depends on who the patient is: a condition may ask whether \
                 there is a value, never whose it is"
            ));
        }
        let mut values = BTreeSet::new();
        texts(view, &mut values);
        let own_words =
            syntax::own_words(&source.main, |text| values.contains(text.replace(BREAK, "").as_str()));
        let values = values.into_iter().collect::<Vec<_>>().join("\n");
        let said = Said {
            pages: &pages.printed(),
            text: &pages.text(),
            told_first: &pages.told_first(),
            own_words: &own_words,
            values: &values,
        };
        faults.extend(missing_words(paper.document, facts, edition, said));
        faults
    }

    /// The words of a paper as they would be about an invented patient: where they differ from the
    /// patient's own, the document says who the patient is.
    ///
    /// # Errors
    /// As [`Press::set`].
    pub fn words_of_nobody(
        &self,
        paper: Paper,
        facts: &Facts,
        edition: &Edition,
    ) -> Result<String, SetError> {
        let view = paper.view(&about_nobody(facts), edition);
        Ok(self.lay_out(paper.document, &view)?.text())
    }

    /// The first half of setting: the pages of a view.
    ///
    /// # Errors
    /// A template that cannot be filled or laid out, with its name and line.
    pub fn lay_out(&self, template: impl Into<Template>, view: &Json) -> Result<Layout, SetError> {
        self.lay_out_after(template, view, || {})
    }

    /// As [`Press::lay_out`]; says when the template is filled, for measuring.
    ///
    /// # Errors
    /// As [`Press::lay_out`].
    pub fn lay_out_after(
        &self,
        template: impl Into<Template>,
        view: &Json,
        filled: impl FnOnce(),
    ) -> Result<Layout, SetError> {
        let template = template.into();
        let _watched = self.watched(template.name);
        let source = self
            .templates
            .render(template.file, view)
            .map_err(|problem| self.failed(template, SetFault::Template(problem)))?;
        self.await_warmth();
        filled();
        let laid_out = match self.typesetter.lay_out(&source) {
            // Typst keeps no more than some hundred dates of one paragraph whole.
            Err(TypesetError::Source(problems))
                if problems.iter().any(SourceProblem::is_of_too_many_shows) =>
            {
                self.typesetter.lay_out(&without_whole_dates(source))
            }
            laid_out => laid_out,
        };
        laid_out.map_err(|problem| self.traced(template, view, problem))
    }

    /// The second half of setting: the PDF and the plain text.
    ///
    /// # Errors
    /// Pages that the standards of the PDF refuse.
    pub fn export(
        &self,
        paper: Paper,
        view: &Json,
        facts: &Facts,
        edition: &Edition,
        pages: Layout,
    ) -> Result<Typeset, SetError> {
        let document = paper.document;
        let _watched = self.watched(document.name);
        let pages = if edition.is_draft { pages.as_draft(self.draft_mark()) } else { pages };
        let meta = PdfMeta {
            // A window or a list of files shows no page.
            title: format!(
                "{}{} {}",
                if edition.is_draft { "DRAFT " } else { "" },
                document.title,
                facts.case.reference
            ),
            author: facts.clinic.name.clone(),
            keywords: self.templates.provenance(),
            date: edition.made_on,
            ident: format!("{}/{}/{}", facts.case.reference, paper.name(), edition.version),
        };
        pages.export(&meta).map_err(|problem| self.traced(document.into(), view, problem))
    }

    /// Renders and sets a list.
    ///
    /// # Errors
    /// As [`Press::set`].
    pub(crate) fn set_list(
        &self,
        list: &'static Listed,
        view: &Json,
        made: &ListMeta<'_>,
    ) -> Result<Typeset, SetError> {
        let pages = self.lay_out(list, view)?;
        let meta = PdfMeta {
            title: format!("{} {}", list.title, made.about).trim_end().to_owned(),
            author: made.clinic.to_owned(),
            keywords: self.templates.provenance(),
            date: made.on,
            ident: format!("{}/{}", list.name, made.about),
        };
        pages.export(&meta).map_err(|problem| self.traced(list.into(), view, problem))
    }

    fn failed(&self, template: Template, fault: SetFault) -> SetError {
        let has_own_templates = self.has_own_templates();
        SetError { document: template.name, has_own_templates, fault }
    }

    /// A mistake with the place in the template, not in the text that was filled from it.
    fn traced(&self, template: Template, view: &Json, problem: TypesetError) -> SetError {
        let problem = match problem {
            TypesetError::Source(problems) => {
                let origins = self.templates.origins(template.file, view);
                let trace = |mut problem: SourceProblem| {
                    if problem.file == MAIN {
                        let (file, line) = origins
                            .as_ref()
                            .and_then(|origins| origins.of(problem.line, problem.column))
                            .unwrap_or((template.file, 0));
                        // The column is one of the filled text: it says nothing of the template.
                        (problem.file, problem.line, problem.column) = (file.to_owned(), line, 0);
                    }
                    problem
                };
                TypesetError::Source(problems.into_iter().map(trace).collect())
            }
            other => other,
        };
        self.failed(template, SetFault::Typeset(problem))
    }
}

/// The same case about somebody who does not exist: another name, number, address, telephone and
/// birthday, and those that are missing as well. The age is as near as can be, so that nothing clinical
/// changes that need not.
fn about_nobody(facts: &Facts) -> Facts {
    let mut case = Case::clone(&facts.case);
    let patient = &mut case.patient;
    // No name and no word of any page is spelt so.
    let invented = |word: &str| Some(format!("Xqz{word}"));
    patient.title = invented("t");
    patient.given = "Xqzg".to_owned();
    patient.family = "Xqzf".to_owned();
    patient.preferred = invented("p");
    patient.name_as_written = invented("s");
    patient.telephone = invented("n");
    let lines = patient.address.len().max(1);
    patient.address = (0..lines).map(|line| format!("Xqza{line}")).collect();
    // From the range that is kept free for tests, each with its check digit.
    let numbers = ["9990000018", "9990417318"].map(|number| NhsNumberText(number.to_owned()));
    let has_another = patient.chi_number.is_some() || patient.hc_number.is_some();
    if patient.nhs_number.is_some() || !has_another {
        patient.nhs_number = numbers.into_iter().find(|number| Some(number) != patient.nhs_number.as_ref());
    }
    if let Some(number) = &mut patient.chi_number {
        let others = ["0101011237", "0101201230"].map(|number| ChiNumberText(number.to_owned()));
        *number = others.into_iter().find(|other| other != number).unwrap_or_else(|| number.clone());
    }
    if let Some(number) = &mut patient.hc_number {
        let others = ["3200000015", "3200000023"].map(|number| HcNumberText(number.to_owned()));
        *number = others.into_iter().find(|other| other != number).unwrap_or_else(|| number.clone());
    }
    if let Some(guardian) = &mut patient.guardian {
        guardian.name = "Xqzw".to_owned();
    }
    let later = patient.born.plus_days(1);
    patient.born = if later <= facts.today { later } else { patient.born };
    Facts::new(case, facts.clinic.clone(), facts.today)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    /// Whatever says who the patient is differs, and what is worked out stays.
    #[test]
    fn nobody_is_another_person_of_the_same_age_and_build() {
        for fragment in [
            "",
            "patient: {nhs_number: 999 041 7318, telephone: 01632 960 001, preferred: Immy, name_as_written: 陳美玲}",
        ] {
            let facts = facts_of(fragment);
            let nobody = about_nobody(&facts);
            let (one, two) = (&facts.case.patient, &nobody.case.patient);
            assert!(one.family != two.family && one.given != two.given && one.preferred != two.preferred);
            assert!(one.born != two.born && one.address != two.address && one.telephone != two.telephone);
            assert_ne!(facts.derived.nhs_number.get(), nobody.derived.nhs_number.get());
            assert!(nobody.derived.nhs_number.get().is_some(), "a number that is printed");
            assert_eq!(
                facts.derived.age.get().map(ToString::to_string),
                nobody.derived.age.get().map(ToString::to_string)
            );
            assert_eq!(format!("{:?}", facts.derived.agents), format!("{:?}", nobody.derived.agents));
        }
    }

    #[test]
    fn a_document_that_cannot_be_made_is_held_by_what_it_misses() {
        let judged = |change: &dyn Fn(&str) -> String| {
            let text = change(crate::rules::example::BASE_CASE);
            let clinic = Arc::new(SourceText::new("clinic.yaml", crate::rules::example::BASE_CLINIC));
            let today = CivilDate::of(2026, 11, 25).expect("a literal date");
            let checked = check(Arc::new(SourceText::new("case.yaml", text)), &clinic, today);
            let names = |papers: Vec<Paper>| papers.iter().map(|one| one.document.name).collect::<Vec<_>>();
            let (free, held) = checked.free_and_held(&[]);
            (names(free), names(held))
        };
        let (free, held) = judged(&|text| text.replace("gp: birchgate", "gp: birchgat"));
        assert!(free.contains(&"aftercare-leaflet") && !free.contains(&"gp-letter"), "{free:?}");
        assert_eq!(held, ["gp-letter"]);
        let (free, held) = judged(&|text| text.replace("refill: 2 s", "refill: 4 s"));
        assert_eq!(held, ["operation-note", "aftercare-leaflet"], "it changes nothing on the form");
        assert!(!free.is_empty() && free.iter().all(|name| !held.contains(name)), "{free:?} {held:?}");
    }
}
