//! An anaesthetic or phenol without its expiry. A date that has passed is another rule's business, and so
//! is a supply that is not recorded at all.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "expiry-missing",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an expiry date is missing",
    why: "Without it nothing shows that the expiry was looked at before use.",
    cite: Cite::common_practice(),
    limits: "Does not know whether the date is the one on the pack.",
    example: Example {
        bad: "operation: {phenol: {expires: ~}}",
        good: "operation: {phenol: {expires: 2027-03}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let fix = "copy it from the pack, like `2027-08`; if it cannot be found, say so under `accepted`";
    let mut findings = Vec::new();
    for (step, agent) in operation.anaesthetic.iter().flat_map(|agents| agents.all()) {
        if agent.expires.is_none() {
            findings.push(
                Finding::at(format!("operation.anaesthetic{step}.expires"))
                    .says(format!("no expiry date for {}", agent.agent))
                    .fix(fix),
            );
        }
    }
    if let Some(phenol) = &operation.phenol
        && phenol.expires.is_none()
        && operation.toes.iter().any(|(_, done)| done.phenol.is_some())
    {
        findings.push(Finding::at("operation.phenol.expires").says("no expiry date for phenol").fix(fix));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_supply_is_looked_at() {
        assert_eq!(paths(&RULE, "operation: {anaesthetic: {expires: ~}}"), ["operation.anaesthetic.expires"]);
        assert_eq!(paths(&RULE, "operation: {phenol: {expires: ~}}"), ["operation.phenol.expires"]);
        assert!(paths(&RULE, "operation: {phenol: {expires: ~}, toes: {L1: {phenol: ~}}}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
