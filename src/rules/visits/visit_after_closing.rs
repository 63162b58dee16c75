//! A visit later than the day on which the case was closed.

use super::CLOSING;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "visit-after-closing",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: CLOSING,
    title: "a visit is recorded after the case was closed",
    why: "The closing letter tells of the end of a care that went on, and of less than is known.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "A case is opened again by taking out `closed`; what was issued stands in the register.",
    example: Example {
        bad: r#"{visits: [{on: 2026-11-25, kind: review}], closed: {on: 2026-11-24, because: own wish}}"#,
        good: r#"{visits: [{on: 2026-11-25, kind: review}], closed: {on: 2026-11-25, because: own wish}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(closed) = &facts.case.closed else { return Vec::new() };
    let later = facts.case.visits.iter().enumerate().filter(|(_, visit)| closed.on < visit.on);
    later
        .map(|(at, visit)| {
            Finding::at(format!("visits[{at}].on"))
                .says(format!("{} on {}", visit.kind.word(), visit.on.clinical()))
                .see("closed.on", format!("closed on {}", closed.on.clinical()))
                .fix("correct the date; if care went on, take out `closed` and close the case at its end")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_day_of_closing_passes_and_the_day_after_does_not() {
        assert!(paths(&RULE, RULE.example.good).is_empty());
        assert_eq!(paths(&RULE, RULE.example.bad), ["visits[0].on"]);
    }
}
