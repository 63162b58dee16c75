//! Rules on the record itself: what was used can be traced, who did it is named, times and dates agree.

mod accepted_not_acceptable;
mod accepted_unmatched;
mod accepted_without_reason;
mod allergies_not_rechecked;
mod batch_missing;
mod booked_day_passed;
mod count_incomplete;
mod dates_out_of_order;
mod dressing_expired;
mod emergency_kit_not_ready;
mod expiry_missing;
mod gp_unknown;
mod groove_not_clear;
mod identity_not_confirmed;
mod nothing_operated;
mod nothing_removed_contradicted;
mod operation_in_future;
mod operator_missing;
mod protocol_incomplete;
mod record_gap;
mod record_incomplete;
mod routine_incomplete;
mod sample_without_owner;
mod site_not_marked;
mod supply_not_in_use;
mod supply_unclear;
mod times_inconsistent;
mod tray_missing;
mod visit_on_closed_day;

use super::Rule;
use super::words::is_blank;
use crate::case::{Clinic, Measured};
use crate::diagnostic::Finding;
use crate::facts::Facts;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &batch_missing::RULE,
    &expiry_missing::RULE,
    &dressing_expired::RULE,
    &tray_missing::RULE,
    &record_gap::RULE,
    &record_incomplete::RULE,
    &identity_not_confirmed::RULE,
    &site_not_marked::RULE,
    &allergies_not_rechecked::RULE,
    &count_incomplete::RULE,
    &groove_not_clear::RULE,
    &emergency_kit_not_ready::RULE,
    &sample_without_owner::RULE,
    &operator_missing::RULE,
    &gp_unknown::RULE,
    &nothing_operated::RULE,
    &nothing_removed_contradicted::RULE,
    &operation_in_future::RULE,
    &times_inconsistent::RULE,
    &dates_out_of_order::RULE,
    &visit_on_closed_day::RULE,
    &booked_day_passed::RULE,
    &protocol_incomplete::RULE,
    &routine_incomplete::RULE,
    &supply_not_in_use::RULE,
    &supply_unclear::RULE,
    &accepted_unmatched::RULE,
    &accepted_not_acceptable::RULE,
    &accepted_without_reason::RULE,
];

/// What the rules of this topic find in a clinic file alone.
pub(super) fn of_clinic(clinic: &Clinic) -> Vec<(&'static Rule, Finding)> {
    let protocol = protocol_incomplete::of_clinic(clinic).into_iter();
    let supplies = supply_unclear::of_clinic(clinic).into_iter();
    let protocol = protocol.map(|finding| (&protocol_incomplete::RULE, finding));
    protocol.chain(supplies.map(|finding| (&supply_unclear::RULE, finding))).collect()
}

/// Something on one toe was used and its block, from which batch and expiry are read, is missing.
fn block_missing(facts: &Facts) -> Vec<(&'static str, &'static str, String)> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let mut missing = Vec::new();
    if operation.anaesthetic.as_ref().is_none_or(|agents| agents.all().is_empty())
        && let Some((toe, _)) = operation.toes.iter().find(|(_, done)| !done.injected.is_missing())
    {
        missing.push(("operation.anaesthetic", "anaesthetic", format!("operation.toes.{toe}.injected")));
    }
    if operation.phenol.is_none()
        && let Some((toe, _)) = operation.toes.iter().find(|(_, done)| done.phenol.is_some())
    {
        missing.push(("operation.phenol", "phenol", format!("operation.toes.{toe}.phenol")));
    }
    missing
}

/// Neither a batch nor a reason why there is none, which is `record-gap`.
fn is_absent(batch: &Measured<String>) -> bool {
    batch.is_missing() || batch.get().is_some_and(|batch| is_blank(Some(batch)))
}
