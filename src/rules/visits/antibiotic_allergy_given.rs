//! The clinic gave an antibiotic to which the patient is allergic.

use super::VISIT;
use super::against_allergy;
use crate::case::AntibioticFrom;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{GIVEN_AGAINST_ALLERGY, beside_allergy};
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "antibiotic-allergy-given",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: VISIT,
    title: "the clinic gave an antibiotic to which the patient is allergic",
    why: "An antibiotic of a class to which the patient is allergic can kill. If it was given, patient and practice must know.",
    cite: Cite::states(&sources::records::RECORD_HEADINGS, "allergies and adverse reaction"),
    limits: "As `antibiotic-allergy`, which looks at one that is asked for or was started elsewhere.",
    example: Example {
        bad: r#"{history: {allergies: [{to: penicillin}]}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: flucloxacillin, from: clinic}}]}"#,
        good: r#"{history: {allergies: none known}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: flucloxacillin, from: clinic}}]}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    against_allergy(facts)
        .filter(|(_, antibiotic, _)| antibiotic.from == AntibioticFrom::Clinic)
        .map(|(at, antibiotic, allergy)| {
            let place = format!("visits[{at}].antibiotic.medicine");
            beside_allergy(facts, place, &antibiotic.medicine, allergy).fix(GIVEN_AGAINST_ALLERGY)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_what_the_clinic_gave_counts() {
        let from = |from: &str| RULE.example.bad.replace("from: clinic", &format!("from: {from}"));
        assert_eq!(paths(&RULE, &from("clinic")), ["visits[0].antibiotic.medicine"]);
        assert!(paths(&RULE, &from("gp")).is_empty());
        assert!(paths(&RULE, &from("elsewhere")).is_empty());
    }
}
