//! An INR too old to speak for the day of surgery. A test after surgery is `dates-out-of-order`.

use super::{VITAMIN_K_ANTAGONIST, taken};
use crate::clinical::{Cite, sources};
use crate::diagnostic::english::Count;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Days for which a result speaks: 72 hours.
const DAYS: i64 = 3;

pub(super) static RULE: Rule = Rule {
    name: "inr-old",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "the INR is older than 72 hours",
    why: "The effect of warfarin changes with food, illness and other medicines. An older result may no \
          longer hold.",
    cite: Cite::from_memory(
        &sources::advice::SDCEP_ANTICOAGULANTS,
        "warfarin: INR within 24 hours, or 72 hours if stable",
    ),
    limits: "Counts days, not hours: a test 3 days before surgery passes at any time of day. Does not know \
             whether the INR has been stable; if not, 24 hours is the figure.",
    example: Example {
        bad: "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-20}}",
        good: "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-21}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(inr) = facts.case.history.as_ref().and_then(|history| history.inr.as_ref()) else {
        return Vec::new();
    };
    let age = inr.tested.days_until(facts.day());
    if age <= DAYS || taken(facts, VITAMIN_K_ANTAGONIST).next().is_none() {
        return Vec::new();
    }
    let days = Count(usize::try_from(age).unwrap_or(0), "day");
    let when = if facts.case.operation.is_some() { "before surgery" } else { "ago" };
    let finding = Finding::at("history.inr.tested")
        .says(format!("tested {}, {days} {when}; a result speaks for 72 hours", inr.tested.clinical()))
        .fix("enter the last result before surgery, or say under `accepted` why this one is enough");
    vec![match facts.case.operation {
        Some(_) => finding.see("operation.date", format!("operated on {}", facts.day().clinical())),
        None => finding,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn tested(medicine: &str, date: &str) -> String {
        format!("history: {{medicines: [{medicine}], inr: {{value: 2.5, tested: {date}}}}}")
    }

    #[test]
    fn three_days_pass_and_four_do_not() {
        assert!(paths(&RULE, &tested("warfarin", "2026-11-21")).is_empty());
        assert_eq!(
            says(&RULE, &tested("warfarin", "2026-11-20")),
            ["tested 20-Nov-2026, 4 days before surgery; a result speaks for 72 hours"]
        );
    }

    #[test]
    fn before_surgery_today_counts() {
        let planned = |date: &str| format!("{{operation: ~, {}}}", tested("warfarin", date));
        assert!(paths(&RULE, &planned("2026-11-22")).is_empty());
        assert_eq!(paths(&RULE, &planned("2026-11-21")), ["history.inr.tested"]);
    }

    #[test]
    fn without_warfarin_its_age_does_not_matter() {
        assert!(paths(&RULE, &tested("apixaban", "2020-01-01")).is_empty());
    }
}
