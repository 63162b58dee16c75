//! A tourniquet in a patient with sickle cell disease or its trait.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Of the table of conditions.
const DISEASE: Class = Class::SickleCellDisease;
const TRAIT: Class = Class::SickleCellTrait;

pub(super) static RULE: Rule = Rule {
    name: "tourniquet-sickle-cell",
    topic: Topic::Tourniquet,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "a tourniquet in sickle cell disease",
    why: "Blood that stands still and loses its oxygen sickles, and can shut the small vessels of the toe. In a \
          review of four studies 12 of 96 patients had complications, 4 of them with the trait alone.",
    cite: Cite::adapts(
        &sources::procedure::TOURNIQUET_SICKLE,
        "abstract: complications in 12 of 96, relative safety with precautions",
        "the bands were on arms and legs, and other operations were done; that a band on a toe counts too, and the \
         weights, are ours",
    ),
    limits: "The disease is a caution, the trait a note. Knows neither the kind of haemoglobin nor how ill the \
             patient was. Before surgery it speaks where the clinic has a tourniquet in its protocol.",
    example: Example {
        bad: "history: {conditions: [sickle cell disease]}",
        good: "history: {conditions: [thalassaemia]}",
    },
    check,
};

/// Where a tourniquet is written: in the operation, else in the clinic's protocol.
fn band(facts: &Facts) -> Option<Option<String>> {
    if facts.case.operation.is_some() {
        let toe = facts.treated().into_iter().find(|(_, done)| done.tourniquet.is_some())?.0;
        return Some(Some(format!("operation.toes.{toe}.tourniquet")));
    }
    let is_planned = facts.case.plan.is_some() && facts.clinic.protocol.tourniquet.is_some();
    is_planned.then_some(None)
}

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(band) = band(facts) else { return Vec::new() };
    let conditions = facts.derived.conditions.iter().enumerate();
    let found = conditions.filter_map(|(at, condition)| {
        let is_disease = condition.is(DISEASE);
        if !is_disease && !condition.is(TRAIT) {
            return None;
        }
        let verb =
            if band.is_some() { "a tourniquet was put on" } else { "a tourniquet is the clinic's way" };
        let finding =
            Finding::at(format!("history.conditions[{at}]")).says(format!("{}: {verb}", condition.typed));
        let finding = match &band {
            Some(path) => finding.see(path.clone(), "the tourniquet"),
            None => finding,
        };
        Some(if is_disease {
            finding
                .fix("say under `accepted` who was asked, and how the toe was kept warm and the time short")
        } else {
            finding.fix("keep the patient warm and the time short").weighs(Severity::Note)
        })
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn the_disease_is_a_caution_and_the_trait_a_note() {
        let with =
            |condition: &str| weights(&RULE, &format!("history: {{conditions: [asthma, {condition}]}}"));
        assert_eq!(with("sickle cell anaemia"), [Severity::Caution]);
        assert_eq!(with("SCD"), [Severity::Caution]);
        assert_eq!(with("sickle cell trait"), [Severity::Note]);
        assert_eq!(with("iron deficiency anaemia"), []);
    }

    #[test]
    fn without_a_tourniquet_nothing_is_said() {
        let none = "{history: {conditions: [sickle cell disease]}, operation: {toes: {L1: {tourniquet: ~}}}}";
        assert!(paths(&RULE, none).is_empty());
    }

    #[test]
    fn before_surgery_the_protocol_counts() {
        let sickle = "operation: ~, history: {conditions: [sickle cell disease]}";
        assert_eq!(
            says(&RULE, &format!("{{{sickle}}}")),
            ["sickle cell disease: a tourniquet is the clinic's way"]
        );
        assert!(paths(&RULE, &format!("{{{sickle}, plan: ~}}")).is_empty());
        assert!(paths(&RULE, &format!("{{{sickle}, clinic: {{protocol: {{tourniquet: ~}}}}}}")).is_empty());
    }
}
