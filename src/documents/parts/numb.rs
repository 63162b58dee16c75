//! How long the toe stays numb, for the consent form and the leaflet: the same value in the same words.
//! No sentence stands here.

use serde::Serialize;

use crate::date::CivilDate;
use crate::derive::{Moment, Numbness, Usual};

/// "About 11:37am" claims too much: a time is widened to whole steps of this.
const ROUND_MINUTES: i64 = 5;

/// Hours that people call a day.
const A_DAY: u32 = 24;

/// What may be said. One of `is_range`, `is_few_hours` and `is_up_to` holds.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one form of the sentence")]
pub(in crate::documents) struct NumbView {
    /// `from` to `to` hours.
    is_range: bool,
    from: String,
    to: String,
    is_few_hours: bool,
    /// Up to `to` hours.
    is_up_to: bool,
    /// These are a day.
    is_a_day: bool,
    /// The times of the day are known as well.
    has_clock: bool,
    earliest: When,
    latest: When,
    /// Hours after which to ring.
    ring_after: String,
    has_ring_clock: bool,
    ring_at: When,
}

/// A time of day, and on which day it is.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct When {
    time: String,
    /// The day must be said.
    has_day: bool,
    is_today: bool,
    is_tomorrow: bool,
    /// `Thursday`.
    weekday: String,
}

impl When {
    fn of(moment: Moment, surgery: CivilDate, has_day: bool) -> When {
        let days = surgery.days_until(moment.day);
        When {
            time: moment.time.plain(),
            has_day,
            is_today: days == 0,
            is_tomorrow: days == 1,
            weekday: moment.day.0.format("%A").to_string(),
        }
    }
}

/// Widened to a whole step: earlier or later.
fn rounded(moment: Moment, is_later: bool) -> Moment {
    let over = i64::from(chrono::Timelike::minute(&moment.time.0)) % ROUND_MINUTES;
    let step = if is_later { (ROUND_MINUTES - over) % ROUND_MINUTES } else { -over };
    let (time, midnights) = moment.time.plus_minutes(step);
    Moment { day: moment.day.plus_days(u64::try_from(midnights).unwrap_or(0)), time }
}

impl NumbView {
    /// Told on the day of surgery.
    pub(in crate::documents) fn of(numbness: &Numbness, surgery: CivilDate) -> NumbView {
        let (from, to) = match numbness.usual {
            Usual::Between { from, to } => (from.to_string(), to.to_string()),
            Usual::AFewHours => (String::new(), String::new()),
            Usual::UpTo(to) => (String::new(), to.to_string()),
        };
        let back = numbness.back.map(|(from, to)| (rounded(from, false), rounded(to, true)));
        let (earliest, latest) = back.map_or_else(Default::default, |(from, to)| {
            let are_apart = from.day != to.day;
            let is_today = to.day == surgery;
            (When::of(from, surgery, are_apart), When::of(to, surgery, are_apart || !is_today))
        });
        let ring_at = numbness.ring_at.map(|at| When::of(rounded(at, true), surgery, true));
        NumbView {
            is_range: matches!(numbness.usual, Usual::Between { .. }),
            is_few_hours: numbness.usual == Usual::AFewHours,
            is_up_to: matches!(numbness.usual, Usual::UpTo(_)),
            is_a_day: numbness.usual == Usual::UpTo(A_DAY),
            from,
            to,
            has_clock: back.is_some(),
            earliest,
            latest,
            ring_after: numbness.ring_after_hours.to_string(),
            has_ring_clock: ring_at.is_some(),
            ring_at: ring_at.unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::date::TimeOfDay;
    use crate::units::TextValue;

    fn moment(day: &str, time: &str) -> Moment {
        Moment {
            day: CivilDate::parse(day).expect("a literal date"),
            time: TimeOfDay::parse(time).expect("a literal time"),
        }
    }

    fn view(from: Moment, to: Moment) -> NumbView {
        let usual = Usual::Between { from: 1, to: 6 };
        let numbness = Numbness { usual, ring_after_hours: 12, back: Some((from, to)), ring_at: Some(to) };
        NumbView::of(&numbness, CivilDate::parse("2026-11-24").expect("a literal date"))
    }

    fn said(when: &When) -> String {
        match (when.has_day, when.is_today, when.is_tomorrow) {
            (false, ..) => when.time.clone(),
            (_, true, _) => format!("{} today", when.time),
            (_, _, true) => format!("{} tomorrow", when.time),
            _ => format!("{} on {}", when.time, when.weekday),
        }
    }

    #[test]
    fn times_are_widened_and_days_named_where_they_must_be() {
        for (from, to, wanted) in [
            (("2026-11-24", "11:36"), ("2026-11-24", "13:36"), ["11:35am", "1:40pm"]),
            (("2026-11-24", "21:00"), ("2026-11-24", "23:56"), ["9pm today", "midnight tomorrow"]),
            (("2026-11-25", "00:30"), ("2026-11-25", "05:30"), ["12:30am", "5:30am tomorrow"]),
            (("2026-11-25", "01:30"), ("2026-11-26", "03:30"), ["1:30am tomorrow", "3:30am on Thursday"]),
        ] {
            let view = view(moment(from.0, from.1), moment(to.0, to.1));
            assert_eq!([said(&view.earliest), said(&view.latest)], wanted);
        }
    }

    #[test]
    fn one_form_of_the_sentence_holds() {
        for usual in [Usual::Between { from: 1, to: 6 }, Usual::AFewHours, Usual::UpTo(24), Usual::UpTo(30)] {
            let numbness = Numbness { usual, ring_after_hours: 36, back: None, ring_at: None };
            let view = NumbView::of(&numbness, CivilDate::parse("2026-11-24").expect("a literal date"));
            let forms = [view.is_range, view.is_few_hours, view.is_up_to];
            assert_eq!(forms.iter().filter(|holds| **holds).count(), 1, "{usual}");
            assert!(!view.has_clock && !view.has_ring_clock);
            assert_eq!(view.is_a_day, usual == Usual::UpTo(24));
        }
    }
}
