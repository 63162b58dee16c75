//! Phenol used after its expiry. A missing expiry is `expiry-missing`.

use super::phenol_toes;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::boxes::expiry_of_the_box;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-expired",
    topic: Topic::Phenol,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "the phenol had expired",
    why: "Nobody vouches for the strength of expired phenol. Most often the date was copied wrongly; \
          if not, it is an incident.",
    cite: Cite::common_practice(),
    limits: "An expiry that names only a month is good to the last day of it. How long a bottle has been \
             open is not known.",
    example: Example {
        bad: "operation: {phenol: {expires: 2026-10}}",
        good: "operation: {phenol: {expires: 2026-11}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let Some(expires) = operation.phenol.as_ref().and_then(|phenol| phenol.expires.value()) else {
        return Vec::new();
    };
    if phenol_toes(facts).is_empty() || operation.date <= expires.last_day {
        return Vec::new();
    }
    let found = Finding::at("operation.phenol.expires")
        .says(format!("expired {}", expires.clinical()))
        .see("operation.date", format!("used on {}", operation.date.clinical()))
        .fix("check the date on the pack");
    let supply = operation.phenol.as_ref().and_then(|phenol| phenol.supply.as_deref());
    vec![expiry_of_the_box(facts, supply, expires, found)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn expires(on: &str) -> String {
        format!("operation: {{phenol: {{expires: {on}}}}}")
    }

    #[test]
    fn the_last_day_passes_and_the_day_before_surgery_does_not() {
        assert!(paths(&RULE, &expires("2026-11-24")).is_empty());
        assert_eq!(paths(&RULE, &expires("2026-11-23")), ["operation.phenol.expires"]);
        assert!(paths(&RULE, &expires("2026-11")).is_empty());
        assert_eq!(says(&RULE, &expires("2026-10")), ["expired Oct-2026"]);
    }

    #[test]
    fn phenol_that_was_not_used_does_not_count() {
        let unused = "operation: {phenol: {expires: 2026-10}, toes: {L1: {phenol: ~}}}";
        assert!(paths(&RULE, unused).is_empty());
    }
}
