//! A medicine of the history that speaks against an anaesthetic, or against adrenaline in its solution.
//! What merely changes how an amide is broken down is `interaction`.

use super::{supplied, weighed};
use crate::clinical::tables;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-medicine",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
    ]),
    title: "a medicine with which this anaesthetic needs care",
    why: "Some medicines add to a harm of one agent: sulfonamides and dapsone raise methaemoglobin as \
          prilocaine does; tricyclic antidepressants and MAO inhibitors make adrenaline act more strongly.",
    cite: Cite::adapts(
        &sources::anaesthetic::ARTICAINE_ABRIDGED,
        "contraindications",
        "MAO inhibitors and tricyclics are named there for a solution with adrenaline; each row of the tables \
         has its own source, shown with the finding",
    ),
    limits: "Knows only medicines of its table, by their generic names. Dose, and how long ago a medicine \
             was stopped, are not known. While surgery is planned, the planned agent counts, \
             or the clinic's usual one.",
    example: Example {
        bad: "{history: {medicines: [dapsone]}, operation: {anaesthetic: {agent: prilocaine, strength: 1 %}}}",
        good: "{history: {medicines: [dapsone]}, operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, medicine) in facts.derived.medicines.iter().enumerate() {
        for supplied in supplied(facts) {
            let of_agent = supplied.agent.and_then(|agent| agent.against_medicine(medicine.classes));
            let of_adrenaline =
                supplied.adrenaline.and_then(|_| tables::against_adrenaline_medicine(medicine.classes));
            for row in of_agent.into_iter().chain(of_adrenaline) {
                let finding = Finding::at(format!("history.medicines[{at}]"));
                findings.push(weighed(finding, &format!("takes {}", medicine.typed), &supplied, row));
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn takes(medicine: &str, entry: &str) -> String {
        format!(
            "{{history: {{medicines: [salbutamol, {medicine}]}}, operation: {{anaesthetic: {{{entry}}}}}}}"
        )
    }

    #[test]
    fn prilocaine_and_what_raises_methaemoglobin() {
        for medicine in ["dapsone", "trimethoprim", "nitrofurantoin"] {
            let prilocaine = takes(medicine, "agent: prilocaine, strength: 1 %");
            assert_eq!(paths(&RULE, &prilocaine), ["history.medicines[1]"], "{medicine}");
            assert_eq!(weights(&RULE, &prilocaine), [Severity::Caution]);
            assert!(paths(&RULE, &takes(medicine, "agent: mepivacaine")).is_empty());
        }
    }

    #[test]
    fn adrenaline_and_what_strengthens_it() {
        let with = "agent: lidocaine, strength: 1 %, adrenaline: \"1:200000\"";
        assert_eq!(
            says(&RULE, &takes("amitriptyline", with)),
            ["takes amitriptyline: it makes adrenaline act more strongly"]
        );
        assert_eq!(weights(&RULE, &takes("phenelzine", with)), [Severity::Caution]);
        assert!(paths(&RULE, &takes("amitriptyline", "agent: lidocaine, strength: 1 %")).is_empty());
        assert!(paths(&RULE, &takes("sertraline", with)).is_empty());
        let planned = format!(
            "{{operation: ~, planned_anaesthetic: {{{with}}}, history: {{medicines: [amitriptyline]}}}}"
        );
        assert_eq!(weights(&RULE, &planned), [Severity::Caution]);
    }
}
