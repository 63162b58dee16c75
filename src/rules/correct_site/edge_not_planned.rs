//! An edge was removed that the plan for this toe does not name, without the patient's agreement on the day.

use crate::anatomy::Nail;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::{Facts, PlanAndDone, covers};
use crate::rules::words::{is_blank, removal};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "edge-not-planned",
    topic: Topic::CorrectSite,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::All,
    title: "an edge was removed that was not planned",
    why: "Consent was given for the planned edge. A second edge makes the nail narrower for good, and the \
          wrong edge leaves the complaint where it was.",
    cite: Cite::adapts(
        &sources::consent::HCPC_STANDARDS,
        "1.4",
        "the source asks for valid consent before treatment; comparing edge by edge is ours",
    ),
    limits: "Is silent where `agreed_on_day` says how the patient agreed; it cannot judge that agreement. \
             Nail removed in total instead of in part is reported by `nail-type-differs`.",
    example: Example {
        bad: "operation: {toes: {L1: {edges: [medial]}}}",
        good: r#"operation: {toes: {L1: {edges: [medial, lateral],
  agreed_on_day: "medial edge also ingrown; agreed before injection"}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for PlanAndDone { toe, plan, operated, .. } in facts.operated_with_plan() {
        // A toe that is not planned at all is `toe-not-planned`.
        let (Some(plan), Some(done)) = (plan, operated) else { continue };
        // A plan without an edge is `edge-not-named`.
        let names_no_edge = plan.nail == Nail::Partial && plan.edges.is_empty();
        if names_no_edge || !is_blank(done.agreed_on_day.as_deref()) {
            continue;
        }
        for (at, edge) in done.edges.iter().enumerate() {
            // A total avulsion has no edges to compare.
            if done.nail == Nail::Total || covers(plan.nail, &plan.edges, *edge) {
                continue;
            }
            findings.push(
                Finding::at(format!("operation.toes.{toe}.edges[{at}]"))
                    .says(format!("the {} edge of {toe} was removed", edge.word()))
                    .see(format!("plan.{toe}"), format!("planned: {}", removal(plan.nail, &plan.edges)))
                    .fix(format!(
                        "correct the edge, or write under `operation.toes.{toe}.agreed_on_day` how the \
                         patient agreed before it was done; if they had not agreed, record it under \
                         `incidents`"
                    )),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn only_the_edge_that_is_not_planned_is_found() {
        let both = "operation: {toes: {L1: {edges: [lateral, medial]}}}";
        assert_eq!(paths(&RULE, both), ["operation.toes.L1.edges[1]"]);
        assert_eq!(says(&RULE, both), ["the medial edge of L1 was removed"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn a_plan_without_an_edge_is_another_rules_business() {
        assert!(paths(&RULE, "plan: {L1: {edges: []}}").is_empty());
    }

    #[test]
    fn agreement_must_say_something() {
        let agreed = |words: &str| {
            format!("operation: {{toes: {{L1: {{edges: [medial], agreed_on_day: \"{words}\"}}}}}}")
        };
        assert!(paths(&RULE, &agreed("agreed before injection")).is_empty());
        assert_eq!(paths(&RULE, &agreed(" ")).len(), 1);
    }

    #[test]
    fn a_planned_total_avulsion_covers_both_edges() {
        let total = "{plan: {L1: {nail: total}}, operation: {toes: {L1: {edges: [medial]}}}}";
        assert!(paths(&RULE, total).is_empty());
    }
}
