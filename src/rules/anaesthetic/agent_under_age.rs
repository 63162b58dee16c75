//! An agent below its least age, or at an age for which no limit of it is known.

use super::supplied;
use crate::clinical::{Cite, sources};
use crate::date::Age;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-under-age",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "the patient is too young for this anaesthetic",
    why: "Below the age for which an agent is meant, its safe dose is not known.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_SMPC,
        "section 4.2",
        "mepivacaine from 4 years is stated there; each other agent has a source of its own in the table",
    ),
    limits: "Counts completed months of age on the day of surgery. A least body mass is for \
             `agent-under-weight`. While surgery is planned, the planned agent counts; the \
             clinic's usual one, where none is named, as a caution.",
    example: Example {
        bad: "patient: {born: 2022-11-25, weight: 16 kg, height: ~}",
        good: "patient: {born: 2022-11-24, weight: 16 kg, height: ~}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(age) = facts.derived.age.get() else { return Vec::new() };
    let months = age.years * 12 + age.months;
    let mut findings = Vec::new();
    for supplied in supplied(facts) {
        let Some(agent) = supplied.agent else { continue };
        let name = format!("{}{}", agent.name, supplied.usual());
        let (says, source) = match agent.minimum_age_months {
            Some(least) if months < least.number => {
                (format!("{}; {name} is meant from {}", old(*age), from(least.number)), Some(least.source))
            }
            _ if agent.limit_at(months, supplied.adrenaline.is_some()).is_none() => {
                (format!("{}; no dose limit of {name} is known at this age", old(*age)), None)
            }
            _ => continue,
        };
        let finding = Finding::at("patient.born")
            .says(says)
            .fix("use an agent that is meant for this age; if the date of birth is wrong, correct it")
            .weighs(supplied.weight());
        findings.push(supplied.shown_with_source(finding, source));
    }
    findings
}

fn old(age: Age) -> String {
    format!("aged {age}")
}

fn from(months: u32) -> String {
    match (months / 12, months % 12) {
        (1, 0) => "1 year".to_owned(),
        (years, 0) => format!("{years} years"),
        (0, 1) => "1 month".to_owned(),
        _ => format!("{months} months"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn born(on: &str, agent: &str) -> String {
        format!(
            "{{patient: {{born: {on}, weight: 16 kg, height: ~}}, operation: {{anaesthetic: {{agent: {agent}}}}}}}"
        )
    }

    #[test]
    fn the_birthday_itself_is_old_enough() {
        assert!(paths(&RULE, &born("2022-11-24", "mepivacaine")).is_empty());
        assert_eq!(paths(&RULE, &born("2022-11-25", "mepivacaine")), ["patient.born"]);
        assert_eq!(
            says(&RULE, &born("2022-11-25", "mepivacaine")),
            ["aged 3y 11m; mepivacaine is meant from 4 years"]
        );
        assert!(paths(&RULE, &born("2014-11-24", "bupivacaine")).is_empty());
        assert_eq!(paths(&RULE, &born("2014-11-25", "bupivacaine")).len(), 1);
    }

    #[test]
    fn an_agent_for_adults_is_not_for_a_child() {
        assert_eq!(
            says(&RULE, &born("2008-11-25", "levobupivacaine")),
            ["aged 17y 11m; levobupivacaine is meant from 18 years"]
        );
        assert!(paths(&RULE, &born("2008-11-24", "levobupivacaine")).is_empty());
    }

    #[test]
    fn while_planned_it_is_a_caution() {
        let planned = "{operation: ~, patient: {born: 2023-11-24, weight: 14 kg, height: ~}}";
        assert_eq!(weights(&RULE, planned), [Severity::Caution]);
        let own = |born: &str| {
            format!(
                "{{operation: ~, planned_anaesthetic: {{agent: bupivacaine, strength: 0.5 %}}, \
                  patient: {{born: {born}, height: ~}}}}"
            )
        };
        // Before surgery age is that of today, 25 November 2026.
        assert_eq!(weights(&RULE, &own("2014-11-26")), [Severity::Stop]);
        assert!(paths(&RULE, &own("2014-11-25")).is_empty());
        assert_eq!(weights(&RULE, &born("2023-11-24", "mepivacaine")), [Severity::Stop]);
    }
}
