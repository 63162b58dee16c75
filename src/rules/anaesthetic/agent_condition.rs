//! A condition of the history against which the table of agents speaks, as a stop or as a caution.

use super::{supplied, weighed};
use crate::clinical::tables;
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
    why: "Heart block without a pacemaker, methaemoglobinaemia, uncontrolled hypertension with adrenaline \
          and others make some solutions dangerous; others merely need care. Which, the tables say.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_REGISTRATION,
        "contraindications",
        "severe conduction disorder and poorly controlled epilepsy are named there for mepivacaine; each row of \
         the table of agents has its own source, shown with the finding",
    ),
    limits: "Knows only conditions of its table, in the words that are usual. How severe a condition is \
             it knows only where the words say so: heart block without a degree is taken for the worst. \
             Poor circulation with adrenaline is `adrenaline-in-digit`. While surgery is planned, the \
             planned agent counts; the clinic's usual one, where none is named, as a caution.",
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
            let of_agent = supplied.agent.and_then(|agent| agent.against_condition(condition.classes));
            let of_adrenaline =
                supplied.adrenaline.and_then(|_| tables::against_adrenaline_condition(condition.classes));
            for row in of_agent.into_iter().chain(of_adrenaline) {
                let finding = Finding::at(format!("history.conditions[{at}]"));
                findings.push(weighed(finding, &condition.typed, &supplied, row));
            }
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
        assert_eq!(weights(&RULE, &with("complete heart block", "lidocaine")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("third degree AV block", "lidocaine")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("second degree heart block", "lidocaine")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &with("first degree heart block", "lidocaine")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &with("heart block", "lidocaine")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("hypovolaemia", "lidocaine")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("methaemoglobinaemia", "prilocaine")), [Severity::Stop]);
        assert!(paths(&RULE, &with("methaemoglobinaemia", "mepivacaine")).is_empty());
        assert_eq!(paths(&RULE, &with("porphyria", "lidocaine")), ["history.conditions[1]"]);
    }

    #[test]
    fn porphyria_is_a_question_and_no_stop() {
        for agent in ["lidocaine", "mepivacaine", "levobupivacaine", "ropivacaine", "articaine"] {
            assert_eq!(weights(&RULE, &with("porphyria", agent)), [Severity::Caution], "{agent}");
        }
        for suggested in ["prilocaine", "bupivacaine"] {
            assert_eq!(weights(&RULE, &with("porphyria", suggested)), [Severity::Note], "{suggested}");
        }
    }

    #[test]
    fn adrenaline_has_conditions_of_its_own() {
        let solution = |condition: &str, adrenaline: &str| {
            let entry = format!("{{agent: lidocaine, strength: 1 %, adrenaline: {adrenaline}}}");
            weights(
                &RULE,
                &format!("{{history: {{conditions: [{condition}]}}, operation: {{anaesthetic: {entry}}}}}"),
            )
        };
        let with = "\"1:200000\"";
        assert_eq!(solution("uncontrolled hypertension", with), [Severity::Stop]);
        assert_eq!(solution("uncontrolled hypertension", "~"), []);
        assert_eq!(solution("hypertension", with), [Severity::Note], "is it controlled?");
        assert_eq!(solution("hypertension", "~"), []);
        assert_eq!(solution("phaeochromocytoma", with), [Severity::Stop]);
        assert_eq!(solution("overactive thyroid", with), [Severity::Caution]);
        assert_eq!(solution("asthma", with), [Severity::Note]);
        // Heart failure speaks against lidocaine and against adrenaline.
        assert_eq!(solution("heart failure", with), [Severity::Caution, Severity::Caution]);
    }

    #[test]
    fn the_source_of_the_row_is_shown() {
        let found = findings(&RULE, &with("anaemia", "prilocaine"));
        let (path, label) = &found[0].see[0];
        assert_eq!(path.to_string(), "operation.anaesthetic.agent");
        assert!(label.starts_with("prilocaine was given; British National Formulary"), "{label}");
        assert!(label.ends_with("prilocaine"), "{label}");
    }

    #[test]
    fn while_planned_it_is_a_caution() {
        assert_eq!(
            weights(&RULE, "{operation: ~, history: {conditions: [complete heart block]}}"),
            [Severity::Caution]
        );
        let own = |condition: &str, adrenaline: &str| {
            let planned = format!("{{agent: lidocaine, strength: 1 %, adrenaline: {adrenaline}}}");
            let history = format!("{{conditions: [{condition}]}}");
            weights(&RULE, &format!("{{operation: ~, planned_anaesthetic: {planned}, history: {history}}}"))
        };
        assert_eq!(own("complete heart block", "~"), [Severity::Stop], "chosen for this patient");
        assert_eq!(own("second degree heart block", "~"), [Severity::Caution]);
        assert_eq!(own("severe hypertension", "~"), []);
        assert_eq!(own("severe hypertension", "\"1:200000\""), [Severity::Stop]);
    }
}
