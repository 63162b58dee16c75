//! A tourniquet went on and nothing says that it came off.

use crate::anatomy::Toe;
use crate::case::Tourniquet;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "tourniquet-not-removed",
    topic: Topic::Tourniquet,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet", "candour-letter"]),
    title: "nothing says that the tourniquet came off",
    why: "Tourniquets left on under a dressing have cost toes: 15 serious incidents with fingers and toes \
          were reported in England and Wales from 2005 to 2009, two of them ending in amputation.",
    cite: Cite::adapts(
        &sources::procedure::TOURNIQUET_INCIDENTS,
        "whole text",
        "the source reports the incidents, in podiatry clinics too; issuing nothing without a time off is \
         ours",
    ),
    limits: "A time off shows that it was written down. Only a look at the toe shows that the tourniquet is \
             off.",
    example: Example {
        bad: "operation: {toes: {L1: {tourniquet: {off: ~}}}}",
        good: r#"operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:01"}}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let used: Vec<_> =
        operation.toes.iter().filter_map(|(toe, done)| Some((toe, done.tourniquet.as_ref()?))).collect();
    let mut findings: Vec<Finding> = used
        .iter()
        .filter(|(_, tourniquet)| tourniquet.off.is_missing())
        .map(|(toe, tourniquet)| {
            let finding = Finding::at(format!("operation.toes.{toe}.tourniquet.off"))
                .says(format!("no time off for {}", named(*toe)));
            went_on(finding, *toe, tourniquet).fix(
                "look at the toe now or call the patient back at once; then write the time it came off, or \
                 why it was not noted",
            )
        })
        .collect();
    let seen_off = operation.checks.as_ref().and_then(|checks| checks.tourniquet_off);
    // Why the time was not noted is `record-gap`; that it came off must still have been seen.
    let untimed = used.iter().find(|(_, tourniquet)| tourniquet.off.gap().is_some());
    if let (None, Some((toe, tourniquet))) = (seen_off, untimed) {
        let finding = Finding::at("operation.checks.tourniquet_off").says(format!(
            "no time off for {}, and nothing says that the tourniquet was seen off",
            named(*toe)
        ));
        findings.push(went_on(finding, *toe, tourniquet).fix(
            "look at the toe now or call the patient back at once; then answer `checks.tourniquet_off`",
        ));
    }
    if let (Some(false), Some((toe, _))) = (seen_off, used.first()) {
        findings.push(
            Finding::at("operation.checks.tourniquet_off")
                .says("the tourniquet was not seen off before dressing")
                .see(format!("operation.toes.{toe}.tourniquet"), "a tourniquet was used")
                .fix("look at the toe now or call the patient back at once; then correct the check"),
        );
    }
    findings
}

/// With the time it went on, if that is known.
fn went_on(finding: Finding, toe: Toe, tourniquet: &Tourniquet) -> Finding {
    match tourniquet.on.value() {
        Some(on) => finding
            .see(format!("operation.toes.{toe}.tourniquet.on"), format!("went on at {}", on.clinical())),
        None => finding.see(format!("operation.toes.{toe}.tourniquet"), "a tourniquet was used"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_time_off_passes_and_none_does_not() {
        assert!(paths(&RULE, "").is_empty());
        assert_eq!(
            paths(&RULE, "operation: {toes: {L1: {tourniquet: {off: ~}}}}"),
            ["operation.toes.L1.tourniquet.off"]
        );
    }

    #[test]
    fn a_time_off_that_was_not_noted_needs_the_check_that_it_was_seen_off() {
        let untimed = |check: &str| {
            format!(
                "operation: {{checks: {{tourniquet_off: {check}}}, \
                  toes: {{L1: {{tourniquet: {{off: {{not_recorded: no clock in the room}}}}}}}}}}"
            )
        };
        assert!(paths(&RULE, &untimed("true")).is_empty());
        assert_eq!(paths(&RULE, &untimed("~")), ["operation.checks.tourniquet_off"]);
        assert_eq!(paths(&RULE, &untimed("false")), ["operation.checks.tourniquet_off"]);
    }

    #[test]
    fn a_check_answered_no_is_a_stop_of_its_own() {
        let no = "operation: {checks: {tourniquet_off: false}}";
        assert_eq!(paths(&RULE, no), ["operation.checks.tourniquet_off"]);
        let none_used = "operation: {checks: {tourniquet_off: false}, toes: {L1: {tourniquet: ~}}}";
        assert!(paths(&RULE, none_used).is_empty());
    }
}
