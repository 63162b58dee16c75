//! A case that was closed for a reason that the operation contradicts.

use super::CLOSING;
use crate::case::ClosedBecause;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "closed-against-record",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: CLOSING,
    title: "the case was closed as not operated on, and nail was removed",
    why: "The closing letter would say that nothing was done.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "An operation that was given up before anything was removed is none in this sense.",
    example: Example {
        bad: r#"closed: {on: 2026-11-25, because: not operated}"#,
        good: r#"closed: {on: 2026-11-25, because: own wish}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let is_said =
        facts.case.closed.as_ref().is_some_and(|closed| closed.because == ClosedBecause::NotOperated);
    let Some((toe, _)) = facts.operated().into_iter().next().filter(|_| is_said) else { return Vec::new() };
    vec![
        Finding::at("closed.because")
            .says("not operated")
            .see(format!("operation.toes.{toe}"), "it was operated on")
            .fix("write the reason that is true: `healed`, `lost`, `moved away`, `own wish`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_where_nail_was_removed() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["closed.because"]);
        let given_up = "{operation: {toes: ~, abandoned: {because: fainted}}, \
                        closed: {on: 2026-11-25, because: not operated}}";
        assert!(paths(&RULE, given_up).is_empty());
        assert!(paths(&RULE, "{operation: ~, closed: {on: 2026-11-25, because: not operated}}").is_empty());
    }
}
