//! Diabetes, and a foot whose sensation was not tested.

use crate::anatomy::Side;
use crate::case::Measured;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "sensation-missing",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "no monofilament result for a patient with diabetes",
    why: "Diabetes takes sensation from the feet without notice. Without the test the foot risk cannot be \
          worked out.",
    cite: Cite::from_memory(&sources::diabetes::NG19, "assessing the feet: neuropathy, 10 g monofilament"),
    limits: "Asks for a result of both feet; does not know how old the result is.",
    example: Example {
        bad: "{history: {diabetes: {type: 2}}, sensation: ~}",
        good: "{history: {diabetes: {type: 2}}, sensation: {right: 10/10, left: 10/10}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    // Why a foot was not tested is `record-gap`.
    let is_untested = |side: &Side| feet::sensation(facts, *side).is_none_or(Measured::is_missing);
    let untested: Vec<&str> = Side::BOTH.into_iter().filter(is_untested).map(Side::word).collect();
    let path = match untested.as_slice() {
        _ if !facts.has_diabetes() => return Vec::new(),
        [] => return Vec::new(),
        [only] => format!("sensation.{only}"),
        _ => "sensation".to_owned(),
    };
    let feet = if untested.len() == 1 { "foot" } else { "feet" };
    vec![
        Finding::at(path)
            .says(format!("no monofilament result for the {} {feet}", List::and(&untested)))
            .see("history.diabetes", "diabetes")
            .fix("enter sites felt / tested like `9/10`, or say under `accepted` why it was not tested"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn with(sensation: &str) -> String {
        format!("{{history: {{diabetes: {{type: 2}}}}, sensation: {sensation}}}")
    }

    #[test]
    fn each_foot_is_asked_for_once() {
        assert!(paths(&RULE, &with("{left: 0/10}")).is_empty());
        assert_eq!(paths(&RULE, &with("{left: ~}")), ["sensation.left"]);
        assert_eq!(says(&RULE, &with("{left: ~}")), ["no monofilament result for the left foot"]);
        assert!(paths(&RULE, &with("{left: {not_recorded: dressing in place}}")).is_empty());
        assert_eq!(says(&RULE, &with("~")), ["no monofilament result for the right and left feet"]);
    }

    #[test]
    fn without_diabetes_nobody_asks() {
        assert!(paths(&RULE, "sensation: ~").is_empty());
    }
}
