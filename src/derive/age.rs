//! The age on the day of surgery, or today where there has been none.

use super::{Given, Value};
use crate::clinical::{Cite, sources::records};
use crate::date::{Age, CivilDate};

const CITE: Cite = Cite::states(&records::BANNER, "table 7-8, how an age is printed");

pub(super) fn age_of(given: Given<'_>) -> Value<Age> {
    age_on(given.case.patient.born, given.day())
}

fn age_on(born: CivilDate, day: CivilDate) -> Value<Age> {
    match Age::on(born, day) {
        Some(age) => Value::known(age, format!("from {} to {}", born.clinical(), day.clinical()), CITE),
        None => {
            Value::because(format!("the date of birth, {}, is after {}", born.clinical(), day.clinical()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;
    use crate::units::TextValue;

    fn age(born: &str, day: &str) -> String {
        let date = |text: &str| CivilDate::parse(text).expect("a literal date");
        age_on(date(born), date(day)).print(|age| age.clinical())
    }

    #[test]
    fn a_birthday_makes_the_difference() {
        assert_eq!(age("1984-11-25", "2026-11-24"), "41y");
        assert_eq!(age("1984-11-24", "2026-11-24"), "42y");
    }

    #[test]
    fn nobody_is_younger_than_newborn() {
        assert_eq!(age("2026-11-24", "2026-11-24"), "0d");
        assert_eq!(
            age("2026-11-25", "2026-11-24"),
            "not known: the date of birth, 25-Nov-2026, is after 24-Nov-2026"
        );
    }

    #[test]
    fn counted_on_the_day_of_surgery_else_today() {
        let age = |fragment: &str| facts_of(fragment).derived.age.print(|age| age.clinical());
        assert_eq!(age("patient: {born: 1984-11-25}"), "41y");
        assert_eq!(age("{patient: {born: 1984-11-25}, operation: ~}"), "42y");
    }
}
