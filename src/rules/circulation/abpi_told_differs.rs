//! An ankle-brachial index that was told from elsewhere, in another band than the pressures beside it.

use crate::clinical::pressure_bands::abpi_band;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "abpi-told-differs",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "an ankle-brachial index from elsewhere does not fit the pressures beside it",
    why: "The index that was told lies in another band than the one that the recorded pressures give. One of them is \
          wrong, or of another day. Here the pressures count.",
    cite: Cite::adapts(
        &sources::circulation::ABI_GUIDELINE_2016,
        "recommendations for resting ABI: its bands",
        "holding an index that was told against the pressures is ours",
    ),
    limits: "Compares bands, not numbers: two indices within one band pass.",
    example: Example {
        bad: "vascular: {left: {abpi: \"0.62\"}}",
        good: "vascular: {left: {abpi: \"1.05\"}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let told = feet::circulation(facts, foot.side).and_then(|found| found.abpi.value());
        let worked_out = facts.derived.circulation.get(foot.side).abpi.get();
        let (Some(told), Some(worked_out)) = (told, worked_out) else { continue };
        if abpi_band(told.0) == worked_out.band {
            continue;
        }
        let word = foot.side.word();
        findings.push(
            Finding::at(format!("vascular.{word}.abpi"))
                .says(format!("{word} index {told} as told, {} by its pressures", worked_out.index))
                .see(foot.path(), foot.label())
                .fix("take out the one that is wrong, or say under `accepted` which was followed and why"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::says;

    #[test]
    fn an_index_in_another_band_is_said_and_one_without_pressures_is_not() {
        assert_eq!(says(&RULE, "vascular: {left: {abpi: \"0.62\"}}").len(), 1);
        assert!(says(&RULE, "vascular: {left: {abpi: \"1.02\"}}").is_empty());
        assert!(says(&RULE, "vascular: {brachial: ~, left: {abpi: \"0.62\"}}").is_empty());
        assert!(says(&RULE, "vascular: {right: {abpi: \"0.62\"}}").is_empty(), "the other foot");
    }
}
