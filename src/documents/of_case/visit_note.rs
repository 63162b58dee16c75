//! The note of a visit after surgery: what was seen toe by toe, done, taught, told and arranged. A visit to
//! which nobody came, and a talk on the telephone, are notes too, of which nothing was seen.

use serde::Serialize;

use crate::diagnostic::Path;
use crate::documents::page::{Feet, Medicines, Naming, Procedure, allergies, procedures, with_shared};
use crate::documents::parts::visits::{SeenView, VisitView};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::capitalised;

/// The note of a visit.
pub(crate) static DOCUMENT: Document = Document {
    name: "visit-note",
    title: "Visit note",
    template: "visit-note/main.typ",
    audience: Audience::Clinician,
    toes: Toes::Operated,
    tells_incidents: false,
    made: Made::OfVisit { visits, missing, view },
};

fn visits(facts: &Facts) -> Vec<usize> {
    (0..facts.case.visits.len()).collect()
}

fn missing(_: &Facts, _: usize) -> Vec<Path> {
    Vec::new()
}

/// What the template may print. Every key is always there; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
struct View {
    visit: VisitView,
    /// The toes in tables of at most so many that their columns stay wide enough.
    toe_tables: Vec<Table>,
    /// `24-Nov-2026`; empty if there was no operation.
    surgery: String,
    procedures: Vec<Procedure>,
    feet: Feet,
    allergies: String,
    medicines: Medicines,
    open: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Table {
    toes: Vec<SeenView>,
    /// A remark on at least one of them.
    has_notes: bool,
}

/// A cell begins with a capital.
fn in_a_cell(toe: SeenView) -> SeenView {
    let [wound, redness, pain, signs, note] =
        [&toe.wound, &toe.redness, &toe.pain, &toe.signs, &toe.note].map(|text| capitalised(text));
    SeenView { toe: capitalised(&toe.toe), wound, redness, pain, signs, note, ..toe }
}

/// Columns of a table that are still wide enough for words.
const MOST_COLUMNS: usize = 3;

fn view(facts: &Facts, at: usize, edition: &Edition) -> serde_json::Value {
    let Some(mut visit) = VisitView::of(facts, at, Audience::Clinician, Naming::Codes) else {
        return serde_json::Value::Object(serde_json::Map::new());
    };
    let mut toe_tables = Vec::new();
    let mut toes = std::mem::take(&mut visit.toes);
    while !toes.is_empty() {
        let rest = toes.split_off(toes.len().min(MOST_COLUMNS));
        let has_notes = toes.iter().any(|toe| !toe.note.is_empty());
        toe_tables.push(Table { toes: toes.into_iter().map(in_a_cell).collect(), has_notes });
        toes = rest;
    }
    let operated = facts.operated();
    let drawn: Vec<_> = operated.iter().map(|(toe, done)| (*toe, done.nail, done.edges.as_slice())).collect();
    let own = View {
        visit,
        toe_tables,
        surgery: facts.case.operation.as_ref().map_or_else(String::new, |done| done.date.clinical()),
        procedures: procedures(facts, Naming::Codes),
        feet: Feet::of(&drawn),
        allergies: capitalised(&allergies(facts)),
        medicines: Medicines::of(facts),
        open: if edition.is_draft { edition.open.clone() } else { Vec::new() },
    };
    with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn every_visit_has_a_note_also_one_to_which_nobody_came() {
        let facts = facts_of(
            "visits: [{on: 2026-11-27, kind: missed}, {on: 2026-11-30, kind: telephone}, {on: 2026-12-01, kind: review}]",
        );
        assert_eq!(visits(&facts), [0, 1, 2]);
        assert!(visits(&facts_of("")).is_empty());
    }
}
