//! Blood sugar that has been too high for elective surgery.

use rust_decimal::Decimal;

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// HbA1c in mmol/mol from which surgery needs a second look, where the clinic does not set its own.
const USUAL_LIMIT: u16 = 69;

pub(super) static RULE: Rule = Rule {
    name: "hba1c-high",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "HbA1c is high for elective surgery",
    why: "High blood sugar slows healing and makes infection likelier. Surgery that can wait may be better \
          after treatment.",
    cite: Cite::adapts(
        &sources::diabetes::JBDS_SURGERY,
        "below 69 mmol/mol before referral, if safe to achieve",
        "written for elective surgery in hospital; no number for nail surgery was found",
    ),
    limits: "The number is not strongly supported by evidence. The clinic may replace it under \
             `limits.hba1c`. A result in % is converted once. HbA1c misleads in anaemia and in some forms \
             of haemoglobin.",
    example: Example {
        bad: "history: {diabetes: {type: 2, hba1c: 69 mmol/mol, tested: 2026-10-02}}",
        good: "history: {diabetes: {type: 2, hba1c: 68 mmol/mol, tested: 2026-10-02}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(both) = facts.derived.hba1c.get() else { return Vec::new() };
    let local = facts.clinic.limits.hba1c.as_ref();
    let limit = local.map_or(USUAL_LIMIT, |local| local.limit);
    if both.mmol_per_mol < Decimal::from(limit) {
        return Vec::new();
    }
    let whose = match local {
        Some(local) => format!("the clinic's own limit is {limit} mmol/mol: {}", local.because),
        None => format!("{limit} mmol/mol or more is high before surgery"),
    };
    let (mmol_per_mol, percent) = (both.mmol_per_mol.normalize(), both.percent);
    vec![
        Finding::at("history.diabetes.hba1c")
            .says(format!("HbA1c {mmol_per_mol} mmol/mol ({percent} %); {whose}"))
            .fix("say under `accepted` why surgery does not wait, or correct the result"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn result(hba1c: &str) -> String {
        format!("history: {{diabetes: {{type: 2, hba1c: {hba1c}}}}}")
    }

    #[test]
    fn sixty_nine_is_high_and_sixty_eight_is_not() {
        assert!(paths(&RULE, &result("68 mmol/mol")).is_empty());
        assert_eq!(
            says(&RULE, &result("69 mmol/mol")),
            ["HbA1c 69 mmol/mol (8.5 %); 69 mmol/mol or more is high before surgery"]
        );
    }

    #[test]
    fn a_result_in_percent_is_judged_in_mmol_per_mol() {
        assert!(paths(&RULE, &result("8.4 %")).is_empty());
        assert_eq!(paths(&RULE, &result("8.5 %")), ["history.diabetes.hba1c"]);
    }

    #[test]
    fn the_clinic_sets_its_own_limit() {
        let local = |hba1c: &str| {
            format!("{{clinic: {{limits: {{hba1c: {{limit: 75, because: audit}}}}}}, {}}}", result(hba1c))
        };
        assert!(paths(&RULE, &local("74 mmol/mol")).is_empty());
        assert_eq!(
            says(&RULE, &local("75 mmol/mol")),
            ["HbA1c 75 mmol/mol (9.0 %); the clinic's own limit is 75 mmol/mol: audit"]
        );
    }

    #[test]
    fn no_diabetes_and_no_result_raise_nothing() {
        assert!(paths(&RULE, "").is_empty());
        assert!(paths(&RULE, "history: {diabetes: {type: 1}}").is_empty());
    }
}
