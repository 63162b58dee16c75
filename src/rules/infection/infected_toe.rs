//! Surgery on a toe that was recorded as infected. Spreading infection is `cellulitis`.

use crate::anatomy::Toe;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "infected-toe",
    topic: Topic::Infection,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "preparation-leaflet"]),
    title: "surgery on a toe that is recorded as infected",
    why: "Infection of the nail fold is often the very reason for surgery, so it asks for no answer. It is \
          named since it bears on the dressing, on antibiotics and on what is looked for at the first visit.",
    cite: Cite::adapts(
        &sources::procedure::ANTIBIOTICS_AAFP,
        "p. 303",
        "the source says that oral antibiotics before or after phenol do not improve the outcome; naming \
         the infection is ours",
    ),
    limits: "Knows only the tick at assessment, not how the toe looked on the day of surgery. Infection that \
             spreads is `cellulitis`, and a needle through infected skin `injection-into-infection`.",
    example: Example {
        bad: "problem: {toes: {L1: {infected: true}}}",
        good: "problem: {toes: {L1: {infected: false}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(affected) = facts.case.affected() else {
        return Vec::new();
    };
    affected
        .iter()
        .filter(|(_, found)| found.infected == Some(true))
        .filter_map(|(toe, _)| Some((toe, surgery_on(facts, toe)?)))
        .map(|(toe, (path, label))| {
            Finding::at(format!("problem.toes.{toe}.infected"))
                .says(format!("{} was infected", named(toe)))
                .see(path, label)
                .fix("if it spreads beyond the nail fold, write `cellulitis: true`")
        })
        .collect()
}

/// Where surgery on this toe is written: the operation if there was one, else the plan.
fn surgery_on(facts: &Facts, toe: Toe) -> Option<(String, &'static str)> {
    match &facts.case.operation {
        Some(operation) => {
            operation.toes.get(toe).map(|_| (format!("operation.toes.{toe}"), "it was operated on"))
        }
        None => facts.case.plan.as_ref()?.get(toe).map(|_| (format!("plan.{toe}"), "surgery is planned")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn only_a_toe_under_surgery_counts() {
        assert_eq!(paths(&RULE, "problem: {toes: {L1: {infected: true}}}"), ["problem.toes.L1.infected"]);
        assert_eq!(
            weights(&RULE, "problem: {toes: {L1: {infected: true}}}"),
            [Severity::Note],
            "it is why she came"
        );
        assert!(paths(&RULE, "problem: {toes: {R1: {infected: true}}}").is_empty());
        assert!(paths(&RULE, "problem: {toes: {L1: {infected: ~}}}").is_empty());
    }

    #[test]
    fn before_the_operation_the_plan_counts() {
        assert_eq!(paths(&RULE, "{operation: ~, problem: {toes: {L1: {infected: true}}}}").len(), 1);
        assert!(paths(&RULE, "{operation: ~, plan: ~, problem: {toes: {L1: {infected: true}}}}").is_empty());
    }
}
