//! A dose limit of the clinic file that is not believed, for an agent that this case uses.

use super::{is_same, supplied};
use crate::clinical::Cite;
use crate::clinical::tables::agent;
use crate::derive::local_limit_problem;
use crate::diagnostic::Path;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "local-limit-refused",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "the clinic's own dose limit cannot be used",
    why: "A clinic may set a limit of its own with a reason. One that is more than double the published \
          limit is taken for a slip, and so is one for an agent that is not known.",
    cite: Cite::project_default(
        "double the published limit was chosen as the point where a slip is likelier than a reason",
    ),
    limits: "Compares with the limit of an adult. It does not judge the reason that the clinic gives.",
    example: Example {
        bad: "clinic: {limits: {anaesthetic: {mepivacaine: {per_kg: 8.9 mg/kg, max: 400 mg, because: own audit}}}}",
        good: "clinic: {limits: {anaesthetic: {mepivacaine: {per_kg: 8.8 mg/kg, max: 600 mg, because: own audit}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let used = supplied(facts);
    let is_used = |key: &str| used.iter().any(|supplied| is_same(supplied.typed, key));
    let keys = facts.clinic.limits.anaesthetic.keys();
    keys.filter(|key| !used.is_empty() && (agent(key).is_none() || is_used(key)))
        .filter_map(|key| Some((key, local_limit_problem(&facts.clinic, key)?)))
        .map(|(key, problem)| {
            Finding::at(Path::from("limits.anaesthetic").key(key))
                .in_clinic()
                .says(problem)
                .fix("correct the limit in the clinic file, or take it out and use the published one")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn limit(agent: &str, per_kg: &str, max: &str) -> String {
        format!(
            "clinic: {{limits: {{anaesthetic: {{{agent}: {{per_kg: {per_kg} mg/kg, max: {max} mg, because: audit}}}}}}}}"
        )
    }

    #[test]
    fn double_is_believed_and_more_is_not() {
        assert!(paths(&RULE, &limit("mepivacaine", "8.8", "600")).is_empty());
        assert_eq!(paths(&RULE, &limit("mepivacaine", "8.81", "600")), ["limits.anaesthetic.mepivacaine"]);
        assert_eq!(
            says(&RULE, &limit("mepivacaine", "8.8", "601")),
            [
                "the clinic's limit for mepivacaine (8.8 mg/kg and 601 mg) is more than double the published 4.4 mg/kg \
              and 300 mg"
            ]
        );
    }

    #[test]
    fn only_agents_of_this_case_count_and_names_that_nobody_knows() {
        assert!(paths(&RULE, &limit("lidocaine", "99", "999")).is_empty());
        assert_eq!(paths(&RULE, &limit("mepacaine", "3", "100")), ["limits.anaesthetic.mepacaine"]);
    }
}
