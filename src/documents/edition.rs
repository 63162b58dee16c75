//! Which edition of a document it is: what its pages say of themselves.

use crate::date::CivilDate;

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

impl Edition {
    /// The first version, with nothing answered and nothing open.
    pub fn first(made_on: CivilDate) -> Edition {
        let (answered, open) = (Vec::new(), Vec::new());
        Edition { is_draft: false, version: 1, made_on, replaces: None, answered, open }
    }

    /// A draft, with nothing answered and nothing open.
    pub fn draft(made_on: CivilDate) -> Edition {
        Edition { is_draft: true, version: 0, ..Edition::first(made_on) }
    }
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
