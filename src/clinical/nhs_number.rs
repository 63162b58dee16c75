//! The NHS number: its check digit and its printed form.
//!
//! A right check digit does not prove that the number belongs to the patient, or to anyone.

use std::fmt;

use super::{Cite, sources::records};

/// Where the check comes from.
pub const CHECK: Cite = Cite::states(&records::NHS_NUMBER_CHECK, "modulus 11 steps");

/// Where the printed form comes from.
pub const DISPLAY: Cite = Cite::states(&records::NHS_NUMBER_DISPLAY, "display: 3-3-4 with single spaces");

/// A number that passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passed {
    /// The first nine digits, weighted 10 to 2 and added.
    pub sum: u32,
    /// The check digit.
    pub check_digit: u32,
}

/// Why a number cannot be an NHS number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// Something else than ten digits.
    NotTenDigits,
    /// All ten digits are equal.
    EqualDigits,
    /// The first nine digits call for a check digit of 10: such numbers are not issued.
    NeverIssued,
    /// The last digit is not the check digit. Which one would be right is not kept: whoever reads it
    /// could make any slip of the pen pass.
    CheckDigit,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::NotTenDigits => f.write_str("not ten digits"),
            Fault::EqualDigits => f.write_str("ten equal digits are never an NHS number"),
            Fault::NeverIssued => {
                f.write_str("no check digit fits the first nine digits: such a number is never issued")
            }
            Fault::CheckDigit => f.write_str("the check digit does not fit the other nine digits"),
        }
    }
}

/// The ten digits without spaces and hyphens.
pub(super) fn digits(number: &str) -> Option<[u32; 10]> {
    let digits: Option<Vec<u32>> =
        number.chars().filter(|c| !matches!(c, ' ' | '-')).map(|c| c.to_digit(10)).collect();
    digits?.try_into().ok()
}

/// Tests the check digit. Spaces and hyphens between the digits are passed over.
///
/// # Errors
/// The first reason why it cannot be an NHS number.
pub fn check(number: &str) -> Result<Passed, Fault> {
    let digits = digits(number).ok_or(Fault::NotTenDigits)?;
    if digits.iter().all(|digit| *digit == digits[0]) {
        return Err(Fault::EqualDigits);
    }
    let given = digits[9];
    let sum = (2..=10).rev().zip(digits).map(|(weight, digit)| weight * digit).sum::<u32>();
    match (11 - sum % 11) % 11 {
        10 => Err(Fault::NeverIssued),
        wanted if wanted == given => Ok(Passed { sum, check_digit: given }),
        _ => Err(Fault::CheckDigit),
    }
}

/// True if the number passes [`check`].
pub fn is_valid(number: &str) -> bool {
    check(number).is_ok()
}

/// `999 000 0018`; `None` if it is not ten digits. The check digit is not tested.
pub fn grouped(number: &str) -> Option<String> {
    let text: String = digits(number)?.iter().filter_map(|digit| char::from_digit(*digit, 10)).collect();
    Some(format!("{} {} {}", &text[..3], &text[3..6], &text[6..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_digit_decides() {
        assert_eq!(check("999 000 0018"), Ok(Passed { sum: 245, check_digit: 8 }));
        assert_eq!(check("9990000019"), Err(Fault::CheckDigit));
        assert_eq!(check("999-000-0018").map(|passed| passed.check_digit), Ok(8));
    }

    #[test]
    fn eleven_means_nought_and_ten_is_never_issued() {
        assert_eq!(check("1000000000"), Err(Fault::CheckDigit));
        assert_eq!(check("991 200 3810").map(|passed| passed.check_digit), Ok(0));
        assert_eq!(check("999 123 4567"), Err(Fault::NeverIssued));
    }

    #[test]
    fn ten_equal_digits_are_refused_though_some_pass_modulus_11() {
        for digit in 0..=9 {
            let number = digit.to_string().repeat(10);
            assert_eq!(check(&number), Err(Fault::EqualDigits), "{number}");
        }
    }

    #[test]
    fn other_lengths_and_signs_are_refused() {
        for wrong in ["", "999000001", "99900000180", "999 000 001X", "٩٩٩٠٠٠٠٠١٨"] {
            assert_eq!(check(wrong), Err(Fault::NotTenDigits), "{wrong}");
            assert_eq!(grouped(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn printed_in_three_groups() {
        assert_eq!(grouped("9434765919").as_deref(), Some("943 476 5919"));
    }
}
