//! What a document is: its name and reader, what it needs, and how it is made.

use serde_json::Value as Json;

use super::Edition;
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

/// One kind of document of a case.
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
    /// How often it is made, of what, and what it shows.
    pub made: Made,
}

/// How a document is made. A view is an object of strings, lists of objects and booleans in which every
/// key is always there.
#[derive(Debug)]
pub enum Made {
    /// Once for a case.
    OfCase {
        /// What is missing before it can be made; empty if nothing.
        missing: fn(&Facts) -> Vec<Path>,
        /// The view.
        view: fn(&Facts, &Edition) -> Json,
    },
    /// Once for each visit that it has something to say of.
    OfVisit {
        /// The positions of those visits in the case file.
        visits: fn(&Facts) -> Vec<usize>,
        /// What is missing before it can be made of that visit; empty if nothing.
        missing: fn(&Facts, usize) -> Vec<Path>,
        /// The view of that visit.
        view: fn(&Facts, usize, &Edition) -> Json,
    },
}

/// A template, and what is set with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Template {
    /// The document or the list.
    pub name: &'static str,
    /// The file: `gp-letter/main.typ`.
    pub file: &'static str,
}

impl From<&'static Document> for Template {
    fn from(document: &'static Document) -> Template {
        Template { name: document.name, file: document.template }
    }
}

/// One document of one case: its kind and, if it is about a visit, which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paper {
    /// Its kind.
    pub document: &'static Document,
    /// The visit that it is about.
    pub visit: Option<OfVisit>,
}

/// The visit that a paper is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OfVisit {
    /// Its position in the case file.
    pub at: usize,
    /// The day.
    pub on: CivilDate,
    /// 1 for the first visit of that day.
    pub nth: usize,
}

impl PartialEq for Document {
    fn eq(&self, other: &Document) -> bool {
        self.name == other.name
    }
}

impl Eq for Document {}

impl From<&'static Document> for Paper {
    fn from(document: &'static Document) -> Paper {
        Paper::once(document)
    }
}

impl Paper {
    /// The paper that a kind of document is, where it is made once for a case.
    pub fn once(document: &'static Document) -> Paper {
        Paper { document, visit: None }
    }

    /// Every paper that a document can be for a case: one, or one for each visit that it is about.
    pub fn all_of(document: &'static Document, facts: &Facts) -> Vec<Paper> {
        let Made::OfVisit { visits, .. } = document.made else { return vec![Paper::once(document)] };
        let of = |at: usize| {
            let (on, nth) = facts.visit_named(at)?;
            Some(Paper { document, visit: Some(OfVisit { at, on, nth }) })
        };
        visits(facts).into_iter().filter_map(of).collect()
    }

    /// `operation-note`, `visit-note/2026-11-27`; the second of a day `visit-note/2026-11-27/2`.
    pub fn name(&self) -> String {
        match self.visit {
            None => self.document.name.to_owned(),
            Some(OfVisit { on, nth: 1, .. }) => format!("{}/{on}", self.document.name),
            Some(OfVisit { on, nth, .. }) => format!("{}/{on}/{nth}", self.document.name),
        }
    }

    /// Its name as part of a file's: `visit-note-2026-11-27`.
    pub fn file_stem(&self) -> String {
        self.name().replace('/', "-")
    }

    /// True if a name that was typed means it: its own, or that of its kind.
    pub fn is_called(&self, name: &str) -> bool {
        name == self.document.name || name == self.name()
    }

    /// What is missing before it can be made; empty if nothing.
    pub fn missing(&self, facts: &Facts) -> Vec<Path> {
        match (&self.document.made, self.visit) {
            (Made::OfCase { missing, .. }, _) => missing(facts),
            (Made::OfVisit { missing, .. }, Some(visit)) => missing(facts, visit.at),
            (Made::OfVisit { .. }, None) => vec![Path::from("visits")],
        }
    }

    /// The view; an empty one of a visit that is not there.
    pub fn view(&self, facts: &Facts, edition: &Edition) -> Json {
        match (&self.document.made, self.visit) {
            (Made::OfCase { view, .. }, _) => view(facts, edition),
            (Made::OfVisit { view, .. }, Some(visit)) => view(facts, visit.at, edition),
            (Made::OfVisit { .. }, None) => Json::Object(serde_json::Map::new()),
        }
    }
}
