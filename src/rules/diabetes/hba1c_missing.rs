//! Diabetes without an HbA1c.

use super::diabetes;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "hba1c-missing",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "no HbA1c is recorded for a patient with diabetes",
    why: "How well the blood sugar is controlled decides how well the toe heals.",
    cite: Cite::adapts(
        &sources::diabetes::JBDS_SURGERY,
        "below 69 mmol/mol before referral, if safe to achieve",
        "written for elective surgery in hospital; asking for the result before nail surgery is ours",
    ),
    limits: "Does not know whether the practice holds a result.",
    example: Example {
        bad: "history: {diabetes: {type: 2}}",
        good: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    match diabetes(facts) {
        Some(diabetes) if diabetes.hba1c.is_none() => vec![
            Finding::at("history.diabetes")
                .says("diabetes without an HbA1c")
                .fix("enter `hba1c` and `tested`, or say under `accepted` why there is no result"),
        ],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_diabetes_without_a_result_is_reported() {
        assert_eq!(paths(&RULE, "history: {diabetes: {type: 1}}"), ["history.diabetes"]);
        assert!(paths(&RULE, "history: {diabetes: {type: 1, hba1c: 7 %}}").is_empty());
        assert!(paths(&RULE, "history: {diabetes: none}").is_empty());
        assert!(paths(&RULE, "history: {diabetes: ~}").is_empty());
    }
}
