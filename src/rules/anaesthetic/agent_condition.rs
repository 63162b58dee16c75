//! A condition of the history against which the table of agents speaks, as a stop or as a caution.

use super::supplied;
use crate::clinical::tables::Weight;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-condition",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "a condition in which this anaesthetic is unsuitable or needs care",
    why: "Heart block without a pacemaker, porphyria, methaemoglobinaemia, liver disease and others make \
          some agents dangerous and others merely need care. Which, the table of agents says.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_REGISTRATION,
        "contraindications",
        "severe conduction disorder and poorly controlled epilepsy are named there for mepivacaine; each row of \
         the table of agents has its own source, shown with the finding",
    ),
    limits: "Knows only conditions of its table, in the words that are usual. How severe a condition is \
             it knows only where the words say so. While surgery is planned, the clinic's usual agent \
             counts, and as a caution.",
    example: Example {
        bad: "history: {conditions: [complete heart block]}",
        good: "history: {conditions: [asthma]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, condition) in facts.derived.conditions.iter().enumerate() {
        for supplied in supplied(facts) {
            let Some(row) = supplied.agent.and_then(|agent| agent.against(condition.classes)) else {
                continue;
            };
            let (severity, fix) = match row.weight {
                Weight::Stop => (
                    Severity::Stop,
                    "use another agent; if the condition is recorded wrongly, correct the entry",
                ),
                Weight::Caution => (
                    Severity::Caution,
                    "use another agent, or say under `accepted` why this one and this dose are right",
                ),
            };
            let finding = Finding::at(format!("history.conditions[{at}]"))
                .says(format!("{}: {}", condition.typed, row.reason))
                .fix(fix)
                .weighs(severity.max(supplied.weight()));
            findings.push(supplied.shown_with_source(finding, Some(row.source)));
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, weights};

    fn with(condition: &str, agent: &str) -> String {
        format!(
            "{{history: {{conditions: [asthma, {condition}]}}, operation: {{anaesthetic: {{agent: {agent}}}}}}}"
        )
    }

    #[test]
    fn the_table_says_stop_or_caution() {
        assert_eq!(weights(&RULE, &with("complete heart block", "mepivacaine")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("heart block with a pacemaker", "mepivacaine")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &with("complete heart block", "lidocaine")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &with("methaemoglobinaemia", "prilocaine")), [Severity::Stop]);
        assert!(paths(&RULE, &with("methaemoglobinaemia", "mepivacaine")).is_empty());
        assert_eq!(paths(&RULE, &with("porphyria", "lidocaine")), ["history.conditions[1]"]);
    }

    #[test]
    fn the_source_of_the_row_is_shown() {
        let found = findings(&RULE, &with("porphyria", "mepivacaine"));
        let (path, label) = &found[0].see[0];
        assert_eq!(path.to_string(), "operation.anaesthetic.agent");
        assert!(label.starts_with("mepivacaine was given; British National Formulary"), "{label}");
        assert!(label.ends_with("from memory, not checked against the publication"), "{label}");
    }

    #[test]
    fn while_planned_it_is_a_caution() {
        assert_eq!(
            weights(&RULE, "{operation: ~, history: {conditions: [complete heart block]}}"),
            [Severity::Caution]
        );
    }
}
