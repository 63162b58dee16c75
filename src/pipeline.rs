//! The one way through the code: check a case, then set its documents. In memory, pure.
//!
//! No file, no environment, no clock: texts, today and the press come in; findings, PDFs and
//! plain text go out.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::Value as Json;

use crate::case::{Read, Spans, read_case, read_clinic};
use crate::date::CivilDate;
use crate::diagnostic::english::List;
use crate::diagnostic::{Diagnostic, File, Finding, Label, Path, Severity, SourceText, Span};
use crate::documents::{AnsweredCaution, DOCUMENTS, Document, Edition, Replaces};
use crate::facts::Facts;
use crate::render::{TemplateError, Templates};
use crate::rules::accept::judge;
use crate::typeset::{Layout, MAIN, PdfMeta, SourceProblem, Typeset, TypesetError, Typesetter, unprintable};

/// What checking a case gave.
#[derive(Debug)]
pub struct Checked {
    /// The reference, where it could be read.
    pub reference: Option<String>,
    /// Everything that was found, in file order within each weight.
    pub diagnostics: Vec<Diagnostic>,
    /// The facts; `None` if a file was unreadable.
    pub facts: Option<Facts>,
    /// What each document still needs.
    pub readiness: Vec<Readiness>,
}

/// What one document still needs.
#[derive(Debug, Clone)]
pub struct Readiness {
    /// The document.
    pub document: &'static Document,
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

    /// How many findings of a weight stand in the way of issuing.
    pub fn blocking(&self) -> usize {
        self.diagnostics.iter().filter(|diagnostic| diagnostic.blocks_issue()).count()
    }

    /// The open findings that hold a document back.
    pub fn held(&self, document: &Document) -> impl Iterator<Item = &Diagnostic> {
        let name = document.name;
        self.diagnostics
            .iter()
            .filter(move |diagnostic| diagnostic.blocks_issue() && diagnostic.holds.contains(&name))
    }

    /// The documents that can be made, of those asked for (all if none is named).
    pub fn ready(&self, only: &[String]) -> Vec<&'static Document> {
        self.readiness
            .iter()
            .filter(|readiness| readiness.is_ready())
            .map(|readiness| readiness.document)
            .filter(|document| only.is_empty() || only.iter().any(|name| name == document.name))
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
    let case = read_case(case);
    let clinic = read_clinic(clinic.clone());
    let unprintable = [unprintable_texts(&case), unprintable_texts(&clinic)].concat();
    let mut diagnostics = [case.diagnostics, clinic.diagnostics, unprintable.clone()].concat();
    // The reader does not know which documents there are: what it cannot read holds them all.
    hold_everything(&mut diagnostics);
    let (Some(case_value), Some(clinic_value)) = (case.value.clone(), clinic.value) else {
        let reference = case.value.map(|case| case.reference.to_string());
        return Checked { reference, diagnostics, facts: None, readiness: nothing_ready() };
    };
    let reference = Some(case_value.reference.to_string());
    let facts = Facts::new(case_value, clinic_value, today);
    let places = Places { case: (case.source, case.spans), clinic: (clinic.source, clinic.spans) };
    for judged in judge(&facts) {
        diagnostics.push(places.locate(judged));
    }
    diagnostics.sort_by_key(|diagnostic| {
        (diagnostic.answered.is_some(), diagnostic.severity, diagnostic.primary.span.start)
    });
    // Not even a draft can show what no typeface has.
    let to_mend = |document: &Document| {
        let unprintable = unprintable.iter().map(|diagnostic| diagnostic.path.clone());
        (document.missing)(&facts).into_iter().chain(unprintable).collect()
    };
    let readiness =
        DOCUMENTS.iter().map(|document| Readiness { document, missing: to_mend(document) }).collect();
    Checked { reference, diagnostics, facts: Some(facts), readiness }
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
fn unprintable_texts<T>(read: &Read<T>) -> Vec<Diagnostic> {
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
        Some(Diagnostic {
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
        })
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
    }
}

/// Where the files could not be read, every document misses the whole of them.
fn nothing_ready() -> Vec<Readiness> {
    DOCUMENTS.iter().map(|document| Readiness { document, missing: vec![Path::root()] }).collect()
}

/// The two files with the places of their paths.
struct Places {
    case: (Arc<SourceText>, Spans),
    clinic: (Arc<SourceText>, Spans),
}

impl Places {
    fn locate(&self, judged: crate::rules::accept::Judged) -> Diagnostic {
        let crate::rules::accept::Judged { rule, finding, severity, answer } = judged;
        let Finding { path, file, at_key, says, see, fix, severity: _ } = finding;
        let primary = self.label(file, &path, at_key, says);
        let others = see.into_iter().map(|(path, text)| self.label(file, &path, false, text)).collect();
        let names = every_document().into_iter();
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
            holds: names.filter(|name| rule.holds.holds(name)).collect(),
        }
    }

    fn label(&self, file: File, path: &Path, at_key: bool, text: String) -> Label {
        let (source, spans) = match file {
            File::Case => &self.case,
            File::Clinic => &self.clinic,
        };
        Label { source: source.clone(), span: spans.nearest(path, at_key), text }
    }
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
}

impl SetError {
    /// Each mistake in a line, `file:line: what is wrong`; of several on one line the first, since the
    /// others tend to follow from it.
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        match &self.fault {
            SetFault::Template(problem) => lines.push(problem.to_string()),
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

/// Templates and fonts, made once and shared by every case and thread.
#[derive(Debug)]
pub struct Press {
    /// The templates.
    pub templates: Templates,
    /// The fonts and the Typst library.
    pub typesetter: Typesetter,
}

impl Press {
    /// The built-in templates.
    pub fn built_in() -> Press {
        Press::with(Templates::built_in())
    }

    /// These templates, and the built-in fonts.
    pub fn with(templates: Templates) -> Press {
        Press { templates, typesetter: Typesetter::new() }
    }

    /// Composes, renders and sets one document.
    ///
    /// # Errors
    /// A template that cannot be filled or set, with its name and line.
    pub fn set(
        &self,
        document: &'static Document,
        facts: &Facts,
        edition: &Edition,
    ) -> Result<Typeset, SetError> {
        let view = (document.view)(facts, edition);
        self.export(document, &view, facts, edition, self.lay_out(document, &view)?)
    }

    /// The first half of setting: the pages of a view.
    ///
    /// # Errors
    /// A template that cannot be filled or laid out, with its name and line.
    pub fn lay_out(&self, document: &'static Document, view: &Json) -> Result<Layout, SetError> {
        let source = self
            .templates
            .render(document.template, view)
            .map_err(|problem| self.failed(document, SetFault::Template(problem)))?;
        self.typesetter.lay_out(&source).map_err(|problem| self.traced(document, view, problem))
    }

    /// The second half of setting: the PDF and the plain text.
    ///
    /// # Errors
    /// Pages that the standards of the PDF refuse.
    pub fn export(
        &self,
        document: &'static Document,
        view: &Json,
        facts: &Facts,
        edition: &Edition,
        pages: Layout,
    ) -> Result<Typeset, SetError> {
        let meta = PdfMeta {
            title: format!("{} {}", document.title, facts.case.reference),
            author: facts.clinic.name.clone(),
            keywords: self.templates.provenance(),
            date: edition.made_on,
            ident: format!("{}/{}/{}", facts.case.reference, document.name, edition.version),
        };
        pages.export(&meta).map_err(|problem| self.traced(document, view, problem))
    }

    fn failed(&self, document: &'static Document, fault: SetFault) -> SetError {
        let has_own_templates = self.templates.own_files().next().is_some();
        SetError { document: document.name, has_own_templates, fault }
    }

    /// A mistake with the place in the template, not in the text that was filled from it.
    fn traced(&self, document: &'static Document, view: &Json, problem: TypesetError) -> SetError {
        let problem = match problem {
            TypesetError::Source(problems) => {
                let origins = self.templates.origins(document.template, view);
                let trace = |mut problem: SourceProblem| {
                    if problem.file == MAIN {
                        let (file, line) = origins
                            .as_ref()
                            .and_then(|origins| origins.of(problem.line, problem.column))
                            .unwrap_or((document.template, 0));
                        // The column is one of the filled text: it says nothing of the template.
                        (problem.file, problem.line, problem.column) = (file.to_owned(), line, 0);
                    }
                    problem
                };
                TypesetError::Source(problems.into_iter().map(trace).collect())
            }
            other => other,
        };
        self.failed(document, SetFault::Typeset(problem))
    }
}

/// How many findings there are of each weight, answered ones apart.
pub fn counts(diagnostics: &[Diagnostic]) -> BTreeMap<Severity, usize> {
    let mut counts = BTreeMap::new();
    for diagnostic in diagnostics.iter().filter(|diagnostic| diagnostic.answered.is_none()) {
        *counts.entry(diagnostic.severity).or_insert(0) += 1;
    }
    counts
}
