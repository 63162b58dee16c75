//! A medicine or a condition that weakens the defence against infection.

use crate::derive::IMMUNITY;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "immunosuppression",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet", "dressing-leaflet"]),
    title: "the patient's immune system is suppressed",
    why: "Infection is likelier, shows less and spreads faster. The patient is seen sooner and told to call \
          earlier.",
    cite: IMMUNITY,
    limits: "Knows the names in its tables, not the dose. Creams, inhalers and drops do not count. Diabetes has \
             rules of its own.",
    example: Example {
        bad: "history: {medicines: [methotrexate]}",
        good: "history: {medicines: [hydroxychloroquine]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((first, rest)) = facts.derived.weak_immunity.reasons.split_first() else { return Vec::new() };
    let finding = Finding::at(first.path.clone()).says(first.says.clone()).fix(
        "say under `accepted` how infection is guarded against: who was asked, and when the toe is looked at",
    );
    vec![rest.iter().fold(finding, |finding, more| finding.see(more.path.clone(), &more.says))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    #[test]
    fn medicine_and_condition_are_one_finding() {
        let both = "history: {medicines: [metformin, tacrolimus], conditions: [kidney transplant]}";
        let found = findings(&RULE, both);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.to_string(), "history.medicines[1]");
        assert_eq!(found[0].see[0].0.to_string(), "history.conditions[0]");
        assert_eq!(says(&RULE, both), ["takes tacrolimus"]);
    }

    #[test]
    fn either_is_enough_and_neither_raises_nothing() {
        assert_eq!(paths(&RULE, "history: {conditions: [neutropenia]}"), ["history.conditions[0]"]);
        assert_eq!(paths(&RULE, "history: {medicines: [prednisolone 5 mg]}"), ["history.medicines[0]"]);
        assert!(paths(&RULE, "history: {conditions: [rheumatoid arthritis]}").is_empty());
    }
}
