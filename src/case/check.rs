//! The check of a scanned tree against the schema of the model, so that every fault is found in one run.
//!
//! It reads the JSON Schema that the model's types give, and turns the tree into plain values of the
//! kinds the model wants, so that a batch number like `4417` stays the text it was written as. It
//! knows no key of a case by name and judges nothing clinically.

use serde_json::Value as Json;

use super::accepts::{Accepts, Block, Form, Forms, format_of};
use super::forms;
use super::nothing;
use super::other_words;
use super::plain::{Key, Plain};
use super::problem::{self, Problem, Problems, ReadingRule};
use super::retired::{self, NewForm};
use super::syntax::MAX_KEY;
use super::tree::{Node, NodeKind};
use crate::case::{FORMATS, NOT_RECORDED_KEY};
use crate::diagnostic::{Path, Span};
use crate::words::{List, nearest};

/// Characters of a value that a message repeats.
const MAX_SHOWN: usize = 40;

/// Entries of a list: more than anybody reads on a page.
const MAX_ITEMS: usize = 200;

/// Checks a tree against a schema and gives its values. The result is only meaningful if nothing was
/// found.
pub(super) fn check<'t, 's: 't>(tree: &'t Node, forms: &'s Forms<'s>, problems: &mut Problems) -> Plain<'t> {
    let mut check = Check { forms, root: forms.root, problems, path: Vec::new() };
    check.value(tree, tree.span, forms.root)
}

/// One walk over one file.
pub(super) struct Check<'t, 's, 'p> {
    forms: &'s Forms<'s>,
    root: &'s Json,
    problems: &'p mut Problems,
    pub(super) path: Vec<Step<'t>>,
}

/// A step of the way to the value at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step<'t> {
    Key(&'t str),
    Index(usize),
}

impl<'t, 's: 't> Check<'t, 's, '_> {
    /// `place` is where a missing key is reported: at the key of the block, which the node's own span is
    /// for an indented block.
    fn value(&mut self, node: &'t Node, place: Span, schema: &'s Json) -> Plain<'t> {
        let Some(form) = self.forms.form(schema) else {
            // A schema that is no block of keys accepts nothing.
            return self.wrong_kind(node.span, &Accepts::default());
        };
        let accepts = &form.accepts;
        match &node.kind {
            NodeKind::Refused => Plain::Null,
            NodeKind::Scalar { text, quoted } => match self.short_form(node, text, form) {
                Some(value) => value,
                None => self.scalar(node, text, *quoted, form),
            },
            NodeKind::List(items) => match accepts.list {
                // `[none]` means what `none` means where that is a word for an empty list.
                Some(_) if form.takes_none && nothing::says_nothing(items) => Plain::List(Vec::new()),
                Some(list) => {
                    let is_of_names = form.takes_none || accepts.words.contains(&"none known");
                    if is_of_names {
                        self.words_for_nothing(items, accepts.words.first());
                    }
                    self.list(node.span, items, list, accepts)
                }
                None => self.wrong_kind(node.span, accepts),
            },
            NodeKind::Block(entries) => match accepts.gap.filter(|_| is_gap(entries)).or(accepts.block) {
                Some(schema) => self.block(place, entries, schema),
                None => self.wrong_kind(node.span, accepts),
            },
        }
    }

    /// What a single word stands for where it has one meaning: `none` for an empty list, and the name
    /// of a thing for a block that needs no more than that.
    fn short_form(&mut self, node: &Node, text: &'t str, form: &Form<'s>) -> Option<Plain<'t>> {
        if form.takes_none && nothing::is_word(text) {
            return Some(Plain::List(Vec::new()));
        }
        let key = form.short_for?;
        if text.trim().is_empty() {
            return None;
        }
        self.free_text(node, text);
        Some(Plain::Block(vec![(Key(key), Plain::Text(text))]))
    }

    fn list(&mut self, span: Span, items: &'t [Node], schema: &'s Json, accepts: &Accepts<'s>) -> Plain<'t> {
        let form = self.forms.form(schema);
        if form.is_some_and(|form| (items.len() as u64) < form.least_items) {
            let says = format!("{} has no entry", self.subject());
            let help = match accepts.words.first() {
                Some(word) => {
                    format!("write `{word}` if that is the answer; if nobody asked, remove the line")
                }
                None => "fill it in or remove the line".to_owned(),
            };
            self.report(&problem::EMPTY_VALUE, span, says, Some(&help));
        }
        let Some(schema) = form.and_then(|form| form.items) else { return Plain::Null };
        if items.len() > MAX_ITEMS {
            let says =
                format!("{} has {} entries, and {MAX_ITEMS} are the most", self.subject(), items.len());
            let help =
                "so many are no list of one patient: look for what was pasted in, or put several into one";
            self.report(&problem::LIST_TOO_LONG, items[MAX_ITEMS].span, says, Some(help));
            return Plain::Null;
        }
        self.halves(span, items);
        let mut values = Vec::with_capacity(items.len());
        for (at, item) in items.iter().enumerate() {
            self.path.push(Step::Index(at));
            values.push(self.value(item, item.span, schema));
            self.path.pop();
        }
        Plain::List(values)
    }

    /// A word for nothing among the names of a list would be printed as one of them.
    fn words_for_nothing(&mut self, items: &[Node], word: Option<&&str>) {
        let key = self.path.last().map_or_else(String::new, |segment| match segment {
            Step::Key(key) => shown(key),
            Step::Index(_) => String::new(),
        });
        for (at, item) in items.iter().enumerate() {
            let NodeKind::Scalar { text, .. } = &item.kind else { continue };
            if !nothing::is_word(text) {
                continue;
            }
            self.path.push(Step::Index(at));
            let word = word.map_or(nothing::WORD, |word| word);
            let help = match items.len() {
                1 => format!(
                    "write `{key}: {word}` if it was asked and there is none; if nobody asked, remove the line"
                ),
                _ => "take it out of the list".to_owned(),
            };
            let says = format!("`{}` would be printed as one of `{key}`", shown(text));
            self.report(&problem::NOTHING_AS_ITEM, item.span, says, Some(&help));
            self.path.pop();
        }
    }

    /// An item between brackets that opens a bracket and does not close it: a comma inside it made two
    /// of one.
    fn halves(&mut self, span: Span, items: &[Node]) {
        if !self.problems.source().text()[span.start..].starts_with('[') {
            return;
        }
        for (at, item) in items.iter().enumerate() {
            let NodeKind::Scalar { text, quoted: false } = &item.kind else { continue };
            let open = text.matches('(').count();
            if open <= text.matches(')').count() {
                continue;
            }
            self.path.push(Step::Index(at));
            let says = format!("`{}` opens a bracket that it does not close", shown(text));
            let help = match items.get(at + 1) {
                Some(_) => "a comma ends an item: put the whole item in quotation marks",
                None => "close the bracket, or take it out",
            };
            self.report(&problem::SPLIT_TEXT, item.span, says, Some(help));
            self.path.pop();
        }
    }

    fn block(&mut self, place: Span, entries: &'t [(String, Span, Node)], schema: &'s Json) -> Plain<'t> {
        let Some(Form { block: Block { known, others, least, required }, .. }) = self.forms.form(schema)
        else {
            return Plain::Null;
        };
        let mut values = Vec::with_capacity(entries.len());
        let mut misspelt: Vec<&str> = Vec::new();
        for (at, (key, key_place, node)) in entries.iter().enumerate() {
            let entry = known.as_ref().and_then(|known| known.get(key));
            if entry.is_none() && self.is_behind_a_comma(entries, at) {
                continue;
            }
            self.path.push(Step::Key(key));
            match entry.or(*others) {
                Some(schema) => {
                    if entry.is_none() {
                        self.lengths(*key_place, key);
                    }
                    let value = self.value(node, *key_place, schema);
                    values.push((Key(key), value));
                }
                None => match retired::new_form(&self.here(), node) {
                    Some(new) => self.retired_key(*key_place, key, &new),
                    None => misspelt.extend(self.unknown_key(*key_place, key, schema)),
                },
            }
            self.path.pop();
        }
        if (entries.len() as u64) < *least {
            let says = format!("{} has no entry", self.subject());
            self.report(&problem::EMPTY_VALUE, place, says, Some("fill it in or remove the line"));
        }
        for key in required.iter().copied() {
            // A misspelt key has been reported, with what was meant: one cause, one message.
            if !misspelt.contains(&key) && !entries.iter().any(|(given, ..)| given == key) {
                self.missing_key(place, key, schema);
            }
        }
        Plain::Block(values)
    }

    /// A key without a value between braces is what stood behind a comma in the text before it.
    fn is_behind_a_comma(&mut self, entries: &[(String, Span, Node)], at: usize) -> bool {
        let (key, place, node) = &entries[at];
        let has_value = !matches!(&node.kind, NodeKind::Scalar { text, quoted: false } if text.is_empty());
        let text = self.problems.source().text();
        if has_value || text[place.end..].trim_start().starts_with(':') {
            return false;
        }
        // The last entry before it that has a value holds the beginning of the text.
        let before = entries[..at].iter().rev().find(
            |(_, _, node)| !matches!(&node.kind, NodeKind::Scalar { text, quoted: false } if text.is_empty()),
        );
        let Some((whole, _, Node { kind: NodeKind::Scalar { .. }, span, .. })) = before else { return false };
        let (key, whole, span) = (key.clone(), whole.clone(), *span);
        if is_fraction(&key) {
            return false;
        }
        let path = self.here();
        self.problems.add(|| {
            Problem::new(
                &problem::SPLIT_TEXT,
                *place,
                format!(
                    "`{}` stands behind a comma, and a comma ends the text of `{}`",
                    shown(&key),
                    shown(&whole)
                ),
            )
            .path(path.key(whole.as_str()))
            .other(span, "the text ends here")
            .help(format!("put the whole text of `{}` in quotation marks", shown(&whole)))
        });
        true
    }

    fn retired_key(&mut self, place: Span, key: &str, new: &NewForm) {
        let says = format!("`{key}` gave way to `{}`", new.key);
        self.report(&problem::RETIRED_KEY, place, says, Some(&new.help));
    }

    /// Gives the key that was probably meant.
    fn unknown_key(&mut self, place: Span, key: &str, schema: &'s Json) -> Option<&'s str> {
        let known: Vec<&str> = schema
            .get("properties")
            .and_then(Json::as_object)
            .map_or_else(Vec::new, |known| known.keys().map(String::as_str).collect());
        let path = self.here();
        let around = match path.parent().filter(|parent| *parent != Path::root()) {
            Some(parent) => format!("`{parent}`"),
            None => "the top level".into(),
        };
        let near = same(key, &known).or_else(|| other_words::of(key, &known)).or_else(|| meant(key, &known));
        // A key that belongs into another block is found by its name there.
        let elsewhere = || other_words::elsewhere(key, self.root);
        self.problems.add(|| {
            let help = match near {
                _ if is_fraction(key) => {
                    "a comma parts two entries: write the decimal point as a point".into()
                }
                Some(near) => format!("did you mean `{near}`?"),
                None if known.contains(&"R1") && forms::lacks_a_side(key) => {
                    "write its side as well: left or right".into()
                }
                None => match elsewhere() {
                    Some(place) if !place.contains('.') => {
                        format!("put `{place}` at the top level, without indentation")
                    }
                    Some(place) => format!("did you mean `{place}`?"),
                    None => {
                        format!("{around} may hold {}", List::and(known.iter().map(|key| format!("`{key}`"))))
                    }
                },
            };
            Problem::new(
                &problem::UNKNOWN_KEY,
                place,
                format!("`{}` does not belong to {around}", shown(key)),
            )
            .path(path)
            .help(help)
        });
        near
    }

    fn missing_key(&mut self, place: Span, key: &str, schema: &Json) {
        let says = match self.path.is_empty() {
            true => format!("the file needs `{key}`"),
            false => format!("{} needs `{key}`", self.subject()),
        };
        let example = schema
            .get("properties")
            .and_then(|known| known.get(key))
            .and_then(|schema| Accepts::of(self.root, schema).text.and_then(format_of))
            .map(|format| format.example);
        let help = match example {
            Some(example) => format!("add a line `{key}: …`, written like `{example}`"),
            None => format!("add a line `{key}: …`"),
        };
        let path = self.here().key(key);
        self.problems.add(|| Problem::new(&problem::MISSING_KEY, place, says).path(path).help(help));
    }

    pub(super) fn wrong_kind(&mut self, span: Span, accepts: &Accepts<'_>) -> Plain<'t> {
        let says = format!("{} should be {}", self.subject(), List::or(accepts.phrases()));
        let first = accepts.block.and_then(|schema| schema.get("required")?.get(0)?.as_str());
        let help = match (self.path.last(), accepts.list, accepts.block) {
            (None, ..) => format!("begin the file with a line `{}: …`", first.unwrap_or("key")),
            (Some(Step::Key(key)), Some(_), _) => {
                format!("write square brackets, even around a single item: `{}: […]`", shown(key))
            }
            (_, _, Some(schema)) => self.how_to_write_a_block(schema),
            _ if accepts.gap.is_some() => {
                format!("write one value, or why there is none: `{{{NOT_RECORDED_KEY}: reason}}`")
            }
            _ => "write one value, without brackets, hyphens or lines below".to_owned(),
        };
        self.report(&problem::WRONG_TYPE, span, says, Some(&help));
        Plain::Null
    }

    /// `put its keys on the lines below, indented by two blanks: name: …, role: …`
    fn how_to_write_a_block(&self, schema: &Json) -> String {
        let below = "on the lines below, indented by two blanks";
        if let Some(entry) = schema.get("additionalProperties").filter(|others| others.is_object()) {
            let keys = self.keys_to_write(entry);
            return format!("put each entry {below}, under a short key of your own: `key: {{{keys}}}`");
        }
        format!("put its keys {below}: `{}`", self.keys_to_write(schema))
    }

    /// The keys that must be there, or all if none must: `name: …, role: …`.
    pub(super) fn keys_to_write(&self, schema: &Json) -> String {
        let block = Accepts::of(self.root, schema).block;
        let required: Vec<&str> = block
            .and_then(|block| block.get("required")?.as_array())
            .map_or_else(Vec::new, |keys| keys.iter().filter_map(Json::as_str).collect());
        let all = || {
            let known = block.and_then(|block| block.get("properties")?.as_object());
            known.map_or_else(Vec::new, |known| known.keys().map(String::as_str).collect::<Vec<_>>())
        };
        let keys = if required.is_empty() { all() } else { required };
        keys.iter().map(|key| format!("{key}: …")).collect::<Vec<_>>().join(", ")
    }

    pub(super) fn report(
        &mut self,
        rule: &'static ReadingRule,
        span: Span,
        says: String,
        help: Option<&str>,
    ) {
        let path = self.here();
        self.problems.add(|| {
            let problem = Problem::new(rule, span, says).path(path);
            match help {
                Some(help) => problem.help(help),
                None => problem,
            }
        });
    }

    /// What a message calls the value at hand.
    pub(super) fn subject(&self) -> String {
        let mut behind = self.path.iter().rev();
        match behind.next() {
            None => "the file".into(),
            Some(Step::Key(key)) => format!("`{}`", shown(key)),
            Some(Step::Index(at)) => {
                let list = behind.find_map(|segment| match segment {
                    Step::Key(key) => Some(shown(key)),
                    Step::Index(_) => None,
                });
                format!("item {} of `{}`", at + 1, list.unwrap_or_default())
            }
        }
    }

    fn here(&self) -> Path {
        self.path.iter().fold(Path::root(), |path, segment| match segment {
            Step::Key(key) => path.key(*key),
            Step::Index(index) => path.index(*index),
        })
    }
}

/// A block that says that a value was not recorded, perhaps misspelt.
pub(super) fn is_gap(entries: &[(String, Span, Node)]) -> bool {
    entries.iter().any(|(key, ..)| meant(key, &[NOT_RECORDED_KEY]).is_some())
}

/// The known word that was meant. Of words as short as `R1` only the case may differ: a guess between
/// toes would be a guess at the wrong toe.
pub(super) fn meant<'a>(typed: &str, known: &[&'a str]) -> Option<&'a str> {
    if let Some(same) = same(typed, known) {
        return Some(same);
    }
    match typed.chars().count() {
        0..=2 => None,
        3..=MAX_KEY => nearest(typed, known.iter().copied().filter(|word| word.chars().count() > 2)),
        _ => None,
    }
}

/// What stands behind a decimal comma: digits, and perhaps a unit.
fn is_fraction(key: &str) -> bool {
    let unit = key.trim_start_matches(|c: char| c.is_ascii_digit()).trim();
    unit.len() < key.len() && FORMATS.iter().any(|format| unit.is_empty() || format.example.ends_with(unit))
}

/// The same word but for capitals, hyphens and blanks.
fn same<'a>(typed: &str, known: &[&'a str]) -> Option<&'a str> {
    let spaced = |word: &str| word.to_lowercase().replace(['-', '_'], " ");
    known.iter().find(|word| spaced(word) == spaced(typed)).copied()
}

/// A value as a message repeats it: on one line, and not too much of it.
pub(super) fn shown(text: &str) -> String {
    let line: String =
        text.chars().take(MAX_SHOWN).map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
    if text.chars().count() > MAX_SHOWN { format!("{line}…") } else { line }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_toe_is_never_guessed() {
        let toes = ["R1", "R2", "L1", "L2"];
        assert_eq!(meant("R6", &toes), None);
        assert_eq!(meant("LL1", &toes), None);
        assert_eq!(meant("r1", &toes), Some("R1"));
    }

    #[test]
    fn words_are_guessed_across_spelling() {
        assert_eq!(meant("medail", &["medial", "lateral"]), Some("medial"));
        assert_eq!(meant("large-print", &["large print", "easy read"]), Some("large print"));
        assert_eq!(meant("banana", &["medial", "lateral"]), None);
    }

    #[test]
    fn long_values_are_shortened_in_messages() {
        assert_eq!(shown(&"a".repeat(40)), "a".repeat(40));
        assert_eq!(shown(&"a".repeat(41)), format!("{}…", "a".repeat(40)));
        assert_eq!(shown("two\nlines"), "two lines");
    }
}
