//! Nothing is recorded on the patient's allergies.

use crate::case::AllergiesEntry;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "allergies-not-asked",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet", "visit-letter"]),
    title: "whether the patient has allergies is not recorded",
    why: "Anaesthetic, phenol, latex, skin preparation, dressing and pain relief all rest on this answer.",
    cite: Cite::states(&sources::records::RECORD_HEADINGS, "allergies and adverse reaction"),
    limits: "An empty list is no answer: only `none known` says that the patient was asked.",
    example: Example { bad: "history: {allergies: ~}", good: "history: {allergies: none known}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let says = match facts.case.history.as_ref().and_then(|history| history.allergies.as_ref()) {
        None => "not recorded",
        Some(AllergiesEntry::List(list)) if list.is_empty() => {
            "an empty list does not say that none is known"
        }
        Some(_) => return Vec::new(),
    };
    vec![Finding::at("history.allergies").says(says).fix("enter `none known`, or list them")]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn an_answer_passes_and_silence_does_not() {
        assert!(paths(&RULE, "history: {allergies: none known}").is_empty());
        assert!(paths(&RULE, "history: {allergies: [{to: nuts}]}").is_empty());
        assert_eq!(paths(&RULE, "history: {allergies: ~}"), ["history.allergies"]);
        assert_eq!(paths(&RULE, "history: ~"), ["history.allergies"]);
        assert_eq!(
            says(&RULE, "history: {allergies: []}"),
            ["an empty list does not say that none is known"]
        );
    }
}
