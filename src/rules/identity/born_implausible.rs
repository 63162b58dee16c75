//! An age beyond what is plausible. It never refuses: such an age is possible.

use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "born-implausible",
    topic: Topic::Identity,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the date of birth makes the patient older than 110 years",
    why: "A wrong century is far likelier than such an age, and a wrong date of birth names another patient.",
    cite: Cite::project_default("hardly anyone has lived beyond 110 years"),
    limits: "A wrong date that gives a possible age is not seen.",
    example: Example { bad: "patient: {born: 1914-02-09}", good: "patient: {born: 1984-02-09}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let born = facts.case.patient.born;
    if facts.day() <= born.plus_months(Threshold::OldestPlausible.whole() * 12) {
        return Vec::new();
    }
    let age = facts.derived.age.print(|age| age.clinical());
    vec![
        Finding::at("patient.born")
            .says(format!("born {}, aged {age} on {}", born.clinical(), facts.day().clinical()))
            .fix("check the year; if it is right, answer this under `accepted`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_110th_birthday_passes_and_the_day_after_does_not() {
        assert!(paths(&RULE, "patient: {born: 1916-11-24}").is_empty());
        assert_eq!(paths(&RULE, "patient: {born: 1916-11-23}"), ["patient.born"]);
    }
}
