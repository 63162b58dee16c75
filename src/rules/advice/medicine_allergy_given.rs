//! A medicine was given at the operation, beside the anaesthetic, to which the patient is allergic.

use crate::clinical::{Cite, sources};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{GIVEN_AGAINST_ALLERGY, allergy_against, beside_allergy};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "medicine-allergy-given",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "a medicine was given to which the patient is allergic",
    why: "A medicine to which the patient is allergic can kill, some of them within minutes and some after hours at \
          home. If it was given, patient and practice must know.",
    cite: Cite::adapts(
        &sources::records::RECORD_HEADINGS,
        "allergies and adverse reaction",
        "the source has allergies stand in every record; holding what was given against them is ours",
    ),
    limits: "Reads `antibiotics`, `vte_prophylaxis` and `sedative` of the operation, which are free words: a name that \
             no table holds passes. Knows penicillins and macrolides as classes, and every other medicine by its name. \
             Anaesthetic, phenol and dressing have rules of their own.",
    example: Example {
        bad: "{history: {allergies: [{to: penicillin}]}, operation: {antibiotics: flucloxacillin 500 mg}}",
        good: "{history: {allergies: [{to: penicillin}]}, operation: {antibiotics: doxycycline 100 mg}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    // Most patients have no allergy, and looking a medicine up takes longer than many rules together.
    if facts.derived.allergies.is_empty() {
        return Vec::new();
    }
    let routine = &facts.derived.routine;
    let mut findings = Vec::new();
    for (key, given, is_protocol) in [
        ("antibiotics", routine.antibiotics.get(), routine.antibiotics.is_protocol()),
        ("vte_prophylaxis", routine.vte_prophylaxis.get(), routine.vte_prophylaxis.is_protocol()),
        ("sedative", operation.sedative.as_ref(), false),
    ] {
        let Some(given) = given else { continue };
        let Some(allergy) = against(facts, given) else { continue };
        let place = if is_protocol { "routine" } else { key };
        findings.push(
            beside_allergy(facts, format!("operation.{place}"), given, allergy).fix(GIVEN_AGAINST_ALLERGY),
        );
    }
    findings
}

/// The words as a whole, else what stands between commas: `flucloxacillin 500 mg, four times a day`.
fn against(facts: &Facts, given: &str) -> Option<usize> {
    std::iter::once(given)
        .chain(given.split([',', ';', '(']))
        .find_map(|part| allergy_against(facts, &LookedUp::medicine(part.trim())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn with(operation: &str) -> String {
        format!("{{history: {{allergies: [{{to: Penicillin}}]}}, operation: {{{operation}}}}}")
    }

    #[test]
    fn each_of_the_three_places_is_read() {
        for key in ["antibiotics", "vte_prophylaxis", "sedative"] {
            assert_eq!(paths(&RULE, &with(&format!("{key}: amoxicillin"))), [format!("operation.{key}")]);
            assert!(paths(&RULE, &with(&format!("{key}: none"))).is_empty());
        }
        let own = "{history: {allergies: [{to: diazepam}]}, operation: {sedative: diazepam 5 mg by mouth}}";
        assert_eq!(paths(&RULE, own), ["operation.sedative"]);
    }

    /// British National Formulary, penicillins: whoever is allergic to one is taken as allergic to all; from memory.
    #[test]
    fn one_penicillin_speaks_against_another_and_not_against_a_tetracycline() {
        let given = with("antibiotics: \"Flucloxacillin 500 mg, four times a day\"");
        assert_eq!(says(&RULE, &given), ["Flucloxacillin 500 mg, four times a day"]);
        assert!(paths(&RULE, &with("antibiotics: doxycycline")).is_empty());
        assert!(paths(&RULE, &with("antibiotics: clarithromycin")).is_empty());
    }

    #[test]
    fn what_the_protocol_gives_counts_where_the_case_leaves_it_to_it() {
        let protocol = "clinic: {protocol: {antibiotics: amoxicillin}}";
        let allergic = "history: {allergies: [{to: penicillin}]}";
        let of = |operation: &str| {
            paths(&RULE, &format!("{{{protocol}, {allergic}, operation: {{{operation}}}}}"))
        };
        assert_eq!(of("routine: as protocol, antibiotics: ~"), ["operation.routine"]);
        assert!(of("routine: as protocol, antibiotics: none").is_empty(), "what the case says counts");
        assert!(of("antibiotics: ~").is_empty(), "nobody said that it was given");
    }
}
