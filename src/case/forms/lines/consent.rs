//! Consent in one line.

use super::{Form, How, Line, NONE, Phrase, case};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "consent in one line",
    says: "what was said and signed; lists with `+` between their items",
    place: case!("consent: …\n"),
    examples: &[
        (
            "signed 20 Nov 2026, by patient, confirmed 24/11/2026, told of the letter",
            "pt signed 2026-11-20, confirmed 2026-11-24, told of letter",
        ),
        ("signed by guardian 20 Nov 2026", "guardian signed 2026-11-20"),
        ("patient signed 20/11/2026, form 2", "pt signed 2026-11-20, form 2"),
        ("by best interests, signed 20/11/2026", "signed 2026-11-20, by best interests"),
        (
            "discussed no treatment + conservative care, concern wants to run in January",
            "wants to run in January, discussed no treatment + conservative care",
        ),
        ("concern scars", "concern scars"),
        ("worried about needles", "worried about needles"),
        ("signed 2026-11-20, leaflet \"Surgery, before\"", "signed 2026-11-20, leaflet \"Surgery, before\""),
        ("taken by quill, capacity yes", "capacity yes, taken by quill"),
    ],
    refused: &[
        ("signed 24/11/26", "two meanings"),
        ("given", "says nothing that can stand here"),
        ("leaflet Surgery, before", "one that goes on stands in quotation marks"),
        ("by mother", "`guardian`"),
        ("mother signed 2026-11-20", "says nothing that can stand here"),
        ("patient signed 24/11/26", "two meanings"),
        ("patient signed 2026-11-20, signed 2026-11-20", "a second time"),
        ("wants to run, signed 2026-11-20, concern scars", "a second time"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "consent",
    phrases: &[
        Phrase {
            key: "by",
            how: How::SaidOn(
                "signed",
                &[
                    ("pt signed", "patient"),
                    ("patient signed", "patient"),
                    ("signed by patient", "patient"),
                    ("guardian signed", "guardian"),
                    ("signed by guardian", "guardian"),
                    ("attorney signed", "attorney"),
                    ("signed by attorney", "attorney"),
                    ("deputy signed", "deputy"),
                    ("signed by deputy", "deputy"),
                    ("welfare guardian signed", "welfare guardian"),
                    ("signed by welfare guardian", "welfare guardian"),
                ],
            ),
        },
        Phrase { key: "signed", how: How::LedLike(&["signed"], is_no_signatory) },
        Phrase { key: "by", how: How::Led(&["by"]) },
        Phrase { key: "form", how: How::Led(&["form"]) },
        Phrase { key: "confirmed", how: How::Led(&["confirmed"]) },
        Phrase { key: "concerns", how: How::Begins(&["wants", "worried", "worries", "afraid", "anxious"]) },
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
    examples: &["pt signed 2026-11-20, confirmed 2026-11-24, told of letter"],
    ..NONE
};

/// Who signed is another value.
fn is_no_signatory(text: &str) -> bool {
    !text.to_lowercase().starts_with("by ")
}
