//! Something was planned and not done, and no reason is written.

use crate::anatomy::Nail;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::{Facts, PlanAndDone, covers};
use crate::rules::words::{is_blank, named};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "planned-not-done",
    topic: Topic::CorrectSite,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "something was planned and not done, and no reason is written",
    why: "The patient agreed to it and expects it, and the letter will not mention it. \
          It may also mean that the note names the wrong toe.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full records; asking for the reason is ours",
    ),
    limits: "A reason under `operation.not_done` silences it for the whole toe, one under \
             `operation.abandoned` for all; the reason itself is not judged. Phenol that was planned and not used is reported by `phenol-not-as-planned`.",
    example: Example {
        bad: "plan: {R1: {nail: partial, edges: [lateral], matrix: phenol}}",
        good: r#"{plan: {R1: {nail: partial, edges: [lateral], matrix: phenol}},
 operation: {not_done: {R1: "patient asked to have one toe done at a time"}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    // Nothing more was done, and the reason for that stands at the operation.
    if operation.abandoned.as_ref().is_some_and(|abandoned| !is_blank(Some(&abandoned.because))) {
        return Vec::new();
    }
    let toes = facts.operated_with_plan();
    // Another toe was done instead: `toe-not-planned` says so, and it is one cause.
    let is_swapped = toes.iter().any(|one| one.plan.is_none());
    let mut findings = Vec::new();
    for PlanAndDone { toe, plan, operated, not_done, .. } in toes {
        let Some(plan) = plan.filter(|_| is_blank(Some(not_done))) else { continue };
        let fix = format!("write the reason under `operation.not_done.{toe}`, or correct the plan");
        let Some(done) = operated else {
            if is_swapped {
                continue;
            }
            findings.push(
                Finding::at(format!("plan.{toe}"))
                    .at_key()
                    .says(format!("{} was planned", named(toe)))
                    .see("operation.toes", format!("{toe} is not among the toes operated on"))
                    .fix(fix),
            );
            continue;
        };
        // Another edge was done instead: `edge-not-planned` says so unless the patient agreed to it.
        let is_swapped = is_blank(done.agreed_on_day.as_deref())
            && done.edges.iter().any(|edge| !covers(plan.nail, &plan.edges, *edge));
        // A planned total avulsion that became a partial one is `nail-type-differs`.
        if is_swapped || plan.nail == Nail::Total {
            continue;
        }
        for (at, edge) in plan.edges.iter().enumerate() {
            if covers(done.nail, &done.edges, *edge) {
                continue;
            }
            findings.push(
                Finding::at(format!("plan.{toe}.edges[{at}]"))
                    .says(format!("the {} edge of {toe} was planned", edge.word()))
                    .see(format!("operation.toes.{toe}.edges"), "not among the edges removed")
                    .fix(fix.clone()),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_planned_toe_or_edge_that_is_missing_is_found() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["plan.R1"]);
        assert_eq!(paths(&RULE, "plan: {L1: {edges: [lateral, medial]}}"), ["plan.L1.edges[1]"]);
        assert!(paths(&RULE, "").is_empty());
    }

    /// A swap is one cause, reported by the rule on what was done.
    #[test]
    fn a_swapped_toe_or_edge_is_left_to_the_rule_on_what_was_done() {
        let toe = "plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}";
        assert!(paths(&RULE, toe).is_empty());
        assert!(paths(&RULE, "operation: {toes: {L1: {edges: [medial]}}}").is_empty());
        let agreed = "operation: {toes: {L1: {edges: [medial], agreed_on_day: medial instead}}}";
        assert_eq!(paths(&RULE, agreed), ["plan.L1.edges[0]"]);
    }

    #[test]
    fn what_was_given_up_has_its_reason_once() {
        let given_up = |because: &str| {
            format!("operation: {{abandoned: {{because: \"{because}\"}}, toes: {{L1: {{nail: none}}}}}}")
        };
        assert!(paths(&RULE, &given_up("fainted after the injection")).is_empty());
        assert_eq!(paths(&RULE, &given_up(" ")), ["plan.L1"]);
    }

    #[test]
    fn before_the_operation_nothing_is_late() {
        assert!(paths(&RULE, "{plan: {R1: {nail: total, matrix: none}}, operation: ~}").is_empty());
    }

    #[test]
    fn an_empty_reason_is_no_reason() {
        let given = |reason: &str| {
            format!(
                "{{plan: {{L1: {{edges: [lateral, medial]}}}},\n operation: {{not_done: {{L1: \"{reason}\"}}}}}}"
            )
        };
        assert!(paths(&RULE, &given("medial edge had settled")).is_empty());
        assert_eq!(paths(&RULE, &given("")).len(), 1);
    }
}
