//! Consent signed on an earlier day and not confirmed on the day of surgery.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "consent-not-confirmed",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "consent was not confirmed on the day of surgery",
    why: "Where the form was signed on an earlier day, the patient is asked again before surgery whether \
          anything has changed and whether they still agree.",
    cite: Cite::from_memory(&sources::consent::CONSENT_FORM_3, "confirmation of consent"),
    limits: "Sees only whether a confirmation is recorded, not whether it was asked for.",
    example: Example { bad: "consent: {confirmed: ~}", good: "consent: {confirmed: 2026-11-24}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let (Some(consent), Some(operation)) = (&facts.case.consent, &facts.case.operation) else {
        return Vec::new();
    };
    let Some(signed) = consent.signed else { return Vec::new() };
    // A confirmation after the day is `consent-after-operation`.
    if signed >= operation.date || consent.confirmed.is_some_and(|day| day >= operation.date) {
        return Vec::new();
    }
    let finding = match consent.confirmed {
        Some(day) => Finding::at("consent.confirmed")
            .says(format!("confirmed on {}, not on the day of surgery", day.clinical())),
        None => Finding::at("consent.signed")
            .says(format!("signed on {}, not confirmed on the day of surgery", signed.clinical())),
    };
    vec![
        finding
            .see("operation.date", format!("operated on {}", operation.date.clinical()))
            .fix("if it was confirmed, write the day as `consent.confirmed`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn the_day_of_surgery_passes_and_the_day_before_does_not() {
        assert!(paths(&RULE, "consent: {confirmed: 2026-11-24}").is_empty());
        assert_eq!(paths(&RULE, "consent: {confirmed: 2026-11-23}"), ["consent.confirmed"]);
        assert_eq!(
            says(&RULE, "consent: {confirmed: ~}"),
            ["signed on 20-Nov-2026, not confirmed on the day of surgery"]
        );
    }

    #[test]
    fn a_form_signed_on_the_day_needs_no_confirmation() {
        assert!(paths(&RULE, "consent: {signed: 2026-11-24, confirmed: ~}").is_empty());
    }
}
