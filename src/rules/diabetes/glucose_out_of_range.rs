//! Capillary glucose on the day is lower or higher than is usually taken for safe.

use crate::case::{Observation, OneOrMany};
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "glucose-out-of-range",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the glucose on the day was out of the range in which surgery goes ahead",
    why: "Low glucose can be taken for a faint or for too much local anaesthetic, and is treated first. High \
          glucose can be the sign of an illness that surgery makes worse.",
    cite: Cite::adapts(
        &sources::diabetes::GLUCOSE_ON_THE_DAY,
        "4 to 12 mmol/L: proceed; below or above: treat and measure again",
        "written for operations in hospital, after fasting; no number for nail surgery was found",
    ),
    limits: "Looks at every value of the day, whether or not the patient has diabetes. Does not know when the \
             patient ate. What was done about it is said under `accepted` or in the note of the observation.",
    example: Example {
        bad: "operation: {observations: {glucose: 3.9 mmol/l}}",
        good: "operation: {observations: {glucose: 4 mmol/l}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let (least, most) = (Threshold::GlucoseLowBelow.number(), Threshold::GlucoseHighOver.number());
    let seen = operation.observations.iter().flat_map(OneOrMany::<Observation>::all);
    seen.filter_map(|(step, seen)| {
        let glucose = seen.glucose.value()?;
        let (word, bound) = match glucose.number() {
            low if low < least => ("below", least),
            high if high > most => ("above", most),
            _ => return None,
        };
        Some(
            Finding::at(format!("operation.observations{step}.glucose"))
                .says(format!("{glucose}, {word} {} mmol/l", bound.normalize()))
                .fix("correct the value, or say under `accepted` what was done about it"),
        )
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn glucose(value: &str) -> String {
        format!("operation: {{observations: {{glucose: {value}}}}}")
    }

    #[test]
    fn both_ends_of_the_range_pass() {
        assert!(paths(&RULE, &glucose("4 mmol/l")).is_empty());
        assert!(paths(&RULE, &glucose("12 mmol/l")).is_empty());
        assert_eq!(says(&RULE, &glucose("3.9 mmol/l")), ["3.9 mmol/l, below 4 mmol/l"]);
        assert_eq!(says(&RULE, &glucose("12.1 mmol/l")), ["12.1 mmol/l, above 12 mmol/l"]);
        assert!(paths(&RULE, &glucose("{not_recorded: strip failed}")).is_empty());
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn of_several_each_is_looked_at() {
        let two =
            "operation: {observations: [{glucose: 3 mmol/l}, {glucose: 5 mmol/l}, {glucose: 15 mmol/l}]}";
        assert_eq!(
            paths(&RULE, two),
            ["operation.observations[0].glucose", "operation.observations[2].glucose"]
        );
    }
}
