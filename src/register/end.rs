//! The mark of the register's end: how many lines there are, and the hash of the last.
//!
//! Each line vouches for the line before it, so only what is lost off the end leaves no trace in the
//! register itself. The mark is written after the lines; if a run is cut short between the two, the
//! mark names an earlier line, which is no fault. It cannot show that somebody exchanged both files
//! for those of an earlier day: who wrote the end down elsewhere can ([`Expected`]). It knows no register: that
//! compares itself with its mark.

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

    /// The end as somebody may write it down elsewhere: `12:5f1c…`, number of lines and half of the hash, which is
    /// enough to tell any two registers apart.
    pub fn anchor(&self) -> String {
        format!("{}:{}", self.lines, self.last.get(..ANCHOR_DIGITS).unwrap_or(&self.last))
    }

    /// The mark as it was written; `None` if it is anything else.
    pub fn parse(text: &[u8]) -> Option<EndMark> {
        serde_json::from_slice(text).ok()
    }
}

/// Hex digits of the hash in an anchor: 128 bits, so that nobody makes two registers with the same one.
const ANCHOR_DIGITS: usize = 32;

/// An end that was written down elsewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// Whole lines that there must be at least.
    pub lines: usize,
    /// How the hash of the last of them begins, in lowercase hex.
    pub hash: String,
}

impl std::str::FromStr for Expected {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Expected, &'static str> {
        const SAYS: &str =
            "write it as `verify` prints it: the number of lines, a colon and at least 32 signs of the hash";
        let (lines, hash) = text.trim().split_once(':').ok_or(SAYS)?;
        let hash = hash.trim().to_ascii_lowercase();
        let is_hash =
            (ANCHOR_DIGITS..=64).contains(&hash.len()) && hash.bytes().all(|b| b.is_ascii_hexdigit());
        match lines.trim().parse() {
            Ok(lines) if is_hash => Ok(Expected { lines, hash }),
            _ => Err(SAYS),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_anchor_is_read_as_it_was_printed_and_no_shorter_one_is() {
        let mark = EndMark { lines: 3, last: "0123456789abcdef".repeat(4) };
        let anchor = mark.anchor();
        assert_eq!(anchor, "3:0123456789abcdef0123456789abcdef");
        let read: Expected = anchor.to_uppercase().parse().expect("an anchor");
        assert_eq!((read.lines, mark.last.starts_with(&read.hash)), (3, true));
        for bad in
            ["", "3", "3:abc", "x:0123456789abcdef0123456789abcdef", "3:0123456789abcdef0123456789abcdeg"]
        {
            assert!(bad.parse::<Expected>().is_err(), "{bad}");
        }
    }

    #[test]
    fn a_mark_is_read_as_it_was_written_and_nothing_else_is_one() {
        let mark = EndMark { lines: 3, last: "f".into() };
        assert_eq!(EndMark::parse(mark.text().as_bytes()), Some(mark));
        for text in ["", "{\"lines\":1}", "{\"lines\":1,\"last\":\"x\",\"y\":1}"] {
            assert_eq!(EndMark::parse(text.as_bytes()), None, "{text}");
        }
    }
}
