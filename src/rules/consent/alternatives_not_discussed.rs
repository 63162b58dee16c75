//! Consent without a record of the alternatives. Which alternatives are reasonable is not judged here.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "alternatives-not-discussed",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "no alternative is recorded as discussed",
    why: "The patient must be told of reasonable alternatives, no treatment among them, to be able to \
          choose.",
    cite: Cite::states(&sources::consent::MONTGOMERY, "reasonable alternative or variant treatments"),
    limits: "One entry is enough to silence it; which alternatives are reasonable is for the practitioner.",
    example: Example {
        bad: "consent: {alternatives: []}",
        good: "consent: {alternatives: [no treatment, conservative care]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let said = consent.alternatives.iter().flatten().any(|one| !one.trim().is_empty());
    if consent.signed.is_none() || said {
        return Vec::new();
    }
    vec![
        Finding::at("consent.alternatives")
            .says("no alternative is listed")
            .fix("list what was discussed, like `alternatives: [no treatment, conservative care]`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn one_alternative_passes_and_none_does_not() {
        assert!(paths(&RULE, "consent: {alternatives: [no treatment]}").is_empty());
        for none in ["[]", "~", "[\" \"]"] {
            assert_eq!(
                paths(&RULE, &format!("consent: {{alternatives: {none}}}")),
                ["consent.alternatives"],
                "{none}"
            );
        }
    }

    #[test]
    fn a_form_that_is_not_signed_yet_is_left_alone() {
        assert!(paths(&RULE, "{operation: ~, consent: {signed: ~, alternatives: ~}}").is_empty());
    }
}
