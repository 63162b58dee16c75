//! A tourniquet in one line.

use super::{Form, Marked, Short, case};
use crate::date::TimeOfDay;
use crate::units::TextValue;

pub(super) const FORM: Form = Form {
    name: "tourniquet",
    says: "when the tourniquet went on and came off",
    place: case!("operation: {date: 2026-11-24, toes: {L1: {nail: total, tourniquet: …}}}\n"),
    examples: &[
        ("9.50 to 10.01", "{on: \"09:50\", off: \"10:01\"}"),
        ("09:50-10:01", "{on: \"09:50\", off: \"10:01\"}"),
        ("on 9.50 off 10.01", "{on: \"09:50\", off: \"10:01\"}"),
        ("9.50 – 10.01", "{on: \"09:50\", off: \"10:01\"}"),
    ],
    refused: &[
        ("11 min", "write it like `9.50 to 10.01`"),
        ("2.15 to 2.25", "two meanings"),
        ("9.50", "write it like `9.50 to 10.01`"),
    ],
};

pub(super) const MARKED: Marked = Marked {
    mark: "tourniquet",
    read: |typed| {
        let small = typed.to_lowercase();
        let times = small.strip_prefix("on ").unwrap_or(&small);
        let parted =
            [" to ", " until ", " off ", " till ", "–", "-"].iter().find_map(|by| times.split_once(by));
        let Some((on, off)) = parted else {
            return Some(Err(format!(
                "`{typed}` does not say from when to when: write it like `9.50 to 10.01`"
            )));
        };
        let time = |text: &str| TimeOfDay::parse(text.trim()).map(|time| Short::quoted(time.to_string()));
        Some(time(on).and_then(|on| Ok(Short::Block(vec![("on", on), ("off", time(off)?)]))))
    },
    pattern: "^ *(?:[oO]n +)?[0-9][0-9:.]*(?: *[aApP][mM])?(?: +(?:to|until|till|off) +| *[-–] *)[0-9][0-9:.]*(?: *[aApP][mM])? *$",
    examples: &["9.50 to 10.01"],
};
