//! Two or more agents, each within its own limit and together above it.

use super::pointed_at_dose;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use rust_decimal::Decimal;

pub(super) static RULE: Rule = Rule {
    name: "agents-combined-over-limit",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "the anaesthetics together are over the limit",
    why: "The toxicity of local anaesthetics adds up: half the limit of one leaves half the limit of the \
          next.",
    cite: Cite::states(&sources::anaesthetic::ADDITIVE_TOXICITY, "toxicity of mixed agents"),
    limits: "Speaks only where each agent alone is within its limit; one that is above it alone is \
             `dose-over-limit`. Exactly the limit is allowed.",
    example: Example {
        bad: "{patient: {weight: 80 kg, height: ~}, operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: bupivacaine, strength: 0.5 %}], toes: {L1: {injected: [{agent: lidocaine, volume: 12 ml}, {agent: bupivacaine, volume: 15 ml}]}}}}",
        good: "{patient: {weight: 80 kg, height: ~}, operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: bupivacaine, strength: 0.5 %}], toes: {L1: {injected: [{agent: lidocaine, volume: 12 ml}, {agent: bupivacaine, volume: 12 ml}]}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let given: Vec<_> = facts
        .derived
        .agents
        .iter()
        .filter(|agent| agent.share.get().is_some_and(|share| !share.is_zero()))
        .collect();
    let is_one_over = given.iter().any(|agent| agent.share.get().is_some_and(|share| *share > Decimal::ONE));
    let Some(total) = facts.derived.anaesthetic_share.entry() else { return Vec::new() };
    if given.len() < 2 || is_one_over || total.value <= Decimal::ONE {
        return Vec::new();
    }
    vec![pointed_at_dose(facts, &given).says(format!("{} of the limit", total.working)).fix(
        "correct a volume, a strength or the mass if one is wrong; if these doses were given, watch and treat \
         the patient as after an overdose and record it under `incidents`",
    )]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// 80 kg: lidocaine 200 mg, bupivacaine 150 mg.
    fn two(lidocaine: &str, bupivacaine: &str) -> String {
        format!(
            "{{patient: {{weight: 80 kg, height: ~}}, operation: {{anaesthetic: [{{agent: lidocaine, strength: 1 %}}, \
             {{agent: bupivacaine, strength: 0.5 %}}], toes: {{L1: {{injected: [{{agent: lidocaine, volume: \
             {lidocaine} ml}}, {{agent: bupivacaine, volume: {bupivacaine} ml}}]}}}}}}}}"
        )
    }

    #[test]
    fn half_and_half_is_the_limit() {
        assert!(paths(&RULE, &two("10", "15")).is_empty());
        assert_eq!(paths(&RULE, &two("10", "15.1")), ["operation.toes.L1.injected[0]"]);
        assert_eq!(
            says(&RULE, &two("12", "15")),
            ["120 mg ÷ 200 mg = 60 %; 75 mg ÷ 150 mg = 50 %; together 110 % of the limit"]
        );
    }

    #[test]
    fn one_that_is_over_alone_is_another_rule() {
        assert!(paths(&RULE, &two("20.1", "1")).is_empty());
        assert!(paths(&RULE, &two("20.1", "0")).is_empty());
        assert!(paths(&RULE, &two("20", "0")).is_empty());
    }
}
