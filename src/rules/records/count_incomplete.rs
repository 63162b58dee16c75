//! The count of instruments, sharps and swabs was not complete.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "count-incomplete",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "the count of instruments, sharps and swabs was not complete",
    why: "What is missing at the count may be in the toe or in the dressing. A retained object is found by looking for it at once, and the patient is told.",
    cite: Cite::states(&sources::records::SAFETY_CHECKLIST, "sign out"),
    limits: "Knows the tick alone, not what is missing nor whether it was found.",
    example: Example {
        bad: "operation: {checks: {counted: false}}",
        good: "operation: {checks: {counted: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    if checks.and_then(|checks| checks.counted) != Some(false) {
        return Vec::new();
    }
    vec![
        Finding::at("operation.checks.counted")
            .says("answered no")
            .fix("look for what is missing and examine the toe; correct the answer once all is found, else record what happened under `incidents`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered = |answer: &str| paths(&RULE, &format!("operation: {{checks: {{counted: {answer}}}}}"));
        assert_eq!(answered("false"), ["operation.checks.counted"]);
        assert!(answered("true").is_empty());
        assert!(answered("~").is_empty(), "silence is `record-incomplete`");
    }
}
