//! An operation without recorded consent. Whether the consent was valid is not judged here.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "consent-missing",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "consent-form", "candour-letter"]),
    title: "the operation has no recorded consent",
    why: "The operation note states that consent was taken. Without its day and without who gave it that \
          statement would be empty.",
    cite: Cite::states(&sources::consent::HCPC_STANDARDS, "1.4"),
    limits: "Sees only what is recorded here: a signed paper form that was not entered is not known.",
    example: Example { bad: "consent: ~", good: "consent: {signed: 2026-11-20, by: patient}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let operated = format!("operated on {}", operation.date.clinical());
    let missing = |path: &str, says: &str, fix: &str| {
        Finding::at(path).says(says).see("operation.date", operated.clone()).fix(fix)
    };
    let Some(consent) = &facts.case.consent else {
        return vec![missing(
            "consent",
            "there is no `consent` block",
            "record the day on which the form was signed and who gave consent",
        )];
    };
    let mut findings = Vec::new();
    if consent.signed.is_none() {
        findings.push(missing(
            "consent.signed",
            "the day on which consent was signed is missing",
            "write the date on the form as `signed`",
        ));
    }
    if consent.by.is_none() {
        findings.push(missing(
            "consent.by",
            "who gave consent is missing",
            "write `by: patient`, `by: guardian` or `by: best interests`",
        ));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_missing_part_is_named() {
        assert_eq!(paths(&RULE, "consent: ~"), ["consent"]);
        assert_eq!(paths(&RULE, "consent: {signed: ~}"), ["consent.signed"]);
        assert_eq!(paths(&RULE, "consent: {signed: ~, by: ~}"), ["consent.signed", "consent.by"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn before_the_operation_consent_may_still_be_open() {
        assert!(paths(&RULE, "{consent: ~, operation: ~}").is_empty());
    }
}
