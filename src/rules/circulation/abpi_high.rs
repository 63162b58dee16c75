//! An ankle-brachial index too high to be believed, and no toe pressure to judge by. In diabetes and in
//! kidney disease it is not believed from 1.31.

use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::derive::{Band, Banded};
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
          the blood that reaches the toe. A toe pressure does. Diabetes and kidney disease stiffen arteries \
          sooner.",
    cite: Cite::states(
        &sources::circulation::ABI_GUIDELINE_2016,
        "recommendations for resting ABI: above 1.40 non-compressible, measure the toe",
    ),
    limits: "From 1.31 in diabetes and kidney disease after the range of the IWGDF; for everyone else the \
             limit is that of the 2016 AHA/ACC guideline. Silent once a toe pressure of that foot is recorded, whatever it is: its own rules judge it.",
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
        let has_toe_pressure = feet::circulation(facts, foot.side).is_some_and(|found| found.toe.is_known());
        let Some(why) = why_too_high(facts, abpi).filter(|_| !has_toe_pressure) else { continue };
        findings.push(
            Finding::at(format!("vascular.{word}"))
                .says(format!("{word} ABPI {}, {why}, and no toe pressure", abpi.index))
                .see(foot.path(), foot.label())
                .fix(format!(
                    "enter the toe pressure under `vascular.{word}.toe`, or say under `accepted` how the \
                     circulation was judged"
                )),
        );
    }
    findings
}

/// Why an index is not believed; `None` if it is.
pub(super) fn why_too_high(facts: &Facts, abpi: &Banded) -> Option<&'static str> {
    let has_renal_impairment =
        || facts.derived.conditions.iter().any(|known| known.is(Class::RenalImpairment));
    match () {
        () if abpi.band == Band::NonCompressible => Some("non-compressible"),
        () if abpi.index < Threshold::AbpiStiffFrom.number() => None,
        () if facts.has_diabetes() => Some("too high to be believed in diabetes"),
        () if has_renal_impairment() => Some("too high to be believed in kidney disease"),
        () => None,
    }
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
    fn in_diabetes_and_kidney_disease_it_begins_at_1_31() {
        for (history, why) in
            [("diabetes: {type: 2}", "diabetes"), ("conditions: [CKD stage 3]", "kidney disease")]
        {
            let with = |ankle: u16| format!("{{history: {{{history}}}, {}}}", left(ankle, "~"));
            assert!(paths(&RULE, &with(130)).is_empty());
            assert_eq!(
                says(&RULE, &with(131)),
                [format!("left ABPI 1.31, too high to be believed in {why}, and no toe pressure")]
            );
        }
        assert!(paths(&RULE, &left(131, "~")).is_empty());
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
