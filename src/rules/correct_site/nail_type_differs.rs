//! A total avulsion instead of a partial one, or the other way round. Edges are other rules' business.

use crate::anatomy::Nail;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::{Facts, PlanAndDone};
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "nail-type-differs",
    topic: Topic::CorrectSite,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "the nail was removed in another way than planned",
    why: "Losing the whole nail is more than losing a strip of it, and the patient agreed to one of the two. \
          It may also mean that the plan or the note has a slip.",
    cite: Cite::adapts(
        &sources::consent::HCPC_STANDARDS,
        "1.4",
        "the source asks for valid consent before treatment; comparing partial and total is ours",
    ),
    limits: "Where more was done than planned, `agreed_on_day` answers it. Where less was done it is a \
             caution.",
    example: Example {
        bad: "operation: {toes: {L1: {nail: total}}}",
        good: r#"operation: {toes: {L1: {nail: total,
  agreed_on_day: "nail split across; total avulsion agreed before injection"}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for PlanAndDone { toe, plan, operated, .. } in facts.operated_with_plan() {
        // A toe that is not planned at all is `toe-not-planned`.
        let (Some(plan), Some(done)) = (plan, operated) else { continue };
        let agreed = !is_blank(done.agreed_on_day.as_deref());
        let (severity, fix) = match (plan.nail, done.nail) {
            (Nail::Partial, Nail::Total) if !agreed => (
                Severity::Stop,
                format!(
                    "correct `nail`, or write under `operation.toes.{toe}.agreed_on_day` how the patient \
                     agreed before it was done; if they had not agreed, record it under `incidents`"
                ),
            ),
            (Nail::Total, Nail::Partial) => {
                (Severity::Caution, "correct `nail`, or say under `accepted` why less was removed".into())
            }
            _ => continue,
        };
        findings.push(
            Finding::at(format!("operation.toes.{toe}.nail"))
                .says(format!("{} avulsion of {toe}", done.nail.word()))
                .see(format!("plan.{toe}.nail"), format!("{} avulsion was planned", plan.nail.word()))
                .fix(fix)
                .weighs(severity),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn more_than_planned_needs_agreement_on_the_day() {
        let total = "operation: {toes: {L1: {nail: total}}}";
        assert_eq!(paths(&RULE, total), ["operation.toes.L1.nail"]);
        assert_eq!(weights(&RULE, total), [Severity::Stop]);
        assert!(paths(&RULE, "operation: {toes: {L1: {nail: total, agreed_on_day: by mouth}}}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn less_than_planned_is_a_caution() {
        let less = "{plan: {L1: {nail: total}}, operation: {toes: {L1: {agreed_on_day: by mouth}}}}";
        assert_eq!(paths(&RULE, less), ["operation.toes.L1.nail"]);
        assert_eq!(weights(&RULE, less), [Severity::Caution]);
    }
}
