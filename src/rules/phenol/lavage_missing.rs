//! Phenol without a record of what the groove was washed with.

use crate::clinical::{Cite, sources};
use crate::derive::Said;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "lavage-missing",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "what the groove was washed with after phenol is not recorded",
    why: "Washing dilutes the phenol and carries it out of the groove; the operation note says with what.",
    cite: Cite::adapts(
        &sources::procedure::PHENOL_LAVAGE,
        "abstract",
        "the source shows that washing removes phenol; asking for the record is ours",
    ),
    limits: "Any word silences it, `none` too. Which fluid is best, and how much, is not judged.",
    example: Example {
        bad: "operation: {toes: {L1: {lavage: ~}}}",
        good: "operation: {toes: {L1: {lavage: saline}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    facts
        .operated()
        .iter()
        .filter(|(toe, done)| {
            let said = facts.derived.routine.lavage.get(toe).and_then(Said::get);
            done.phenol.is_some() && is_blank(said.map(String::as_str))
        })
        .map(|(toe, _)| {
            Finding::at(format!("operation.toes.{toe}.lavage"))
                .says(format!("no lavage recorded for {toe}"))
                .see(format!("operation.toes.{toe}.phenol"), "phenol was used")
                .fix("write what it was washed with, like `lavage: saline`, or `lavage: none`")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn what_the_protocol_says_counts_where_the_case_says_so() {
        let usual = |routine: &str| {
            format!(
                "{{clinic: {{protocol: {{lavage: saline}}}}, operation: {{{routine}toes: {{L1: {{lavage: ~}}}}}}}}"
            )
        };
        assert!(paths(&RULE, &usual("routine: as protocol, ")).is_empty());
        assert_eq!(paths(&RULE, &usual("")).len(), 1, "the protocol alone records nothing");
    }

    #[test]
    fn any_word_will_do_but_there_must_be_one() {
        assert_eq!(paths(&RULE, "operation: {toes: {L1: {lavage: ~}}}"), ["operation.toes.L1.lavage"]);
        assert_eq!(paths(&RULE, "operation: {toes: {L1: {lavage: \" \"}}}").len(), 1);
        assert!(paths(&RULE, "operation: {toes: {L1: {lavage: none}}}").is_empty());
        assert!(paths(&RULE, "operation: {toes: {L1: {lavage: ~, phenol: ~}}}").is_empty());
    }
}
