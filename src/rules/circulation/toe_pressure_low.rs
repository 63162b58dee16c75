//! A toe pressure at which a toe is not expected to heal.

use crate::clinical::pressure_bands::toe_pressure_grade;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

/// The worst WIfI ischaemia grade: below 30 mmHg.
const WORST_GRADE: u8 = 3;

pub(super) static RULE: Rule = Rule {
    name: "toe-pressure-low",
    topic: Topic::Circulation,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "the toe pressure of a foot under surgery is below 30 mmHg",
    why: "Below 30 mmHg a wound of the toe is not expected to heal, and the toe may be lost. Blood flow comes \
          before nail surgery.",
    cite: Cite::states(&sources::circulation::LIMB_THREAT_TABLE, "table 2: toe pressure below 30 mmHg"),
    limits: "The number is made for limbs in danger; none made for nail surgery was found. A cold foot can \
             read too low. Knows one pressure a foot, not which toe it was taken at.",
    example: Example { bad: "vascular: {left: {toe: 29}}", good: "vascular: {left: {toe: 60}}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (foot, pressure) in feet::with_toe_pressure(facts) {
        let word = foot.side.word();
        if toe_pressure_grade(pressure).grade < WORST_GRADE {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}.toe"))
                .says(format!("{word} toe pressure {pressure}"))
                .see(foot.path(), foot.label())
                .fix("refer for a vascular opinion, or correct the pressure"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::says;

    #[test]
    fn thirty_passes_and_twenty_nine_does_not() {
        assert!(says(&RULE, "vascular: {left: {toe: 30}}").is_empty());
        assert_eq!(says(&RULE, "vascular: {left: {toe: 29}}"), ["left toe pressure 29 mmHg"]);
    }

    #[test]
    fn only_a_foot_under_surgery_counts() {
        assert!(says(&RULE, "vascular: {right: {toe: 29}}").is_empty());
        assert!(says(&RULE, "vascular: {left: {toe: ~}}").is_empty());
    }
}
