//! Whether the patient's defence against infection is weakened: by a medicine or by a condition.
//!
//! A steroid that stays where it is put, in a cream, an inhaler or an eye drop, does not count. Diabetes is
//! a fact of its own.

use super::fact::{conditions, medicines};
use super::{Fact, Given, LookedUp};
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources::procedure::INFECTION_FACTORS};

/// In the table of medicines.
const MEDICINE: Class = Class::Immunosuppressant;
/// In the table of conditions.
const CONDITION: Class = Class::Immunosuppression;

/// Why it counts.
pub const IMMUNITY: Cite = Cite::from_memory(&INFECTION_FACTORS, "immunosuppression");

/// Words that say that a medicine stays where it is put.
const LOCAL_FORMS: &[&str] = &[
    "cream",
    "ointment",
    "gel",
    "lotion",
    "scalp",
    "inhaler",
    "nebuliser",
    "nasal",
    "spray",
    "drops",
    "eye",
    "ear",
    "enema",
    "mouthwash",
];

/// Whether the immune system is weakened.
pub(super) fn weak_immunity_of(given: Given<'_>, taken: &[LookedUp], list: &[LookedUp]) -> Fact {
    let mut reasons = medicines(taken, MEDICINE, IMMUNITY);
    reasons.retain(|reason| !stays_where_it_is(&reason.says));
    reasons.extend(conditions(list, CONDITION, IMMUNITY));
    let history = given.case.history.as_ref();
    let is_answered =
        history.is_some_and(|history| history.medicines.is_some() && history.conditions.is_some());
    Fact::of(reasons, is_answered)
}

/// True of a cream, an inhaler, drops and the like.
pub(crate) fn stays_where_it_is(typed: &str) -> bool {
    typed.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| LOCAL_FORMS.contains(&word))
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    fn of(history: &str) -> (Answer, String) {
        let facts = facts_of(&format!("history: {{{history}}}"));
        (facts.derived.weak_immunity.answer, facts.derived.weak_immunity.because())
    }

    #[test]
    fn a_medicine_or_a_condition_is_enough() {
        assert_eq!(of("medicines: [methotrexate]"), (Answer::Yes, "methotrexate".into()));
        assert_eq!(of("conditions: [HIV]"), (Answer::Yes, "HIV".into()));
        assert_eq!(
            of("medicines: [tacrolimus], conditions: [kidney transplant]").1,
            "tacrolimus; kidney transplant"
        );
        assert_eq!(of("medicines: [salbutamol]").0, Answer::No);
        assert_eq!(of("medicines: ~").0, Answer::NotKnown);
    }

    #[test]
    fn what_stays_on_the_skin_or_in_the_lung_does_not_count() {
        assert_eq!(of("medicines: [prednisolone 5 mg]").0, Answer::Yes);
        for local in ["hydrocortisone cream", "prednisolone eye drops"] {
            assert_eq!(of(&format!("medicines: [{local}]")).0, Answer::No, "{local}");
        }
    }
}
