//! A date of birth after today. Birth against other dates of the case is another rule's business.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "born-in-future",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the date of birth lies in the future",
    why: "The date of birth identifies the patient, and every dose for a child and every question of consent \
          hangs on the age.",
    cite: Cite::adapts(
        &sources::records::BANNER,
        "date of birth and age",
        "the source has both on every page; refusing a date after today is ours",
    ),
    limits: "Today is the day on which the tool is run, or the day given with `--today`.",
    example: Example { bad: "patient: {born: 2026-12-09}", good: "patient: {born: 1986-12-09}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let born = facts.case.patient.born;
    if born <= facts.today {
        return Vec::new();
    }
    vec![
        Finding::at("patient.born")
            .says(format!("{} is after today, {}", born.clinical(), facts.today.clinical()))
            .fix("check the year"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn today_passes_and_tomorrow_does_not() {
        assert!(paths(&RULE, "patient: {born: 2026-11-25}").is_empty());
        assert_eq!(paths(&RULE, "patient: {born: 2026-11-26}"), ["patient.born"]);
    }
}
