//! What the pages take from the clinic's protocol and do not find there.

use crate::case::Clinic;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "protocol-incomplete",
    topic: Topic::Records,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the clinic's protocol lacks what the pages need",
    why: "Without the days to the first redressing the leaflet has no date for it; without the technique the \
          record does not say how the toe was injected. Neither is made up.",
    cite: Cite::project_default("what is the same for every patient is typed once, in the clinic file"),
    limits: "Looks at the days to the first redressing, the technique and the opening days. A case that says it \
             itself is not asked for it.",
    example: Example {
        bad: "clinic: {protocol: {technique: ~}}",
        good: "clinic: {protocol: {technique: ring block}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let is_booked =
        facts.case.follow_up.as_ref().is_some_and(|follow_up| follow_up.first_redressing.is_some());
    let given = operation.anaesthetic.as_ref().map_or_else(Vec::new, |given| given.all());
    // `routine-incomplete` names the technique with all else that the line stands for.
    let is_described =
        operation.routine.is_some() || given.iter().all(|(_, given)| given.technique.is_some());
    let mut findings = Vec::new();
    findings.extend(first_redressing(&facts.clinic).filter(|_| !is_booked));
    findings.extend(technique(&facts.clinic).filter(|_| !is_described));
    findings
}

/// What the clinic file alone shows.
pub(super) fn of_clinic(clinic: &Clinic) -> Vec<Finding> {
    let opening_days = clinic.protocol.opening_days.is_empty().then(|| {
        Finding::at("protocol.opening_days")
            .in_clinic()
            .says("no opening day: no visit can be given a date")
            .fix(
                "write the days on which the clinic is open, in square brackets: `opening_days: [monday, …]`",
            )
    });
    [first_redressing(clinic), technique(clinic), opening_days].into_iter().flatten().collect()
}

fn first_redressing(clinic: &Clinic) -> Option<Finding> {
    clinic.protocol.first_redressing_days.is_none().then(|| {
        Finding::at("protocol.first_redressing_days")
            .in_clinic()
            .says("no `first_redressing_days`: the leaflet has no date for the first visit")
            .fix(
                "add `first_redressing_days: …` to `protocol` with your clinic's own number of days, or \
                 `first_redressing` to the `follow_up` of each case",
            )
    })
}

fn technique(clinic: &Clinic) -> Option<Finding> {
    clinic.protocol.technique.is_none().then(|| {
        Finding::at("protocol.technique")
            .in_clinic()
            .says("no `technique`: how the toe is injected is not said")
            .fix("add `technique: …` to `protocol` in your own words, or to the `anaesthetic` of each case")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_case_that_says_it_itself_is_not_asked() {
        let no_days = "clinic: {protocol: {first_redressing_days: ~}}";
        assert_eq!(paths(&RULE, no_days), ["protocol.first_redressing_days"]);
        let booked =
            "{follow_up: {first_redressing: 2026-11-27}, clinic: {protocol: {first_redressing_days: ~}}}";
        assert!(paths(&RULE, booked).is_empty());
        let own = "{operation: {anaesthetic: {technique: ring block}}, clinic: {protocol: {technique: ~}}}";
        assert!(paths(&RULE, own).is_empty());
        assert!(paths(&RULE, "{operation: ~, clinic: {protocol: {technique: ~}}}").is_empty());
    }

    #[test]
    fn each_gap_of_the_clinic_file_is_said_with_the_line_to_add() {
        let facts = crate::rules::example::facts_of(
            "clinic: {protocol: {technique: ~, first_redressing_days: ~, opening_days: []}}",
        );
        assert_eq!(of_clinic(&facts.clinic).len(), 3);
        assert!(of_clinic(&crate::rules::example::facts_of("").clinic).is_empty());
        assert!(findings(&RULE, "").is_empty());
    }
}
