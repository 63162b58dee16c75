//! The checks in one line: each is named, and none stands for the others.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "checks in one line",
    says: "the checks that were made, each by its name",
    place: case!("operation:\n  date: 2026-11-24\n  checks: …\n"),
    examples: &[
        (
            "identity, toe marked, allergies asked, count, tourniquet off",
            "identity, site marked, allergies, counted, tourniquet off",
        ),
        ("counted, identity, not tourniquet off", "identity, counted, tourniquet not off"),
    ],
    refused: &[
        ("all", "each check is named"),
        ("all done", "each check is named"),
        ("identity, everything else", "says nothing that can stand here"),
        ("identity, not identity", "a second time"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "checks",
    phrases: &[
        Phrase { key: "identity", how: How::Words(&[("identity", "true"), ("not identity", "false")]) },
        Phrase {
            key: "site_marked",
            how: How::Words(&[
                ("site marked", "true"),
                ("toe marked", "true"),
                ("site", "true"),
                ("not site marked", "false"),
                ("site not marked", "false"),
            ]),
        },
        Phrase {
            key: "allergies",
            how: How::Words(&[
                ("allergies", "true"),
                ("allergies asked", "true"),
                ("not allergies", "false"),
            ]),
        },
        Phrase {
            key: "counted",
            how: How::Words(&[("counted", "true"), ("count", "true"), ("not counted", "false")]),
        },
        Phrase {
            key: "tourniquet_off",
            how: How::Words(&[
                ("tourniquet off", "true"),
                ("tourniquet not off", "false"),
                ("not tourniquet off", "false"),
            ]),
        },
        Phrase {
            key: "stop_before_block",
            how: How::Words(&[("stop before block", "true"), ("no stop before block", "false")]),
        },
        Phrase {
            key: "resuscitation",
            how: How::Words(&[("resuscitation", "true"), ("no resuscitation", "false")]),
        },
        Phrase { key: "adrenaline", how: How::Words(&[("adrenaline", "true"), ("no adrenaline", "false")]) },
    ],
    examples: &["identity, site marked, allergies, counted, tourniquet off"],
    ..NONE
};
