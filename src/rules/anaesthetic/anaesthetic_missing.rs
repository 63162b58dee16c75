//! An operation without its anaesthetic, or an injection of an agent that is not listed. A listed agent that
//! was injected without a volume is `volume-missing`.

use super::{injections, is_same};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "anaesthetic-missing",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "the anaesthetic is not recorded",
    why: "Without agent and strength the dose is not known, and the note would not say what was injected.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full and accurate records; that an injection names its agent is ours",
    ),
    limits: "Where nothing was injected either, it is a caution: a toe without feeling may have needed none.",
    example: Example {
        bad: "operation: {anaesthetic: ~}",
        good: "operation: {anaesthetic: {agent: mepivacaine, strength: 3 %}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let listed = operation.anaesthetic.as_ref().map(|agents| agents.all()).unwrap_or_default();
    let given = injections(facts);
    if listed.is_empty() {
        return vec![match given.first() {
            Some(first) => Finding::at(first.path.clone())
                .says(format!("{} injected, and no anaesthetic is recorded", first.amount()))
                .fix("enter agent, strength, batch and expiry under `operation.anaesthetic`"),
            // It can be given up before anything was injected.
            None if operation.abandoned.is_some() => return Vec::new(),
            None => Finding::at("operation.anaesthetic")
                .says("no anaesthetic and no injection is recorded")
                .fix("enter the anaesthetic, or say under `accepted` why none was needed")
                .weighs(Severity::Caution),
        }];
    }
    given
        .iter()
        .filter_map(|injection| Some((injection, injection.agent.as_ref()?)))
        .filter(|(_, agent)| !listed.iter().any(|(_, entry)| is_same(&entry.agent, agent)))
        .map(|(injection, agent)| {
            Finding::at(injection.path.key("agent"))
                .says(format!("`{agent}` was injected and is not under `operation.anaesthetic`"))
                .see("operation.anaesthetic", "the agents that are listed")
                .fix("list it with strength, batch and expiry, or correct the name")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn an_injection_without_an_agent_stops() {
        assert_eq!(paths(&RULE, "operation: {anaesthetic: ~}"), ["operation.toes.L1.injected"]);
        assert_eq!(weights(&RULE, "operation: {anaesthetic: ~}"), [Severity::Stop]);
    }

    #[test]
    fn neither_agent_nor_injection_is_a_caution() {
        for none in ["injected: ~", "injected: 0 ml"] {
            let none = format!("operation: {{anaesthetic: ~, toes: {{L1: {{{none}}}}}}}");
            assert_eq!(weights(&RULE, &none), [Severity::Caution], "{none}");
        }
        assert!(paths(&RULE, "operation: ~").is_empty());
    }

    #[test]
    fn an_injected_agent_must_be_listed_under_any_spelling() {
        let injected = |agent: &str| {
            format!("operation: {{toes: {{L1: {{injected: [{{agent: {agent}, volume: 1 ml}}]}}}}}}")
        };
        assert_eq!(paths(&RULE, &injected("lidocaine")), ["operation.toes.L1.injected[0].agent"]);
        assert!(paths(&RULE, &injected("Mepivicaine")).is_empty());
    }
}
