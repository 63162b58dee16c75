//! From a block in full to its line, or to the same block in the layout of a file.

use super::read::{is_postcode, is_title, named};
use super::{How, Line};
use crate::anatomy::Toe;
use crate::case::forms::written::scalar;
use crate::case::tree::{Node, NodeKind};

/// Columns after which a line is broken.
const MOST: usize = 100;

/// The line that says all of a block; `None` if a line cannot say it.
///
/// `inside` writes the value of a key that has a line of its own.
pub(in crate::case::forms) fn write(
    line: &Line,
    block: &Node,
    inside: &dyn Fn(&str, &Node) -> Option<String>,
) -> Option<String> {
    let NodeKind::Block(entries) = &block.kind else { return None };
    let mut left = Left::of(line, entries);
    let mut phrases = Vec::new();
    for phrase in line.phrases {
        if let Some(said) = phrase_of(line, &phrase.how, phrase.key, &mut left)? {
            phrases.push(said);
        }
    }
    let mut parts = Vec::new();
    if let Some(node) = line.rest.and_then(|key| left.take(key)) {
        parts.push(text_of(node)?);
    }
    let mut toes = Vec::new();
    match line.toes {
        Some("") => {
            let mut by_toe = std::mem::take(&mut left.0);
            by_toe.sort_by_key(|(key, _)| Toe::ALL.iter().position(|toe| toe.code() == key));
            for (toe, node) in by_toe {
                toes.push(format!("{toe} {}", inside(&toe, node)?));
            }
        }
        Some(key) => toes.extend(match left.take(key) {
            Some(node) => Some(inside(key, node)?),
            None => None,
        }),
        None => {}
    }
    let mut sections = Vec::new();
    for section in line.sections {
        // Of the keys of both feet each has a section of its own as well.
        if let [key] = section.keys
            && let Some(node) = left.take(key)
        {
            sections.push(format!("{} {}", section.leads.first()?, inside(key, node)?));
        }
    }
    // What has no phrase of its own is led by its key.
    for (key, node) in std::mem::take(&mut left.0) {
        let NodeKind::Scalar { .. } = node.kind else { return None };
        if line.phrases.is_empty() {
            return None;
        }
        phrases.push(format!("{} {}", named(&key), guarded(line, &text_of(node)?)?));
    }
    if !phrases.is_empty() {
        parts.push(phrases.join(", "));
    }
    parts.extend(toes);
    parts.extend(sections);
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// What has not been said yet.
struct Left<'n>(Vec<(String, &'n Node)>);

impl<'n> Left<'n> {
    fn of(line: &Line, entries: &'n [(String, crate::diagnostic::Span, Node)]) -> Left<'n> {
        let is_parted = |key: &str| {
            line.phrases
                .iter()
                .any(|phrase| phrase.key.split_once('.').is_some_and(|(first, _)| first == key))
        };
        let mut left = Vec::new();
        for (key, _, node) in entries {
            match &node.kind {
                NodeKind::Block(below) if is_parted(key) => {
                    left.extend(below.iter().map(|(inner, _, node)| (format!("{key}.{inner}"), node)));
                }
                _ => left.push((key.clone(), node)),
            }
        }
        Left(left)
    }

    fn at(&self, key: &str) -> Option<&'n Node> {
        self.0.iter().find(|(known, _)| known == key).map(|(_, node)| *node)
    }

    fn take(&mut self, key: &str) -> Option<&'n Node> {
        let at = self.0.iter().position(|(known, _)| known == key)?;
        Some(self.0.remove(at).1)
    }
}

/// What one phrase says; `None` if what it should say cannot stand in a line.
#[expect(clippy::option_option, reason = "that there is nothing to say is no failure")]
fn phrase_of(line: &Line, how: &How, key: &str, left: &mut Left<'_>) -> Option<Option<String>> {
    if let How::Name = how {
        return name(line, left);
    }
    let Some(node) = left.at(key) else { return Some(None) };
    let behind = |lead: Option<&&str>, text: String| match lead {
        Some(lead) => format!("{lead} {text}"),
        None => text,
    };
    let said = match how {
        How::Name => None,
        How::Words(words) => {
            let is_empty = matches!(&node.kind, NodeKind::List(items) if items.is_empty());
            let text = if is_empty { Some("[]".to_owned()) } else { text_of(node) };
            // Other values have a phrase further on.
            let Some((word, _)) = words.iter().find(|(_, value)| Some(*value) == text.as_deref()) else {
                return Some(None);
            };
            Some((*word).to_owned())
        }
        How::Led(leads) | How::LedLike(leads, _) => {
            Some(behind(leads.first(), guarded(line, &text_of(node)?)?))
        }
        How::List(leads) => Some(behind(leads.first(), list_of(line, node)?)),
        How::Like(..) => Some(edges_of(node).or_else(|| text_of(node))?),
        How::FromTo(other) => {
            let to = left.at(other)?;
            let said = format!("{} to {}", text_of(node)?, text_of(to)?);
            left.take(other);
            Some(said)
        }
        How::Dated(other, _) => {
            let said = format!("{} {}", text_of(node)?, text_of(left.at(other)?)?);
            left.take(other);
            Some(said)
        }
        How::Both(leads, keys) => {
            let [one, other] = keys.map(|key| left.at(key).and_then(text_of));
            if one.is_none() || one != other {
                return Some(None);
            }
            left.take(keys[1]);
            Some(format!("{} {}", leads.first()?, one?))
        }
        How::Address => {
            let NodeKind::List(items) = &node.kind else { return None };
            let lines: Vec<String> = items.iter().map(text_of).collect::<Option<_>>()?;
            let (last, rest) = lines.split_last()?;
            let is_plain = |text: &String| !text.contains([',', '"', '(', ')']) && !is_postcode(text);
            if rest.is_empty() || !is_postcode(last) || !rest.iter().all(is_plain) {
                return None;
            }
            Some(format!("at {}", lines.join(", ")))
        }
        How::Injected => {
            let said = match (&node.kind, left.at("at")) {
                (NodeKind::Scalar { text, .. }, Some(at)) => {
                    let said = format!("{text} at {}", text_of(at)?);
                    left.take("at");
                    said
                }
                // Without a time, `at` says when all of it was injected, which a line has no words for.
                (_, Some(_)) => return None,
                (_, None) => text_of(node)?,
            };
            Some(said)
        }
    };
    left.take(key);
    Some(said)
}

#[expect(clippy::option_option, reason = "that there is nothing to say is no failure")]
fn name(line: &Line, left: &mut Left<'_>) -> Option<Option<String>> {
    let text = |key: &str| left.at(key).and_then(text_of);
    let (title, given, family) = (text("title"), text("given"), text("family"));
    let is_word = |text: &Option<String>| {
        text.as_deref().is_some_and(|text| !text.contains(char::is_whitespace) && !text.contains(['"', ',']))
    };
    let is_known = title.as_deref().is_none_or(|title| is_title(title) && !title.contains(' '));
    let is_clear = given.as_deref().is_some_and(|given| !is_title(given) || title.is_some());
    let words: Vec<String> = if is_word(&given) && is_word(&family) && is_known && is_clear {
        vec![title.into_iter().chain(given).chain(family).collect::<Vec<_>>().join(" ")]
    } else {
        let each = [("title", title), ("given", given), ("family", family)];
        let mut words = Vec::new();
        for (key, text) in each {
            if let Some(text) = text {
                words.push(format!("{key} {}", guarded(line, &text)?));
            }
        }
        words
    };
    for key in ["title", "given", "family"] {
        left.take(key);
    }
    Some((!words.is_empty()).then(|| words.join(", ")))
}

/// A text in quotation marks where a comma would end it.
fn guarded(line: &Line, text: &str) -> Option<String> {
    if text.contains('"') || text.trim() != text || text.is_empty() {
        return None;
    }
    let splits = text.contains(['(', ')', ',']) || (text.contains(';') && !line.keeps_semicolons());
    Some(if splits { format!("\"{text}\"") } else { text.to_owned() })
}

fn list_of(line: &Line, node: &Node) -> Option<String> {
    match &node.kind {
        NodeKind::Scalar { text, .. } => guarded(line, text),
        NodeKind::List(items) => {
            let each: Vec<String> = items
                .iter()
                .map(|item| match &item.kind {
                    NodeKind::Scalar { text, .. } => Some(text.clone()),
                    _ => None,
                })
                .collect::<Option<_>>()?;
            let is_plain =
                |text: &String| !text.contains([',', ';', '"', '+', '(', ')']) && !text.contains(" and ");
            match each.as_slice() {
                [one] if !is_plain(one) => guarded(line, one),
                _ => each.iter().all(is_plain).then(|| each.join(" + ")),
            }
        }
        _ => None,
    }
}

/// Edges of a toe.
fn edges_of(node: &Node) -> Option<String> {
    let NodeKind::List(items) = &node.kind else { return None };
    let words: Vec<&str> = items
        .iter()
        .map(|item| match &item.kind {
            NodeKind::Scalar { text, .. } => Some(text.as_str()),
            _ => None,
        })
        .collect::<Option<_>>()?;
    match words.as_slice() {
        ["medial", "lateral"] => Some("both".to_owned()),
        ["lateral", "medial"] => Some("lateral + medial".to_owned()),
        [one] => Some((*one).to_owned()),
        _ => None,
    }
}

/// A value as it stands in a line: a text, or a block or list that has a short form of its own.
fn text_of(node: &Node) -> Option<String> {
    match &node.kind {
        NodeKind::Scalar { text, .. } => (!text.trim().is_empty()).then(|| text.clone()),
        NodeKind::Refused => None,
        NodeKind::List(items) => {
            let each: Vec<String> = items.iter().map(injection).collect::<Option<_>>()?;
            // One alone is written with its time, and read as volume and time.
            (each.len() > 1).then(|| each.join(" + "))
        }
        NodeKind::Block(entries) => {
            let value = |key: &str| {
                let found = entries.iter().find(|(known, ..)| known == key);
                found.and_then(|(.., node)| match &node.kind {
                    NodeKind::Scalar { text, .. } => Some(text.clone()),
                    _ => None,
                })
            };
            let keys: Vec<&str> = entries.iter().map(|(key, ..)| key.as_str()).collect();
            match keys.as_slice() {
                ["on", "off"] => Some(format!("{} to {}", value("on")?, value("off")?)),
                ["applications", "each"] => Some(format!("{} x {}", value("applications")?, value("each")?)),
                ["applications", "each", "on"] => {
                    Some(format!("{} x {} on {}", value("applications")?, value("each")?, value("on")?))
                }
                ["type"] => Some(format!("type {}", value("type")?)),
                _ => None,
            }
        }
    }
}

fn injection(node: &Node) -> Option<String> {
    let NodeKind::Block(entries) = &node.kind else { return None };
    let texts: Vec<(&str, &str)> = entries
        .iter()
        .map(|(key, _, node)| match &node.kind {
            NodeKind::Scalar { text, .. } => Some((key.as_str(), text.as_str())),
            _ => None,
        })
        .collect::<Option<_>>()?;
    match texts.as_slice() {
        [("volume", volume)] => Some((*volume).to_owned()),
        [("volume", volume), ("at", at)] => Some(format!("{volume} at {at}")),
        _ => None,
    }
}

/// Whether two values say the same, wherever they stand and in whatever order their keys are.
pub(in crate::case::forms) fn is_same(one: &Node, other: &Node) -> bool {
    match (&one.kind, &other.kind) {
        (NodeKind::Scalar { text, .. }, NodeKind::Scalar { text: other, .. }) => text == other,
        (NodeKind::List(items), NodeKind::List(others)) => {
            items.len() == others.len() && items.iter().zip(others).all(|(one, other)| is_same(one, other))
        }
        (NodeKind::Block(entries), NodeKind::Block(others)) => {
            entries.len() == others.len()
                && entries.iter().all(|(key, _, value)| {
                    others.iter().any(|(name, _, other)| name == key && is_same(value, other))
                })
        }
        _ => false,
    }
}

/// The text as a value of a file, broken where it is long; `None` if it would need quotation marks of the file.
pub(in crate::case::forms) fn wrapped(text: &str, column: usize, indent: usize) -> Option<String> {
    if scalar(text, false, false) != text {
        return None;
    }
    let mut lines = String::new();
    let mut at = column;
    for word in text.split_inclusive([',', ';']) {
        let width = word.chars().count();
        if at + width > MOST && !lines.is_empty() && word.starts_with(' ') {
            lines.push('\n');
            lines.push_str(&" ".repeat(indent));
            let word = word.trim_start();
            lines.push_str(word);
            at = indent + word.chars().count();
        } else {
            lines.push_str(word);
            at += width;
        }
    }
    Some(lines)
}

/// A block on the lines below its key, with everything inside it between braces.
pub(in crate::case::forms) fn as_block(node: &Node, indent: usize) -> Option<String> {
    let NodeKind::Block(entries) = &node.kind else { return None };
    let mut lines = String::new();
    for (key, _, value) in entries {
        let inside = flow(value, false)?;
        lines.push_str(&format!("\n{}{key}: {inside}", " ".repeat(indent)));
    }
    Some(lines)
}

/// A value on one line, with brackets and braces.
pub(in crate::case::forms) fn in_flow(node: &Node) -> Option<String> {
    flow(node, true)
}

fn flow(node: &Node, is_in_brackets: bool) -> Option<String> {
    Some(match &node.kind {
        NodeKind::Refused => return None,
        NodeKind::Scalar { text, quoted } => {
            let bytes = text.as_bytes();
            let is_time =
                matches!(bytes, [a, b, b':', c, d] if [a, b, c, d].iter().all(|byte| byte.is_ascii_digit()));
            scalar(text, *quoted || is_time, is_in_brackets)
        }
        NodeKind::List(items) => {
            let items: Vec<String> = items.iter().map(|item| flow(item, true)).collect::<Option<_>>()?;
            format!("[{}]", items.join(", "))
        }
        NodeKind::Block(entries) => {
            let entries: Vec<String> = entries
                .iter()
                .map(|(key, _, value)| Some(format!("{key}: {}", flow(value, true)?)))
                .collect::<Option<_>>()?;
            format!("{{{}}}", entries.join(", "))
        }
    })
}
