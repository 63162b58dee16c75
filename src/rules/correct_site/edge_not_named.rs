//! A partial avulsion without an edge, wherever it is written. Which edge is right is not judged here.

use crate::anatomy::{Edge, Nail, Toe};
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "edge-not-named",
    topic: Topic::CorrectSite,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "a partial avulsion without its edge",
    why: "Without the edge neither the consent form nor the operation note says what is removed.",
    cite: Cite::common_practice(),
    limits: "Does not know which edge is meant. An edge written beside a total avulsion is left alone.",
    example: Example { bad: "plan: {L1: {edges: []}}", good: "plan: {L1: {edges: [lateral]}}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let planned =
        facts.planned().into_iter().map(|(toe, entry)| ("plan", toe, entry.nail, entry.edges.as_slice()));
    let consent = facts.case.consent.as_ref().and_then(|consent| consent.toes.as_ref());
    let consented = consent
        .iter()
        .flat_map(|toes| toes.iter())
        .map(|(toe, entry)| ("consent.toes", toe, entry.nail, entry.edges.as_slice()));
    let operated =
        facts.operated().into_iter().map(|(toe, entry)| ("operation.toes", toe, entry.nail, entry.edges()));
    planned
        .chain(consented)
        .chain(operated)
        .filter(|(_, _, nail, edges)| *nail == Nail::Partial && edges.is_empty())
        .map(|(block, toe, _, _)| finding(block, toe))
        .collect()
}

fn finding(block: &str, toe: Toe) -> Finding {
    let [medial, lateral] = [Edge::Medial, Edge::Lateral].map(Edge::word);
    Finding::at(format!("{block}.{toe}.edges"))
        .says(format!("no edge of {} is named", named(toe)))
        .fix(format!("add `edges: [{medial}]`, `edges: [{lateral}]` or both, or write `nail: total`"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_of_the_three_places_is_looked_at() {
        assert_eq!(paths(&RULE, "plan: {L1: {edges: []}}"), ["plan.L1.edges"]);
        assert_eq!(paths(&RULE, "consent: {toes: {L1: {nail: partial}}}"), ["consent.toes.L1.edges"]);
        assert_eq!(paths(&RULE, "operation: {toes: {L1: {edges: ~}}}"), ["operation.toes.L1.edges"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn a_total_avulsion_needs_no_edge() {
        assert!(paths(&RULE, "plan: {L1: {nail: total, edges: []}}").is_empty());
    }
}
