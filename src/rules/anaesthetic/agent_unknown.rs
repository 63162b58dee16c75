//! An anaesthetic whose name is not in the table of agents.

use super::{Origin, PLANNED, supplied};
use crate::case::{Clinic, SupplyKind};
use crate::clinical::Cite;
use crate::clinical::tables::{agent, agents, trade_name};
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::boxes::place;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::{List, nearest};

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
    limits: "Knows the seven amide anaesthetics of its table and their usual misspellings, and the brands that \
             hold one of them and nothing else.",
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
            let fix = remedy(supplied.typed);
            let finding = match supplied.origin {
                Origin::Given(entry) => Finding::at(entry.key("agent")),
                // Nothing of it was given: there is no dose yet that could be too much.
                Origin::Planned => Finding::at(Path::from(PLANNED).key("agent")).weighs(Severity::Caution),
                Origin::Usual => {
                    Finding::at("protocol.anaesthetic.agent").in_clinic().weighs(Severity::Caution)
                }
            };
            finding.says(format!("`{}` is not in the table of agents", supplied.typed)).fix(fix)
        })
        .collect()
}

/// The usual agent of a clinic file, and those of its boxes.
pub(super) fn of_clinic(clinic: &Clinic) -> Vec<Finding> {
    let usual = clinic.protocol.anaesthetic.iter();
    let usual = usual.map(|usual| (Path::from("protocol.anaesthetic.agent"), &usual.agent));
    let boxes = clinic.supplies.iter().filter(|(_, one)| one.kind() == Some(SupplyKind::Anaesthetic));
    let boxes = boxes.filter_map(|(key, one)| Some((place(key, "agent"), one.agent.as_ref()?)));
    let unknown = usual.chain(boxes).filter(|(_, typed)| agent(typed).is_none());
    let each = unknown.map(|(path, typed)| {
        Finding::at(path)
            .in_clinic()
            .says(format!("`{typed}` is not in the table of agents"))
            .fix(remedy(typed))
            .weighs(Severity::Caution)
    });
    each.collect()
}

/// The name that was meant, or the names that there are.
fn remedy(typed: &str) -> String {
    let names = || agents().iter().map(|agent| agent.name);
    if let Some(brand) = trade_name(typed) {
        return format!(
            "{} holds {}: write each by its generic name, and the strength of adrenaline under `adrenaline`",
            brand.name,
            List::and(&brand.holds)
        );
    }
    match nearest(typed, names()) {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!("write the generic name: one of {}", List::or_ticked(names())),
    }
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
        assert!(fix("water").is_some_and(|fix| fix.starts_with("write the generic name: one of `")));
    }

    /// A brand that holds one agent is that agent; with adrenaline in it, it does not say what was given.
    #[test]
    fn a_brand_is_taken_only_where_it_holds_one_agent() {
        for agent in ["Scandonest", "Scandonest 3% plain", "Chirocaine 5 mg/ml", "marcain"] {
            assert!(
                paths(&RULE, &format!("operation: {{anaesthetic: {{agent: {agent}}}}}")).is_empty(),
                "{agent}"
            );
        }
        let found = findings(&RULE, "operation: {anaesthetic: {agent: Lignospan Special}}");
        assert_eq!(
            found[0].fix.as_deref(),
            Some(
                "Lignospan Special holds lidocaine and adrenaline: write each by its generic name, and the strength of \
                 adrenaline under `adrenaline`"
            )
        );
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
        let planned =
            findings(&RULE, "{operation: ~, planned_anaesthetic: {agent: tincture, strength: 1 %}}");
        assert_eq!((planned.len(), planned[0].file), (1, File::Case));
        assert_eq!(planned[0].path.to_string(), "planned_anaesthetic.agent");
        assert_eq!(planned[0].severity, Some(Severity::Caution));
        let known = "{operation: ~, planned_anaesthetic: {agent: lidocaine, strength: 1 %}, \
                     clinic: {protocol: {anaesthetic: {agent: tincture}}}}";
        assert!(paths(&RULE, known).is_empty(), "the usual one is not what is planned");
    }
}
