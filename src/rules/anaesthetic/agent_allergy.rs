//! An anaesthetic, or something in its solution, that stands among the allergies.

use super::{Supplied, is_same, severity_of, supplied};
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

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
             planned, the agent that is planned for this patient counts as if it were given; where none is \
             named, the clinic's usual one counts, and as a caution.",
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
        && agent.class().is_some_and(|class| allergy.is(class))
    {
        return Some((format!("{name}{} is an {} too", supplied.usual(), agent.kind), Severity::Stop));
    }
    let with_adrenaline = supplied.adrenaline.is_some();
    if with_adrenaline && allergy.is(Class::Adrenaline) {
        return Some(("the solution holds adrenaline".to_owned(), Severity::Stop));
    }
    if with_adrenaline && allergy.is(Class::Sulphites) {
        return Some(("solutions with adrenaline hold sulphites".to_owned(), Severity::Stop));
    }
    let held = supplied.agent.into_iter().flat_map(|agent| &agent.may_hold);
    let held = held.filter(|row| allergy.is(row.substance)).max_by_key(|row| row.weight);
    held.map(|row| (row.reason.to_owned(), severity_of(row.weight)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says, weights};

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

    #[test]
    fn what_is_planned_for_this_patient_weighs_as_what_was_given() {
        let planned = |to: &str, agent: &str| {
            format!("{{operation: ~, planned_anaesthetic: {{{agent}}}, {}}}", allergic(to))
        };
        let lidocaine = planned("lidocaine", "agent: Lignocaine, strength: 1 %");
        assert_eq!(weights(&RULE, &lidocaine), [Severity::Stop]);
        assert_eq!(says(&RULE, &lidocaine), ["allergic to lidocaine; this is the agent (planned)"]);
        let found = findings(&RULE, &lidocaine);
        assert_eq!(found[0].see[0].0.to_string(), "planned_anaesthetic.agent");
        assert_eq!(found[0].see[0].1, "lidocaine is planned");
        let other = planned("prilocaine", "agent: lidocaine, strength: 1 %");
        assert_eq!(says(&RULE, &other), ["allergic to prilocaine; lidocaine (planned) is an amide too"]);
        assert_eq!(
            weights(&RULE, &planned("parabens", "agent: lidocaine, strength: 1 %")),
            [Severity::Caution]
        );
        let with = planned("sulphites", "agent: lidocaine, strength: 1 %, adrenaline: \"1:200000\"");
        assert_eq!(weights(&RULE, &with), [Severity::Stop]);
        assert!(paths(&RULE, &planned("sulphites", "agent: lidocaine, strength: 1 %")).is_empty());
        assert!(paths(&RULE, &planned("penicillin", "agent: lidocaine, strength: 1 %")).is_empty());
    }

    /// Of two agents only the one that is planned for this patient counts, and after surgery only what was given.
    #[test]
    fn what_is_planned_takes_the_place_of_the_usual_one_and_what_was_given_that_of_both() {
        let unknown = allergic("tincture");
        let own =
            format!("{{operation: ~, planned_anaesthetic: {{agent: tincture, strength: 1 %}}, {unknown}}}");
        assert_eq!(says(&RULE, &own), ["allergic to tincture; this is the agent (planned)"]);
        let usual = format!(
            "{{operation: ~, clinic: {{protocol: {{anaesthetic: {{agent: tincture}}}}}}, {unknown}}}"
        );
        assert_eq!(weights(&RULE, &usual), [Severity::Caution]);
        let other = format!(
            "{{operation: ~, planned_anaesthetic: {{agent: lidocaine, strength: 1 %}}, \
              clinic: {{protocol: {{anaesthetic: {{agent: tincture}}}}}}, {unknown}}}"
        );
        assert!(paths(&RULE, &other).is_empty());
        let given = format!("{{planned_anaesthetic: {{agent: tincture, strength: 1 %}}, {unknown}}}");
        assert!(paths(&RULE, &given).is_empty(), "mepivacaine was given instead");
    }

    #[test]
    fn the_usual_solution_with_adrenaline_holds_sulphites_too() {
        let usual = |adrenaline: &str| {
            let protocol =
                format!("{{anaesthetic: {{agent: lidocaine, strength: 1 %, adrenaline: {adrenaline}}}}}");
            format!("{{operation: ~, clinic: {{protocol: {protocol}}}, {}}}", allergic("sulphites"))
        };
        assert_eq!(weights(&RULE, &usual("\"1:200000\"")), [Severity::Caution]);
        assert!(paths(&RULE, &usual("~")).is_empty());
    }
}
