//! An operation dated after today.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "operation-in-future",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the operation is dated in the future",
    why: "A note of an operation that has not happened would be false. What is planned stands under `plan`.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for accurate records; comparing the date with today is ours",
    ),
    limits: "Today is the day on which the tool is run, or the day given with `--today`.",
    example: Example { bad: "operation: {date: 2026-12-24}", good: "operation: {date: 2026-11-24}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    if operation.date <= facts.today {
        return Vec::new();
    }
    vec![
        Finding::at("operation.date")
            .says(format!("{} is after today, {}", operation.date.clinical(), facts.today.clinical()))
            .fix("correct the date, or leave `operation` out until it has been done"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn today_passes_and_tomorrow_does_not() {
        assert!(paths(&RULE, "operation: {date: 2026-11-25}").is_empty());
        assert_eq!(paths(&RULE, "operation: {date: 2026-11-26}"), ["operation.date"]);
    }
}
