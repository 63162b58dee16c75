//! A sample was sent from the operation, and nobody is named who acts on its result. Swabs of later visits are
//! `swab-without-owner`.

use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{RESULT_OWNER, without_owner};
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "sample-without-owner",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter"]),
    title: "a sample was sent, and nothing says who acts on the result",
    why: "Practice and clinic each take the other for the one who looks, and a result that matters stays unread: \
          under a nail it may be a melanoma.",
    cite: RESULT_OWNER,
    limits: "A result that stands there already is enough.",
    example: Example {
        bad: "operation: {samples: [{what: 'nail bed of L1, for histology'}]}",
        good: "operation: {samples: [{what: 'nail bed of L1, for histology', acts: R. Quill}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let samples = operation.samples.iter().enumerate();
    samples
        .filter_map(|(at, one)| without_owner(format!("operation.samples[{at}]"), &one.acts, &one.result))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_name_or_a_result_passes() {
        let sample =
            |rest: &str| paths(&RULE, &format!("operation: {{samples: [{{what: swab of L1{rest}}}]}}"));
        assert_eq!(sample(", lab: L-204"), ["operation.samples[0]"]);
        assert_eq!(sample(", acts: \" \"").len(), 1);
        assert!(sample(", acts: R. Quill").is_empty());
        assert!(sample(", result: no growth").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
