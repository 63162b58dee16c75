//! The time of phenol on an edge is unusual, or it is not clear how long it was on each of two. The sum is
//! worked out elsewhere.

use rust_decimal::Decimal;

use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::derive::treats_both_edges;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::minutes_and_seconds;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

/// The most seconds on an edge above which the time must be answered.
const LONGEST: Threshold = Threshold::PhenolLongest;
/// The most seconds on an edge above which the time is remarked on.
const USUAL: Threshold = Threshold::PhenolUsualUpTo;

pub(super) static RULE: Rule = Rule {
    name: "phenol-time",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the phenol was on for an unusual time",
    why: "Too short a time may let the nail grow back; a longer time burns more tissue and heals more \
          slowly.",
    cite: Cite::adapts(
        &sources::procedure::PHENOL_PRACTICE,
        "1 to 5 min in teaching and practice",
        "30 s is the shortest time for which a trial was seen (Int J Environ Res Public Health \
         2021;18:10478); the usual range up to 3 min is ours, since no guideline seen sets one",
    ),
    limits: "Counts the applications to one edge; of a whole nail, to its bed. Strength, blood in the groove \
             and how the tissue looked are not counted.",
    example: Example {
        bad: "operation: {toes: {L1: {phenol: {applications: 6, each: 60 s}}}}",
        good: "operation: {toes: {L1: {phenol: {applications: 3, each: 60 s}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (toe, done) in facts.operated() {
        let Some(used) = &done.phenol else { continue };
        let path = format!("operation.toes.{toe}.phenol");
        // Where one of the two is not recorded, that is said elsewhere.
        let (Some(count), Some(each)) = (used.applications.value(), used.each.value()) else { continue };
        let applications = format!("{} of {each}", Count(count.0.into(), "application"));
        let seconds = facts.derived.toes.get(&toe).and_then(|times| times.phenol_seconds.get());
        if let Some(seconds) = seconds {
            findings.extend(unusual(Finding::at(path), &applications, used.on.is_some(), *seconds));
        } else if treats_both_edges(&done) {
            let all = Decimal::from(count.0) * each.number();
            findings.push(unclear(Finding::at(path), &applications, all));
        }
    }
    findings
}

fn unusual(finding: Finding, applications: &str, is_on_edge: bool, seconds: Decimal) -> Option<Finding> {
    if is_within(USUAL, seconds) {
        return None;
    }
    let on_edge = if is_on_edge { "on each edge" } else { "in all" };
    let total = format!("{applications}, {} {on_edge}", minutes_and_seconds(seconds));
    Some(if is_within(LONGEST, seconds) {
        finding
            .says(format!("{total}; {} to {} is usual", said(Threshold::PhenolShortest), said(USUAL)))
            .weighs(Severity::Note)
    } else {
        finding
            .says(format!("{total}; the range is {} to {}", said(Threshold::PhenolShortest), said(LONGEST)))
            .fix("correct the entry, or say under `accepted` why this time was chosen")
    })
}

fn said(threshold: Threshold) -> String {
    minutes_and_seconds(threshold.number())
}

/// Both edges, and the record does not say whether each of them had so many applications.
fn unclear(finding: Finding, applications: &str, all: Decimal) -> Finding {
    let is_harmless = [all, all / Decimal::TWO].iter().all(|seconds| is_within(LONGEST, *seconds));
    let weight = if is_harmless { Severity::Note } else { Severity::Caution };
    finding
        .says(format!("{applications} on two edges: on each, or together?"))
        .fix("add `on: each edge` or `on: both edges together` to the block")
        .weighs(weight)
}

fn is_within(most: Threshold, seconds: Decimal) -> bool {
    Threshold::PhenolShortest.number() <= seconds && seconds <= most.number()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn once(seconds: &str) -> String {
        format!("operation: {{toes: {{L1: {{phenol: {{applications: 1, each: {seconds} s}}}}}}}}")
    }

    #[test]
    fn each_boundary_as_a_pair() {
        assert_eq!(weights(&RULE, &once("29.5")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &once("30")), []);
        assert_eq!(weights(&RULE, &once("180")), []);
        assert_eq!(weights(&RULE, &once("181")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("300")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("301")), [Severity::Caution]);
    }

    #[test]
    fn all_applications_count() {
        assert_eq!(
            says(&RULE, RULE.example.bad),
            ["6 applications of 60 s, 6 min in all; the range is 30 s to 5 min"]
        );
    }

    fn both_edges(applications: u8, on: &str) -> String {
        let phenol = format!("{{applications: {applications}, each: 60 s, on: {on}}}");
        format!("operation: {{toes: {{L1: {{edges: [medial, lateral], phenol: {phenol}}}}}}}")
    }

    /// Three applications of a minute on each of two edges are standard.
    #[test]
    fn two_edges_are_not_added_up() {
        assert!(paths(&RULE, &both_edges(3, "each edge")).is_empty());
        assert!(paths(&RULE, &both_edges(6, "both edges together")).is_empty());
        assert_eq!(
            says(&RULE, &both_edges(6, "each edge")),
            ["6 applications of 60 s, 6 min on each edge; the range is 30 s to 5 min"]
        );
    }

    #[test]
    fn two_edges_without_a_word_are_asked_about() {
        assert_eq!(weights(&RULE, &both_edges(3, "~")), [Severity::Note]);
        assert_eq!(
            says(&RULE, &both_edges(3, "~")),
            ["3 applications of 60 s on two edges: on each, or together?"]
        );
        assert_eq!(weights(&RULE, &both_edges(6, "~")), [Severity::Caution], "6 min if on each");
    }
}
