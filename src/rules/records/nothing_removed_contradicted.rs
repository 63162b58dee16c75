//! A toe of which nothing was removed, with an edge or phenol all the same.

use crate::case::Removed;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "nothing-removed-contradicted",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "a toe of which nothing was removed has an edge or phenol",
    why: "One of the two is wrong, and the letter would say that there is no wound.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for accurate records; comparing the entries of a toe is ours",
    ),
    limits: "Looks at `edges`, `phenol` and `groove_clear` alone.",
    example: Example {
        bad: "operation: {toes: {L1: {nail: none}}}",
        good: "operation: {toes: {L1: {nail: none, edges: ~, phenol: ~, groove_clear: ~}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let empty = facts.treated().into_iter().filter(|(_, done)| done.nail == Removed::None);
    empty
        .filter_map(|(toe, done)| {
            let key = match () {
                () if !done.edges.is_empty() => "edges",
                () if done.phenol.is_some() => "phenol",
                () if done.groove_clear.is_some() => "groove_clear",
                () => return None,
            };
            let path = format!("operation.toes.{toe}");
            Some(
                Finding::at(format!("{path}.nail"))
                    .says(format!("nothing was removed from {}", named(toe)))
                    .see(format!("{path}.{key}"), "but this is recorded")
                    .fix("write what was removed, or take out what was not done"),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn each_trace_of_surgery_contradicts_it_and_an_injection_does_not() {
        let none = |rest: &str| format!("operation: {{toes: {{L1: {{nail: none, {rest}}}}}}}");
        assert!(paths(&RULE, "").is_empty());
        assert!(paths(&RULE, &none("edges: ~, phenol: ~, groove_clear: ~")).is_empty());
        for trace in [
            "phenol: ~, groove_clear: ~",
            "edges: ~, groove_clear: ~",
            "edges: ~, phenol: ~, groove_clear: true",
        ] {
            assert_eq!(paths(&RULE, &none(trace)), ["operation.toes.L1.nail"], "{trace}");
        }
    }
}
