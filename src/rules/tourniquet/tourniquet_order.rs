//! A tourniquet that came off before it went on.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// A time that nobody can put right any more is a gap with its reason, not a guess.
const FIX: &str = "correct the time that was written wrongly; if nobody knows the right one, write why, like \
                   `{not_recorded: clock found to be wrong}`";

pub(super) static RULE: Rule = Rule {
    name: "tourniquet-order",
    topic: Topic::Tourniquet,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the tourniquet came off before it went on",
    why: "One of the two times is wrong, so how long the toe was without blood is not known.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the two times is ours",
    ),
    limits: "Takes both times as of the same day: surgery over midnight is not foreseen.",
    example: Example {
        bad: r#"operation: {toes: {L1: {tourniquet: {on: "10:01", off: "09:50"}}}}"#,
        good: r#"operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:01"}}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (toe, done) in facts.treated() {
        let Some(tourniquet) = &done.tourniquet else { continue };
        // A missing time off is `tourniquet-not-removed`.
        let (Some(on), Some(off)) = (tourniquet.on.value(), tourniquet.off.value()) else { continue };
        if on <= off {
            continue;
        }
        findings.push(
            Finding::at(format!("operation.toes.{toe}.tourniquet.off"))
                .says(format!("off at {}", off.clinical()))
                .see(format!("operation.toes.{toe}.tourniquet.on"), format!("on at {}", on.clinical()))
                .fix(FIX),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn off(time: &str) -> String {
        format!("operation: {{toes: {{L1: {{tourniquet: {{on: \"09:50\", off: \"{time}\"}}}}}}}}")
    }

    #[test]
    fn the_same_minute_passes_and_one_before_does_not() {
        assert!(paths(&RULE, &off("09:50")).is_empty());
        assert_eq!(paths(&RULE, &off("09:49")), ["operation.toes.L1.tourniquet.off"]);
    }
}
