//! Aspirin, clopidogrel and the like.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "antiplatelet",
    topic: Topic::Bleeding,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "aftercare-leaflet", "preparation-leaflet"]),
    title: "an antiplatelet is taken",
    why: "The toe may bleed for longer after the tourniquet comes off. It is not stopped for surgery of this \
          size.",
    cite: Cite::adapts(
        &sources::advice::ANTICOAGULANT_SKIN,
        "do not stop aspirin",
        "the source says so of aspirin and skin surgery; the other antiplatelets are grouped with it",
    ),
    limits: "Does not know the dose, nor whether it was prescribed. Says nothing more about two together.",
    example: Example { bad: "history: {medicines: [aspirin]}", good: "history: {medicines: [ibuprofen]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let taken = facts.derived.bleeding_risk.antiplatelets.iter();
    taken
        .map(|reason| {
            Finding::at(reason.path.clone())
                .says(reason.says.clone())
                .fix("leave a prescribed one as it is, and see that bleeding has stopped before discharge")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn antiplatelets_are_noted_and_anticoagulants_left_to_their_rule() {
        let several = "history: {medicines: [apixaban, clopidogrel, asprin]}";
        assert_eq!(paths(&RULE, several), ["history.medicines[1]", "history.medicines[2]"]);
        assert!(paths(&RULE, "history: {medicines: [apixaban, ibuprofen]}").is_empty());
    }
}
