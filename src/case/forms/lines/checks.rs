//! The checks in one line: each is named, and none stands for the others.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "checks in one line",
    says: "the checks that were made, each by its name",
    place: case!("operation:\n  date: 2026-11-24\n  checks: …\n"),
    examples: &[
        (
            "identity, toe marked, allergies asked, counted, tourniquet off",
            "ID, site, allergies, count, TQ off",
        ),
        ("counted, ID, not tourniquet off", "ID, count, TQ not off"),
        ("ID not checked, site not marked", "ID not checked, site not marked"),
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
        Phrase {
            key: "identity",
            how: How::Words(&[
                ("ID", "true"),
                ("identity", "true"),
                ("ID not checked", "false"),
                ("not identity", "false"),
            ]),
        },
        Phrase {
            key: "site_marked",
            how: How::Words(&[
                ("site", "true"),
                ("site marked", "true"),
                ("toe marked", "true"),
                ("site not marked", "false"),
                ("not site marked", "false"),
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
            how: How::Words(&[("count", "true"), ("counted", "true"), ("not counted", "false")]),
        },
        Phrase {
            key: "tourniquet_off",
            how: How::Words(&[
                ("TQ off", "true"),
                ("tourniquet off", "true"),
                ("TQ not off", "false"),
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
    examples: &["ID, site, allergies, count, TQ off"],
    ..NONE
};
