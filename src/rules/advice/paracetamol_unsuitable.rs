//! The leaflet cannot advise paracetamol. What was not asked or is not in a table, and a missing
//! weight, have rules of their own and are not said here again.

use crate::clinical::Cite;
use crate::clinical::tables::Class;
use crate::derive::{Paracetamol, Why};
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The classes that make paracetamol the allergen.
const ALLERGENS: [Class; 2] = [Class::Paracetamol, Class::ParacetamolContaining];
/// Medicines because of which the patient is told to ask.
const MEDICINES: [Class; 2] = [Class::ParacetamolContaining, Class::LiverEnzymeInducer];
/// Conditions because of which the patient is told to ask.
const CONDITIONS: [Class; 4] =
    [Class::LiverDisease, Class::Alcohol, Class::Malnutrition, Class::RenalImpairment];

pub(super) static RULE: Rule = Rule {
    name: "paracetamol-unsuitable",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet"]),
    title: "the leaflet cannot advise paracetamol",
    why: "Most patients are told to take paracetamol when the anaesthetic wears off. This one needs other \
          advice before going home.",
    cite: Cite::project_default(
        "a dose is only advised where allergies, medicines, conditions, age and weight allow it",
    ),
    limits: "An allergy is a caution; everything else is a note, since the leaflet tells the patient to ask. \
             Does not know what the patient was told by word of mouth.",
    example: Example {
        bad: "history: {allergies: [{to: paracetamol, reaction: rash}]}",
        good: "history: {allergies: [{to: penicillin, reaction: rash}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.operation.is_none() {
        return Vec::new();
    }
    match facts.derived.analgesia.get().map(|advice| &advice.paracetamol) {
        Some(Paracetamol::Avoid(_)) => vec![
            Finding::at(allergy_path(facts))
                .says("allergic to paracetamol")
                .fix("say under `accepted` what was advised for pain instead, and to the patient by `pain_relief` under `follow_up`"),
        ],
        Some(Paracetamol::AskUs(reason)) if !is_said_elsewhere(reason.why) => vec![
            Finding::at(cause(facts))
                .says(format!("the leaflet tells the patient to ask before taking paracetamol: {reason}"))
                .fix("agree with the patient what to take for pain")
                .weighs(Severity::Note),
        ],
        _ => Vec::new(),
    }
}

fn allergy_path(facts: &Facts) -> Path {
    let allergies = &facts.derived.allergies;
    let at = allergies.iter().position(|allergy| ALLERGENS.into_iter().any(|class| allergy.is(class)));
    at.map_or_else(|| "history.allergies".into(), |at| format!("history.allergies[{at}].to").into())
}

/// The cause is a gap or an unknown name that another rule reports.
fn is_said_elsewhere(why: Why) -> bool {
    matches!(
        why,
        Why::AllergiesNotAsked
            | Why::MedicinesNotAsked
            | Why::AllergyUnknown
            | Why::MedicineUnknown
            | Why::WeightNotKnown
            | Why::WeightLow
    )
}

/// Where the reason to ask is written.
fn cause(facts: &Facts) -> Path {
    if facts.case.history.as_ref().is_none_or(|history| history.conditions.is_none()) {
        return "history.conditions".into();
    }
    for class in MEDICINES {
        if let Some(at) = facts.derived.medicines.iter().position(|medicine| medicine.is(class)) {
            return format!("history.medicines[{at}]").into();
        }
    }
    for class in CONDITIONS {
        if let Some(at) = facts.derived.conditions.iter().position(|condition| condition.is(class)) {
            return format!("history.conditions[{at}]").into();
        }
    }
    "patient.born".into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn an_allergy_is_a_caution() {
        let allergy = "history: {allergies: [{to: latex}, {to: co-codamol}]}";
        assert_eq!(paths(&RULE, allergy), ["history.allergies[1].to"]);
        assert_eq!(weights(&RULE, allergy), [Severity::Caution]);
        assert!(paths(&RULE, &format!("{{operation: ~, {allergy}}}")).is_empty(), "no leaflet yet");
    }

    #[test]
    fn a_reason_to_ask_is_a_note() {
        let medicine = "history: {medicines: [metformin, paracetamol]}";
        assert_eq!(paths(&RULE, medicine), ["history.medicines[1]"]);
        assert_eq!(weights(&RULE, medicine), [Severity::Note]);
        assert_eq!(
            says(&RULE, medicine),
            ["the leaflet tells the patient to ask before taking paracetamol: already takes paracetamol"]
        );
        assert_eq!(paths(&RULE, "history: {conditions: [asthma, cirrhosis]}"), ["history.conditions[1]"]);
        assert_eq!(paths(&RULE, "history: {conditions: ~}"), ["history.conditions"]);
        assert_eq!(paths(&RULE, "patient: {born: 2024-11-25}"), ["patient.born"]);
        assert!(paths(&RULE, "patient: {born: 2024-11-24}").is_empty(), "two years to the day");
    }

    #[test]
    fn what_other_rules_report_is_not_said_again() {
        for elsewhere in [
            "history: {allergies: ~}",
            "history: {medicines: ~}",
            "history: {medicines: [moon drops]}",
            "history: {allergies: [{to: moon dust}]}",
            "patient: {weight: ~}",
        ] {
            assert!(paths(&RULE, elsewhere).is_empty(), "{elsewhere}");
        }
    }
}
