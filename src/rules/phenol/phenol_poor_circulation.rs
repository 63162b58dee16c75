//! Phenol in a foot in which less blood flows than it should, or whose small arteries shut in the cold. What
//! counts is decided where the fact is derived.

use super::{phenol_label, phenol_toes};
use crate::anatomy::Side;
use crate::clinical::{Cite, sources};
use crate::derive::Reason;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-poor-circulation",
    topic: Topic::Phenol,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "phenol in a foot with poor circulation",
    why: "Phenol leaves a burn that heals from the tissue around it. Without enough blood it may not heal.",
    cite: Cite::adapts(
        &sources::procedure::NAIL_SURGERY_AAFP,
        "contraindications",
        "the source names peripheral vascular disease; taking an ABPI of 0.90 or less, a TBPI of 0.70 or less, \
         a toe pressure below 60 mmHg, or absent pulses without a sound toe pressure for it is ours",
    ),
    limits: "No cut-off made for nail surgery was found. A normal ABPI does not exclude disease, least of \
             all in diabetes. Raynaud's and the like are a caution. Weak pulses are asked about by \
             `pulses-weak`.",
    example: Example {
        bad: "vascular: {left: {dorsalis_pedis: 100, posterior_tibial: 104}}",
        good: "vascular: {left: {dorsalis_pedis: 134, posterior_tibial: 138}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let toes = phenol_toes(facts);
    let found = |reasons: &[Reason], used: &str| {
        let (first, rest) = reasons.split_first()?;
        let finding = Finding::at(first.path.clone()).says(first.says.clone()).see(used, phenol_label(facts));
        let finding = rest.iter().fold(finding, |finding, more| finding.see(more.path.clone(), &more.says));
        Some(
            finding.fix("operate without phenol, or say under `accepted` who judged the circulation and how"),
        )
    };
    let mut findings: Vec<Finding> = Vec::new();
    for side in Side::BOTH {
        let Some((_, used)) = toes.iter().find(|(toe, _)| toe.side() == side) else { continue };
        let poor = &facts.derived.poor_circulation.get(side).reasons;
        // Known disease counts for both feet, and is said once.
        let is_said = |finding: &Finding| poor.first().is_some_and(|first| first.path == finding.path);
        if !findings.iter().any(is_said) {
            findings.extend(found(poor, used));
        }
    }
    if findings.is_empty()
        && let Some((_, used)) = toes.first()
    {
        let spasm = found(&facts.derived.vasospasm.reasons, used);
        findings.extend(spasm.map(|finding| finding.weighs(Severity::Caution)));
    }
    findings
}

/// True if this rule speaks of poor circulation on this side, so that the rules on circulation need not say
/// it again.
pub(in crate::rules) fn is_reported(facts: &Facts, side: Side) -> bool {
    facts.derived.poor_circulation.get(side).holds()
        && phenol_toes(facts).iter().any(|(toe, _)| toe.side() == side)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says, weights};

    /// Arms 134 mmHg: 121 gives 0.90 and 122 gives 0.91.
    #[test]
    fn an_abnormal_abpi_stops_and_a_borderline_one_does_not() {
        let ankle =
            |mmhg: u16| format!("vascular: {{left: {{dorsalis_pedis: {mmhg}, posterior_tibial: {mmhg}}}}}");
        assert_eq!(says(&RULE, &ankle(121)), ["left ABPI 0.90, abnormal"]);
        assert!(paths(&RULE, &ankle(122)).is_empty());
    }

    /// Arms 134 mmHg: 94 gives 0.70 and 95 gives 0.71.
    #[test]
    fn an_abnormal_tbpi_and_a_low_toe_pressure_stop() {
        let toe = |mmhg: u16| format!("vascular: {{left: {{toe: {mmhg}}}}}");
        assert_eq!(says(&RULE, &toe(94)), ["left TBPI 0.70, abnormal"]);
        assert!(paths(&RULE, &toe(95)).is_empty());
        let alone = |mmhg: u16| format!("vascular: {{brachial: ~, left: {{toe: {mmhg}}}}}");
        assert_eq!(says(&RULE, &alone(59)), ["left toe pressure 59 mmHg"]);
        assert!(paths(&RULE, &alone(60)).is_empty());
    }

    #[test]
    fn absent_pulses_need_a_sound_toe_pressure() {
        let absent = |toe: &str| format!("vascular: {{brachial: ~, left: {{pulses: absent, toe: {toe}}}}}");
        assert!(paths(&RULE, &absent("60")).is_empty());
        let low = findings(&RULE, &absent("59"));
        assert_eq!((low.len(), low[0].path.to_string().as_str()), (1, "vascular.left.toe"));
        assert_eq!(paths(&RULE, &absent("~")), ["vascular.left.pulses"]);
        assert!(paths(&RULE, "vascular: {left: {pulses: weak, toe: ~}}").is_empty());
    }

    #[test]
    fn known_disease_is_said_once_for_both_feet_and_spasm_is_a_caution() {
        let both = "{history: {conditions: [PAD]}, operation: {toes: {R1: {nail: partial, edges: [medial], \
                    phenol: {applications: 1, each: 60 s}}}}}";
        assert_eq!(paths(&RULE, both), ["history.conditions[0]"]);
        assert_eq!(weights(&RULE, both), [Severity::Stop]);
        assert_eq!(weights(&RULE, "history: {conditions: [Raynaud's]}"), [Severity::Caution]);
    }

    #[test]
    fn the_other_foot_does_not_count() {
        assert!(paths(&RULE, "vascular: {right: {pulses: absent, toe: ~}}").is_empty());
    }
}
