//! Bank holidays and the days on which a clinic is open.
//!
//! Nothing here knows why somebody should come: it moves dates, and says why it moved them.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::OnceLock;

use chrono::{Datelike, Weekday};
use serde::Deserialize;

use super::Cite;
use super::tables::{SourceRow, keep};
use crate::clinical::table_of;
use crate::date::CivilDate;
use crate::nation::Division;

/// The table holds no bank holidays of this year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YearNotKnown(pub i32);

impl fmt::Display for YearNotKnown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the bank holidays of {} are not in the table", self.0)
    }
}

/// The bank holidays of one year.
#[derive(Debug)]
pub struct HolidayYear {
    days: BTreeMap<CivilDate, &'static str>,
    weekend: BTreeMap<CivilDate, &'static str>,
    /// Where they come from.
    pub cite: Cite,
}

/// The year of a date.
///
/// # Errors
/// The table does not hold the year.
pub fn holiday_year(division: Division, date: CivilDate) -> Result<&'static HolidayYear, YearNotKnown> {
    let year = date.0.year();
    table().get(&(division, year)).ok_or(YearNotKnown(year))
}

/// The bank holiday of a date, or the feast itself where its holiday is moved off a weekend.
///
/// # Errors
/// The table does not hold the year.
pub fn holiday(division: Division, date: CivilDate) -> Result<Option<&'static str>, YearNotKnown> {
    let year = holiday_year(division, date)?;
    Ok(year.days.get(&date).or_else(|| year.weekend.get(&date)).copied())
}

/// When a clinic is open.
#[derive(Debug, Clone)]
pub struct OpeningDays<'a> {
    /// Which bank holidays hold.
    pub division: Division,
    /// The days of the week on which it opens.
    pub weekdays: Vec<Weekday>,
    /// Days on which it is closed besides bank holidays.
    pub closed: &'a [CivilDate],
}

/// The first open day from a date on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenDay {
    /// The day.
    pub date: CivilDate,
    /// Days passed over, each with its reason: `a Saturday`, `Christmas Day`, `the clinic is closed`.
    pub passed: Vec<(CivilDate, String)>,
}

/// Why no open day was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoOpenDay {
    /// The table does not hold a year.
    Year(YearNotKnown),
    /// The clinic names no opening day.
    NeverOpen,
    /// No open day within [`LONGEST_SEARCH_DAYS`].
    TooFar,
}

impl fmt::Display for NoOpenDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoOpenDay::Year(year) => year.fmt(f),
            NoOpenDay::NeverOpen => f.write_str("the clinic file names no opening day"),
            NoOpenDay::TooFar => write!(f, "the clinic is closed for more than {LONGEST_SEARCH_DAYS} days"),
        }
    }
}

/// A visit moved further than this is no longer the visit that was meant. Project default: longer
/// than any closure between Christmas and New Year.
pub const LONGEST_SEARCH_DAYS: u64 = 21;

impl OpeningDays<'_> {
    /// Why the clinic is closed on a date; `None` if it is open.
    ///
    /// # Errors
    /// The table does not hold the year.
    pub fn why_closed(&self, date: CivilDate) -> Result<Option<String>, YearNotKnown> {
        if let Some(name) = holiday(self.division, date)? {
            return Ok(Some(name.to_owned()));
        }
        if self.closed.contains(&date) {
            return Ok(Some("the clinic is closed".to_owned()));
        }
        let is_opening_day = self.weekdays.contains(&date.weekday());
        Ok((!is_opening_day).then(|| format!("a {}", date.0.format("%A"))))
    }

    /// The date itself if the clinic is open, else the next day on which it is.
    ///
    /// # Errors
    /// No such day can be named.
    pub fn first_open_from(&self, date: CivilDate) -> Result<OpenDay, NoOpenDay> {
        if self.weekdays.is_empty() {
            return Err(NoOpenDay::NeverOpen);
        }
        let mut passed = Vec::new();
        for later in 0..=LONGEST_SEARCH_DAYS {
            let day = date.plus_days(later);
            match self.why_closed(day).map_err(NoOpenDay::Year)? {
                None => return Ok(OpenDay { date: day, passed }),
                Some(reason) => passed.push((day, reason)),
            }
        }
        Err(NoOpenDay::TooFar)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    division: Division,
    year: i32,
    days: BTreeMap<CivilDate, String>,
    #[serde(default)]
    weekend: BTreeMap<CivilDate, String>,
    source: SourceRow,
}

type Table = BTreeMap<(Division, i32), HolidayYear>;

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| read(built_table!("bank_holidays")).expect("the embedded table passes its test"))
}

fn read(text: &str) -> Result<Table, String> {
    let rows: Vec<Row> = table_of(text)?;
    let mut table = Table::new();
    for row in rows {
        let is_weekend = |date: &CivilDate| matches!(date.weekday(), Weekday::Sat | Weekday::Sun);
        let dates = || row.days.keys().chain(row.weekend.keys());
        if let Some(date) = dates().find(|date| date.0.year() != row.year) {
            return Err(format!("{date} is not in {}", row.year));
        }
        if row.days.is_empty() || row.days.keys().any(is_weekend) || !row.weekend.keys().all(is_weekend) {
            return Err(format!("{:?} {}: a day stands in the wrong list", row.division, row.year));
        }
        let kept = |days: BTreeMap<CivilDate, String>| {
            days.into_iter().map(|(date, name)| (date, keep(name))).collect()
        };
        let year = HolidayYear { cite: row.source.cite()?, days: kept(row.days), weekend: kept(row.weekend) };
        if table.insert((row.division, row.year), year).is_some() {
            return Err(format!("{:?} {} stands twice", row.division, row.year));
        }
    }
    Ok(table)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TextValue;

    fn date(text: &str) -> CivilDate {
        CivilDate::parse(text).expect("a literal date")
    }

    const WEEK: [Weekday; 5] = [Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri];

    fn clinic(closed: &[CivilDate]) -> OpeningDays<'_> {
        OpeningDays { division: Division::EnglandAndWales, weekdays: WEEK.to_vec(), closed }
    }

    fn moved(days: &OpeningDays<'_>, from: &str) -> String {
        days.first_open_from(date(from)).map_or_else(|none| none.to_string(), |open| open.date.to_string())
    }

    #[test]
    fn divisions_differ() {
        use Division::{EnglandAndWales, NorthernIreland, Scotland};
        let name = |division, day: &str| holiday(division, date(day)).ok().flatten();
        assert_eq!(name(Scotland, "2026-01-02"), Some("2nd January"));
        assert_eq!(name(EnglandAndWales, "2026-01-02"), None);
        assert_eq!(name(EnglandAndWales, "2026-04-06"), Some("Easter Monday"));
        assert_eq!(name(Scotland, "2026-04-06"), None);
        assert_eq!(name(Scotland, "2026-06-15"), Some("World Cup bank holiday"));
        assert_eq!(name(NorthernIreland, "2026-03-17"), Some("St Patrick's Day"));
    }

    #[test]
    fn an_open_day_stays_and_a_closed_one_moves_forward() {
        let closed = [date("2026-12-29")];
        let days = clinic(&closed);
        assert_eq!(moved(&days, "2026-11-27"), "2026-11-27");
        assert_eq!(moved(&days, "2026-11-28"), "2026-11-30");
        assert_eq!(moved(&days, "2026-12-25"), "2026-12-30");
        let open = days.first_open_from(date("2026-12-25")).expect("a known year");
        let reasons: Vec<&str> = open.passed.iter().map(|(_, reason)| reason.as_str()).collect();
        assert_eq!(
            reasons,
            [
                "Christmas Day",
                "Boxing Day",
                "a Sunday",
                "Boxing Day (substitute day)",
                "the clinic is closed"
            ]
        );
    }

    /// The bank holiday is moved to Monday, yet nobody opens on the Saturday.
    #[test]
    fn christmas_on_a_saturday_is_closed_all_the_same() {
        let weekdays = vec![Weekday::Sat];
        let days = OpeningDays { division: Division::EnglandAndWales, weekdays, closed: &[] };
        assert_eq!(moved(&days, "2027-12-25"), "2028-01-08");
    }

    #[test]
    fn outside_the_table_nothing_is_guessed() {
        assert_eq!(moved(&clinic(&[]), "2024-12-31"), "the bank holidays of 2024 are not in the table");
        assert_eq!(moved(&clinic(&[]), "2028-12-29"), "2028-12-29");
        assert_eq!(moved(&clinic(&[]), "2028-12-30"), "the bank holidays of 2029 are not in the table");
        let never = OpeningDays { weekdays: Vec::new(), ..clinic(&[]) };
        assert_eq!(moved(&never, "2026-11-27"), "the clinic file names no opening day");
    }

    #[test]
    fn a_long_closure_is_not_jumped() {
        let closed_for = |days: u64| -> Vec<CivilDate> {
            (0..days).map(|day| date("2026-06-01").plus_days(day)).collect()
        };
        assert_eq!(moved(&clinic(&closed_for(21)), "2026-06-01"), "2026-06-22");
        assert_eq!(
            moved(&clinic(&closed_for(22)), "2026-06-01"),
            "the clinic is closed for more than 21 days"
        );
    }

    #[test]
    fn a_bad_table_is_refused() {
        let row = |days: &str, rest: &str| {
            format!("- {{division: scotland, year: 2026, days: {{{days}}}, {rest}}}\n")
        };
        let source = "source: {relation: common practice}";
        let good = row("2026-01-01: a", source);
        assert!(read(&good).is_ok());
        for wrong in [
            format!("{good}{good}"),
            row("2027-01-01: a", source),
            row("2026-01-03: a", source),
            row("", source),
            row("2026-01-01: a", "weekend: {}"),
            row("2026-01-01: a", &format!("weekend: {{2026-01-02: b}}, {source}")),
        ] {
            assert!(read(&wrong).is_err(), "{wrong}");
        }
    }
}
