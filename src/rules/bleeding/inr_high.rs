//! An INR at which a toe bleeds too much.

use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::derive::InrBand;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "inr-high",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
    ]),
    title: "the INR is high for surgery",
    why: "Over 3.5 skin surgery is best put off. From 4.0 even a tooth is not taken out: treatment waits, or goes \
          to hospital if it cannot.",
    cite: Cite::adapts(
        &sources::advice::ANTICOAGULANT_SKIN,
        "INR over 3.5",
        "the stop from 4.0 is that of guidance on dental treatment (SDCEP 2022); using both numbers \
         for nail surgery is ours",
    ),
    limits: "No number made for nail surgery was found. Judges the INR whatever medicine is taken.",
    example: Example {
        bad: "history: {medicines: [warfarin], inr: {value: 3.6, tested: 2026-11-23}}",
        good: "history: {medicines: [warfarin], inr: {value: 3.5, tested: 2026-11-23}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(inr) = facts.derived.bleeding_risk.inr else { return Vec::new() };
    let (severity, how, fix) = match inr.band {
        InrBand::Usual => return Vec::new(),
        InrBand::Raised => (
            Severity::Caution,
            format!("over {}", Threshold::InrRaisedOver.number()),
            "say under `accepted` why surgery does not wait and on whose advice, or correct the result",
        ),
        InrBand::TooHigh => (
            Severity::Stop,
            format!("{} or more", Threshold::InrTooHighFrom.number()),
            "put surgery off until the INR has come down, and refer if it cannot wait; or correct the result",
        ),
    };
    vec![
        Finding::at("history.inr.value")
            .says(format!("INR {} on {}, {how}", inr.value, inr.tested.clinical()))
            .fix(fix)
            .weighs(severity),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{says, weights};

    fn inr(value: &str) -> String {
        format!("history: {{medicines: [warfarin], inr: {{value: {value}, tested: 2026-11-23}}}}")
    }

    #[test]
    fn three_and_a_half_passes_and_four_is_a_stop() {
        assert_eq!(weights(&RULE, &inr("3.5")), []);
        assert_eq!(weights(&RULE, &inr("\"3.51\"")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &inr("3.9")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &inr("4.0")), [Severity::Stop]);
        assert_eq!(says(&RULE, &inr("4.1")), ["INR 4.1 on 23-Nov-2026, 4.0 or more"]);
        assert_eq!(says(&RULE, &inr("3.9")), ["INR 3.9 on 23-Nov-2026, over 3.5"]);
    }
}
