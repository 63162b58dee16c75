//! Rules on the tourniquet: it came off, in time, and the blood came back.

mod refill_not_recorded;
mod refill_slow;
mod tourniquet_long;
mod tourniquet_not_removed;
mod tourniquet_order;
mod tourniquet_sickle_cell;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &tourniquet_not_removed::RULE,
    &tourniquet_order::RULE,
    &tourniquet_long::RULE,
    &refill_not_recorded::RULE,
    &refill_slow::RULE,
    &tourniquet_sickle_cell::RULE,
];
