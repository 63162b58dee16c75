//! A medicine or a condition that weakens the defence against infection.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The class of the table of medicines.
const MEDICINE: &str = "immunosuppressant";
/// The class of the table of conditions.
const CONDITION: &str = "immunosuppression";

pub(super) static RULE: Rule = Rule {
    name: "immunosuppression",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet"]),
    title: "the patient's immune system is suppressed",
    why: "Infection is likelier, shows less and spreads faster. The patient is seen sooner and told to call \
          earlier.",
    cite: Cite::from_memory(&sources::procedure::INFECTION_FACTORS, "immunosuppression"),
    limits: "Knows the names in its tables, not the dose. A steroid cream counts like tablets. Diabetes has \
             rules of its own.",
    example: Example {
        bad: "history: {medicines: [methotrexate]}",
        good: "history: {medicines: [hydroxychloroquine]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let medicines = facts.derived.medicines.iter().enumerate().filter(|(_, item)| item.is(MEDICINE));
    let conditions = facts.derived.conditions.iter().enumerate().filter(|(_, item)| item.is(CONDITION));
    let mut causes = medicines
        .map(|(at, item)| (format!("history.medicines[{at}]"), format!("takes {}", item.typed)))
        .chain(conditions.map(|(at, item)| (format!("history.conditions[{at}]"), item.typed.clone())));
    let Some((path, first)) = causes.next() else { return Vec::new() };
    let finding = Finding::at(path).says(first).fix(
        "say under `accepted` how infection is guarded against: who was asked, and when the toe is looked at",
    );
    vec![causes.fold(finding, |finding, (path, label)| finding.see(path, label))]
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
