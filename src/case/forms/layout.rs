//! Forgiven slips of the layout: a colon inside a text, tabs for indentation, blanks and quotation marks of a
//! word processor. Each only where it cannot be read in another way.

use std::collections::BTreeSet;

use saphyr_parser::{Parser, ScanError};

use super::written::{Edit, scalar};
use super::{Form, case};
use crate::case::characters::Clean;
use crate::diagnostic::Span;

pub(super) const COLON: Form = Form {
    name: "colon",
    says: "a colon inside a text",
    place: case!("problem:\n  summary: …\n"),
    examples: &[
        ("pain in toe: 6 months", "\"pain in toe: 6 months\""),
        ("it's bad: very", "\"it's bad: very\""),
        ("“bad toe: 6 months”", "\"bad toe: 6 months\""),
        ("she says:", "\"she says:\""),
    ],
    refused: &[("pain: old # of 5th met", "in quotation marks"), ("[pain: 6 months", "bracket")],
};

pub(super) const CURLY: Form = Form {
    name: "curly quotation marks",
    says: "a value between the quotation marks of a word processor",
    place: case!("problem:\n  summary: …\n"),
    examples: &[("“a bad toe”", "a bad toe"), ("‘a bad toe’", "a bad toe")],
    refused: &[("“bad” and “worse”", "type straight quotation marks")],
};

pub(super) const BLANKS: Form = Form {
    name: "no-break blanks",
    says: "no-break blanks in the layout, as a web page or a word processor puts them",
    place: case!("history:\n…smoker: false\n"),
    examples: &[("\u{a0}\u{a0}", "  "), ("\u{202f} ", "  ")],
    refused: &[("\u{2003}", "type blanks")],
};

pub(super) const TABS: Form = Form {
    name: "tabs",
    says: "tabs for indentation, where nothing is indented with blanks",
    place: case!("history:\n…smoker: false\n"),
    examples: &[("\t", "  ")],
    refused: &[("\t ", "indent with blanks"), ("  pregnant: false\n\t", "indent with blanks")],
};

/// A text that the parser can take, and where it was mended.
pub(in crate::case) struct Mended<'a> {
    /// The text for the parser, with the byte of the file for each of its characters.
    pub(in crate::case) clean: Clean<'a>,
    /// Where texts begin that were put in quotation marks here and not by whoever typed them.
    pub(in crate::case) starts: BTreeSet<usize>,
}

/// Lines that may be mended in one file: for each the file is gone through again.
const MOST: usize = 50;
/// Bytes of a file that is mended; a case has a few thousand.
const MOST_BYTES: usize = 1 << 16;

/// Puts a text that holds a colon in quotation marks, where the parser would otherwise stumble over it.
pub(in crate::case) fn mend<'a>(file: &str, clean: Clean<'a>) -> Mended<'a> {
    let mut mended = Mended { clean, starts: BTreeSet::new() };
    if file.len() > MOST_BYTES || !mended.clean.text.lines().any(|line| value_with_a_colon(line).is_some()) {
        return mended;
    }
    let mut before = None;
    for _ in 0..MOST {
        let Some(at) = colon_in_the_way(&mended.clean.text) else { break };
        // What was mended and is still in the way is something else.
        if before.is_some_and(|before| at <= before) || !quote(file, &mut mended, at) {
            break;
        }
        before = Some(at);
    }
    mended
}

/// The character at which the parser finds a colon where no key can stand.
fn colon_in_the_way(text: &str) -> Option<usize> {
    let mut parser = Parser::new_from_str(text);
    let stopped = |error: &ScanError| error.info().contains("mapping values are not allowed");
    loop {
        match parser.next_event()? {
            Ok(_) => {}
            Err(error) => return stopped(&error).then(|| error.marker().index()),
        }
    }
}

/// Puts the value of the line at a character in quotation marks. False if that is no such line.
fn quote(file: &str, mended: &mut Mended<'_>, at: usize) -> bool {
    let text: &str = &mended.clean.text;
    let Some((at, _)) = text.char_indices().nth(at) else { return false };
    let start = text[..at].rfind('\n').map_or(0, |line| line + 1);
    let end = text[at..].find('\n').map_or(text.len(), |line| at + line);
    let Some((from, value)) = value_with_a_colon(&text[start..end]) else { return false };
    let (from, to) = (start + from, start + from + value.len());
    if at < from || goes_on(&text[start..from], &text[end..]) {
        return false;
    }
    let bytes = mended.clean.bytes_of(file);
    let mut quoted = String::with_capacity(text.len() + 2);
    let mut places = Vec::with_capacity(bytes.len() + 2);
    for ((here, c), byte) in text.char_indices().zip(&bytes) {
        if here == from {
            quoted.push('\'');
            places.push(*byte);
        }
        if here == to {
            quoted.push('\'');
            places.push(*byte);
        }
        if c == '\'' && (from..to).contains(&here) {
            quoted.push('\'');
            places.push(*byte);
        }
        quoted.push(c);
        places.push(*byte);
    }
    if to == text.len() {
        quoted.push('\'');
        places.push(file.len());
    }
    let first = text[..from].chars().count();
    let last = first + value.chars().count();
    let span = Span::new(
        bytes.get(first).copied().unwrap_or(file.len()),
        bytes.get(last).copied().unwrap_or(file.len()),
    );
    let written = scalar(value, true, false);
    mended.starts.insert(span.start);
    mended.clean.edits.push(Edit { span, text: written });
    mended.clean.text = quoted.into();
    mended.clean.bytes = Some(places);
    true
}

/// The value of `key: value` that holds a colon, and where it begins in the line: only one that is plain, and
/// without a `#`, which may begin a comment.
fn value_with_a_colon(line: &str) -> Option<(usize, &str)> {
    let mut key = line.trim_start_matches(' ');
    while let Some(rest) = key.strip_prefix("- ") {
        key = rest.trim_start_matches(' ');
    }
    // Asked of every line of every file: a name ends at the first sign that cannot stand in it.
    let is_name = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b' ' | b'-');
    let name = key.bytes().position(|byte| !is_name(&byte))?;
    let value = key[name..].strip_prefix(": ")?;
    if name == 0 || name > 40 {
        return None;
    }
    let value = value.trim_matches([' ', '\t', '\r']);
    let is_plain =
        !value.starts_with(['"', '\'', '[', '{', '|', '>', '&', '*', '!', '#', '%', '@', '`', '?', '-']);
    let has_a_colon = value.ends_with(':') || value.as_bytes().windows(2).any(|two| two == b": ");
    let from = line.len() - line.trim_end_matches([' ', '\t', '\r']).len();
    let from = line.len() - from - value.len();
    (is_plain && has_a_colon && !value.contains('#')).then_some((from, value))
}

/// The text goes on in the next line: the value of a line alone would be half of it.
fn goes_on(before: &str, behind: &str) -> bool {
    let indent = before.len() - before.trim_start_matches([' ', '-']).len();
    // A comment that is indented as the text would be belongs to it for the eye.
    let next = behind.lines().skip(1).find(|line| !line.trim().is_empty());
    next.is_some_and(|next| next.len() - next.trim_start_matches(' ').len() > indent)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::case::{Case, Read, read_case};
    use crate::diagnostic::SourceText;

    fn read(text: &str) -> Read<Case> {
        let head = "reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09}\n";
        read_case(Arc::new(SourceText::new("case.yaml", format!("{head}{text}"))))
    }

    fn summary(text: &str) -> Option<String> {
        read(text).value?.problem.as_ref()?.summary.clone()
    }

    #[test]
    fn a_text_of_several_lines_and_one_in_quotation_marks_are_left_alone() {
        assert_eq!(summary("problem:\n  summary: pain: six\n    months\n"), None);
        assert_eq!(
            summary("problem:\n  summary: |\n    one: two: three\n  tried: all: of it\n").as_deref(),
            Some("one: two: three\n")
        );
        assert_eq!(
            summary("problem:\n  summary: \"one\n    two: three: four\"\n  tried: all: of it\n").as_deref(),
            Some("one two: three: four")
        );
    }

    #[test]
    fn places_behind_a_mended_line_are_right() {
        let read =
            read("problem:\n  summary: ü’s pain: it's bad\n  tried: b: c\nhistory: {smoker: perhaps}\n");
        let found = &read.diagnostics[0].primary;
        assert_eq!(&read.source.text()[found.span.start..found.span.end], "perhaps");
    }

    #[test]
    fn a_value_of_a_fixed_form_is_judged_with_its_colon() {
        let found = read("patient_: x\nhistory: {}\nconsent:\n  by: patient: she\n").diagnostics;
        assert!(found.iter().any(|one| one.primary.text.contains("`patient: she`")), "{found:?}");
    }
}
