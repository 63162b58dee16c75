//! Whether the patient has diabetes: the field, or a condition that says so.
//!
//! A condition speaks where the field is silent, and the safer answer counts where the two differ; that
//! they differ is a contradiction of its own. A medicine for diabetes is taken for other reasons too, so it
//! answers nothing and only contradicts.

use super::fact::conditions;
use super::{Fact, Given, LookedUp, Reason};
use crate::case::{DiabetesEntry, DiabetesKind};
use crate::clinical::Cite;
use crate::clinical::tables::Class;

/// Diabetes of every type, in the table of conditions.
pub(super) const CLASS: Class = Class::Diabetes;

const SOURCE: Cite = Cite::project_default("the field, or a condition that says the same");

/// Whether the patient has diabetes.
pub(super) fn diabetes_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let entry = given.case.history.as_ref().and_then(|history| history.diabetes.as_ref());
    let mut reasons = Vec::new();
    if let Some(DiabetesEntry::Some(diabetes)) = entry {
        reasons.push(Reason::new("history.diabetes", kind_in_words(&diabetes.kind), SOURCE));
    }
    reasons.extend(conditions(list, CLASS, SOURCE));
    Fact::of(reasons, entry.is_some())
}

/// `type 2 diabetes`, `gestational diabetes`.
pub(super) fn kind_in_words(kind: &DiabetesKind) -> String {
    match kind {
        DiabetesKind::Number(number) => format!("type {number} diabetes"),
        DiabetesKind::Words(words) if words.to_lowercase().contains("diabetes") => words.clone(),
        DiabetesKind::Words(words) => format!("{words} diabetes"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    fn answer(history: &str) -> Answer {
        facts_of(&format!("history: {{{history}}}")).derived.diabetes.answer
    }

    #[test]
    fn the_field_answers_and_a_condition_speaks_where_it_is_silent() {
        assert_eq!(answer("diabetes: none"), Answer::No);
        assert_eq!(answer("diabetes: {type: 1}"), Answer::Yes);
        assert_eq!(answer("diabetes: ~"), Answer::NotKnown);
        assert_eq!(answer("diabetes: ~, conditions: [type 2 diabetes]"), Answer::Yes);
        assert_eq!(answer("diabetes: none, conditions: [T1DM]"), Answer::Yes, "the safer one counts");
    }

    #[test]
    fn a_medicine_answers_nothing() {
        assert_eq!(answer("diabetes: ~, medicines: [insulin]"), Answer::NotKnown);
        assert_eq!(answer("diabetes: none, medicines: [metformin]"), Answer::No);
    }
}
