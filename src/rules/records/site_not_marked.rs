//! The check that the toe was marked was answered no.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "site-not-marked",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the toe was not marked and confirmed before surgery",
    why: "A mark that the patient has confirmed is the last guard against surgery on the wrong toe. If it was left out, the note says why and how the toe was confirmed.",
    cite: Cite::states(&sources::records::SAFETY_CHECKLIST, "sign in"),
    limits: "Knows the tick alone. Whether the toe was the planned one is compared by the rules on the correct site.",
    example: Example {
        bad: "operation: {checks: {site_marked: false}}",
        good: "operation: {checks: {site_marked: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    if checks.and_then(|checks| checks.site_marked) != Some(false) {
        return Vec::new();
    }
    vec![
        Finding::at("operation.checks.site_marked").says("answered no").fix(
            "correct the answer, or say under `accepted` why it was left out and how the toe was confirmed",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered =
            |answer: &str| paths(&RULE, &format!("operation: {{checks: {{site_marked: {answer}}}}}"));
        assert_eq!(answered("false"), ["operation.checks.site_marked"]);
        assert!(answered("true").is_empty());
        assert!(answered("~").is_empty(), "silence is `record-incomplete`");
    }
}
