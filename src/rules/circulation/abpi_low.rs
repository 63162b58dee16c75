//! A low ankle-brachial index in a foot under surgery. With phenol the caution is
//! `phenol-poor-circulation`, and not said here again; the stop is.

use super::is_said_with_phenol;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::derive::Band;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "abpi-low",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "the ankle-brachial index of a foot under surgery is low",
    why: "An ABPI of 0.90 or less means arterial disease: healing is slower and infection likelier. Below \
          0.40 the limb itself is in danger.",
    cite: Cite::adapts(
        &sources::circulation::LIMB_THREAT_TABLE,
        "table 2: ABI below 0.40, WIfI ischaemia 3",
        "the caution at 0.90 or less is the abnormal band of the 2016 AHA/ACC guideline; applying both to \
         nail surgery is ours",
    ),
    limits: "No cut-off made for nail surgery was found. Stiff arteries can make the index read too high. A \
             foot with phenol and an ABPI of 0.90 or less is reported by `phenol-poor-circulation`, and here \
             only below 0.40.",
    example: Example {
        bad: "{operation: {toes: {L1: {phenol: ~}}}, \
               vascular: {left: {dorsalis_pedis: 118, posterior_tibial: 120}}}",
        good: "{operation: {toes: {L1: {phenol: ~}}}, \
                vascular: {left: {dorsalis_pedis: 118, posterior_tibial: 124}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let word = foot.side.word();
        let Some(abpi) = facts.derived.circulation.get(foot.side).abpi.get() else { continue };
        let path = format!("vascular.{word}");
        let limit = Threshold::AbpiInDangerBelow.number();
        let stops = abpi.index < limit;
        if abpi.band != Band::Abnormal || (!stops && is_said_with_phenol(facts, foot.side)) {
            continue;
        }
        let index = abpi.index;
        let finding = Finding::at(path).see(foot.path(), foot.label());
        findings.push(if stops {
            finding
                .says(format!("{word} ABPI {index}, below {limit}"))
                .fix("refer for a vascular opinion, or correct the pressures")
                .weighs(Severity::Stop)
        } else {
            finding
                .says(format!("{word} ABPI {index}, abnormal"))
                .fix("say under `accepted` who judged the circulation and how, or correct the pressures")
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::super::WITHOUT_PHENOL;
    use super::*;
    use crate::rules::testing::{says, weights};

    /// Both arms read 100 mmHg, so the index is the ankle pressure in hundredths.
    fn left(ankle: u16) -> String {
        format!(
            "vascular: {{brachial: {{right: 100, left: 100}}, \
             left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}}}}}"
        )
    }

    #[test]
    fn the_bounds_lie_at_ninety_and_at_forty() {
        let of = |ankle: u16| weights(&RULE, &format!("{{{WITHOUT_PHENOL}, {}}}", left(ankle)));
        assert_eq!(of(91), []);
        assert_eq!(of(90), [Severity::Caution]);
        assert_eq!(of(40), [Severity::Caution]);
        assert_eq!(of(39), [Severity::Stop]);
    }

    #[test]
    fn with_phenol_only_the_stop_is_said_here() {
        assert_eq!(weights(&RULE, &left(90)), []);
        assert_eq!(weights(&RULE, &left(40)), []);
        assert_eq!(says(&RULE, &left(39)), ["left ABPI 0.39, below 0.40"]);
    }

    #[test]
    fn the_other_foot_does_not_count() {
        let other = left(39).replace("left: {dorsalis", "right: {dorsalis");
        assert_eq!(weights(&RULE, &other), []);
    }
}
