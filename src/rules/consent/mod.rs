//! Rules on consent: given before surgery, recently, by someone who can give it, and with what it needs.
//!
//! Who decides is worked out in `derive`, by the law of the clinic's nation.

mod alternatives_not_discussed;
mod authority_not_recorded;
mod capacity_not_recorded;
mod certificate_not_valid;
mod consent_after_operation;
mod consent_missing;
mod consent_not_confirmed;
mod consent_old;
mod consent_under_16;
mod decider_not_in_law;
mod guardian_told_not_asked;
mod guardian_without_responsibility;
mod interpreter_not_recorded;
mod letter_objected;

use super::Rule;
use crate::derive::DecisionMaker;
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &consent_missing::RULE,
    &consent_after_operation::RULE,
    &consent_old::RULE,
    &consent_not_confirmed::RULE,
    &consent_under_16::RULE,
    &decider_not_in_law::RULE,
    &guardian_without_responsibility::RULE,
    &authority_not_recorded::RULE,
    &certificate_not_valid::RULE,
    &capacity_not_recorded::RULE,
    &interpreter_not_recorded::RULE,
    &alternatives_not_discussed::RULE,
    &letter_objected::RULE,
    &guardian_told_not_asked::RULE,
];

/// Who decides; `None` where the age is not known, which is another rule's business.
fn decision_maker(facts: &Facts) -> Option<&DecisionMaker> {
    facts.derived.decision_maker.get()
}

/// `born 03-May-2014`.
fn born(facts: &Facts) -> String {
    format!("born {}", facts.case.patient.born.clinical())
}
