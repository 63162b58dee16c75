//! An anaesthetic with adrenaline in a toe: a caution, and a stop where circulation is poor.

use super::entries;
use crate::clinical::{Cite, sources};
use crate::diagnostic::Path;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::feet::under_surgery;
use crate::rules::stage::{low_toe_pressure, poor_circulation};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "adrenaline-in-digit",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "adrenaline in a toe",
    why: "Adrenaline narrows the arteries of a toe, which has no others. With healthy circulation it has \
          been safe in large series; with poor circulation or Raynaud's, loss of a finger tip has been \
          reported.",
    cite: Cite::adapts(
        &sources::anaesthetic::ADRENALINE_DIGITS,
        "clinical bottom line",
        "it judges 1:200 000 to 1:100 000 safe in healthy circulation; the caution, and the stop with poor \
         circulation, are ours",
    ),
    limits: "Knows adrenaline only where the entry says so; articaine is sold with it. A stop where an \
             abnormal ABPI, a toe pressure below 60 mmHg, absent pulses without a toe pressure, or a \
             condition of poor circulation such as Raynaud's is recorded.",
    example: Example {
        bad: r#"operation: {anaesthetic: {adrenaline: "1:200000"}}"#,
        good: "operation: {anaesthetic: {adrenaline: ~}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let poor = poor_signs(facts);
    let with_adrenaline = entries(facts).into_iter().filter_map(|(path, entry)| {
        let ratio = entry.adrenaline?;
        let finding = Finding::at(path.key("adrenaline"))
            .says(format!("{} with adrenaline 1:{} in a toe", entry.agent, ratio.0));
        if poor.is_empty() {
            return Some(finding.fix("say under `accepted` why adrenaline, and how the toe was afterwards"));
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

/// Everything recorded of poor circulation in the feet under surgery, and conditions of poor circulation.
fn poor_signs(facts: &Facts) -> Vec<(Path, String)> {
    let feet = under_surgery(facts);
    let measured = feet
        .iter()
        .filter_map(|foot| poor_circulation(facts, foot.side).or_else(|| low_toe_pressure(facts, foot.side)));
    let conditions = facts.derived.conditions.iter().enumerate();
    let told = conditions
        .filter(|(_, condition)| condition.is("poor circulation"))
        .map(|(at, condition)| (format!("history.conditions[{at}]"), condition.typed.clone()));
    measured.chain(told).map(|(path, label)| (Path::from(path), label)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, weights};

    fn with_adrenaline(rest: &str) -> String {
        format!("{{operation: {{anaesthetic: {{adrenaline: \"1:200000\"}}}}, {rest}}}")
    }

    #[test]
    fn healthy_circulation_is_a_caution() {
        let healthy = with_adrenaline("history: {smoker: true}");
        assert_eq!(paths(&RULE, &healthy), ["operation.anaesthetic.adrenaline"]);
        assert_eq!(weights(&RULE, &healthy), [Severity::Caution]);
        assert!(paths(&RULE, "").is_empty());
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
        assert_eq!(weights(&RULE, &ankle(122)), [Severity::Caution]);
        let other_foot = with_adrenaline("vascular: {right: {pulses: absent, toe: ~}}");
        assert_eq!(weights(&RULE, &other_foot), [Severity::Caution]);
    }

    #[test]
    fn a_toe_pressure_below_60_mmhg_is_a_stop() {
        let toe = |mmhg: u16| with_adrenaline(&format!("vascular: {{left: {{toe: {mmhg}}}}}"));
        assert_eq!(weights(&RULE, &toe(59)), [Severity::Stop]);
        assert_eq!(weights(&RULE, &toe(60)), [Severity::Caution]);
    }

    #[test]
    fn a_condition_of_poor_circulation_is_a_stop() {
        let raynaud = with_adrenaline("history: {conditions: [Raynaud's]}");
        assert_eq!(weights(&RULE, &raynaud), [Severity::Stop]);
        assert_eq!(findings(&RULE, &raynaud)[0].see[0].0.to_string(), "history.conditions[0]");
    }
}
