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
use crate::derive::LookedUp;
use crate::facts::Facts;

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

/// The class of warfarin and its kin, whose effect is measured as INR.
const VITAMIN_K_ANTAGONIST: &str = "vitamin k antagonist";

/// The medicines of a class, each with its place in the list.
fn taken<'a>(facts: &'a Facts, class: &'a str) -> impl Iterator<Item = (String, &'a LookedUp)> {
    facts
        .derived
        .medicines
        .iter()
        .enumerate()
        .filter(move |(_, medicine)| medicine.is(class))
        .map(|(at, medicine)| (format!("history.medicines[{at}]"), medicine))
}

/// `apixaban`, or `Warferin (warfarin)` where what was typed is another spelling.
fn as_typed(medicine: &LookedUp) -> String {
    match medicine.name {
        Some(name) if !medicine.typed.to_lowercase().contains(name) => format!("{} ({name})", medicine.typed),
        _ => medicine.typed.clone(),
    }
}
