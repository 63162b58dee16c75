//! The toes on the signed form against the plan and the operation. Without `consent.toes` the form is
//! taken to follow the plan, and plan against operation is other rules' business.

use std::collections::BTreeSet;

use crate::anatomy::{Edge, Nail, Toe};
use crate::case::{ConsentedToe, OperatedToe, Removed};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::{Facts, covers};
use crate::rules::words::{is_blank, named, removal};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "consent-toe-mismatch",
    topic: Topic::CorrectSite,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::All,
    title: "the signed form does not match the plan or the operation",
    why: "What the patient signed is what may be done. A form for another toe or edge is no consent to this \
          one.",
    cite: Cite::adapts(
        &sources::consent::HCPC_STANDARDS,
        "1.4",
        "the source asks for valid and informed consent before treatment; comparing toe by toe and edge by \
         edge is ours",
    ),
    limits: "Compares `consent.toes` as typed, not the paper that was signed.",
    example: Example {
        bad: "consent: {toes: {R1: {nail: partial, edges: [lateral]}}}",
        good: "consent: {toes: {L1: {nail: partial, edges: [lateral]}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(form) = facts.case.consent.as_ref().and_then(|consent| consent.toes.as_ref()) else {
        return Vec::new();
    };
    Toe::ALL
        .into_iter()
        .filter_map(|toe| match form.get(toe) {
            None => not_on_the_form(facts, toe),
            Some(signed) => differs(facts, toe, signed),
        })
        .map(|finding| {
            finding.fix(
                "correct the entry that was written wrongly; if the form itself is wrong, a new form must be \
                 signed before surgery; if surgery went beyond the form, record it under `incidents`",
            )
        })
        .collect()
}

fn not_on_the_form(facts: &Facts, toe: Toe) -> Option<Finding> {
    let finding = Finding::at("consent.toes").says(format!("{} is not on the signed form", named(toe)));
    if done(facts, toe).is_some() {
        return Some(finding.see(format!("operation.toes.{toe}"), "it was operated on"));
    }
    // After the operation a planned toe may have been left alone because consent was not given for it.
    let is_planned = facts.case.plan.as_ref().is_some_and(|plan| plan.get(toe).is_some());
    (is_planned && facts.case.operation.is_none())
        .then(|| finding.see(format!("plan.{toe}"), "it is planned"))
}

fn differs(facts: &Facts, toe: Toe, signed: &ConsentedToe) -> Option<Finding> {
    let says = format!("the form says {}", removal(signed.nail, &signed.edges));
    let mut finding = Finding::at(format!("consent.toes.{toe}")).says(says);
    let plan = facts.case.plan.as_ref().and_then(|plan| plan.get(toe));
    match plan {
        Some(plan) if extent(plan.nail, &plan.edges) != extent(signed.nail, &signed.edges) => {
            finding = finding
                .see(format!("plan.{toe}"), format!("the plan says {}", removal(plan.nail, &plan.edges)));
        }
        None if done(facts, toe).is_none() && !is_excused(facts, toe) => {
            finding = finding.see("plan", format!("the plan does not name {toe}"));
        }
        _ => {}
    }
    if let Some(done) = done(facts, toe)
        && !is_covered(signed, done)
    {
        finding = finding.see(
            format!("operation.toes.{toe}"),
            match done.nail.nail() {
                Some(nail) => format!("the operation note says {}", removal(nail, &done.edges)),
                None => "it was prepared for surgery".to_owned(),
            },
        );
    }
    (!finding.see.is_empty()).then_some(finding)
}

fn done(facts: &Facts, toe: Toe) -> Option<&OperatedToe> {
    facts.case.operation.as_ref()?.toes.get(toe)
}

fn is_excused(facts: &Facts, toe: Toe) -> bool {
    let reasons = facts.case.operation.as_ref().and_then(|operation| operation.not_done.as_ref());
    reasons.is_some_and(|reasons| !is_blank(reasons.get(toe).map(String::as_str)))
}

/// What is removed, so that the order of edges does not matter; `None` is the whole nail.
fn extent(nail: Nail, edges: &[Edge]) -> Option<BTreeSet<Edge>> {
    (nail == Nail::Partial).then(|| edges.iter().copied().collect())
}

/// Nothing beyond the form was removed, or the patient agreed to it on the day.
fn is_covered(signed: &ConsentedToe, done: &OperatedToe) -> bool {
    let is_within = match done.nail {
        // On the form the toe stands; more was not done.
        Removed::None => true,
        Removed::Total => signed.nail == Nail::Total,
        Removed::Partial => done.edges.iter().all(|edge| covers(signed.nail, &signed.edges, *edge)),
    };
    is_within || !is_blank(done.agreed_on_day.as_deref())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn the_other_foot_is_found_from_both_sides() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["consent.toes.R1", "consent.toes"]);
    }

    #[test]
    fn the_other_edge_is_one_finding_with_both_places() {
        let found = findings(&RULE, "consent: {toes: {L1: {nail: partial, edges: [medial]}}}");
        let places: Vec<String> = found[0].see.iter().map(|(path, _)| path.to_string()).collect();
        assert_eq!((found.len(), places.join(" ")), (1, "plan.L1 operation.toes.L1".into()));
    }

    #[test]
    fn the_order_of_edges_does_not_matter() {
        let swapped = "{plan: {L1: {edges: [medial, lateral]}}, \
                       consent: {toes: {L1: {nail: partial, edges: [lateral, medial]}}}}";
        assert!(paths(&RULE, swapped).is_empty());
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn a_form_for_more_than_was_done_covers_it() {
        let total = "{plan: {L1: {nail: total}}, consent: {toes: {L1: {nail: total}}}}";
        assert!(paths(&RULE, total).is_empty());
    }

    #[test]
    fn agreement_on_the_day_covers_an_edge_but_not_a_toe() {
        let edge = "{consent: {toes: {L1: {nail: partial, edges: [lateral]}}}, \
                     operation: {toes: {L1: {edges: [lateral, medial], agreed_on_day: by mouth}}}}";
        assert!(paths(&RULE, edge).is_empty());
        let toe = "{consent: {toes: {R1: {nail: partial, edges: [lateral]}}}, \
                    operation: {toes: {L1: {agreed_on_day: by mouth}}}}";
        assert!(paths(&RULE, toe).contains(&"consent.toes".to_owned()));
    }

    #[test]
    fn a_planned_toe_left_out_of_the_form_counts_only_before_surgery() {
        let two = |operation: &str| {
            format!(
                "{{plan: {{R1: {{nail: total, matrix: none}}}}, \
                  consent: {{toes: {{L1: {{nail: partial, edges: [lateral]}}}}}}{operation}}}"
            )
        };
        assert_eq!(paths(&RULE, &two(", operation: ~")), ["consent.toes"]);
        assert!(paths(&RULE, &two("")).is_empty());
    }
}
