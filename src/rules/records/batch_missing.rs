//! An anaesthetic or phenol without its batch. Expiry is `expiry-missing`.

use super::block_missing;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "batch-missing",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "a batch number is missing",
    why: "If a batch is recalled, or a patient reacts, the batch number is the only way back to what was \
          used.",
    cite: Cite::common_practice(),
    limits: "Does not know whether the number is the one on the pack.",
    example: Example { bad: "operation: {phenol: {batch: ~}}", good: "operation: {phenol: {batch: P203}}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let fix = "copy it from the pack; if it cannot be found, say so under `accepted`";
    let mut findings = Vec::new();
    for (path, what, used) in block_missing(facts) {
        findings.push(
            Finding::at(path)
                .says(format!("no {what} is recorded, so neither its batch"))
                .see(used, "used here")
                .fix(format!("add the `{path}` block with strength, batch and expiry")),
        );
    }
    for (step, agent) in operation.anaesthetic.iter().flat_map(|agents| agents.all()) {
        if is_blank(agent.batch.as_deref()) {
            findings.push(
                Finding::at(format!("operation.anaesthetic{step}.batch"))
                    .says(format!("no batch number for {}", agent.agent))
                    .fix(fix),
            );
        }
    }
    if let Some(phenol) = &operation.phenol
        && is_blank(phenol.batch.as_deref())
        && operation.toes.iter().any(|(_, done)| done.phenol.is_some())
    {
        findings.push(Finding::at("operation.phenol.batch").says("no batch number for phenol").fix(fix));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_supply_is_looked_at() {
        assert_eq!(paths(&RULE, "operation: {anaesthetic: {batch: ~}}"), ["operation.anaesthetic.batch"]);
        assert_eq!(paths(&RULE, "operation: {phenol: {batch: \" \"}}"), ["operation.phenol.batch"]);
        let two = "operation: {anaesthetic: [{agent: lidocaine, strength: 2 %, batch: L1}, \
                   {agent: mepivacaine, strength: 3 %}]}";
        assert_eq!(paths(&RULE, two), ["operation.anaesthetic[1].batch"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn a_block_that_is_missing_is_named() {
        assert_eq!(paths(&RULE, "operation: {phenol: ~}"), ["operation.phenol"]);
        assert_eq!(paths(&RULE, "operation: {anaesthetic: ~}"), ["operation.anaesthetic"]);
    }

    #[test]
    fn what_was_not_used_needs_no_batch() {
        assert!(paths(&RULE, "operation: {phenol: {batch: ~}, toes: {L1: {phenol: ~}}}").is_empty());
        assert!(paths(&RULE, "operation: {anaesthetic: ~, toes: {L1: {injected: ~}}}").is_empty());
    }
}
