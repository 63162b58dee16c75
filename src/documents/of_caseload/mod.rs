//! The lists, in the order in which they are tried: pages about many cases. Working papers, printed and
//! not issued.

pub(crate) mod day_list;
pub(crate) mod letter_run;
pub(crate) mod lot_list;
pub(crate) mod outcome_audit;
pub(crate) mod outstanding;

use serde_json::Value as Json;

use super::Template;
use crate::facts::{Caseload, OneCase};

/// One kind of list.
#[derive(Debug)]
pub(crate) struct List {
    /// The permanent name: `day-list`; also the beginning of the file's.
    pub(crate) name: &'static str,
    /// The title on the page and in the metadata.
    pub(crate) title: &'static str,
    /// Its template: `day-list/main.typ`.
    pub(crate) template: &'static str,
    /// The page lies across.
    pub(crate) is_across: bool,
    /// Each case that is given stands on it; otherwise it counts them.
    pub(crate) names_cases: bool,
    /// The view of a caseload in which every case has a row: for trials of templates.
    pub(crate) view: fn(Caseload<OneCase<'_>>) -> Json,
}

impl List {
    /// The view of a caseload in which every case has a row.
    pub(crate) fn view_of(&self, caseload: Caseload<OneCase<'_>>) -> Json {
        (self.view)(caseload)
    }
}

impl From<&'static List> for Template {
    fn from(list: &'static List) -> Template {
        Template { name: list.name, file: list.template }
    }
}

/// Every list.
pub(crate) static LISTS: &[&List] =
    &[&day_list::LIST, &outstanding::LIST, &letter_run::LIST, &lot_list::LIST, &outcome_audit::LIST];
