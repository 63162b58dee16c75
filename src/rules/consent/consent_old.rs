//! Consent signed long before surgery.

use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

pub(super) static RULE: Rule = Rule {
    name: "consent-old",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "consent was signed long before surgery",
    why: "Health, medicines and wishes change. What was agreed long ago should be gone through again.",
    cite: Cite::project_default(
        "no published limit was found; 6 months unless the clinic sets `consent_months`",
    ),
    limits: "Counts calendar months from signing to surgery, or to today before surgery. Confirmation on \
             the day does not silence it: it may be the answer under `accepted`.",
    example: Example { bad: "consent: {signed: 2026-05-23}", good: "consent: {signed: 2026-05-24}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(signed) = facts.case.consent.as_ref().and_then(|consent| consent.signed) else {
        return Vec::new();
    };
    let set = facts.clinic.protocol.consent_months;
    let months = set.unwrap_or_else(|| Threshold::ConsentOldAfter.whole());
    if facts.day() <= signed.plus_months(months) {
        return Vec::new();
    }
    let days = Count(usize::try_from(signed.days_until(facts.day())).unwrap_or(0), "day");
    let limit = Count(usize::try_from(months).unwrap_or(0), "month");
    let whose = if set.is_some() { "the clinic's limit" } else { "the usual limit" };
    let when = if facts.case.operation.is_some() { "before surgery" } else { "ago" };
    let finding = Finding::at("consent.signed")
        .says(format!("signed {}, {days} {when}; {whose} is {limit}", signed.clinical()))
        .fix(
            "go through the consent again and enter the new form, or say under `accepted` how it was renewed",
        );
    vec![match facts.case.operation {
        Some(_) => finding.see("operation.date", format!("operated on {}", facts.day().clinical())),
        None => finding,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn six_months_to_the_day_pass() {
        assert!(paths(&RULE, "consent: {signed: 2026-05-24}").is_empty());
        assert_eq!(paths(&RULE, "consent: {signed: 2026-05-23}"), ["consent.signed"]);
    }

    #[test]
    fn the_clinic_sets_its_own_limit() {
        let three = |signed: &str| {
            format!("{{clinic: {{protocol: {{consent_months: 3}}}}, consent: {{signed: {signed}}}}}")
        };
        assert!(paths(&RULE, &three("2026-08-24")).is_empty());
        assert_eq!(
            says(&RULE, &three("2026-08-23")),
            ["signed 23-Aug-2026, 93 days before surgery; the clinic's limit is 3 months"]
        );
    }

    #[test]
    fn without_a_limit_of_the_clinic_six_months_hold() {
        let unset = |signed: &str| {
            format!("{{clinic: {{protocol: {{consent_months: ~}}}}, consent: {{signed: {signed}}}}}")
        };
        assert!(paths(&RULE, &unset("2026-05-24")).is_empty());
        assert_eq!(paths(&RULE, &unset("2026-05-23")).len(), 1);
    }

    #[test]
    fn before_surgery_today_counts() {
        assert!(paths(&RULE, "{operation: ~, consent: {signed: 2026-05-25}}").is_empty());
        assert_eq!(
            says(&RULE, "{operation: ~, consent: {signed: 2026-05-24}}"),
            ["signed 24-May-2026, 185 days ago; the clinic's limit is 6 months"]
        );
    }
}
