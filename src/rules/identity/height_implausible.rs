//! A height that can hardly be this patient's. Mass and height in each other's place are another rule's.

use super::held_against;
use crate::clinical::Cite;
use crate::clinical::sources::anaesthetic::GROWTH_LMS;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "height-implausible",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note"]),
    title: "the height is unlikely for this patient",
    why: "The ideal body weight is worked out from the height, and dose limits may hang on it.",
    cite: Cite::adapts(
        &GROWTH_LMS,
        "LMS table of height",
        "the centiles follow from the table; a caution outside the 0.4th and 99.6th, a stop outside 4 standard \
         deviations, and 120 to 215 cm for adults are ours",
    ),
    limits: "Conditions that keep a person small or make one tall are not known: the height is then confirmed \
             once. Between birthdays the ranges are interpolated. Below one year nothing is said.",
    example: Example { bad: "patient: {height: 68 cm}", good: "patient: {height: 172.7 cm}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(height) = facts.case.patient.stature() else { return Vec::new() };
    let Some(doubt) = &facts.derived.body_size.height else { return Vec::new() };
    let meant: String =
        doubt.meant.iter().map(|(unit, cm)| format!("if these are {unit}, write `{cm}`; ")).collect();
    let weight = if doubt.is_gross { Severity::Stop } else { Severity::Caution };
    vec![
        Finding::at("patient.height")
            .says(held_against(&height.to_string(), doubt.against, "cm"))
            .fix(format!("look at the height again: {meant}if it is right, say so under `accepted`"))
            .weighs(weight),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says, weights};

    #[test]
    fn beyond_the_centile_is_a_caution_and_beyond_4_deviations_a_stop() {
        let girl =
            |cm: &str| format!("patient: {{born: 2014-11-24, sex: female, weight: ~, height: {cm} cm}}");
        assert!(paths(&RULE, &girl("168.7")).is_empty());
        assert_eq!(weights(&RULE, &girl("168.8")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &girl("178.3")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &girl("119.5")), [Severity::Stop]);
    }

    #[test]
    fn an_adults_inches_are_offered_in_centimetres() {
        let found = findings(&RULE, "patient: {height: 68 cm}");
        assert!(
            found[0].fix.as_ref().is_some_and(|fix| fix.contains("if these are inches, write `172.7 cm`"))
        );
        assert_eq!(
            says(&RULE, "patient: {height: 68 cm}"),
            ["68 cm, where 120 to 215 cm are not asked about in an adult"]
        );
    }
}
