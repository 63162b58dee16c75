//! Rules on bleeding, and on the medicines and conditions of the history as a whole.

mod anticoagulant;
mod antiplatelet;
mod bleeding_disorder;
mod condition_unknown;
mod inr_high;
mod inr_missing;
mod inr_old;
mod medicine_unknown;
mod medicines_not_asked;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &anticoagulant::RULE,
    &inr_missing::RULE,
    &inr_high::RULE,
    &inr_old::RULE,
    &antiplatelet::RULE,
    &bleeding_disorder::RULE,
    &medicine_unknown::RULE,
    &medicines_not_asked::RULE,
    &condition_unknown::RULE,
];
