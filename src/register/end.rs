//! The mark of the register's end: how many lines there are, and the hash of the last.
//!
//! Each line vouches for the line before it, so only what is lost off the end leaves no trace in the
//! register itself. The mark is written after the lines; if a run is cut short between the two, the
//! mark names an earlier line, which is no fault. It cannot show that somebody exchanged both files
//! for those of an earlier day.

use serde::{Deserialize, Serialize};

use crate::register::chain::{Kind, Problem, Register};

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
}

/// Reads a register together with its mark; whatever is wrong is a problem, never a failure.
pub fn read(register: &[u8], mark: Option<&[u8]>) -> (Register, Vec<Problem>) {
    let (register, mut problems) = Register::parse(register);
    let now = register.end();
    let kind = match mark.map(serde_json::from_slice::<EndMark>) {
        Some(Ok(mark)) => match register.hash_of_line(mark.lines) {
            Some(hash) if hash == mark.last => None,
            Some(_) => Some(Kind::EndDiffers { marked: mark.lines }),
            None => Some(Kind::EndLost { marked: mark.lines }),
        },
        // A register that was only just begun.
        None if now.lines == 0 => None,
        Some(Err(_)) | None => Some(Kind::EndNotMarked),
    };
    problems.extend(kind.map(|kind| Problem { line: now.lines, kind }));
    (register, problems)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::register::entry::Event;
    use crate::register::entry::tests::{issued, sent};

    fn kinds(register: &[u8], mark: Option<&[u8]>) -> Vec<Kind> {
        read(register, mark).1.into_iter().map(|problem| problem.kind).collect()
    }

    /// Two lines, and the marks after none, one and both.
    fn two_lines() -> (String, String, [String; 3]) {
        let mut register = Register::default();
        let none = register.end().text();
        let first = register.append(Event::Issued(issued("gp-letter", 1)));
        let one = register.end().text();
        let second = register.append(Event::Sent(sent("gp-letter", 1)));
        (first, second, [none, one, register.end().text()])
    }

    #[test]
    fn a_lost_end_shows_and_a_mark_that_came_too_late_is_no_fault() {
        let (first, second, marks) = two_lines();
        let both = format!("{first}{second}");
        for mark in &marks {
            assert_eq!(kinds(both.as_bytes(), Some(mark.as_bytes())), [], "{mark}");
        }
        let mark = Some(marks[2].as_bytes());
        assert_eq!(kinds(first.as_bytes(), mark), [Kind::EndLost { marked: 2 }]);
        assert_eq!(kinds(b"", mark), [Kind::EndLost { marked: 2 }]);
        let another = Register::default().append(Event::Issued(issued("consent-form", 1)));
        assert_eq!(kinds(another.as_bytes(), Some(marks[1].as_bytes())), [Kind::EndDiffers { marked: 1 }]);
    }

    #[test]
    fn a_mark_that_is_not_there_or_not_readable_is_said() {
        let (first, ..) = two_lines();
        for mark in
            [None, Some(&b""[..]), Some(b"{\"lines\":1}"), Some(b"{\"lines\":1,\"last\":\"x\",\"y\":1}")]
        {
            assert_eq!(kinds(first.as_bytes(), mark), [Kind::EndNotMarked]);
        }
        assert_eq!(kinds(b"", None), []);
    }
}
