//! A condition in which blood clots badly.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "bleeding-disorder",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "dressing-leaflet",
    ]),
    title: "a bleeding disorder is recorded",
    why: "Some bleeding disorders need treatment before even small surgery, and the team that knows the \
          patient can say which.",
    cite: Cite::common_practice(),
    limits: "Knows the names in its table, not how severe the disorder is.",
    example: Example { bad: "history: {conditions: [haemophilia]}", good: "history: {conditions: [asthma]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let disorders = facts.derived.bleeding_risk.disorders.iter();
    disorders
        .map(|reason| {
            Finding::at(reason.path.clone())
                .says(reason.says.clone())
                .fix("say under `accepted` who advised on it and what was arranged")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn only_bleeding_disorders_are_reported() {
        let several = "history: {conditions: [asthma, Von Willebrand's disease]}";
        assert_eq!(paths(&RULE, several), ["history.conditions[1]"]);
        assert_eq!(says(&RULE, several), ["Von Willebrand's disease"]);
        assert!(paths(&RULE, "history: {conditions: [anaemia]}").is_empty());
    }
}
