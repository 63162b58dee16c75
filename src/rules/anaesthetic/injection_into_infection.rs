//! A toe that was infected at assessment and was injected. The decision to operate is `infected-toe`.

use super::injections;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "injection-into-infection",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an injection into a toe that is recorded as infected",
    why: "Inflamed tissue takes up the anaesthetic faster and is numbed less, and a needle can carry \
          infection further.",
    cite: Cite::adapts(
        &sources::anaesthetic::BNF,
        "local anaesthesia",
        "it says not to inject into inflamed or infected tissue; a block at the root of the toe may lie outside it",
    ),
    limits: "Does not know where the needle went in: a block at the root of an infected toe may be in \
             healthy tissue.",
    example: Example {
        bad: "problem: {toes: {L1: {infected: true}}}",
        good: "problem: {toes: {L1: {infected: false}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(affected) = facts.case.affected() else {
        return Vec::new();
    };
    let injected = injections(facts);
    let mut findings = Vec::new();
    for (toe, found) in affected.iter() {
        let what = match (found.infected, found.cellulitis) {
            (Some(true), _) => "infected",
            (_, Some(true)) => "cellulitis",
            _ => continue,
        };
        let Some(injection) = injected.iter().find(|injection| injection.toe == toe) else { continue };
        findings.push(
            Finding::at(injection.path.clone())
                .says(format!("{} injected into {}", injection.volume, named(toe)))
                .see(format!("problem.toes.{toe}.{what}"), "infection recorded at this toe")
                .fix("say under `accepted` where it was injected, or correct the entry"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn the_injected_toe_counts() {
        assert_eq!(paths(&RULE, "problem: {toes: {L1: {infected: true}}}"), ["operation.toes.L1.injected"]);
        assert_eq!(
            says(&RULE, "problem: {toes: {L1: {cellulitis: true}}}"),
            ["2.2 ml injected into L1 (left hallux)"]
        );
        assert!(paths(&RULE, "problem: {toes: {R1: {infected: true}}}").is_empty());
    }

    #[test]
    fn nothing_injected_is_nothing_to_say() {
        let none = "{problem: {toes: {L1: {infected: true}}}, operation: {toes: {L1: {injected: 0 ml}}}}";
        assert!(paths(&RULE, none).is_empty());
        assert!(paths(&RULE, "{problem: {toes: {L1: {infected: true}}}, operation: ~}").is_empty());
    }
}
