//! The CHI number fails its own check. The arithmetic stands elsewhere; this only reports it.

use crate::clinical::chi_number;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "chi-number-check",
    topic: Topic::Identity,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the CHI number is not a valid one",
    why: "The first six digits are a date and the last is worked out from the other nine, so a slip of the pen \
          shows. A letter under a wrong number can be filed to another patient.",
    cite: chi_number::CHECK,
    limits: "Takes the check digit of modulus 11 and that of modulus 10, which newer numbers may have. Which \
             digit would fit is not said: it would make any slip pass. Neither sex nor age is read from the \
             number. One that passes may still belong to someone else.",
    example: Example {
        bad: r#"patient: {nhs_number: ~, born: 2001-01-01, chi_number: "0101011238"}"#,
        good: r#"patient: {nhs_number: ~, born: 2001-01-01, chi_number: "0101011237"}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(number) = &facts.case.patient.chi_number else { return Vec::new() };
    let Err(fault) = chi_number::check(&number.0) else { return Vec::new() };
    vec![
        Finding::at("patient.chi_number")
            .says(fault.to_string())
            .fix("copy the number again from the referral, or leave the key out"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    fn number(digits: &str) -> String {
        format!("patient: {{chi_number: \"{digits}\"}}")
    }

    #[test]
    fn a_wrong_digit_and_a_wrong_date_are_found() {
        assert!(paths(&RULE, &number("010101 1237")).is_empty());
        assert!(paths(&RULE, &number("0101201234")).is_empty(), "by modulus 10 alone");
        assert_eq!(paths(&RULE, &number("0101011238")), ["patient.chi_number"]);
        assert_eq!(
            says(&RULE, &number("3201201234")),
            ["the first six digits are no date, day before month"]
        );
        assert!(paths(&RULE, "").is_empty(), "an absent number is no fault");
    }

    #[test]
    fn the_right_digit_is_not_handed_out() {
        let found = findings(&RULE, &number("0101011238"));
        assert!(!format!("{found:?}").contains('7'), "{found:?}");
    }
}
