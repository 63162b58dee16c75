//! Rules on phenol: whether it suits the patient, how long it was applied, and what belongs with it.

mod lavage_missing;
mod phenol_allergy;
mod phenol_bottle;
mod phenol_expired;
mod phenol_not_as_planned;
mod phenol_poor_circulation;
mod phenol_pregnancy;
mod phenol_time;
mod phenol_without_tourniquet;
mod pregnancy_not_asked;

pub(super) use phenol_poor_circulation::is_reported as poor_circulation_is_reported;

use super::Rule;
use crate::anatomy::{Matrix, Toe};
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &phenol_pregnancy::RULE,
    &pregnancy_not_asked::RULE,
    &phenol_allergy::RULE,
    &phenol_time::RULE,
    &phenol_poor_circulation::RULE,
    &phenol_expired::RULE,
    &phenol_bottle::RULE,
    &phenol_without_tourniquet::RULE,
    &lavage_missing::RULE,
    &phenol_not_as_planned::RULE,
];

/// The toes with phenol, with where it is written: as used if there was an operation, else as planned.
fn phenol_toes(facts: &Facts) -> Vec<(Toe, String)> {
    match &facts.case.operation {
        Some(operation) => operation
            .toes
            .iter()
            .filter(|(_, done)| done.phenol.is_some())
            .map(|(toe, _)| (toe, format!("operation.toes.{toe}.phenol")))
            .collect(),
        None => facts
            .planned()
            .into_iter()
            .filter(|(_, plan)| plan.matrix == Matrix::Phenol)
            .map(|(toe, _)| (toe, format!("plan.{toe}.matrix")))
            .collect(),
    }
}

/// `phenol was used` or `phenol is planned`, for the other end of a finding.
fn phenol_label(facts: &Facts) -> &'static str {
    if facts.case.operation.is_some() { "phenol was used" } else { "phenol is planned" }
}
