//! The check of a scanned tree against the schema of the model, so that every fault is found in one run.
//!
//! It reads the JSON Schema that the model's types give, and turns the tree into plain values of the
//! kinds the model wants, so that a batch number like `4417` stays the text it was written as. It
//! knows no key of a case by name and judges nothing clinically.

use serde_json::Value as Json;
use serde_yaml::{Mapping, Value};

use super::accepts::{Accepts, format_of};
use super::problem::{self, Problem, Problems, ReadingRule};
use super::syntax::MAX_KEY;
use super::tree::{Node, NodeKind};
use crate::case::NOT_RECORDED_KEY;
use crate::diagnostic::english::{List, nearest};
use crate::diagnostic::{Path, Segment, Span};

/// Characters of a value that a message repeats.
const MAX_SHOWN: usize = 40;

/// Checks a tree against a schema and gives its values. The result is only meaningful if nothing was
/// found.
pub(super) fn check(tree: &Node, schema: &Json, problems: &mut Problems) -> Value {
    let mut check = Check { root: schema, problems, path: Vec::new() };
    check.value(tree, tree.span, schema)
}

/// One walk over one file.
pub(super) struct Check<'s, 'p> {
    root: &'s Json,
    problems: &'p mut Problems,
    pub(super) path: Vec<Segment>,
}

impl<'s> Check<'s, '_> {
    /// `place` is where a missing key is reported: at the key of the block, which the node's own span is
    /// for an indented block.
    fn value(&mut self, node: &Node, place: Span, schema: &'s Json) -> Value {
        let accepts = Accepts::of(self.root, schema);
        match &node.kind {
            NodeKind::Refused => Value::Null,
            NodeKind::Scalar { text, quoted } => self.scalar(node.span, text, *quoted, &accepts),
            NodeKind::List(items) => match accepts.list {
                Some(schema) => self.list(node.span, items, schema),
                None => self.wrong_kind(node.span, &accepts),
            },
            NodeKind::Block(entries) => match accepts.gap.filter(|_| is_gap(entries)).or(accepts.block) {
                Some(schema) => self.block(place, entries, schema),
                None => self.wrong_kind(node.span, &accepts),
            },
        }
    }

    fn list(&mut self, span: Span, items: &[Node], schema: &'s Json) -> Value {
        let least = schema.get("minItems").and_then(Json::as_u64).unwrap_or(0);
        if (items.len() as u64) < least {
            let says = format!("{} has no entry", self.subject());
            self.report(&problem::EMPTY_VALUE, span, says, Some("fill it in or remove the line"));
        }
        let Some(schema) = schema.get("items") else { return Value::Null };
        let mut values = Vec::with_capacity(items.len());
        for (at, item) in items.iter().enumerate() {
            self.path.push(Segment::Index(at));
            values.push(self.value(item, item.span, schema));
            self.path.pop();
        }
        Value::Sequence(values)
    }

    fn block(&mut self, place: Span, entries: &[(String, Span, Node)], schema: &'s Json) -> Value {
        let known = schema.get("properties").and_then(Json::as_object);
        let others = schema.get("additionalProperties").filter(|others| others.is_object());
        let mut values = Mapping::with_capacity(entries.len());
        let mut misspelt: Vec<&str> = Vec::new();
        for (key, key_place, node) in entries {
            let entry = known.and_then(|known| known.get(key));
            self.path.push(Segment::Key(key.clone()));
            match entry.or(others) {
                Some(schema) => {
                    if entry.is_none() {
                        self.lengths(*key_place, key);
                    }
                    let value = self.value(node, *key_place, schema);
                    values.insert(Value::String(key.clone()), value);
                }
                None => misspelt.extend(self.unknown_key(*key_place, key, schema)),
            }
            self.path.pop();
        }
        let least = schema.get("minProperties").and_then(Json::as_u64).unwrap_or(0);
        if (entries.len() as u64) < least {
            let says = format!("{} has no entry", self.subject());
            self.report(&problem::EMPTY_VALUE, place, says, Some("fill it in or remove the line"));
        }
        for key in schema.get("required").and_then(Json::as_array).into_iter().flatten() {
            let Some(key) = key.as_str() else { continue };
            // A misspelt key has been reported, with what was meant: one cause, one message.
            if !misspelt.contains(&key) && !entries.iter().any(|(given, ..)| given == key) {
                self.missing_key(place, key, schema);
            }
        }
        Value::Mapping(values)
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
        let near = meant(key, &known);
        self.problems.add(|| {
            let help = match near {
                _ if key.bytes().all(|byte| byte.is_ascii_digit()) => {
                    "a comma parts two entries: write the decimal point as a point".into()
                }
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    format!("{around} may hold {}", List::and(known.iter().map(|key| format!("`{key}`"))))
                }
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

    pub(super) fn wrong_kind(&mut self, span: Span, accepts: &Accepts<'_>) -> Value {
        let says = format!("{} should be {}", self.subject(), List::or(accepts.phrases()));
        let first = accepts.block.and_then(|schema| schema.get("required")?.get(0)?.as_str());
        let help = match (self.path.last(), accepts.list, accepts.block) {
            (None, ..) => format!("begin the file with a line `{}: …`", first.unwrap_or("key")),
            (Some(Segment::Key(key)), Some(_), _) => {
                format!("write square brackets, even around a single item: `{}: […]`", shown(key))
            }
            (_, _, Some(_)) => {
                let first = first.map_or_else(String::new, |key| format!(", the first one `{key}: …`"));
                format!("put its keys on the lines below, indented by two blanks{first}")
            }
            _ if accepts.gap.is_some() => {
                format!("write one value, or why there is none: `{{{NOT_RECORDED_KEY}: reason}}`")
            }
            _ => "write one value, without brackets, hyphens or lines below".to_owned(),
        };
        self.report(&problem::WRONG_TYPE, span, says, Some(&help));
        Value::Null
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
            Some(Segment::Key(key)) => format!("`{}`", shown(key)),
            Some(Segment::Index(at)) => {
                let list = behind.find_map(|segment| match segment {
                    Segment::Key(key) => Some(shown(key)),
                    Segment::Index(_) => None,
                });
                format!("item {} of `{}`", at + 1, list.unwrap_or_default())
            }
        }
    }

    fn here(&self) -> Path {
        self.path.iter().fold(Path::root(), |path, segment| match segment {
            Segment::Key(key) => path.key(key),
            Segment::Index(index) => path.index(*index),
        })
    }
}

/// A block that says that a value was not recorded, perhaps misspelt.
fn is_gap(entries: &[(String, Span, Node)]) -> bool {
    entries.iter().any(|(key, ..)| meant(key, &[NOT_RECORDED_KEY]).is_some())
}

/// The known word that was meant. Of words as short as `R1` only the case may differ: a guess between
/// toes would be a guess at the wrong toe.
pub(super) fn meant<'a>(typed: &str, known: &[&'a str]) -> Option<&'a str> {
    let spaced = |word: &str| word.to_lowercase().replace(['-', '_'], " ");
    if let Some(same) = known.iter().find(|word| spaced(word) == spaced(typed)) {
        return Some(same);
    }
    match typed.chars().count() {
        0..=2 => None,
        3..=MAX_KEY => nearest(typed, known.iter().copied().filter(|word| word.chars().count() > 2)),
        _ => None,
    }
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
