//! Whether the patient is pregnant: the field, or a condition that says so.

use super::fact::conditions;
use super::{Fact, Given, LookedUp, Reason};
use crate::clinical::Cite;
use crate::clinical::tables::Class;

/// Pregnancy now, in the table of conditions.
pub(super) const CLASS: Class = Class::Pregnancy;

/// Whether the patient is pregnant.
pub(super) fn pregnancy_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let field = given.case.history.as_ref().and_then(|history| history.pregnant);
    let mut reasons = Vec::new();
    if field == Some(true) {
        reasons.push(Reason::new("history.pregnant", "pregnant", Cite::common_practice()));
    }
    reasons.extend(conditions(list, CLASS, Cite::common_practice()));
    Fact::of(reasons, field.is_some())
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    #[test]
    fn the_field_answers_and_a_condition_speaks_too() {
        let answer = |history: &str| facts_of(&format!("history: {{{history}}}")).derived.pregnancy.answer;
        assert_eq!(answer("pregnant: true"), Answer::Yes);
        assert_eq!(answer("pregnant: false"), Answer::No);
        assert_eq!(answer("pregnant: ~"), Answer::NotKnown);
        assert_eq!(answer("pregnant: ~, conditions: [pregnant]"), Answer::Yes);
        assert_eq!(answer("pregnant: false, conditions: [pregnant]"), Answer::Yes, "the safer one counts");
    }
}
