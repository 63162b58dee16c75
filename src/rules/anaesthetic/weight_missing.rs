//! An anaesthetic, given or planned, and no body mass to compare it with.

use super::entries;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::stage::surgery;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "weight-missing",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "the body mass is not recorded",
    why: "The dose limit is worked out from the body mass. Without it nobody can say that the dose was safe.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_SMPC,
        "section 4.2",
        "it gives the limit for body mass; stopping without the mass is ours",
    ),
    limits: "Does not know whether the mass was measured or told. Before surgery it is a caution: there \
             is still time to weigh the patient.",
    example: Example { bad: "patient: {weight: ~}", good: "patient: {weight: 68 kg}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.patient.weight.is_some() {
        return Vec::new();
    }
    let finding = Finding::at("patient.weight").says("the body mass is missing");
    if let Some((path, entry)) = entries(facts).into_iter().next() {
        let given = finding.see(path, format!("{} was given", entry.agent));
        return vec![given.fix("enter the mass that the dose was worked out from, like `68 kg`")];
    }
    // An operation without an anaesthetic is `anaesthetic-missing`.
    if facts.case.operation.is_some() {
        return Vec::new();
    }
    let planned = surgery(facts).map(|(path, label)| {
        finding.see(path, label).fix("weigh the patient, and write it like `68 kg`").weighs(Severity::Caution)
    });
    planned.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn a_stop_once_given_and_a_caution_while_planned() {
        assert_eq!(weights(&RULE, "patient: {weight: ~}"), [Severity::Stop]);
        assert_eq!(weights(&RULE, "{operation: ~, patient: {weight: ~}}"), [Severity::Caution]);
    }

    #[test]
    fn an_assessment_or_an_operation_without_anaesthetic_needs_none() {
        assert!(paths(&RULE, "{operation: ~, plan: ~, patient: {weight: ~}}").is_empty());
        assert!(paths(&RULE, "{operation: {anaesthetic: ~}, patient: {weight: ~}}").is_empty());
    }
}
