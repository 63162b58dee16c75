//! The walk over the tree beside the schema, in which each short form gives way to what it stands for.

use std::borrow::Cow;

use serde_json::Value as Json;

use super::lines::{self, Line, Said, Value};
use super::written::{Edit, Short};
use super::{days, edges, numbers, toe, words, yes_no};
use crate::case::accepts::{Block, Form, Forms};
use crate::case::check::{is_gap, shown};
use crate::case::problem::{self, Problem, Problems, ReadingRule};
use crate::case::tree::{Node, NodeKind};
use crate::case::{characters, nothing};
use crate::diagnostic::{Path, Segment, Span};

/// How a file is to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::case) enum Style {
    /// Values in full; a line stays a line and a block a block.
    Kept,
    /// As before, and each block that a line can say becomes one.
    Short,
    /// Lists and blocks in full, all else as it was typed.
    Unfolded,
    /// Not at all.
    Unwritten,
}

/// The tree in full, and what would be written into the file for it, each with its path.
pub(in crate::case) fn in_full<'s>(
    tree: Node,
    forms: &'s Forms<'s>,
    problems: &mut Problems,
    style: Style,
) -> (Node, Vec<(Path, Edit)>) {
    let mut walk = Walk { forms, problems, path: Vec::new(), edits: Vec::new(), style, brackets: 0 };
    let tree = walk.node(tree, forms.root);
    (tree, walk.edits)
}

struct Walk<'s, 'p> {
    forms: &'s Forms<'s>,
    problems: &'p mut Problems,
    path: Vec<Segment>,
    edits: Vec<(Path, Edit)>,
    style: Style,
    /// How many brackets and braces are open.
    brackets: usize,
}

/// A text for which there is no form that could be meant.
struct Refused {
    rule: &'static ReadingRule,
    says: String,
    help: Option<String>,
}

impl<'s> Walk<'s, '_> {
    fn node(&mut self, node: Node, schema: &'s Json) -> Node {
        // A schema that is no block of keys accepts nothing, which the check says.
        let Some(form) = self.forms.form(schema) else { return node };
        let accepts = &form.accepts;
        let Node { span, whole, kind, comment } = node;
        let brackets = usize::from(self.is_bracket(whole));
        match kind {
            NodeKind::Scalar { text, quoted } => {
                let node = Node { span, whole, kind: NodeKind::Scalar { text, quoted }, comment };
                match form.line.filter(|_| self.is_line(&node, form)) {
                    Some(line) => self.line(node, line, schema, form),
                    None => self.scalar(node, form),
                }
            }
            NodeKind::List(items) if form.takes_none && nothing::says_nothing(&items) => {
                let node = Node { span, whole, kind: NodeKind::List(items), comment };
                if brackets == 0 { node } else { self.put(&node, Short::text(nothing::WORD)) }
            }
            NodeKind::List(items) => {
                let Some(schema) = accepts.list.and_then(|list| self.forms.form(list)?.items) else {
                    return Node { span, whole, kind: NodeKind::List(items), comment };
                };
                self.brackets += brackets;
                let items = self.items(items, schema);
                self.brackets -= brackets;
                Node { span, whole, kind: NodeKind::List(items), comment }
            }
            NodeKind::Block(entries) => {
                let Some(schema) = accepts.gap.filter(|_| is_gap(&entries)).or(accepts.block) else {
                    return Node { span, whole, kind: NodeKind::Block(entries), comment };
                };
                self.brackets += brackets;
                let entries = self.entries(entries, schema);
                self.brackets -= brackets;
                Node { span, whole, kind: NodeKind::Block(entries), comment }
            }
            NodeKind::Refused => Node { span, whole, kind: NodeKind::Refused, comment },
        }
    }

    fn is_bracket(&self, whole: Span) -> bool {
        self.problems.source().text()[whole.start..].starts_with(['[', '{'])
    }

    fn items(&mut self, items: Vec<Node>, schema: &'s Json) -> Vec<Node> {
        let words = self.forms.form(schema).map(|form| form.accepts.words.as_slice());
        let mut full = Vec::with_capacity(items.len());
        for item in items {
            self.path.push(Segment::Index(full.len()));
            let both = words.is_some_and(|words| edges::is_both(words, &item));
            if both && self.brackets > 0 {
                // Two items in the place of one.
                self.edit(item.whole, edges::BOTH.join(", "));
                full.extend(edges::BOTH.iter().map(|edge| Short::text(*edge).into_node(&item)));
            } else {
                let was_block = matches!(item.kind, NodeKind::Block(_));
                let item = self.node(item, schema);
                if was_block && self.style == Style::Short && self.brackets == 0 {
                    self.shorten_item(&item, schema);
                }
                full.push(item);
            }
            self.path.pop();
        }
        full
    }

    fn entries(&mut self, entries: Vec<(String, Span, Node)>, schema: &'s Json) -> Vec<(String, Span, Node)> {
        let Some(Form { block: Block { known, others, .. }, .. }) = self.forms.form(schema) else {
            return entries;
        };
        let by_toe = known.as_ref().is_some_and(|known| known.are_toes);
        let given: Vec<String> = match by_toe {
            true => entries.iter().map(|(key, ..)| key.clone()).collect(),
            false => Vec::new(),
        };
        let mut full: Vec<(String, Span, Node)> = Vec::with_capacity(entries.len());
        for (key, place, node) in entries {
            let of_key = |key: &str| known.as_ref().and_then(|known| known.get(key));
            let key = match by_toe && of_key(&key).is_none() {
                true => self.toe(&key, place, &given, &full),
                false => key,
            };
            let entry = of_key(&key).or(*others);
            self.path.push(Segment::Key(key));
            let node = match entry {
                Some(schema) => {
                    let was_block = matches!(node.kind, NodeKind::Block(_));
                    let node = self.node(node, schema);
                    if was_block && self.style == Style::Short && self.brackets == 0 {
                        self.shorten(place, &node, schema);
                    }
                    node
                }
                None => node,
            };
            let Some(Segment::Key(key)) = self.path.pop() else { continue };
            full.push((key, place, node));
        }
        full
    }

    /// The code of a toe that was named in words; the key as it is if it names none.
    fn toe(&mut self, key: &str, place: Span, given: &[String], before: &[(String, Span, Node)]) -> String {
        let Some(toe) = toe::named(key) else { return key.to_owned() };
        let code = toe.code();
        let first = before.iter().find(|(key, ..)| key == code);
        if first.is_some() || given.iter().any(|key| key == code) {
            let path = self.here().key(code);
            let first = first.map(|(_, place, _)| *place);
            self.problems.add(|| {
                let problem = Problem::new(
                    &problem::DUPLICATE_KEY,
                    place,
                    format!("`{}` is the toe `{code}`, which has an entry of its own", shown(key)),
                )
                .path(path)
                .help("keep the right one and remove the other");
                match first {
                    Some(first) => problem.other(first, "it is given here first"),
                    None => problem,
                }
            });
            return code.to_owned();
        }
        if self.style != Style::Unwritten {
            let path = self.here().key(code);
            self.edits.push((path, Edit { span: place, text: code.to_owned() }));
        }
        code.to_owned()
    }

    fn edit(&mut self, span: Span, text: String) {
        if self.style != Style::Unwritten {
            self.edits.push((self.here(), Edit { span, text }));
        }
    }

    fn scalar(&mut self, node: Node, form: &Form<'s>) -> Node {
        let NodeKind::Scalar { text, quoted } = &node.kind else { return node };
        match self.short(text, *quoted, form) {
            Ok(None) => node,
            Ok(Some(short)) => self.put(&node, short),
            Err(refused) => {
                let path = self.here();
                self.problems.add(|| {
                    let problem = Problem::new(refused.rule, node.span, refused.says).path(path);
                    match refused.help {
                        Some(help) => problem.help(help),
                        None => problem,
                    }
                });
                Node { kind: NodeKind::Refused, ..node }
            }
        }
    }

    fn put(&mut self, node: &Node, short: Short) -> Node {
        let is_written = match self.style {
            Style::Unwritten => false,
            Style::Unfolded => !matches!(short, Short::Text(..)),
            Style::Kept | Style::Short => true,
        };
        if is_written {
            self.edit(node.whole, short.written(self.brackets > 0));
        }
        short.into_node(node)
    }

    /// A text in the place of a block that can be written in one line.
    fn is_line(&self, node: &Node, form: &Form<'s>) -> bool {
        let NodeKind::Scalar { text, quoted } = &node.kind else { return false };
        let is_null = matches!(text.as_str(), "~" | "null" | "Null" | "NULL") && !quoted;
        form.accepts.block.is_some() && !is_null && !text.trim().is_empty()
    }

    /// A line, as the block that it stands for.
    fn line(&mut self, node: Node, line: &'static Line, schema: &'s Json, form: &Form<'s>) -> Node {
        let NodeKind::Scalar { text, quoted } = &node.kind else { return node };
        let typed = plain(text, *quoted, false);
        let known = form.accepts.block.map_or_else(Vec::new, |block| self.single_values(block));
        let said = match lines::read(line, &typed, &known) {
            Ok(said) => said,
            Err(wrong) => {
                let place = self.places(&node, &typed).span(&wrong.place);
                let path = self.here();
                self.problems
                    .add(|| Problem::new(&problem::BAD_VALUE, place, wrong.says).path(path).help(wrong.help));
                return Node { kind: NodeKind::Refused, ..node };
            }
        };
        let places = self.places(&node, &typed);
        let block = block_of(&typed, said, &node, &places);
        let before = self.edits.len();
        let full = self.node(block, schema);
        self.edits.truncate(before);
        match self.style {
            Style::Unwritten => {}
            Style::Unfolded => self.unfold(&node, &full),
            Style::Kept | Style::Short => {
                if let Some(written) = self.line_of(line, schema, &full).filter(|written| *written != *text) {
                    let indent = self.indent(node.whole.start) + 2;
                    let column = self.column(node.whole.start);
                    let in_file = match self.brackets {
                        0 => lines::wrapped(&written, column, indent),
                        _ => None,
                    };
                    let in_file = in_file.unwrap_or_else(|| Short::text(written).written(self.brackets > 0));
                    self.edit(node.whole, in_file);
                }
            }
        }
        full
    }

    /// The keys of a block under which a single value may stand.
    fn single_values(&self, block: &'s Json) -> Vec<&'s str> {
        let known = block.get("properties").and_then(Json::as_object).into_iter().flatten();
        let is_single = |schema: &'s Json| {
            self.forms.form(schema).is_some_and(|form| {
                let accepts = &form.accepts;
                let is_value = accepts.text.or(accepts.integer).or(accepts.number).is_some();
                let is_single = is_value || accepts.boolean || !accepts.words.is_empty();
                is_single && accepts.list.is_none() && accepts.block.is_none()
            })
        };
        known.filter(|(_, schema)| is_single(schema)).map(|(key, _)| key.as_str()).collect()
    }

    /// The line for a block, if it says all of the block and nothing else.
    fn line_of(&mut self, line: &'static Line, schema: &'s Json, block: &Node) -> Option<String> {
        let written = self.line_text(line, schema, block)?;
        let place = Span::default();
        let kind = NodeKind::Scalar { text: written.clone(), quoted: false };
        let mut scratch = self.problems.scratch();
        let mut again = Walk {
            forms: self.forms,
            problems: &mut scratch,
            path: self.path.clone(),
            edits: Vec::new(),
            style: Style::Unwritten,
            brackets: 0,
        };
        let node = again.node(Node::plain(place, kind), schema);
        (scratch.is_empty() && lines::is_same(&node, block)).then_some(written)
    }

    fn line_text(&self, line: &'static Line, schema: &'s Json, block: &Node) -> Option<String> {
        let known = self.forms.form(schema)?.accepts.block?.get("properties")?.as_object()?;
        lines::write(line, block, &|key, inside| {
            let schema = known.get(key)?;
            match (&inside.kind, self.forms.form(schema)?.line) {
                (NodeKind::Block(_), Some(line)) => self.line_text(line, schema, inside),
                (NodeKind::Scalar { text, .. }, _) => Some(text.clone()),
                _ => None,
            }
        })
    }

    /// Writes a block as a line, where that loses nothing.
    fn shorten(&mut self, place: Span, node: &Node, schema: &'s Json) {
        let Some(line) = self.forms.form(schema).and_then(|form| form.line) else { return };
        let end = self.end_of(node).max(place.end);
        let text = self.problems.source().text();
        let Some(block) = text.get(place.end..end) else { return };
        // A comment has no place in a line.
        let is_behind_a_colon = block.trim_start().starts_with(':');
        if !is_behind_a_colon || block.contains('#') {
            return;
        }
        let (column, indent) = (self.column(place.end) + 2, self.column(place.start) + 2);
        let Some(written) = self.line_of(line, schema, node) else { return };
        if let Some(written) = lines::wrapped(&written, column, indent) {
            self.edit(Span::new(place.end, end), format!(": {written}"));
        }
    }

    /// Writes a block behind a hyphen as a line.
    fn shorten_item(&mut self, node: &Node, schema: &'s Json) {
        let Some(line) = self.forms.form(schema).and_then(|form| form.line) else { return };
        let (start, end) = (node.whole.start, self.end_of(node));
        let text = self.problems.source().text();
        let is_behind_a_hyphen = text[..start].ends_with("- ");
        if !is_behind_a_hyphen || text.get(start..end).is_none_or(|block| block.contains('#')) {
            return;
        }
        let (column, indent) = (self.column(start), self.indent(start));
        let Some(written) = self.line_of(line, schema, node) else { return };
        if let Some(written) = lines::wrapped(&written, column, indent) {
            self.edit(Span::new(start, end), written);
        }
    }

    /// Where the last value of a node ends.
    fn end_of(&self, node: &Node) -> usize {
        match &node.kind {
            NodeKind::List(items) if !self.is_bracket(node.whole) => {
                items.iter().map(|item| self.end_of(item)).max().unwrap_or(node.span.end)
            }
            NodeKind::Block(entries) if !self.is_bracket(node.whole) => {
                let ends = entries.iter().map(|(_, key, value)| self.end_of(value).max(key.end));
                ends.max().unwrap_or(node.span.end)
            }
            _ => node.whole.end,
        }
    }

    /// Writes the block for a line.
    fn unfold(&mut self, node: &Node, full: &Node) {
        let text = self.problems.source().text();
        let before = text[..node.whole.start].trim_end_matches([' ', '\t']);
        let is_alone = self.brackets == 0 && node.comment.is_none() && before.ends_with(':');
        let block = match is_alone {
            true => lines::as_block(full, self.indent(node.whole.start) + 2)
                .map(|lines| (Span::new(before.len(), node.whole.end), lines)),
            false => lines::in_flow(full).map(|flow| (node.whole, flow)),
        };
        if let Some((span, text)) = block {
            self.edit(span, text);
        }
    }

    /// Characters before a byte on its line.
    fn column(&self, at: usize) -> usize {
        let text = &self.problems.source().text()[..at];
        text[text.rfind('\n').map_or(0, |line| line + 1)..].chars().count()
    }

    /// Blanks and hyphens with which the line of a byte begins.
    fn indent(&self, at: usize) -> usize {
        let text = self.problems.source().text();
        let line = &text[text[..at].rfind('\n').map_or(0, |line| line + 1)..];
        line.len() - line.trim_start_matches([' ', '-']).len()
    }

    /// Where each byte of a value stands in the file.
    fn places(&self, node: &Node, typed: &str) -> Places {
        let file = self.problems.source().text();
        let written = &file[node.whole.start..node.whole.end];
        let inside = written.strip_prefix('"').and_then(|text| text.strip_suffix('"'));
        let (start, written) = match inside {
            Some(inside) => (node.whole.start + 1, inside),
            None => (node.whole.start, written),
        };
        let mut at = Vec::with_capacity(typed.len());
        let mut behind = 0;
        for byte in typed.bytes() {
            let rest = &written.as_bytes()[behind..];
            match rest.first() {
                Some(same) if *same == byte => {
                    at.push(start + behind);
                    behind += 1;
                    // A line that goes on below is one blank in the text.
                    if byte == b' ' {
                        behind += rest[1..].iter().take_while(|next| next.is_ascii_whitespace()).count();
                    }
                }
                Some(next) if byte == b' ' && next.is_ascii_whitespace() => {
                    at.push(start + behind);
                    behind += rest.iter().take_while(|next| next.is_ascii_whitespace()).count();
                }
                _ => return Places { whole: node.span, at: Vec::new(), lines: Vec::new() },
            }
        }
        let ends = written.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        let lines = ends.map(|(at, _)| start + at).collect();
        Places { whole: node.span, at, lines }
    }

    /// What a text stands for, if that is something else than the text itself.
    fn short(&self, text: &str, quoted: bool, form: &Form<'s>) -> Result<Option<Short>, Refused> {
        let is_null = matches!(text, "~" | "null" | "Null" | "NULL") && !quoted;
        if is_null || text.trim().is_empty() {
            return Ok(None);
        }
        let is_free_text = form.short_for.is_some() || (form.accepts.text.is_some() && form.format.is_none());
        let typed = plain(text, quoted, is_free_text);
        if let Some(short) = self.of_its_kind(&typed, quoted, form)? {
            let is_as_typed = matches!(&short, Short::Text(full, _) if full == text);
            return Ok((!is_as_typed).then_some(short));
        }
        Ok((typed != text).then(|| Short::text(&*typed)))
    }

    fn of_its_kind(&self, typed: &str, quoted: bool, form: &Form<'s>) -> Result<Option<Short>, Refused> {
        let accepts = &form.accepts;
        if form.takes_none && nothing::is_word(typed) {
            return Ok(Some(Short::text(nothing::WORD)));
        }
        if accepts.words.contains(&typed) {
            return Ok(None);
        }
        let bad = |says: String| Refused { rule: &problem::BAD_VALUE, says, help: None };
        if let Some(read) = form.marked.and_then(|marked| (marked.read)(typed)) {
            return read.map(Some).map_err(bad);
        }
        if let Some(read) = words::meant(typed, &accepts.words) {
            return read.map(Some).map_err(bad);
        }
        if accepts.boolean && !quoted {
            return Ok(yes_no::read(typed));
        }
        if let Some(schema) = accepts.integer
            && let Some(number) = numbers::read(typed, self.key(), schema)
        {
            return Ok(Some(number));
        }
        if let Some(format) = form.format {
            return Ok((format.written)(typed).map(|full| Short::Text(full, format.is_quoted)));
        }
        match accepts.list {
            Some(list) if accepts.text.is_none() => self.one_of_a_list(typed, list, form),
            _ => Ok(None),
        }
    }

    /// A single value where a list belongs.
    fn one_of_a_list(
        &self,
        typed: &str,
        list: &'s Json,
        of_list: &Form<'s>,
    ) -> Result<Option<Short>, Refused> {
        let Some(of_item) = self.forms.form(list).and_then(|list| self.forms.form(list.items?)) else {
            return Ok(None);
        };
        let item = &of_item.accepts;
        let is_named = item.text.is_some() || of_item.short_for.is_some();
        if (!is_named && item.words.is_empty()) || nothing::is_word(typed) {
            return Ok(None);
        }
        if !is_named {
            return self.some_words(typed, of_item);
        }
        let is_free_text = of_item.format.is_none();
        if is_free_text && typed.contains([',', ';', '\n']) {
            let key = shown(self.key());
            let each: Vec<&str> = typed.split([',', ';', '\n']).map(str::trim).collect();
            let nothing =
                of_list.accepts.words.first().map_or(String::new(), |word| format!(", or `{word}`"));
            return Err(Refused {
                rule: &problem::WRONG_TYPE,
                says: format!("`{}` could be one entry or several", shown(typed)),
                help: Some(format!(
                    "write `{key}: [{}]` if they are several, or `{key}: [\"{}\"]` if it is one{nothing}",
                    shown(&each.join(", ")),
                    shown(typed)
                )),
            });
        }
        let item = self.short(typed, false, of_item)?.unwrap_or_else(|| Short::text(typed));
        Ok(Some(Short::List(vec![item])))
    }

    /// One or several words of a fixed list: `both`, `large print, hearing`, `Monday to Friday`.
    fn some_words(&self, typed: &str, of_item: &Form<'s>) -> Result<Option<Short>, Refused> {
        let item = &of_item.accepts;
        if let Some(several) =
            edges::several(typed, &item.words).or_else(|| days::several(typed, &item.words))
        {
            return Ok(Some(several));
        }
        let mut items = Vec::new();
        for part in words::parts(typed) {
            let full = match self.short(part, false, of_item)? {
                Some(Short::Text(full, _)) => full,
                _ => part.to_owned(),
            };
            if !item.words.contains(&full.as_str()) {
                return Err(Refused {
                    rule: &problem::BAD_VALUE,
                    says: format!("`{}` is not a known word for `{}`", shown(part), shown(self.key())),
                    help: Some(format!("write {}", crate::words::List::or(item.phrases()))),
                });
            }
            items.push(Short::text(full));
        }
        Ok(Some(Short::List(items)))
    }

    fn key(&self) -> &str {
        let keys = self.path.iter().rev().find_map(|segment| match segment {
            Segment::Key(key) => Some(key.as_str()),
            Segment::Index(_) => None,
        });
        keys.unwrap_or_default()
    }

    fn here(&self) -> Path {
        self.path.iter().fold(Path::root(), |path, segment| match segment {
            Segment::Key(key) => path.key(key),
            Segment::Index(index) => path.index(*index),
        })
    }
}

/// Where the bytes of a text stand in a file; nothing where that cannot be said.
struct Places {
    whole: Span,
    at: Vec<usize>,
    /// The ends of lines in it.
    lines: Vec<usize>,
}

impl Places {
    /// All of a part, over several lines if need be.
    fn whole(&self, part: &std::ops::Range<usize>) -> Span {
        let last = part.end.checked_sub(1).and_then(|last| self.at.get(last));
        match (self.at.get(part.start), last) {
            (Some(start), Some(last)) => Span::new(*start, last + 1),
            _ => self.whole,
        }
    }

    /// Within one line, as all places are.
    fn span(&self, part: &std::ops::Range<usize>) -> Span {
        let last = part.end.checked_sub(1).and_then(|last| self.at.get(last));
        let (Some(start), Some(last)) = (self.at.get(part.start), last) else { return self.whole };
        let end =
            self.lines.iter().find(|line| *start <= **line).map_or(last + 1, |line| (last + 1).min(*line));
        Span::new(*start, end.max(*start))
    }
}

/// The block that a line says, each value where it stands.
fn block_of(text: &str, said: Vec<Said>, from: &Node, places: &Places) -> Node {
    let leaf = |part: &std::ops::Range<usize>, quoted: bool| {
        let span = places.span(part);
        // What stands behind the line may be the rest of its last text.
        let comment = from.comment.filter(|_| part.end == text.trim_end().len());
        let kind = NodeKind::Scalar { text: text[part.clone()].to_owned(), quoted };
        Node { span, whole: places.whole(part), kind, comment }
    };
    let mut entries: Vec<(String, Span, Node)> = Vec::new();
    for one in said {
        let place = places.span(&one.place);
        let node = match one.value {
            Value::Text(part) => leaf(&part, false),
            Value::Quoted(part) => leaf(&part, true),
            Value::Word("[]") => {
                Node { span: place, whole: place, kind: NodeKind::List(Vec::new()), comment: None }
            }
            Value::Word(word) => {
                let kind = NodeKind::Scalar { text: word.to_owned(), quoted: false };
                Node { span: place, whole: place, kind, comment: None }
            }
            Value::List(parts) => {
                let items = parts.iter().map(|part| leaf(part, false)).collect();
                Node { span: place, whole: place, kind: NodeKind::List(items), comment: None }
            }
        };
        match one.key.split_once('.') {
            None => entries.push((one.key, place, node)),
            Some((outer, inner)) => {
                let known = entries.iter_mut().find(|(key, ..)| key == outer);
                match known {
                    Some((.., Node { kind: NodeKind::Block(below), .. })) => {
                        below.push((inner.to_owned(), place, node));
                    }
                    _ => {
                        let below = NodeKind::Block(vec![(inner.to_owned(), place, node)]);
                        let block = Node { span: place, whole: place, kind: below, comment: None };
                        entries.push((outer.to_owned(), place, block));
                    }
                }
            }
        }
    }
    Node { kind: NodeKind::Block(entries), comment: None, ..from.clone() }
}

/// Without the quotation marks of a word processor around it; and, but in a free text, with plain blanks.
fn plain(text: &str, quoted: bool, is_free_text: bool) -> Cow<'_, str> {
    let inside = if quoted { None } else { characters::inside_curly_quotes(text) };
    let text = inside.unwrap_or(text);
    if is_free_text {
        return Cow::Borrowed(text);
    }
    // Nearly every text is plain: blanks of a word processor are beyond ASCII.
    if text.is_ascii() {
        return Cow::Borrowed(text.trim());
    }
    let blanks = |c: char| if c.is_whitespace() && characters::pasted(c).is_some() { ' ' } else { c };
    let text: String = text.chars().map(blanks).collect();
    Cow::Owned(text.trim().to_owned())
}
