//! An `accepted` entry for a stop that cannot be accepted.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, accept, rule};

pub(super) static RULE: Rule = Rule {
    name: "accepted-not-acceptable",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an accepted entry names a stop that cannot be accepted",
    why: "A stop means that a document would be false or unsafe. No reason changes that, so the entry would \
          only seem to settle it.",
    cite: Cite::project_default(
        "only cautions, and the stops marked so in the table of rules, can be accepted",
    ),
    limits: "Some stops may be accepted with a reason: `unguis explain` says which.",
    example: Example {
        bad: r"{operation: {toes: {L1: {tourniquet: {off: ~}}}},
 accepted: [{rule: tourniquet-not-removed, because: I remember it, by: R. Quill}]}",
        good: r"{operation: {toes: {L1: {refill: 4 s}}},
 accepted: [{rule: refill-slow, because: cold room; pink at 5 min, by: R. Quill}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (at, entry) in facts.case.accepted.iter().enumerate() {
        // A name that is not a rule is `accepted-unmatched`.
        let Some(named) = rule(&entry.rule) else { continue };
        if !accept::is_about_answers(named) && !stands(facts, named) {
            continue;
        }
        findings.push(
            Finding::at(format!("accepted[{at}].rule"))
                .says(format!("`{}` is a stop that cannot be accepted", named.name))
                .fix(match named.answered_by {
                    AnsweredBy::Incident => {
                        "put right what it found and take the entry out; if it really happened, record it \
                         under `incidents`"
                    }
                    AnsweredBy::Never | AnsweredBy::Reason => {
                        "put right what it found and take the entry out"
                    }
                }),
        );
    }
    findings
}

/// A finding of this rule stands that no entry can answer.
fn stands(facts: &Facts, named: &Rule) -> bool {
    (named.check)(facts).iter().any(|finding| !accept::may_be_accepted(named, accept::weight(named, finding)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn entry(operation: &str, rule: &str) -> String {
        format!("{operation}\naccepted: [{{rule: {rule}, because: so, by: R. Quill}}]")
    }

    #[test]
    fn a_plain_stop_is_found_and_one_that_may_be_accepted_is_not() {
        let long = r#"operation: {finish: "10:30", toes: {L1: {tourniquet: {off: "10:21"}}}}"#;
        assert!(paths(&RULE, &entry(long, "tourniquet-long")).is_empty());
        let future = "operation: {date: 2026-12-24}";
        assert_eq!(paths(&RULE, &entry(future, "operation-in-future")), ["accepted[0].rule"]);
    }

    /// `dates-out-of-order` is a stop, but weighs a late blood test as a caution.
    #[test]
    fn the_weight_of_the_finding_decides_not_that_of_the_rule() {
        let late = "history: {diabetes: {type: 2, tested: 2026-11-25}}";
        assert!(paths(&RULE, &entry(late, "dates-out-of-order")).is_empty());
        let early = "follow_up: {first_redressing: 2026-11-20}";
        assert_eq!(paths(&RULE, &entry(early, "dates-out-of-order")).len(), 1);
    }
}
