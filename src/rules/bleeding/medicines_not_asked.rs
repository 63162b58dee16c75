//! Nothing is recorded on the patient's medicines.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "medicines-not-asked",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "dressing-leaflet",
        "visit-letter",
    ]),
    title: "which medicines the patient takes is not recorded",
    why: "Medicines that make bleeding longer, slow healing or do not go with the anaesthetic can only be \
          seen if they are listed. No entry does not say that none is taken.",
    cite: Cite::states(&sources::records::RECORD_HEADINGS, "medications and medical devices"),
    limits: "An empty list counts as the answer that none is taken.",
    example: Example { bad: "history: {medicines: ~}", good: "history: {medicines: []}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.history.as_ref().is_some_and(|history| history.medicines.is_some()) {
        return Vec::new();
    }
    vec![
        Finding::at("history.medicines")
            .says("not recorded")
            .fix("list them, or enter `[]` if none is taken"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_empty_list_is_an_answer_and_silence_is_not() {
        assert!(paths(&RULE, "history: {medicines: []}").is_empty());
        assert_eq!(paths(&RULE, "history: {medicines: ~}"), ["history.medicines"]);
        assert_eq!(paths(&RULE, "history: ~"), ["history.medicines"]);
    }
}
