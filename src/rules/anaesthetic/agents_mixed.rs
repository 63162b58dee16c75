//! Two anaesthetics in one toe: mixed in one syringe, or one after the other.

use super::{injections, is_same};
use crate::case::AuthorityKind;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "agents-mixed",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note"]),
    title: "two anaesthetics mixed in one syringe under the exemption",
    why: "The exemption is for substances that the podiatrist has not combined. Mixed in one syringe they \
          are outside it; injected one after the other they are not.",
    cite: Cite::states(&sources::anaesthetic::HUMAN_MEDICINES_SCHEDULE_17, "item 1, condition"),
    limits: "A caution where two agents went into one toe and `mixed` does not say how. Under a prescription \
             or a direction nothing is said of mixing.",
    example: Example {
        bad: "operation: {authority: exemption, anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: bupivacaine, strength: 0.5 %}], toes: {L1: {mixed: true, injected: [{agent: lidocaine, volume: 1 ml}, {agent: bupivacaine, volume: 1 ml}]}}}",
        good: "operation: {authority: exemption, anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: bupivacaine, strength: 0.5 %}], toes: {L1: {mixed: false, injected: [{agent: lidocaine, volume: 1 ml}, {agent: bupivacaine, volume: 1 ml}]}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let all = injections(facts);
    let mut findings = Vec::new();
    for (toe, done) in facts.treated() {
        let mut agents: Vec<&str> = Vec::new();
        for agent in
            all.iter().filter(|injection| injection.toe == toe).filter_map(|one| one.agent.as_deref())
        {
            if !agents.iter().any(|known| is_same(known, agent)) {
                agents.push(agent);
            }
        }
        if agents.len() < 2 {
            continue;
        }
        let says = format!("{} in {}", List::and(&agents), named(toe));
        let finding = Finding::at(format!("operation.toes.{toe}.injected")).says(says);
        let exemption = facts.derived.given_under.iter().find_map(|given| {
            let (path, block) = given.authority.as_ref()?;
            let is_meant = agents.iter().any(|agent| is_same(agent, &given.agent));
            (is_meant && block.under == AuthorityKind::Exemption).then_some(path)
        });
        match (done.mixed, exemption) {
            (Some(true), Some(path)) => {
                findings.push(finding.see(path.clone(), "the exemption is named").fix(
                    "if they were given one after the other, write `mixed: false`; if a prescription or \
                     direction covered it, write that; if neither, record it as an incident",
                ))
            }
            (None, _) => findings.push(
                finding
                    .fix(format!(
                        "write `mixed: false` under `operation.toes.{toe}` if they were given one after the \
                         other, `mixed: true` if in one syringe"
                    ))
                    .weighs(Severity::Caution),
            ),
            (Some(true), None) | (Some(false), _) => {}
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn two(authority: &str, mixed: &str, second: &str) -> String {
        format!(
            "operation: {{authority: {authority}, anaesthetic: [{{agent: lidocaine, strength: 1 %}}, \
             {{agent: bupivacaine, strength: 0.5 %}}], toes: {{L1: {{mixed: {mixed}, \
             injected: [{{agent: lidocaine, volume: 1 ml}}, {{agent: {second}, volume: 1 ml}}]}}}}}}"
        )
    }

    #[test]
    fn mixed_by_the_podiatrist_is_outside_the_exemption() {
        assert_eq!(weights(&RULE, &two("exemption", "true", "bupivacaine")), [Severity::Stop]);
        assert_eq!(
            says(&RULE, &two("exemption", "true", "bupivacaine")),
            ["lidocaine and bupivacaine in L1 (left hallux)"]
        );
        assert!(paths(&RULE, &two("exemption", "false", "bupivacaine")).is_empty());
        assert!(paths(&RULE, &two("own prescription", "true", "bupivacaine")).is_empty());
    }

    #[test]
    fn silence_on_two_agents_in_one_toe_is_asked_about() {
        assert_eq!(weights(&RULE, &two("exemption", "~", "bupivacaine")), [Severity::Caution]);
        assert!(paths(&RULE, &two("exemption", "~", "Lignocaine")).is_empty(), "one agent, topped up");
        assert!(paths(&RULE, "").is_empty());
    }
}
