//! Consent in one line.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "consent in one line",
    says: "what was said and signed; lists with `+` between their items",
    place: case!("consent: …\n"),
    examples: &[
        (
            "signed 20 Nov 2026, by patient, confirmed 24/11/2026, told of the letter",
            "signed 2026-11-20, by patient, confirmed 2026-11-24, told of letter",
        ),
        (
            "discussed no treatment + conservative care, concern wants to run in January",
            "concern wants to run in January, discussed no treatment + conservative care",
        ),
        ("signed 2026-11-20, leaflet \"Surgery, before\"", "signed 2026-11-20, leaflet \"Surgery, before\""),
        ("taken by quill, capacity yes", "capacity yes, taken by quill"),
    ],
    refused: &[
        ("signed 24/11/26", "two meanings"),
        ("given", "says nothing that can stand here"),
        ("leaflet Surgery, before", "one that goes on stands in quotation marks"),
        ("by mother", "`guardian`"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "consent",
    phrases: &[
        Phrase { key: "signed", how: How::Led(&["signed"]) },
        Phrase { key: "by", how: How::Led(&["by"]) },
        Phrase { key: "form", how: How::Led(&["form"]) },
        Phrase { key: "confirmed", how: How::Led(&["confirmed"]) },
        Phrase { key: "concerns", how: How::Led(&["concern", "concerns"]) },
        Phrase { key: "alternatives", how: How::List(&["discussed", "alternatives"]) },
        Phrase { key: "risks", how: How::List(&["risks"]) },
        Phrase {
            key: "letter_to_gp",
            how: How::Words(&[
                ("told of letter", "told"),
                ("told of the letter", "told"),
                ("does not object to letter", "does not object"),
                ("does not object to the letter", "does not object"),
                ("objects to letter", "objects"),
                ("objects to the letter", "objects"),
            ]),
        },
        Phrase { key: "leaflet", how: How::Led(&["leaflet"]) },
        Phrase { key: "capacity", how: How::Led(&["capacity"]) },
        Phrase { key: "taken_by", how: How::Led(&["taken by"]) },
    ],
    examples: &["signed 2026-11-20, by patient, confirmed 2026-11-24, told of letter"],
    ..NONE
};
