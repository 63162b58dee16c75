//! Rules on diabetes: blood sugar control, sensation and foot disease.

mod diabetes_not_asked;
mod foot_active;
mod glucose_out_of_range;
mod hba1c_high;
mod hba1c_missing;
mod hba1c_old;
mod sensation_missing;
mod sensation_reduced;
mod sglt2_inhibitor;

use super::Rule;
use crate::case::{Diabetes, DiabetesEntry};
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &hba1c_high::RULE,
    &hba1c_old::RULE,
    &hba1c_missing::RULE,
    &sensation_reduced::RULE,
    &sensation_missing::RULE,
    &glucose_out_of_range::RULE,
    &foot_active::RULE,
    &sglt2_inhibitor::RULE,
    &diabetes_not_asked::RULE,
];

/// What is recorded of the diabetes of a patient who has it.
fn diabetes(facts: &Facts) -> Option<&Diabetes> {
    match facts.case.history.as_ref()?.diabetes.as_ref()? {
        DiabetesEntry::Some(diabetes) => Some(diabetes),
        DiabetesEntry::None(_) => None,
    }
}
