//! Rules on identity: the number, the date of birth and the reference that every document carries, and whether
//! mass and height can be this patient's.

mod born_implausible;
mod born_in_future;
mod chi_number_birth;
mod chi_number_check;
mod hc_number_check;
mod height_implausible;
mod mass_and_height_swapped;
mod mass_implausible;
mod nhs_number_check;
mod number_of_another_nation;
mod reference_form;

use super::Rule;
use crate::derive::Against;
use crate::units::round_half_up;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &nhs_number_check::RULE,
    &chi_number_check::RULE,
    &hc_number_check::RULE,
    &chi_number_birth::RULE,
    &number_of_another_nation::RULE,
    &born_in_future::RULE,
    &born_implausible::RULE,
    &reference_form::RULE,
    &mass_and_height_swapped::RULE,
    &mass_implausible::RULE,
    &height_implausible::RULE,
];

/// `36 kg, where the 0.4th to 99.6th centile at this age is 16.8 to 35.5 kg`.
fn held_against(measured: &str, against: Against, unit: &str) -> String {
    let one = |number: rust_decimal::Decimal| round_half_up(number, 1).normalize();
    let ends =
        |range: crate::clinical::body_size::Range| format!("{} to {}", one(range.low), one(range.high));
    match against {
        Against::Centiles(range) => {
            format!("{measured}, where the 0.4th to 99.6th centile at this age is {} {unit}", ends(range))
        }
        Against::Deviations(range) => {
            format!(
                "{measured}, where 4 standard deviations either way at this age are {} {unit}",
                ends(range)
            )
        }
        Against::Adult(range) => {
            format!("{measured}, where {} {unit} are not asked about in an adult", ends(range))
        }
        Against::BodyMassIndex(index, range) => {
            format!(
                "{measured} gives a body mass index of {}, where {} are not asked about",
                one(index),
                ends(range)
            )
        }
    }
}
