//! One entry where a list belongs.

use super::{Form, case};

pub(super) const FORM: Form = Form {
    name: "list of one",
    says: "a single entry of a list, without brackets",
    place: case!("history:\n  medicines: …\n"),
    examples: &[
        ("salbutamol", "[salbutamol]"),
        ("Eliquis 5 mg", "[Eliquis 5 mg]"),
        ("“salbutamol”", "[salbutamol]"),
    ],
    refused: &[("salbutamol, ramipril", "write `medicines: [salbutamol, ramipril]` if they are several")],
};
