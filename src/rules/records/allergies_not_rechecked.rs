//! The check of allergies on the day was answered no.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "allergies-not-rechecked",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "allergies were not asked again on the day of surgery",
    why: "What the patient is allergic to may have changed since the assessment, and anaesthetic, dressing and skin preparation are chosen by it.",
    cite: Cite::states(&sources::records::SAFETY_CHECKLIST, "sign in"),
    limits: "Knows the tick alone, not what was asked.",
    example: Example {
        bad: "operation: {checks: {allergies: false}}",
        good: "operation: {checks: {allergies: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    if checks.and_then(|checks| checks.allergies) != Some(false) {
        return Vec::new();
    }
    vec![
        Finding::at("operation.checks.allergies")
            .says("answered no")
            .fix("correct the answer, or say under `accepted` why they were not asked again"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered =
            |answer: &str| paths(&RULE, &format!("operation: {{checks: {{allergies: {answer}}}}}"));
        assert_eq!(answered("false"), ["operation.checks.allergies"]);
        assert!(answered("true").is_empty());
        assert!(answered("~").is_empty(), "silence is `record-incomplete`");
    }
}
