//! Many cases: small rows, one of each case that a list shows, made while the cases are read. The facts
//! of a case are gone as soon as its row is made.

use super::Facts;
use crate::case::Clinic;
use crate::date::{CivilDate, TimeOfDay};

/// One case as a list sees it, while it is read.
#[derive(Clone, Copy)]
pub struct OneCase<'a> {
    /// The file, as it was named.
    pub file: &'a str,
    /// All that is known of it.
    pub facts: &'a Facts,
    /// Finds what stands in the way of a document, the gravest first. It takes as long as all else
    /// together, so it is asked only of cases that a list shows.
    pub open: &'a (dyn Fn() -> Vec<Open> + 'a),
    /// The last version of each document that was issued of it, by document.
    pub issued: &'a [LastVersion],
}

/// A finding that is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Open {
    /// The rule.
    pub rule: &'static str,
    /// It is graver than a caution.
    pub is_stop: bool,
    /// The headline.
    pub title: String,
    /// What was found.
    pub says: String,
    /// The documents that it holds back.
    pub holds: Vec<&'static str>,
}

/// The last version of a document that was issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LastVersion {
    /// The document: `gp-letter`, `visit-note/2026-11-27`.
    pub document: String,
    /// From 1.
    pub version: u32,
    /// The day of issue.
    pub issued: CivilDate,
    /// The PDF, below the folder of the register.
    pub file: String,
    /// Where this version has gone, in the order of entry.
    pub gone: Vec<Gone>,
    /// The last version before it that has gone anywhere, and the day on which it first did.
    pub gone_before: Option<(u32, CivilDate)>,
}

/// Where a version has gone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gone {
    /// To whom: `patient`, `guardian`, `gp`, `other`.
    pub to: String,
    /// The day.
    pub on: CivilDate,
}

/// The rows of a list, and what its pages say of themselves.
#[derive(Debug, Clone)]
pub struct Caseload<R> {
    /// One of each case that the list shows.
    pub rows: Vec<R>,
    /// Cases that could not be read, and what else the list lacks: never dropped, always printed.
    pub left_out: Vec<LeftOut>,
    /// How many cases could be read, whether the list shows them or not.
    pub read: usize,
    /// How many could not be.
    pub unread: usize,
    /// The clinic: that of the first case.
    pub clinic: Clinic,
    /// The day on which the list is made.
    pub today: CivilDate,
    /// The time at which it is made.
    pub made_at: Option<TimeOfDay>,
    /// The list that it replaces, for lists that are told apart.
    pub replaces: Option<ReplacedList>,
}

/// An earlier list of the same kind about the same day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReplacedList {
    /// Its number, from 1.
    pub version: u32,
    /// The day on which it was made.
    pub made: CivilDate,
    /// The time.
    pub at: TimeOfDay,
}

/// A case that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct LeftOut {
    /// The file, as it was named.
    pub file: String,
    /// Why.
    pub why: String,
}

impl<R> Caseload<R> {
    /// The same caseload with a row made of each row, where there is one.
    pub fn with_rows<S>(self, row: impl FnMut(R) -> Option<S>) -> Caseload<S> {
        let Caseload { rows, left_out, read, unread, clinic, today, made_at, replaces } = self;
        let rows = rows.into_iter().filter_map(row).collect();
        Caseload { rows, left_out, read, unread, clinic, today, made_at, replaces }
    }
}
