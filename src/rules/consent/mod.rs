//! Rules on consent: given before surgery, recently, by someone who can give it, and with what it needs.

mod alternatives_not_discussed;
mod capacity_not_recorded;
mod consent_after_operation;
mod consent_missing;
mod consent_not_confirmed;
mod consent_old;
mod consent_under_16;
mod guardian_without_responsibility;
mod interpreter_not_recorded;

use super::Rule;
use crate::date::Age;
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &consent_missing::RULE,
    &consent_after_operation::RULE,
    &consent_old::RULE,
    &consent_not_confirmed::RULE,
    &consent_under_16::RULE,
    &guardian_without_responsibility::RULE,
    &capacity_not_recorded::RULE,
    &interpreter_not_recorded::RULE,
    &alternatives_not_discussed::RULE,
];

/// Years of age from which a young person's own consent counts like an adult's and the Mental Capacity
/// Act applies (Family Law Reform Act 1969 section 8, as told in
/// [`CONSENT_UNDER_18`](crate::clinical::sources::consent::CONSENT_UNDER_18)).
const OWN_CONSENT_YEARS: u32 = 16;

/// The age on the day consent was signed, which is the age that counts; before that, on the day of surgery.
fn age_when_signed(facts: &Facts) -> Option<Age> {
    let signed = facts.case.consent.as_ref().and_then(|consent| consent.signed);
    Age::on(facts.case.patient.born, signed.unwrap_or_else(|| facts.day()))
}
