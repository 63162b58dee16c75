//! The walk over the tree beside the schema, in which each short form gives way to what it stands for.

use serde_json::Value as Json;

use super::written::{Edit, Short};
use super::{days, edges, numbers, toe, words, yes_no};
use crate::case::accepts::{Block, Form, Forms};
use crate::case::check::{is_gap, shown};
use crate::case::problem::{self, Problem, Problems, ReadingRule};
use crate::case::tree::{Node, NodeKind};
use crate::case::{characters, nothing};
use crate::diagnostic::{Path, Segment, Span};

/// The tree in full, and what would be written into the file for it.
pub(in crate::case) fn in_full<'s>(
    tree: Node,
    forms: &'s Forms<'s>,
    problems: &mut Problems,
) -> (Node, Vec<Edit>) {
    let mut walk = Walk { forms, problems, path: Vec::new(), edits: Vec::new(), brackets: 0 };
    let tree = walk.node(tree, forms.root);
    (tree, walk.edits)
}

struct Walk<'s, 'p> {
    forms: &'s Forms<'s>,
    problems: &'p mut Problems,
    path: Vec<Segment>,
    edits: Vec<Edit>,
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
                self.scalar(node, form)
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
                self.edits.push(Edit { span: item.whole, text: edges::BOTH.join(", ") });
                full.extend(edges::BOTH.iter().map(|edge| Short::text(*edge).into_node(&item)));
            } else {
                let item = self.node(item, schema);
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
        let by_toe = known.as_ref().is_some_and(|known| known.get("R1").is_some());
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
            self.path.push(Segment::Key(key.clone()));
            let node = match entry {
                Some(schema) => self.node(node, schema),
                None => node,
            };
            self.path.pop();
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
        self.edits.push(Edit { span: place, text: code.to_owned() });
        code.to_owned()
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
        self.edits.push(Edit { span: node.whole, text: short.written(self.brackets > 0) });
        short.into_node(node)
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
        Ok((typed != text).then(|| Short::text(typed)))
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

/// Without the quotation marks of a word processor around it; and, but in a free text, with plain blanks.
fn plain(text: &str, quoted: bool, is_free_text: bool) -> String {
    let inside = if quoted { None } else { characters::inside_curly_quotes(text) };
    let text = inside.unwrap_or(text);
    if is_free_text {
        return text.to_owned();
    }
    let blanks = |c: char| if c.is_whitespace() && characters::pasted(c).is_some() { ' ' } else { c };
    let text: String = text.chars().map(blanks).collect();
    text.trim().to_owned()
}
