//! A tourniquet that was on for long. The minutes are worked out elsewhere.

use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

pub(super) static RULE: Rule = Rule {
    name: "tourniquet-long",
    topic: Topic::Tourniquet,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter"]),
    title: "the tourniquet was on for long",
    why: "A toe without blood for long can suffer in its nerves and skin, and a long time often means that \
          the tourniquet was forgotten.",
    cite: Cite::project_default(
        "no published limit for a digit was found; 20 minutes for a caution and 30 for a stop were chosen \
         on the safe side",
    ),
    limits: "Limits known for whole limbs do not apply to a toe. The clinic may replace the 20 minutes under \
             `limits.tourniquet_minutes`; the 30 stay.",
    example: Example {
        bad: r#"operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:11"}}}}"#,
        good: r#"operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:10"}}}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let local = facts.clinic.limits.tourniquet_minutes.as_ref();
    let long = i64::from(Threshold::TourniquetLongOver.whole());
    // Whatever the clinic sets.
    let too_long = i64::from(Threshold::TourniquetTooLongOver.whole());
    let caution = local.map_or(long, |local| i64::from(local.limit));
    let mut findings = Vec::new();
    for (toe, done) in facts.treated() {
        let minutes = facts.derived.toes.get(&toe).and_then(|times| times.tourniquet_minutes.get());
        let (Some(tourniquet), Some(minutes)) = (&done.tourniquet, minutes.copied()) else { continue };
        if minutes <= caution.min(too_long) {
            continue;
        }
        let times = match (tourniquet.on.value(), tourniquet.off.value()) {
            (Some(on), Some(off)) => format!(", {} to {}", on.clinical(), off.clinical()),
            _ => String::new(),
        };
        let (severity, limit) = if too_long < minutes {
            (Severity::Stop, format!("more than {too_long} minutes need a reason"))
        } else if let Some(local) = local {
            let limit = Count(local.limit.into(), "minute");
            (Severity::Caution, format!("the clinic's own limit is {limit}: {}", local.because))
        } else {
            (Severity::Caution, format!("more than {long} minutes is long for a toe"))
        };
        let on = Count(usize::try_from(minutes).unwrap_or(0), "minute");
        findings.push(
            Finding::at(format!("operation.toes.{toe}.tourniquet"))
                .says(format!("on for {on}{times}; {limit}"))
                .fix(
                    "correct the times, or say under `accepted` why it took so long and how the toe was \
                      after",
                )
                .weighs(severity),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{says, weights};

    /// On at 09:50, so 10:10 is 20 minutes and 10:20 is 30.
    fn off(time: &str) -> String {
        format!("operation: {{toes: {{L1: {{tourniquet: {{off: \"{time}\"}}}}}}}}")
    }

    #[test]
    fn twenty_pass_and_thirty_are_a_caution() {
        assert_eq!(weights(&RULE, &off("10:10")), []);
        assert_eq!(weights(&RULE, &off("10:11")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &off("10:20")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &off("10:21")), [Severity::Stop]);
        assert_eq!(
            says(&RULE, &off("10:11")),
            ["on for 21 minutes, 09:50 to 10:11; more than 20 minutes is long for a toe"]
        );
    }

    #[test]
    fn the_clinic_replaces_twenty_but_not_thirty() {
        let local = |limit: u16, time: &str| {
            format!(
                "{{clinic: {{limits: {{tourniquet_minutes: {{limit: {limit}, because: audit}}}}}}, {}}}",
                off(time)
            )
        };
        assert_eq!(weights(&RULE, &local(12, "10:02")), []);
        assert_eq!(weights(&RULE, &local(12, "10:03")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &local(40, "10:20")), []);
        assert_eq!(weights(&RULE, &local(40, "10:21")), [Severity::Stop]);
        assert!(says(&RULE, &local(12, "10:03"))[0].ends_with("the clinic's own limit is 12 minutes: audit"));
    }
}
