//! The strict scan: YAML events to a tree in which every key and value knows its bytes.
//!
//! It refuses what YAML allows and a case file must not hold: duplicate keys, references, type
//! marks, merged blocks, a second document, deep nesting, oversized files, hidden characters. It
//! does not know the model: which keys there are is the check's business.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use saphyr_parser::{Event, Parser, ScalarStyle, ScanError, StrInput};

use super::problem::{self, Problem, Problems};
use super::tree::{Node, NodeKind};
use crate::case::forms::{self, Edit};
use crate::case::{characters, plain_words};
use crate::diagnostic::{Diagnostic, Path, Segment, SourceText, Span};

/// Bytes in a file.
pub(super) const MAX_BYTES: usize = 1 << 20;
/// Blocks and lists inside one another.
const MAX_DEPTH: usize = 40;
/// Values in a file; a routine case has about 120.
const MAX_VALUES: usize = 20_000;
/// Characters of a key.
pub(super) const MAX_KEY: usize = 60;

/// Scans a file. `None` where no tree can be made at all; then at least one finding says why.
pub fn scan(source: &Arc<SourceText>) -> (Option<Node>, Vec<Diagnostic>) {
    let mut problems = Problems::of(source);
    let (tree, _) = scan_into(source, &mut problems);
    (tree, problems.into_list())
}

/// The tree, and what would be written into the file for a layout that was forgiven.
pub(super) fn scan_into(source: &Arc<SourceText>, problems: &mut Problems) -> (Option<Node>, Vec<Edit>) {
    let text = source.text();
    if text.len() > MAX_BYTES {
        problems.add(|| too_large(text.len()));
        return (None, Vec::new());
    }
    let mended = forms::mend(text, characters::clean(text, problems));
    let clean = mended.clean;
    let mut scan = Scan {
        text,
        places: Places::of(text, &clean),
        parser: Parser::new_from_str(&clean.text),
        problems,
        path: Vec::new(),
        values: 0,
        brackets: 0,
        reached: 0,
        mended: mended.starts,
        edits: clean.edits.clone(),
    };
    let tree = scan.file().ok();
    (tree, scan.edits)
}

pub(super) fn too_large(bytes: usize) -> Problem {
    Problem::new(
        &problem::FILE_TOO_LARGE,
        Span::default(),
        format!("{} kB, where at most {} kB are read", bytes.div_ceil(1024), MAX_BYTES / 1024),
    )
    .help("check that this is the right file; pictures and long reports do not belong into it")
}

/// From the parser's positions, which count characters of the cleaned text, to bytes of the file.
struct Places {
    /// Byte of each character that the parser sees; empty if positions are bytes already.
    bytes: Vec<usize>,
    end: usize,
}

impl Places {
    fn of(text: &str, clean: &characters::Clean<'_>) -> Places {
        let bytes = match &clean.bytes {
            Some(bytes) => bytes.clone(),
            None if text.is_ascii() => Vec::new(),
            None => clean.bytes_of(text),
        };
        Places { bytes, end: text.len() }
    }

    fn byte(&self, index: usize) -> usize {
        if self.bytes.is_empty() {
            index.min(self.end)
        } else {
            self.bytes.get(index).copied().unwrap_or(self.end)
        }
    }
}

/// The file cannot be followed any further; why has been written down.
struct Stop;

type Next<'a> = (Event<'a>, Span);

struct Scan<'a, 'p> {
    text: &'a str,
    places: Places,
    parser: Parser<'a, StrInput<'a>>,
    problems: &'p mut Problems,
    path: Vec<Segment>,
    values: usize,
    /// How many brackets and braces are open.
    brackets: usize,
    /// Where the last event ended: what is wrong lies behind it.
    reached: usize,
    /// Where texts begin that were put in quotation marks before the parser saw them.
    mended: BTreeSet<usize>,
    /// What would be written into the file for what was forgiven.
    edits: Vec<Edit>,
}

impl<'a> Scan<'a, '_> {
    fn file(&mut self) -> Result<Node, Stop> {
        let mut tree = None;
        loop {
            let (event, span) = self.next()?;
            match event {
                Event::StreamEnd => break,
                Event::DocumentStart(_) if tree.is_some() => {
                    let span = self.word(span.start);
                    self.problems.add(|| {
                        Problem::new(&problem::SEVERAL_DOCUMENTS, span, "a second document begins here")
                            .help("put each case into a file of its own; `---` inside a file begins another")
                    });
                    // What follows belongs to somebody else: it is not checked against this case.
                    return Err(Stop);
                }
                Event::Nothing | Event::StreamStart | Event::DocumentStart(_) | Event::DocumentEnd => {}
                event => tree = Some(self.node((event, span), None)?),
            }
        }
        let Some(tree) = tree.filter(|tree| !is_blank(tree)) else {
            self.problems.add(|| {
                Problem::new(&problem::EMPTY_FILE, Span::default(), "nothing but blank lines or comments")
                    .help("`unguis new REFERENCE` writes a case file to fill in")
            });
            return Err(Stop);
        };
        Ok(tree)
    }

    fn next(&mut self) -> Result<Next<'a>, Stop> {
        match self.parser.next_event() {
            Some(Ok((event, span))) => {
                let (start, end) = (self.places.byte(span.start.index()), self.places.byte(span.end.index()));
                self.reached = end.max(start);
                Ok((event, Span::new(start, end.max(start))))
            }
            Some(Err(error)) => {
                self.syntax(&error);
                Err(Stop)
            }
            None => Ok((Event::StreamEnd, Span::new(self.text.len(), self.text.len()))),
        }
    }

    /// One value and all inside it. `key` is the place of its key.
    fn node(&mut self, (event, span): Next<'a>, key: Option<Span>) -> Result<Node, Stop> {
        self.values += 1;
        if self.values > MAX_VALUES {
            self.problems.add(|| {
                Problem::new(&problem::FILE_TOO_LARGE, span, format!("more than {MAX_VALUES} values"))
                    .help("check that this is the right file")
            });
            return Err(Stop);
        }
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                let span = self.marks(span, anchor, tag.is_some());
                Ok(self.scalar(text, style, span, key))
            }
            Event::SequenceStart(anchor, tag) => {
                let span = self.marks(span, anchor, tag.is_some());
                self.deeper(span)?;
                self.list(span, key)
            }
            Event::MappingStart(anchor, tag) => {
                let span = self.marks(span, anchor, tag.is_some());
                self.deeper(span)?;
                self.block(span, key)
            }
            _ => {
                let span = self.word(span.start);
                self.alias(span);
                Ok(Node::plain(span, NodeKind::Refused))
            }
        }
    }

    fn deeper(&mut self, span: Span) -> Result<(), Stop> {
        if self.path.len() < MAX_DEPTH {
            return Ok(());
        }
        let span = self.word(span.start);
        self.problems.add(|| {
            Problem::new(&problem::TOO_DEEP, span, format!("this is more than {MAX_DEPTH} levels deep"))
                .help("check the indentation and the brackets before this place")
        });
        Err(Stop)
    }

    fn scalar(&mut self, text: Cow<'a, str>, style: ScalarStyle, span: Span, key: Option<Span>) -> Node {
        let whole = self.whole(&text, style, span);
        let quoted = style != ScalarStyle::Plain && !self.mended.contains(&span.start);
        // An empty value has no place of its own: the parser's lies at whatever comes next.
        let is_absent = !quoted && text.is_empty();
        let comment = match style {
            ScalarStyle::Plain if is_absent => key.and_then(|key| self.comment_after_key(key)),
            ScalarStyle::Plain => {
                self.comment_before_text(span, key).or_else(|| self.comment_after(span, key))
            }
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => self.comment_before_text(span, key),
            ScalarStyle::Literal | ScalarStyle::Folded => self.comment_in_header(span, key),
        };
        let span = match key {
            Some(key) if is_absent => key,
            _ => self.first_line(span),
        };
        if style == ScalarStyle::DoubleQuoted {
            self.escaped(&text, span);
        }
        Node { span, whole, kind: NodeKind::Scalar { text: text.into_owned(), quoted }, comment }
    }

    /// All of a value, without what stands behind it.
    fn whole(&self, text: &str, style: ScalarStyle, span: Span) -> Span {
        let typed = self.text.get(span.start..span.end).unwrap_or_default();
        match style {
            ScalarStyle::Plain if text.is_empty() => Span::new(span.start, span.start),
            ScalarStyle::Plain => {
                Span::new(span.start, span.start + typed.trim_end_matches([' ', '\t', '\r', '\n']).len())
            }
            _ => span,
        }
    }

    /// The comment behind a value without quotation marks: on its last line, between brackets also
    /// behind the comma, or on the next line if that is indented deeper than the key.
    fn comment_after(&self, span: Span, key: Option<Span>) -> Option<Span> {
        // Only plain blanks part a comment from a text; one of a word processor belongs to the text.
        let value = self.text.get(span.start..span.end)?.trim_end_matches([' ', '\t', '\r', '\n']);
        let end = span.start + value.len();
        let rest = &self.text[end..];
        let mut behind = rest.trim_start_matches([' ', '\t']);
        if self.brackets > 0 {
            behind = behind.strip_prefix(',').unwrap_or(behind).trim_start_matches([' ', '\t']);
        }
        if behind.starts_with('#') && behind.len() < rest.len() {
            return Some(self.first_line(Span::new(self.text.len() - behind.len(), self.text.len())));
        }
        // A text may go on below its key, where a line that begins with `#` belongs to it for the eye.
        let next = behind.strip_prefix("\r\n").or_else(|| behind.strip_prefix('\n'))?;
        let comment = next.trim_start_matches([' ', '\t']);
        let from = self.text.len() - comment.len();
        // Deeper than its key, or than the hyphen of its item; a text that begins below its hyphen, as deep.
        let of_item = |at: usize| {
            let line = &self.text[at - self.column(at)..];
            let text = line.trim_start_matches(' ');
            line.len() - text.len() + usize::from(text.starts_with("- "))
        };
        let least = key.map_or_else(|| of_item(span.start), |key| self.column(key.start) + 1);
        let is_deeper = || self.column(from) >= least;
        let is_comment = comment.starts_with('#') && self.brackets == 0 && is_deeper();
        is_comment.then(|| self.first_line(Span::new(from, self.text.len())))
    }

    /// The comment on the line of a key without a value.
    fn comment_after_key(&self, key: Span) -> Option<Span> {
        // Here blanks of a word processor are read as blanks, so they part a comment from the key.
        let is_blank = |c: char| matches!(c, ' ' | '\t') || characters::is_as_wide_as_a_blank(c);
        let rest = self.text[key.end..].trim_start_matches(is_blank);
        // Behind the hyphen of an item there is no colon.
        let behind = rest.strip_prefix(':').unwrap_or(rest).trim_start_matches(is_blank);
        let from = self.text.len() - behind.len();
        behind.starts_with('#').then(|| self.first_line(Span::new(from, self.text.len())))
    }

    /// The comment behind a key or a hyphen whose text begins on the next line.
    fn comment_before_text(&self, span: Span, key: Option<Span>) -> Option<Span> {
        if let Some(key) = key {
            return self.comment_after_key(key);
        }
        let mut above = self.text[..span.start].trim_end_matches([' ', '\t']).strip_suffix('\n')?;
        loop {
            let start = above.rfind('\n').map_or(0, |line| line + 1);
            let line = above[start..].trim_start_matches([' ', '\t']);
            // Lines of comments may stand between the hyphen and its text.
            if line.starts_with('#') {
                above = above[..start].strip_suffix('\n')?;
                continue;
            }
            let is_blank = |c: char| matches!(c, ' ' | '\t' | '-') || characters::is_as_wide_as_a_blank(c);
            let comment = line.strip_prefix('-')?.trim_start_matches(is_blank);
            let from = above.len() - comment.len();
            return comment.starts_with('#').then(|| self.first_line(Span::new(from, above.len())));
        }
    }

    /// The comment behind the `|` or `>` of a text of several lines.
    fn comment_in_header(&self, span: Span, key: Option<Span>) -> Option<Span> {
        let from = key.map_or(span.start, |key| key.end);
        let line = self.first_line(Span::new(from, self.text.len()));
        let sign = self.text[line.start..line.end].find('#')?;
        Some(Span::new(line.start + sign, line.end))
    }

    /// How far a byte is from the start of its line.
    fn column(&self, at: usize) -> usize {
        at - self.text[..at].rfind('\n').map_or(0, |line| line + 1)
    }

    /// `"\u202e"` brings in a character that the text of the file does not show.
    fn escaped(&mut self, text: &str, span: Span) {
        // Written out, it was taken out before the parser saw it: what is left came in by its number.
        let found = text.char_indices().find_map(|(at, c)| match c {
            '\r' => Some((c, &problem::CONTROL_CHARACTER)),
            _ => characters::refused_at(text, at, c).map(|rule| (c, rule)),
        });
        let Some((found, rule)) = found else { return };
        let path = self.here();
        self.problems.add(|| {
            Problem::new(rule, span, format!("written with a backslash: {}", characters::name(found)))
                .path(path)
                .help("remove what stands after the backslash")
        });
    }

    fn list(&mut self, span: Span, key: Option<Span>) -> Result<Node, Stop> {
        let mut items = Vec::new();
        let brackets = usize::from(self.is_bracket(span.start));
        self.brackets += brackets;
        loop {
            let (event, at) = self.next()?;
            if event == Event::SequenceEnd {
                self.brackets -= brackets;
                let whole = Span::new(span.start, at.end.max(span.start));
                let span = self.collection(span, at, key);
                return Ok(Node { whole, ..Node::plain(span, NodeKind::List(items)) });
            }
            self.path.push(Segment::Index(items.len()));
            // An item without a value stands after its hyphen.
            let absent = matches!(&event, Event::Scalar(text, ScalarStyle::Plain, ..) if text.is_empty());
            let place = absent.then(|| self.before(at.start));
            let item = self.node((event, at), place)?;
            self.path.pop();
            items.push(item);
        }
    }

    fn block(&mut self, span: Span, key: Option<Span>) -> Result<Node, Stop> {
        let mut entries: Vec<(String, Span, Node)> = Vec::new();
        let mut seen = Seen::default();
        let braces = usize::from(self.is_bracket(span.start));
        self.brackets += braces;
        loop {
            let (event, at) = self.next()?;
            if event == Event::MappingEnd {
                self.brackets -= braces;
                let whole = Span::new(span.start, at.end.max(span.start));
                let span = self.collection(span, at, key);
                return Ok(Node { whole, ..Node::plain(span, NodeKind::Block(entries)) });
            }
            let name = self.key((event, at))?;
            let (name, place) = match name {
                (Some(name), place) => (name, place),
                (None, place) => {
                    // Reported; what stands under it is passed over.
                    self.path.push(Segment::Key(String::new()));
                    let next = self.next()?;
                    self.node(next, Some(place))?;
                    self.path.pop();
                    continue;
                }
            };
            let first = seen.first(&name, &entries);
            self.path.push(Segment::Key(name));
            if let Some(first) = first {
                self.duplicate(first, place);
            }
            let next = self.next()?;
            let value = self.node(next, Some(place))?;
            let Some(Segment::Key(name)) = self.path.pop() else { continue };
            entries.push((name, place, value));
        }
    }

    /// A key and its place; no name if it is refused.
    fn key(&mut self, (event, span): Next<'a>) -> Result<(Option<String>, Span), Stop> {
        let Event::Scalar(text, style, anchor, tag) = event else {
            let place = self.word(span.start);
            if matches!(event, Event::Alias(_)) {
                self.alias(place);
                return Ok((None, place));
            }
            let path = self.here();
            self.problems.add(|| {
                Problem::new(&problem::COMPLEX_KEY, place, "a list or a block stands where a key should")
                    .path(path)
                    .help("write the key as one word before a colon")
            });
            // The key's own inside is read past, and judged like any other.
            self.path.push(Segment::Key(String::new()));
            self.node((event, span), Some(place))?;
            self.path.pop();
            return Ok((None, place));
        };
        let place = self.marks(span, anchor, tag.is_some());
        let place = self.first_line(place);
        if style == ScalarStyle::DoubleQuoted {
            self.escaped(&text, place);
        }
        if let Some(inside) = characters::inside_curly_quotes(&text).filter(|_| style == ScalarStyle::Plain) {
            self.edits.push(Edit { span: place, text: inside.to_owned() });
            return Ok((Some(inside.to_owned()), place));
        }
        if let Some((from, name)) = characters::pasted_in(&text).filter(|_| style == ScalarStyle::Plain) {
            let start = place.start + from;
            let length = self.text[start..].chars().next().map_or(0, char::len_utf8);
            let path = self.here();
            self.problems.add(|| {
                Problem::new(&problem::PASTED_CHARACTER, Span::new(start, start + length), name)
                    .path(path)
                    .help("delete it and type it again")
            });
            return Ok((None, place));
        }
        if text == "<<" {
            let path = self.here();
            self.problems.add(|| {
                Problem::new(&problem::MERGE_KEY, place, "`<<` is not used in these files")
                    .path(path)
                    .help("write the keys out where they belong")
            });
        } else if text.trim().is_empty() {
            // An empty key has no place of its own: the colon behind it has.
            let (colon, path) = (self.visible(place.start), self.here());
            self.problems.add(|| {
                Problem::new(&problem::COMPLEX_KEY, colon, "there is no key before this colon")
                    .path(path)
                    .help("write the key before the colon, or remove the line")
            });
        } else if text.chars().count() > MAX_KEY || text.contains('\n') {
            let path = self.here();
            self.problems.add(|| {
                Problem::new(&problem::TEXT_TOO_LONG, place, format!("longer than {MAX_KEY} characters"))
                    .path(path)
                    .help("shorten it: a key is a short word; or is a colon or a line break out of place?")
            });
        } else {
            return Ok((Some(text.into_owned()), place));
        }
        Ok((None, place))
    }

    fn duplicate(&mut self, first: Span, place: Span) {
        let path = self.here();
        let name = path.last_key().unwrap_or_default().to_owned();
        self.problems.add(|| {
            Problem::new(&problem::DUPLICATE_KEY, place, format!("`{name}` again"))
                .path(path)
                .other(first, "it is given here first")
                .help("keep the right one and remove the other")
        });
    }

    fn alias(&mut self, place: Span) {
        let path = self.here();
        self.problems.add(|| {
            Problem::new(&problem::ANCHOR_OR_ALIAS, place, "a `*` at the start refers to another value")
                .path(path)
                .help("write the value out; a text that begins with `*` needs quotation marks")
        });
    }

    /// Reports `&name` and `!type` before a value and gives the value's place without them.
    fn marks(&mut self, span: Span, anchor: usize, is_tagged: bool) -> Span {
        if anchor == 0 && !is_tagged {
            return span;
        }
        let mut start = span.start;
        while let Some(mark) = self.text[start..].chars().next().filter(|c| matches!(c, '&' | '!')) {
            let place = self.word(start);
            let path = self.here();
            self.problems.add(|| {
                let problem = if mark == '&' {
                    Problem::new(
                        &problem::ANCHOR_OR_ALIAS,
                        place,
                        "a `&` at the start names a value for reuse",
                    )
                } else {
                    Problem::new(&problem::TAG, place, "a `!` at the start sets the type of a value")
                };
                problem.path(path).help("remove it; a text that begins with it needs quotation marks")
            });
            let rest = &self.text[place.end.max(start + 1)..];
            start = self.text.len() - rest.trim_start().len();
        }
        Span::new(start, span.end.max(start))
    }

    fn syntax(&mut self, error: &ScanError) {
        let at = self.places.byte(error.marker().index());
        let path = self.here();
        if let Some(comment) = self.comment_before(at, error.info()) {
            self.problems.add(|| {
                Problem::new(
                    &problem::COMMENT_IN_TEXT,
                    comment,
                    "from this `#` to the end of the line nothing is read",
                )
                .path(path)
                .help("put the whole text in quotation marks, or the comment on a line of its own")
            });
            return;
        }
        let place = self.visible(at);
        let (rule, label, help) = plain_words::of(error.info());
        let pasted = self.pasted_near(at);
        self.problems.add(|| {
            let help = match pasted {
                Some((line, column, name)) => format!(
                    "{help}; at line {line}, column {column} stands {name}: type it again if the text does not hold together"
                ),
                None => help.to_owned(),
            };
            Problem::new(rule, place, label).path(path).help(help)
        });
    }

    /// The comment that made the parser stumble: it took away a bracket, or stands inside a text of
    /// several lines.
    fn comment_before(&self, at: usize, info: &str) -> Option<Span> {
        let is_in_text = plain_words::is_comment_in_text(info);
        if !is_in_text && self.brackets == 0 {
            return None;
        }
        // Where the parser notices a comment inside a text, it stands on that comment.
        let from = if is_in_text { at.saturating_sub(1) } else { self.reached };
        let between = self.text.get(from..)?;
        let found = between.find('#').filter(|sign| is_in_text || from + sign < at.max(self.reached))?;
        let is_after_blank = self.text[..from + found].ends_with([' ', '\t']);
        let is_after_text = !self.text[..from + found].trim_end_matches([' ', '\t']).ends_with('\n');
        (is_after_blank && is_after_text).then(|| self.first_line(Span::new(from + found, self.text.len())))
    }

    /// A blank or quotation mark of a word processor on the line of a byte or the one above it, since
    /// the parser often stumbles over it only on the next line.
    fn pasted_near(&self, at: usize) -> Option<(usize, usize, &'static str)> {
        let above = self.text[..at.min(self.text.len())].trim_end();
        let start = above.rfind('\n').map_or(0, |line| line + 1);
        let end = self.text[at..].find('\n').map_or(self.text.len(), |line| at + line);
        // A line of the size of the file is no line that somebody pasted.
        let (found, name) = self.text[start..end]
            .char_indices()
            .take(1_000)
            .find_map(|(at, c)| Some((at, characters::pasted(c)?)))?;
        let (line, column) = self.problems.source().line_column(start + found);
        Some((line, column, name))
    }

    fn here(&self) -> Path {
        self.path.iter().fold(Path::root(), |path, segment| match segment {
            Segment::Key(key) => path.key(key),
            Segment::Index(index) => path.index(*index),
        })
    }

    // Places.

    /// What of a span stands on its first line, without blanks at its end.
    fn first_line(&self, span: Span) -> Span {
        let text = self.text.get(span.start..span.end).unwrap_or_default();
        let end = text.bytes().position(|byte| byte == b'\n').unwrap_or(text.len());
        Span::new(span.start, span.start + text[..end].trim_end().len())
    }

    /// A list or block that begins here stands between brackets.
    fn is_bracket(&self, at: usize) -> bool {
        self.text[at..].starts_with(['{', '['])
    }

    /// The word that begins at a byte.
    fn word(&self, start: usize) -> Span {
        let rest = self.text.get(start..).unwrap_or_default();
        if rest.starts_with(['[', '{']) {
            return Span::new(start, start + 1);
        }
        let is_end = |c: char| c.is_whitespace() || matches!(c, ',' | ']' | '}');
        let length = rest.find(is_end).unwrap_or(rest.len());
        Span::new(start, start + length)
    }

    /// The last visible character before a byte.
    fn before(&self, at: usize) -> Span {
        let text = self.text.get(..at).unwrap_or_default().trim_end();
        Span::new(text.char_indices().next_back().map_or(0, |(last, _)| last), text.len())
    }

    /// The character at a byte, or the last one before it if there is nothing to see.
    fn visible(&self, at: usize) -> Span {
        match self.text.get(at..).and_then(|rest| rest.chars().next()) {
            Some(c) if !c.is_whitespace() || c == '\t' => Span::new(at, at + c.len_utf8()),
            _ => self.before(at),
        }
    }

    fn collection(&self, start: Span, end: Span, key: Option<Span>) -> Span {
        let is_bracketed = self.is_bracket(start.start);
        match key {
            _ if is_bracketed => self.first_line(Span::new(start.start, end.end.max(start.start))),
            Some(key) => key,
            // The top of the file: where a key would have to be added.
            None if self.path.is_empty() => Span::new(start.start, start.start),
            None => {
                let line = self.first_line(Span::new(start.start, end.start.max(start.start)));
                let comment = self.text[line.start..line.end].find(" #");
                let length = comment.unwrap_or(line.end - line.start);
                self.first_line(Span::new(line.start, line.start + length))
            }
        }
    }
}

/// The keys of a block that came before: a few are looked through, many are kept in a map.
#[derive(Default)]
struct Seen(BTreeMap<String, Span>);

impl Seen {
    const FEW: usize = 32;

    /// Where a key first stood, of the entries so far.
    fn first(&mut self, name: &str, entries: &[(String, Span, Node)]) -> Option<Span> {
        if entries.len() <= Seen::FEW {
            return entries.iter().find(|(key, ..)| key == name).map(|(_, place, _)| *place);
        }
        // The map lags behind by what came since it was last asked.
        let since = if self.0.is_empty() { 0 } else { entries.len() - 1 };
        for (key, place, _) in &entries[since..] {
            self.0.entry(key.clone()).or_insert(*place);
        }
        self.0.get(name).copied()
    }
}

fn is_blank(tree: &Node) -> bool {
    matches!(&tree.kind, NodeKind::Scalar { text, quoted: false } if text.is_empty())
}
