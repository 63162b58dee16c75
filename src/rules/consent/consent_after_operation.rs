//! Consent dated after the operation. Missing consent is `consent-missing`.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

pub(super) static RULE: Rule = Rule {
    name: "consent-after-operation",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "consent-form", "candour-letter"]),
    title: "consent is dated after the operation",
    why: "A form signed after the operation does not show that the patient agreed before it.",
    cite: Cite::states(&sources::consent::HCPC_STANDARDS, "1.4: consent before treatment"),
    limits: "Judges the order of the days only. On the day itself it does not know which came first.",
    example: Example { bad: "consent: {signed: 2026-11-25}", good: "consent: {signed: 2026-11-24}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let (Some(consent), Some(operation)) = (&facts.case.consent, &facts.case.operation) else {
        return Vec::new();
    };
    [("signed", consent.signed), ("confirmed", consent.confirmed)]
        .into_iter()
        .filter_map(|(key, date)| {
            let days = usize::try_from(operation.date.days_until(date?)).ok().filter(|days| *days > 0)?;
            Some(
                Finding::at(format!("consent.{key}"))
                    .says(format!("{key} {} after the operation", Count(days, "day")))
                    .see("operation.date", format!("operated on {}", operation.date.clinical()))
                    .fix("correct the date that was written wrongly"),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn the_day_before_and_the_same_day_pass() {
        assert!(paths(&RULE, "consent: {signed: 2026-11-23}").is_empty());
        assert!(paths(&RULE, "consent: {signed: 2026-11-24}").is_empty());
        assert_eq!(says(&RULE, "consent: {signed: 2026-11-25}"), ["signed 1 day after the operation"]);
    }

    #[test]
    fn confirmation_is_looked_at_too() {
        assert_eq!(paths(&RULE, "consent: {confirmed: 2026-11-26}"), ["consent.confirmed"]);
    }
}
