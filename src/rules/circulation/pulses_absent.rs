//! No pulses in a foot under surgery. With phenol and no sound toe pressure it is
//! `phenol-poor-circulation`, and not said here again.

use super::is_said_with_phenol;
use crate::case::{FoundPulses, Pulses};
use crate::clinical::Cite;
use crate::derive::Answer;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "pulses-absent",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "preparation-leaflet"]),
    title: "no pulses were felt in a foot under surgery",
    why: "A toe heals by the blood that reaches it. Where no pulse is felt, someone decides on better grounds \
          whether surgery is right.",
    cite: Cite::common_practice(),
    limits: "Pulses are hard to feel in a swollen foot and differ between examiners. With a toe pressure of \
             60 mmHg or more it is a note. A foot with phenol and no such pressure is reported by \
             `phenol-poor-circulation` instead; weak pulses by `pulses-weak`.",
    example: Example {
        bad: "{operation: {toes: {L1: {phenol: ~}}}, vascular: {left: {pulses: absent, toe: ~}}}",
        good: "vascular: {left: {pulses: palpable}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let pulses =
            feet::circulation(facts, foot.side).and_then(|found| found.pulses.value()).map(FoundPulses::foot);
        if pulses != Some(Pulses::Absent) || is_said_with_phenol(facts, foot.side) {
            continue;
        }
        let finding = Finding::at(format!("vascular.{}.pulses", foot.side.word()))
            .says(format!("{} pulses absent", foot.side.word()))
            .see(foot.path(), foot.label())
            .fix("say under `accepted` who judged the circulation and how, or correct the entry");
        let is_answered = facts.derived.poor_circulation.get(foot.side).answer == Answer::No;
        findings.push(if is_answered { finding.weighs(Severity::Note) } else { finding });
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::super::WITHOUT_PHENOL;
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn absent_is_reported_and_weak_is_not() {
        assert_eq!(paths(&RULE, "vascular: {left: {pulses: absent}}"), ["vascular.left.pulses"]);
        assert_eq!(
            weights(&RULE, "vascular: {left: {pulses: absent}}"),
            [Severity::Note],
            "108 mmHg at the toe"
        );
        let without = format!("{{{WITHOUT_PHENOL}, vascular: {{left: {{pulses: absent, toe: ~}}}}}}");
        assert_eq!(weights(&RULE, &without), [Severity::Caution]);
        assert!(paths(&RULE, "vascular: {left: {pulses: weak}}").is_empty());
        assert!(paths(&RULE, "vascular: {left: {pulses: ~}}").is_empty());
    }

    #[test]
    fn only_the_foot_under_surgery_counts() {
        assert!(paths(&RULE, "vascular: {right: {pulses: absent}}").is_empty());
        let planned =
            "{operation: ~, plan: {R1: {nail: total, matrix: none}}, vascular: {right: {pulses: absent}}}";
        assert_eq!(paths(&RULE, planned), ["vascular.right.pulses"]);
    }

    #[test]
    fn what_the_rule_on_phenol_says_is_not_said_again() {
        let low = "vascular: {left: {pulses: absent, toe: 59}}";
        assert!(paths(&RULE, low).is_empty());
        assert_eq!(paths(&RULE, &format!("{{{WITHOUT_PHENOL}, {low}}}")).len(), 1);
    }
}
