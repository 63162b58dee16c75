//! Characters that a file must not hold: they cannot be seen, or change what is seen around them.
//!
//! Only characters are judged here, never words.

use std::borrow::Cow;
use std::collections::BTreeSet;

use unicode_joining_type::{JoiningType, get_joining_type};
use unicode_normalization::char::canonical_combining_class;

use super::forms::Edit;
use super::problem::{self, Problem, Problems, ReadingRule};
use crate::diagnostic::Span;

/// Bytes from the start of a line within which a blank can belong to its layout.
const MAX_LAYOUT: usize = 120;

/// The rule that a character breaks, if it breaks one.
pub(super) fn refused(c: char) -> Option<&'static ReadingRule> {
    match c {
        '\n' | '\r' | '\t' | ' '..='~' => None,
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{2028}' | '\u{2029}' | '\u{feff}' => {
            Some(&problem::CONTROL_CHARACTER)
        }
        // Turns the direction of writing.
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            Some(&problem::HIDDEN_CHARACTER)
        }
        // Has no width, or is not drawn: joiners, fillers, annotation and tag characters.
        '\u{ad}'
        | '\u{34f}'
        | '\u{115f}'
        | '\u{1160}'
        | '\u{17b4}'
        | '\u{17b5}'
        | '\u{180b}'..='\u{180f}'
        | '\u{200b}'..='\u{200d}'
        | '\u{2060}'..='\u{2065}'
        | '\u{206a}'..='\u{206f}'
        | '\u{3164}'
        | '\u{ffa0}'
        | '\u{fff0}'..='\u{fffb}'
        | '\u{1d173}'..='\u{1d17a}'
        | '\u{e0000}'..='\u{e0fff}' => Some(&problem::HIDDEN_CHARACTER),
        _ => None,
    }
}

/// The rule that the character at this byte of a text breaks: a joiner breaks none where a script needs it.
pub(super) fn refused_at(text: &str, at: usize, c: char) -> Option<&'static ReadingRule> {
    if is_joiner(c) && chooses_a_form(&text[..at], c, &text[at + c.len_utf8()..]) {
        return None;
    }
    refused(c)
}

/// A joiner without width: where letters change their form beside one another, it says which form.
pub(crate) fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200c}' | '\u{200d}')
}

/// True where names in Arabic and Indian scripts are spelt with a joiner, so that it is seen: RFC 5892,
/// Appendix A.1 (between letters that join, or behind a virama) and A.2 (behind a virama); and before one, as
/// Bengali writes the ya-phalaa behind a ra (Unicode Public Review Issue 37, model of ZWJ before virama).
fn chooses_a_form(before: &str, c: char, after: &str) -> bool {
    // The combining class of every virama.
    const VIRAMA: u8 = 9;
    let class = |c: Option<char>| c.map(canonical_combining_class);
    if class(before.chars().next_back()) == Some(VIRAMA) {
        return true;
    }
    if c == '\u{200d}' {
        return class(after.chars().next()) == Some(VIRAMA) && before.ends_with('\u{9b0}');
    }
    let joins = |c: &char| get_joining_type(*c);
    let is_seen = |c: &char| joins(c) != JoiningType::Transparent;
    let left = before.chars().rev().find(is_seen);
    let right = after.chars().find(is_seen);
    matches!(left.as_ref().map(joins), Some(JoiningType::LeftJoining | JoiningType::DualJoining))
        && matches!(right.as_ref().map(joins), Some(JoiningType::RightJoining | JoiningType::DualJoining))
}

/// What a refused character is called, with its number.
pub(super) fn name(c: char) -> String {
    let name = match c {
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            "it turns the direction of writing"
        }
        '\u{200b}' => "a blank without width",
        '\u{200c}' | '\u{200d}' | '\u{2060}' | '\u{34f}' => "a joiner without width",
        '\u{ad}' => "a hyphen that is not shown",
        '\u{feff}' => "a byte order mark inside the file",
        '\u{2028}' | '\u{2029}' | '\u{85}' => "a line break of another kind",
        '\0' => "a null",
        _ if refused(c).is_some_and(|rule| rule.name == problem::CONTROL_CHARACTER.name) => {
            "a control character"
        }
        _ => "a character that is not shown",
    };
    format!("U+{:04X}, {name}", u32::from(c))
}

/// What a blank or quotation mark of a word processor is called, if it is one that harms where a plain
/// one is needed. Inside a text it harms nothing.
pub(super) fn pasted(c: char) -> Option<&'static str> {
    match c {
        '\u{a0}' => Some("a no-break blank, pasted from a word processor"),
        '\u{1680}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}' => {
            Some("a blank of another width, pasted from a word processor")
        }
        '\u{201c}'..='\u{201f}' | '\u{ab}' | '\u{bb}' => {
            Some("a curly quotation mark, as a word processor writes it")
        }
        '\u{2018}'..='\u{201b}' => Some("a curly single quotation mark, as a word processor writes it"),
        _ => None,
    }
}

/// The first of them that a key or a word holds; an apostrophe may stand in the short name of a person.
pub(super) fn pasted_in(key: &str) -> Option<(usize, &'static str)> {
    if key.is_ascii() {
        return None;
    }
    let is_apostrophe = |at: usize, c: char| at > 0 && matches!(c, '\u{2018}'..='\u{201b}');
    key.char_indices().filter(|(at, c)| !is_apostrophe(*at, *c)).find_map(|(at, c)| Some((at, pasted(c)?)))
}

/// A text that begins and ends with curly quotation marks.
pub(super) fn is_in_curly_quotes(text: &str) -> bool {
    between_curly_quotes(text).is_some()
}

/// What one pair of curly quotation marks holds; `None` if there are others inside, which could be the pair.
pub(super) fn inside_curly_quotes(text: &str) -> Option<&str> {
    let inside = between_curly_quotes(text)?;
    let opens_again = |c: char| {
        matches!(c, '\u{201c}'..='\u{201f}' | '\u{ab}' | '\u{bb}' | '\u{2018}' | '\u{201a}' | '\u{201b}')
    };
    (!inside.contains(opens_again) && !inside.trim().is_empty()).then_some(inside)
}

fn between_curly_quotes(text: &str) -> Option<&str> {
    let is_double = |c: char| matches!(c, '\u{201c}'..='\u{201f}' | '\u{ab}' | '\u{bb}');
    let is_single = |c: char| matches!(c, '\u{2018}'..='\u{201b}');
    let mut signs = text.chars();
    let (first, last) = (signs.next()?, signs.next_back()?);
    (is_double(first) && is_double(last) || is_single(first) && is_single(last)).then_some(signs.as_str())
}

/// A blank of a word processor that does the work of a plain one: at the start of a line, or behind the
/// colon of its first key.
fn is_layout(before: &str, c: char) -> bool {
    if !c.is_whitespace() || pasted(c).is_none() {
        return false;
    }
    let line = before.rsplit('\n').next().unwrap_or_default();
    let line = line.trim_start_matches(|c: char| c == '-' || c.is_whitespace());
    let key = line.trim_end_matches(|c: char| c != '\n' && c.is_whitespace()).strip_suffix(':');
    let is_key = |key: &str| {
        !key.is_empty()
            && key.len() < 40
            && key.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b' '))
    };
    line.is_empty() || key.is_some_and(is_key)
}

/// A blank as wide as a plain one, so that a line indented with it looks as it is read.
pub(super) fn is_as_wide_as_a_blank(c: char) -> bool {
    matches!(c, '\u{a0}' | '\u{202f}')
}

/// Every line that is indented is indented with tabs alone: then two blanks in the place of each cannot be
/// misread, however wide an editor shows them.
fn is_indented_with_tabs(text: &str) -> bool {
    let mut has_tabs = false;
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        let indent = &line[..line.len() - line.trim_start().len()];
        if indent.chars().any(|c| c != '\t') {
            return false;
        }
        has_tabs |= !indent.is_empty();
    }
    has_tabs
}

/// The text without what is refused, so that the rest can be read and judged as it is seen.
pub(super) struct Clean<'a> {
    /// The text for the parser.
    pub(super) text: Cow<'a, str>,
    /// The byte of the file for each of its characters; `None` if it is the file.
    pub(super) bytes: Option<Vec<usize>>,
    /// What would be written for the blanks that were taken for others.
    pub(super) edits: Vec<Edit>,
}

impl Clean<'_> {
    /// The byte of the file for each character of the text.
    pub(super) fn bytes_of(&self, file: &str) -> Vec<usize> {
        self.bytes.clone().unwrap_or_else(|| file.char_indices().map(|(at, _)| at).collect())
    }
}

/// True if every byte of a text is of a kind. Many at a time, as the processor can: every file is gone through.
pub(super) fn all_bytes(text: &str, is_good: impl Fn(u8) -> bool) -> bool {
    text.as_bytes().chunks(64).all(|some| some.iter().fold(true, |are_good, byte| are_good & is_good(*byte)))
}

/// Reports every refused character (the first of each kind on a line) and takes them out.
pub(super) fn clean<'a>(text: &'a str, problems: &mut Problems) -> Clean<'a> {
    // Nearly every file holds nothing else.
    if all_bytes(text, |byte| matches!(byte, b'\n' | b' '..=b'~')) {
        return Clean { text: Cow::Borrowed(text), bytes: None, edits: Vec::new() };
    }
    // A byte order mark at the very start is how some editors say UTF-8.
    let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut removed: BTreeSet<usize> = (start > 0).then_some(0).into_iter().collect();
    let mut lone_returns = false;
    let mut reported: Vec<&str> = Vec::new();
    let mut rest = text[start..].char_indices().peekable();
    let mut layout: BTreeSet<usize> = BTreeSet::new();
    let mut edits = Vec::new();
    let mut line = start;
    let has_tabs = is_indented_with_tabs(text);
    while let Some((at, c)) = rest.next() {
        if matches!(c, ' '..='~') {
            continue;
        }
        let at = at + start;
        let followed_by_newline = rest.peek().is_some_and(|(_, next)| *next == '\n');
        let rule = match c {
            '\n' => {
                reported.clear();
                line = at + 1;
                continue;
            }
            '\t' if has_tabs && text[line..at].bytes().all(|byte| byte == b'\t') => {
                edits.push(Edit { span: Span::new(at, at + 1), text: "  ".to_owned() });
                continue;
            }
            _ if at - line < MAX_LAYOUT && is_layout(&text[line..at], c) => {
                layout.insert(at);
                if is_as_wide_as_a_blank(c) {
                    edits.push(Edit { span: Span::new(at, at + c.len_utf8()), text: " ".to_owned() });
                    continue;
                }
                &problem::PASTED_CHARACTER
            }
            // Alone it ends a line for the parser and not for most editors: a comment could hide a key.
            '\r' if !followed_by_newline => {
                lone_returns = true;
                &problem::CONTROL_CHARACTER
            }
            _ => match refused_at(text, at, c) {
                None => continue,
                Some(rule) => {
                    removed.insert(at);
                    rule
                }
            },
        };
        if reported.contains(&rule.name) {
            continue;
        }
        reported.push(rule.name);
        let label = match c {
            '\r' => "U+000D, half of a line break".to_owned(),
            _ => pasted(c).map_or_else(|| name(c), str::to_owned),
        };
        problems.add(|| {
            let help = match pasted(c) {
                Some(_) => "delete it and all like it on this line, and type blanks",
                None => "delete it and type the text around it again; it often comes in with copied text",
            };
            Problem::new(rule, Span::new(at, at + c.len_utf8()), label).help(help)
        });
    }
    if removed.is_empty() && layout.is_empty() && edits.is_empty() && !lone_returns {
        return Clean { text: Cow::Borrowed(text), bytes: None, edits };
    }
    let tabs: BTreeSet<usize> =
        edits.iter().filter(|edit| edit.text.len() == 2).map(|edit| edit.span.start).collect();
    let mut plain = String::with_capacity(text.len());
    let mut bytes = Vec::with_capacity(text.len());
    for (at, c) in text.char_indices().filter(|(at, _)| !removed.contains(at)) {
        let c = match c {
            '\r' if !text[at + 1..].starts_with('\n') => '\n',
            _ if layout.contains(&at) || tabs.contains(&at) => ' ',
            _ => c,
        };
        for _ in 0..=usize::from(tabs.contains(&at)) {
            plain.push(c);
            bytes.push(at);
        }
    }
    Clean { text: Cow::Owned(plain), bytes: Some(bytes), edits }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::SourceText;
    use std::sync::Arc;

    #[test]
    fn letters_of_all_scripts_pass_and_hidden_ones_do_not() {
        for good in ['a', 'é', '\u{301}', 'ß', 'ö', '’', '–', '½', '漢', '😀', '\u{fe0f}', '\u{a0}', '\t']
        {
            assert!(refused(good).is_none(), "{good:?}");
        }
        for (bad, rule) in [
            ('\0', "control-character"),
            ('\u{1f}', "control-character"),
            ('\u{7f}', "control-character"),
            ('\u{85}', "control-character"),
            ('\u{2028}', "control-character"),
            ('\u{202e}', "hidden-character"),
            ('\u{200d}', "hidden-character"),
            ('\u{ad}', "hidden-character"),
            ('\u{e0041}', "hidden-character"),
        ] {
            assert_eq!(refused(bad).map(|found| found.name), Some(rule), "{bad:?}");
        }
    }

    /// Spelt with a joiner, from memory: Persian for "roots", Bengali "Rachel", Hindi "Sharma" and "Laksh" with
    /// the half letters apart.
    #[test]
    fn a_joiner_stands_where_it_chooses_the_form_of_a_letter() {
        let refused =
            |text: &str| text.char_indices().filter(|(at, c)| refused_at(text, *at, *c).is_some()).count();
        for good in [
            "\u{631}\u{6cc}\u{634}\u{647}\u{200c}\u{647}\u{627}",
            // A mark between the letter and the joiner.
            "\u{628}\u{64e}\u{200c}\u{628}",
            "\u{9b0}\u{200d}\u{9cd}\u{9af}\u{9be}\u{99a}\u{9c7}\u{9b2}",
            "\u{936}\u{930}\u{94d}\u{200d}\u{92e}\u{93e}",
            "\u{932}\u{915}\u{94d}\u{200c}\u{937}",
        ] {
            assert_eq!(refused(good), 0, "{good}");
        }
        for bad in [
            "Hol\u{200d}lis",
            "Hol\u{200c}lis",
            "\u{200c}",
            "\u{628}\u{200c}",
            "\u{200c}\u{628}",
            // Behind a letter that joins nothing it would not be seen.
            "\u{631}\u{200c}\u{628}",
            "\u{628}\u{200d}\u{628}",
            "\u{915}\u{200d}\u{94d}\u{937}",
            "1\u{200c}2",
        ] {
            assert_eq!(refused(bad), 1, "{bad}");
        }
        // The second of two would not be seen.
        assert_eq!(refused("\u{915}\u{94d}\u{200d}\u{200d}\u{937}"), 1);
    }

    #[test]
    fn each_kind_is_reported_once_a_line() {
        let text = "\u{feff}a\u{202e}b\u{202e}\u{0}\n\u{200b}c\r\n\rd";
        let source = Arc::new(SourceText::new("x.yaml", text));
        let mut problems = Problems::of(&source);
        let clean = clean(text, &mut problems);
        assert_eq!(clean.text, "ab\nc\r\n\nd");
        let found: Vec<_> = problems
            .into_list()
            .iter()
            .map(|problem| (source.line_column(problem.primary.span.start).0, problem.rule))
            .collect();
        assert_eq!(
            found,
            [
                (1, "hidden-character"),
                (1, "control-character"),
                (2, "hidden-character"),
                (3, "control-character")
            ]
        );
    }
}
