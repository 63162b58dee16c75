//! Which bytes a change replaces, and by what.

use super::layout::{Entry, Item, Kind, comments_between, hyphen};
use super::write::{self, Place};
use super::{Change, Order, Value};
use crate::diagnostic::{Path, Segment};

/// The text with the change made; `None` if there is no place for it.
pub(super) fn splice(
    text: &str,
    layout: &Item,
    path: &Path,
    change: &Change,
    order: Order<'_>,
) -> Option<String> {
    let at = Splice { text, layout, order, newline: if text.contains("\r\n") { "\r\n" } else { "\n" } };
    let (from, to, with) = match change {
        Change::Set(value) => at.set(layout, &Path::root(), path.segments(), value, None)?,
        Change::Remove => at.remove(path.segments())?,
    };
    Some([&text[..from], with.as_str(), &text[to..]].concat())
}

/// The text without several parts, in the order of the file; `None` if two of them touch.
pub(super) fn without(text: &str, layout: &Item, parts: &[Path]) -> Option<String> {
    let order: Order<'_> = &|_| Vec::new();
    let at = Splice { text, layout, order, newline: if text.contains("\r\n") { "\r\n" } else { "\n" } };
    let mut out = text.to_owned();
    let mut reached = text.len() + 1;
    for path in parts.iter().rev() {
        let (from, to, with) = at.remove(path.segments())?;
        if to > reached {
            return None;
        }
        reached = from;
        out.replace_range(from..to, &with);
    }
    Some(out)
}

/// From, to, and what stands there afterwards.
type Replaced = (usize, usize, String);

struct Splice<'a> {
    text: &'a str,
    layout: &'a Item,
    order: Order<'a>,
    newline: &'a str,
}

/// What a value stands behind.
#[derive(Clone, Copy)]
struct Holder<'a> {
    /// Its key, if it has one.
    entry: Option<&'a Entry>,
    /// Between brackets or braces.
    flow: bool,
    /// Column of the key or of the hyphen.
    column: usize,
}

impl Splice<'_> {
    fn set(
        &self,
        item: &Item,
        here: &Path,
        rest: &[Segment],
        value: &Value,
        holder: Option<Holder<'_>>,
    ) -> Option<Replaced> {
        let Some((first, further)) = rest.split_first() else {
            return self.replace(item, here, value, holder?);
        };
        match (&item.kind, first) {
            (Kind::Block { flow, entries }, Segment::Key(key)) => {
                match entries.iter().find(|entry| entry.key == *key) {
                    Some(entry) => {
                        let column = self.column(entry.start);
                        let holder = Holder { entry: Some(entry), flow: *flow, column };
                        self.set(&entry.value, &here.key(key), further, value, Some(holder))
                    }
                    None => self.insert_key(item, *flow, entries, here, key, &wrapped(further, value)?),
                }
            }
            (Kind::List { flow, items }, Segment::Index(index)) => match items.get(*index) {
                Some(inside) => {
                    let column = if *flow { 0 } else { self.column(self.hyphen_of(item, items, *index)?) };
                    let holder = Holder { entry: None, flow: *flow, column };
                    self.set(inside, &here.index(*index), further, value, Some(holder))
                }
                None => self.push(item, *flow, items, here, &wrapped(further, value)?),
            },
            (Kind::Absent, _) => self.replace(item, here, &wrapped(rest, value)?, holder?),
            _ => None,
        }
    }

    fn replace(&self, item: &Item, here: &Path, value: &Value, holder: Holder<'_>) -> Option<Replaced> {
        let level = here.segments().iter().filter(|one| matches!(one, Segment::Key(_))).count().max(1) - 1;
        let mut place = Place {
            flow: holder.flow,
            indent: holder.column + 2,
            level: level + 1,
            quoted: false,
            newline: self.newline,
        };
        let has_blank_before = |at: usize| self.text[..at].ends_with([' ', '\t']);
        match &item.kind {
            Kind::Absent => {
                let needs_colon = holder.entry.is_some_and(|entry| !entry.has_colon);
                let colon = if needs_colon { ":" } else { "" };
                place.quoted = !holder.flow && self.has_comment_behind(item.end);
                let with = write::behind(value, place);
                // What takes lines of its own goes below a comment on this one.
                let at = if with.starts_with(' ') { item.end } else { self.line_end(item.end) };
                Some((at, at, format!("{colon}{with}")))
            }
            Kind::Scalar { block: false }
            | Kind::List { flow: true, .. }
            | Kind::Block { flow: true, .. } => {
                place.quoted = !holder.flow && self.has_comment_behind(item.end);
                let with = write::behind(value, place);
                if let Some(inline) = with.strip_prefix(' ') {
                    return Some((item.start, item.end, inline.to_owned()));
                }
                let start = if has_blank_before(item.start) { item.start - 1 } else { item.start };
                let end = self.line_end(item.end);
                (end == item.end).then_some((start, item.end, with))
            }
            Kind::Scalar { block: true } | Kind::List { .. } | Kind::Block { .. } => {
                let start = match holder.entry {
                    Some(entry) => entry.colon,
                    None => item.start,
                };
                let with = write::behind(value, place);
                match holder.entry {
                    Some(_) => Some((start, item.end, with)),
                    None => Some((start, item.end, with.strip_prefix(' ')?.to_owned())),
                }
            }
        }
    }

    fn insert_key(
        &self,
        block: &Item,
        flow: bool,
        entries: &[Entry],
        here: &Path,
        key: &str,
        value: &Value,
    ) -> Option<Replaced> {
        let keys = (self.order)(here);
        let rank = |name: &str| keys.iter().position(|known| known == name);
        let own = rank(key);
        // Behind the last one that comes before it; what the order does not know stays where it is.
        let after = match own {
            Some(own) => entries.iter().rposition(|entry| rank(&entry.key).is_some_and(|other| other < own)),
            None => entries.len().checked_sub(1),
        };
        let level = here.segments().iter().filter(|one| matches!(one, Segment::Key(_))).count();
        let column = entries.first().map_or(0, |entry| self.column(entry.start));
        let place =
            Place { flow, indent: column + 2, level: level + 1, quoted: false, newline: self.newline };
        let named = format!("{}:{}", write::key(key), write::behind(value, place));
        if flow {
            return Some(match (after, entries.first()) {
                (Some(after), _) => {
                    let at = entries[after].end();
                    (at, at, format!(", {named}"))
                }
                (None, Some(first)) => (first.start, first.start, format!("{named}, ")),
                (None, None) => (block.start + 1, block.start + 1, named),
            });
        }
        let blanks = " ".repeat(column);
        Some(match (after, entries.first()) {
            (Some(after), _) => {
                let at = self.line_end(entries[after].end());
                (at, at, format!("{}{blanks}{named}", self.newline))
            }
            (None, Some(first)) => (first.start, first.start, format!("{named}{}{blanks}", self.newline)),
            (None, None) => return None,
        })
    }

    fn push(&self, list: &Item, flow: bool, items: &[Item], here: &Path, value: &Value) -> Option<Replaced> {
        let level = here.segments().iter().filter(|one| matches!(one, Segment::Key(_))).count().max(1) - 1;
        if flow {
            let place = Place { flow, indent: 0, level, quoted: false, newline: self.newline };
            let written = write::inline(value, place);
            return Some(match items.last() {
                Some(last) => (last.end, last.end, format!(", {written}")),
                None => (list.start + 1, list.start + 1, written),
            });
        }
        let column = self.column(self.hyphen_of(list, items, 0)?);
        let place = Place { flow, indent: column, level, quoted: false, newline: self.newline };
        let at = self.line_end(items.last()?.end);
        let blanks = " ".repeat(column);
        Some((at, at, format!("{}{blanks}-{}", self.newline, write::item_behind(value, place))))
    }

    fn remove(&self, path: &[Segment]) -> Option<Replaced> {
        // Whatever holds nothing else goes with it.
        let mut depth = path.len();
        while depth > 1 && self.at(&path[..depth - 1])?.len() == 1 {
            depth -= 1;
        }
        let (last, around) = path[..depth].split_last()?;
        let parent = self.at(around)?;
        if parent.len() < 2 && around.is_empty() {
            return None;
        }
        match (&parent.kind, last) {
            (Kind::Block { flow, entries }, Segment::Key(key)) => {
                let at = entries.iter().position(|entry| entry.key == *key)?;
                let places: Vec<(usize, usize)> =
                    entries.iter().map(|entry| (entry.start, entry.end())).collect();
                self.cut(&places, at, *flow)
            }
            (Kind::List { flow, items }, Segment::Index(at)) => {
                let mut places = Vec::new();
                for (index, item) in items.iter().enumerate() {
                    let start = if *flow { item.start } else { self.hyphen_of(parent, items, index)? };
                    places.push((start, item.end.max(start + 1)));
                }
                self.cut(&places, *at, *flow)
            }
            _ => None,
        }
    }

    /// Cuts one of several entries out.
    fn cut(&self, places: &[(usize, usize)], at: usize, flow: bool) -> Option<Replaced> {
        let (start, end) = *places.get(at)?;
        let next = places.get(at + 1).map(|(start, _)| *start);
        if flow {
            return Some(match (next, at.checked_sub(1)) {
                (Some(next), _) if comments_between(self.text, self.layout, end, next).is_empty() => {
                    (start, next, String::new())
                }
                (_, Some(before)) => (places[before].1, end, String::new()),
                _ => return None,
            });
        }
        let line = self.text[..start].rfind('\n').map_or(0, |at| at + 1);
        let is_first_on_line = self.text[line..start].trim().is_empty();
        if !is_first_on_line {
            // The first key behind a hyphen: the next one takes its place.
            let next = next?;
            return comments_between(self.text, self.layout, start, next).is_empty().then_some((
                start,
                next,
                String::new(),
            ));
        }
        let line_end = self.line_end(end);
        let blanks = &self.text[line..start];
        let kept = comments_between(self.text, self.layout, start, line_end);
        if !kept.is_empty() {
            let lines: Vec<String> = kept.iter().map(|comment| format!("{blanks}{comment}")).collect();
            return Some((line, line_end, lines.join(self.newline)));
        }
        let rest = &self.text[line_end..];
        let newline = if rest.starts_with("\r\n") { 2 } else { usize::from(rest.starts_with('\n')) };
        Some((line, line_end + newline, String::new()))
    }

    // Places.

    fn at(&self, path: &[Segment]) -> Option<&Item> {
        path.iter().try_fold(self.layout, |item, segment| match (&item.kind, segment) {
            (Kind::Block { entries, .. }, Segment::Key(key)) => {
                Some(&entries.iter().find(|entry| entry.key == *key)?.value)
            }
            (Kind::List { items, .. }, Segment::Index(at)) => items.get(*at),
            _ => None,
        })
    }

    fn hyphen_of(&self, list: &Item, items: &[Item], index: usize) -> Option<usize> {
        let from = match index.checked_sub(1) {
            Some(before) => items.get(before)?.end,
            None => list.start,
        };
        hyphen(self.text, from)
    }

    /// Blanks before a byte count, and so do hyphens.
    fn column(&self, at: usize) -> usize {
        let line = self.text[..at].rfind('\n').map_or(0, |line| line + 1);
        self.text[line..at].chars().count()
    }

    /// The end of the line of a byte, before its line break and the blanks there.
    fn line_end(&self, at: usize) -> usize {
        let rest = &self.text[at..];
        let end = at + rest.find('\n').unwrap_or(rest.len());
        at + self.text[at..end].trim_end().len()
    }

    fn has_comment_behind(&self, at: usize) -> bool {
        let line = &self.text[at..self.line_end(at)];
        line.trim_start().starts_with('#')
    }
}

impl Item {
    fn len(&self) -> usize {
        match &self.kind {
            Kind::Absent | Kind::Scalar { .. } => 0,
            Kind::List { items, .. } => items.len(),
            Kind::Block { entries, .. } => entries.len(),
        }
    }
}

/// A value inside the blocks and lists that are not there yet.
fn wrapped(path: &[Segment], value: &Value) -> Option<Value> {
    path.iter().rev().try_fold(value.clone(), |value, segment| match segment {
        Segment::Key(key) => Some(Value::Block(vec![(key.clone(), value)])),
        Segment::Index(0) => Some(Value::List(vec![value])),
        Segment::Index(_) => None,
    })
}
