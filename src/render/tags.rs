//! A template taken apart: its text, and its tags as tokens. Enough to see which values a tag names;
//! what a tag does is Tera's business alone.

use std::ops::Range;

/// A part of a template.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Piece<'a> {
    pub(super) kind: PieceKind<'a>,
    /// Where it stands, delimiters and all, bytes.
    pub(super) range: Range<usize>,
    /// The tag begins with `{{-` or `{%-`: blanks before it are dropped.
    pub(super) trims_before: bool,
}

/// What a part is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum PieceKind<'a> {
    /// Printed as it is.
    Text,
    /// `{{ … }}`
    Value(Vec<Token<'a>>),
    /// `{% … %}`
    Statement(Vec<Token<'a>>),
    /// `{# … #}`
    Comment,
}

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// A name or a keyword.
    Name,
    /// A text in quotation marks, given without them.
    Quoted,
    /// Anything else: a number, an operator.
    Sign,
}

/// A token of a tag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Token<'a> {
    pub(super) kind: TokenKind,
    pub(super) text: &'a str,
    /// Where it begins in the template, bytes.
    pub(super) at: usize,
}

impl Token<'_> {
    pub(super) fn is(&self, text: &str) -> bool {
        self.kind != TokenKind::Quoted && self.text == text
    }
}

/// Operators of more than one character that would otherwise read as two.
const LONG_SIGNS: &[&str] = &["==", "!=", "<=", ">=", "?."];

/// The parts of a template in order, without gaps. A tag that is never closed reaches to the end;
/// Tera has refused it before.
pub(super) fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let start = next_tag(text, at).unwrap_or(text.len());
        if start > at {
            pieces.push(Piece { kind: PieceKind::Text, range: at..start, trims_before: false });
        }
        if start == text.len() {
            break;
        }
        let piece = tag(text, start);
        at = piece.range.end;
        let is_raw = matches!(&piece.kind, PieceKind::Statement(tokens) if tokens.first().is_some_and(|first| first.is("raw")));
        pieces.push(piece);
        if is_raw {
            let end = end_of_raw(text, at);
            pieces.push(Piece { kind: PieceKind::Text, range: at..end, trims_before: false });
            at = end;
        }
    }
    pieces
}

fn next_tag(text: &str, from: usize) -> Option<usize> {
    let opens = |(at, _): &(usize, &str)| text[at + 1..].starts_with(['{', '%', '#']);
    text[from..].match_indices('{').map(|(at, brace)| (from + at, brace)).find(opens).map(|(at, _)| at)
}

fn end_of_raw(text: &str, from: usize) -> usize {
    let mut at = from;
    while let Some(found) = text[at..].find("{%") {
        let inside = text[at + found + 2..].trim_start_matches('-').trim_start();
        if inside.starts_with("endraw") {
            return at + found;
        }
        at += found + 2;
    }
    text.len()
}

fn tag(text: &str, start: usize) -> Piece<'_> {
    let trims_before = text[start + 2..].starts_with('-');
    if text[start..].starts_with("{#") {
        let end = text[start + 2..].find("#}").map_or(text.len(), |found| start + 2 + found + 2);
        return Piece { kind: PieceKind::Comment, range: start..end, trims_before };
    }
    let is_value = text[start..].starts_with("{{");
    let (tokens, end) =
        tokens(text, start + 2 + usize::from(trims_before), if is_value { "}}" } else { "%}" });
    let kind = if is_value { PieceKind::Value(tokens) } else { PieceKind::Statement(tokens) };
    Piece { kind, range: start..end, trims_before }
}

/// The tokens up to the closing mark, and where that ends.
fn tokens<'a>(text: &'a str, from: usize, close: &str) -> (Vec<Token<'a>>, usize) {
    let mut tokens = Vec::new();
    let mut at = from;
    while let Some(first) = text[at..].chars().next() {
        let rest = &text[at..];
        if rest.starts_with(close) {
            return (tokens, at + close.len());
        }
        let (kind, length, shown) =
            if first.is_whitespace() || rest.strip_prefix('-').is_some_and(|rest| rest.starts_with(close)) {
                at += first.len_utf8();
                continue;
            } else if matches!(first, '"' | '\'' | '`') {
                let length = quoted(rest, first);
                (TokenKind::Quoted, length, rest.get(1..length.saturating_sub(1)).unwrap_or_default())
            } else if is_name(first) && !first.is_ascii_digit() {
                let length = rest.find(|c| !is_name(c)).unwrap_or(rest.len());
                (TokenKind::Name, length, &rest[..length])
            } else {
                let long = LONG_SIGNS.iter().find(|sign| rest.starts_with(**sign)).map(|sign| sign.len());
                let number = rest.find(|c: char| !is_name(c)).unwrap_or(rest.len());
                let length = long.unwrap_or(number.max(first.len_utf8()));
                (TokenKind::Sign, length, &rest[..length])
            };
        tokens.push(Token { kind, text: shown, at });
        at += length;
    }
    (tokens, text.len())
}

fn is_name(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_'
}

/// The length of a text in quotation marks, with them.
fn quoted(text: &str, mark: char) -> usize {
    let mut is_escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        if c == mark && !is_escaped {
            return at + c.len_utf8();
        }
        is_escaped = c == '\\' && !is_escaped;
    }
    text.len()
}

/// The line and column of a byte, from 1.
pub(super) fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |found| found + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        let words =
            |tokens: &[Token<'_>]| tokens.iter().map(|token| token.text).collect::<Vec<_>>().join(" ");
        pieces(text)
            .iter()
            .map(|piece| match &piece.kind {
                PieceKind::Text => format!("text {}", &text[piece.range.clone()]),
                PieceKind::Value(tokens) => format!("value {}", words(tokens)),
                PieceKind::Statement(tokens) => format!("statement {}", words(tokens)),
                PieceKind::Comment => "comment".into(),
            })
            .collect()
    }

    #[test]
    fn text_and_tags_are_told_apart() {
        assert_eq!(
            shown("a{{ x.y|str }}{%- if b == \"%}\" -%}c{# {{ no }} #}{"),
            ["text a", "value x . y | str", "statement if b == %}", "text c", "comment", "text {"]
        );
        assert_eq!(
            shown("{% raw %}{{ x }}{% endraw %}{{ y[0] }}"),
            ["statement raw", "text {{ x }}", "statement endraw", "value y [ 0 ]"]
        );
        assert_eq!(shown("{{ never closed"), ["value never closed"]);
    }

    #[test]
    fn every_byte_belongs_to_one_piece() {
        for text in ["", "é{{ é }}é", "{{ 'a\\'b' }}", "{% raw %}x", "{{", "{#", "a\n{{-x-}}\n{%", "{{ \"é"]
        {
            let pieces = pieces(text);
            let ends: Vec<usize> =
                std::iter::once(0).chain(pieces.iter().map(|piece| piece.range.end)).collect();
            assert_eq!(ends.last(), Some(&text.len()), "{text}");
            assert!(pieces.iter().zip(&ends).all(|(piece, start)| piece.range.start == *start), "{text}");
        }
    }

    #[test]
    fn places_count_from_one_in_characters() {
        assert_eq!(line_and_column("é\nab", 0), (1, 1));
        assert_eq!(line_and_column("é\nab", 4), (2, 2));
    }
}
