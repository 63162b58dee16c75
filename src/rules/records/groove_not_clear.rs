//! Nail was left in the groove.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "groove-not-clear",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "nail was left in the groove",
    why: "A strip of nail that is left behind keeps the groove inflamed and grows back as a spike. Whoever sees the toe next has to know of it.",
    cite: Cite::common_practice(),
    limits: "Knows the answer alone, not how much was left nor why.",
    example: Example {
        bad: "operation: {toes: {L1: {groove_clear: false}}}",
        good: "operation: {toes: {L1: {groove_clear: true}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    facts
        .operated()
        .into_iter()
        .filter(|(_, done)| done.groove_clear == Some(false))
        .map(|(toe, _)| {
            Finding::at(format!("operation.toes.{toe}.groove_clear"))
                .says(format!("{} was looked at and is not clear of nail", named(toe)))
                .fix("correct the answer, or say under `accepted` why nail was left and what is planned")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered =
            |answer: &str| paths(&RULE, &format!("operation: {{toes: {{L1: {{groove_clear: {answer}}}}}}}"));
        assert_eq!(answered("false"), ["operation.toes.L1.groove_clear"]);
        assert!(answered("true").is_empty());
        assert!(answered("~").is_empty(), "silence is `record-incomplete`");
    }
}
