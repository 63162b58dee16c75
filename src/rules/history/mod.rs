//! Rules on the history as a whole: whether its entries agree with one another.

mod capacity_not_judged;
mod history_contradicts;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[&history_contradicts::RULE, &capacity_not_judged::RULE];
