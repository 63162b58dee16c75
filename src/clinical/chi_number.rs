//! The CHI number of Scotland: the date of birth inside it, its check digits and its printed form.
//!
//! A number that passes may still belong to somebody else, or to nobody.

use std::fmt;

use super::{Cite, sources::records};

/// Where the check comes from.
pub const CHECK: Cite = Cite::states(&records::CHI_CHECK, "`chi_check`: a real date, and either check digit");

/// Where the printed form comes from.
pub const DISPLAY: Cite = Cite::project_default(
    "the date stands apart from the rest, so that it can be compared with the birthday",
);

/// Day, month and last two digits of the year, as the number has them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BirthDigits {
    /// 1 to 31.
    pub day: u8,
    /// 1 to 12.
    pub month: u8,
    /// 0 to 99; the century is not in the number.
    pub year: u8,
}

/// Why a number cannot be a CHI number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// Something else than ten digits.
    NotTenDigits,
    /// The first six digits are no day of any century.
    NoDate,
    /// The last digit is neither of the two check digits. Which would be right is not kept: whoever reads
    /// it could make any slip of the pen pass.
    CheckDigit,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Fault::NotTenDigits => "not ten digits",
            Fault::NoDate => "the first six digits are no date, day before month",
            Fault::CheckDigit => "the check digit does not fit the other nine digits",
        })
    }
}

/// Tests date and check digit: modulus 11, as long as there have been such numbers, or modulus 10, as of
/// those that are issued from 2026. Spaces and hyphens between the digits are passed over.
///
/// # Errors
/// The first reason why it cannot be a CHI number.
pub fn check(number: &str) -> Result<BirthDigits, Fault> {
    let digits = super::nhs_number::digits(number).ok_or(Fault::NotTenDigits)?;
    let pair = |at: usize| u8::try_from(digits[at] * 10 + digits[at + 1]).unwrap_or(u8::MAX);
    let born = BirthDigits { day: pair(0), month: pair(2), year: pair(4) };
    if !is_date(born) {
        return Err(Fault::NoDate);
    }
    let given = digits[9];
    let passes = [modulus_11(&digits), Some(modulus_10(&digits))].contains(&Some(given));
    if passes { Ok(born) } else { Err(Fault::CheckDigit) }
}

/// True if the number passes [`check`].
pub fn is_valid(number: &str) -> bool {
    check(number).is_ok()
}

/// A day that there was in one century or the other: the 29th of February of 00 was one in 2000.
fn is_date(born: BirthDigits) -> bool {
    let days = match born.month {
        4 | 6 | 9 | 11 => 30,
        2 if born.year.is_multiple_of(4) => 29,
        2 => 28,
        1..=12 => 31,
        _ => return false,
    };
    (1..=days).contains(&born.day)
}

/// The check digit of the first nine, weighted 10 to 2; nothing where it would be ten.
fn modulus_11(digits: &[u32; 10]) -> Option<u32> {
    let sum: u32 = (2..=10).rev().zip(digits).map(|(weight, digit)| weight * digit).sum();
    Some((11 - sum % 11) % 11).filter(|digit| *digit < 10)
}

/// The check digit of the first nine, each second one doubled from the last, and its digits added.
fn modulus_10(digits: &[u32; 10]) -> u32 {
    let doubled = |digit: u32| if digit > 4 { digit * 2 - 9 } else { digit * 2 };
    let sum: u32 = digits[..9]
        .iter()
        .enumerate()
        .map(|(at, digit)| if at % 2 == 0 { doubled(*digit) } else { *digit })
        .sum();
    (10 - sum % 10) % 10
}

/// `010101 1237`; `None` if it is not ten digits. The check digit is not tested.
pub fn grouped(number: &str) -> Option<String> {
    let digits = super::nhs_number::digits(number)?;
    let text: String = digits.iter().filter_map(|digit| char::from_digit(*digit, 10)).collect();
    Some(format!("{} {}", &text[..6], &text[6..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn either_check_digit_passes_and_no_third() {
        let born = BirthDigits { day: 1, month: 1, year: 1 };
        assert_eq!(check("010101 1237"), Ok(born), "both call for 7");
        for digit in "012345689".chars() {
            assert_eq!(check(&format!("010101123{digit}")), Err(Fault::CheckDigit), "{digit}");
        }
        // Modulus 11 calls for 0 here and modulus 10 for 4.
        let valid: Vec<char> = ('0'..='9').filter(|digit| is_valid(&format!("010120123{digit}"))).collect();
        assert_eq!(valid, ['0', '4']);
    }

    #[test]
    fn the_first_six_digits_are_a_day() {
        // With every last digit: what is refused is the date.
        let days = |date: &str| ('0'..='9').any(|digit| is_valid(&format!("{date}123{digit}")));
        for real in ["290200", "290204", "311299", "300484"] {
            assert!(days(real), "{real}");
        }
        for wrong in ["290201", "300200", "310484", "011300", "000101", "010001", "320120"] {
            assert!(!days(wrong), "{wrong}");
            assert_eq!(check(&format!("{wrong}1234")), Err(Fault::NoDate), "{wrong}");
        }
        assert_eq!(check("101011237"), Err(Fault::NotTenDigits), "the nought at the front was lost");
    }

    #[test]
    fn printed_with_the_date_apart() {
        assert_eq!(grouped("0101011237").as_deref(), Some("010101 1237"));
        assert_eq!(grouped("01010112"), None);
    }
}
