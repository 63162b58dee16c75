//! The stop just before the needle was answered no.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "no-stop-before-block",
    topic: Topic::CorrectSite,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "nobody stopped before the needle to look at side and toe once more",
    why: "A block of the wrong side is given in the minutes between the check at the start and the injection. If the \
          stop was left out, the note says why and how the toe was made sure of.",
    cite: Cite::adapts(
        &sources::records::SAFETY_CHECKLIST,
        "sign in",
        "the source asks for the site before anaesthesia; asking for it again at the needle is ours",
    ),
    limits: "Knows the answer alone, and says nothing where it is not given.",
    example: Example {
        bad: "operation: {checks: {stop_before_block: false}}",
        good: "operation: {checks: {stop_before_block: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    if checks.and_then(|checks| checks.stop_before_block) != Some(false) {
        return Vec::new();
    }
    vec![Finding::at("operation.checks.stop_before_block").says("answered no").fix(
        "correct the answer, or say under `accepted` why it was left out and how side and toe were confirmed",
    )]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered =
            |answer: &str| paths(&RULE, &format!("operation: {{checks: {{stop_before_block: {answer}}}}}"));
        assert_eq!(answered("false"), ["operation.checks.stop_before_block"]);
        assert!(answered("true").is_empty() && answered("~").is_empty());
    }
}
