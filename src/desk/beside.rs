//! What the desk knows of a case that does not stand in its file: what somebody was typing, and which times
//! came from the clock. Pure.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::shape;
use crate::diagnostic::{Path, Segment};
use crate::edit::Value;

/// Kept in a hidden file beside the case file, the owner's only, until it is settled.
#[derive(Debug, Default, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Beside {
    /// What was typed into a field and is no answer yet, by the name of the field.
    #[serde(default)]
    pub(crate) typed: BTreeMap<String, String>,
    /// The time that the clock gave, by its place in the file.
    #[serde(default)]
    pub(crate) clock: BTreeMap<String, String>,
}

/// Where the record says which times of the operation were corrected.
const CORRECTED: &str = "operation.times_corrected";

/// The name of a time of the operation as a person reads it: `Left big toe (L1), tourniquet, off`; `None` if the
/// place is none of the operation.
fn name_of(path: &Path) -> Option<String> {
    let (first, rest) = path.segments().split_first()?;
    if *first != Segment::Key("operation".to_owned()) || rest.is_empty() {
        return None;
    }
    let mut words: Vec<String> = Vec::new();
    for segment in rest {
        match segment {
            Segment::Key(key) if key == "toes" => {}
            Segment::Key(key) => words.push(shape::label(key)),
            Segment::Index(at) => words.push((at + 1).to_string()),
        }
    }
    let mut name = words.join(", ");
    // Only the first word begins a line.
    if let Some((first, rest)) = name.split_once(", ") {
        name = format!("{first}, {}", rest.to_lowercase());
    }
    Some(name)
}

/// How the record says that a time from the clock is no longer the one that counts.
fn says(name: &str, clock: &str, now: Option<&str>) -> String {
    match now {
        Some(now) => format!("{name}: {clock} by the clock, corrected to {now}"),
        None => format!("{name}: {clock} by the clock, taken out"),
    }
}

/// What the record says of a time that was corrected, to be shown beside it.
pub(super) fn corrected(stands: &BTreeMap<Path, Value>, path: &Path) -> Option<String> {
    let start = format!("{}: ", name_of(path)?);
    corrections(stands).into_iter().find_map(|line| line.strip_prefix(&start).map(str::to_owned))
}

fn corrections(stands: &BTreeMap<Path, Value>) -> Vec<String> {
    match stands.get(&Path::from(CORRECTED)) {
        Some(Value::List(items)) => items.iter().filter_map(text_of).collect(),
        Some(value) => text_of(value).into_iter().collect(),
        None => Vec::new(),
    }
}

fn text_of(value: &Value) -> Option<String> {
    match value {
        Value::Text(text) | Value::Bare(text) => Some(text.clone()),
        Value::List(_) | Value::Block(_) => None,
    }
}

/// What the record must say of corrected times once these values stand in it: the place of the list and its lines,
/// if it is not what stands there.
pub(super) fn corrections_due(
    stands: &BTreeMap<Path, Value>,
    clock: &BTreeMap<String, String>,
) -> Option<(Path, Vec<String>)> {
    let before = corrections(stands);
    let mut lines = before.clone();
    for (place, at) in clock {
        let path = Path::from(place.as_str());
        let Some(name) = name_of(&path) else { continue };
        let now = stands.get(&path).and_then(text_of);
        let start = format!("{name}: ");
        let known = lines.iter().position(|line| line.starts_with(&start));
        if now.as_deref() == Some(at.as_str()) {
            // As the clock had it after all.
            known.map(|known| lines.remove(known));
            continue;
        }
        let line = says(&name, at, now.as_deref());
        match known {
            Some(known) => lines[known] = line,
            None => lines.push(line),
        }
    }
    (lines != before).then(|| (Path::from(CORRECTED), lines))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::unfolded;
    use crate::edit::values;

    #[test]
    fn a_time_of_the_clock_that_was_changed_is_said_and_one_that_was_not_is_not() {
        let path = "operation.toes.L1.tourniquet.off";
        let clock = BTreeMap::from([(path.to_owned(), "10:01".to_owned())]);
        let text = |off: &str, more: &str| {
            format!("operation:\n  toes:\n    L1: {{tourniquet: {{on: 09:50{off}}}}}\n{more}")
        };
        assert_eq!(corrections_due(&values(&text(", off: 10:01", "")), &clock), None);
        let (place, lines) = corrections_due(&values(&text(", off: 10:03", "")), &clock).expect("said");
        assert_eq!(place.to_string(), CORRECTED);
        assert_eq!(lines, ["Left big toe (L1), tourniquet, off: 10:01 by the clock, corrected to 10:03"]);
        let said = format!("  times_corrected: [\"{}\", \"Start: typed by hand\"]\n", lines[0]);
        // Said once, changed when it changes, taken back when it is as the clock had it; other lines stay.
        assert_eq!(corrections_due(&values(&text(", off: 10:03", &said)), &clock), None);
        let (_, again) = corrections_due(&values(&text(", off: 10:04", &said)), &clock).expect("said");
        assert_eq!(again[0], "Left big toe (L1), tourniquet, off: 10:01 by the clock, corrected to 10:04");
        assert_eq!(again[1], "Start: typed by hand");
        let (_, back) = corrections_due(&values(&text(", off: 10:01", &said)), &clock).expect("taken back");
        assert_eq!(back, ["Start: typed by hand"]);
        let (_, out) = corrections_due(&values(&text("", &said)), &clock).expect("said");
        assert_eq!(out[0], "Left big toe (L1), tourniquet, off: 10:01 by the clock, taken out");
        assert_eq!(
            corrected(&values(&text(", off: 10:03", &said)), &Path::from(path)).as_deref(),
            Some("10:01 by the clock, corrected to 10:03")
        );
        assert_eq!(corrected(&values(&text("", &said)), &Path::from("operation.finish")), None);
    }

    /// A case that is written in lines has its times there.
    #[test]
    fn a_time_that_stands_in_a_line_is_no_time_that_was_taken_out() {
        let clock = BTreeMap::from([("operation.toes.L1.tourniquet.off".to_owned(), "10:01".to_owned())]);
        let head = "reference: A-1\npatient: Ann Bee, born 2000-01-02\n";
        for operation in [
            "operation: 2026-11-24, 09:30 to 10:20; L1 lateral, partial, tourniquet 09:50 to 10:01\n",
            "operation:\n  toes: L1 lateral, partial, tourniquet 09:50 to 10:01\n",
            "operation:\n  toes:\n    L1: {nail: partial, tourniquet: 09:50 to 10:01}\n",
        ] {
            let stands = values(&unfolded(&format!("{head}{operation}"), None));
            assert_eq!(corrections_due(&stands, &clock), None, "{operation}");
        }
    }
}
