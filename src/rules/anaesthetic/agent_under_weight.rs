//! An agent in a patient below its least body mass.

use super::supplied;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-under-weight",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "the patient is too light for this anaesthetic",
    why: "Some agents are meant from a least body mass as well as from an age. In a lighter child a small \
          slip in the volume is a large one in the dose.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_SMPC,
        "section 4.2",
        "about 20 kg is stated there for mepivacaine; a caution, since the figure is approximate",
    ),
    limits: "Compares the measured mass, exactly, with the figure in the table of agents; agents without \
             one pass. A missing mass is for `weight-missing`. While surgery is planned, the planned \
             agent counts, or the clinic's usual one.",
    example: Example {
        bad: "patient: {born: 2021-11-24, weight: 19.9 kg, height: ~}",
        good: "patient: {born: 2021-11-24, weight: 20 kg, height: ~}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(mass) = facts.case.patient.mass() else { return Vec::new() };
    let mut findings = Vec::new();
    for supplied in supplied(facts) {
        let Some(least) = supplied.agent.and_then(|agent| agent.minimum_mass) else { continue };
        if mass >= least.mass {
            continue;
        }
        let name = format!("{}{}", supplied.name(), supplied.usual());
        let finding = Finding::at("patient.weight")
            .says(format!("{mass}; {name} is meant from about {}", least.mass))
            .fix("use an agent without a least mass, or say under `accepted` why this one was chosen; if the mass is wrong, correct it");
        findings.push(supplied.shown_with_source(finding, Some(least.source)));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn of(mass: &str, agent: &str) -> String {
        format!(
            "{{patient: {{born: 2021-11-24, weight: {mass}, height: ~}}, operation: {{anaesthetic: {{agent: {agent}}}}}}}"
        )
    }

    #[test]
    fn twenty_kilograms_are_enough() {
        assert!(paths(&RULE, &of("20 kg", "mepivacaine")).is_empty());
        assert_eq!(paths(&RULE, &of("19.9 kg", "mepivacaine")), ["patient.weight"]);
        assert_eq!(
            says(&RULE, &of("19.9 kg", "Mepivicaine")),
            ["19.9 kg; mepivacaine is meant from about 20 kg"]
        );
        assert!(paths(&RULE, &of("20 kg", "articaine")).is_empty());
        assert_eq!(paths(&RULE, &of("19.9 kg", "articaine")).len(), 1);
    }

    #[test]
    fn an_agent_without_a_least_mass_passes() {
        assert!(paths(&RULE, &of("14 kg", "lidocaine")).is_empty());
        assert!(paths(&RULE, &of("14 kg", "xyzcaine")).is_empty());
        assert!(paths(&RULE, "patient: {weight: ~}").is_empty());
    }

    #[test]
    fn it_is_a_caution_before_and_after() {
        assert_eq!(weights(&RULE, &of("14 kg", "mepivacaine")), [Severity::Caution]);
        let planned = "{operation: ~, patient: {born: 2021-11-24, weight: 14 kg, height: ~}}";
        assert_eq!(weights(&RULE, planned), [Severity::Caution]);
        assert_eq!(
            says(&RULE, planned),
            ["14 kg; mepivacaine (the clinic's usual agent) is meant from about 20 kg"]
        );
    }
}
