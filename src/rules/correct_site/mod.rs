//! Rules on the correct site: what was found, planned, consented to and done must be the same toe and edge.

mod consent_toe_mismatch;
mod edge_not_named;
mod edge_not_planned;
mod nail_type_differs;
mod no_stop_before_block;
mod planned_not_done;
mod toe_not_affected;
mod toe_not_planned;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &toe_not_planned::RULE,
    &edge_not_planned::RULE,
    &edge_not_named::RULE,
    &planned_not_done::RULE,
    &toe_not_affected::RULE,
    &nail_type_differs::RULE,
    &consent_toe_mismatch::RULE,
    &no_stop_before_block::RULE,
];
