//! The lists, in the order in which they are tried: pages about many cases. Working papers, printed and
//! not issued.

pub(crate) mod day_list;
pub(crate) mod letter_run;
pub(crate) mod lot_list;
pub(crate) mod outcome_audit;
pub(crate) mod outstanding;

use serde::Serialize;
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

/// Letters of one value, or of all together, from which a line may fill more than half a page: 20 mm is the
/// narrowest column, and 110 mm of it hold about 300 letters.
const LONG_VALUE: usize = 250;
const LONG_LINE: usize = 900;

/// A line of a table, and whether it may run on to the next page. Typst could measure that: it takes twice the
/// time of the table.
#[derive(Debug, Serialize)]
struct Line<R> {
    #[serde(flatten)]
    row: R,
    is_long: bool,
}

impl<R: Serialize> Line<R> {
    fn of(row: R) -> Line<R> {
        let is_long = is_long(&row);
        Line { row, is_long }
    }
}

/// True if what a line shows may fill more than half a page.
fn is_long(row: &impl Serialize) -> bool {
    let mut letters = Vec::new();
    letters_of(&serde_json::to_value(row).unwrap_or_default(), &mut letters);
    letters.iter().any(|count| *count > LONG_VALUE) || letters.iter().sum::<usize>() > LONG_LINE
}

fn letters_of(value: &Json, letters: &mut Vec<usize>) {
    match value {
        Json::String(text) => letters.push(text.chars().count()),
        Json::Array(all) => all.iter().for_each(|one| letters_of(one, letters)),
        Json::Object(all) => all.values().for_each(|one| letters_of(one, letters)),
        Json::Null | Json::Bool(_) | Json::Number(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn one_long_value_or_many_short_ones_make_a_long_line() {
        assert!(!is_long(&json!({"name": "x".repeat(250), "documents": ["y".repeat(200)]})));
        assert!(is_long(&json!({"who": {"name": "x".repeat(251)}})));
        assert!(!is_long(&json!({"documents": vec!["x".repeat(90); 10]})));
        assert!(is_long(&json!({"documents": vec!["x".repeat(90); 11]})));
    }
}
