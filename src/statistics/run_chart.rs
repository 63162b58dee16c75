//! Numbers in order of time around their median, and whether they stay on one side of it longer, or change
//! sides more rarely, than chance would have them.
//!
//! Rules of Anhøj: Anhøj and Olesen, PLoS ONE 2014;9(11):e113825; as in R's package qicharts2. They are not
//! to be mixed with "six in a row" or "five rising", which belong to other sets of rules.
#![expect(clippy::float_arithmetic, reason = "statistics, no dose")]

use std::cmp::Ordering;
use std::ops::RangeInclusive;

use serde::Serialize;

/// A number as one whole number over another, compared without rounding: a share of a month is 3/14, a
/// count 3/1, a median of days 43/2.
#[derive(Debug, Clone, Copy, Serialize)]
pub(crate) struct Fraction {
    numerator: u32,
    denominator: u32,
}

impl Fraction {
    /// `None` over 0.
    pub(crate) fn new(numerator: u32, denominator: u32) -> Option<Fraction> {
        (denominator > 0).then_some(Fraction { numerator, denominator })
    }

    /// As a decimal, to be drawn or printed; never to be compared.
    pub(crate) fn decimal(self) -> f64 {
        f64::from(self.numerator) / f64::from(self.denominator)
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Fraction) -> Ordering {
        let across =
            |one: &Fraction, other: &Fraction| u64::from(one.numerator) * u64::from(other.denominator);
        across(self, other).cmp(&across(other, self))
    }
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Fraction) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Fraction {
    /// 1/2 is 2/4.
    fn eq(&self, other: &Fraction) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Fraction {}

/// The middle of numbers: the one in the middle, or halfway between two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Median {
    low: Fraction,
    high: Fraction,
}

impl Median {
    fn of(values: impl Iterator<Item = Fraction>) -> Option<Median> {
        let mut sorted: Vec<Fraction> = values.collect();
        sorted.sort_unstable();
        let high = *sorted.get(sorted.len() / 2)?;
        let low = sorted[(sorted.len() - 1) / 2];
        Some(Median { low, high })
    }

    /// As a decimal, to be drawn or printed.
    pub(crate) fn decimal(self) -> f64 {
        (self.low.decimal() + self.high.decimal()) / 2.0
    }

    /// On which side one of the numbers lies. None of them lies between the two in the middle, so nothing
    /// needs to be added or halved, and no rounding can put a number on the line or off it.
    fn side_of(self, value: Fraction) -> Side {
        if value < self.high {
            Side::Below
        } else if value > self.low {
            Side::Above
        } else {
            Side::On
        }
    }
}

/// Where a point lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Side {
    /// Above the median.
    Above,
    /// On the median, and so of no use: it neither breaks a run nor adds to it.
    On,
    /// Below the median.
    Below,
}

/// Points in a row on one side of the median.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Run {
    /// The side.
    pub(crate) side: Side,
    /// Its first point, counted from 0 among all that were given.
    pub(crate) first: usize,
    /// Its last point.
    pub(crate) last: usize,
    /// Its useful points: without those on the median, and without gaps.
    pub(crate) length: u32,
}

/// What chance alone would rarely pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub(crate) struct Limits {
    /// A run of more points than this is a signal.
    pub(crate) longest_run: u32,
    /// Fewer crossings than this are a signal.
    pub(crate) crossings: u32,
}

/// From so many useful points the rules can be used: "as few as 10", vignette of qicharts2, "The Anhøj
/// rules"; its table starts there.
const FEWEST_POINTS: u32 = 10;
/// Up to so many the arithmetic below is exact: ten years of months. The published table ends at 100.
const MOST_POINTS: u32 = 124;

impl Limits {
    /// The limits for so many useful points; `None` below 10 and above 124.
    ///
    /// Longest run: log₂(n) + 3, rounded. Crossings: the 5 % quantile of the binomial distribution of n − 1
    /// with 1/2. Both in whole numbers.
    pub(crate) fn of(useful: u32) -> Option<Limits> {
        if !(FEWEST_POINTS..=MOST_POINTS).contains(&useful) {
            return None;
        }
        // log₂(n) rounded is log₂(n²) rounded down, plus one, halved: no logarithm is needed.
        let log2 = (useful * useful).ilog2().div_ceil(2);
        Some(Limits { longest_run: log2 + 3, crossings: twentieth_of_coins(useful - 1) })
    }
}

/// The smallest k for which at most k heads among so many coins come in 1 of 20 throws or more often. Up to
/// 123 coins: 20 times all throws still fit.
fn twentieth_of_coins(coins: u32) -> u32 {
    let all: u128 = 1 << coins;
    let (mut ways, mut so_far) = (1_u128, 1_u128);
    let mut heads = 0;
    while 20 * so_far < all {
        // The next of a row of Pascal's triangle; divides without rest.
        ways = ways * u128::from(coins - heads) / u128::from(heads + 1);
        heads += 1;
        so_far += ways;
    }
    heads
}

/// Numbers in order of time around their median.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct RunChart {
    /// The middle of all numbers there are.
    pub(crate) median: Median,
    /// The side of each point, `None` where there is no number.
    pub(crate) sides: Vec<Option<Side>>,
    /// Every run, in order.
    pub(crate) runs: Vec<Run>,
    /// How many points are not on the median.
    pub(crate) useful: u32,
    /// The useful points of the longest run.
    pub(crate) longest_run: u32,
    /// How often the line changes sides: one less than there are runs.
    pub(crate) crossings: u32,
    /// What chance would rarely pass; `None` with too few points to say, or too many.
    pub(crate) limits: Option<Limits>,
}

impl RunChart {
    /// The chart of points in order of time. A month without a number is `None`: like a point on the median
    /// it neither breaks a run nor adds to it. `None` of no number.
    pub(crate) fn of(points: &[Option<Fraction>]) -> Option<RunChart> {
        let median = Median::of(points.iter().copied().flatten())?;
        let sides: Vec<Option<Side>> =
            points.iter().map(|point| point.map(|value| median.side_of(value))).collect();
        let runs = runs_of(&sides);
        let useful = runs.iter().map(|run| run.length).sum();
        Some(RunChart {
            median,
            useful,
            longest_run: runs.iter().map(|run| run.length).max().unwrap_or(0),
            crossings: u32::try_from(runs.len().saturating_sub(1)).unwrap_or(u32::MAX),
            limits: Limits::of(useful),
            sides,
            runs,
        })
    }

    /// The runs that are longer than chance would have them.
    pub(crate) fn long_runs(&self) -> impl Iterator<Item = &Run> {
        let limit = self.limits.map_or(u32::MAX, |limits| limits.longest_run);
        self.runs.iter().filter(move |run| run.length > limit)
    }

    /// The points of the runs that are longer than chance would have them, to be marked.
    pub(crate) fn marked(&self) -> impl Iterator<Item = RangeInclusive<usize>> {
        self.long_runs().map(|run| run.first..=run.last)
    }

    /// True if the line changes sides more rarely than chance would have it.
    pub(crate) fn has_few_crossings(&self) -> bool {
        self.limits.is_some_and(|limits| self.crossings < limits.crossings)
    }

    /// True if something other than chance is likely: a long run, or few crossings. `None` where that cannot
    /// be said.
    pub(crate) fn signals(&self) -> Option<bool> {
        self.limits.map(|_| self.has_few_crossings() || self.long_runs().next().is_some())
    }
}

fn runs_of(sides: &[Option<Side>]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (at, side) in sides.iter().enumerate() {
        let Some(side @ (Side::Above | Side::Below)) = *side else { continue };
        match runs.last_mut() {
            Some(run) if run.side == side => {
                run.last = at;
                run.length += 1;
            }
            _ => runs.push(Run { side, first: at, last: at, length: 1 }),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// qicharts2 0.8.1, vignette, appendix 2: useful points, limit of the longest run, limit of crossings.
    const TABLE: &[(u32, u32, u32)] = &[
        (10, 6, 2),
        (11, 6, 2),
        (12, 7, 3),
        (13, 7, 3),
        (14, 7, 4),
        (15, 7, 4),
        (16, 7, 4),
        (17, 7, 5),
        (18, 7, 5),
        (19, 7, 6),
        (20, 7, 6),
        (21, 7, 6),
        (22, 7, 7),
        (23, 8, 7),
        (24, 8, 8),
        (25, 8, 8),
        (26, 8, 8),
        (27, 8, 9),
        (28, 8, 9),
        (29, 8, 10),
        (30, 8, 10),
        (31, 8, 11),
        (32, 8, 11),
        (33, 8, 11),
        (34, 8, 12),
        (35, 8, 12),
        (36, 8, 13),
        (37, 8, 13),
        (38, 8, 14),
        (39, 8, 14),
        (40, 8, 14),
        (41, 8, 15),
        (42, 8, 15),
        (43, 8, 16),
        (44, 8, 16),
        (45, 8, 17),
        (46, 9, 17),
        (47, 9, 17),
        (48, 9, 18),
        (49, 9, 18),
        (50, 9, 19),
        (52, 9, 20),
        (54, 9, 21),
        (60, 9, 23),
        (70, 9, 28),
        (80, 9, 32),
        (90, 9, 37),
        (91, 10, 37),
        (100, 10, 41),
    ];

    #[test]
    fn limits_as_published() {
        for &(useful, longest_run, crossings) in TABLE {
            assert_eq!(Limits::of(useful), Some(Limits { longest_run, crossings }), "{useful} points");
        }
    }

    /// Where a slip in the formula would show: the run changes at 11 to 12, 22 to 23, 45 to 46, 90 to 91, the
    /// crossings at 21 to 22 and 23 to 24.
    #[test]
    fn limits_step_where_they_should() {
        let run = |useful| Limits::of(useful).expect("in the table").longest_run;
        let crossings = |useful| Limits::of(useful).expect("in the table").crossings;
        for (before, after) in [(11, 12), (22, 23), (45, 46), (90, 91)] {
            assert_eq!(run(before) + 1, run(after), "{before} to {after}");
        }
        for (before, after) in [(21, 22), (23, 24)] {
            assert_eq!(crossings(before) + 1, crossings(after), "{before} to {after}");
        }
        assert_eq!((run(12), run(22)), (7, 7));
        assert_eq!((crossings(22), crossings(23)), (7, 7));
    }

    #[test]
    fn limits_end_where_nothing_is_published_or_exact() {
        assert_eq!(Limits::of(0), None);
        assert_eq!(Limits::of(9), None);
        assert!(Limits::of(10).is_some());
        assert!(Limits::of(124).is_some());
        assert_eq!(Limits::of(125), None);
        assert_eq!(Limits::of(u32::MAX), None);
    }

    fn counts(numbers: &[u32]) -> RunChart {
        let points: Vec<_> = numbers.iter().map(|number| Fraction::new(*number, 1)).collect();
        RunChart::of(&points).expect("some numbers")
    }

    /// Points above and below the median as `+` and `-`, as many of each; `0` is on it, a blank a gap.
    fn drawn(shape: &str) -> RunChart {
        let points: Vec<_> = shape
            .chars()
            .map(|side| match side {
                '+' => Fraction::new(3, 1),
                '0' => Fraction::new(2, 1),
                '-' => Fraction::new(1, 1),
                _ => None,
            })
            .collect();
        RunChart::of(&points).expect("some numbers")
    }

    /// The counts of the worked example in the vignette of R's package crossrun (cran.r-project.org): 24 useful
    /// points, the longest run the points 12 to 16, 11 crossings, limits 8 and 8, no signal.
    #[test]
    fn a_worked_example_without_a_signal() {
        let chart = drawn("---++---+--+++++-+--++-+");
        assert_eq!(chart.useful, 24);
        assert_eq!(chart.runs[5], Run { side: Side::Above, first: 11, last: 15, length: 5 });
        assert_eq!((chart.crossings, chart.longest_run), (11, 5));
        assert_eq!(chart.signals(), Some(false));
    }

    /// The limit itself is no signal, one more is. 13 points have the limit 7, so 8 signal, whatever has been
    /// written about "at least seven" (sciencetrends.com on crossrun).
    #[test]
    fn the_limit_itself_is_no_signal() {
        let limit = |chart: &RunChart| chart.limits.map(|limits| limits.longest_run);
        let at_it = drawn("-+++++++------");
        assert_eq!((at_it.useful, limit(&at_it), at_it.longest_run), (14, Some(7), 7));
        assert_eq!((at_it.long_runs().count(), at_it.crossings, at_it.signals()), (0, 2, Some(true)));
        let beyond = drawn("-++++++++--+---+----");
        assert_eq!((beyond.useful, limit(&beyond), beyond.longest_run), (20, Some(7), 8));
        assert_eq!(beyond.marked().collect::<Vec<_>>(), [1..=8]);
        assert_eq!((beyond.has_few_crossings(), beyond.signals()), (false, Some(true)));
        let shorter = drawn("-+++++++0--+---++----");
        assert_eq!((shorter.longest_run, shorter.signals()), (7, Some(false)));
    }

    #[test]
    fn few_crossings_are_a_signal_of_their_own() {
        // 14 points need 4 crossings.
        let four = drawn("+++----+++---+");
        assert_eq!((four.crossings, four.signals()), (4, Some(false)));
        let three = drawn("++++----+++---");
        assert_eq!((three.crossings, three.has_few_crossings(), three.signals()), (3, true, Some(true)));
        assert_eq!(three.long_runs().count(), 0);
    }

    #[test]
    fn points_on_the_median_and_gaps_neither_break_nor_add() {
        let chart = drawn("++0+ +-0-- -");
        assert_eq!((chart.useful, chart.crossings, chart.longest_run), (8, 1, 4));
        assert_eq!(chart.runs[0], Run { side: Side::Above, first: 0, last: 5, length: 4 });
        assert_eq!(chart.sides[2], Some(Side::On));
        assert_eq!(chart.sides[4], None);
        assert_eq!((chart.limits, chart.signals()), (None, None));
    }

    /// 1/3 is not the float nearest to it: in floating point 0.1 + 0.2 is above 0.3.
    #[test]
    fn fractions_are_compared_exactly() {
        let of = |numerator, denominator| Fraction::new(numerator, denominator).expect("not over 0");
        assert_eq!(of(1, 2), of(2, 4));
        assert!(of(1, 3) > of(333_333_333, 1_000_000_000));
        assert!(of(u32::MAX, u32::MAX - 1) > of(u32::MAX - 1, u32::MAX - 1));
        assert_eq!(Fraction::new(1, 0), None);
        let points = [of(1, 10), of(3, 10), of(6, 20), of(9, 10), of(9, 30)].map(Some);
        let chart = RunChart::of(&points).expect("some numbers");
        assert_eq!(chart.useful, 2);
        assert_eq!(crate::statistics::rounded(chart.median.decimal(), 3), "0.300");
    }

    #[test]
    fn the_median_of_an_even_count_lies_between() {
        let chart = counts(&[1, 2, 4, 9]);
        assert_eq!(chart.median.decimal(), 3.0);
        assert_eq!(chart.useful, 4);
        assert_eq!(counts(&[5]).useful, 0);
        assert_eq!(counts(&[5, 5, 5, 5]).longest_run, 0);
        assert_eq!(counts(&[5, 5, 5, 7]).useful, 1);
        assert_eq!(RunChart::of(&[None, None]), None);
    }
}
