//! Time until something happens, where some were not seen long enough to tell (Kaplan and Meier, J Am Stat
//! Assoc 1958;53:457), and two groups compared.
#![expect(clippy::float_arithmetic, reason = "statistics, no dose")]

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Interval, Z_95};

/// One that was followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Observation {
    /// How long, in whole units of time.
    pub(crate) time: u32,
    /// It happened then; otherwise it had not happened when it was last seen.
    pub(crate) is_event: bool,
}

/// What share it has not happened to by a time, and how sure that is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Estimate {
    /// S(t): the share to which it has not happened up to and at this time.
    pub(crate) survival: f64,
    /// Greenwood's standard error, S √(Σ d / n(n − d)) (Reports on Public Health and Medical Subjects
    /// 1926;33). `None` once S is 0, where it has no value.
    pub(crate) standard_error: Option<f64>,
    /// The 95 % log-log interval, S to the power of e^(±z √(Σ d / n(n − d)) / ln S) (Kalbfleisch and Prentice
    /// 1980), which stays between 0 and 1. `None` while S is 1 and once it is 0.
    pub(crate) interval: Option<Interval>,
}

/// A time at which something happened or one was seen for the last time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Step {
    /// The time.
    pub(crate) time: u32,
    /// How many were still followed, and it had not happened to them, just before.
    pub(crate) at_risk: u32,
    /// To how many it happened.
    pub(crate) events: u32,
    /// How many were seen for the last time.
    pub(crate) censored: u32,
    /// From this time on.
    pub(crate) estimate: Estimate,
}

/// The Kaplan-Meier curve: S(t) = Π (1 − d/n) over the times up to t. Where something happened to one and
/// another was last seen at the same time, the second was still at risk: events come before censorings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Curve {
    steps: Vec<Step>,
}

/// S is taken for ½ within this: far above what the product of 100,000 factors can be off, far below any
/// digit that is printed.
const HALF_TOLERANCE: f64 = 1e-9;

impl Curve {
    /// The curve of those that were followed, in any order.
    pub(crate) fn of(observations: &[Observation]) -> Curve {
        let mut at_risk = whole(observations.len());
        let (mut survival, mut sum) = (1.0, 0.0);
        let steps = by_time(observations)
            .into_iter()
            .map(|(time, At { events, censored })| {
                let (n, d) = (f64::from(at_risk), f64::from(events));
                survival *= (n - d) / n;
                // Where it happened to all that are left, S is 0 and the sum no longer asked for.
                sum += d / (n * (n - d));
                let step = Step { time, at_risk, events, censored, estimate: Estimate::of(survival, sum) };
                at_risk -= events + censored;
                step
            })
            .collect();
        Curve { steps }
    }

    /// Every time at which something happened or one was last seen, in order.
    pub(crate) fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// How many are followed to this time or longer without its having happened before it. Those to whom it
    /// happens at this time, and those last seen at it, still count.
    pub(crate) fn at_risk(&self, time: u32) -> u32 {
        let next = self.steps.partition_point(|step| step.time < time);
        self.steps.get(next).map_or(0, |step| step.at_risk)
    }

    /// S and its interval at a time. `None` after the last time at which anybody was followed, unless it had
    /// happened to all by then: the curve is not drawn on, since nobody knows.
    pub(crate) fn at(&self, time: u32) -> Option<Estimate> {
        let last = self.steps.last()?;
        if time > last.time && last.estimate.survival > 0.0 {
            return None;
        }
        let passed = self.steps.partition_point(|step| step.time <= time);
        Some(match passed.checked_sub(1) {
            Some(latest) => self.steps[latest].estimate,
            None => Estimate::of(1.0, 0.0),
        })
    }

    /// The median: the first time at which S is ½ or less, that is by which it has happened to at least half.
    /// `None` if that was not reached.
    ///
    /// Where S is exactly ½ for a while there are three customs. This is the smallest t with S(t) ≤ ½; others
    /// take the next time (S < ½, as statsmodels does after SAS) or the middle between both (R, from memory).
    /// Since ½ may come out as 0.5000000000000001, it is compared with a tolerance of 10⁻⁹.
    pub(crate) fn median(&self) -> Option<u32> {
        self.first(|estimate| Some(estimate.survival))
    }

    /// The 95 % interval of the median (Brookmeyer and Crowley, Biometrics 1982;38:29): the first times at
    /// which the limits of the log-log interval are ½ or less. `None` for a limit that was not reached; S = 0 has
    /// no interval, and so reaches none.
    pub(crate) fn median_interval(&self) -> (Option<u32>, Option<u32>) {
        let low = self.first(|estimate| estimate.interval.map(|interval| interval.low));
        let high = self.first(|estimate| estimate.interval.map(|interval| interval.high));
        (low, high)
    }

    /// The first time at which a value is ½ or less.
    fn first(&self, value: impl Fn(&Estimate) -> Option<f64>) -> Option<u32> {
        let is_half = |step: &&Step| value(&step.estimate).is_some_and(|value| value <= 0.5 + HALF_TOLERANCE);
        self.steps.iter().find(is_half).map(|step| step.time)
    }
}

impl Estimate {
    /// The share to which it has happened by this time, 1 − S.
    pub(crate) fn happened(&self) -> f64 {
        1.0 - self.survival
    }

    /// The 95 % interval of the share to which it has happened.
    pub(crate) fn happened_interval(&self) -> Option<Interval> {
        self.interval.map(|Interval { low, high }| Interval { low: 1.0 - high, high: 1.0 - low })
    }

    /// From S and Greenwood's sum.
    fn of(survival: f64, sum: f64) -> Estimate {
        if survival <= 0.0 {
            return Estimate { survival: 0.0, standard_error: None, interval: None };
        }
        let interval = (survival < 1.0).then(|| {
            let log = survival.ln();
            // Below 0, as the logarithm is.
            let reach = Z_95 * sum.sqrt() / log;
            Interval { low: (log * (-reach).exp()).exp(), high: (log * reach.exp()).exp() }
        });
        Estimate { survival, standard_error: Some(survival * sum.sqrt()), interval }
    }
}

/// What happened at one time.
#[derive(Default)]
struct At {
    events: u32,
    censored: u32,
}

fn by_time(observations: &[Observation]) -> BTreeMap<u32, At> {
    let mut times: BTreeMap<u32, At> = BTreeMap::new();
    for observation in observations {
        let at = times.entry(observation.time).or_default();
        *if observation.is_event { &mut at.events } else { &mut at.censored } += 1;
    }
    times
}

/// More than four thousand million are not followed.
fn whole(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Two groups, compared over the whole time (Mantel, Cancer Chemother Rep 1966;50:163).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct LogRank {
    /// To how many of each group it happened.
    pub(crate) observed: [u32; 2],
    /// To how many of each it would have happened on average if the group made no difference.
    pub(crate) expected: [f64; 2],
    /// (O − E)² / V with one degree of freedom; 3.84 is passed by chance in 1 of 20. `None` where V is 0: no
    /// time at which it happened had both groups at risk.
    pub(crate) chi_squared: Option<f64>,
}

/// The log-rank test: at each time with events, E is d n₁/n and V is d (n₁/n)(n₂/n)(n − d)/(n − 1).
pub(crate) fn log_rank(groups: [&[Observation]; 2]) -> LogRank {
    let mut at_risk = groups.map(|group| whole(group.len()));
    let [first, second] = groups.map(by_time);
    let mut times: Vec<u32> = first.keys().chain(second.keys()).copied().collect();
    times.sort_unstable();
    times.dedup();
    let (mut observed, mut expected, mut variance) = ([0, 0], [0.0, 0.0], 0.0);
    for time in times {
        let here = [&first, &second].map(|group| group.get(&time));
        let events = here.map(|at| at.map_or(0, |at| at.events));
        let (d, n) = (f64::from(events[0] + events[1]), at_risk.map(f64::from));
        let all = n[0] + n[1];
        for (group, at) in here.iter().enumerate() {
            observed[group] += events[group];
            expected[group] += d * n[group] / all;
            at_risk[group] -= at.map_or(0, |at| at.events + at.censored);
        }
        // The last one alone is certain.
        if all > 1.0 {
            variance += d * (n[0] / all) * (n[1] / all) * (all - d) / (all - 1.0);
        }
    }
    let difference = f64::from(observed[0]) - expected[0];
    LogRank { observed, expected, chi_squared: (variance > 0.0).then(|| difference * difference / variance) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::rounded;

    /// As papers write it: `6 6 6+ 7`, with + for one that was last seen then.
    fn followed(text: &str) -> Vec<Observation> {
        text.split_whitespace()
            .map(|word| {
                let time = word.trim_end_matches('+').parse().expect("a literal number");
                Observation { time, is_event: !word.ends_with('+') }
            })
            .collect()
    }

    fn curve(text: &str) -> Curve {
        Curve::of(&followed(text))
    }

    fn events(curve: &Curve) -> impl Iterator<Item = &Step> {
        curve.steps().iter().filter(|step| step.events > 0)
    }

    fn row(curve: &Curve, digits: u32) -> String {
        let each = events(curve).map(|step| rounded(step.estimate.survival, digits));
        each.collect::<Vec<_>>().join(" ")
    }

    fn at_risk(curve: &Curve) -> Vec<u32> {
        events(curve).map(|step| step.at_risk).collect()
    }

    /// Freireich and others, Blood 1963;21:699: weeks in remission, with mercaptopurine and without.
    const TREATED: &str = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+";
    const PLACEBO: &str = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23";

    #[test]
    fn freireich_with_treatment() {
        let curve = curve(TREATED);
        assert_eq!(row(&curve, 6), "0.857143 0.806723 0.752941 0.690196 0.627451 0.537815 0.448179");
        let errors = events(&curve).filter_map(|step| step.estimate.standard_error);
        assert_eq!(
            errors.map(|error| rounded(error, 6)).collect::<Vec<_>>().join(" "),
            "0.076360 0.086935 0.096350 0.106815 0.114054 0.128234 0.134591"
        );
        assert_eq!(at_risk(&curve), [21, 17, 15, 12, 11, 7, 6]);
        assert_eq!(curve.median(), Some(23));
    }

    /// The same in three ways: log-log 0.188052 to 0.680143, plain 0.184313 to 0.712045, log 0.248749 to
    /// 0.807501 (lifelines 0.30.3 and statsmodels 0.15.0 at 23 weeks).
    #[test]
    fn the_interval_is_the_log_log_one() {
        let curve = curve(TREATED);
        for (weeks, low, high) in [(6, "0.619718", "0.951552"), (23, "0.188052", "0.680143")] {
            let interval = curve.at(weeks).and_then(|estimate| estimate.interval).expect("between 0 and 1");
            assert_eq!([rounded(interval.low, 6), rounded(interval.high, 6)], [low, high]);
        }
    }

    #[test]
    fn what_has_happened_is_the_rest() {
        let estimate = curve(TREATED).at(23).expect("followed to 35 weeks");
        assert_eq!(rounded(estimate.happened(), 6), "0.551821");
        let interval = estimate.happened_interval().expect("between 0 and 1");
        assert_eq!([rounded(interval.low, 6), rounded(interval.high, 6)], ["0.319857", "0.811948"]);
    }

    #[test]
    fn freireich_without_treatment_and_both_compared() {
        let placebo = curve(PLACEBO);
        assert_eq!(placebo.median(), Some(8));
        assert_eq!(placebo.at(23).map(|estimate| estimate.survival), Some(0.0));
        assert_eq!(placebo.at(23).and_then(|estimate| estimate.standard_error), None);
        let test = log_rank([&followed(TREATED), &followed(PLACEBO)]);
        assert_eq!(test.observed, [9, 21]);
        assert_eq!(rounded(test.expected[0], 2), "19.25");
        assert_eq!(test.chi_squared.map(|value| rounded(value, 6)).as_deref(), Some("16.792941"));
    }

    /// Data set `aml` of R's package survival (Miller, Survival Analysis, 1997): maintained or not.
    #[test]
    fn leukaemia_maintained_or_not() {
        let maintained = "9 13 13+ 18 23 28+ 31 34 45+ 48 161+";
        let not = "5 5 8 8 12 16+ 23 27 30 33 43 45";
        assert_eq!(row(&curve(maintained), 4), "0.9091 0.8182 0.7159 0.6136 0.4909 0.3682 0.1841");
        assert_eq!(curve(maintained).median(), Some(31));
        let test = log_rank([&followed(maintained), &followed(not)]);
        assert_eq!(test.chi_squared.map(|value| rounded(value, 3)).as_deref(), Some("3.396"));
    }

    /// Bland and Altman, BMJ 1998;317:1572: months until 38 women conceived.
    #[test]
    fn conception_of_bland_and_altman() {
        let conceived = "1 1 1 1 1 1 2 2 2 2 2 3 3 3 4 4 4 6 6 9 9 9 10 13 16";
        let censored = "2+ 3+ 4+ 7+ 7+ 8+ 8+ 9+ 9+ 9+ 11+ 24+ 24+";
        let curve = curve(&format!("{conceived} {censored}"));
        assert_eq!(at_risk(&curve), [38, 32, 26, 22, 18, 12, 6, 4, 3]);
        assert_eq!(row(&curve, 4), "0.8421 0.7105 0.6285 0.5428 0.4825 0.3619 0.3016 0.2262 0.1508");
        assert_eq!(curve.median(), Some(6));
    }

    /// The control group of `g3.csv` in lifelines 0.30.3: S(32) is exactly ½. S ≤ ½ gives 32, S < ½ gives 34,
    /// the middle 33.
    #[test]
    fn a_half_is_a_half() {
        assert_eq!(curve("9 19 32 34 48+ 50+").median(), Some(32));
        // One each day: after 12 of 24 the product is 0.5000000000000001.
        let each_day: Vec<String> = (1..=24).map(|day: u32| day.to_string()).collect();
        let curve_of_24 = curve(&each_day.join(" "));
        assert!(curve_of_24.at(12).is_some_and(|estimate| estimate.survival > 0.5));
        assert_eq!(curve_of_24.median(), Some(12));
        // Three fifths are more than a half.
        assert_eq!(curve("1 2 3+ 4+ 5+").median(), None);
    }

    /// Of three, the last seen at 5 is still at risk of what happens at 5.
    #[test]
    fn events_come_before_censorings() {
        let curve = curve("5 5+ 9");
        assert_eq!(curve.steps()[0].at_risk, 3);
        assert_eq!(row(&curve, 4), "0.6667 0.0000");
        assert_eq!(curve.at_risk(5), 3);
        assert_eq!(curve.at_risk(6), 1);
        assert_eq!(curve.at_risk(9), 1);
        assert_eq!(curve.at_risk(10), 0);
    }

    #[test]
    fn nothing_is_said_beyond_the_last_time() {
        let open = curve("5 7+");
        assert_eq!(open.at(4).map(|estimate| (estimate.survival, estimate.interval)), Some((1.0, None)));
        assert_eq!(open.at(7).map(|estimate| estimate.survival), Some(0.5));
        assert_eq!(open.at(8), None);
        // Nobody is left to whom it could happen.
        assert_eq!(curve("5 7").at(8).map(|estimate| estimate.survival), Some(0.0));
    }

    #[test]
    fn nobody_one_and_none_to_whom_it_happened() {
        let nobody = curve("");
        assert_eq!(
            (nobody.steps(), nobody.median(), nobody.at(0), nobody.at_risk(0)),
            (&[][..], None, None, 0)
        );
        let one = curve("0");
        assert_eq!((one.median(), one.at(0).map(|estimate| estimate.survival)), (Some(0), Some(0.0)));
        assert_eq!(one.median_interval(), (None, None));
        let censored = curve("3+ 3+ 8+");
        assert_eq!(censored.median(), None);
        assert_eq!(censored.at(8).map(|estimate| estimate.survival), Some(1.0));
        assert_eq!(log_rank([&followed(""), &followed("3 4")]).chi_squared, None);
        assert_eq!(log_rank([&[], &[]]).observed, [0, 0]);
    }

    /// lifelines 0.30.3: `median_survival_times(kmf.confidence_interval_)`.
    #[test]
    fn the_median_has_an_interval() {
        assert_eq!(curve(TREATED).median_interval(), (Some(13), None));
        assert_eq!(curve(PLACEBO).median_interval(), (Some(4), Some(11)));
    }
}
