//! Pulses: one word for the foot, or one for each artery.

use super::{Form, case};

pub(super) const FORM: Form = Form {
    name: "pulses",
    says: "the pulses of a foot, or each of its two arteries",
    place: case!("vascular: {left: {pulses: …}}\n"),
    examples: &[
        ("Palpable", "palpable"),
        ("DP + PT palpable", "DP palpable + PT palpable"),
        ("DP palpable + PT weak", "DP palpable + PT weak"),
        ("dp palpable and pt absent", "DP palpable + PT absent"),
        ("PT weak", "PT weak"),
    ],
    refused: &[
        ("present", "`palpable`, `weak` or `absent`"),
        ("DP palpable + DP weak", "`palpable`, `weak` or `absent`"),
    ],
};
