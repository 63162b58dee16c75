//! An operation of which nothing says what was removed, nor that it was given up.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "nothing-operated",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "no toe was operated on, and nothing says why",
    why: "An operation was begun. Without a toe of which nail was removed it was given up, and the reason \
          belongs into the note and the letter; or the toe was forgotten.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full records; asking for the reason is ours",
    ),
    limits: "The reason under `operation.abandoned` is not judged.",
    example: Example {
        bad: "operation: {toes: {L1: {nail: none, edges: ~, phenol: ~}}}",
        good: r#"operation: {toes: {L1: {nail: none, edges: ~, phenol: ~}}, abandoned: {because: "fainted after the injection"}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = facts.case.operation.as_ref().filter(|operation| operation.is_given_up()) else {
        return Vec::new();
    };
    if operation.abandoned.as_ref().is_some_and(|abandoned| !is_blank(Some(&abandoned.because))) {
        return Vec::new();
    }
    let says = match operation.toes.is_empty() {
        true => "the operation names no toe",
        false => "every toe says `nail: none`",
    };
    vec![
        Finding::at(if operation.abandoned.is_some() {
            "operation.abandoned.because"
        } else {
            "operation.date"
        })
        .says(says)
        .fix(
            "enter what was removed under `operation.toes`; if it was given up, write \
                 `abandoned: {because: …, at: …, next: …}` under `operation`",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_reason_or_a_toe_passes_and_neither_does_not() {
        assert!(paths(&RULE, "").is_empty());
        assert!(paths(&RULE, "operation: ~").is_empty());
        assert_eq!(paths(&RULE, "operation: {toes: ~}"), ["operation.date"]);
        assert_eq!(
            paths(&RULE, "operation: {toes: ~, abandoned: {because: \" \"}}"),
            ["operation.abandoned.because"]
        );
        assert!(
            paths(&RULE, "operation: {toes: ~, abandoned: {because: did not want it after all}}").is_empty()
        );
        assert!(paths(&RULE, "operation: {toes: {R1: {nail: none}}}").is_empty(), "L1 was operated on");
    }
}
