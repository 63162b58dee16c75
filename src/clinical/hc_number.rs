//! The health and care number of Northern Ireland: its range, its check digit and its printed form.
//!
//! It is made like an NHS number, from a range of its own.

use std::fmt;

use super::nhs_number::{self, digits};
use super::{Cite, sources::records};

/// Where range and check come from.
pub const CHECK: Cite = Cite::states(
    &records::NUMBER_RANGES,
    "Northern Ireland: 320 000 001 to 399 999 999 before the check digit",
);

/// Why a number cannot be a health and care number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// Something else than ten digits.
    NotTenDigits,
    /// From another range.
    OtherRange,
    /// The check digit is wrong, or none fits. Which would be right is not kept.
    CheckDigit,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Fault::NotTenDigits => "not ten digits",
            Fault::OtherRange => "health and care numbers begin with 32 to 39",
            Fault::CheckDigit => "the check digit does not fit the other nine digits",
        })
    }
}

/// Whether it is from the range of Northern Ireland; the check digit is not looked at.
pub fn is_in_range(number: &str) -> bool {
    digits(number).is_some_and(|digits| {
        let stem = digits[..9].iter().fold(0_u32, |stem, digit| stem * 10 + digit);
        (320_000_001..=399_999_999).contains(&stem)
    })
}

/// Tests range and check digit. Spaces and hyphens between the digits are passed over.
///
/// # Errors
/// The first reason why it cannot be a health and care number.
pub fn check(number: &str) -> Result<(), Fault> {
    if digits(number).is_none() {
        return Err(Fault::NotTenDigits);
    }
    if !is_in_range(number) {
        return Err(Fault::OtherRange);
    }
    // The range is checked first: which numbers else are never issued is a matter of NHS numbers.
    nhs_number::check(number).map(|_| ()).map_err(|_| Fault::CheckDigit)
}

/// `320 000 0015`; `None` if it is not ten digits. The check digit is not tested.
pub fn grouped(number: &str) -> Option<String> {
    nhs_number::grouped(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn range_and_check_digit_decide() {
        assert_eq!(check("320 000 0015"), Ok(()));
        assert_eq!(check("3200000016"), Err(Fault::CheckDigit));
        assert_eq!(check("3200000040"), Err(Fault::CheckDigit), "no digit fits these nine");
        assert_eq!(check("943 476 5919"), Err(Fault::OtherRange));
        assert_eq!(check("320000001"), Err(Fault::NotTenDigits));
        assert!(!is_in_range("3200000000") && is_in_range("3200000015") && is_in_range("3999999999"));
        assert!(!is_in_range("3199999999") && !is_in_range("4000000000") && is_in_range("3300000000"));
    }
}
