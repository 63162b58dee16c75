//! A toe pressure between safe and dangerous. Below 30 mmHg is `toe-pressure-low`.

use crate::clinical::pressure_bands::toe_pressure_grade;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "toe-pressure-borderline",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "the toe pressure of a foot under surgery is 30 to 59 mmHg",
    why: "Between 30 and 59 mmHg a wound of the toe heals slowly and may not heal. Whether surgery is worth \
          it is a decision that someone takes and signs.",
    cite: Cite::adapts(
        &sources::circulation::LIMB_THREAT_TABLE,
        "table 2: WIfI ischaemia 1 and 2, toe pressure 30 to 59 mmHg",
        "the grades are made for limbs in danger; a caution before nail surgery is ours",
    ),
    limits: "No number made for nail surgery was found. Knows one pressure a foot, not which toe it was \
             taken at.",
    example: Example { bad: "vascular: {left: {toe: 59}}", good: "vascular: {left: {toe: 60}}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (foot, pressure) in feet::with_toe_pressure(facts) {
        let word = foot.side.word();
        let grade = toe_pressure_grade(pressure).grade;
        if !matches!(grade, 1 | 2) {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}.toe"))
                .says(format!("{word} toe pressure {pressure}, WIfI ischaemia grade {grade}"))
                .see(foot.path(), foot.label())
                .fix("say under `accepted` who judged the circulation and how, or correct the pressure"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn thirty_to_fifty_nine() {
        let toe = |mmhg: u16| format!("vascular: {{left: {{toe: {mmhg}}}}}");
        assert!(says(&RULE, &toe(29)).is_empty());
        assert_eq!(says(&RULE, &toe(30)), ["left toe pressure 30 mmHg, WIfI ischaemia grade 2"]);
        assert_eq!(says(&RULE, &toe(59)), ["left toe pressure 59 mmHg, WIfI ischaemia grade 1"]);
        assert!(says(&RULE, &toe(60)).is_empty());
    }

    #[test]
    fn the_other_foot_does_not_count() {
        assert!(paths(&RULE, "vascular: {right: {toe: 45}}").is_empty());
    }
}
