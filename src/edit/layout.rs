//! Where exactly everything stands: every value from its first to its last byte, however many lines it
//! takes, and every comment.
//!
//! The scan of a case file keeps one line of each place, for messages; a change needs all of it.

use saphyr_parser::{Event, Parser, ScalarStyle, StrInput};

/// A value with its place.
#[derive(Debug)]
pub(super) struct Item {
    /// First byte; of a value that is not there, the byte behind its colon or hyphen.
    pub(super) start: usize,
    /// One past its last byte.
    pub(super) end: usize,
    pub(super) kind: Kind,
}

#[derive(Debug)]
pub(super) enum Kind {
    /// Nothing stands there.
    Absent,
    /// A text; `block` if it is one of several lines below a `|` or `>`.
    Scalar {
        block: bool,
    },
    List {
        flow: bool,
        items: Vec<Item>,
    },
    Block {
        flow: bool,
        entries: Vec<Entry>,
    },
}

/// A key and its value.
#[derive(Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    /// First byte of the key.
    pub(super) start: usize,
    /// One past the colon, or past the key where there is none.
    pub(super) colon: usize,
    /// A colon stands behind the key.
    pub(super) has_colon: bool,
    pub(super) value: Item,
}

impl Entry {
    pub(super) fn end(&self) -> usize {
        self.value.end.max(self.colon)
    }
}

/// The layout of a text; `None` if it cannot be followed.
pub(super) fn of(text: &str) -> Option<Item> {
    let bytes: Vec<usize> = match text.is_ascii() {
        true => Vec::new(),
        false => text.char_indices().map(|(at, _)| at).collect(),
    };
    let mut reader = Reader { text, bytes, parser: Parser::new_from_str(text) };
    loop {
        let (event, start, end) = reader.next()?;
        match event {
            Event::StreamStart | Event::DocumentStart(_) | Event::Nothing => {}
            Event::StreamEnd | Event::DocumentEnd => return None,
            event => return reader.item((event, start, end), start),
        }
    }
}

struct Reader<'a> {
    text: &'a str,
    /// Byte of each character; empty if they are the same.
    bytes: Vec<usize>,
    parser: Parser<'a, StrInput<'a>>,
}

type Next<'a> = (Event<'a>, usize, usize);

impl<'a> Reader<'a> {
    fn next(&mut self) -> Option<Next<'a>> {
        let (event, span) = self.parser.next_event()?.ok()?;
        let byte = |at: usize| match self.bytes.is_empty() {
            true => at.min(self.text.len()),
            false => self.bytes.get(at).copied().unwrap_or(self.text.len()),
        };
        let (start, end) = (byte(span.start.index()), byte(span.end.index()));
        Some((event, start, end.max(start)))
    }

    /// `behind` is where a value begins that is not there.
    fn item(&mut self, (event, start, end): Next<'a>, behind: usize) -> Option<Item> {
        match event {
            Event::Scalar(text, style, 0, None) => Some(self.scalar(&text, style, start, end, behind)),
            Event::SequenceStart(0, None) => self.list(start),
            Event::MappingStart(0, None) => self.block(start),
            // References and type marks: a file that holds them is changed by hand.
            _ => None,
        }
    }

    fn scalar(&self, text: &str, style: ScalarStyle, start: usize, end: usize, behind: usize) -> Item {
        match style {
            ScalarStyle::Plain if text.is_empty() => Item { start: behind, end: behind, kind: Kind::Absent },
            ScalarStyle::Plain => {
                let end = start + self.text[start..end].trim_end().len();
                Item { start, end, kind: Kind::Scalar { block: false } }
            }
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => {
                let end = quoted_end(self.text, start).unwrap_or(end);
                Item { start, end, kind: Kind::Scalar { block: false } }
            }
            ScalarStyle::Literal | ScalarStyle::Folded => {
                let end = self.text[..end].trim_end().len().max(behind);
                Item { start: behind, end, kind: Kind::Scalar { block: true } }
            }
        }
    }

    fn list(&mut self, start: usize) -> Option<Item> {
        let flow = self.text[start..].starts_with('[');
        let mut items: Vec<Item> = Vec::new();
        let mut reached = start + usize::from(flow);
        loop {
            let (event, at, end) = self.next()?;
            if event == Event::SequenceEnd {
                let end = if flow { end } else { reached };
                return Some(Item { start, end, kind: Kind::List { flow, items } });
            }
            let behind = if flow { at } else { self.hyphen(reached)? + 1 };
            let item = self.item((event, at, end), behind)?;
            reached = item.end;
            items.push(item);
        }
    }

    fn block(&mut self, start: usize) -> Option<Item> {
        let flow = self.text[start..].starts_with('{');
        let mut entries: Vec<Entry> = Vec::new();
        let mut reached = start + usize::from(flow);
        loop {
            let (event, at, end) = self.next()?;
            if event == Event::MappingEnd {
                let end = if flow { end } else { reached };
                return Some(Item { start, end, kind: Kind::Block { flow, entries } });
            }
            let Event::Scalar(key, style, 0, None) = event else { return None };
            // `? key` is written by nobody, and its colon stands elsewhere.
            let end = match style {
                ScalarStyle::Plain => at + self.text[at..end].trim_end().len(),
                _ => quoted_end(self.text, at)?,
            };
            let rest = &self.text[end..];
            let blanks = rest.len() - rest.trim_start_matches([' ', '\t']).len();
            let has_colon = rest[blanks..].starts_with(':');
            if !has_colon && !flow {
                return None;
            }
            let colon = if has_colon { end + blanks + 1 } else { end };
            let next = self.next()?;
            let value = self.item(next, colon)?;
            let entry = Entry { key: key.into_owned(), start: at, colon, has_colon, value };
            reached = entry.end();
            entries.push(entry);
        }
    }

    /// The next hyphen of a list, past blanks and comments.
    fn hyphen(&self, from: usize) -> Option<usize> {
        hyphen(self.text, from)
    }
}

/// One past the closing quotation mark of a text that begins here: the parser's end lies behind the blanks
/// and comments that follow.
fn quoted_end(text: &str, start: usize) -> Option<usize> {
    let mark = text[start..].chars().next()?;
    let mut rest = text[start + 1..].char_indices().peekable();
    while let Some((at, c)) = rest.next() {
        match c {
            '\\' if mark == '"' => drop(rest.next()),
            '\'' if mark == c && rest.peek().is_some_and(|(_, next)| *next == c) => drop(rest.next()),
            c if c == mark => return Some(start + 1 + at + 1),
            _ => {}
        }
    }
    None
}

/// The first hyphen at or behind a byte, past blanks and comments.
pub(super) fn hyphen(text: &str, from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        let rest = text.get(at..)?;
        let next = rest.trim_start();
        at = text.len() - next.len();
        match next.bytes().next()? {
            b'#' => at += next.find('\n').unwrap_or(next.len()),
            b'-' => return Some(at),
            _ => return None,
        }
    }
}

/// The comments of a text, sorted: each from its `#` to the end of its line.
pub(super) fn comments(text: &str) -> Vec<String> {
    of(text).map_or_else(Vec::new, |layout| comments_in(text, &layout))
}

pub(super) fn comments_in(text: &str, layout: &Item) -> Vec<String> {
    let mut found: Vec<String> =
        comment_places(text, layout).into_iter().map(|(from, to)| text[from..to].to_owned()).collect();
    found.sort_unstable();
    found
}

/// The comments within a range of bytes, in their order.
pub(super) fn comments_between<'a>(text: &'a str, layout: &Item, from: usize, to: usize) -> Vec<&'a str> {
    let places = comment_places(text, layout).into_iter();
    places.filter(|(start, end)| *start >= from && *end <= to).map(|(start, end)| &text[start..end]).collect()
}

/// Every `#` that begins a comment: outside of texts, behind a blank or at the start of a line.
fn comment_places(text: &str, layout: &Item) -> Vec<(usize, usize)> {
    let mut texts = Vec::new();
    texts_of(layout, &mut texts);
    texts.sort_unstable();
    let mut places = Vec::new();
    let mut at = 0;
    let mut next = texts.iter().peekable();
    while at < text.len() {
        while next.peek().is_some_and(|(_, end)| *end <= at) {
            next.next();
        }
        if let Some((start, end)) = next.peek().filter(|(start, _)| *start <= at).copied() {
            at = *end.max(&(start + 1));
            continue;
        }
        let rest = &text[at..];
        let is_begin = at == 0 || text[..at].ends_with([' ', '\t', '\n']);
        if rest.starts_with('#') && is_begin {
            let end = at + rest.find('\n').unwrap_or(rest.len());
            let end = at + text[at..end].trim_end().len();
            places.push((at, end));
            at = end.max(at + 1);
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    places
}

/// The places of all texts and keys, in which a `#` is no comment.
fn texts_of(item: &Item, texts: &mut Vec<(usize, usize)>) {
    match &item.kind {
        Kind::Absent => {}
        Kind::Scalar { .. } => texts.push((item.start, item.end)),
        Kind::List { items, .. } => items.iter().for_each(|item| texts_of(item, texts)),
        Kind::Block { entries, .. } => {
            for entry in entries {
                texts.push((entry.start, entry.colon));
                texts_of(&entry.value, texts);
            }
        }
    }
}
