//! To whom a page for the patient speaks, and in what print: the same on every such page.

use serde::Serialize;

use super::plain::{called, needs, needs_interpreter, years_on};
use crate::case::Need;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::facts::Facts;

/// The reader of a page for the patient.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
pub(in crate::documents) struct Reader {
    pub(in crate::documents) is_large_print: bool,
    pub(in crate::documents) is_easy_read: bool,
    /// The name that the page speaks to.
    pub(in crate::documents) called: String,
    /// `9 February 1984`.
    pub(in crate::documents) born: String,
    pub(in crate::documents) is_under_16: bool,
    pub(in crate::documents) is_under_18: bool,
    pub(in crate::documents) has_carer: bool,
    /// The language of the interpreter; empty where none is needed.
    pub(in crate::documents) language: String,
}

impl Reader {
    /// As old as on this day.
    pub(in crate::documents) fn on(facts: &Facts, day: CivilDate) -> Reader {
        let years = years_on(facts, day).unwrap_or(Threshold::Adult.whole());
        let language = facts.case.patient.language.clone().filter(|_| needs_interpreter(facts));
        Reader {
            is_large_print: needs(facts, Need::LargePrint),
            is_easy_read: needs(facts, Need::EasyRead),
            called: called(facts),
            born: facts.case.patient.born.long(),
            is_under_16: years < Threshold::YoungPerson.whole(),
            is_under_18: years < Threshold::Adult.whole(),
            has_carer: needs(facts, Need::CarerPresent),
            language: language.unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn sixteen_and_eighteen_are_told_from_the_day_before() {
        let ages = |born: &str| {
            let facts = facts_of(&format!("patient: {{born: {born}}}"));
            let reader = Reader::on(&facts, facts.day());
            (reader.is_under_16, reader.is_under_18)
        };
        assert_eq!(ages("2010-11-25"), (true, true), "15 for one more day");
        assert_eq!(ages("2010-11-24"), (false, true), "16 on the day");
        assert_eq!(ages("2008-11-25"), (false, true), "17 for one more day");
        assert_eq!(ages("2008-11-24"), (false, false), "18 on the day");
    }
}
