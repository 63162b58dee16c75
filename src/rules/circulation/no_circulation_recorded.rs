//! Nothing at all about the circulation of a foot under surgery.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "no-circulation-recorded",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "neither pulses nor pressures of a foot under surgery are recorded",
    why: "Poor circulation is a main reason against nail surgery. Without pulses or pressures nobody can see \
          that it was looked for.",
    cite: Cite::common_practice(),
    limits: "Content with the pulses, or with one pressure at ankle or toe. Ankle pressures without an arm \
             pressure give no index, and nothing here says so.",
    example: Example {
        bad: "vascular: {left: ~}",
        good: "vascular: {left: {pulses: palpable, dorsalis_pedis: ~, posterior_tibial: ~, toe: ~}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let word = foot.side.word();
        let is_recorded = feet::circulation(facts, foot.side).is_some_and(|found| {
            // Why the pulses were not felt for is `record-gap`.
            !found.pulses.is_missing()
                || found.abpi.is_known()
                || [&found.dorsalis_pedis, &found.posterior_tibial, &found.toe]
                    .iter()
                    .any(|pressure| pressure.is_known())
        });
        if is_recorded {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}"))
                .says(format!("{word} foot: neither pulses nor pressures recorded"))
                .see(foot.path(), foot.label())
                .fix(format!("enter at least `vascular.{word}.pulses`")),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn one_entry_is_enough_and_none_is_not() {
        let nothing = "dorsalis_pedis: ~, posterior_tibial: ~, toe: ~, abpi: ~, pulses: ~";
        for entry in
            ["dorsalis_pedis: 134", "posterior_tibial: 138", "toe: 108", "pulses: absent", "abpi: \"1.05\""]
        {
            let key = entry.split(':').next().unwrap_or_default();
            let one = nothing.replacen(&format!("{key}: ~"), entry, 1);
            assert!(paths(&RULE, &format!("vascular: {{left: {{{one}}}}}")).is_empty(), "{one}");
        }
        assert_eq!(paths(&RULE, &format!("vascular: {{left: {{{nothing}}}}}")), ["vascular.left"]);
        assert_eq!(paths(&RULE, "vascular: ~"), ["vascular.left"]);
    }

    #[test]
    fn a_reason_why_no_pulse_was_felt_for_is_an_answer_and_one_for_a_pressure_is_not() {
        let left = |key: &str| {
            let nothing = "dorsalis_pedis: ~, posterior_tibial: ~, toe: ~, pulses: ~";
            let gap = format!("{key}: {{not_recorded: leg in plaster}}");
            format!("vascular: {{left: {{{}}}}}", nothing.replacen(&format!("{key}: ~"), &gap, 1))
        };
        assert!(paths(&RULE, &left("pulses")).is_empty());
        assert_eq!(paths(&RULE, &left("toe")), ["vascular.left"]);
    }

    #[test]
    fn only_feet_under_surgery_are_asked_for() {
        assert!(paths(&RULE, "vascular: {right: ~}").is_empty());
        assert!(paths(&RULE, "{operation: ~, plan: ~, vascular: ~}").is_empty());
    }
}
