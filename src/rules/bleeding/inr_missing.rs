//! Warfarin or its kin without an INR.

use super::{VITAMIN_K_ANTAGONIST, as_typed, taken};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "inr-missing",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "no INR is recorded for a patient on warfarin",
    why: "The effect of warfarin changes from week to week. Only the INR says how much the toe will bleed.",
    cite: Cite::adapts(
        &sources::advice::ANTICOAGULANT_SKIN,
        "INR over 3.5",
        "the source names the number for skin surgery; asking for the result before nail surgery is ours",
    ),
    limits: "Knows warfarin, acenocoumarol and phenindione. Other anticoagulants are not measured by INR.",
    example: Example {
        bad: "history: {medicines: [warfarin]}",
        good: "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.history.as_ref().is_none_or(|history| history.inr.is_some()) {
        return Vec::new();
    }
    let Some((path, medicine)) = taken(facts, VITAMIN_K_ANTAGONIST).next() else { return Vec::new() };
    vec![
        Finding::at(path)
            .says(format!("takes {}, and no INR is recorded", as_typed(medicine)))
            .fix("enter the last result under `history.inr`: `value` and `tested`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_vitamin_k_antagonists_need_one() {
        assert_eq!(paths(&RULE, "history: {medicines: [aspirin, warfarin]}"), ["history.medicines[1]"]);
        assert_eq!(paths(&RULE, "history: {medicines: [acenocoumarol]}").len(), 1);
        assert!(paths(&RULE, "history: {medicines: [apixaban]}").is_empty());
        assert!(
            paths(&RULE, "history: {medicines: [warfarin], inr: {value: 9, tested: 2020-01-01}}").is_empty()
        );
    }
}
