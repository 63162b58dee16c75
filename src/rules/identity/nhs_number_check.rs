//! The NHS number fails its own check. The arithmetic stands elsewhere; this only reports it.

use crate::clinical::nhs_number;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "nhs-number-check",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the NHS number is not a valid one",
    why: "The last digit is worked out from the other nine, so a slip of the pen shows. \
          A letter under a wrong number can be filed to another patient.",
    cite: nhs_number::CHECK,
    limits: "Ten equal digits are refused too, though some of them pass. Which digit would fit is not said: \
             it would make any slip pass. A number that passes may still belong to someone else: compare it \
             with name and date of birth. Scottish and Northern Irish numbers have keys of their own, `chi_number` \
             and `hc_number`.",
    example: Example {
        bad: "patient: {nhs_number: 999 000 0019}",
        good: "patient: {nhs_number: 999 000 0026}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    // An absent number is no fault: it is optional.
    let Some(number) = &facts.case.patient.nhs_number else { return Vec::new() };
    let Err(fault) = nhs_number::check(&number.0) else { return Vec::new() };
    vec![
        Finding::at("patient.nhs_number")
            .says(fault.to_string())
            .fix("copy the number again from the referral or the national record, or leave the key out"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn one_digit_off_is_found() {
        assert!(paths(&RULE, "patient: {nhs_number: 943 476 5919}").is_empty());
        assert_eq!(paths(&RULE, "patient: {nhs_number: 943 476 5918}"), ["patient.nhs_number"]);
    }

    /// 999 123 4567 would need the check digit 10, which is never issued.
    #[test]
    fn a_number_without_a_check_digit_and_equal_digits_are_found() {
        assert_eq!(paths(&RULE, "patient: {nhs_number: 999 123 4567}").len(), 1);
        assert_eq!(paths(&RULE, "patient: {nhs_number: 111 111 1111}").len(), 1);
    }

    #[test]
    fn no_number_is_no_fault() {
        assert!(paths(&RULE, "patient: {nhs_number: ~}").is_empty());
    }
}
