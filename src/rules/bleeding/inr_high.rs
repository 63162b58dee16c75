//! An INR at which a toe bleeds too much.

use rust_decimal::Decimal;

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The INR up to which nothing is said: 3.5.
const CAUTION_OVER: Decimal = Decimal::from_parts(35, 0, 0, false, 1);
/// The INR up to which a caution is enough: 4.0.
const STOP_OVER: Decimal = Decimal::from_parts(40, 0, 0, false, 1);

pub(super) static RULE: Rule = Rule {
    name: "inr-high",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "the INR is high for surgery",
    why: "Over 3.5 skin surgery is best put off; over 4.0 even small wounds of the mouth are not reported as \
          safe.",
    cite: Cite::adapts(
        &sources::advice::ANTICOAGULANT_SKIN,
        "INR over 3.5",
        "the stop over 4.0 rests on minor oral surgery (J Oral Sci 2007;49:253); using both numbers for nail \
         surgery is ours",
    ),
    limits: "No number made for nail surgery was found. Judges the INR whatever medicine is taken.",
    example: Example {
        bad: "history: {medicines: [warfarin], inr: {value: 3.6, tested: 2026-11-23}}",
        good: "history: {medicines: [warfarin], inr: {value: 3.5, tested: 2026-11-23}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(inr) = facts.case.history.as_ref().and_then(|history| history.inr.as_ref()) else {
        return Vec::new();
    };
    let (severity, bound, fix) = if STOP_OVER < inr.value {
        (Severity::Stop, STOP_OVER, "put surgery off until the INR has come down, or correct the result")
    } else if CAUTION_OVER < inr.value {
        let fix = "say under `accepted` why surgery does not wait and on whose advice, or correct the result";
        (Severity::Caution, CAUTION_OVER, fix)
    } else {
        return Vec::new();
    };
    vec![
        Finding::at("history.inr.value")
            .says(format!("INR {} on {}, over {bound}", inr.value, inr.tested.clinical()))
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
    fn three_and_a_half_passes_and_four_is_a_caution() {
        assert_eq!(weights(&RULE, &inr("3.5")), []);
        assert_eq!(weights(&RULE, &inr("\"3.51\"")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &inr("4.0")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &inr("4.1")), [Severity::Stop]);
        assert_eq!(says(&RULE, &inr("4.1")), ["INR 4.1 on 23-Nov-2026, over 4.0"]);
    }
}
