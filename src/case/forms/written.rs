//! What a short form stands for: as part of the tree, and as text of a file.

use crate::case::tree::{Node, NodeKind};
use crate::diagnostic::Span;

/// A place of a file, and what stands there in full.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// The bytes that give way.
    pub span: Span,
    /// What takes their place.
    pub text: String,
}

/// A value in full.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Short {
    /// A text; in quotation marks where a file usually has them.
    Text(String, bool),
    /// A list.
    List(Vec<Short>),
    /// A block of known keys.
    Block(Vec<(&'static str, Short)>),
}

impl Short {
    /// A text without quotation marks.
    pub(super) fn text(text: impl Into<String>) -> Short {
        Short::Text(text.into(), false)
    }

    /// A text in quotation marks.
    pub(super) fn quoted(text: impl Into<String>) -> Short {
        Short::Text(text.into(), true)
    }

    /// The value in the place of a node.
    pub(super) fn into_node(self, from: &Node) -> Node {
        let kind = match self {
            Short::Text(text, _) => {
                // It is read like one without quotation marks: what it stands for has been decided.
                return Node { kind: NodeKind::Scalar { text, quoted: false }, ..from.clone() };
            }
            Short::List(items) => {
                NodeKind::List(items.into_iter().map(|item| item.into_node(from)).collect())
            }
            Short::Block(entries) => NodeKind::Block(
                entries
                    .into_iter()
                    .map(|(key, value)| (key.to_owned(), from.span, value.into_node(from)))
                    .collect(),
            ),
        };
        Node { kind, comment: None, ..from.clone() }
    }

    /// As text of a file; inside brackets a comma needs quotation marks.
    pub(super) fn written(&self, is_in_brackets: bool) -> String {
        match self {
            Short::Text(text, is_quoted) => scalar(text, *is_quoted, is_in_brackets),
            Short::List(items) => {
                let items: Vec<String> = items.iter().map(|item| item.written(true)).collect();
                format!("[{}]", items.join(", "))
            }
            Short::Block(entries) => {
                let entries: Vec<String> =
                    entries.iter().map(|(key, value)| format!("{key}: {}", value.written(true))).collect();
                format!("{{{}}}", entries.join(", "))
            }
        }
    }
}

/// A text as a value of a file: in quotation marks where it would not be read back without them.
pub(super) fn scalar(text: &str, is_quoted: bool, is_in_brackets: bool) -> String {
    let begins_badly = text.starts_with(|c: char| "!&*-?|>@`%\"'#{}[],:".contains(c) || c.is_whitespace());
    let ends_badly = text.ends_with(|c: char| c == ':' || c.is_whitespace());
    let is_word_of_yaml = matches!(text, "" | "~" | "null" | "Null" | "NULL");
    let holds_a_sign = text.contains(": ") || text.contains(" #") || text.contains(['\n', '\t']);
    let splits = is_in_brackets && text.contains(['[', ']', '{', '}', ',']);
    if is_quoted || begins_badly || ends_badly || is_word_of_yaml || holds_a_sign || splits {
        quoted(text)
    } else {
        text.to_owned()
    }
}

/// A text on one line and in quotation marks, so that it stays a text wherever it is copied.
pub(crate) fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotation_marks_stand_where_a_text_would_be_read_otherwise() {
        for (text, written) in [
            ("asthma", "asthma"),
            ("pain: bad", "\"pain: bad\""),
            ("old # of 5th", "\"old # of 5th\""),
            ("said \"no\"", "said \"no\""),
            ("\"no\"", "\"\\\"no\\\"\""),
            ("null", "\"null\""),
        ] {
            assert_eq!(scalar(text, false, false), written);
        }
        assert_eq!(scalar("a, b", false, false), "a, b");
        assert_eq!(scalar("a, b", false, true), "\"a, b\"");
        let block = Short::Block(vec![("on", Short::quoted("09:50")), ("by", Short::text("a, b"))]);
        assert_eq!(block.written(false), "{on: \"09:50\", by: \"a, b\"}");
    }
}
