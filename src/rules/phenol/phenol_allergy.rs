//! Phenol in a patient with a recorded allergy to it. What counts as phenol is in the table of allergies.

use super::{phenol_label, phenol_toes};
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::allergic_to;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The class of the table of allergies.
const CLASS: Class = Class::Phenol;

pub(super) static RULE: Rule = Rule {
    name: "phenol-allergy",
    topic: Topic::Phenol,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "candour-letter",
    ]),
    title: "phenol in a patient who is allergic to it",
    why: "Allergy to a chemical that is used is a contraindication to the operation with it.",
    cite: Cite::states(&sources::procedure::NAIL_SURGERY_AAFP, "contraindications"),
    limits: "Knows only the allergies that are recorded, and takes every reaction as an allergy.",
    example: Example {
        bad: "history: {allergies: [{to: phenol, reaction: rash}]}",
        good: "history: {allergies: [{to: penicillin, reaction: rash}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((_, used)) = phenol_toes(facts).into_iter().next() else { return Vec::new() };
    allergic_to(facts, CLASS)
        .map(|finding| {
            finding
                .see(used.clone(), phenol_label(facts))
                .fix("plan without phenol; if it was no allergy, correct the entry")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_entry_is_pointed_at() {
        let both = "history: {allergies: [{to: penicillin}, {to: Phenol}]}";
        assert_eq!(paths(&RULE, both), ["history.allergies[1].to"]);
    }

    #[test]
    fn without_phenol_the_allergy_does_no_harm() {
        let without = "{history: {allergies: [{to: phenol}]}, operation: {toes: {L1: {phenol: ~}}}}";
        assert!(paths(&RULE, without).is_empty());
    }
}
