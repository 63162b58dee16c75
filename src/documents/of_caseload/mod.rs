//! The lists, in the order in which they are tried: pages about many cases. Working papers, printed and
//! not issued.

pub mod day_list;
pub mod letter_run;
pub mod lot_list;
pub mod outcome_audit;
pub mod outstanding;

use serde_json::Value as Json;

use super::Template;
use crate::facts::{Caseload, OneCase};

/// One kind of list.
#[derive(Debug)]
pub struct List {
    /// The permanent name: `day-list`; also the beginning of the file's.
    pub name: &'static str,
    /// The title on the page and in the metadata.
    pub title: &'static str,
    /// Its template: `day-list/main.typ`.
    pub template: &'static str,
    /// The page lies across.
    pub is_across: bool,
    /// Each case that is given stands on it; otherwise it counts them.
    pub names_cases: bool,
    /// The view of a caseload in which every case has a row: for trials of templates.
    pub view: fn(Caseload<OneCase<'_>>) -> Json,
}

impl List {
    /// The view of a caseload in which every case has a row.
    pub fn view_of(&self, caseload: Caseload<OneCase<'_>>) -> Json {
        (self.view)(caseload)
    }
}

impl From<&'static List> for Template {
    fn from(list: &'static List) -> Template {
        Template { name: list.name, file: list.template }
    }
}

/// Every list.
pub static LISTS: &[&List] =
    &[&day_list::LIST, &outstanding::LIST, &letter_run::LIST, &lot_list::LIST, &outcome_audit::LIST];
