//! From a block in full to its line, or to the same block in the layout of a file.

use super::read::{is_postcode, is_street, is_taken, named};
use super::{How, Line, RIGHT_LEFT, is_number};
use crate::anatomy::Toe;
use crate::case::forms::written::scalar;
use crate::case::tree::{Node, NodeKind};
use crate::diagnostic::Span;
use crate::words::is_title;

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
    let mut phrases: Vec<String> = Vec::new();
    let mut before = "";
    for phrase in line.phrases {
        if let Some(said) = phrase_of(line, &phrase.how, phrase.key, &mut left)? {
            match phrases.last_mut() {
                // `lateral PNA`
                Some(edges)
                    if before == "edges" && phrase.key == "nail" && matches!(&*said, "PNA" | "TNA") =>
                {
                    *edges = format!("{edges} {said}");
                }
                _ => phrases.push(said),
            }
            before = phrase.key;
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
    sections.extend(pairs_of(line, &mut left));
    // What is the same on both sides is taken first and written last.
    let mut of_both = None;
    for section in line.sections {
        if let [one, other] = section.keys {
            let same = left.take_same(one, other);
            if !same.is_empty() {
                of_both = Some(format!("{} {}", section.leads.first()?, inside(one, &block_of(same))?));
            }
        }
    }
    for section in line.sections {
        let [key] = section.keys else { continue };
        let below = left.take_below(key);
        if !below.is_empty() {
            sections.push(format!("{} {}", section.leads.first()?, inside(key, &block_of(below))?));
        }
        if let Some(node) = left.take(key) {
            sections.push(format!("{} {}", section.leads.first()?, inside(key, node)?));
        }
    }
    sections.extend(of_both);
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

/// Values that both sides have, in one part.
fn pairs_of(line: &Line, left: &mut Left<'_>) -> Option<String> {
    let value = |left: &Left<'_>, key: &str| {
        let text = scalar_of(left.at(key)?)?;
        (!text.contains(['/', ',', ';', '"']) && !text.trim().is_empty()).then(|| text.to_owned())
    };
    let mut said = Vec::new();
    for pair in line.pairs {
        let [right, other] = pair.keys;
        if let (Some(one), Some(two)) = (value(left, right), value(left, other)) {
            left.take(right);
            left.take(other);
            said.push(format!("{} {one}/{two}", pair.leads.first()?));
        }
    }
    (!said.is_empty()).then(|| format!("{} {}", RIGHT_LEFT[0], said.join(", ")))
}

/// A block of some values.
fn block_of(entries: Vec<(String, &Node)>) -> Node {
    let entries = entries.into_iter().map(|(key, node)| (key, Span::default(), node.clone())).collect();
    Node::plain(Span::default(), NodeKind::Block(entries))
}

/// What has not been said yet.
struct Left<'n>(Vec<(String, &'n Node)>);

impl<'n> Left<'n> {
    fn of(line: &Line, entries: &'n [(String, crate::diagnostic::Span, Node)]) -> Left<'n> {
        let is_parted = |key: &str| {
            let of_pairs = line.pairs.iter().flat_map(|pair| pair.keys);
            let mut all = line.phrases.iter().map(|phrase| phrase.key).chain(of_pairs);
            all.any(|known| known.split_once('.').is_some_and(|(first, _)| first == key))
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

    /// All values of a block that was taken apart, by their keys in it.
    fn take_below(&mut self, key: &str) -> Vec<(String, &'n Node)> {
        let inner = |known: &str| Some(known.strip_prefix(key)?.strip_prefix('.')?.to_owned());
        let below = self.0.iter().filter_map(|(known, node)| Some((inner(known)?, *node))).collect();
        self.0.retain(|(known, _)| inner(known).is_none());
        below
    }

    /// The values of two blocks that were taken apart that are the same in both.
    fn take_same(&mut self, one: &str, other: &str) -> Vec<(String, &'n Node)> {
        let mut same = Vec::new();
        for (key, node) in self.take_below(one) {
            match self.at(&format!("{other}.{key}")) {
                Some(as_well) if is_same(node, as_well) => {
                    self.take(&format!("{other}.{key}"));
                    same.push((key, node));
                }
                _ => self.0.push((format!("{one}.{key}"), node)),
            }
        }
        same
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
        How::Led(leads) => Some(behind(leads.first(), guarded(line, &text_of(node)?)?)),
        How::LedLike(leads, is_like) => {
            let text = text_of(node)?;
            // Another phrase may have words for it.
            if !is_like(&text) {
                return Some(None);
            }
            Some(behind(leads.first(), guarded(line, &text)?))
        }
        How::Begins(leads) => {
            let text = text_of(node)?;
            let begins = |lead: &&str| text.strip_prefix(*lead).is_some_and(|rest| rest.starts_with(' '));
            if !leads.iter().any(begins) || guarded(line, &text).as_ref() != Some(&text) {
                return Some(None);
            }
            Some(text)
        }
        How::SaidOn(other, words) => {
            let (text, on) = (text_of(node), left.at(other).and_then(text_of));
            let word = words.iter().find(|(_, value)| Some(*value) == text.as_deref());
            let (Some((word, _)), Some(on)) = (word, on) else { return Some(None) };
            left.take(other);
            Some(format!("{word} {on}"))
        }
        How::List(leads) => Some(behind(leads.first(), list_of(line, node)?)),
        How::Like(is_like, leads) => {
            let text = edges_of(node).or_else(|| text_of(node))?;
            let lead = leads.first().filter(|_| !is_like(&text));
            Some(behind(lead, text))
        }
        How::FromTo(other) => {
            let to = left.at(other)?;
            let said = format!("{}-{}", text_of(node)?, text_of(to)?);
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
            let said = lines.join(", ");
            let is_plain = |text: &String| !is_number(text) && !is_taken(line, &[], text);
            let is_clear =
                is_street(&rest[0]) && !is_taken(line, &[], &rest[0]) && rest[1..].iter().all(is_plain);
            Some(if is_clear { said } else { format!("at {said}") })
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

/// The text of a single value.
fn scalar_of(node: &Node) -> Option<&str> {
    match &node.kind {
        NodeKind::Scalar { text, .. } => Some(text),
        _ => None,
    }
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
            let each: Vec<String> =
                items.iter().map(|item| scalar_of(item).map(str::to_owned)).collect::<Option<_>>()?;
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
    let words: Vec<&str> = items.iter().map(scalar_of).collect::<Option<_>>()?;
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
                entries.iter().find(|(known, ..)| known == key).and_then(|(.., node)| scalar_of(node))
            };
            let keys: Vec<&str> = entries.iter().map(|(key, ..)| key.as_str()).collect();
            match keys.as_slice() {
                ["on", "off"] => Some(format!("{}-{}", value("on")?, value("off")?)),
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
    let texts: Vec<(&str, &str)> =
        entries.iter().map(|(key, _, node)| Some((key.as_str(), scalar_of(node)?))).collect::<Option<_>>()?;
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
    let mut quoted = false;
    let is_end = |c: char| {
        quoted ^= c == '"';
        !quoted && matches!(c, ',' | ';')
    };
    for word in text.split_inclusive(is_end) {
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
