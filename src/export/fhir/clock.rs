//! Dates and times as FHIR writes them: a time of day needs its offset from Greenwich.
//!
//! In all parts of the United Kingdom summer time begins and ends at one o'clock, Greenwich mean time, on the last
//! Sunday of March and of October (Summer Time Act 1972 as amended by the Summer Time Order 2002: from memory; held
//! against the IANA time zone database in `tests/outside/fhir.py`).

use chrono::{Datelike, Days, NaiveDate, Weekday};

use crate::case::Measured;
use crate::date::{CivilDate, TimeOfDay};

/// `2026-11-24T09:35:00+00:00`; the day alone where no time is recorded, or where the clock shows it twice or never.
pub(super) fn moment(day: CivilDate, at: Option<TimeOfDay>) -> String {
    match at.and_then(|at| Some((at, is_summer(day, at)?))) {
        Some((at, is_summer)) => format!("{day}T{at}:00+0{}:00", u8::from(is_summer)),
        None => day.to_string(),
    }
}

/// The moment of a measured time.
pub(super) fn measured(day: CivilDate, at: &Measured<TimeOfDay>) -> String {
    moment(day, at.value())
}

/// Summer time holds; `None` in the hour that is skipped and in the one that is shown twice.
fn is_summer(day: CivilDate, at: TimeOfDay) -> Option<bool> {
    let CivilDate(day) = day;
    let (begins, ends) = (last_sunday(day.year(), 3)?, last_sunday(day.year(), 10)?);
    let hour = at.clinical();
    let is_turn = day == begins || day == ends;
    if is_turn && hour.starts_with("01:") {
        return None;
    }
    let has_begun = day > begins || day == begins && !hour.starts_with("00:");
    let has_ended = day > ends || day == ends && !hour.starts_with("00:");
    Some(has_begun && !has_ended)
}

/// The last Sunday of a month of 31 days.
fn last_sunday(year: i32, month: u32) -> Option<NaiveDate> {
    let last = NaiveDate::from_ymd_opt(year, month, 31)?;
    let after = u64::from(last.weekday().days_since(Weekday::Sun));
    last.checked_sub_days(Days::new(after))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TextValue;

    /// GOV.UK, "When do the clocks change?": 29 March and 25 October 2026; from memory.
    #[test]
    fn summer_time_begins_and_ends_on_its_sundays() {
        let of =
            |day: &str, at: &str| moment(CivilDate::parse(day).expect("a date"), TimeOfDay::parse(at).ok());
        for (day, at, is) in [
            ("2026-03-28", "23:59", "2026-03-28T23:59:00+00:00"),
            ("2026-03-29", "00:59", "2026-03-29T00:59:00+00:00"),
            ("2026-03-29", "01:30", "2026-03-29"),
            ("2026-03-29", "02:00", "2026-03-29T02:00:00+01:00"),
            ("2026-10-24", "09:35", "2026-10-24T09:35:00+01:00"),
            ("2026-10-25", "00:59", "2026-10-25T00:59:00+01:00"),
            ("2026-10-25", "01:30", "2026-10-25"),
            ("2026-10-25", "02:00", "2026-10-25T02:00:00+00:00"),
            ("2026-11-24", "09:35", "2026-11-24T09:35:00+00:00"),
            ("2026-11-24", "", "2026-11-24"),
        ] {
            assert_eq!(of(day, at), is, "{day} {at}");
        }
    }
}
