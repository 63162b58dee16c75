//! The age on a day: of surgery, or today where there has been none. Everything that depends on an age
//! reads it here, in completed years or months.

use super::{Derived, Given, Value};
use crate::case::Case;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources::records};
use crate::date::{Age, CivilDate};

const CITE: Cite = Cite::states(&records::BANNER, "table 7-8, how an age is printed");

pub(super) fn age_of(given: Given<'_>) -> Value<Age> {
    age_on(given.case.patient.born, given.day())
}

/// Completed months of age on the day of the case; `None` before birth.
pub(super) fn months_of_age(given: Given<'_>) -> Option<u32> {
    Age::on(given.case.patient.born, given.day()).map(|age| age.years * 12 + age.months)
}

/// Completed years on a day; `None` before birth.
pub fn years_on(case: &Case, day: CivilDate) -> Option<u32> {
    Age::on(case.patient.born, day).map(|age| age.years)
}

/// True if the patient has completed so many years on a day; `None` before birth.
pub fn has_reached(case: &Case, day: CivilDate, age: Threshold) -> Option<bool> {
    years_on(case, day).map(|years| years >= age.whole())
}

impl Derived {
    /// On the day that counts for a decision, which is that of signing, the patient is at an age at which
    /// infection is reported more often: what was said before surgery does not change because of it.
    pub fn infection_is_likelier_by_age(&self) -> bool {
        let age = self.decision_maker.get().map(|maker| maker.age);
        age.is_some_and(|age| age.years > Threshold::InfectionLikelierOver.whole())
    }
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
    fn an_age_is_reached_on_the_birthday() {
        let facts = facts_of("patient: {born: 2010-11-25}");
        let day = |text: &str| CivilDate::parse(text).expect("a literal date");
        let reached = |text: &str, age| has_reached(&facts.case, day(text), age);
        assert_eq!(reached("2026-11-24", Threshold::YoungPerson), Some(false));
        assert_eq!(reached("2026-11-25", Threshold::YoungPerson), Some(true));
        assert_eq!(reached("2028-11-24", Threshold::Adult), Some(false));
        assert_eq!(reached("2010-11-24", Threshold::Adult), None);
        assert_eq!(years_on(&facts.case, day("2026-11-25")), Some(16));
    }

    #[test]
    fn over_sixty_begins_on_the_sixty_first_birthday() {
        let likelier = |born: &str| {
            facts_of(&format!("patient: {{born: {born}}}")).derived.infection_is_likelier_by_age()
        };
        // Signed on 20 November 2026, operated on four days later.
        assert!(!likelier("1965-11-21"), "60 for one more day");
        assert!(likelier("1965-11-20"), "61 on the day");
        let unsigned = |born: &str| {
            let fragment = format!("{{patient: {{born: {born}}}, consent: {{signed: ~}}}}");
            facts_of(&fragment).derived.infection_is_likelier_by_age()
        };
        assert!(unsigned("1965-11-24") && !unsigned("1965-11-25"), "then the day of surgery counts");
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
