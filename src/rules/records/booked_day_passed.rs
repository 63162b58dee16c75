//! A day that is booked for surgery has passed, and no operation is recorded.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "booked-day-passed",
    topic: Topic::Records,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["consent-form"]),
    title: "the day that is booked for surgery has passed",
    why: "Either the operation was done and nobody has written it down, or the patient waits and stands on no list.",
    cite: Cite::project_default("a booked day is looked up on the list of that day alone"),
    limits: "Does not know why: the patient did not come, it was put off, or the record is still to be written.",
    example: Example {
        bad: "{operation: ~, booked: {on: 2026-11-24}}",
        good: "{operation: ~, booked: {on: 2026-11-25}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let case = &facts.case;
    let Some(booked) = case.booked.as_ref().filter(|_| case.operation.is_none() && case.closed.is_none())
    else {
        return Vec::new();
    };
    if booked.on >= facts.today {
        return Vec::new();
    }
    vec![
        Finding::at("booked.on")
            .says(format!("{} is past, and no operation is recorded", booked.on.clinical()))
            .fix("record the operation, or book another day"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn today_passes_and_yesterday_does_not() {
        let booked = |day: &str| format!("{{operation: ~, booked: {{on: {day}}}}}");
        assert!(paths(&RULE, &booked("2026-11-25")).is_empty());
        assert_eq!(paths(&RULE, &booked("2026-11-24")), ["booked.on"]);
        assert!(paths(&RULE, "booked: {on: 2026-11-24}").is_empty(), "it was done");
    }
}
