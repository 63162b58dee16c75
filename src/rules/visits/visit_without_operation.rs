//! Visits are recorded, and there was no operation. One before the operation is `dates-out-of-order`.

use super::SEEN;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "visit-without-operation",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: SEEN,
    title: "a visit after surgery is recorded, and there was no surgery",
    why: "A note of such a visit counts days since an operation that is not there. Either the operation was not \
          entered, or the visit belongs to another case.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "A telephone call and a visit that was missed are let through: they can be about what is planned.",
    example: Example {
        bad: r#"{operation: ~, visits: [{on: 2026-11-24, kind: review}]}"#,
        good: r#"{operation: ~, visits: [{on: 2026-11-24, kind: telephone}]}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.operation.is_some() {
        return Vec::new();
    }
    let seen = facts.case.visits.iter().enumerate().filter(|(_, visit)| visit.kind.is_seen());
    seen.map(|(at, visit)| {
        Finding::at(format!("visits[{at}].kind"))
            .says(format!("{} on {}", visit.kind.word(), visit.on.clinical()))
            .fix("enter the operation, or take the visit into the case to which it belongs")
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn what_was_seen_needs_an_operation_and_a_call_does_not() {
        let visit = |kind: &str| format!("{{operation: ~, visits: [{{on: 2026-11-24, kind: {kind}}}]}}");
        for kind in ["redressing", "review", "unplanned"] {
            assert_eq!(paths(&RULE, &visit(kind)), ["visits[0].kind"], "{kind}");
        }
        for kind in ["telephone", "missed"] {
            assert!(paths(&RULE, &visit(kind)).is_empty(), "{kind}");
        }
        let given_up = "{operation: {toes: ~, abandoned: {because: fainted}}, \
                        visits: [{on: 2026-11-25, kind: review}]}";
        assert!(paths(&RULE, given_up).is_empty());
    }
}
