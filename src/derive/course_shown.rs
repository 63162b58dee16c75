//! The course of care for `show`: how far it has come, the next visit, and what became of each toe.

use super::course::{Course, Due, ToeCourse};
use super::shown::Shown;
use crate::case::Regrowth;
use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::words::{Count, List};

const AS_RECORDED: Cite = Cite::project_default("as the visits say, and nothing for time that has passed");
const BOOKED: Cite =
    Cite::project_default("the visit that was booked last, else the next of the clinic's protocol");
const REGROWTH: Cite =
    Cite::project_default("whole calendar months; a spike and nail are told apart, and whether it hurts");

/// A line for each value.
pub(super) fn rows(course: &Course) -> Vec<Shown> {
    let mut rows = vec![stage(course), next(course)];
    for toe in &course.toes {
        rows.push(days_to_healing(course, toe));
        rows.push(infection(toe));
        rows.push(regrowth(toe));
    }
    rows
}

/// A value with its working.
fn known(name: String, value: String, unit: Option<&str>, working: String, source: Cite) -> Shown {
    Shown {
        name,
        value: Some(value),
        unit: unit.map(str::to_owned),
        working: (!working.is_empty()).then_some(working),
        source: Some(source.to_string()),
        missing: None,
    }
}

fn unknown(name: String, missing: String) -> Shown {
    Shown { name, value: None, unit: None, working: None, source: None, missing: Some(missing) }
}

fn stage(course: &Course) -> Shown {
    let operated = course.operated_on.map(|on| format!("surgery {}", on.clinical()));
    let visits = (course.visits > 0).then(|| Count(course.visits, "visit").to_string());
    let missed = (course.missed > 0).then(|| format!("{} missed", course.missed));
    let closed = course.closed_on.map(|on| format!("closed {}", on.clinical()));
    let working: Vec<String> = [operated, visits, missed, closed].into_iter().flatten().collect();
    known("stage".into(), course.stage.word().into(), None, working.join(", "), AS_RECORDED)
}

fn next(course: &Course) -> Shown {
    let Some(Due { purpose, on, at, is_booked, is_overdue }) = &course.next else {
        return unknown("next_visit".into(), "none is booked, and none is due".into());
    };
    let time = at.map_or_else(String::new, |at| format!(" {at}"));
    let how = if *is_booked { "booked" } else { "by the clinic's protocol" };
    let overdue = if *is_overdue { ", the day has passed" } else { "" };
    let value = format!("{purpose} {}{time}", on.clinical());
    known("next_visit".into(), value, None, format!("{how}{overdue}"), BOOKED)
}

fn days_to_healing(course: &Course, toe: &ToeCourse) -> Shown {
    let name = format!("days_to_healing.{}", toe.toe);
    let (Some(healed), Some(days), Some(surgery)) = (toe.healed, toe.days_to_healing, course.operated_on)
    else {
        let open = toe.last_open.map_or_else(String::new, |on| format!(", open on {}", on.clinical()));
        return unknown(name, format!("no visit says that it is healed{open}"));
    };
    let reported = if healed.is_reported { ", as the patient reports" } else { "" };
    let working = format!("{} to {} = {days} days{reported}", surgery.clinical(), healed.on.clinical());
    known(name, days.to_string(), Some("days"), working, AS_RECORDED)
}

fn infection(toe: &ToeCourse) -> Shown {
    let name = format!("infection.{}", toe.toe);
    let Some(infection) = &toe.infection else {
        return match toe.last_seen {
            Some(on) => {
                known(name, "none recorded".into(), None, format!("last seen {}", on.clinical()), AS_RECORDED)
            }
            None => unknown(name, "no visit says anything of this toe".into()),
        };
    };
    let by = List::and(infection.by.iter().map(|by| by.word()));
    let days = Threshold::InfectionOfTheOperation.whole();
    let counts = if infection.is_of_the_operation { "counts" } else { "does not count" };
    let working = format!(
        "{} days after surgery, known by {by}; {counts} as one of the operation (up to {days} days)",
        infection.days_after
    );
    known(name, infection.on.clinical(), None, working, Threshold::InfectionOfTheOperation.cite())
}

fn regrowth(toe: &ToeCourse) -> Shown {
    let name = format!("regrowth.{}", toe.toe);
    let Some(seen) = toe.regrowth else {
        return match toe.regrowth_looked_for {
            Some(on) => known(
                name,
                Regrowth::None.word().into(),
                None,
                format!("looked for {}", on.clinical()),
                REGROWTH,
            ),
            None => unknown(name, "nobody wrote that it was looked for".into()),
        };
    };
    let hurts = match seen.hurts {
        Some(true) => ", hurts",
        Some(false) => ", does not hurt",
        None => "",
    };
    let value = format!("{}{hurts}", seen.kind.word());
    let working =
        format!("seen {}, {} after surgery", seen.on.clinical(), Count(seen.months as usize, "month"));
    known(name, value, None, working, REGROWTH)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn line(fragment: &str, name: &str) -> String {
        let rows = rows(&facts_of(fragment).derived.course);
        let row = rows.into_iter().find(|row| row.name == name).unwrap_or_else(|| panic!("no {name}"));
        match (row.value, row.unit, row.working) {
            (Some(value), unit, working) => {
                let unit = unit.map_or_else(String::new, |unit| format!(" {unit}"));
                format!("{value}{unit} ({})", working.unwrap_or_default())
            }
            (None, ..) => format!("not known: {}", row.missing.unwrap_or_default()),
        }
    }

    #[test]
    fn each_value_has_its_working() {
        let course = "visits: [
{on: 2026-12-01, kind: unplanned, toes: {L1: {signs: [pus], healed: false}}},
{on: 2027-01-05, kind: review, toes: {L1: {healed: true, healed_on: 2026-12-29, regrowth: none}}},
{on: 2027-08-24, kind: missed}]";
        assert_eq!(line(course, "stage"), "healed (surgery 24-Nov-2026, 3 visits, 1 missed)");
        assert_eq!(
            line(course, "days_to_healing.L1"),
            "35 days (24-Nov-2026 to 29-Dec-2026 = 35 days, as the patient reports)"
        );
        assert_eq!(
            line(course, "infection.L1"),
            "01-Dec-2026 (7 days after surgery, known by pus; counts as one of the operation (up to 30 days))"
        );
        assert_eq!(line(course, "regrowth.L1"), "none (looked for 05-Jan-2027)");
        let spike = "visits: [{on: 2027-08-24, kind: unplanned, toes: {L1: {regrowth: spike, regrowth_hurts: true}}}]";
        assert_eq!(line(spike, "regrowth.L1"), "spike, hurts (seen 24-Aug-2027, 9 months after surgery)");
        assert_eq!(line(spike, "infection.L1"), "none recorded (last seen 24-Aug-2027)");
    }

    #[test]
    fn what_nobody_wrote_is_not_known() {
        assert_eq!(line("", "next_visit"), "first redressing 27-Nov-2026 (by the clinic's protocol)");
        assert_eq!(line("operation: ~", "next_visit"), "not known: none is booked, and none is due");
        assert_eq!(line("", "days_to_healing.L1"), "not known: no visit says that it is healed");
        assert_eq!(line("", "infection.L1"), "not known: no visit says anything of this toe");
        assert_eq!(line("", "regrowth.L1"), "not known: nobody wrote that it was looked for");
    }
}
