//! A body mass that can hardly be this patient's. Mass and height in each other's place are another rule's.

use super::held_against;
use crate::clinical::Cite;
use crate::clinical::sources::anaesthetic::GROWTH_LMS;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "mass-implausible",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet"]),
    title: "the body mass is unlikely for this patient",
    why: "Dose limits grow with the mass: one that was typed too high, or in pounds, allows too much \
          anaesthetic and too much paracetamol.",
    cite: Cite::adapts(
        &GROWTH_LMS,
        "LMS table of weight",
        "the centiles follow from the table; a caution outside the 0.4th and 99.6th, a stop outside 4 standard \
         deviations, and the limits for adults are ours",
    ),
    limits: "Several in a hundred children lie above the highest centile, and each is asked about once. Between \
             birthdays the ranges are interpolated. Below one year nothing is said. In an adult only 35 to 200 kg \
             and a body mass index of 14 to 60 are looked at, and above 40 whether the number makes sense in pounds.",
    example: Example {
        bad: "patient: {born: 2019-11-24, sex: male, weight: 73 kg, height: 122 cm}",
        good: "patient: {born: 2019-11-24, sex: male, weight: 23 kg, height: 122 cm}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(mass) = facts.case.patient.mass() else { return Vec::new() };
    let Some(doubt) = &facts.derived.body_size.mass else { return Vec::new() };
    let meant: String =
        doubt.meant.iter().map(|(unit, kg)| format!("if these are {unit}, write `{kg}`; ")).collect();
    let weight = if doubt.is_gross { Severity::Stop } else { Severity::Caution };
    vec![
        Finding::at("patient.weight")
            .says(held_against(&mass.to_string(), doubt.against, "kg"))
            .fix(format!("look at the mass again: {meant}if it is right, say so under `accepted`"))
            .weighs(weight),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says, weights};

    const BOY: &str = "born: 2019-11-24, sex: male, height: ~";

    #[test]
    fn beyond_the_centile_is_a_caution_and_beyond_4_deviations_a_stop() {
        let boy = |kg: &str| format!("patient: {{{BOY}, weight: {kg} kg}}");
        assert!(paths(&RULE, &boy("35.5")).is_empty());
        assert_eq!(weights(&RULE, &boy("35.6")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &boy("51.9")), [Severity::Stop]);
        assert_eq!(
            says(&RULE, &boy("35.6")),
            ["35.6 kg, where the 0.4th to 99.6th centile at this age is 16.8 to 35.5 kg"]
        );
        assert_eq!(
            says(&RULE, &boy("51.9")),
            ["51.9 kg, where 4 standard deviations either way at this age are 13.9 to 51.8 kg"]
        );
    }

    #[test]
    fn other_units_are_offered_where_they_make_sense() {
        let fix = |patient: &str| {
            let found = findings(&RULE, &format!("patient: {{{patient}}}"));
            found[0].fix.clone().unwrap_or_default()
        };
        assert!(fix(&format!("{BOY}, weight: 73 kg")).contains("if these are pounds, write `33.1 kg`"));
        assert!(fix("height: 170 cm, weight: 150 kg").contains("if these are pounds, write `68 kg`"));
        assert!(fix("height: ~, weight: 11 kg").contains("if these are stones, write `69.9 kg`"));
        assert!(!fix(&format!("{BOY}, weight: 36 kg")).contains("if these are"));
    }
}
