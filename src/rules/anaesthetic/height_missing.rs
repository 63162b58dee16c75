//! A dose that would be over its limit if the patient were obese, and no height to tell.

use rust_decimal::Decimal;

use super::pointed_at_dose;
use crate::clinical::{Cite, sources};
use crate::derive::share_in_percent;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "height-missing",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "without a height it is not known whether the dose limit is lower",
    why: "In obesity the limit is worked out for the ideal mass, which needs the height. Fat takes up no \
          anaesthetic that could then be spared.",
    cite: Cite::adapts(
        &sources::anaesthetic::BNF,
        "local anaesthesia, doses at extremes of body-weight",
        "ideal body weight is asked for in obesity; asking for the height only where it can matter is ours",
    ),
    limits: "Speaks only where the dose given would be above the limit of an adult of 5 ft, or of a child \
             of the median mass of the age. Where the dose is over its limit in any case, `dose-over-limit` \
             speaks.",
    example: Example {
        bad: "{patient: {weight: 90 kg, height: ~}, operation: {toes: {L1: {injected: 7 ml}}}}",
        good: "{patient: {weight: 90 kg, height: 171 cm}, operation: {toes: {L1: {injected: 7 ml}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((mass, share)) = facts.derived.without_height else { return Vec::new() };
    let is_within = facts.derived.anaesthetic_share.get().is_some_and(|share| *share <= Decimal::ONE);
    if share <= Decimal::ONE || !is_within {
        return Vec::new();
    }
    let agents: Vec<_> = facts.derived.agents.iter().collect();
    vec![
        pointed_at_dose(facts, &agents)
            .says(format!("this dose would be {} of the limit at {mass}", share_in_percent(share)))
            .fix("measure the height, and write it like `171 cm` under `patient.height`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// 4.4 mg/kg × 45.5 kg are 200 mg: 6.66 ml of 3 % are 199.8 mg.
    #[test]
    fn only_a_dose_that_could_be_too_much_needs_the_height() {
        let injected = |volume: &str| {
            format!(
                "{{patient: {{weight: 90 kg, height: ~}}, operation: {{toes: {{L1: {{injected: {volume} ml}}}}}}}}"
            )
        };
        assert!(paths(&RULE, &injected("6.66")).is_empty());
        assert_eq!(says(&RULE, &injected("6.7")), ["this dose would be 100.5 % of the limit at 45.5 kg"]);
        assert!(paths(&RULE, &injected("10.1")).is_empty(), "over the limit in any case");
    }

    /// Girls of 8 have a median of 25.9 kg: 3 mg/kg are 77 mg, 2.5 ml of 3 % are 75 mg.
    #[test]
    fn a_child_is_compared_with_the_median_of_the_age() {
        let girl = |volume: &str| {
            format!(
                "{{patient: {{born: 2018-03-01, weight: 40 kg, height: ~}}, \
                 operation: {{toes: {{L1: {{injected: {volume} ml}}}}}}}}"
            )
        };
        assert!(paths(&RULE, &girl("2.5")).is_empty());
        assert_eq!(paths(&RULE, &girl("2.6")), ["operation.toes.L1.injected"]);
    }
}
