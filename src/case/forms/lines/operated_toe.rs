//! What was done to a toe, in one line.

use super::{Form, How, Line, NAIL, NONE, Phrase, case, is_edges};

pub(in crate::case::forms) const FORM: Form = Form {
    name: "operated toes in one line",
    says: "what was done, toe by toe",
    place: case!("operation:\n  date: 2026-11-24\n  toes: …\n"),
    examples: &[
        (
            "L hallux lateral, PNA, 2.2 mls at 9.35, tourniquet 9.50-10.01, phenol 3x60s, refill <3s",
            "L1 lateral, partial, 2.2 ml at 09:35, tourniquet 09:50 to 10:01, phenol 3 x 60 s, refill <3 s",
        ),
        (
            "L1 total, injected 2.2 ml at 9.35 + 0.6 ml at 10.05, end point tissue grey, no overspill, groove clear",
            "L1 total, 2.2 ml at 09:35 + 0.6 ml at 10:05, end point tissue grey, no overspill, groove clear",
        ),
        (
            "L1 nothing removed, 2.2 ml; R1 total, findings \"spike, 4 mm\", overspill wiped off",
            "R1 total, overspill wiped off, findings \"spike, 4 mm\"; L1 nothing removed, 2.2 ml",
        ),
    ],
    refused: &[
        ("L1 partial, 2.2 ml at 2.15", "two meanings"),
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
        Phrase { key: "tourniquet", how: How::Led(&["tourniquet"]) },
        Phrase { key: "phenol", how: How::Led(&["phenol"]) },
        Phrase { key: "end_point", how: How::Led(&["end point"]) },
        Phrase { key: "overspill", how: How::Words(&[("no overspill", "none")]) },
        Phrase { key: "overspill", how: How::Led(&["overspill"]) },
        Phrase {
            key: "groove_clear",
            how: How::Words(&[("groove clear", "true"), ("groove not clear", "false")]),
        },
        Phrase { key: "refill", how: How::Led(&["refill", "cap refill", "capillary refill"]) },
    ],
    examples: &["lateral, partial, 2.2 ml at 09:35, tourniquet 09:50 to 10:01, phenol 3 x 60 s, refill 2 s"],
    ..NONE
};
