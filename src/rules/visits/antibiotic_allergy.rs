//! An antibiotic is asked for, or was started elsewhere, to which the patient is allergic.

use super::VISIT;
use super::against_allergy;
use crate::case::AntibioticFrom;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::beside_allergy;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "antibiotic-allergy",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: VISIT,
    title: "the patient is allergic to the antibiotic",
    why: "An antibiotic of a class to which the patient is allergic can kill. The practice may prescribe what the letter asks for.",
    cite: Cite::states(&sources::records::RECORD_HEADINGS, "allergies and adverse reaction"),
    limits: "Knows penicillins and macrolides as classes, and every medicine by its name. Cross-reactions between classes, such as penicillins and cephalosporins, are not judged. One that the clinic gave is `antibiotic-allergy-given`.",
    example: Example {
        bad: r#"{history: {allergies: [{to: penicillin}]}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: flucloxacillin, from: gp}}]}"#,
        good: r#"{history: {allergies: [{to: penicillin}]}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: doxycycline, from: gp}}]}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    against_allergy(facts)
        .filter(|(_, antibiotic, _)| antibiotic.from != AntibioticFrom::Clinic)
        .map(|(at, antibiotic, allergy)| {
            let place = format!("visits[{at}].antibiotic.medicine");
            beside_allergy(facts, place, &antibiotic.medicine, allergy).fix(
                "ask for another; if the patient has taken it since without harm, or the practice decided on \
                     it, say so under `accepted`",
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn of(allergy: &str, medicine: &str, from: &str) -> Vec<String> {
        paths(
            &RULE,
            &format!(
                "{{history: {{allergies: [{{to: {allergy}}}]}}, visits: [{{on: 2026-12-01, kind: unplanned, \
                 antibiotic: {{medicine: {medicine}, from: {from}}}}}]}}"
            ),
        )
    }

    #[test]
    fn a_class_a_name_and_a_brand_are_found() {
        for (allergy, medicine) in [
            ("penicillin", "flucloxacillin"),
            ("amoxicillin", "co-amoxiclav 625 mg"),
            ("penicillin", "Amoxil"),
            ("erythromycin", "clarithromycin"),
            ("doxycycline", "doxycycline 100 mg"),
        ] {
            assert_eq!(
                of(allergy, medicine, "gp"),
                ["visits[0].antibiotic.medicine"],
                "{allergy}, {medicine}"
            );
            assert_eq!(of(allergy, medicine, "elsewhere").len(), 1);
            assert!(of(allergy, medicine, "clinic").is_empty(), "another rule");
        }
        assert!(of("penicillin", "clarithromycin", "gp").is_empty());
        assert!(of("latex", "flucloxacillin", "gp").is_empty());
    }
}
