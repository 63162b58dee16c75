//! A toe was operated on that the plan does not name. Edges of a planned toe are another rule's business.

use crate::case::Removed;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "toe-not-planned",
    topic: Topic::CorrectSite,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::All,
    title: "a toe was operated on that was not planned",
    why: "Either the note names the wrong toe or the wrong toe was operated on. \
          The documents must not be issued before it is known which.",
    cite: Cite::adapts(
        &sources::records::SAFETY_CHECKLIST,
        "whole text",
        "the source asks for the checklist at every procedure; comparing plan and operation toe by toe is \
         ours",
    ),
    limits: "Compares what was written, not what was done: a slip made in both places is not seen.",
    example: Example {
        bad: "plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}",
        good: "plan: {L1: {nail: partial, edges: [lateral], matrix: phenol}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let planned = facts.planned();
    let not_planned = facts.operated_with_plan().into_iter().filter(|one| one.plan.is_none());
    not_planned
        .filter_map(|one| Some((one.toe, one.treated?)))
        .map(|(toe, done)| {
            let verb =
                if done.nail == Removed::None { "was prepared for surgery" } else { "was operated on" };
            let finding = Finding::at(format!("operation.toes.{toe}"))
                .at_key()
                .says(format!("{} {verb}", named(toe)))
                .fix(
                    "correct the toe where it was written wrongly; if it really was another toe, record what \
                     happened under `incidents`",
                );
            if planned.is_empty() {
                finding.see("operation.date", "operated on this day, without a `plan` in this file")
            } else {
                let toes = List::and(planned.iter().map(|(toe, _)| named(*toe)));
                finding.see("plan", format!("the plan names {toes}"))
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn the_other_foot_is_found_and_the_same_toe_is_not() {
        assert!(paths(&RULE, "").is_empty());
        let other = "plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}";
        assert_eq!(paths(&RULE, other), ["operation.toes.L1"]);
        assert_eq!(findings(&RULE, other)[0].see[0].1, "the plan names R1 (right hallux)");
    }

    #[test]
    fn an_injection_into_another_toe_counts() {
        let other = "{plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}, \
                     operation: {abandoned: {because: the mark was on the other foot}, \
                     toes: {L1: {nail: none, edges: ~, phenol: ~, groove_clear: ~}}}}";
        assert_eq!(paths(&RULE, other), ["operation.toes.L1"]);
        assert_eq!(findings(&RULE, other)[0].says, "L1 (left hallux) was prepared for surgery");
    }

    #[test]
    fn no_plan_at_all_is_found() {
        assert_eq!(paths(&RULE, "plan: ~"), ["operation.toes.L1"]);
    }

    #[test]
    fn before_the_operation_there_is_nothing_to_compare() {
        assert!(paths(&RULE, "{plan: ~, operation: ~}").is_empty());
    }
}
