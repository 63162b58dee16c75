//! From a place in a filled template back to the line of the template it came from.
//!
//! The templates are filled a second time with marks between the lines. If the text without the
//! marks is not the text of the first time, nothing is claimed.

use super::tags::{PieceKind, line_and_column, pieces};

/// Around a mark. From a private plane: no typeface has them and no template needs them.
const OPEN: char = '\u{F0F00}';
const CLOSE: char = '\u{F0F01}';

/// Where the parts of a filled template came from.
#[derive(Debug)]
pub struct Origins {
    text: String,
    /// From this byte of the text on, it is from this line of this file.
    parts: Vec<(usize, String, usize)>,
}

impl Origins {
    /// What was filled with marks in it, taken apart; `None` if it is not what was filled without.
    pub(super) fn read(marked: &str, real: &str) -> Option<Origins> {
        let mut text = String::with_capacity(real.len());
        let mut parts = Vec::new();
        let mut rest = marked;
        while let Some((before, after)) = rest.split_once(OPEN) {
            text.push_str(before);
            let (mark, after) = after.split_once(CLOSE)?;
            let (file, line) = mark.rsplit_once(':')?;
            parts.push((text.len(), file.to_owned(), line.parse().ok()?));
            rest = after;
        }
        text.push_str(rest);
        (text == real).then_some(Origins { text, parts })
    }

    /// The file and line of a place in the filled text; both count from 1.
    pub fn of(&self, line: usize, column: usize) -> Option<(&str, usize)> {
        let start = self.text.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len).sum::<usize>();
        let before = self.text.get(start..)?.chars().take(column.saturating_sub(1)).map(char::len_utf8);
        let at = start + before.sum::<usize>();
        let next = self.parts.partition_point(|(from, ..)| *from <= at);
        let (_, file, line) = self.parts.get(next.checked_sub(1)?)?;
        Some((file, *line))
    }
}

/// A template with a mark before every line of its text and before every value.
///
/// A mark stands before the first character that is not a blank, so that `-%}` drops what it always
/// dropped.
pub(super) fn mark(name: &str, text: &str) -> String {
    let mut out = String::with_capacity(text.len() * 2);
    let put = |out: &mut String, at: usize| {
        let (line, _) = line_and_column(text, at);
        out.push_str(&format!("{OPEN}{name}:{line}{CLOSE}"));
    };
    for piece in pieces(text) {
        match piece.kind {
            PieceKind::Text => {
                let mut at = piece.range.start;
                for line in text[piece.range].split_inclusive('\n') {
                    let blanks = line.len() - line.trim_start().len();
                    out.push_str(&line[..blanks]);
                    if blanks < line.len() {
                        put(&mut out, at + blanks);
                    }
                    out.push_str(&line[blanks..]);
                    at += line.len();
                }
            }
            PieceKind::Value(_) if !piece.trims_before => {
                put(&mut out, piece.range.start);
                out.push_str(&text[piece.range]);
            }
            _ => out.push_str(&text[piece.range]),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_traced_through_marks() {
        let marked = mark("a.typ", "one\n  two {{ x }}\n\n{% if y %}three{% endif %}\n");
        let filled = marked.replace("{{ x }}", "X\nY").replace("{% if y %}", "").replace("{% endif %}", "");
        let origins = Origins::read(&filled, "one\n  two X\nY\n\nthree\n").expect("the same text");
        let of = |line, column| origins.of(line, column).expect("a place").1;
        assert_eq!([of(1, 1), of(2, 3), of(2, 7), of(3, 1), of(5, 1)], [1, 2, 2, 2, 4]);
        assert!(Origins::read(&filled, "another text").is_none());
        assert!(origins.of(0, 0).is_none());
    }
}
