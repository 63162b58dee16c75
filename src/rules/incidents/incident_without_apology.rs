//! The patient was told and nobody said sorry, or nothing says that somebody did.

use super::entries;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "incident-without-apology",
    topic: Topic::Incidents,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "candour-letter"]),
    title: "no apology is recorded",
    why: "When something has gone wrong the patient is owed an apology, and it belongs to telling them. To \
          say sorry is to care; it is not to say whose fault it was.",
    cite: Cite::states(&sources::incidents::HCPC_CANDOUR, "8.2"),
    limits: "Sees whether an apology is recorded, not how it was made. The letter to the patient says sorry \
             in any case.",
    example: Example {
        bad: "incidents: [{answers: [], told: {on: 2026-11-24, by: R. Quill, apology: false}}]",
        good: "incidents: [{answers: [], told: {on: 2026-11-24, by: R. Quill, apology: true}}]",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let without = entries(facts).filter_map(|(at, incident)| {
        let told = incident.told.as_ref().filter(|told| told.on.is_some())?;
        let (path, says) = match told.apology {
            Some(true) => return None,
            Some(false) => (format!("incidents[{at}].told.apology"), "told without an apology"),
            None => (format!("incidents[{at}].told"), "whether an apology was made is not recorded"),
        };
        Some(Finding::at(path).says(says).fix(
            "say sorry to the patient and write `apology: true`, or say under `accepted` why there was none",
        ))
    });
    without.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn told(told: &str) -> String {
        format!("incidents: [{{answers: [], told: {told}}}]")
    }

    #[test]
    fn an_apology_passes_and_none_does_not() {
        assert!(paths(&RULE, &told("{on: 2026-11-24, by: R. Quill, apology: true}")).is_empty());
        assert_eq!(
            says(&RULE, &told("{on: 2026-11-24, by: R. Quill, apology: false}")),
            ["told without an apology"]
        );
        assert_eq!(paths(&RULE, &told("{on: 2026-11-24, by: R. Quill}")), ["incidents[0].told"]);
    }

    #[test]
    fn what_has_not_been_told_cannot_have_been_apologised_for() {
        assert!(paths(&RULE, &told("{not_yet: abroad}")).is_empty());
        assert!(paths(&RULE, "incidents: [{answers: []}]").is_empty());
    }
}
