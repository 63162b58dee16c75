//! Several anaesthetics, and an injection that does not name its own; or one anaesthetic in two strengths.

use super::{entries, injections};
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "second-agent-unclear",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "it is not clear which anaesthetic was injected",
    why: "A volume that cannot be put down to one agent in one strength has no dose. It is never put \
          down to the likeliest one.",
    cite: Cite::project_default(
        "an unclear injection makes the dose unknown, and an unknown dose is not called safe",
    ),
    limits: "A case file cannot tell two strengths of one agent apart.",
    example: Example {
        bad: "operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: bupivacaine, strength: 0.5 %}]}",
        good: "operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let entries = entries(facts);
    let listed: Vec<_> = facts.derived.agents.iter().filter(|agent| !agent.entries.is_empty()).collect();
    let mut findings = Vec::new();
    if listed.len() > 1 {
        let names = List::or(listed.iter().map(|agent| &agent.agent)).to_string();
        for injection in injections(facts).into_iter().filter(|injection| injection.agent.is_none()) {
            findings.push(
                Finding::at(injection.path.clone())
                    .says(format!("{} of {names}", injection.amount()))
                    .see("operation.anaesthetic", "several agents are listed")
                    .fix("write `injected` as a list, like `[{agent: lidocaine, volume: 2 ml}]`"),
            );
        }
    }
    for agent in listed {
        let [first, others @ ..] = agent.entries.as_slice() else { continue };
        let strength = |step: &str| {
            let path = format!("operation.anaesthetic{step}");
            entries.iter().find(|(at, _)| at.to_string() == path).map(|(at, entry)| (at, entry.strength))
        };
        let Some((first, strength_first)) = strength(first) else { continue };
        for (other, strength_other) in others.iter().filter_map(|step| strength(step)) {
            if strength_other != strength_first {
                findings.push(
                    Finding::at(other.key("strength"))
                        .says(format!("{} in {strength_other} too", agent.agent))
                        .see(first.key("strength"), format!("{} in {strength_first}", agent.agent))
                        .fix("keep the strength that was injected"),
                );
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn two(second: &str, injected: &str) -> String {
        format!(
            "operation: {{anaesthetic: [{{agent: lidocaine, strength: 1 %}}, {second}], \
             toes: {{L1: {{injected: {injected}}}}}}}"
        )
    }

    const BUPIVACAINE: &str = "{agent: bupivacaine, strength: 0.5 %}";

    #[test]
    fn each_injection_without_a_name_is_unclear() {
        assert_eq!(paths(&RULE, &two(BUPIVACAINE, "2 ml")), ["operation.toes.L1.injected"]);
        let half = "[{agent: lidocaine, volume: 1 ml}, {volume: 1 ml}]";
        assert_eq!(paths(&RULE, &two(BUPIVACAINE, half)), ["operation.toes.L1.injected[1]"]);
        assert_eq!(says(&RULE, &two(BUPIVACAINE, half)), ["1 ml of lidocaine or bupivacaine"]);
        let both = "[{agent: lidocaine, volume: 1 ml}, {agent: Bupivacaine, volume: 1 ml}]";
        assert!(paths(&RULE, &two(BUPIVACAINE, both)).is_empty());
    }

    #[test]
    fn one_agent_may_be_listed_twice_in_one_strength() {
        let again = |strength: &str| two(&format!("{{agent: lignocaine, strength: {strength} %}}"), "2 ml");
        assert!(paths(&RULE, &again("1.0")).is_empty());
        assert_eq!(paths(&RULE, &again("2")), ["operation.anaesthetic[1].strength"]);
        assert_eq!(says(&RULE, &again("2")), ["lidocaine in 2 % too"]);
    }
}
