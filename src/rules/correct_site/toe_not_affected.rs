//! Surgery is planned where no problem was recorded. A case without `problem.toes` has nothing to compare.

use crate::anatomy::Nail;
use crate::clinical::Cite;
use crate::derive::edges_in_words;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "toe-not-affected",
    topic: Topic::CorrectSite,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "surgery is planned where no problem is recorded",
    why: "The assessment is the first place in which the toe and the edge are written. Where the plan \
          differs from it, one of the two is probably a slip, and the plan is what the form and the \
          operation follow.",
    cite: Cite::common_practice(),
    limits: "Silent if no affected toe, or no affected edge of that toe, is recorded. \
             A sound edge may be planned for a good reason, such as a nail curved on both sides.",
    example: Example {
        bad: "problem: {toes: {L1: ~, R1: {edges: [lateral]}}}",
        good: "problem: {toes: {L1: {edges: [lateral]}, R1: {edges: [lateral]}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(affected) = facts.case.affected() else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    for (toe, plan) in facts.planned() {
        let Some(found) = affected.get(toe) else {
            let toes = List::and(affected.iter().map(|(toe, _)| named(toe)));
            findings.push(
                Finding::at(format!("plan.{toe}"))
                    .at_key()
                    .says(format!("{} is planned", named(toe)))
                    .see("problem.toes", format!("the problem is recorded for {toes}"))
                    .fix(format!(
                        "correct the toe, or record what is wrong with it under `problem.toes.{toe}`"
                    )),
            );
            continue;
        };
        if plan.nail == Nail::Total || found.edges.is_empty() {
            continue;
        }
        for (at, edge) in plan.edges.iter().enumerate() {
            if found.edges.contains(edge) {
                continue;
            }
            findings.push(
                Finding::at(format!("plan.{toe}.edges[{at}]"))
                    .says(format!("the {} edge of {toe} is planned", edge.word()))
                    .see(
                        format!("problem.toes.{toe}.edges"),
                        format!("ingrown: {}", edges_in_words(&found.edges)),
                    )
                    .fix(format!("correct the edge, or add it to `problem.toes.{toe}.edges`")),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn another_toe_and_another_edge_are_found() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["plan.L1"]);
        assert_eq!(paths(&RULE, "plan: {L1: {edges: [medial]}}"), ["plan.L1.edges[0]"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn silent_where_there_is_nothing_to_compare() {
        assert!(paths(&RULE, "problem: ~").is_empty());
        assert!(
            paths(&RULE, "{plan: {L1: {edges: [medial]}}, problem: {toes: {L1: {edges: []}}}}").is_empty()
        );
        assert!(paths(&RULE, "plan: {L1: {nail: total, edges: [medial]}}").is_empty());
    }
}
