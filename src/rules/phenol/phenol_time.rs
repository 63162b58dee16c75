//! The total time of phenol on a toe is unusual. The sum is worked out elsewhere.

use rust_decimal::Decimal;

use crate::clinical::{Cite, sources};
use crate::diagnostic::english::Count;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::minutes_and_seconds;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Seconds outside of which the total time must be answered.
const CAUTION_SECONDS: std::ops::RangeInclusive<u16> = 30..=240;
/// Seconds outside of which the total time is remarked on.
const USUAL_SECONDS: std::ops::RangeInclusive<u16> = 60..=180;

pub(super) static RULE: Rule = Rule {
    name: "phenol-time",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the phenol was on for an unusual time",
    why: "Too short a time may let the nail grow back; a longer time burns more tissue and heals more \
          slowly.",
    cite: Cite::adapts(
        &sources::procedure::PHENOL_TIME_TRIAL,
        "30 s against 60 s",
        "30 s is the shortest time for which a trial was seen; the usual range of 1 to 3 min and the upper \
         end of 4 min are ours, since no guideline seen sets them",
    ),
    limits: "Adds up the applications of one toe, both edges together. Strength, blood in the groove and \
             how the tissue looked are not counted.",
    example: Example {
        bad: "operation: {toes: {L1: {phenol: {applications: 5, each: 60 s}}}}",
        good: "operation: {toes: {L1: {phenol: {applications: 3, each: 60 s}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (toe, done) in facts.operated() {
        let Some(used) = &done.phenol else { continue };
        let seconds = facts.derived.toes.get(&toe).and_then(|times| times.phenol_seconds.get());
        let Some(seconds) = seconds.copied() else { continue };
        let is_within = |range: &std::ops::RangeInclusive<u16>| {
            Decimal::from(*range.start()) <= seconds && seconds <= Decimal::from(*range.end())
        };
        if is_within(&USUAL_SECONDS) {
            continue;
        }
        let total = format!(
            "{} of {}, {} in all",
            Count(used.applications.into(), "application"),
            used.each,
            minutes_and_seconds(seconds)
        );
        let finding = Finding::at(format!("operation.toes.{toe}.phenol"));
        findings.push(if is_within(&CAUTION_SECONDS) {
            finding.says(format!("{total}; 1 to 3 min is usual")).weighs(Severity::Note)
        } else {
            finding
                .says(format!("{total}; the range is 30 s to 4 min"))
                .fix("correct the entry, or say under `accepted` why this time was chosen")
        });
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{says, weights};

    fn once(seconds: &str) -> String {
        format!("operation: {{toes: {{L1: {{phenol: {{applications: 1, each: {seconds} s}}}}}}}}")
    }

    #[test]
    fn each_boundary_as_a_pair() {
        assert_eq!(weights(&RULE, &once("29")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &once("30")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("59.5")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("60")), []);
        assert_eq!(weights(&RULE, &once("180")), []);
        assert_eq!(weights(&RULE, &once("181")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("240")), [Severity::Note]);
        assert_eq!(weights(&RULE, &once("241")), [Severity::Caution]);
    }

    #[test]
    fn all_applications_count() {
        assert_eq!(
            says(&RULE, RULE.example.bad),
            ["5 applications of 60 s, 5 min in all; the range is 30 s to 4 min"]
        );
    }
}
