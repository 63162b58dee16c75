//! Circulation and feeling of both feet in one line.

use super::{Form, How, Line, NONE, Pair, Phrase, Section, case, is, is_number};
use crate::case::{DopplerSounds, FoundPulses};

pub(in crate::case::forms) const CIRCULATION_FORM: Form = Form {
    name: "circulation in one line",
    says: "arms and feet, parted by semicolons",
    place: case!("vascular: …\n"),
    examples: &[
        (
            "arms R 134, L 130; right DP 136, PT 140 mmHg, toe 110, palpable; left foot pulses weak",
            "R/L arms 134/130; R DP 136, PT 140, toe 110, palpable; L weak",
        ),
        ("R palpable; L DP palpable + PT weak", "R palpable; L DP palpable + PT weak"),
        ("L ABPI 1.05; R ABPI 0.9, weak", "R/L ABPI 0.90/1.05; R weak"),
        ("both feet palpable", "both palpable"),
        ("arm R 134; L palpable", "arms R 134; L palpable"),
        (
            "R/L arms 134/130 mmHg, PT 140/138, DP 136 / 134, toe 110/108; both feet palpable",
            "R/L arms 134/130, DP 136/134, PT 140/138, toe 110/108; both palpable",
        ),
        ("L/R DP 134/136; R PT 140", "R/L DP 136/134; R PT 140"),
        ("R DP 136, weak; L DP 134; both Doppler triphasic", "R/L DP 136/134; R weak; both triphasic"),
        (
            "R DP triphasic + PT biphasic; L Doppler DP monophasic + PT absent, absent",
            "R DP triphasic + PT biphasic; L absent, Doppler DP monophasic + PT absent",
        ),
    ],
    refused: &[
        ("palpable", "begin with `arms`"),
        ("R present", "says nothing that can stand here"),
        ("R palpable; both feet weak", "a second time"),
        ("R/L DP 136/134; R DP 130", "a second time"),
        ("R/L DP 136", "does not say one value of each side"),
        ("R/L palpable", "what is not of both sides stands behind a semicolon"),
        ("arms 134/130", "write `R/L arms 134/130` or `L/R arms 134/130`"),
        ("DP 136/134", "or `R/L`"),
        ("R triphasic, biphasic", "a second time"),
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
        Section { leads: &["arms", "arm", "brachial"], keys: &["brachial"], inside: Some(&ARMS) },
        Section { leads: &["R", "right foot", "right", "Rt"], keys: &["right"], inside: Some(&FOOT) },
        Section { leads: &["L", "left foot", "left", "Lt"], keys: &["left"], inside: Some(&FOOT) },
        Section { leads: &["both", "both feet"], keys: &["right", "left"], inside: Some(&FOOT) },
    ],
    pairs: &[
        Pair { leads: &["arms", "arm", "brachial"], keys: ["brachial.right", "brachial.left"] },
        Pair { leads: &["DP", "dorsalis pedis"], keys: ["right.dorsalis_pedis", "left.dorsalis_pedis"] },
        Pair {
            leads: &["PT", "posterior tibial"],
            keys: ["right.posterior_tibial", "left.posterior_tibial"],
        },
        Pair { leads: &["toe", "toes"], keys: ["right.toe", "left.toe"] },
        Pair { leads: &["ABPI"], keys: ["right.abpi", "left.abpi"] },
    ],
    examples: &["R/L arms 134/130, DP 136/134, PT 140/138, toe 110/108; both palpable", "R palpable; L weak"],
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
        Phrase { key: "doppler", how: How::Like(is_phasic, &["Doppler"]) },
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

/// Doppler sounds that cannot be pulses: `absent` could be either, and is of the pulses unless `Doppler` leads it.
fn is_phasic(text: &str) -> bool {
    is::<DopplerSounds>(text) && !text.to_lowercase().contains("absent")
}
