//! The health and care number fails its own check. The arithmetic stands elsewhere; this only reports it.

use crate::clinical::hc_number;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "hc-number-check",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the health and care number is not a valid one",
    why: "The last digit is worked out from the other nine, so a slip of the pen shows. A letter under a wrong \
          number can be filed to another patient.",
    cite: hc_number::CHECK,
    limits: "Knows the range of Northern Ireland and the check digit. Which digit would fit is not said: it would \
             make any slip pass. One that passes may still belong to someone else.",
    example: Example {
        bad: "patient: {nhs_number: ~, hc_number: 320 000 0016}",
        good: "patient: {nhs_number: ~, hc_number: 320 000 0015}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(number) = &facts.case.patient.hc_number else { return Vec::new() };
    let Err(fault) = hc_number::check(&number.0) else { return Vec::new() };
    vec![
        Finding::at("patient.hc_number")
            .says(fault.to_string())
            .fix("copy the number again from the referral, or leave the key out"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    #[test]
    fn a_wrong_digit_and_another_range_are_found() {
        let number = |digits: &str| format!("patient: {{hc_number: {digits}}}");
        assert!(paths(&RULE, &number("320 000 0015")).is_empty());
        assert_eq!(paths(&RULE, &number("320 000 0016")), ["patient.hc_number"]);
        assert_eq!(says(&RULE, &number("943 476 5919")), ["health and care numbers begin with 32 to 39"]);
        assert!(paths(&RULE, "").is_empty(), "an absent number is no fault");
        let found = findings(&RULE, &number("320 000 0016"));
        assert!(!format!("{found:?}").contains('5'), "the right digit is not handed out: {found:?}");
    }
}
