//! What is planned for each toe, and the appointment, in one line.

use super::{DATED, Form, How, Line, NAIL, NONE, Phrase, case, is, is_edges};
use crate::date::{CivilDate, TimeOfDay};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "plan in one line",
    says: "what is planned, toe by toe",
    place: case!("plan: …\n"),
    examples: &[
        ("left big toe lateral, partial, phenol", "L1 lateral PNA, phenol"),
        ("left big toe lateral edge PNA phenol", "L1 lateral PNA, phenol"),
        ("L1 total, no phenol; R1 both edges, partial, phenol", "R1 both PNA, phenol; L1 TNA, no phenol"),
    ],
    refused: &[
        ("lateral, partial, phenol", "begin with the toe"),
        ("L1 lateral PNA no phenol", "says nothing that can stand here"),
        ("L1 partial, half", "says nothing that can stand here"),
        ("L1 partial, total, phenol", "a second time"),
        ("big toe lateral, partial, phenol", "begin with the toe"),
    ],
};

pub(in crate::case::forms) const BOOKED_FORM: Form = Form {
    name: "appointment in one line",
    says: "day, time and room of the surgery",
    place: case!("booked: …\n"),
    examples: &[
        ("1 Dec 2026, 9.30, room 2", "2026-12-01, 09:30, room 2"),
        ("1/12/2026 9.30", "2026-12-01, 09:30"),
        ("Tue 1 Dec 2026, 2pm, minutes 45", "2026-12-01, 14:00, minutes 45"),
    ],
    refused: &[("Mon 1 Dec 2026, 9.30", "is a Tuesday"), ("1 Dec 2026, 2.15", "two meanings")],
};

pub(super) const TOE: Line = Line {
    mark: "planned toe",
    phrases: &[
        Phrase { key: "edges", how: How::Like(is_edges, &["edges"]) },
        Phrase { key: "nail", how: How::Words(NAIL) },
        Phrase { key: "matrix", how: How::Words(&[("phenol", "phenol"), ("no phenol", "none")]) },
    ],
    examples: &["lateral PNA, phenol"],
    ..NONE
};

pub(super) const BOOKED: Line = Line {
    mark: "booked",
    phrases: &[
        Phrase { key: "on", how: How::Like(looks_like_a_date, &["on"]) },
        Phrase { key: "at", how: How::Like(looks_like_a_time, &["at"]) },
    ],
    pattern: DATED,
    examples: &["2026-12-01, 09:30, room 2"],
    ..NONE
};

/// A date, or what its own type refuses with what to write.
pub(super) fn looks_like_a_date(text: &str) -> bool {
    let pieces: Vec<&str> = text.split(['/', '-', '.', ' ', ',']).filter(|piece| !piece.is_empty()).collect();
    let is_number = |piece: &str| piece.len() <= 4 && piece.bytes().all(|byte| byte.is_ascii_digit());
    let has_shape = matches!(
        pieces.as_slice(),
        [day, month, year] if is_number(day) && is_number(year)
            && (is_number(month) || (month.len() >= 3 && month.bytes().all(|byte| byte.is_ascii_alphabetic())))
    );
    // The day of the week that does not belong to it is refused as a date.
    let behind = text
        .split_once(' ')
        .filter(|(first, _)| first.len() >= 3 && first.bytes().all(|b| b.is_ascii_alphabetic()));
    is::<CivilDate>(text) || has_shape || behind.is_some_and(|(_, rest)| is::<CivilDate>(rest))
}

/// A time, or what its own type refuses with what to write.
pub(super) fn looks_like_a_time(text: &str) -> bool {
    is::<TimeOfDay>(text)
        || (text.len() <= 5
            && text.contains(['.', ':'])
            && text.chars().all(|c| c.is_ascii_digit() || ".:".contains(c)))
}
