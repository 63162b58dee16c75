//! An anaesthetic, or something in its solution, that stands among the allergies.

use super::{Supplied, is_same, supplied};
use crate::clinical::{Cite, sources};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Agents that are sold in multidose bottles with parabens.
const IN_MULTIDOSE_BOTTLES: [&str; 2] = ["lidocaine", "prilocaine"];

pub(super) static RULE: Rule = Rule {
    name: "agent-allergy",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "candour-letter",
    ]),
    title: "an anaesthetic to which the patient is allergic",
    why: "An allergy to one amide anaesthetic speaks against all of them. Solutions with adrenaline hold \
          sulphites, and multidose bottles hold parabens, which are allergens of their own.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_REGISTRATION,
        "contraindications",
        "allergy to the agent or to any amide is named for mepivacaine; it is used for every amide",
    ),
    limits: "Takes every recorded reaction as an allergy; a faint after an injection is not one. \
             Parabens are only a caution, since single-use cartridges hold none. While surgery is \
             planned, the clinic's usual agent counts, and as a caution.",
    example: Example {
        bad: "history: {allergies: [{to: lidocaine, reaction: rash}]}",
        good: "history: {allergies: [{to: penicillin, reaction: rash}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, allergy) in facts.derived.allergies.iter().enumerate() {
        for supplied in supplied(facts) {
            let Some((reason, severity)) = reason(&supplied, allergy) else { continue };
            let finding = Finding::at(format!("history.allergies[{at}].to"))
                .says(format!("allergic to {}; {reason}", allergy.typed))
                .fix("use an agent that is safe for this patient; if it was no allergy, correct the entry");
            findings.push(supplied.shown_in(finding.weighs(severity.max(supplied.weight()))));
        }
    }
    findings
}

fn reason(supplied: &Supplied<'_>, allergy: &LookedUp) -> Option<(String, Severity)> {
    let name = supplied.name();
    if is_same(name, &allergy.typed) || allergy.name == Some(name) {
        return Some((format!("this is the agent{}", supplied.usual()), Severity::Stop));
    }
    if let Some(agent) = supplied.agent
        && allergy.is(&format!("{} anaesthetic", agent.kind))
    {
        return Some((format!("{name}{} is an {} too", supplied.usual(), agent.kind), Severity::Stop));
    }
    let with_adrenaline = supplied.adrenaline.is_some();
    if with_adrenaline && allergy.is("adrenaline") {
        return Some(("the solution holds adrenaline".to_owned(), Severity::Stop));
    }
    if with_adrenaline && allergy.is("sulphites") {
        return Some(("solutions with adrenaline hold sulphites".to_owned(), Severity::Stop));
    }
    (allergy.is("parabens") && IN_MULTIDOSE_BOTTLES.contains(&name))
        .then(|| (format!("multidose bottles of {name} hold parabens"), Severity::Caution))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn allergic(to: &str) -> String {
        format!("history: {{allergies: [{{to: penicillin}}, {{to: {to}}}]}}")
    }

    #[test]
    fn one_amide_speaks_against_all() {
        assert_eq!(paths(&RULE, &allergic("mepivacaine")), ["history.allergies[1].to"]);
        assert_eq!(
            says(&RULE, &allergic("Lignocaine")),
            ["allergic to Lignocaine; mepivacaine is an amide too"]
        );
        assert_eq!(weights(&RULE, &allergic("local anaesthetic")), [Severity::Stop]);
        assert!(paths(&RULE, &allergic("procaine")).is_empty(), "an ester");
    }

    #[test]
    fn what_is_in_the_solution_counts() {
        let with =
            |to: &str, agent: &str| format!("{{{}, operation: {{anaesthetic: {{{agent}}}}}}}", allergic(to));
        let adrenaline = "adrenaline: \"1:100000\", strength: 2 %";
        assert_eq!(weights(&RULE, &with("sulphites", adrenaline)), [Severity::Stop]);
        assert_eq!(weights(&RULE, &with("adrenaline", adrenaline)), [Severity::Stop]);
        assert!(paths(&RULE, &allergic("sulphites")).is_empty());
        assert_eq!(weights(&RULE, &with("parabens", "agent: lidocaine, strength: 1 %")), [Severity::Caution]);
        assert!(paths(&RULE, &allergic("parabens")).is_empty());
    }

    #[test]
    fn an_agent_outside_the_table_is_compared_by_name() {
        let unknown =
            format!("{{{}, operation: {{anaesthetic: {{agent: Tincture}}}}}}", allergic("tincture"));
        assert_eq!(says(&RULE, &unknown), ["allergic to tincture; this is the agent"]);
    }

    #[test]
    fn while_planned_the_usual_agent_is_a_caution() {
        let planned = format!("{{operation: ~, {}}}", allergic("lidocaine"));
        assert_eq!(weights(&RULE, &planned), [Severity::Caution]);
        assert_eq!(
            says(&RULE, &planned),
            ["allergic to lidocaine; mepivacaine (the clinic's usual agent) is an amide too"]
        );
    }
}
