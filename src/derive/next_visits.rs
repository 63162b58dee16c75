//! First redressing and review: booked dates as they stand, others on the next day the clinic is open.
//!
//! A date that was worked out moves forward only: a dressing is never changed earlier than planned.

use super::{Given, PlannedVisit, Unknown, Value};
use crate::case::Clinic;
use crate::clinical::working_days::{NoOpenDay, OpenDay, OpeningDays};
use crate::clinical::{Cite, sources::records};
use crate::date::CivilDate;

/// What the first visit is called.
pub const FIRST_REDRESSING: &str = "first redressing";
/// What later visits are called.
pub const REVIEW: &str = "review";

/// Why nothing is worked out that follows a wound.
pub(super) const GIVEN_UP: &str = "the operation was given up: nothing was removed, and there is no wound";

const BOOKED: Cite = Cite::project_default("the dates stand in the case file as booked");
const WORKED_OUT: Cite = Cite::adapts(
    &records::BANK_HOLIDAYS,
    "dates of the division",
    "the days after surgery are the clinic's own; a date moves forward to a day that is no bank holiday and on which the clinic opens",
);

pub(super) fn next_visits_of(given: Given<'_>) -> Value<Vec<PlannedVisit>> {
    let Some(operation) = &given.case.operation else { return Value::missing("operation") };
    if operation.is_given_up() {
        return Value::because(GIVEN_UP);
    }
    match visits(given, operation.date) {
        Ok(planned) => {
            let is_booked = planned.iter().all(|(visit, _)| visit.is_booked);
            let working = planned.iter().map(|(_, working)| working.as_str()).collect::<Vec<_>>().join("; ");
            let visits = planned.into_iter().map(|(visit, _)| visit).collect();
            Value::known(visits, working, if is_booked { BOOKED } else { WORKED_OUT })
        }
        Err(unknown) => Value::Unknown(unknown),
    }
}

/// Each visit with its working.
fn visits(given: Given<'_>, surgery: CivilDate) -> Result<Vec<(PlannedVisit, String)>, Unknown> {
    let protocol = &given.clinic.protocol;
    let follow_up = given.case.follow_up.clone().unwrap_or_default();
    let mut visits = Vec::new();
    visits.push(match (follow_up.first_redressing, protocol.first_redressing_days) {
        (Some(date), _) => (
            PlannedVisit { at: follow_up.at, ..booked(FIRST_REDRESSING, date) },
            said_booked(FIRST_REDRESSING),
        ),
        (None, Some(days)) => worked_out(given, FIRST_REDRESSING, surgery, u64::from(days))?,
        (None, None) => {
            return Err(Unknown {
                missing: vec!["follow_up.first_redressing".into()],
                because: Some("the clinic's protocol gives no `first_redressing_days` either".to_owned()),
                ..Unknown::default()
            });
        }
    });
    if let Some(days) = protocol.review_days {
        visits.push(worked_out(given, REVIEW, surgery, u64::from(days))?);
    }
    Ok(visits)
}

fn booked(purpose: &str, date: CivilDate) -> PlannedVisit {
    PlannedVisit { purpose: purpose.to_owned(), date, at: None, is_booked: true }
}

fn said_booked(purpose: &str) -> String {
    format!("{purpose} as booked")
}

fn worked_out(
    given: Given<'_>,
    purpose: &str,
    surgery: CivilDate,
    days: u64,
) -> Result<(PlannedVisit, String), Unknown> {
    let wanted = surgery.plus_days(days);
    let open = opening_days(given.clinic).first_open_from(wanted).map_err(|none| no_day(purpose, none))?;
    let working = working(purpose, surgery, days, wanted, &open);
    Ok((PlannedVisit { is_booked: false, ..booked(purpose, open.date) }, working))
}

fn no_day(purpose: &str, none: NoOpenDay) -> Unknown {
    Unknown { because: Some(format!("no day for the {purpose}: {none}")), ..Unknown::default() }
}

/// Why the clinic is closed on a day, to be read after "is", and the next day on which it is open. `None` if it
/// is open, and if that is not known.
pub fn closed_on(clinic: &Clinic, day: CivilDate) -> Option<(String, Option<CivilDate>)> {
    let days = opening_days(clinic);
    if days.weekdays.is_empty() {
        return None;
    }
    let reason = days.why_closed(day).ok()??;
    let next = days.first_open_from(day).ok().map(|open| open.date);
    Some((named(&reason).to_owned(), next))
}

fn opening_days(clinic: &Clinic) -> OpeningDays<'_> {
    let protocol = &clinic.protocol;
    OpeningDays {
        division: clinic.division,
        weekdays: protocol.opening_days.iter().map(|day| day.weekday()).collect(),
        closed: &protocol.closed,
    }
}

/// `first redressing: 24-Nov-2026 + 3 days = 27-Nov-2026`, with the days that were passed over.
fn working(purpose: &str, surgery: CivilDate, days: u64, wanted: CivilDate, open: &OpenDay) -> String {
    let mut text = format!("{purpose}: {} + {days} days = {}", surgery.clinical(), wanted.clinical());
    if !open.passed.is_empty() {
        let passed: Vec<String> = open
            .passed
            .iter()
            .map(|(day, reason)| format!("{} is {}", day.clinical(), named(reason)))
            .collect();
        text.push_str(&format!(", moved to {}: {}", open.date.clinical(), passed.join(", ")));
    }
    text
}

/// `a Saturday`, `Christmas Day`, `a closed day`: after "is".
fn named(reason: &str) -> &str {
    if reason == "the clinic is closed" { "a closed day of the clinic" } else { reason }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn visits(fragment: &str) -> Value<Vec<PlannedVisit>> {
        facts_of(fragment).derived.next_visits
    }

    fn printed(fragment: &str) -> String {
        visits(fragment).print(|visits| {
            let each = visits.iter().map(|visit| {
                let booked = if visit.is_booked { " booked" } else { "" };
                format!("{} {}{booked}", visit.purpose, visit.date)
            });
            each.collect::<Vec<_>>().join(", ")
        })
    }

    #[test]
    fn by_the_protocol_on_open_days() {
        assert_eq!(printed(""), "first redressing 2026-11-27, review 2027-01-05");
        let known = visits("");
        let known = known.entry().expect("known");
        assert_eq!(
            known.working,
            "first redressing: 24-Nov-2026 + 3 days = 27-Nov-2026; review: 24-Nov-2026 + 42 days = 05-Jan-2027"
        );
    }

    #[test]
    fn moved_forward_over_christmas_with_each_reason() {
        let fragment =
            "{operation: {date: 2026-12-22}, clinic: {protocol: {closed: [2026-12-29], review_days: ~}}}";
        assert_eq!(printed(fragment), "first redressing 2026-12-30");
        let known = visits(fragment);
        assert_eq!(
            known.entry().expect("known").working,
            "first redressing: 22-Dec-2026 + 3 days = 25-Dec-2026, moved to 30-Dec-2026: 25-Dec-2026 is Christmas Day, \
             26-Dec-2026 is Boxing Day, 27-Dec-2026 is a Sunday, 28-Dec-2026 is Boxing Day (substitute day), \
             29-Dec-2026 is a closed day of the clinic"
        );
    }

    #[test]
    fn the_division_of_the_clinic_holds() {
        let on = |division: &str| {
            printed(&format!(
                "{{operation: {{date: 2026-11-27}}, clinic: {{division: {division}, protocol: {{review_days: ~}}}}}}"
            ))
        };
        assert_eq!(on("england-and-wales"), "first redressing 2026-11-30");
        assert_eq!(on("scotland"), "first redressing 2026-12-01");
    }

    #[test]
    fn a_booked_date_stands_even_on_a_closed_day() {
        let fragment = "follow_up: {first_redressing: 2026-11-28, at: '09:30'}";
        assert!(printed(fragment).starts_with("first redressing 2026-11-28 booked"), "{}", printed(fragment));
        let known = visits(fragment);
        let known = known.entry().expect("known");
        assert_eq!(known.value[0].at.map(|at| at.to_string()).as_deref(), Some("09:30"));
    }

    #[test]
    fn nothing_is_guessed() {
        assert_eq!(
            printed("clinic: {protocol: {first_redressing_days: ~}}"),
            "not known: follow_up.first_redressing missing; the clinic's protocol gives no `first_redressing_days` either"
        );
        assert_eq!(
            printed("operation: {date: 2028-12-28}"),
            "not known: no day for the first redressing: the bank holidays of 2029 are not in the table"
        );
        assert_eq!(
            printed("clinic: {protocol: {opening_days: []}}"),
            "not known: no day for the first redressing: the clinic file names no opening day"
        );
        assert_eq!(printed("operation: ~"), "not known: operation missing");
    }
}
