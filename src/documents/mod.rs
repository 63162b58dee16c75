//! The documents: which facts each needs, and its view, strings ready to print.
//!
//! A document decides nothing clinical and knows no rule; a template does no arithmetic and no
//! comparison of clinical values.

mod actions;
mod aftercare_leaflet;
mod candour_letter;
mod consent_form;
mod dose;
mod feet;
mod gp_letter;
mod home_care;
mod incidents;
mod numb;
mod operation_note;
mod plain;
mod plan;
mod risks;
mod school_note;
mod unknown;
mod view;

use crate::date::CivilDate;
use crate::diagnostic::Path;
use crate::facts::Facts;

/// Who reads it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Audience {
    Clinician,
    Patient,
}

/// The toes that a document names and draws, in words and edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toes {
    /// Those that are planned.
    Planned,
    /// Those that were operated on.
    Operated,
    /// None: it may name a toe, and need not.
    NotShown,
}

/// One kind of document.
#[derive(Debug)]
pub struct Document {
    /// The permanent name: `operation-note`; also the file name and the value of `--only`.
    pub name: &'static str,
    /// The title on the page and in the metadata.
    pub title: &'static str,
    /// Its template: `operation-note/main.typ`.
    pub template: &'static str,
    /// Who reads it.
    pub audience: Audience,
    /// The toes that it must name, whatever else it says.
    pub toes: Toes,
    /// It must tell what went wrong, where anything did.
    pub tells_incidents: bool,
    /// What is missing before it can be made; empty if nothing.
    pub missing: fn(&Facts) -> Vec<Path>,
    /// The view: an object of strings, lists of objects and booleans. Every key is always there.
    pub view: fn(&Facts, &Edition) -> serde_json::Value,
}

/// What the pages say of themselves.
#[derive(Debug, Clone)]
pub struct Edition {
    /// Marked DRAFT on every page.
    pub is_draft: bool,
    /// Version, from 1.
    pub version: u32,
    /// The day it is made.
    pub made_on: CivilDate,
    /// What it replaces: version, day and reason.
    pub replaces: Option<Replaces>,
    /// Findings that were answered, for the operation note.
    pub answered: Vec<AnsweredCaution>,
    /// Findings still open, for drafts.
    pub open: Vec<String>,
}

/// What an amended document replaces.
#[derive(Debug, Clone)]
pub struct Replaces {
    /// Version.
    pub version: u32,
    /// The day it was issued.
    pub issued_on: CivilDate,
    /// Why it was issued again.
    pub because: String,
    /// What changed, in phrases; empty while a text is made only to be compared.
    pub changes: Vec<ChangedPhrase>,
}

/// A phrase of the replaced version and what stands there now; either may be empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedPhrase {
    /// In the version that is replaced.
    pub was: String,
    /// In this version.
    pub is: String,
}

/// A finding with its answer.
#[derive(Debug, Clone)]
pub struct AnsweredCaution {
    /// The headline of the caution.
    pub title: String,
    /// What was found.
    pub says: String,
    /// Why it was right to go on.
    pub because: String,
    /// Who decided.
    pub by: String,
    /// The position of the incident that answers it; `None` for a reason.
    pub incident: Option<usize>,
    /// The general practice should know of it.
    pub concerns_the_practice: bool,
}

/// Every document, in the order in which they are listed.
pub static DOCUMENTS: &[&Document] = &[
    &operation_note::DOCUMENT,
    &gp_letter::DOCUMENT,
    &consent_form::DOCUMENT,
    &aftercare_leaflet::DOCUMENT,
    &candour_letter::DOCUMENT,
    &school_note::DOCUMENT,
];

/// The document of a name.
pub fn document(name: &str) -> Option<&'static Document> {
    DOCUMENTS.iter().copied().find(|document| document.name == name)
}

#[cfg(test)]
mod tests {
    use serde_json::Value as Json;

    use super::*;
    use crate::render::Templates;
    use crate::rules::example::facts_of;
    use crate::typeset::{PdfMeta, Typesetter};

    /// Typst, Tera and quotation marks that would act if a value were code.
    const HOSTILE: &str =
        r##"#panic("x") $a$ *b* _c_ @d <e> [f] "g" \\ {{ h }} {% i %} // /* */ = + - `j` ~ ]"##;

    /// Keys whose values Typst draws by, each worked out by us: never a text of the case.
    const DRAWN: &[&str] = &["strip", "length"];

    fn edition(is_draft: bool) -> Edition {
        Edition {
            is_draft,
            version: 2,
            made_on: CivilDate::of(2026, 11, 25).expect("a literal date"),
            replaces: Some(Replaces {
                version: 1,
                issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
                because: "batch number corrected".into(),
                changes: vec![ChangedPhrase { was: "M4417".into(), is: "M4471".into() }],
            }),
            answered: vec![AnsweredCaution {
                title: "anticoagulant taken".into(),
                says: "apixaban".into(),
                because: "continued".into(),
                by: "R. Quill".into(),
                incident: None,
                concerns_the_practice: true,
            }],
            open: vec!["caution: something open".into()],
        }
    }

    /// A case in which every optional part of a template stands.
    fn full_facts() -> Facts {
        facts_of(
            "patient: {needs: [interpreter], language: Polish, preferred: Immy}
history: {allergies: [{to: latex}], medicines: [apixaban]}
follow_up: {gp_actions: [check INR]}
operation: {not_done: {R1: asked to wait}, note: remark, checks: {counted: false}, specimens: none}
incidents: [{answers: [toe-not-planned, dose-over-limit, agent-allergy, tourniquet-not-removed],
  what_happened: it did, found: {on: 2026-11-24, at: '10:20', by: R. Quill}, done_at_once: watched, harm: low,
  psychological_harm: low, told: {on: 2026-11-24, by: R. Quill, apology: true},
  reported: [{to: the manager, reference: I-12}]},
  {answers: [], told: {not_yet: abroad}}]
clinic: {email: a@b.example, hours: always,
  limits: {anaesthetic: {mepivacaine: {per_kg: 4 mg/kg, max: 250 mg, because: agreed here}}}}",
        )
    }

    fn with_every_text(view: &Json, text: &str) -> Json {
        match view {
            Json::String(old) if old.is_empty() => Json::String(String::new()),
            Json::String(_) => Json::String(text.into()),
            Json::Array(items) => items.iter().map(|item| with_every_text(item, text)).collect(),
            Json::Object(keys) => keys
                .iter()
                .map(|(key, value)| {
                    let is_drawn = DRAWN.contains(&key.as_str());
                    (key.clone(), if is_drawn { value.clone() } else { with_every_text(value, text) })
                })
                .collect(),
            other => other.clone(),
        }
    }

    /// The kinds of all nodes, depth first: what the text does, without what it says.
    fn shape(source: &str) -> Vec<(usize, typst::syntax::SyntaxKind)> {
        fn walk(
            node: &typst::syntax::SyntaxNode,
            depth: usize,
            into: &mut Vec<(usize, typst::syntax::SyntaxKind)>,
        ) {
            into.push((depth, node.kind()));
            node.children().for_each(|child| walk(child, depth + 1, into));
        }
        let mut all = Vec::new();
        walk(&typst::syntax::parse(source), 0, &mut all);
        all
    }

    fn meta() -> PdfMeta {
        PdfMeta {
            title: "t".into(),
            author: "a".into(),
            keywords: Vec::new(),
            date: CivilDate::of(2026, 11, 25).expect("a literal date"),
            ident: "i".into(),
        }
    }

    #[test]
    fn no_text_of_a_view_acts() {
        let (templates, typesetter) = (Templates::built_in(), Typesetter::new());
        let squeezed = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        for document in DOCUMENTS {
            let view = (document.view)(&full_facts(), &edition(true));
            let fill = |text: &str| {
                templates
                    .render(document.template, &with_every_text(&view, text))
                    .unwrap_or_else(|problem| panic!("{problem}"))
            };
            let (tame, hostile) = (fill("x"), fill(HOSTILE));
            assert!(
                shape(&tame.main) == shape(&hostile.main),
                "{}: a value changes the syntax",
                document.name
            );
            assert!(
                typst::syntax::parse(&hostile.main).errors_and_warnings().0.is_empty(),
                "{}",
                document.name
            );
            let set = typesetter
                .typeset(&hostile, &meta())
                .unwrap_or_else(|problem| panic!("{}: {problem}", document.name));
            assert!(squeezed(&set.text).contains(&squeezed(HOSTILE)), "{}: {}", document.name, set.text);
        }
        Typesetter::evict();
    }

    #[test]
    fn every_document_is_set_the_same_each_time_and_says_draft_only_in_a_draft() {
        let (templates, typesetter) = (Templates::built_in(), Typesetter::new());
        let set = |document: &Document, is_draft| {
            let view = (document.view)(&facts_of(""), &edition(is_draft));
            let source = templates.render(document.template, &view);
            let source = source.unwrap_or_else(|problem| panic!("{problem}"));
            typesetter
                .typeset(&source, &meta())
                .unwrap_or_else(|problem| panic!("{}: {problem}", document.name))
        };
        for document in DOCUMENTS {
            let issue = set(document, false);
            assert_eq!(issue.pdf, set(document, false).pdf, "{}", document.name);
            assert!(!issue.text.contains("DRAFT"), "{}", document.name);
            for page in set(document, true).printed() {
                assert!(page.contains("DRAFT"), "{}", document.name);
            }
            for page in issue.printed() {
                assert!(
                    page.contains("HOLLIS, Imogen (Ms)") && page.contains("LFC-0001"),
                    "{}",
                    document.name
                );
            }
        }
        Typesetter::evict();
    }

    #[test]
    fn names_are_unique_and_found() {
        for document in DOCUMENTS {
            assert!(super::document(document.name).is_some_and(|found| std::ptr::eq(found, *document)));
        }
        assert!(super::document("nothing").is_none());
    }
}
