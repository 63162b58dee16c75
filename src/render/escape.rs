//! The ONE escape function: how a value becomes Typst text that nothing in it can act on.
//!
//! A value is a string literal, never markup. It is safe in markup and, through `str`, as an
//! argument in code. It is NOT safe inside a Typst string, a comment or a raw block: templates do
//! not put it there, and a test compares syntax trees to prove it.

use std::borrow::Cow;
use std::io::{self, Write};

use unicode_segmentation::UnicodeSegmentation as _;

/// `O"Neil` as `"O\"Neil"`: a Typst string literal, for code.
pub fn literal(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '\\' => out.push_str("\\\\"),
            '"' => out.push_str("\\\""),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// `O"Neil` as `#"O\"Neil";`, for markup. The semicolon ends the expression, so that text which
/// follows (`.len()`, `(1)`, `[z]`) stays text.
///
/// In a very long word it lets a line end, so that no word runs out of its column or off the page.
pub(super) fn markup(text: &str, out: &mut dyn Write) -> io::Result<()> {
    write!(out, "#{};", literal(&breakable(text)))
}

/// Where a line may end without a hyphen. No case file may hold one, and it leaves no trace in the text of the
/// pages.
pub const BREAK: char = '\u{200b}';
/// Letters that stand in one line of the narrowest column; longer words are rare, even names of drugs.
const LONG_WORD: usize = 20;
/// Letters between two places at which such a word may end a line, and at least so many behind the last.
const PIECE: usize = 10;
const LAST_PIECE: usize = 4;

fn breakable(text: &str) -> Cow<'_, str> {
    if text.split(ends_a_word).all(|word| word.len() <= LONG_WORD) {
        return Cow::Borrowed(text);
    }
    let pieces = text.split_inclusive(ends_a_word).map(|word| {
        let letters: Vec<&str> = word.graphemes(true).collect();
        // Letters that are joined in writing must not be parted.
        if letters.len() <= LONG_WORD || word.chars().any(is_joined) {
            return word.to_owned();
        }
        let mut out = String::with_capacity(word.len() * 2);
        for (at, letter) in letters.iter().enumerate() {
            if at > 0 && at % PIECE == 0 && letters.len() - at >= LAST_PIECE {
                out.push(BREAK);
            }
            out.push_str(letter);
        }
        out
    });
    Cow::Owned(pieces.collect())
}

/// Typst lets a line end behind these.
fn ends_a_word(c: char) -> bool {
    c.is_whitespace() && c != '\u{a0}' || c == '-'
}

fn is_joined(c: char) -> bool {
    matches!(c, '\u{600}'..='\u{8ff}' | '\u{fb50}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_acts() {
        assert_eq!(literal(r#"a "b" \ c"#), r#""a \"b\" \\ c""#);
        assert_eq!(literal("a\nb\u{7}\u{85}"), "\"a\\nb\\u{7}\\u{85}\"");
        assert_eq!(literal("#panic() $x$ é"), "\"#panic() $x$ é\"");
        let mut out = Vec::new();
        markup("x", &mut out).expect("writing to memory");
        assert_eq!(out, b"#\"x\";");
    }

    #[test]
    fn a_long_word_may_break_and_a_usual_one_may_not() {
        for text in ["a hydroxychloroquine tablet", "Pembroke-Featherstonehaugh", "محمدمحمدمحمدمحمدمحمدمحمد"]
        {
            assert_eq!(breakable(text), text);
        }
        let long = "Hydroxypropylmethylcellulose eye drops";
        let broken = breakable(long);
        assert_eq!(broken, "Hydroxypro\u{200b}pylmethylc\u{200b}ellulose eye drops");
        assert_eq!(broken.replace(BREAK, ""), long);
        // An accent stays with its letter.
        let accents = "e\u{301}".repeat(30);
        assert!(breakable(&accents).split(BREAK).all(|piece| piece.starts_with('e')));
    }
}
