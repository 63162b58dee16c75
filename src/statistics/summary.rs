//! Median, quartiles and range of whole numbers, exact.

use std::fmt;

use serde::Serialize;

/// A number in quarters, exact: `85` is 21.25.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(crate) struct Quarters(pub u64);

impl fmt::Display for Quarters {
    /// `21`, `21.25`, `21.5`, `21.75`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let part = ["", ".25", ".5", ".75"][(self.0 % 4) as usize];
        write!(f, "{}{part}", self.0 / 4)
    }
}

/// Where whole numbers lie.
///
/// Quartiles are of type 7 of Hyndman and Fan (Am Stat 1996;50:361), what R and NumPy give unasked: the
/// value at place (n − 1)p of the sorted numbers, counted from 0, straight between the two neighbours. So a
/// quartile is a whole number of quarters, and the median of an even count the mean of the middle two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Summary {
    /// How many numbers.
    pub(crate) count: u32,
    /// The smallest.
    pub(crate) least: u32,
    /// A quarter of the way up.
    pub(crate) lower_quartile: Quarters,
    /// The middle.
    pub(crate) median: Quarters,
    /// Three quarters of the way up.
    pub(crate) upper_quartile: Quarters,
    /// The largest.
    pub(crate) most: u32,
}

impl Summary {
    /// `None` of no numbers.
    pub(crate) fn of(numbers: &[u32]) -> Option<Summary> {
        let mut sorted = numbers.to_vec();
        sorted.sort_unstable();
        let (least, most) = (*sorted.first()?, *sorted.last()?);
        Some(Summary {
            count: u32::try_from(sorted.len()).unwrap_or(u32::MAX),
            least,
            lower_quartile: quartile(&sorted, 1),
            median: quartile(&sorted, 2),
            upper_quartile: quartile(&sorted, 3),
            most,
        })
    }
}

/// The value so many quarters of the way up: 1, 2 or 3.
fn quartile(sorted: &[u32], quarters: usize) -> Quarters {
    let place = (sorted.len() - 1) * quarters;
    let (below, beyond) = (place / 4, (place % 4) as u64);
    let low = u64::from(sorted[below]);
    let high = sorted.get(below + 1).map_or(low, |next| u64::from(*next));
    Quarters(4 * low + beyond * (high - low))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quartiles(numbers: &[u32]) -> String {
        let summary = Summary::of(numbers).expect("some numbers");
        format!("{} {} {}", summary.lower_quartile, summary.median, summary.upper_quartile)
    }

    /// R: `quantile(1:n)` for n = 1 to 8, type 7, its default.
    #[test]
    fn quartiles_as_r_gives_them() {
        for (most, expected) in [
            (1, "1 1 1"),
            (2, "1.25 1.5 1.75"),
            (3, "1.5 2 2.5"),
            (4, "1.75 2.5 3.25"),
            (5, "2 3 4"),
            (6, "2.25 3.5 4.75"),
            (7, "2.5 4 5.5"),
            (8, "2.75 4.5 6.25"),
        ] {
            assert_eq!(quartiles(&(1..=most).collect::<Vec<u32>>()), expected);
        }
    }

    #[test]
    fn order_does_not_matter_and_ends_are_the_ends() {
        let summary = Summary::of(&[9, 2, 2, 30, 0]).expect("some numbers");
        assert_eq!((summary.count, summary.least, summary.most), (5, 0, 30));
        assert_eq!(quartiles(&[9, 2, 2, 30, 0]), "2 2 9");
        assert_eq!(quartiles(&[u32::MAX, u32::MAX]), "4294967295 4294967295 4294967295");
    }

    #[test]
    fn of_no_numbers_there_is_none() {
        assert_eq!(Summary::of(&[]), None);
    }
}
