//! One change of a case file: a value set, added or taken out, and every other byte left as it was.
//!
//! Pure: a text and a change come in, the changed text or the reason why not goes out. Text is replaced
//! in one or few places, by the parser's own positions, so what lies outside cannot change. Then the new
//! text is read again: exactly the asked-for value must differ and no comment may be lost, else the
//! change is refused. What a value means, and whether it may stand there, is not known here.

mod layout;
mod splice;
mod write;

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::case::{Node, NodeKind, scan};
use crate::diagnostic::{Path, Segment, SourceText};

/// What to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// A text, in quotation marks where it needs them.
    Text(String),
    /// `true`, `false` or a number: never in quotation marks.
    Bare(String),
    /// A list.
    List(Vec<Value>),
    /// A block of keys.
    Block(Vec<(String, Value)>),
}

impl Value {
    /// A text.
    pub fn text(text: impl Into<String>) -> Value {
        Value::Text(text.into())
    }
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// The value becomes this one. Blocks on the way to it that are not there yet are made; a place in a
    /// list may be the one behind its last.
    Set(Value),
    /// The value is taken out with its key, and so is a block that it was alone in.
    Remove,
}

/// The keys that a block at a path may hold, in their order.
pub type Order<'a> = &'a dyn Fn(&Path) -> Vec<String>;

/// Why a change was not made. The text is then as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// The file cannot be followed.
    #[error("the file cannot be read as it is: mend it in a text editor first")]
    Unreadable,
    /// There is no such place, or something else stands on the way to it.
    #[error("`{0}` cannot be reached in this file: something else stands there")]
    NoSuchPlace(String),
    /// Something else would have changed as well, or the value would not be read as it was meant.
    #[error(
        "`{0}` stands in the file in a way that cannot be changed here without touching something else: change it in a text editor"
    )]
    NotExact(String),
    /// A comment would have been lost.
    #[error("a comment stands inside `{0}` and would be lost: change it in a text editor")]
    CommentLost(String),
}

/// The text with one change made.
///
/// # Errors
/// A change that cannot be made without touching anything else.
pub fn apply(text: &str, path: &Path, change: &Change, order: Order<'_>) -> Result<String, Refused> {
    let before = tree_of(text).ok_or(Refused::Unreadable)?;
    let mut wanted = before.clone();
    let is_there = match change {
        Change::Set(value) => wanted.set(path.segments(), value),
        Change::Remove => wanted.remove(path.segments()),
    };
    if !is_there || path.segments().is_empty() {
        return Err(Refused::NoSuchPlace(path.to_string()));
    }
    let layout = layout::of(text).ok_or(Refused::Unreadable)?;
    let edited = splice::splice(text, &layout, path, change, order).ok_or_else(|| match change {
        // The first key behind a hyphen, with a comment between it and the one that would take its place.
        Change::Remove if !layout::comments(text).is_empty() => Refused::CommentLost(path.to_string()),
        _ => Refused::NoSuchPlace(path.to_string()),
    })?;
    let after = tree_of(&edited);
    if !after.is_some_and(|after| after.is_same(&wanted)) {
        return Err(Refused::NotExact(path.to_string()));
    }
    let layout = layout::of(&edited).ok_or_else(|| Refused::NotExact(path.to_string()))?;
    if layout::comments(text) != layout::comments_in(&edited, &layout) {
        return Err(Refused::CommentLost(path.to_string()));
    }
    Ok(edited)
}

/// The text without the keys that have no value: questions that nobody answered yet. They say nothing, so
/// nothing is lost. What cannot be taken out without touching anything else stays.
pub fn without_empty(text: &str) -> String {
    let Some(tree) = tree_of(text) else { return text.to_owned() };
    let mut empty = Vec::new();
    tree.empty_parts(&Path::root(), &mut empty);
    if empty.is_empty() {
        return text.to_owned();
    }
    // All at once where they stand on lines of their own, which is checked like any other change.
    let mut wanted = tree;
    let is_there = empty.iter().rev().all(|path| wanted.remove(path.segments()));
    if let (true, Some(layout)) = (is_there, layout::of(text))
        && let Some(less) = splice::without(text, &layout, &empty)
        && tree_of(&less).is_some_and(|less| less.is_same(&wanted))
        && layout::comments(text) == layout::comments(&less)
    {
        return less;
    }
    let mut text = text.to_owned();
    for path in empty.iter().rev() {
        if let Ok(less) = apply(&text, path, &Change::Remove, &|_| Vec::new()) {
            text = less;
        }
    }
    text
}

/// The value at a path as it stands, for showing: texts, lists and blocks without their layout.
pub fn value_at(text: &str, path: &Path) -> Option<Value> {
    let tree = tree_of(text)?;
    tree.at(path.segments())?.value()
}

/// Every value of a file by its path, texts only, for a form to show.
pub fn values(text: &str) -> BTreeMap<Path, Value> {
    let mut values = BTreeMap::new();
    if let Some(tree) = tree_of(text) {
        tree.collect(&Path::root(), &mut values);
    }
    values
}

/// What a file says, without how it is laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Tree {
    Scalar { text: String, quoted: bool },
    List(Vec<Tree>),
    Block(Vec<(String, Tree)>),
}

fn tree_of(text: &str) -> Option<Tree> {
    let (tree, _) = scan(&Arc::new(SourceText::new("", text)));
    Tree::of(&tree?)
}

impl Tree {
    /// `None` if the scan refused a part: then nobody knows what stands there.
    fn of(node: &Node) -> Option<Tree> {
        Some(match &node.kind {
            NodeKind::Refused => return None,
            NodeKind::Scalar { text, quoted } => Tree::Scalar { text: text.clone(), quoted: *quoted },
            NodeKind::List(items) => Tree::List(items.iter().map(Tree::of).collect::<Option<_>>()?),
            NodeKind::Block(entries) => Tree::Block(
                entries
                    .iter()
                    .map(|(key, _, value)| Some((key.clone(), Tree::of(value)?)))
                    .collect::<Option<_>>()?,
            ),
        })
    }

    fn of_value(value: &Value) -> Tree {
        match value {
            Value::Text(text) => Tree::Scalar { text: text.clone(), quoted: true },
            Value::Bare(text) => Tree::Scalar { text: text.clone(), quoted: false },
            Value::List(items) => Tree::List(items.iter().map(Tree::of_value).collect()),
            Value::Block(entries) => {
                Tree::Block(entries.iter().map(|(key, value)| (key.clone(), Tree::of_value(value))).collect())
            }
        }
    }

    fn is_empty_scalar(&self) -> bool {
        matches!(self, Tree::Scalar { text, quoted: false } if text.is_empty() || text == "~")
    }

    fn at(&self, path: &[Segment]) -> Option<&Tree> {
        let Some((first, rest)) = path.split_first() else { return Some(self) };
        match (self, first) {
            (Tree::Block(entries), Segment::Key(key)) => {
                entries.iter().find(|(name, _)| name == key)?.1.at(rest)
            }
            (Tree::List(items), Segment::Index(at)) => items.get(*at)?.at(rest),
            _ => None,
        }
    }

    fn set(&mut self, path: &[Segment], value: &Value) -> bool {
        let Some((first, rest)) = path.split_first() else {
            *self = Tree::of_value(value);
            return true;
        };
        if self.is_empty_scalar() {
            *self = match first {
                Segment::Key(_) => Tree::Block(Vec::new()),
                Segment::Index(_) => Tree::List(Vec::new()),
            };
        }
        let nothing = || Tree::Scalar { text: String::new(), quoted: false };
        match (self, first) {
            (Tree::Block(entries), Segment::Key(key)) => {
                if !entries.iter().any(|(name, _)| name == key) {
                    entries.push((key.clone(), nothing()));
                }
                entries.iter_mut().find(|(name, _)| name == key).is_some_and(|(_, one)| one.set(rest, value))
            }
            (Tree::List(items), Segment::Index(at)) if *at <= items.len() => {
                if *at == items.len() {
                    items.push(nothing());
                }
                items[*at].set(rest, value)
            }
            _ => false,
        }
    }

    fn remove(&mut self, path: &[Segment]) -> bool {
        let Some((first, rest)) = path.split_first() else { return false };
        match (self, first) {
            (Tree::Block(entries), Segment::Key(key)) => {
                let Some(at) = entries.iter().position(|(name, _)| name == key) else { return false };
                if rest.is_empty() || (entries[at].1.len() == 1 && entries[at].1.is_emptied_by(rest)) {
                    let is_there = rest.is_empty() || entries[at].1.at(rest).is_some();
                    entries.remove(at);
                    return is_there;
                }
                entries[at].1.remove(rest)
            }
            (Tree::List(items), Segment::Index(at)) if *at < items.len() => {
                if rest.is_empty() || (items[*at].len() == 1 && items[*at].is_emptied_by(rest)) {
                    let is_there = rest.is_empty() || items[*at].at(rest).is_some();
                    items.remove(*at);
                    return is_there;
                }
                items[*at].remove(rest)
            }
            _ => false,
        }
    }

    fn len(&self) -> usize {
        match self {
            Tree::Scalar { .. } => 0,
            Tree::List(items) => items.len(),
            Tree::Block(entries) => entries.len(),
        }
    }

    /// Taking out what is at this path leaves nothing here.
    fn is_emptied_by(&self, path: &[Segment]) -> bool {
        let Some((first, rest)) = path.split_first() else { return true };
        if self.len() != 1 {
            return false;
        }
        match self.at(std::slice::from_ref(first)) {
            Some(inside) => inside.is_emptied_by(rest),
            None => false,
        }
    }

    /// The same, in whatever order the keys of a block stand; a text that was asked for may stand without
    /// quotation marks where these say nothing.
    fn is_same(&self, wanted: &Tree) -> bool {
        match (self, wanted) {
            (Tree::Scalar { text, quoted }, Tree::Scalar { text: other, quoted: wanted }) => {
                text == other && (quoted == wanted || (*wanted && write::is_plain_text(text)))
            }
            (Tree::List(items), Tree::List(others)) => {
                items.len() == others.len() && items.iter().zip(others).all(|(one, other)| one.is_same(other))
            }
            (Tree::Block(entries), Tree::Block(others)) => {
                entries.len() == others.len()
                    && entries.iter().all(|(key, value)| {
                        others
                            .iter()
                            .find(|(name, _)| name == key)
                            .is_some_and(|(_, other)| value.is_same(other))
                    })
            }
            _ => false,
        }
    }

    /// Nothing stands here, nor anywhere below.
    fn is_all_empty(&self) -> bool {
        match self {
            Tree::Scalar { .. } => self.is_empty_scalar(),
            Tree::List(items) => !items.is_empty() && items.iter().all(Tree::is_all_empty),
            Tree::Block(entries) => {
                !entries.is_empty() && entries.iter().all(|(_, value)| value.is_all_empty())
            }
        }
    }

    /// The largest parts in which nothing stands, in the order of the file.
    fn empty_parts(&self, path: &Path, parts: &mut Vec<Path>) {
        if self.is_all_empty() && path.parent().is_some() {
            parts.push(path.clone());
            return;
        }
        match self {
            Tree::Scalar { .. } => {}
            Tree::List(items) => {
                for (at, item) in items.iter().enumerate() {
                    item.empty_parts(&path.index(at), parts);
                }
            }
            Tree::Block(entries) => {
                for (key, value) in entries {
                    value.empty_parts(&path.key(key), parts);
                }
            }
        }
    }

    fn value(&self) -> Option<Value> {
        Some(match self {
            Tree::Scalar { text, quoted } if *quoted || !self.is_empty_scalar() => match quoted {
                true => Value::Text(text.clone()),
                false => Value::Bare(text.clone()),
            },
            Tree::Scalar { .. } => return None,
            Tree::List(items) => Value::List(items.iter().filter_map(Tree::value).collect()),
            Tree::Block(entries) => Value::Block(
                entries.iter().filter_map(|(key, value)| Some((key.clone(), value.value()?))).collect(),
            ),
        })
    }

    fn collect(&self, path: &Path, values: &mut BTreeMap<Path, Value>) {
        if let Some(value) = self.value() {
            values.insert(path.clone(), value);
        }
        match self {
            Tree::Scalar { .. } => {}
            Tree::List(items) => {
                for (at, item) in items.iter().enumerate() {
                    item.collect(&path.index(at), values);
                }
            }
            Tree::Block(entries) => {
                for (key, value) in entries {
                    value.collect(&path.key(key), values);
                }
            }
        }
    }
}

#[cfg(test)]
#[path = "edit_tests.rs"]
mod tests;
