//! An anaesthetic whose name is not in the table of agents.

use super::supplied;
use crate::clinical::Cite;
use crate::clinical::tables::agents;
use crate::diagnostic::english::nearest;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-unknown",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "the anaesthetic is not in the table of agents",
    why: "For a name that the table does not hold there is no dose limit, no age limit and no \
          contraindication to compare with.",
    cite: Cite::project_default("a dose that cannot be compared with a limit is not called safe"),
    limits: "Knows the seven amide anaesthetics of its table and their usual misspellings; not trade names.",
    example: Example {
        bad: "operation: {anaesthetic: {agent: mepacaine}}",
        good: "operation: {anaesthetic: {agent: Mepivacaine}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    supplied(facts)
        .into_iter()
        .filter(|supplied| supplied.agent.is_none())
        .map(|supplied| {
            let names = agents().iter().map(|agent| agent.name);
            let fix = match nearest(supplied.typed, names) {
                Some(name) => format!("did you mean `{name}`?"),
                None => "write the generic name".to_owned(),
            };
            let finding = match supplied.entry {
                Some(entry) => Finding::at(entry.key("agent")),
                None => Finding::at("protocol.anaesthetic.agent").in_clinic().weighs(Severity::Caution),
            };
            finding.says(format!("`{}` is not in the table of agents", supplied.typed)).fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::File;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn the_nearest_name_is_offered() {
        let fix = |agent: &str| {
            findings(&RULE, &format!("operation: {{anaesthetic: {{agent: {agent}}}}}"))[0].fix.clone()
        };
        assert_eq!(fix("mepacaine").as_deref(), Some("did you mean `mepivacaine`?"));
        assert_eq!(fix("water").as_deref(), Some("write the generic name"));
    }

    #[test]
    fn each_of_several_is_looked_at() {
        let two =
            "operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: tincture, strength: 1 %}]}";
        assert_eq!(paths(&RULE, two), ["operation.anaesthetic[1].agent"]);
    }

    #[test]
    fn while_surgery_is_planned_the_usual_agent_counts() {
        let usual = "{operation: ~, clinic: {protocol: {anaesthetic: {agent: tincture}}}}";
        let found = findings(&RULE, usual);
        assert_eq!((found[0].file, found[0].severity), (File::Clinic, Some(Severity::Caution)));
        assert!(paths(&RULE, "clinic: {protocol: {anaesthetic: {agent: tincture}}}").is_empty());
    }
}
