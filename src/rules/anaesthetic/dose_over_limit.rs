//! One agent above its own limit. Several agents that are only together above the limit are `agents-combined-
//! over-limit`.

use super::pointed_at_dose;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use rust_decimal::Decimal;

pub(super) static RULE: Rule = Rule {
    name: "dose-over-limit",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "the dose of local anaesthetic is over its limit",
    why: "Too much local anaesthetic is toxic to brain and heart: tingling round the mouth, a metallic \
          taste, ringing in the ears, then fits and arrest. The first sign may come late.",
    cite: Cite::adapts(
        &sources::anaesthetic::LAST_GUIDELINE,
        "recognition",
        "the source describes toxicity; each limit has its own source, which `show` prints beside it",
    ),
    limits: "Exactly the limit is allowed. The limit is that of one session, for body mass and at most a \
             fixed dose, the stricter of the published ones or the clinic's own. What the patient had \
             elsewhere on the same day is for `anaesthetic-within-24-h`.",
    example: Example {
        bad: "operation: {toes: {L1: {injected: 10 ml}}}",
        good: "operation: {toes: {L1: {injected: 9.9 ml}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for agent in &facts.derived.agents {
        let (Some(share), Some(dose), Some(limit)) =
            (agent.share.get(), agent.dose.entry(), agent.limit.entry())
        else {
            continue;
        };
        if *share > Decimal::ONE {
            findings.push(
                pointed_at_dose(facts, &[agent])
                    .says(format!(
                        "{} of {} ({}); at most {} ({})",
                        dose.value, agent.agent, dose.working, limit.value, limit.working
                    ))
                    .fix(
                        "correct the volume, the strength or the mass if one is wrong; if this dose was \
                         given, watch and treat the patient as after an overdose and record it under `incidents`",
                    ),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    fn injected(volume: &str) -> String {
        format!(
            "{{patient: {{weight: 50 kg, height: ~}}, operation: {{toes: {{L1: {{injected: {volume} ml}}}}}}}}"
        )
    }

    /// 4.4 mg/kg × 50 kg = 220 mg, and 3 % holds 30 mg in each ml.
    #[test]
    fn the_limit_itself_is_allowed() {
        let light = |volume: &str| injected(volume).replace("50 kg", "60 kg");
        assert!(paths(&RULE, &light("8.8")).is_empty(), "264 mg is exactly the limit");
        assert_eq!(paths(&RULE, &light("8.81")), ["operation.toes.L1.injected"]);
        assert!(paths(&RULE, &injected("7.3")).is_empty());
        assert_eq!(
            says(&RULE, &injected("7.4")),
            ["222 mg of mepivacaine (7.4 ml × 3 % × 10 = 222 mg); at most 220 mg \
              (4.4 mg/kg × 50 kg = 220 mg, below the maximum of 300 mg)"]
        );
    }

    #[test]
    fn strength_and_mass_are_shown_beside_it() {
        let found = findings(&RULE, &injected("7.4"));
        let seen: Vec<String> = found[0].see.iter().map(|(path, label)| format!("{path}: {label}")).collect();
        assert_eq!(
            seen,
            [
                "operation.anaesthetic.strength: mepivacaine 3 %",
                "patient.weight: measured 50 kg; not compared with the height: patient.height missing"
            ]
        );
    }

    #[test]
    fn an_unknown_mass_is_another_rule() {
        assert!(paths(&RULE, &injected("99").replace("50 kg", "~")).is_empty());
    }
}
