//! An injection that went through infected skin. That the toe was infected at all is `infected-toe`, and
//! infection that spreads is `cellulitis`.

use super::injections;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "injection-into-infection",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an injection through infected skin",
    why: "Inflamed tissue takes up the anaesthetic faster and is numbed less, and a needle can carry \
          infection further.",
    cite: Cite::adapts(
        &sources::anaesthetic::BNF,
        "local anaesthesia",
        "it says not to inject into inflamed or infected tissue; a block at the root of the toe may lie outside it",
    ),
    limits: "Knows only what is written as `through_infected_skin`. A block at the root of an infected toe lies \
             in healthy skin as a rule, and is not asked about.",
    example: Example {
        bad: "operation: {toes: {L1: {through_infected_skin: true}}}",
        good: "{problem: {toes: {L1: {infected: true}}}, operation: {toes: {L1: {through_infected_skin: false}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let injected = injections(facts);
    let through = facts.treated().into_iter().filter(|(_, done)| done.through_infected_skin == Some(true));
    let findings = through.filter_map(|(toe, _)| {
        let injection = injected.iter().find(|injection| injection.toe == toe)?;
        Some(
            Finding::at(format!("operation.toes.{toe}.through_infected_skin"))
                .says(format!("{} injected into {}", injection.amount(), named(toe)))
                .see(injection.path.clone(), "the injection")
                .fix("say under `accepted` why there, and how the toe was afterwards; or correct the entry"),
        )
    });
    findings.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn through(answer: &str) -> String {
        format!("operation: {{toes: {{L1: {{through_infected_skin: {answer}}}}}}}")
    }

    #[test]
    fn only_a_needle_through_infected_skin_is_asked_about() {
        assert_eq!(paths(&RULE, &through("true")), ["operation.toes.L1.through_infected_skin"]);
        assert_eq!(says(&RULE, &through("true")), ["2.2 ml injected into L1 (left hallux)"]);
        assert!(paths(&RULE, &through("false")).is_empty());
        assert!(paths(&RULE, "problem: {toes: {L1: {infected: true}}}").is_empty());
        assert!(
            paths(&RULE, "problem: {toes: {L1: {cellulitis: true}}}").is_empty(),
            "that is a stop of its own"
        );
    }

    #[test]
    fn nothing_injected_is_nothing_to_say() {
        let none = "operation: {toes: {L1: {injected: 0 ml, through_infected_skin: true}}}";
        assert!(paths(&RULE, none).is_empty());
    }
}
