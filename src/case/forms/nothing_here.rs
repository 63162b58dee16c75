//! Nothing, where that is an answer.

use super::{Form, case};

pub(super) const FORM: Form = Form {
    name: "nothing",
    says: "that there is none, where it was asked",
    place: case!("history:\n  conditions: …\n"),
    examples: &[
        ("nil", "none"),
        ("None known", "none"),
        ("no", "none"),
        ("[nil]", "none"),
        ("“none”", "none"),
    ],
    refused: &[("[none, asthma]", "take it out of the list")],
};
