//! The operation that this one comes after, where the case says that the same toe was treated before. The
//! sentences stand in the templates.

use serde::Serialize;

use crate::documents::Audience;
use crate::documents::page::day_for;
use crate::facts::Facts;

/// What may be said of the earlier case; all empty and false where there was none.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Earlier {
    /// `LFC-0136`.
    reference: String,
    /// `27-Jan-2026`; empty where the day is not recorded.
    on: String,
    /// It was an operation: its day is recorded, or a toe is said to have been operated on before.
    is_operation: bool,
    /// This case is about several toes, and nothing says which of them it was.
    has_several: bool,
}

impl Earlier {
    /// On a page about so many toes.
    pub(in crate::documents) fn of(facts: &Facts, audience: Audience, toes: usize) -> Earlier {
        let Some(earlier) = &facts.case.follows else { return Earlier::default() };
        let affected = facts.case.affected();
        let says_so =
            affected.is_some_and(|toes| toes.iter().any(|(_, toe)| toe.previous_surgery == Some(true)));
        Earlier {
            reference: earlier.reference.to_string(),
            on: earlier.operated.map_or_else(String::new, |day| day_for(audience, day)),
            is_operation: earlier.operated.is_some() || says_so,
            has_several: toes > 1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(fragment: &str) -> Earlier {
        Earlier::of(&facts_of(fragment), Audience::Clinician, 1)
    }

    #[test]
    fn an_earlier_case_is_an_operation_only_where_that_is_recorded() {
        assert_eq!(of(""), Earlier::default());
        let plain = of("follows: LFC-0042");
        assert_eq!((plain.reference.as_str(), plain.on.as_str()), ("LFC-0042", ""));
        assert!(!plain.is_operation && !plain.has_several);
        let dated = of("follows: LFC-0042 on 2026-01-27");
        assert_eq!((dated.reference.as_str(), dated.on.as_str()), ("LFC-0042", "27-Jan-2026"));
        assert!(dated.is_operation);
        let ticked = of("{follows: LFC-0042, problem: {toes: {L1: {previous_surgery: true}}}}");
        assert!(ticked.is_operation && ticked.on.is_empty());
    }
}
