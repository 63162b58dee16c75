//! Values as YAML: texts with quotation marks only where they need them.

use super::Value;

/// Deepest block that is written on lines of its own; further in, braces are.
const MOST_INDENTED: usize = 3;

/// Where a value is written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place<'a> {
    /// Between brackets or braces.
    pub(super) flow: bool,
    /// Blanks before the keys of a block that stands below this place.
    pub(super) indent: usize,
    /// How many blocks are around it.
    pub(super) level: usize,
    /// A comment stands behind it, which must not become part of the text.
    pub(super) quoted: bool,
    /// The end of a line.
    pub(super) newline: &'a str,
}

/// A value behind its colon or hyphen, with the blank or the line break before it.
pub(super) fn behind(value: &Value, place: Place<'_>) -> String {
    match value {
        Value::Block(entries) if !place.flow && place.level <= MOST_INDENTED && !entries.is_empty() => {
            let inner = Place { indent: place.indent + 2, level: place.level + 1, ..place };
            let lines = entries.iter().map(|(key, value)| {
                format!(
                    "{}{}{}:{}",
                    place.newline,
                    " ".repeat(place.indent),
                    self::key(key),
                    behind(value, inner)
                )
            });
            lines.collect()
        }
        Value::List(items) if !place.flow && items.iter().any(|item| matches!(item, Value::Block(_))) => {
            let lines = items.iter().map(|item| {
                format!("{}{}-{}", place.newline, " ".repeat(place.indent), item_behind(item, place))
            });
            lines.collect()
        }
        _ => format!(" {}", inline(value, place)),
    }
}

/// An item behind its hyphen, which stands at `place.indent`.
pub(super) fn item_behind(item: &Value, place: Place<'_>) -> String {
    match item {
        // Short ones, as answers to findings are, stand in braces; long ones on lines of their own.
        Value::Block(entries) if place.level == 0 && entries.len() > 3 => {
            let inner = Place { indent: place.indent + 4, level: 1, ..place };
            let mut lines = String::new();
            for (at, (key, value)) in entries.iter().enumerate() {
                match at {
                    0 => lines.push(' '),
                    _ => lines.push_str(&format!("{}{}", place.newline, " ".repeat(place.indent + 2))),
                }
                lines.push_str(&format!("{}:{}", self::key(key), behind(value, inner)));
            }
            lines
        }
        item => format!(" {}", inline(item, place)),
    }
}

/// A value on one line.
pub(super) fn inline(value: &Value, place: Place<'_>) -> String {
    let inner = Place { flow: true, quoted: false, ..place };
    match value {
        Value::Bare(text) => text.clone(),
        Value::Text(text)
            if !place.quoted
                && is_plain_text(text)
                && !(place.flow && text.contains([',', '[', ']', '{', '}'])) =>
        {
            text.clone()
        }
        Value::Text(text) => quoted(text),
        Value::List(items) => {
            let items: Vec<String> = items.iter().map(|item| inline(item, inner)).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Block(entries) => {
            let entries: Vec<String> = entries
                .iter()
                .map(|(key, value)| format!("{}: {}", self::key(key), inline(value, inner)))
                .collect();
            format!("{{{}}}", entries.join(", "))
        }
    }
}

/// A key.
pub(super) fn key(key: &str) -> String {
    let is_word = key.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-'));
    let is_plain = is_word
        && key.starts_with(|c: char| c.is_ascii_alphabetic())
        && !["true", "false", "null"].contains(&key.to_lowercase().as_str());
    if is_plain { key.to_owned() } else { quoted(key) }
}

/// A text that YAML of any age reads as that text without quotation marks, and that holds nothing which
/// begins something else.
pub(super) fn is_plain_text(text: &str) -> bool {
    let words = [
        "true", "false", "yes", "no", "on", "off", "y", "n", "null", "none", "~", "inf", ".inf", "nan",
        ".nan",
    ];
    let lower = text.to_lowercase();
    let is_word = lower != "none" && words.contains(&lower.as_str());
    let begins_well = text.chars().next().is_some_and(char::is_alphanumeric);
    let is_harmless = |c: char| c.is_alphanumeric() || " .,;/()+%-'’–_=".contains(c);
    // A number in one of YAML's many ways of writing one, or a time.
    let is_number = text.starts_with(|c: char| c.is_ascii_digit()) && !text.contains(' ');
    let is_date = text.len() == 10
        && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-')
        && text.as_bytes()[4] == b'-';
    begins_well
        && !is_word
        && (is_date || !is_number)
        && text.chars().all(is_harmless)
        && text.trim() == text
        && !text.contains("  ")
        && text.chars().count() <= 200
}

/// In double quotation marks, on one line.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => {}
            '\t' => out.push_str("\\t"),
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}') => {
                out.push_str(&format!("\\U{:08X}", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
