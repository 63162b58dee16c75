//! Circulation and feeling of both feet in one line.

use super::{Form, How, Line, NONE, Phrase, Section, case, is, is_number};
use crate::case::FoundPulses;

pub(in crate::case::forms) const CIRCULATION_FORM: Form = Form {
    name: "circulation in one line",
    says: "arms and feet, parted by semicolons",
    place: case!("vascular: …\n"),
    examples: &[
        (
            "arms R 134, L 130; right DP 136, PT 140 mmHg, toe 110, palpable; left foot pulses weak",
            "arms R 134, L 130; R DP 136, PT 140, toe 110, palpable; L weak",
        ),
        ("R palpable; L DP palpable + PT weak", "R palpable; L DP palpable + PT weak"),
        ("L ABPI 1.05; R ABPI 0.9, weak", "R ABPI 0.90, weak; L ABPI 1.05"),
        ("both feet palpable", "R palpable; L palpable"),
    ],
    refused: &[
        ("palpable", "begin with `arms`"),
        ("R present", "says nothing that can stand here"),
        ("R palpable; both feet weak", "a second time"),
        ("R 136", "says nothing that can stand here"),
    ],
};

pub(in crate::case::forms) const SENSATION_FORM: Form = Form {
    name: "sensation in one line",
    says: "monofilament sites of both feet",
    place: case!("sensation: …\n"),
    examples: &[
        ("R 10/10, L 9 of 10", "R 10/10, L 9/10"),
        ("10/10 both feet", "both 10/10"),
        ("R 10/10, L 10/10", "both 10/10"),
        ("left 8/10", "L 8/10"),
    ],
    refused: &[
        ("10/10", "says nothing that can stand here"),
        ("R 11/10", "cannot be"),
        ("normal", "write `both …`"),
    ],
};

pub(super) const CIRCULATION: Line = Line {
    mark: "circulation",
    sections: &[
        Section { leads: &["arms", "arm", "brachial"], keys: &["brachial"] },
        Section { leads: &["R", "right foot", "right", "Rt"], keys: &["right"] },
        Section { leads: &["L", "left foot", "left", "Lt"], keys: &["left"] },
        Section { leads: &["both feet", "both"], keys: &["right", "left"] },
    ],
    examples: &["R palpable; L palpable"],
    ..NONE
};

pub(super) const ARMS: Line = Line {
    mark: "arms",
    phrases: &[
        Phrase { key: "right", how: How::Led(&["R", "right", "Rt"]) },
        Phrase { key: "left", how: How::Led(&["L", "left", "Lt"]) },
    ],
    examples: &["R 134, L 130"],
    ..NONE
};

pub(super) const FOOT: Line = Line {
    mark: "foot",
    phrases: &[
        Phrase { key: "dorsalis_pedis", how: How::LedLike(&["DP", "dorsalis pedis"], is_number) },
        Phrase { key: "posterior_tibial", how: How::LedLike(&["PT", "posterior tibial"], is_number) },
        Phrase { key: "toe", how: How::Led(&["toe"]) },
        Phrase { key: "abpi", how: How::Led(&["ABPI"]) },
        Phrase { key: "pulses", how: How::Like(is::<FoundPulses>, &["pulses"]) },
    ],
    examples: &["DP 136, PT 140, toe 110, palpable"],
    ..NONE
};

pub(super) const SENSATION: Line = Line {
    mark: "sensation",
    phrases: &[
        Phrase { key: "right", how: How::Both(&["both", "both feet"], ["right", "left"]) },
        Phrase { key: "right", how: How::Led(&["R", "right foot", "right", "Rt"]) },
        Phrase { key: "left", how: How::Led(&["L", "left foot", "left", "Lt"]) },
    ],
    examples: &["R 10/10, L 10/10"],
    ..NONE
};
