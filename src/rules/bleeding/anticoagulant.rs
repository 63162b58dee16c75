//! A medicine that stops blood from clotting. The INR has rules of its own.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "anticoagulant",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "an anticoagulant is taken",
    why: "It makes bleeding longer, and stopping it can cause a stroke or a clot. Whether it goes on or is \
          paused is decided by someone who is named, and the note says how.",
    cite: Cite::adapts(
        &sources::advice::DOAC_SKIN,
        "BSDS 2016 guidance",
        "the guidance is on skin surgery and decides by the risk of bleeding; asking for the plan in writing \
         is ours",
    ),
    limits: "Says nothing about which plan is right, and does not judge when the last dose was taken.",
    example: Example { bad: "history: {medicines: [apixaban]}", good: "history: {medicines: [metformin]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let taken = facts.derived.bleeding_risk.anticoagulants.iter();
    taken
        .map(|reason| {
            Finding::at(reason.path.clone()).says(reason.says.clone()).fix(
                "say under `accepted` what was decided: continued, or paused from when to when, and on whose \
                 advice",
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn each_anticoagulant_is_named_and_an_antiplatelet_is_not_one() {
        let several = "history: {medicines: [aspirin, {name: Warferin, dose: 3 mg}, rivaroxaban]}";
        assert_eq!(paths(&RULE, several), ["history.medicines[1]", "history.medicines[2]"]);
        assert_eq!(says(&RULE, several), ["takes Warferin (warfarin)", "takes rivaroxaban"]);
        assert!(paths(&RULE, "history: {medicines: [aspirin]}").is_empty());
    }
}
