//! Phenol in a foot whose circulation is recorded as poor. Poor circulation itself is another topic.

use super::{phenol_label, phenol_toes};
use crate::case::Side;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::stage::poor_circulation;
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
        "the source names peripheral vascular disease; taking an ABPI of 0.90 or less, or absent pulses \
         without a toe pressure of 60 mmHg, for it is ours",
    ),
    limits: "No cut-off made for nail surgery was found. A normal ABPI does not exclude disease, least of \
             all in diabetes.",
    example: Example {
        bad: "vascular: {left: {dorsalis_pedis: 100, posterior_tibial: 104}}",
        good: "vascular: {left: {dorsalis_pedis: 134, posterior_tibial: 138}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let toes = phenol_toes(facts);
    let mut findings = Vec::new();
    for side in Side::BOTH {
        let Some((_, used)) = toes.iter().find(|(toe, _)| toe.side() == side) else { continue };
        let Some((path, says)) = poor_circulation(facts, side) else { continue };
        findings.push(
            Finding::at(path)
                .says(says)
                .see(used.clone(), phenol_label(facts))
                .fix("operate without phenol, or say under `accepted` who judged the circulation and how"),
        );
    }
    findings
}

/// Where this rule points on one side, so that the rules on circulation need not say it again.
pub(in crate::rules) fn reported_at(facts: &Facts, side: Side) -> Option<String> {
    phenol_toes(facts)
        .iter()
        .any(|(toe, _)| toe.side() == side)
        .then(|| poor_circulation(facts, side))
        .flatten()
        .map(|(path, _)| path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// Arms 134 mmHg: 121 gives 0.90 and 122 gives 0.91.
    #[test]
    fn an_abnormal_abpi_stops_and_a_borderline_one_does_not() {
        let ankle =
            |mmhg: u16| format!("vascular: {{left: {{dorsalis_pedis: {mmhg}, posterior_tibial: {mmhg}}}}}");
        assert_eq!(says(&RULE, &ankle(121)), ["left ABPI 0.90, abnormal"]);
        assert!(paths(&RULE, &ankle(122)).is_empty());
    }

    #[test]
    fn absent_pulses_need_a_sound_toe_pressure() {
        let absent = |toe: &str| format!("vascular: {{left: {{pulses: absent, toe: {toe}}}}}");
        assert!(paths(&RULE, &absent("60")).is_empty());
        assert_eq!(says(&RULE, &absent("59")), ["left pulses absent, toe pressure 59 mmHg"]);
        assert_eq!(paths(&RULE, &absent("~")), ["vascular.left.pulses"]);
    }

    #[test]
    fn the_other_foot_does_not_count() {
        assert!(paths(&RULE, "vascular: {right: {pulses: absent, toe: ~}}").is_empty());
    }
}
