//! Nothing says whether the patient was told. "Not yet" with its reason is an answer.

use super::{called, entries, is_fatal};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "incident-not-told",
    topic: Topic::Incidents,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "it is not recorded that the patient was told",
    why: "When something goes wrong the patient is told, openly and soon, or the person who decides for \
          them. The record says who told them and when, or why nobody has yet.",
    cite: Cite::states(&sources::incidents::HCPC_CANDOUR, "8.1"),
    limits: "This standard holds for every registered podiatrist in the United Kingdom. What the law asks of \
             an organisation differs by nation and kind of provider, and is not judged here. `not_yet` with \
             a reason passes with a note.",
    example: Example {
        bad: "incidents: [{answers: [], what_happened: fell from the couch}]",
        good: "incidents: [{answers: [], told: {on: 2026-11-24, by: R. Quill, apology: true}}]",
    },
    check,
};

const FIX: &str = "write `told: {on: …, by: …, apology: true}`, or `told: {not_yet: …}` with the reason";

fn check(facts: &Facts) -> Vec<Finding> {
    let untold = entries(facts).filter(|(_, incident)| !is_fatal(incident)).filter_map(|(at, incident)| {
        let path = format!("incidents[{at}].told");
        let Some(told) = &incident.told else {
            let says = format!("{} does not say whether the patient was told", called(at, incident));
            return Some(Finding::at(path).says(says).fix(FIX));
        };
        let was_told = told.on.is_some() || told.by.is_some() || told.apology.is_some();
        match &told.not_yet {
            Some(_) if was_told => Some(
                Finding::at(format!("{path}.not_yet"))
                    .says("told, and not told yet")
                    .fix("keep the one that is true now"),
            ),
            Some(reason) if is_blank(Some(reason)) => Some(
                Finding::at(format!("{path}.not_yet"))
                    .says("not told yet, and no reason is given")
                    .fix("write why the patient has not been told yet"),
            ),
            Some(reason) => Some(
                Finding::at(format!("{path}.not_yet"))
                    .says(format!("not told yet: {}", reason.trim_end_matches('.')))
                    .fix("tell the patient as soon as it can be done, and enter `told: {on: …, by: …, apology: true}`")
                    .weighs(Severity::Note),
            ),
            None => {
                let missing = [(told.on.is_none(), "on which day"), (is_blank(told.by.as_deref()), "by whom")];
                let missing: Vec<&str> =
                    missing.into_iter().filter_map(|(lacks, what)| lacks.then_some(what)).collect();
                (!missing.is_empty()).then(|| {
                    let says = format!("{} the patient was told is not recorded", List::and(missing));
                    Finding::at(path).says(says).fix(FIX)
                })
            }
        }
    });
    untold.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn told(told: &str) -> String {
        format!("incidents: [{{answers: [], told: {told}}}]")
    }

    #[test]
    fn told_passes_and_silence_does_not() {
        assert!(paths(&RULE, &told("{on: 2026-11-24, by: R. Quill, apology: true}")).is_empty());
        assert_eq!(weights(&RULE, "incidents: [{answers: []}]"), [Severity::Stop]);
        assert_eq!(paths(&RULE, "incidents: [{answers: []}]"), ["incidents[0].told"]);
    }

    #[test]
    fn not_yet_needs_its_reason_and_then_passes_with_a_note() {
        let reason = told("{not_yet: she is abroad until Monday.}");
        assert_eq!(weights(&RULE, &reason), [Severity::Note]);
        assert_eq!(says(&RULE, &reason), ["not told yet: she is abroad until Monday"]);
        assert_eq!(weights(&RULE, &told("{not_yet: \" \"}")), [Severity::Stop]);
        let both = told("{on: 2026-11-24, by: R. Quill, not_yet: abroad}");
        assert_eq!(says(&RULE, &both), ["told, and not told yet"]);
    }

    #[test]
    fn who_and_when_are_asked_for() {
        assert_eq!(
            says(&RULE, &told("{apology: true}")),
            ["on which day and by whom the patient was told is not recorded"]
        );
        assert_eq!(says(&RULE, &told("{on: 2026-11-24}")), ["by whom the patient was told is not recorded"]);
    }

    #[test]
    fn a_patient_who_died_cannot_be_told() {
        assert!(paths(&RULE, "incidents: [{answers: [], harm: fatal}]").is_empty());
    }
}
