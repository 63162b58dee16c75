//! More anaesthetic in one toe than the volume that is stated for a digit.

use super::injections;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::units::Millilitres;
use rust_decimal::Decimal;

/// ml for one toe that nobody needs to explain.
const MOST_PER_TOE: Millilitres = Millilitres(Decimal::from_parts(44, 0, 0, false, 1));

pub(super) static RULE: Rule = Rule {
    name: "volume-per-toe",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "a large volume of anaesthetic in one toe",
    why: "A toe has little room: a large volume presses on its vessels.",
    cite: Cite::adapts(
        &sources::anaesthetic::MEPIVACAINE_MONOGRAPH,
        "chiropody dose",
        "132 mg, 4.4 ml of 3 %, for each digit are stated for mepivacaine; the volume is used for every agent",
    ),
    limits: "Counts the volume over all agents and top-ups of one toe, not where or how fast it was \
             injected. 4.4 ml exactly passes.",
    example: Example {
        bad: "operation: {toes: {L1: {injected: 4.5 ml}}}",
        good: "operation: {toes: {L1: {injected: 4.4 ml}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let all = injections(facts);
    let mut findings = Vec::new();
    for (toe, _) in facts.operated() {
        let here: Vec<_> = all.iter().filter(|injection| injection.toe == toe).collect();
        let total = Millilitres(here.iter().map(|injection| injection.volume.number()).sum());
        if total > MOST_PER_TOE {
            findings.push(
                Finding::at(format!("operation.toes.{toe}.injected"))
                    .says(format!("{total} in {}; more than {MOST_PER_TOE} is much for a toe", named(toe)))
                    .fix("correct the volume, or say under `accepted` why so much and how the toe was after"),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn injected(volume: &str) -> String {
        format!("operation: {{toes: {{L1: {{injected: {volume}}}}}}}")
    }

    #[test]
    fn the_volume_itself_passes() {
        assert!(paths(&RULE, &injected("4.4 ml")).is_empty());
        assert_eq!(
            says(&RULE, &injected("4.41 ml")),
            ["4.41 ml in L1 (left hallux); more than 4.4 ml is much for a toe"]
        );
    }

    #[test]
    fn top_ups_add_up() {
        assert!(paths(&RULE, &injected("[{volume: 2.2 ml}, {volume: 2.2 ml}]")).is_empty());
        assert_eq!(
            paths(&RULE, &injected("[{volume: 2.2 ml}, {volume: 2.3 ml}]")),
            ["operation.toes.L1.injected"]
        );
    }
}
