//! `yes` and `no`.

use super::{Form, Short, case};

pub(super) const FORM: Form = Form {
    name: "yes or no",
    says: "`yes` or `no`",
    place: case!("history: {pregnant: …}\n"),
    examples: &[("yes", "true"), ("No", "false"), ("y", "true"), ("TRUE", "true")],
    refused: &[("perhaps", "`true` or `false`")],
};

/// What is read, in small letters.
pub(super) const WORDS: [(&str, &str); 6] =
    [("yes", "true"), ("y", "true"), ("true", "true"), ("no", "false"), ("n", "false"), ("false", "false")];

pub(super) fn read(typed: &str) -> Option<Short> {
    let small = typed.to_lowercase();
    WORDS.iter().find(|(word, _)| *word == small).map(|(_, full)| Short::text(*full))
}
