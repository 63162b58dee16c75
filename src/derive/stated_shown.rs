//! For `show`: the days of a case with their weekdays, so that a wrong day is seen, and what the clinic's protocol
//! answered where the case says `routine: as protocol`.

use super::routine::{Routine, Said};
use super::shown::Shown;
use crate::case::{Case, Urgency};
use crate::date::CivilDate;

fn line(name: String, value: String, working: Option<&str>) -> Shown {
    Shown {
        name,
        value: Some(value),
        unit: None,
        working: working.map(str::to_owned),
        source: None,
        missing: None,
    }
}

/// The days that a case names, in the order of the work.
pub fn days_shown(case: &Case) -> Vec<Shown> {
    let consent = case.consent.as_ref();
    let mut days: Vec<(String, CivilDate)> = Vec::new();
    let mut add = |name: &str, day: Option<CivilDate>| days.extend(day.map(|day| (name.to_owned(), day)));
    add("booked", case.booked.as_ref().map(|booked| booked.on));
    add("consent_signed", consent.and_then(|consent| consent.signed));
    add("consent_confirmed", consent.and_then(|consent| consent.confirmed));
    add("operation", case.operation.as_ref().map(|operation| operation.date));
    add("first_redressing", case.follow_up.as_ref().and_then(|follow_up| follow_up.first_redressing));
    for (at, visit) in case.visits.iter().enumerate() {
        add(&format!("visit_{}", at + 1), Some(visit.on));
    }
    add("closed", case.closed.as_ref().map(|closed| closed.on));
    days.into_iter().map(|(name, day)| line(format!("day.{name}"), day.long_with_day(), None)).collect()
}

/// Each answer of the protocol.
pub(super) fn routine_rows(routine: &Routine) -> Vec<Shown> {
    fn answered<T>(said: &Said<T>, print: impl Fn(&T) -> String) -> Option<String> {
        match said {
            Said::OfProtocol(answer) => Some(print(answer)),
            Said::NotSaid | Said::Typed(_) => None,
        }
    }
    let urgency = |urgency: &Urgency| match urgency {
        Urgency::Elective => "elective".to_owned(),
        Urgency::Emergency => "emergency".to_owned(),
    };
    let mut rows = vec![
        ("routine.urgency".to_owned(), answered(&routine.urgency, urgency)),
        ("routine.antibiotics".to_owned(), answered(&routine.antibiotics, String::clone)),
        ("routine.vte_prophylaxis".to_owned(), answered(&routine.vte_prophylaxis, String::clone)),
        ("routine.skin_preparation".to_owned(), answered(&routine.skin_preparation, String::clone)),
        ("routine.dressing".to_owned(), answered(&routine.dressing, String::clone)),
    ];
    rows.extend(
        routine
            .lavage
            .iter()
            .map(|(toe, said)| (format!("routine.lavage.{toe}"), answered(said, String::clone))),
    );
    let said = rows.into_iter().filter_map(|(name, value)| Some((name, value?)));
    said.map(|(name, value)| line(name, value, Some("of the clinic's protocol"))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_day_has_its_weekday() {
        let facts = facts_of("{operation: {date: 2026-11-24}, booked: {on: 2026-11-25}}");
        let shown = days_shown(&facts.case);
        let said = |name: &str| {
            let found = shown.iter().find(|one| one.name == name);
            found.and_then(|one| one.value.clone()).unwrap_or_default()
        };
        // A calendar of 2026: 24 November is a Tuesday.
        assert_eq!(said("day.operation"), "Tuesday 24 November 2026");
        assert_eq!(said("day.booked"), "Wednesday 25 November 2026");
    }

    #[test]
    fn what_the_protocol_answered_is_shown_and_what_was_typed_is_not() {
        let with = |operation: &str| {
            let protocol = "clinic: {protocol: {urgency: elective, antibiotics: none}}";
            let facts = facts_of(&format!("{{{protocol}, operation: {{{operation}}}}}"));
            let rows = routine_rows(&facts.derived.routine);
            rows.into_iter().map(|row| row.name).collect::<Vec<_>>()
        };
        let silent = with("routine: as protocol, urgency: ~, antibiotics: ~");
        assert!(
            silent.contains(&"routine.urgency".to_owned())
                && silent.contains(&"routine.antibiotics".to_owned())
        );
        let typed = with("routine: as protocol, urgency: ~, antibiotics: cefalexin");
        assert!(
            typed.contains(&"routine.urgency".to_owned())
                && !typed.contains(&"routine.antibiotics".to_owned())
        );
    }
}
