//! Phenol planned and not used, or used and not planned. Toes, edges and nail are the topic "correct site".

use crate::anatomy::Matrix;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::{Facts, PlanAndDone};
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-not-as-planned",
    topic: Topic::Phenol,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "phenol was not used as planned",
    why: "Phenol stops that part of the nail growing for good, so it is part of what the patient agrees to. \
          Without it the nail is likelier to come back, and the patient should be told.",
    cite: Cite::adapts(
        &sources::consent::HCPC_STANDARDS,
        "1.4",
        "the source asks for valid consent before treatment; comparing the plan for the matrix is ours",
    ),
    limits: "Phenol without a plan for it is a stop unless `agreed_on_day` says how the patient agreed. \
             Phenol left out is a caution unless `not_done` gives the reason for this toe. Neither text is \
             judged.",
    example: Example { bad: "plan: {L1: {matrix: none}}", good: "plan: {L1: {matrix: phenol}}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for PlanAndDone { toe, plan, operated, not_done, .. } in facts.operated_with_plan() {
        // A planned toe of which nothing was removed is `planned-not-done`.
        let (Some(plan), Some(done)) = (plan, operated) else { continue };
        let has_reason = !is_blank(Some(not_done));
        let has_agreed = !is_blank(done.agreed_on_day.as_deref());
        match (plan.matrix, &done.phenol) {
            (Matrix::None, Some(_)) if !has_agreed => findings.push(
                Finding::at(format!("operation.toes.{toe}.phenol"))
                    .says(format!("phenol was used on {toe}"))
                    .see(format!("plan.{toe}.matrix"), "planned without phenol")
                    .fix(format!(
                        "correct the plan, or write under `operation.toes.{toe}.agreed_on_day` how the \
                         patient agreed before it was done; if they had not agreed, record it under \
                         `incidents`"
                    )),
            ),
            (Matrix::Phenol, None) if !has_reason => findings.push(
                Finding::at(format!("plan.{toe}.matrix"))
                    .says(format!("phenol was planned for {toe}"))
                    .see(format!("operation.toes.{toe}"), "no phenol is recorded here")
                    .fix(format!(
                        "enter the phenol, or write under `operation.not_done.{toe}` why it was left out"
                    ))
                    .weighs(Severity::Caution),
            ),
            _ => {}
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn phenol_without_a_plan_is_a_stop_unless_agreed() {
        assert_eq!(weights(&RULE, "plan: {L1: {matrix: none}}"), [Severity::Stop]);
        let agreed = "{plan: {L1: {matrix: none}}, operation: {toes: {L1: {agreed_on_day: by mouth}}}}";
        assert!(paths(&RULE, agreed).is_empty());
    }

    #[test]
    fn phenol_left_out_is_a_caution_unless_explained() {
        let left_out = "operation: {toes: {L1: {phenol: ~}}}";
        assert_eq!(paths(&RULE, left_out), ["plan.L1.matrix"]);
        assert_eq!(weights(&RULE, left_out), [Severity::Caution]);
        let explained = "operation: {toes: {L1: {phenol: ~}}, not_done: {L1: field would not stay dry}}";
        assert!(paths(&RULE, explained).is_empty());
    }

    #[test]
    fn as_planned_passes_with_and_without_phenol() {
        assert!(paths(&RULE, "").is_empty());
        let without = "{plan: {L1: {matrix: none}}, operation: {toes: {L1: {phenol: ~}}}}";
        assert!(paths(&RULE, without).is_empty());
    }
}
