//! An entry that names a stop which no incident answers: the file is mended.

use super::entries;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, accept, rule};

pub(super) static RULE: Rule = Rule {
    name: "incident-not-answerable",
    topic: Topic::Incidents,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "an incident names a stop that it cannot answer",
    why: "Such a stop is a slip in the file, not something that happened to the patient. The page would stay \
          false.",
    cite: Cite::project_default(
        "an incident answers what really happened; what nobody did and nothing caused is mended",
    ),
    limits: "Which stops an incident answers is part of each rule: `unguis explain` says so, and why.",
    example: Example {
        bad: "{operation: {date: 2026-12-24}, incidents: [{answers: [operation-in-future]}]}",
        good: "incidents: [{answers: []}]",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, incident) in entries(facts) {
        for (which, name) in incident.answered_rules().iter().enumerate() {
            // A name that is not a rule is `incident-unmatched`.
            let Some(named) = rule(name) else { continue };
            if named.topic == Topic::Incidents || accept::is_about_answers(named) || stands(facts, named) {
                findings.push(
                    Finding::at(format!("incidents[{at}].answers[{which}]"))
                        .says(format!("`{name}` is not answered by an incident"))
                        .fix("put right what it found and take the name out of `answers`"),
                );
            }
        }
    }
    findings
}

/// A finding of this rule stands that no incident can answer.
fn stands(facts: &Facts, named: &Rule) -> bool {
    (named.check)(facts)
        .iter()
        .any(|finding| !accept::may_be_an_incident(named, accept::weight(named, finding)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_slip_is_no_incident_and_a_wrong_toe_is() {
        let future = "{operation: {date: 2026-12-24}, incidents: [{answers: [operation-in-future]}]}";
        assert_eq!(paths(&RULE, future), ["incidents[0].answers[0]"]);
        let toe = "{plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}, \
                   incidents: [{answers: [toe-not-planned]}]}";
        assert!(paths(&RULE, toe).is_empty());
    }

    /// What can be right on purpose can also have been overlooked, and a caution can have come true.
    #[test]
    fn a_decision_that_nobody_took_and_a_caution_are_answered_too() {
        let low = "{vascular: {left: {toe: 29}}, incidents: [{answers: [toe-pressure-low]}]}";
        assert!(paths(&RULE, low).is_empty());
        let slow = "{operation: {toes: {L1: {refill: 4 s}}}, incidents: [{answers: [refill-slow]}]}";
        assert!(paths(&RULE, slow).is_empty());
    }

    #[test]
    fn an_entry_about_entries_does_not_go_round_in_circles() {
        for name in ["incident-unmatched", "incident-incomplete", "accepted-unmatched"] {
            let entry = format!("incidents: [{{answers: [{name}]}}]");
            assert_eq!(paths(&RULE, &entry), ["incidents[0].answers[0]"], "{name}");
        }
    }
}
