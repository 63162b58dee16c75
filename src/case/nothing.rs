//! The words with which people say that there is nothing, and where they are an answer.
//!
//! `none` is an answer that was asked for; an empty list could also mean that nobody asked. A list that
//! takes the word says so in the schema, by [`none_or_list`].

use schemars::Schema;
use serde_json::{Value as Json, json};

use super::tree::{Node, NodeKind};

/// The mark in the schema of a list for which [`WORD`] may stand.
const MARK: &str = "x-none-is-empty";
/// The word that stands for such a list.
pub(super) const WORD: &str = "none";
/// What people write for it.
pub(super) const WORDS: [&str; 6] = ["none", "nil", "none known", "nil known", "no", "nothing"];

/// Lets the word `none` stand for an empty list. For the schema of a field of the model.
pub(super) fn none_or_list(schema: &mut Schema) {
    let mut list = schema.clone();
    let description = list.remove("description");
    let default = list.remove("default");
    *schema = Schema::default();
    for (key, value) in [("description", description), ("default", default)] {
        if let Some(value) = value {
            schema.insert(key.into(), value);
        }
    }
    schema.insert("anyOf".into(), json!([{"type": "string", "const": WORD}, list]));
    schema.insert(MARK.into(), true.into());
}

/// The schema is of a list for which the word may stand.
pub(super) fn is_none_or_list(schema: &Json) -> bool {
    schema.get(MARK) == Some(&Json::Bool(true))
}

/// The text says that there is nothing.
pub(crate) fn is_word(text: &str) -> bool {
    let text = text.trim().trim_end_matches('.').to_lowercase();
    WORDS.contains(&text.as_str())
}

/// The list holds one item, and that says that there is nothing.
pub(super) fn says_nothing(items: &[Node]) -> bool {
    matches!(items, [Node { kind: NodeKind::Scalar { text, .. }, .. }] if is_word(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_for_nothing_are_known_and_others_are_not() {
        for word in ["none", "None", "NIL", " nil known. ", "no"] {
            assert!(is_word(word), "{word}");
        }
        for word in ["", "n/a", "asthma", "none of note but asthma", "NKDA"] {
            assert!(!is_word(word), "{word}");
        }
    }
}
