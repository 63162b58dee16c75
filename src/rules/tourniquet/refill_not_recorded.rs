//! A tourniquet was used and the return of the blood was not recorded.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "refill-not-recorded",
    topic: Topic::Tourniquet,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the return of the blood after the tourniquet is not recorded",
    why: "The dressing goes on once the toe is pink again. A recorded refill shows that the tourniquet is \
          off and the toe alive.",
    cite: Cite::common_practice(),
    limits: "Takes the time as written; it does not know how it was measured. A reason why it was not timed \
             gives way to `record-gap`.",
    example: Example {
        bad: "operation: {toes: {L1: {refill: ~}}}",
        good: "operation: {toes: {L1: {refill: 2 s}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    facts
        .treated()
        .iter()
        .filter(|(_, done)| done.tourniquet.is_some() && done.refill.is_missing())
        .map(|(toe, _)| {
            Finding::at(format!("operation.toes.{toe}.refill"))
                .says(format!("no capillary refill for {}", named(*toe)))
                .see(format!("operation.toes.{toe}.tourniquet"), "a tourniquet was used")
                .fix(
                    "write the refill as measured, like `refill: 2 s`; if it was not timed, write what was \
                     seen, like `refill: {not_recorded: pink and warm at once, not timed}`",
                )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_after_a_tourniquet() {
        assert_eq!(paths(&RULE, "operation: {toes: {L1: {refill: ~}}}"), ["operation.toes.L1.refill"]);
        assert!(paths(&RULE, "operation: {toes: {L1: {refill: ~, tourniquet: ~}}}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn what_was_seen_without_a_clock_is_an_answer() {
        let seen = "operation: {toes: {L1: {refill: {not_recorded: \"pink and warm at once, not timed\"}}}}";
        assert!(paths(&RULE, seen).is_empty());
    }
}
