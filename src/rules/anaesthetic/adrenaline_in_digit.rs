//! An anaesthetic with adrenaline in a toe: a note where it is weak and the pulses are felt, a stop where it
//! is as strong as in a dental cartridge or the circulation is poor, else a caution.

use super::{Origin, PLANNED, entries, supplied};
use crate::case::Pulses;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::diagnostic::Path;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::feet::{circulation, under_surgery};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "adrenaline-in-digit",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "adrenaline in a toe",
    why: "Adrenaline narrows the arteries of a toe, which has no others. With healthy circulation it has \
          been safe in 1,334 operations on toes; with Raynaud's, or 1:80 000 as in dental cartridges, a \
          finger tip has been lost, and NHS formularies advise against it in fingers and toes.",
    cite: Cite::adapts(
        &sources::anaesthetic::ADRENALINE_DIGITS,
        "clinical bottom line",
        "it judges 1:200 000 to 1:100 000 safe in healthy circulation; a dental text contraindicates 1:80 000 \
         in toes (Xylocaine 2 %, section 4.3), and the weights are ours",
    ),
    limits: "Knows adrenaline only where the entry says so; articaine is sold with it. A note up to 1:200 000 \
             with palpable pulses; a stop above 1:100 000, where a foot under surgery has poor circulation, by \
             a pressure, absent pulses or a condition, or where a condition such as Raynaud's is recorded. \
             While surgery is planned, it speaks of what would be a stop; of the clinic's usual solution as a \
             caution.",
    example: Example {
        bad: r#"operation: {anaesthetic: {adrenaline: "1:200000"}}"#,
        good: "operation: {anaesthetic: {adrenaline: ~}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let poor = poor_signs(facts);
    if facts.case.operation.is_none() {
        return planned(facts, &poor);
    }
    let feet = under_surgery(facts);
    let has_palpable_pulses = !feet.is_empty()
        && feet.iter().all(|foot| {
            circulation(facts, foot.side)
                .and_then(|foot| foot.pulses.value())
                .is_some_and(|found| found.foot() == Pulses::Palpable)
        });
    let with_adrenaline = entries(facts).into_iter().filter_map(|(path, entry)| {
        let ratio = entry.adrenaline?;
        let finding = Finding::at(path.key("adrenaline"))
            .says(format!("{} with adrenaline 1:{} in a toe", entry.agent, ratio.0));
        let is_dental = ratio.0 < Threshold::AdrenalineStrongBelow.whole();
        if poor.is_empty() && !is_dental {
            let is_weak = Threshold::AdrenalineWeakFrom.whole() <= ratio.0;
            let weight = if is_weak && has_palpable_pulses { Severity::Note } else { Severity::Caution };
            let finding = finding.weighs(weight);
            return Some(match weight {
                Severity::Note => finding,
                _ => finding.fix("say under `accepted` why adrenaline, and how the toe was afterwards"),
            });
        }
        let finding = poor.iter().fold(finding, |finding, (path, label)| finding.see(path.clone(), label));
        Some(
            finding
                .fix("use a plain solution; if it was given, watch the toe and record it under `incidents`")
                .weighs(Severity::Stop),
        )
    });
    with_adrenaline.collect()
}

/// What is only planned is spoken of where it must not be done.
fn planned(facts: &Facts, poor: &[(Path, String)]) -> Vec<Finding> {
    let with_adrenaline = supplied(facts).into_iter().filter_map(|supplied| {
        let ratio = supplied.adrenaline?;
        if poor.is_empty() && Threshold::AdrenalineStrongBelow.whole() <= ratio.0 {
            return None;
        }
        let finding = match supplied.origin {
            Origin::Usual => Finding::at("protocol.anaesthetic.adrenaline").in_clinic(),
            Origin::Planned | Origin::Given(_) => Finding::at(Path::from(PLANNED).key("adrenaline")),
        };
        let says = format!("{} with adrenaline 1:{} is planned for a toe", supplied.name(), ratio.0);
        let finding =
            poor.iter().fold(finding.says(says), |finding, (path, label)| finding.see(path.clone(), label));
        Some(finding.fix("plan a plain solution").weighs(supplied.weight()))
    });
    with_adrenaline.collect()
}

/// Everything recorded of poor circulation in the feet under surgery, and conditions of poor circulation.
fn poor_signs(facts: &Facts) -> Vec<(Path, String)> {
    let mut signs: Vec<(Path, String)> = Vec::new();
    let feet = under_surgery(facts);
    let poor = feet.iter().flat_map(|foot| &facts.derived.poor_circulation.get(foot.side).reasons);
    for reason in poor.chain(&facts.derived.vasospasm.reasons) {
        let sign = (reason.path.clone(), reason.says.clone());
        if !signs.contains(&sign) {
            signs.push(sign);
        }
    }
    signs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, weights};

    fn with_adrenaline(rest: &str) -> String {
        format!("{{operation: {{anaesthetic: {{adrenaline: \"1:200000\"}}}}, {rest}}}")
    }

    #[test]
    fn weak_adrenaline_with_palpable_pulses_is_a_note() {
        let healthy = with_adrenaline("history: {smoker: true}");
        assert_eq!(paths(&RULE, &healthy), ["operation.anaesthetic.adrenaline"]);
        assert_eq!(weights(&RULE, &healthy), [Severity::Note]);
        assert!(paths(&RULE, "").is_empty());
        let weak_pulses = with_adrenaline("vascular: {left: {pulses: weak}}");
        assert_eq!(weights(&RULE, &weak_pulses), [Severity::Caution]);
        let not_felt = with_adrenaline("vascular: {left: {pulses: ~}}");
        assert_eq!(weights(&RULE, &not_felt), [Severity::Caution], "nobody wrote that they are palpable");
    }

    #[test]
    fn what_is_planned_is_spoken_of_where_it_would_be_a_stop() {
        let own = |parts: &str, rest: &str| {
            format!(
                "{{operation: ~, planned_anaesthetic: {{agent: lidocaine, strength: 1 %, \
                  adrenaline: \"1:{parts}\"}}, {rest}}}"
            )
        };
        let raynaud = "history: {conditions: [Raynaud's]}";
        assert_eq!(paths(&RULE, &own("200000", raynaud)), ["planned_anaesthetic.adrenaline"]);
        assert_eq!(weights(&RULE, &own("200000", raynaud)), [Severity::Stop]);
        assert!(paths(&RULE, &own("200000", "history: {smoker: true}")).is_empty());
        assert!(paths(&RULE, &own("100000", "history: {smoker: true}")).is_empty());
        assert_eq!(weights(&RULE, &own("99999", "history: {smoker: true}")), [Severity::Stop]);
        let usual = "clinic: {protocol: {anaesthetic: {agent: lidocaine, adrenaline: \"1:200000\"}}}";
        let of_the_clinic = format!("{{operation: ~, {usual}, {raynaud}}}");
        assert_eq!(weights(&RULE, &of_the_clinic), [Severity::Caution]);
        assert_eq!(paths(&RULE, &of_the_clinic), ["protocol.anaesthetic.adrenaline"]);
        assert!(paths(&RULE, &format!("{{{usual}, {raynaud}}}")).is_empty(), "plain mepivacaine was given");
    }

    #[test]
    fn a_dental_cartridge_is_a_stop() {
        let of = |parts: &str| {
            weights(&RULE, &format!("operation: {{anaesthetic: {{adrenaline: \"1:{parts}\"}}}}"))
        };
        assert_eq!(of("200000"), [Severity::Note]);
        assert_eq!(of("199999"), [Severity::Caution]);
        assert_eq!(of("100000"), [Severity::Caution]);
        assert_eq!(of("99999"), [Severity::Stop]);
        assert_eq!(of("80000"), [Severity::Stop]);
    }

    /// Arms 134 mmHg: 121 gives 0.90 and 122 gives 0.91.
    #[test]
    fn poor_circulation_of_the_foot_is_a_stop() {
        let ankle = |mmhg: u16| {
            with_adrenaline(&format!(
                "vascular: {{left: {{dorsalis_pedis: {mmhg}, posterior_tibial: {mmhg}}}}}"
            ))
        };
        assert_eq!(weights(&RULE, &ankle(121)), [Severity::Stop]);
        assert_eq!(weights(&RULE, &ankle(122)), [Severity::Note]);
        let other_foot = with_adrenaline("vascular: {right: {pulses: absent, toe: ~}}");
        assert_eq!(weights(&RULE, &other_foot), [Severity::Note]);
    }

    #[test]
    fn a_toe_pressure_below_60_mmhg_is_a_stop() {
        let toe = |mmhg: u16| with_adrenaline(&format!("vascular: {{brachial: ~, left: {{toe: {mmhg}}}}}"));
        assert_eq!(weights(&RULE, &toe(59)), [Severity::Stop]);
        assert_eq!(weights(&RULE, &toe(60)), [Severity::Note]);
    }

    #[test]
    fn a_condition_of_poor_circulation_is_a_stop() {
        let raynaud = with_adrenaline("history: {conditions: [Raynaud's]}");
        assert_eq!(weights(&RULE, &raynaud), [Severity::Stop]);
        assert_eq!(findings(&RULE, &raynaud)[0].see[0].0.to_string(), "history.conditions[0]");
    }
}
