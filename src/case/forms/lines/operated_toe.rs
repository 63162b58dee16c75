//! What was done to a toe, in one line.

use super::{Form, How, Line, NAIL, NONE, Phrase, case, is_edges};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "operated toes in one line",
    says: "what was done, toe by toe",
    place: case!("operation:\n  date: 2026-11-24\n  toes: …\n"),
    examples: &[
        (
            "L hallux lateral PNA, 2.2 mls at 9.35, tourniquet 9.50-10.01, phenol 3x60s, refill <3s",
            "L1 lateral PNA, 2.2 ml at 09:35, TQ 09:50-10:01, phenol 3 x 60 s, CRT <3 s",
        ),
        (
            "L1 total, injected 2.2 ml at 9.35 + 0.6 ml at 10.05, end point tissue grey, no overspill, groove clear",
            "L1 TNA, 2.2 ml at 09:35 + 0.6 ml at 10:05, until tissue grey, no overspill, groove clear",
        ),
        ("L1 TNA, 2.2 mls @ 9.35", "L1 TNA, 2.2 ml at 09:35"),
        (
            "L1 nothing removed, 2.2ml; R1 total, findings \"spike, 4 mm\", overspill wiped off",
            "R1 TNA, overspill wiped off, findings \"spike, 4 mm\"; L1 nothing removed, 2.2 ml",
        ),
        (
            "L1 partial, 2.2 mls 9.35, TQ on 9.50 off 10.01, end point dry, capillary refill 2s",
            "L1 PNA, 2.2 ml at 09:35, TQ 09:50-10:01, end point dry, CRT 2 s",
        ),
    ],
    refused: &[
        ("L1 partial, 2.2 ml at 2.15", "two meanings"),
        ("L1 partial, 2.2 ml 2.15", "2.2 ml"),
        ("L1 partial, 2.2 ml at half nine", "not a time"),
        ("L1 partial, tourniquet 11 min", "write it like `9.50 to 10.01`"),
        ("L1 partial, all well", "says nothing that can stand here"),
        ("partial", "begin with the toe"),
    ],
};

pub(super) const LINE: Line = Line {
    mark: "operated toe",
    phrases: &[
        Phrase { key: "edges", how: How::Like(is_edges, &["edges"]) },
        Phrase { key: "nail", how: How::Words(NAIL) },
        Phrase { key: "nail", how: How::Words(&[("nothing removed", "none")]) },
        Phrase { key: "injected", how: How::Injected },
        Phrase { key: "tourniquet", how: How::Led(&["TQ", "tourniquet"]) },
        Phrase { key: "phenol", how: How::Led(&["phenol"]) },
        // `until not reached` would be read wrongly, so other words for it are led by the key.
        Phrase { key: "end_point", how: How::LedLike(&["until"], is_of_tissue) },
        Phrase { key: "end_point", how: How::Led(&["end point"]) },
        Phrase { key: "overspill", how: How::Words(&[("no overspill", "none")]) },
        Phrase { key: "overspill", how: How::Led(&["overspill"]) },
        Phrase {
            key: "groove_clear",
            how: How::Words(&[("groove clear", "true"), ("groove not clear", "false")]),
        },
        Phrase { key: "refill", how: How::Led(&["CRT", "refill", "cap refill", "capillary refill"]) },
    ],
    examples: &["lateral PNA, 2.2 ml at 09:35, TQ 09:50-10:01, phenol 3 x 60 s, CRT 2 s"],
    ..NONE
};

fn is_of_tissue(text: &str) -> bool {
    text.starts_with("tissue ")
}
