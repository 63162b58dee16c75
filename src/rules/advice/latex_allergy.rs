//! Allergy to latex, which gloves and tourniquets may contain.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::allergic_to;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// The classes of the table of allergies.
const CLASS: Class = Class::Latex;
const FRUIT: Class = Class::LatexFruit;

pub(super) static RULE: Rule = Rule {
    name: "latex-allergy",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "allergy to latex",
    why: "Gloves and tourniquets may contain latex, and a reaction can be severe.",
    cite: Cite::adapts(
        &sources::advice::LATEX_FRUIT,
        "banana, avocado and kiwi",
        "30 to 80 % of people allergic to latex are said to react to such fruit; the question the other way round, \
         and that gloves and tourniquet are looked at, are ours",
    ),
    limits: "Does not know what the gloves and the tourniquet are made of. An allergy to banana, avocado, \
             kiwi or chestnut, which may go with one to latex, is a note.",
    example: Example {
        bad: "history: {allergies: [{to: latex, reaction: rash}]}",
        good: "history: {allergies: [{to: penicillin, reaction: rash}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let latex = allergic_to(facts, CLASS)
        .map(|finding| finding.fix("say under `accepted` that tourniquet and gloves are free of latex"));
    let fruit = allergic_to(facts, FRUIT).map(|finding| {
        finding
            .fix("ask whether rubber gloves or balloons make the skin itch or swell")
            .weighs(Severity::Note)
    });
    latex.chain(fruit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn latex_in_any_spelling_and_nothing_else() {
        let several = "history: {allergies: [{to: penicillin}, {to: Rubber gloves}]}";
        assert_eq!(paths(&RULE, several), ["history.allergies[1].to"]);
        assert_eq!(weights(&RULE, several), [Severity::Caution]);
        assert_eq!(weights(&RULE, "history: {allergies: [{to: banana}, {to: kiwi}]}"), [Severity::Note; 2]);
        assert!(paths(&RULE, "history: {allergies: [{to: peanut}]}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
