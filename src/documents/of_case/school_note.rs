//! The note for school or college: what a pupil may and may not do while a toe heals, and whom to ring. It is
//! handed to the family, who pass it on: it says nothing of the diagnosis, the operation or the toe.
//!
//! That schools let pupils with medical needs take part, PE and trips included, and ask health
//! professionals how: Department for Education, Supporting pupils at school with medical conditions,
//! December 2015. That the clinic writes it and not the general practice: a committee of GPs asks schools
//! not to send families to them for such notes.

use serde::Serialize;

use crate::case::Need;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::diagnostic::Path;
use crate::documents::page::{Person, with_shared};
use crate::documents::parts::home_care::HomeCare;
use crate::documents::parts::plain::{self, called, full_name, years_on};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;

/// The note for school or college.
pub(crate) static DOCUMENT: Document = Document {
    name: "school-note",
    title: "Note for school or college",
    template: "school-note/main.typ",
    audience: Audience::Patient,
    toes: Toes::NotShown,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

/// True for a patient of school age on the day of surgery; from 18 they are adults and speak for themselves.
pub(super) fn is_for(facts: &Facts) -> bool {
    let ages = Threshold::SchoolFrom.whole()..Threshold::Adult.whole();
    years_on(facts, facts.day()).is_some_and(|years| ages.contains(&years))
}

fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.operated().is_empty() {
        missing.push(Path::from("operation"));
    }
    // Not that the date is lacking: it says that there is no school.
    if !is_for(facts) {
        missing.push(Path::from("patient.born"));
    }
    missing
}

/// What the template may print. Every key is always there; a text is empty where nothing is known.
#[derive(Debug, Serialize)]
struct View {
    is_large_print: bool,
    full_name: String,
    called: String,
    born: String,
    /// `24 November 2026`.
    from: String,
    /// The day on which the toe was seen to be healed.
    healed: String,
    /// The day by which it is expected to be.
    expected: String,
    /// Visits that are still to come on the day the note is made: `Friday 27 November 2026`.
    visits: Vec<String>,
    care: HomeCare,
    contact: Person,
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let healed = facts.derived.course.healed_on();
    let visits = facts.derived.next_visits.get().into_iter().flatten();
    let own = View {
        is_large_print: plain::needs(facts, Need::LargePrint),
        full_name: full_name(facts),
        called: called(facts),
        born: facts.case.patient.born.long(),
        from: facts.day().long(),
        healed: healed.map_or_else(String::new, CivilDate::long),
        expected: facts.derived.expected_healing.get().map_or_else(String::new, |healing| healing.to.long()),
        visits: visits
            .map(|visit| visit.date)
            .filter(|date| edition.made_on <= *date)
            .map(CivilDate::long_with_day)
            .collect(),
        care: HomeCare::of(facts),
        contact: Person::of(facts.operator()),
    };
    with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn it_is_made_for_children_of_school_age_alone() {
        // Surgery was on 24 November 2026.
        for (born, is_made) in [
            ("2022-11-25", false),
            ("2022-11-24", true),
            ("2008-11-25", true),
            ("2008-11-24", false),
            ("1984-02-09", false),
        ] {
            let facts = facts_of(&format!("patient: {{born: {born}}}"));
            assert_eq!(missing(&facts).is_empty(), is_made, "{born}");
        }
        let planned = facts_of("{patient: {born: 2012-11-24}, operation: ~}");
        assert_eq!(missing(&planned), [Path::from("operation")]);
    }
}
