//! What the patient came with, and each affected toe, in one line.

use super::{Form, How, Line, NONE, Phrase, Section, case, is_edges};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "problem in one line",
    says: "the story, the toes and what was tried, parted by semicolons",
    place: case!("problem: …\n"),
    examples: &[
        (
            "six months of pain, two courses of antibiotics; left big toe lateral, stage 2; tried packing",
            "six months of pain, two courses of antibiotics; L1 lateral, stage 2; tried packing",
        ),
        (
            "R1 both edges, infected; L1 medial, stage 1, not infected; sore in shoes",
            "sore in shoes; R1 both, infected; L1 medial, stage 1, not infected",
        ),
        ("sore in shoes", "sore in shoes"),
    ],
    refused: &[
        ("sore; sore in shoes", "write a comma for the semicolon"),
        ("L1 sore for months", "says nothing that can stand here"),
        ("L1 lateral; sore; R1 medial", "put all toes one behind another"),
        ("sore; L1 lateral; L1 medial", "a second time"),
        ("sore; L1 outer", "outer is lateral: write `lateral`"),
    ],
};

pub(in crate::case::forms) const TOES_FORM: Form = Form {
    name: "affected toes in one line",
    says: "toes as found, parted by semicolons",
    place: case!("problem:\n  summary: sore\n  toes: …\n"),
    examples: &[
        ("Lt hallux lateral, stage: 2, Infected", "L1 lateral, stage 2, infected"),
        (
            "L1 both edges, note \"sore, for years\"; R2 diagnosis lifted nail",
            "R2 diagnosis lifted nail; L1 both, note \"sore, for years\"",
        ),
    ],
    refused: &[
        ("lateral, stage 2", "begin with the toe"),
        ("L1 stage 4", "whole number from 1 to 3"),
        ("L1 lateral, infectd", "did you mean `infected`?"),
        ("L1 lateral, not infected involuted", "says nothing that can stand here"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "problem",
    sections: &[Section { leads: &["tried"], keys: &["tried"], inside: None }],
    toes: Some("toes"),
    rest: Some("summary"),
    examples: &["six months of pain; L1 lateral, stage 2, not infected; tried packing"],
    ..NONE
};

pub(super) const TOE: Line = Line {
    mark: "affected toe",
    phrases: &[
        Phrase { key: "edges", how: How::Like(is_edges, &["edges"]) },
        Phrase { key: "stage", how: How::Led(&["stage"]) },
        Phrase { key: "infected", how: How::Words(&[("not infected", "false"), ("infected", "true")]) },
        Phrase {
            key: "cellulitis",
            how: How::Words(&[
                ("no cellulitis", "false"),
                ("cellulitis", "true"),
                ("spreading infection", "true"),
            ]),
        },
        Phrase { key: "involuted", how: How::Words(&[("not involuted", "false"), ("involuted", "true")]) },
        Phrase { key: "thickened", how: How::Words(&[("not thickened", "false"), ("thickened", "true")]) },
        Phrase { key: "diagnosis", how: How::Led(&["diagnosis"]) },
        Phrase {
            key: "previous_surgery",
            how: How::Words(&[("no previous surgery", "false"), ("previous surgery", "true")]),
        },
        Phrase { key: "note", how: How::Led(&["note"]) },
    ],
    examples: &["lateral, stage 2, not infected, involuted"],
    ..NONE
};
