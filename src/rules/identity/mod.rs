//! Rules on identity: the number, the date of birth and the reference that every document carries.

mod born_implausible;
mod born_in_future;
mod nhs_number_check;
mod reference_form;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] =
    &[&nhs_number_check::RULE, &born_in_future::RULE, &born_implausible::RULE, &reference_form::RULE];
