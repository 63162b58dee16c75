//! Capillary refill that took long. A missing one is `refill-not-recorded`.

use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::units::Seconds;

pub(super) static RULE: Rule = Rule {
    name: "refill-slow",
    topic: Topic::Tourniquet,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet"]),
    title: "the blood came back slowly",
    why: "After the tourniquet the toe should flush pink. Slow refill asks for a look at whether a band was \
          left on, and at the circulation.",
    cite: Cite::project_default(
        "texts give normal limits from 2 to 5 s and none for a toe after a tourniquet; 3 s was chosen",
    ),
    limits: "A cold foot and age make refill slower. The limit is not one made for toes.",
    example: Example {
        bad: "operation: {toes: {L1: {refill: 4 s}}}",
        good: "operation: {toes: {L1: {refill: 3 s}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let normal = Seconds::whole(Threshold::RefillNormalUpTo.whole().into());
    let mut findings = Vec::new();
    for (toe, done) in facts.treated() {
        let Some(refill) = done.refill.value() else { continue };
        if refill.is_at_most(normal) {
            continue;
        }
        findings.push(
            Finding::at(format!("operation.toes.{toe}.refill"))
                .says(format!("refill {refill}; up to {normal} is normal"))
                .fix("look for a band left on; then say under `accepted` what was found"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn refill(seconds: &str) -> String {
        format!("operation: {{toes: {{L1: {{refill: {seconds} s}}}}}}")
    }

    #[test]
    fn three_seconds_pass_and_a_little_more_does_not() {
        assert!(paths(&RULE, &refill("3.0")).is_empty());
        assert_eq!(paths(&RULE, &refill("3.1")), ["operation.toes.L1.refill"]);
        assert_eq!(says(&RULE, &refill("4")), ["refill 4 s; up to 3 s is normal"]);
    }
}
