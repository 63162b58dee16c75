//! Visits that do not stand in the order of their days.

use super::SEEN;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "visits-out-of-order",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: SEEN,
    title: "visits do not stand in the order of their days",
    why: "A visit in the wrong place is often a slip in its date, and healing is counted from it.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Two visits of one day are compared by their times where both are recorded.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-01, kind: redressing}, {on: 2026-11-27, kind: redressing}]"#,
        good: r#"visits: [{on: 2026-11-27, kind: redressing}, {on: 2026-12-01, kind: redressing}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let visits = &facts.case.visits;
    let pairs = visits.iter().zip(visits.iter().skip(1)).enumerate();
    pairs
        .filter(|(_, (first, second))| {
            let is_earlier = first.at.zip(second.at).is_some_and(|(first, second)| second < first);
            second.on < first.on || second.on == first.on && is_earlier
        })
        .map(|(at, (first, second))| {
            Finding::at(format!("visits[{}].on", at + 1))
                .says(format!("{} on {}", second.kind.word(), second.on.clinical()))
                .see(format!("visits[{at}].on"), format!("behind one on {}", first.on.clinical()))
                .fix("correct the date, or put the visits in their order")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_day_or_a_time_that_goes_back_is_found() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["visits[1].on"]);
        assert!(paths(&RULE, RULE.example.good).is_empty());
        let same_day = |at: &str| {
            format!(
                "visits: [{{on: 2026-11-27, at: '10:00', kind: review}}, {{on: 2026-11-27, {at}kind: telephone}}]"
            )
        };
        assert!(paths(&RULE, &same_day("at: '10:00', ")).is_empty());
        assert_eq!(paths(&RULE, &same_day("at: '09:59', ")), ["visits[1].on"]);
        assert!(paths(&RULE, &same_day("")).is_empty());
    }
}
