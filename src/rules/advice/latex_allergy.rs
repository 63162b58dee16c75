//! Allergy to latex, which gloves and tourniquets may contain.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::allergic_to;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The class of the table of allergies.
const CLASS: &str = "latex";

pub(super) static RULE: Rule = Rule {
    name: "latex-allergy",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "allergy to latex",
    why: "Gloves and tourniquets may contain latex, and a reaction can be severe.",
    cite: Cite::common_practice(),
    limits: "Does not know what the gloves and the tourniquet are made of. An allergy to banana, avocado, \
             kiwi or chestnut may go with one to latex and raises nothing.",
    example: Example {
        bad: "history: {allergies: [{to: latex, reaction: rash}]}",
        good: "history: {allergies: [{to: penicillin, reaction: rash}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    allergic_to(facts, CLASS)
        .map(|finding| finding.fix("say under `accepted` that tourniquet and gloves are free of latex"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn latex_in_any_spelling_and_nothing_else() {
        let several = "history: {allergies: [{to: penicillin}, {to: Rubber gloves}]}";
        assert_eq!(paths(&RULE, several), ["history.allergies[1].to"]);
        assert!(paths(&RULE, "history: {allergies: [{to: banana}]}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
