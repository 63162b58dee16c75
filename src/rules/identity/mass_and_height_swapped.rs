//! Mass and height in each other's place. Either of them alone is another rule's business.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "mass-and-height-swapped",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet"]),
    title: "mass and height seem to stand in each other's place",
    why: "Dose limits grow with the mass. A height of 180 taken for the mass would allow far too much.",
    cite: Cite::project_default(
        "below 120 cm and above 120 kg, a slip is likelier than the body; so it is where only the other order \
         gives a likely body, and in a child of fewer centimetres than kilograms",
    ),
    limits: "Two numbers that are possible either way are not seen.",
    example: Example {
        bad: "patient: {weight: 180 kg, height: 67 cm}",
        good: "patient: {weight: 67 kg, height: 180 cm}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(swapped) = &facts.derived.body_size.swapped else { return Vec::new() };
    let patient = &facts.case.patient;
    let (Some(mass), Some(height)) = (patient.mass(), patient.stature()) else {
        return Vec::new();
    };
    let imperial = swapped.or_imperial.map_or_else(String::new, |(kg, cm)| {
        format!("; if they are pounds and inches, write `{kg}` and `{cm}`")
    });
    vec![
        Finding::at("patient.weight")
            .says(format!("{mass} of mass at a height of {height}"))
            .see("patient.height", "the height")
            .fix(format!("put each in its place{imperial}; if both are right, say so under `accepted`")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn at_120_of_both_nothing_is_said_here() {
        assert_eq!(paths(&RULE, "patient: {weight: 121 kg, height: 119 cm}"), ["patient.weight"]);
        assert!(paths(&RULE, "patient: {weight: 100 kg, height: 119 cm}").is_empty());
        assert!(paths(&RULE, "patient: {weight: ~, height: 67 cm}").is_empty());
    }

    #[test]
    fn pounds_and_inches_are_offered_where_they_make_sense() {
        let fix = |patient: &str| findings(&RULE, patient)[0].fix.clone().unwrap_or_default();
        assert!(fix("patient: {weight: 150 kg, height: 68 cm}").contains("write `68 kg` and `172.7 cm`"));
        assert!(!fix("patient: {weight: 180 kg, height: 33 cm}").contains("inches"));
    }
}
