//! Something was seen of a toe that was not operated on.

use super::{SEEN, seen_toes};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "visit-toe-not-operated",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: SEEN,
    title: "a toe of a visit was not operated on",
    why: "Either the visit names the wrong toe or the operation does, and healing and infection are counted for \
          the wrong one.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Another complaint of another toe belongs into `note`. Of an operation that was given up, the toes that were prepared count.",
    example: Example {
        bad: r#"visits: [{on: 2026-11-27, kind: redressing, toes: {R1: {wound: dry}}}]"#,
        good: r#"visits: [{on: 2026-11-27, kind: redressing, toes: {L1: {wound: dry}}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.operation.is_none() {
        return Vec::new();
    }
    let treated = facts.treated();
    seen_toes(facts)
        .filter(|(_, _, toe, _)| treated.iter().all(|(other, _)| other != toe))
        .map(|(at, _, toe, _)| {
            let toes = List::and(treated.iter().map(|(toe, _)| named(*toe)));
            let finding = Finding::at(format!("visits[{at}].toes.{toe}"))
                .at_key()
                .says(format!("{} was seen", named(toe)))
                .fix("correct the toe; what is said of another toe stands under `note` of the visit");
            match treated.is_empty() {
                true => finding.see("operation.date", "the operation names no toe"),
                false => finding.see("operation.toes", format!("the operation names {toes}")),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_other_foot_is_found_and_the_same_toe_is_not() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["visits[0].toes.R1"]);
        assert!(paths(&RULE, RULE.example.good).is_empty());
        let two =
            "visits: [{on: 2026-11-27, kind: telephone, toes: {L1: {healed: false}, L2: {healed: true}}}]";
        assert_eq!(paths(&RULE, two), ["visits[0].toes.L2"]);
    }
}
