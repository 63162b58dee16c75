//! The mark of the register's end: how many lines there are, and the hash of the last.
//!
//! Each line vouches for the line before it, so only what is lost off the end leaves no trace in the
//! register itself. The mark is written after the lines; if a run is cut short between the two, the
//! mark names an earlier line, which is no fault. It cannot show that somebody exchanged both files
//! for those of an earlier day. It knows no register: that compares itself with its mark.

use serde::{Deserialize, Serialize};

/// The file of the mark, below the register's folder.
pub const END: &str = ".register.end";

/// How far the register had come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndMark {
    /// Whole lines.
    pub lines: usize,
    /// SHA-256 of the last one in lowercase hex, or 64 noughts if there is none.
    pub last: String,
}

impl EndMark {
    /// The mark as it is written.
    pub fn text(&self) -> String {
        format!("{}\n", serde_json::json!({ "lines": self.lines, "last": self.last }))
    }

    /// The mark as it was written; `None` if it is anything else.
    pub fn parse(text: &[u8]) -> Option<EndMark> {
        serde_json::from_slice(text).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_read_as_it_was_written_and_nothing_else_is_one() {
        let mark = EndMark { lines: 3, last: "f".into() };
        assert_eq!(EndMark::parse(mark.text().as_bytes()), Some(mark));
        for text in ["", "{\"lines\":1}", "{\"lines\":1,\"last\":\"x\",\"y\":1}"] {
            assert_eq!(EndMark::parse(text.as_bytes()), None, "{text}");
        }
    }
}
