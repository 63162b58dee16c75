//! An ankle-brachial index too high to be believed, and no toe pressure to judge by.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "abpi-high",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "the ankle-brachial index is too high to judge by",
    why: "Above 1.40 the arteries at the ankle are too stiff to be compressed: the index says nothing about \
          the blood that reaches the toe. A toe pressure does.",
    cite: Cite::states(
        &sources::circulation::ABI_GUIDELINE_2016,
        "recommendations for resting ABI: above 1.40 non-compressible, measure the toe",
    ),
    limits: "Silent once a toe pressure of that foot is recorded, whatever it is: its own rules judge it.",
    example: Example {
        bad: "vascular: {left: {dorsalis_pedis: 190, posterior_tibial: 196, toe: ~}}",
        good: "vascular: {left: {dorsalis_pedis: 190, posterior_tibial: 196, toe: 108}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let word = foot.side.word();
        let Some(abpi) = facts.derived.circulation.get(foot.side).abpi.get() else { continue };
        let has_toe_pressure = feet::circulation(facts, foot.side).is_some_and(|found| found.toe.is_some());
        if abpi.band != "non-compressible" || has_toe_pressure {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}"))
                .says(format!("{word} ABPI {}, non-compressible, and no toe pressure", abpi.index))
                .see(foot.path(), foot.label())
                .fix(format!(
                    "enter the toe pressure under `vascular.{word}.toe`, or say under `accepted` how the \
                     circulation was judged"
                )),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// Both arms read 100 mmHg, so the index is the ankle pressure in hundredths.
    fn left(ankle: u16, toe: &str) -> String {
        format!(
            "vascular: {{brachial: {{right: 100, left: 100}}, \
             left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}, toe: {toe}}}}}"
        )
    }

    #[test]
    fn one_hundredth_above_1_40_is_reported() {
        assert!(paths(&RULE, &left(140, "~")).is_empty());
        assert_eq!(says(&RULE, &left(141, "~")), ["left ABPI 1.41, non-compressible, and no toe pressure"]);
    }

    #[test]
    fn a_toe_pressure_silences_it() {
        assert!(paths(&RULE, &left(141, "20")).is_empty());
    }

    #[test]
    fn the_other_foot_does_not_count() {
        let other = left(141, "~").replace("left: {dorsalis", "right: {dorsalis");
        assert!(paths(&RULE, &other).is_empty());
    }
}
