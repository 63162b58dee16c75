//! The statistics of an audit: shares with their uncertainty, times until something happens, change over
//! months, and what small numbers give away. Pure functions on counts and times, checked against published
//! tables in the unit tests and against other people's libraries in `tests/outside/audit_statistics.py`.
//!
//! Whole numbers are compared as whole numbers. Floating point stays inside this module and is rounded to
//! text here, by [`rounded`] and [`percent`], so that every machine prints the same. Nothing here knows what
//! was counted, and nothing decides what may be printed.
#![expect(clippy::float_arithmetic, reason = "statistics, no dose")]

mod proportion;
mod run_chart;
mod small_numbers;
mod summary;
mod survival;

pub(crate) use proportion::Proportion;
pub(crate) use run_chart::{Fraction, Limits, Run, RunChart, Side};
pub(crate) use small_numbers::{ONE_TO_SEVEN, Rule};
pub(crate) use summary::Summary;
pub(crate) use survival::{Curve, Observation, log_rank};

use serde::Serialize;

/// The 97.5 % point of the normal distribution: what "95 %" means in every interval here. Six places, as
/// printed tables have it; more change no digit that is printed.
const Z_95: f64 = 1.959_964;

/// A 95 % interval, both limits between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Interval {
    /// The lower limit.
    pub(crate) low: f64,
    /// The upper limit.
    pub(crate) high: f64,
}

/// Finer than anything printed, coarser than any error of the arithmetic before it.
const GRID_DIGITS: u32 = 9;

/// A number of at least 0 as decimal text, a half rounded up.
///
/// Logarithms differ in the last bit from machine to machine, and 0.0625 may come out a little below itself.
/// So the value is first brought to nine places, where such a difference vanishes, and then rounded as a
/// whole number. More than eight `digits` give eight.
pub(crate) fn rounded(value: f64, digits: u32) -> String {
    let digits = digits.min(GRID_DIGITS - 1);
    // A cast saturates: below 0 and not a number give 0.
    let on_grid = (value * f64::from(10_u32.pow(GRID_DIGITS))).round() as u64;
    let step = 10_u64.pow(GRID_DIGITS - digits);
    let whole = on_grid / step + u64::from(on_grid % step * 2 >= step);
    let unit = 10_u64.pow(digits);
    match digits {
        0 => whole.to_string(),
        _ => format!("{}.{:0width$}", whole / unit, whole % unit, width = digits as usize),
    }
}

/// A share between 0 and 1 as a percentage, without the sign: `0.125` with one digit is `12.5`.
pub(crate) fn percent(share: f64, digits: u32) -> String {
    rounded(share * 100.0, digits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_goes_up_even_where_floating_point_falls_short_of_it() {
        assert_eq!(rounded(0.0625, 3), "0.063");
        // 1.005 is 1.00499999999999989… in binary.
        assert_eq!(rounded(1.005, 2), "1.01");
        assert_eq!(rounded(0.1 + 0.2, 1), "0.3");
        // One bit either side of a half.
        assert_eq!(rounded(0.5_f64.next_down(), 0), "1");
        assert_eq!(rounded(0.5_f64.next_up(), 0), "1");
        // Just below a half, for real.
        assert_eq!(rounded(0.062_499_9, 3), "0.062");
    }

    #[test]
    fn noughts_stay_and_digits_are_as_asked() {
        assert_eq!(rounded(2.0, 2), "2.00");
        assert_eq!(rounded(0.996, 2), "1.00");
        assert_eq!(rounded(12.3, 0), "12");
        assert_eq!(percent(0.125, 1), "12.5");
        assert_eq!(percent(1.0, 1), "100.0");
        assert_eq!(percent(0.005_714, 2), "0.57");
    }

    #[test]
    fn what_is_no_number_does_not_fall_over() {
        for value in [f64::NAN, -1.0, f64::NEG_INFINITY] {
            assert_eq!(rounded(value, 2), "0.00");
        }
        assert_eq!(rounded(0.5, 40), "0.50000000");
    }
}
