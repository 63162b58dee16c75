//! The one way through the code: check a case, then set its documents. In memory, pure.
//!
//! No file, no environment, no clock: texts, today and the press come in; findings, PDFs and
//! plain text go out.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::case::{Read, Spans, read_case, read_clinic};
use crate::date::CivilDate;
use crate::diagnostic::english::List;
use crate::diagnostic::{Diagnostic, File, Finding, Label, Path, Severity, SourceText, Span};
use crate::documents::{AnsweredCaution, DOCUMENTS, Document, Edition, Replaces};
use crate::facts::Facts;
use crate::render::{TemplateError, Templates};
use crate::rules::accept::judge;
use crate::typeset::{PdfMeta, Typeset, TypesetError, Typesetter, unprintable};

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
    pub fn unreadable(diagnostics: Vec<Diagnostic>) -> Checked {
        Checked { reference: None, diagnostics, facts: None, readiness: nothing_ready() }
    }

    /// How many findings of a weight stand in the way of issuing.
    pub fn blocking(&self) -> usize {
        self.diagnostics.iter().filter(|diagnostic| diagnostic.blocks_issue()).count()
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
            title: "a character cannot be printed".to_owned(),
            path: path.clone(),
            primary: Label { source: read.source.clone(), span, text: label },
            others: Vec::new(),
            why: Some("A gap or a box in a name or an instruction would be read over.".to_owned()),
            source: None,
            help: Some("write it another way, in letters with or without accents".to_owned()),
            answered: None,
        })
    });
    found.collect()
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
pub enum SetError {
    /// The template could not be filled.
    #[error("the template of the {document} could not be filled")]
    Template {
        /// The document.
        document: &'static str,
        /// What is wrong.
        #[source]
        source: TemplateError,
    },
    /// The filled template could not be set.
    #[error("the {document} could not be set")]
    Typeset {
        /// The document.
        document: &'static str,
        /// What is wrong.
        #[source]
        source: TypesetError,
    },
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
        let source = self
            .templates
            .render(document.template, &view)
            .map_err(|source| SetError::Template { document: document.name, source })?;
        let meta = PdfMeta {
            title: format!("{} {}", document.title, facts.case.reference),
            author: facts.clinic.name.clone(),
            keywords: self.templates.provenance(),
            date: edition.made_on,
            ident: format!("{}/{}/{}", facts.case.reference, document.name, edition.version),
        };
        self.typesetter
            .typeset(&source, &meta)
            .map_err(|source| SetError::Typeset { document: document.name, source })
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
