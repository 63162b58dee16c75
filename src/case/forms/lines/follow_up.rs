//! What was agreed for afterwards, in one line.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "follow-up in one line",
    says: "the first redressing and what the practice is asked to do",
    place: case!("follow_up: …\n"),
    examples: &[
        ("no GP actions", "no gp actions"),
        ("first redressing 27 Nov 2026, at 10.15", "first redressing 2026-11-27, at 10:15"),
        ("gp actions check HbA1c + stop aspirin", "gp actions check HbA1c + stop aspirin"),
    ],
    refused: &[("nothing", "says nothing that can stand here")],
};

pub(super) const LINE: Line = Line {
    mark: "follow-up",
    phrases: &[
        Phrase { key: "first_redressing", how: How::Led(&["first redressing", "redressing"]) },
        Phrase { key: "at", how: How::Led(&["at"]) },
        Phrase { key: "pain_relief", how: How::Led(&["pain relief", "for pain"]) },
        Phrase {
            key: "gp_actions",
            how: How::Words(&[("no gp actions", "none"), ("nothing for the gp", "none")]),
        },
        Phrase { key: "gp_actions", how: How::List(&["gp actions"]) },
    ],
    examples: &["no gp actions"],
    ..NONE
};
