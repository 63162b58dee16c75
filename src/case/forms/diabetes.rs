//! Diabetes in one word.

use super::{Form, Marked, Short, case};

pub(super) const FORM: Form = Form {
    name: "diabetes",
    says: "diabetes by its type alone",
    place: case!("history: {diabetes: …}\n"),
    examples: &[
        ("type 2", "{type: 2}"),
        ("Type 1", "{type: 1}"),
        ("T2DM", "{type: 2}"),
        ("T1DM", "{type: 1}"),
        ("type 2 diabetes", "{type: 2}"),
        ("no", "none"),
        ("Nil", "none"),
    ],
    refused: &[("yes", "write `type 1` or `type 2`"), ("diet controlled", "`diabetes: {type: …}`")],
};

pub(super) const MARKED: Marked = Marked {
    mark: "diabetes",
    read: |typed| {
        let small = typed.to_lowercase().replace(['-', ' '], "");
        let kind = match small.as_str() {
            "type1" | "t1" | "t1dm" | "type1diabetes" | "type1dm" | "iddm" => "1",
            "type2" | "t2" | "t2dm" | "type2diabetes" | "type2dm" | "niddm" => "2",
            "yes" | "y" | "true" => {
                return Some(Err(format!("`{typed}` does not say which type: write `type 1` or `type 2`")));
            }
            _ => return None,
        };
        Some(Ok(Short::Block(vec![("type", Short::text(kind))])))
    },
    pattern: "^(?:[tT](?:ype)?[- ]*[12](?:[- ]*(?:[dD][mM]|[dD]iabetes))?|N?IDDM)$",
    examples: &["type 2"],
};
