//! Phenol on a toe without a tourniquet.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-without-tourniquet",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "phenol without a tourniquet",
    why: "Blood in the groove stops phenol working, so the field is made bloodless first.",
    cite: Cite::common_practice(),
    limits: "The field may have been dry by other means, such as adrenaline: then say so under `accepted`.",
    example: Example {
        bad: "operation: {toes: {L1: {tourniquet: ~}}}",
        good: r#"operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:01"}}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    facts
        .operated()
        .iter()
        .filter(|(_, done)| done.phenol.is_some() && done.tourniquet.is_none())
        .map(|(toe, _)| {
            Finding::at(format!("operation.toes.{toe}.phenol"))
                .says(format!("phenol on {}, no tourniquet recorded", named(*toe)))
                .fix(format!(
                    "enter `operation.toes.{toe}.tourniquet`, or say under `accepted` how the field was \
                     kept dry"
                ))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_phenol_without_a_tourniquet_is_found() {
        assert_eq!(paths(&RULE, "operation: {toes: {L1: {tourniquet: ~}}}"), ["operation.toes.L1.phenol"]);
        assert!(paths(&RULE, "operation: {toes: {L1: {tourniquet: ~, phenol: ~}}}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
