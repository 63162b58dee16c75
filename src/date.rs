//! Dates, times and ages. There is no clock here: today comes in from the edge.

mod typed;

use std::fmt;

use chrono::{Datelike, Days, Months, NaiveDate, NaiveTime, Timelike, Weekday};
use serde::{Serialize, Serializer};

use crate::text_value;
use crate::units::TextValue;

/// Puts a number in so many digits behind a text. Dates and times are put together by hand: a case and its lists
/// ask for hundreds of them, and a pattern would be read anew each time.
fn in_digits(text: &mut String, number: u32, count: u32) {
    // Whatever has more digits is written with all of them.
    let count = number.checked_ilog10().map_or(1, |last| last + 1).max(count);
    for place in (0..count).rev() {
        text.push(char::from_digit(number / 10_u32.pow(place) % 10, 10).unwrap_or('0'));
    }
}

/// A calendar date, written `2026-11-24`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CivilDate(pub NaiveDate);

impl TextValue for CivilDate {
    const FORMAT: &'static str = "date";
    const EXAMPLE: &'static str = "2026-11-24";
    const PATTERN: &'static str = typed::DATE_PATTERN;
    fn parse(text: &str) -> Result<Self, String> {
        typed::date(text).map(CivilDate)
    }
    fn written(&self) -> Option<String> {
        Some(self.iso())
    }
}

impl CivilDate {
    /// From numbers that are known to be a date.
    pub fn of(year: i32, month: u32, day: u32) -> Option<CivilDate> {
        NaiveDate::from_ymd_opt(year, month, day).map(CivilDate)
    }

    /// 1 for January.
    pub fn month(self) -> u32 {
        self.0.month()
    }

    /// Days from this date to `other`; negative if `other` is earlier.
    pub fn days_until(self, other: CivilDate) -> i64 {
        other.0.signed_duration_since(self.0).num_days()
    }

    /// This date and a number of days.
    #[must_use]
    pub fn plus_days(self, days: u64) -> CivilDate {
        CivilDate(self.0.checked_add_days(Days::new(days)).unwrap_or(NaiveDate::MAX))
    }

    /// This date and a number of calendar months; the last day of a shorter month.
    #[must_use]
    pub fn plus_months(self, months: u32) -> CivilDate {
        CivilDate(self.0.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX))
    }

    /// `24-Nov-2026`, the short form of clinical documents
    /// (Date Display v4.0, NHS CUI, HSCIC 2013).
    pub fn clinical(self) -> String {
        const MONTHS: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let mut text = String::with_capacity(11);
        in_digits(&mut text, self.0.day(), 2);
        text.push('-');
        text.push_str(MONTHS[self.0.month0() as usize]);
        text.push('-');
        in_digits(&mut text, self.0.year().unsigned_abs(), 4);
        text
    }

    /// `2026-11-24`.
    fn iso(self) -> String {
        let mut text = String::with_capacity(10);
        in_digits(&mut text, self.0.year().unsigned_abs(), 4);
        for number in [self.0.month(), self.0.day()] {
            text.push('-');
            in_digits(&mut text, number, 2);
        }
        text
    }

    /// `24 November 2026`, the long form of documents for patients
    /// (NHS digital service manual, numbers and dates, 2026).
    pub fn long(self) -> String {
        self.0.format("%-d %B %Y").to_string()
    }

    /// `Friday 27 November 2026`.
    pub fn long_with_day(self) -> String {
        self.0.format("%A %-d %B %Y").to_string()
    }

    /// The day of the week.
    pub fn weekday(self) -> Weekday {
        self.0.weekday()
    }
}

/// ISO form, as the case file writes it.
impl fmt::Display for CivilDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.iso())
    }
}

impl Serialize for CivilDate {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

text_value!(CivilDate, "date");

/// A time of the day, written `"09:35"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TimeOfDay(pub NaiveTime);

impl TextValue for TimeOfDay {
    const FORMAT: &'static str = "time of day";
    const EXAMPLE: &'static str = "09:35";
    const PATTERN: &'static str = typed::TIME_PATTERN;
    const IS_QUOTED: bool = true;
    fn parse(text: &str) -> Result<Self, String> {
        typed::time(text).map(TimeOfDay)
    }
    fn written(&self) -> Option<String> {
        Some(self.clinical())
    }
}

impl TimeOfDay {
    /// Whole minutes from this time to `other` on the same day; negative if `other` is earlier.
    pub fn minutes_until(self, other: TimeOfDay) -> i64 {
        other.0.signed_duration_since(self.0).num_minutes()
    }

    /// This time and a number of minutes, with how many midnights were passed.
    pub fn plus_minutes(self, minutes: i64) -> (TimeOfDay, i64) {
        let (time, seconds) = self.0.overflowing_add_signed(chrono::TimeDelta::minutes(minutes));
        (TimeOfDay(time), seconds / 86_400)
    }

    /// `14:05`, for clinical documents (Time Display v4.0, NHS CUI, HSCIC 2013).
    pub fn clinical(self) -> String {
        let mut text = String::with_capacity(5);
        in_digits(&mut text, self.0.hour(), 2);
        text.push(':');
        in_digits(&mut text, self.0.minute(), 2);
        text
    }

    /// `2:05pm`, `2pm`, `midday`, `midnight`, for patients
    /// (NHS digital service manual, numbers and dates, 2026).
    pub fn plain(self) -> String {
        match self.clinical().as_str() {
            "12:00" => "midday".into(),
            "00:00" => "midnight".into(),
            on_the_hour if on_the_hour.ends_with(":00") => self.0.format("%-I%P").to_string(),
            _ => self.0.format("%-I:%M%P").to_string(),
        }
    }
}

impl fmt::Display for TimeOfDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.clinical())
    }
}

impl Serialize for TimeOfDay {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

text_value!(TimeOfDay, "time of day");

/// An expiry date as packs print it: a month (`2027-08`, good to its last day) or a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Expiry {
    /// The last day of use.
    pub last_day: CivilDate,
    /// The pack named only a month.
    pub is_month: bool,
}

impl TextValue for Expiry {
    const FORMAT: &'static str = "expiry";
    const EXAMPLE: &'static str = "2027-08";
    const PATTERN: &'static str = typed::EXPIRY_PATTERN;
    fn parse(text: &str) -> Result<Self, String> {
        let Some(first) = typed::month_of_a_year(text) else {
            let unreadable = |says: String| match says.contains("is not a date") {
                true => format!("`{text}` is not an expiry date: write `2027-08` or `2027-08-31`"),
                false => says,
            };
            let day = CivilDate::parse(text).map_err(unreadable)?;
            return Ok(Expiry { last_day: day, is_month: false });
        };
        let last = first?.checked_add_months(Months::new(1)).and_then(|next| next.pred_opt());
        last.map(|day| Expiry { last_day: CivilDate(day), is_month: true })
            .ok_or_else(|| format!("`{text}` is not an expiry date: write `2027-08` or `2027-08-31`"))
    }
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
}

impl Expiry {
    /// `Aug-2027` or `31-Aug-2027`, for clinical documents.
    pub fn clinical(self) -> String {
        if self.is_month { self.last_day.clinical()[3..].to_owned() } else { self.last_day.clinical() }
    }
}

impl fmt::Display for Expiry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_month {
            write!(f, "{:04}-{:02}", self.last_day.0.year(), self.last_day.month())
        } else {
            write!(f, "{}", self.last_day)
        }
    }
}

impl Serialize for Expiry {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

text_value!(Expiry, "expiry");

/// An age on a given day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Age {
    /// Completed years.
    pub years: u32,
    /// Completed months beyond the years.
    pub months: u32,
    /// Days beyond the months.
    pub days: u32,
    /// Days since birth.
    pub total_days: u32,
}

impl Age {
    /// The age on `day`; `None` if `day` is before birth.
    /// A person born on 29 February completes a year on 1 March of a common year.
    pub fn on(born: CivilDate, day: CivilDate) -> Option<Age> {
        let total_days = u32::try_from(born.days_until(day)).ok()?;
        let years = day.0.years_since(born.0)?;
        let mut months = (day.0.month() + 12 - born.0.month()) % 12;
        if day.0.day() < born.0.day() {
            months = (months + 11) % 12;
        }
        let anniversary = born.plus_months(years * 12 + months);
        let days = u32::try_from(anniversary.days_until(day)).unwrap_or(0);
        Some(Age { years, months, days, total_days })
    }

    /// Weeks and days for the very young, years for adults, years and months between, after the
    /// table of Patient Banner v4.0 (NHS CUI, HSCIC 2013): `42y`, `15y 3m`, `12m 8d`, `4w 1d`.
    pub fn clinical(self) -> String {
        let pair = |big: u32, big_unit: &str, small: u32, small_unit: &str| {
            if small == 0 {
                format!("{big}{big_unit}")
            } else {
                format!("{big}{big_unit} {small}{small_unit}")
            }
        };
        match (self.years, self.total_days) {
            (18.., _) => format!("{}y", self.years),
            (2..=17, _) => pair(self.years, "y", self.months, "m"),
            (1, _) => pair(12 + self.months, "m", self.days, "d"),
            (0, 28..) => pair(self.total_days / 7, "w", self.total_days % 7, "d"),
            (0, days) => format!("{days}d"),
        }
    }
}

impl fmt::Display for Age {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.clinical())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> CivilDate {
        CivilDate::parse(text).expect("a literal date")
    }

    #[test]
    fn dates_are_strict() {
        for wrong in ["24-11-26", "2026-11-31", "2026-1", "+026-11-24", "2126-01-01", "2026/24/11", ""] {
            assert!(CivilDate::parse(wrong).is_err(), "{wrong}");
        }
        assert_eq!(date("2026-11-24").clinical(), "24-Nov-2026");
        assert_eq!(date("2018-08-06").long(), "6 August 2018");
    }

    /// Against the patterns of chrono, which were used before.
    #[test]
    fn dates_and_times_are_put_together_as_their_patterns_say() {
        for day in (0..1500).map(|day| date("1999-12-20").plus_days(day * 7)) {
            assert_eq!(day.clinical(), day.0.format("%d-%b-%Y").to_string());
            assert_eq!(day.to_string(), day.0.format("%Y-%m-%d").to_string());
            let expiry = Expiry { last_day: day, is_month: true };
            assert_eq!(expiry.clinical(), day.0.format("%b-%Y").to_string());
            assert_eq!(expiry.to_string(), day.0.format("%Y-%m").to_string());
        }
        let midnight = TimeOfDay(NaiveTime::MIN);
        for (time, _) in (0..24 * 60).map(|minute| midnight.plus_minutes(minute)) {
            assert_eq!(time.clinical(), time.0.format("%H:%M").to_string());
            // In full it is read at once; with a blank, like any other.
            assert_eq!(TimeOfDay::parse(&time.clinical()), Ok(time));
            assert_eq!(TimeOfDay::parse(&format!("{time} ")), Ok(time));
        }
    }

    #[test]
    fn times_for_both_audiences() {
        let time = |text: &str| TimeOfDay::parse(text).expect("a literal time");
        assert_eq!(time("14:05").clinical(), "14:05");
        assert_eq!(time("14:05").plain(), "2:05pm");
        assert_eq!(time("17:00").plain(), "5pm");
        assert_eq!(time("12:00").plain(), "midday");
        assert_eq!(time("23:30").plus_minutes(60), (time("00:30"), 1));
        for wrong in ["24:00", "935", "09:60", "09:35:00"] {
            assert!(TimeOfDay::parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_month_expires_on_its_last_day() {
        let expiry = Expiry::parse("2028-02").expect("a month");
        assert_eq!(expiry.last_day, date("2028-02-29"));
        assert_eq!(expiry.clinical(), "Feb-2028");
        assert!(Expiry::parse("2028-13").is_err());
    }

    /// Rows of Patient Banner v4.0, table 7-8 (NHS CUI, HSCIC 2013).
    #[test]
    fn ages_print_as_the_banner_table_says() {
        let age = |born: &str, day: &str| Age::on(date(born), date(day)).map(Age::clinical);
        assert_eq!(age("1945-07-14", "2006-07-14").as_deref(), Some("61y"));
        assert_eq!(age("1945-07-14", "2007-07-13").as_deref(), Some("61y"));
        assert_eq!(age("2020-01-01", "2024-02-09").as_deref(), Some("4y 1m"));
        assert_eq!(age("2020-01-01", "2021-01-09").as_deref(), Some("12m 8d"));
        assert_eq!(age("2021-01-01", "2022-02-09").as_deref(), Some("13m 8d"));
        assert_eq!(age("2020-01-01", "2020-01-29").as_deref(), Some("4w"));
        assert_eq!(age("2020-01-01", "2020-01-30").as_deref(), Some("4w 1d"));
        assert_eq!(age("2020-01-01", "2020-01-28").as_deref(), Some("27d"));
        assert_eq!(age("2020-01-02", "2020-01-01"), None);
    }

    #[test]
    fn a_leap_day_birthday_falls_on_the_first_of_march() {
        let years = |day: &str| Age::on(date("2008-02-29"), date(day)).map(|age| age.years);
        assert_eq!(years("2026-02-28"), Some(17));
        assert_eq!(years("2026-03-01"), Some(18));
    }
}
