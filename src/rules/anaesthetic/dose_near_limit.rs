//! A dose from four fifths of the limit up to the limit.

use super::pointed_at_dose;
use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::derive::AgentDose;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use rust_decimal::Decimal;

pub(super) static RULE: Rule = Rule {
    name: "dose-near-limit",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the dose of local anaesthetic is near its limit",
    why: "Little room is left for a top-up, and the limits are for healthy adults: illness, medicines \
          and a fast uptake lower what is safe.",
    cite: Cite::project_default("four fifths of the limit was chosen as near; no source names a figure"),
    limits: "From 80 % up to and including the limit, all agents counted together. Above it, other rules \
             speak.",
    example: Example {
        bad: "operation: {toes: {L1: {injected: 8 ml}}}",
        good: "operation: {toes: {L1: {injected: 7 ml}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let is_near = |share: &Decimal| {
        *share <= Decimal::ONE && share * Decimal::from(100) >= Threshold::DoseNearFrom.number()
    };
    let all: Vec<&AgentDose> = facts.derived.agents.iter().collect();
    if let Some(total) = facts.derived.anaesthetic_share.entry() {
        return is_near(&total.value).then(|| near(facts, &all, &total.working)).into_iter().collect();
    }
    // The sum is not known, but the part that is known may already be near.
    all.iter()
        .filter_map(|agent| Some((agent, agent.share.entry()?)))
        .filter(|(_, share)| is_near(&share.value))
        .map(|(agent, share)| near(facts, &[agent], &share.working))
        .collect()
}

fn near(facts: &Facts, agents: &[&AgentDose], working: &str) -> Finding {
    pointed_at_dose(facts, agents)
        .says(format!("{working} of the limit"))
        .fix("check volume, strength and mass; say under `accepted` why so much was needed and how the patient was")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// 4.4 mg/kg × 60 kg = 264 mg: 7.04 ml of 3 % is 80 %, 8.8 ml is the limit.
    fn injected(volume: &str) -> String {
        format!(
            "{{patient: {{weight: 60 kg, height: ~}}, operation: {{toes: {{L1: {{injected: {volume} ml}}}}}}}}"
        )
    }

    #[test]
    fn from_four_fifths_to_the_limit() {
        assert!(paths(&RULE, &injected("7.03")).is_empty());
        assert_eq!(says(&RULE, &injected("7.04")), ["211.2 mg ÷ 264 mg = 80 % of the limit"]);
        assert_eq!(paths(&RULE, &injected("8.8")), ["operation.toes.L1.injected"]);
        assert!(paths(&RULE, &injected("8.81")).is_empty());
    }

    #[test]
    fn agents_count_together() {
        let two = |volume: &str| {
            format!(
                "{{patient: {{weight: 80 kg, height: ~}}, operation: {{anaesthetic: [{{agent: lidocaine, strength: 1 %}}, \
                 {{agent: bupivacaine, strength: 0.5 %}}], toes: {{L1: {{injected: \
                 [{{agent: lidocaine, volume: 10 ml}}, {{agent: bupivacaine, volume: {volume} ml}}]}}}}}}}}"
            )
        };
        assert!(paths(&RULE, &two("8.9")).is_empty());
        assert_eq!(paths(&RULE, &two("9")).len(), 1);
    }

    #[test]
    fn a_part_that_is_known_counts_where_the_sum_is_not() {
        let unclear = "operation: {anaesthetic: [{agent: mepivacaine, strength: 3 %}, {agent: water, strength: 1 %}], \
                       toes: {L1: {injected: [{agent: mepivacaine, volume: 8 ml}, {agent: water, volume: 1 ml}]}}}";
        assert_eq!(paths(&RULE, unclear), ["operation.toes.L1.injected[0]"]);
    }
}
