//! The check of identity before surgery was answered no.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "identity-not-confirmed",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "identity and consent were not confirmed before surgery",
    why: "The right operation on the wrong patient begins with nobody asking for the name. If the check was left out, the note says why and how it was made good.",
    cite: Cite::states(&sources::records::SAFETY_CHECKLIST, "sign in"),
    limits: "Knows the tick alone, not who asked nor what was answered.",
    example: Example {
        bad: "operation: {checks: {identity: false}}",
        good: "operation: {checks: {identity: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    if checks.and_then(|checks| checks.identity) != Some(false) {
        return Vec::new();
    }
    vec![
        Finding::at("operation.checks.identity").says("answered no").fix(
            "correct the answer, or say under `accepted` why it was left out and how the patient was known",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered = |answer: &str| paths(&RULE, &format!("operation: {{checks: {{identity: {answer}}}}}"));
        assert_eq!(answered("false"), ["operation.checks.identity"]);
        assert!(answered("true").is_empty());
        assert!(answered("~").is_empty(), "silence is `record-incomplete`");
    }
}
