//! Days of the week: abbreviations, and from one to another.

use super::{Form, Short, words};

pub(super) const FORM: Form = Form {
    name: "opening days",
    says: "days of the week",
    place: "name: Larkmoor Foot Clinic\naddress: [2 Quay Street]\ntelephone: 01632 960 100\n\
            division: scotland\npractitioners: {}\nprotocol:\n  opening_days: …\n",
    examples: &[
        ("[Mon, Tues, Weds, Thurs, Fri]", "[monday, tuesday, wednesday, thursday, friday]"),
        ("Monday", "[monday]"),
        ("Mon, Wed", "[monday, wednesday]"),
        ("Monday to Thursday", "[monday, tuesday, wednesday, thursday]"),
        ("Mon-Wed", "[monday, tuesday, wednesday]"),
    ],
    refused: &[("[T]", "`tuesday`"), ("Fri to Mon", "known word")],
};

/// `Monday to Friday`, where a list of days belongs.
pub(super) fn several(typed: &str, known: &[&str]) -> Option<Short> {
    if known.first() != Some(&"monday") {
        return None;
    }
    let (from, to) = typed.split_once(" to ").or_else(|| typed.split_once(['-', '–']))?;
    let at = |word: &str| {
        let word = word.trim();
        let full = match words::meant(word, known) {
            Some(Ok(Short::Text(full, _))) => full,
            _ => word.to_owned(),
        };
        known.iter().position(|day| *day == full)
    };
    let (from, to) = (at(from)?, at(to)?);
    (from < to).then(|| Short::List(known[from..=to].iter().map(|day| Short::text(*day)).collect()))
}
