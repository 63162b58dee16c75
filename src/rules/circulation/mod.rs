//! Rules on circulation: pulses, ankle and toe pressures of the feet under surgery.

mod abpi_high;
mod abpi_low;
mod abpi_told_differs;
mod arterial_disease;
mod circulation_with_diabetes;
mod no_circulation_recorded;
mod pulses_absent;
mod pulses_weak;
mod tbpi_low;
mod toe_pressure_borderline;
mod toe_pressure_low;

use super::Rule;
use crate::anatomy::Side;
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &pulses_absent::RULE,
    &pulses_weak::RULE,
    &abpi_low::RULE,
    &abpi_high::RULE,
    &abpi_told_differs::RULE,
    &tbpi_low::RULE,
    &toe_pressure_low::RULE,
    &toe_pressure_borderline::RULE,
    &arterial_disease::RULE,
    &no_circulation_recorded::RULE,
    &circulation_with_diabetes::RULE,
];

/// `phenol-poor-circulation`, which weighs more, already speaks of this foot.
fn is_said_with_phenol(facts: &Facts, side: Side) -> bool {
    super::phenol::poor_circulation_is_reported(facts, side)
}

/// What the unit tests lay over the base case so that no phenol is used.
#[cfg(test)]
const WITHOUT_PHENOL: &str = "operation: {toes: {L1: {phenol: ~}}}";
