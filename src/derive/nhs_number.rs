//! The NHS number in its printed form, if its check digit is right.

use super::{Given, Value};
use crate::clinical::nhs_number::{DISPLAY, check, grouped};

pub(super) fn nhs_number_of(given: Given<'_>) -> Value<String> {
    let Some(typed) = &given.case.patient.nhs_number else {
        return Value::missing("patient.nhs_number");
    };
    match (check(&typed.0), grouped(&typed.0)) {
        (Ok(passed), Some(number)) => Value::known(
            number,
            format!(
                "digits weighted 10 to 2 add to {}, which calls for check digit {}",
                passed.sum, passed.check_digit
            ),
            DISPLAY,
        ),
        (Err(fault), _) => Value::because(fault.to_string()),
        (Ok(_), None) => Value::because("not ten digits"),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn printed(number: &str) -> String {
        let facts = facts_of(&format!("patient: {{nhs_number: {number}}}"));
        facts.derived.nhs_number.print(String::clone)
    }

    #[test]
    fn printed_only_with_the_right_check_digit() {
        assert_eq!(printed("'9990000018'"), "999 000 0018");
        assert_eq!(printed("'9990000019'"), "not known: the check digit does not fit the other nine digits");
        assert_eq!(printed("'1111111111'"), "not known: ten equal digits are never an NHS number");
        assert_eq!(printed("~"), "not known: patient.nhs_number missing");
    }
}
