//! Weak pulses in a foot under surgery, and no pressure that says how much blood flows.

use crate::case::{FoundPulses, Pulses};
use crate::clinical::Cite;
use crate::derive::Answer;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "pulses-weak",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "weak pulses and no pressure",
    why: "A weak pulse may be a healthy one that is hard to feel, or the first sign of narrowed arteries. A \
          pressure at ankle or toe tells them apart.",
    cite: Cite::project_default(
        "no source grades weak pulses for nail surgery: by themselves they are not taken for poor circulation, \
         and a pressure settles it",
    ),
    limits: "Content with any ABPI that can be believed, or any toe pressure: their own rules judge them. Silent \
             where poor circulation is known from elsewhere.",
    example: Example {
        bad: "vascular: {left: {pulses: weak, dorsalis_pedis: ~, posterior_tibial: ~, toe: ~}}",
        good: "vascular: {left: {pulses: weak}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let word = foot.side.word();
        let pulses =
            feet::circulation(facts, foot.side).and_then(|found| found.pulses.value()).map(FoundPulses::foot);
        let is_open = facts.derived.poor_circulation.get(foot.side).answer == Answer::NotKnown;
        if pulses != Some(Pulses::Weak) || !is_open {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}.pulses"))
                .says(format!("{word} pulses weak, no pressure recorded"))
                .see(foot.path(), foot.label())
                .fix(format!(
                    "enter a toe pressure under `vascular.{word}.toe` or the pressures for an ABPI, or say \
                     under `accepted` how the circulation was judged"
                )),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn left(rest: &str) -> String {
        format!("vascular: {{left: {{pulses: weak, {rest}}}}}")
    }

    #[test]
    fn any_pressure_settles_it() {
        assert_eq!(
            paths(&RULE, &left("dorsalis_pedis: ~, posterior_tibial: ~, toe: ~")),
            ["vascular.left.pulses"]
        );
        assert!(paths(&RULE, &left("dorsalis_pedis: ~, posterior_tibial: ~, toe: 80")).is_empty());
        assert!(paths(&RULE, &left("toe: ~")).is_empty(), "an ABPI of 1.03");
    }

    #[test]
    fn only_weak_pulses_of_a_foot_under_surgery_count() {
        let bare = "dorsalis_pedis: ~, posterior_tibial: ~, toe: ~";
        assert!(paths(&RULE, &format!("vascular: {{left: {{pulses: palpable, {bare}}}}}")).is_empty());
        assert!(paths(&RULE, &format!("vascular: {{right: {{pulses: weak, {bare}}}}}")).is_empty());
        let known = format!("{{history: {{conditions: [PAD]}}, {}}}", left(bare));
        assert!(paths(&RULE, &known).is_empty());
    }
}
