//! Dates, months and times as people type them in the United Kingdom: the day first, and refused where a
//! second meaning is possible.

use chrono::{Datelike, NaiveDate, NaiveTime, Weekday};

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];
const DAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Mon),
    ("tuesday", Weekday::Tue),
    ("wednesday", Weekday::Wed),
    ("thursday", Weekday::Thu),
    ("friday", Weekday::Fri),
    ("saturday", Weekday::Sat),
    ("sunday", Weekday::Sun),
];
/// Years that a file can be about.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2100;
/// A year of two digits above this is shown as one of the last century: a day of birth.
const LAST_OF_THIS_CENTURY: u32 = 40;
/// Hours that are hardly ever a clinic's in the morning: without a nought in front or `am` they may be afternoon.
const MAYBE_AFTERNOON: std::ops::RangeInclusive<u32> = 1..=7;

/// What is read as a date, for the schema.
pub(super) const DATE_PATTERN: &str = "^ *(?:(?:[mM]on|[tT]ue|[wW]ed|[tT]hu|[fF]ri|[sS]at|[sS]un)[a-z]*,? +)?\
    (?:[0-9]{4}[-/.][0-9]{1,2}[-/.][0-9]{1,2}|[0-9]{1,2}[-/. ][0-9]{1,2}[-/. ][0-9]{4}|\
    [0-9]{1,2}(?:st|nd|rd|th)?[- ]*[a-zA-Z]{3,9}[-., ]*[0-9]{4}|[a-zA-Z]{3,9} +[0-9]{1,2}(?:st|nd|rd|th)?,? +[0-9]{4}) *$";
/// What is read as an expiry, for the schema.
pub(super) const EXPIRY_PATTERN: &str = "^ *(?:[0-9]{4}[-/.][0-9]{1,2}(?:[-/.][0-9]{1,2})?|\
    [0-9]{1,2}[-/. ][0-9]{4}|[0-9]{1,2}[-/][0-9]{2}|[0-9]{1,2}[-/. ][0-9]{1,2}[-/. ][0-9]{4}|\
    (?:[0-9]{1,2}(?:st|nd|rd|th)?[- ]*)?[a-zA-Z]{3,9}[-., ]*[0-9]{4}) *$";
/// What is read as a time, for the schema.
pub(super) const TIME_PATTERN: &str =
    "^ *(?:[01]?[0-9]|2[0-3])(?:[:.][0-5][0-9]|[0-5][0-9])? *(?:[aApP]\\.?[mM]\\.?)? *(?:h|hrs|hours)? *$";

/// The number of a month from its name or its first three letters or more: `Nov`, `Sept`.
fn month(word: &str) -> Option<u32> {
    let word = word.trim_end_matches('.').to_lowercase();
    let found = MONTHS.iter().position(|name| word.len() >= 3 && name.starts_with(&word));
    let found = found.or_else(|| (word == "sept").then_some(8))?;
    u32::try_from(found + 1).ok()
}

/// A day of the month, with or without its `th`.
fn day(word: &str) -> Option<u32> {
    let digits = ["st", "nd", "rd", "th"].iter().find_map(|end| word.strip_suffix(end)).unwrap_or(word);
    number(digits, 2)
}

/// Digits, at most so many.
fn number(text: &str, most: usize) -> Option<u32> {
    let is_number = !text.is_empty() && text.len() <= most && text.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| text.parse().ok()).flatten()
}

fn year(text: &str) -> Option<i32> {
    number(text, 4).filter(|_| text.len() == 4).and_then(|year| i32::try_from(year).ok())
}

/// The pieces of a date, at blanks, hyphens, strokes and points; `24Nov2026` too.
fn pieces(text: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    for piece in text.split([' ', '-', '/', '.', ',']).filter(|piece| !piece.is_empty()) {
        let letters = piece.find(|c: char| c.is_ascii_alphabetic());
        match letters.filter(|_| day(piece).is_none()) {
            Some(from) if from > 0 => {
                let (number, rest) = piece.split_at(from);
                let end = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
                pieces.extend([number, &rest[..end], &rest[end..]].iter().filter(|piece| !piece.is_empty()));
            }
            _ => pieces.push(piece),
        }
    }
    pieces
}

/// One sign between numbers, so that `2026-11/24` and `2026--11-24` are no dates.
fn has_one_sign(text: &str) -> bool {
    let signs: Vec<char> = text.chars().filter(|c| matches!(c, '-' | '/' | '.')).collect();
    signs.windows(2).all(|pair| pair[0] == pair[1])
        && !["--", "//", ".."].iter().any(|twice| text.contains(twice))
        && !text.starts_with(['-', '/', '.'])
        && !text.ends_with(['-', '/'])
}

fn no_such_day(text: &str) -> String {
    format!("there is no such day as `{text}`: write day/month/year, like `24/11/2026`, or `2026-11-24`")
}

/// `2026-11-24`, as nearly every date of a file stands there.
fn in_full(text: &str) -> Option<NaiveDate> {
    let typed: &[u8; 10] = text.as_bytes().try_into().ok()?;
    let number = |digits: &[u8]| {
        digits.iter().try_fold(0, |number, digit| {
            digit.is_ascii_digit().then(|| number * 10 + u32::from(digit - b'0'))
        })
    };
    if (typed[4], typed[7]) != (b'-', b'-') {
        return None;
    }
    let year = i32::try_from(number(&typed[..4])?).ok()?;
    NaiveDate::from_ymd_opt(year, number(&typed[5..7])?, number(&typed[8..])?)
        .filter(|date| YEARS.contains(&date.year()))
}

/// A date. `Err` says what is wrong and what to write.
pub(super) fn date(text: &str) -> Result<NaiveDate, String> {
    if let Some(date) = in_full(text) {
        return Ok(date);
    }
    let typed = text.trim();
    let unreadable = || {
        format!(
            "`{text}` is not a date: write day, month and year in full, like `24/11/2026`, or `2026-11-24`"
        )
    };
    let is_plain = typed.len() <= 40
        && typed.is_ascii()
        && !typed.contains(|c: char| c.is_control())
        && !typed.contains('+');
    if !is_plain || !has_one_sign(typed) {
        return Err(unreadable());
    }
    let mut pieces = pieces(typed);
    let weekday = pieces.first().and_then(|word| {
        let word = word.to_lowercase();
        DAYS.iter().find(|(name, _)| word.len() >= 3 && name.starts_with(&word)).map(|(_, day)| *day)
    });
    if weekday.is_some() {
        pieces.remove(0);
    }
    if let [name, number] = pieces.as_slice()
        && month(name).is_some()
        && year(number).is_some()
    {
        return Err(format!(
            "`{text}` names no day: write it as well, like `14 {name} {number}`; if nobody knows it, take the line out"
        ));
    }
    let [first, second, third] = pieces.as_slice() else { return Err(unreadable()) };
    let (year, month, day) = match (year(first), number(second, 2), month(second), month(first)) {
        (Some(year), Some(month), ..) => (Some(year), Some(month), number(third, 2)),
        (None, Some(month), ..) if number(first, 2).is_some() => {
            if year(third).is_none() {
                return Err(two_digits(typed, [first, second, third]).unwrap_or_else(unreadable));
            }
            (year(third), Some(month), number(first, 2))
        }
        (None, None, Some(month), _) => (year(third), Some(month), day(first)),
        (None, _, _, Some(month)) => (year(third), Some(month), day(second)),
        _ => (None, None, None),
    };
    let (Some(year), Some(month), Some(day)) = (year, month, day) else { return Err(unreadable()) };
    if month > 12 && day <= 12 {
        return Err(format!(
            "`{text}` has no month {month}: the day comes before the month, like `24/11/2026`"
        ));
    }
    let date = NaiveDate::from_ymd_opt(year, month, day).ok_or_else(|| no_such_day(text))?;
    if !YEARS.contains(&date.year()) {
        return Err(format!("the year of `{text}` is outside 1900 to 2100"));
    }
    match weekday {
        Some(weekday) if weekday != date.weekday() => {
            Err(format!("{} is a {}: write the right day", date.format("%-d %B %Y"), date.format("%A")))
        }
        _ => Ok(date),
    }
}

/// `24/11/26`: the year first or last.
fn two_digits(text: &str, [first, second, third]: [&str; 3]) -> Option<String> {
    let (a, month, b) = (number(first, 2)?, number(second, 2)?, number(third, 2)?);
    let century = |year: u32| if year > LAST_OF_THIS_CENTURY { 1900 } else { 2000 };
    let of =
        |year: u32, day: u32| NaiveDate::from_ymd_opt(i32::try_from(century(year) + year).ok()?, month, day);
    let meant: Vec<String> = [of(b, a), of(a, b)]
        .into_iter()
        .flatten()
        .map(|date| format!("`{}`", date.format("%-d %b %Y")))
        .collect();
    match meant.as_slice() {
        [one, other] if one != other => {
            Some(format!("`{text}` has two meanings: write {one} or {other}, with the year in full"))
        }
        [one, ..] => Some(format!("`{text}` has a year of two digits: write it in full, like {one}")),
        [] => None,
    }
}

/// The first day of a month: `2027-08`, `08/2027`, `Aug 2027`, `08/27` as packs print it. `None` if it is
/// anything else.
pub(super) fn month_of_a_year(text: &str) -> Option<Result<NaiveDate, String>> {
    let typed = text.trim();
    if typed.len() > 20 || !typed.is_ascii() || !has_one_sign(typed) {
        return None;
    }
    let pieces = pieces(typed);
    let [first, second] = pieces.as_slice() else { return None };
    let (year, month) = match (year(first), year(second), month(first)) {
        (Some(year), ..) => (year, number(second, 2)?),
        (None, Some(year), Some(month)) => (year, month),
        (None, Some(year), None) => (year, number(first, 2)?),
        (None, None, _) => return short_month(typed, number(first, 2)?, number(second, 2)?),
    };
    if !YEARS.contains(&year) {
        return Some(Err(format!("the year of `{text}` is outside 1900 to 2100")));
    }
    Some(NaiveDate::from_ymd_opt(year, month, 1).ok_or_else(|| format!("`{text}` has no such month")))
}

/// `08/27`: a pack prints month and year.
fn short_month(text: &str, first: u32, second: u32) -> Option<Result<NaiveDate, String>> {
    let of = |month: u32, year: u32| NaiveDate::from_ymd_opt(2000 + i32::try_from(year).ok()?, month, 1);
    let shown = |date: NaiveDate| date.format("%Y-%m").to_string();
    if !text.contains(['/', '-']) {
        return None;
    }
    match (of(first, second), of(second, first)) {
        (Some(one), Some(other)) if one != other => {
            Some(Err(format!("`{text}` has two meanings: write `{}` or `{}`", shown(one), shown(other))))
        }
        (Some(date), _) => Some(Ok(date)),
        (None, Some(other)) => {
            Some(Err(format!("`{text}` has no such month: write `{}` if the year comes first", shown(other))))
        }
        (None, None) => None,
    }
}

/// `09:35`, as nearly every time of a file stands there.
fn time_in_full(text: &str) -> Option<NaiveTime> {
    let [h, hour, b':', m, minute] = *text.as_bytes() else { return None };
    let number = |tens: u8, ones: u8| {
        let is_number = tens.is_ascii_digit() && ones.is_ascii_digit();
        is_number.then(|| u32::from(tens - b'0') * 10 + u32::from(ones - b'0'))
    };
    NaiveTime::from_hms_opt(number(h, hour)?, number(m, minute)?, 0)
}

/// A time of the day. `Err` says what is wrong and what to write.
pub(super) fn time(text: &str) -> Result<NaiveTime, String> {
    let unreadable =
        || format!("`{text}` is not a time: write 24-hour hours and minutes, like `09:35` or `9.35`");
    if let Some(time) = time_in_full(text) {
        return Ok(time);
    }
    let mut typed = text.trim().to_lowercase();
    for end in ["hours", "hrs", "h"] {
        if let Some(rest) = typed.strip_suffix(end) {
            typed = rest.trim_end().to_owned();
            break;
        }
    }
    let halves = [("a.m.", 0), ("p.m.", 12), ("am", 0), ("pm", 12)];
    let half = halves.iter().find_map(|(end, hours)| Some((typed.strip_suffix(end)?.trim_end(), *hours)));
    let (digits, half) = half.map_or((typed.as_str(), None), |(digits, hours)| (digits, Some(hours)));
    let (hours, minutes) = match digits.split_once([':', '.']) {
        Some((hours, minutes)) if minutes.len() == 1 && number(minutes, 1).is_some() => {
            let hours = number(hours, 2).ok_or_else(unreadable)?;
            return Err(format!(
                "`{text}` has two meanings: write `{hours:02}:0{minutes}` or `{hours:02}:{minutes}0`"
            ));
        }
        Some((hours, minutes)) => (hours, minutes),
        None if digits.len() == 4 && digits.is_ascii() => digits.split_at(2),
        None if half.is_some() => (digits, "00"),
        None => return Err(unreadable()),
    };
    let (Some(hour), Some(minute), 2) = (number(hours, 2), number(minutes, 2), minutes.len()) else {
        return Err(unreadable());
    };
    let time = match half {
        Some(_) if hour == 0 || hour > 12 => None,
        Some(later) => NaiveTime::from_hms_opt(hour % 12 + later, minute, 0),
        None if hours.len() == 1 && MAYBE_AFTERNOON.contains(&hour) => {
            return Err(format!(
                "`{text}` has two meanings: write `{hour:02}:{minute:02}` or `{:02}:{minute:02}`",
                hour + 12
            ));
        }
        None => NaiveTime::from_hms_opt(hour, minute, 0),
    };
    time.ok_or_else(unreadable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_to_write_a_date_is_that_date() {
        for typed in [
            "24/11/2026",
            "24-11-2026",
            "24.11.2026",
            "24 11 2026",
            "24 Nov 2026",
            "24-Nov-2026",
            "24th November 2026",
            "24Nov2026",
            "Tue 24 Nov 2026",
            "Tuesday, 24 November 2026",
            "November 24, 2026",
            "2026/11/24",
            "2026-11-24",
            " 2026-11-24 ",
        ] {
            assert_eq!(date(typed).map(|date| date.to_string()).as_deref(), Ok("2026-11-24"), "{typed}");
        }
        assert_eq!(
            date("1/2/2026").map(|date| date.to_string()).as_deref(),
            Ok("2026-02-01"),
            "the day first"
        );
        assert_eq!(date("3 Sept 2026").map(|date| date.to_string()).as_deref(), Ok("2026-09-03"));
    }

    #[test]
    fn a_date_with_two_meanings_names_both() {
        for (typed, part) in [
            ("24/11/26", "`24 Nov 2026` or `26 Nov 2024`"),
            ("1-2-84", "in full, like `1 Feb 1984`"),
            ("11/24/2026", "the day comes before the month"),
            ("31/11/2026", "no such day"),
            ("Mon 24 Nov 2026", "is a Tuesday"),
            ("24 Nov", "not a date"),
            ("2026-11/24", "not a date"),
            ("+2026-11-24", "not a date"),
            ("24/11/2126", "outside 1900 to 2100"),
            ("24 Nix 2026", "not a date"),
            ("yesterday", "not a date"),
        ] {
            let refused = date(typed).expect_err(typed);
            assert!(refused.contains(part), "{typed}: {refused}");
        }
    }

    #[test]
    fn every_way_to_write_a_time_is_that_time() {
        for typed in
            ["09:35", "9:35", "9.35", "09.35", "0935", "9.35am", "9.35 AM", "9:35 a.m.", "0935h", "0935 hrs"]
        {
            assert_eq!(time(typed).map(|time| time.to_string()).as_deref(), Ok("09:35:00"), "{typed}");
        }
        for (typed, is) in [
            ("2.05pm", "14:05"),
            ("12.30pm", "12:30"),
            ("12.30am", "00:30"),
            ("9am", "09:00"),
            ("14.05", "14:05"),
            ("02:05", "02:05"),
        ] {
            assert_eq!(
                time(typed).map(|time| time.format("%H:%M").to_string()).as_deref(),
                Ok(is),
                "{typed}"
            );
        }
    }

    #[test]
    fn a_time_with_two_meanings_names_both() {
        for (typed, part) in [
            ("2.15", "`02:15` or `14:15`"),
            ("9.5", "`09:05` or `09:50`"),
            ("24:00", "not a time"),
            ("9", "not a time"),
            ("935", "not a time"),
            ("13.30pm", "not a time"),
            ("09:35:00", "not a time"),
            ("9,35", "not a time"),
        ] {
            let refused = time(typed).expect_err(typed);
            assert!(refused.contains(part), "{typed}: {refused}");
        }
    }

    #[test]
    fn a_month_as_packs_print_it() {
        let read =
            |text: &str| month_of_a_year(text).map(|month| month.map(|day| day.format("%Y-%m").to_string()));
        for typed in ["2027-08", "08/2027", "8/2027", "Aug 2027", "Aug-2027", "08/27", "08-27"] {
            assert_eq!(read(typed), Some(Ok("2027-08".to_owned())), "{typed}");
        }
        assert!(
            read("09/10").is_some_and(|read| read.is_err_and(|says| says.contains("`2010-09` or `2009-10`")))
        );
        assert!(read("27/08").is_some_and(|read| read.is_err_and(|says| says.contains("`2027-08`"))));
        assert_eq!(read("08.27"), None);
    }
}
