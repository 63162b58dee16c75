//! The ONE escape function: how a value becomes Typst text that nothing in it can act on.
//!
//! A value is a string literal, never markup. It is safe in markup and, through `str`, as an
//! argument in code. It is NOT safe inside a Typst string, a comment or a raw block: templates do
//! not put it there, and a test compares syntax trees to prove it.

use std::io::{self, Write};

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
pub(super) fn markup(text: &str, out: &mut dyn Write) -> io::Result<()> {
    write!(out, "#{};", literal(text))
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
}
