//! A medicine that changes what an amide anaesthetic does, or hides its warning signs.

use crate::clinical::tables::{Class, agent};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

/// The kind of the table of agents.
const AMIDE: &str = "amide";

/// What medicines of a class do beside an amide, after the entry that the rule cites.
const EFFECTS: [(Class, &str); 4] = [
    (Class::BetaBlocker, "can hide the slow pulse that warns of too much anaesthetic"),
    (Class::Antiarrhythmic, "adds to what the anaesthetic does to the heart"),
    (Class::Maoi, "slows the breakdown of the anaesthetic"),
    (Class::LiverEnzymeInhibitor, "slows the breakdown of the anaesthetic"),
];

pub(super) static RULE: Rule = Rule {
    name: "interaction",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "a medicine interacts with the anaesthetic",
    why: "The usual limit may be too much, or the first sign of too much may be missed.",
    cite: Cite::from_memory(&sources::anaesthetic::BNF, "interactions of local anaesthetics"),
    limits: "Knows four classes and works out no lower dose. Before surgery it takes the planned \
             anaesthetic, else the clinic's usual one. Adrenaline is judged by other rules.",
    example: Example {
        bad: "history: {medicines: [bisoprolol]}",
        good: "history: {medicines: [amlodipine]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((agent, path)) = amide(facts) else { return Vec::new() };
    let mut findings = Vec::new();
    for (at, medicine) in facts.derived.medicines.iter().enumerate() {
        let mut effects: Vec<&str> =
            EFFECTS.iter().filter(|(class, _)| medicine.is(*class)).map(|(_, effect)| *effect).collect();
        effects.dedup();
        if effects.is_empty() {
            continue;
        }
        let finding = Finding::at(format!("history.medicines[{at}]"))
            .says(format!("takes {}: it {}", medicine.typed, List::and(effects)))
            .fix("stay well below the limit and watch the patient after the injection");
        findings.push(match &path {
            Some(path) => finding.see(path.clone(), format!("{agent}, an amide")),
            None => finding,
        });
    }
    findings
}

/// The first amide of the operation with its place; before surgery the planned one, else the clinic's usual.
fn amide(facts: &Facts) -> Option<(String, Option<String>)> {
    let is_amide = |name: &str| agent(name).is_some_and(|agent| agent.kind == AMIDE);
    if facts.case.operation.is_none() {
        let own = facts.case.planned_anaesthetic.as_ref().map(|_| "planned_anaesthetic.agent".to_owned());
        let is_planned = own.is_some() || facts.case.plan.is_some();
        let planned = &facts.planned_anaesthetic().filter(|_| is_planned)?.agent;
        return is_amide(planned).then(|| (planned.clone(), own));
    }
    let used = facts.derived.agents.iter().find(|used| is_amide(&used.agent))?;
    let entry = used.entries.first().map_or("", String::as_str);
    Some((used.agent.clone(), Some(format!("operation.anaesthetic{entry}.agent"))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    fn takes(medicine: &str) -> String {
        format!("history: {{medicines: [metformin, {medicine}]}}")
    }

    #[test]
    fn each_class_has_its_reason() {
        for medicine in ["bisoprolol", "flecainide", "phenelzine", "cimetidine"] {
            assert_eq!(paths(&RULE, &takes(medicine)), ["history.medicines[1]"], "{medicine}");
        }
        for medicine in ["amlodipine", "warfarin", "moon drops"] {
            assert!(paths(&RULE, &takes(medicine)).is_empty(), "{medicine}");
        }
    }

    #[test]
    fn a_medicine_of_two_classes_is_one_finding() {
        assert_eq!(
            says(&RULE, &takes("propranolol")),
            [
                "takes propranolol: it can hide the slow pulse that warns of too much anaesthetic and slows the \
              breakdown of the anaesthetic"
            ]
        );
    }

    #[test]
    fn an_amide_must_be_used_or_usual() {
        let bisoprolol = takes("bisoprolol");
        assert_eq!(
            findings(&RULE, &bisoprolol)[0].see[0],
            ("operation.anaesthetic.agent".into(), "mepivacaine, an amide".into())
        );
        assert!(paths(&RULE, &format!("{{operation: {{anaesthetic: ~}}, {bisoprolol}}}")).is_empty());
        assert_eq!(paths(&RULE, &format!("{{operation: ~, {bisoprolol}}}")).len(), 1);
        assert!(paths(&RULE, &format!("{{operation: ~, plan: ~, {bisoprolol}}}")).is_empty());
        let planned = format!(
            "{{operation: ~, planned_anaesthetic: {{agent: lidocaine, strength: 1 %}}, {bisoprolol}}}"
        );
        assert_eq!(
            findings(&RULE, &planned)[0].see[0],
            ("planned_anaesthetic.agent".into(), "lidocaine, an amide".into())
        );
        let unset = format!("{{clinic: {{protocol: {{anaesthetic: ~}}}}, operation: ~, {bisoprolol}}}");
        assert!(paths(&RULE, &unset).is_empty());
    }
}
