//! A condition that is not in the table, so that no rule knows it.

use crate::clinical::Cite;
use crate::clinical::tables::conditions;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::meant;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "condition-unknown",
    topic: Topic::Bleeding,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "dressing-leaflet",
        "visit-letter",
    ]),
    title: "a condition is not in the table",
    why: "No rule looks at a condition that it does not know: whether it speaks against the anaesthetic or \
          slows healing is for the practitioner to judge.",
    cite: Cite::project_default("a name is never guessed from how it is built, nor passed over in silence"),
    limits: "The table holds common names and spellings and is not complete.",
    example: Example { bad: "history: {conditions: [astma]}", good: "history: {conditions: [asthma]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let unknown =
        facts.derived.conditions.iter().enumerate().filter(|(_, condition)| condition.name.is_none());
    unknown
        .map(|(at, condition)| {
            let typed = &condition.typed;
            let fix = match meant(typed, &[conditions()]) {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    "write the usual name; if it is written rightly, judge the condition yourself".to_owned()
                }
            };
            Finding::at(format!("history.conditions[{at}]"))
                .says(format!("`{typed}` is not in the table of conditions"))
                .fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_slip_is_answered_with_the_condition_that_was_meant() {
        let found = findings(&RULE, "history: {conditions: [asthma, epilepsi]}");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.to_string(), "history.conditions[1]");
        assert_eq!(found[0].fix.as_deref(), Some("did you mean `epilepsy`?"));
    }

    #[test]
    fn known_conditions_and_none_raise_nothing() {
        assert!(paths(&RULE, "history: {conditions: [High blood pressure, type 2 diabetes]}").is_empty());
        assert!(paths(&RULE, "history: {conditions: []}").is_empty());
    }
}
