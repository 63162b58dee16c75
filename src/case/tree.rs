//! The scanned tree, and where every path of it stands.
//!
//! Plain data: how it is read is the scan's business, what may be in it the check's.

use crate::diagnostic::{Path, Segment, Span};

/// A YAML value with its place.
#[derive(Debug, Clone)]
pub struct Node {
    /// Where it stands, within one line: a longer value is given its first line, an indented block or
    /// list the place of its key.
    pub span: Span,
    /// All of it, over several lines if need be: what gives way when it is written in another way.
    pub whole: Span,
    /// What it is.
    pub kind: NodeKind,
    /// A comment that stands right behind a value without quotation marks: from its `#` to the end of
    /// the line. Whether it is one, or the rest of a text, the scan cannot know.
    pub comment: Option<Span>,
}

impl Node {
    /// A node without a comment behind it.
    pub(super) fn plain(span: Span, kind: NodeKind) -> Node {
        Node { span, whole: span, kind, comment: None }
    }

    /// It is a value that stood in quotation marks or in a block.
    pub(super) fn is_quoted(&self) -> bool {
        matches!(self.kind, NodeKind::Scalar { quoted: true, .. })
    }

    /// Every text in the tree that holds a character beyond Latin-1, with its path.
    pub(super) fn texts_beyond_latin_1(&self) -> Vec<(Path, String)> {
        let mut texts = Vec::new();
        self.collect_texts(&Path::root(), &mut texts);
        texts
    }

    fn collect_texts(&self, path: &Path, texts: &mut Vec<(Path, String)>) {
        match &self.kind {
            NodeKind::Refused => {}
            NodeKind::Scalar { text, .. } => {
                if text.chars().any(|c| c > '\u{ff}') {
                    texts.push((path.clone(), text.clone()));
                }
            }
            NodeKind::List(items) => {
                for (at, item) in items.iter().enumerate() {
                    item.collect_texts(&path.index(at), texts);
                }
            }
            NodeKind::Block(entries) => {
                for (key, _, value) in entries {
                    value.collect_texts(&path.key(key), texts);
                }
            }
        }
    }
}

/// What a YAML value is.
#[derive(Debug, Clone)]
pub enum NodeKind {
    /// Text, with whether it stood in quotation marks.
    Scalar {
        /// The text without its quotation marks.
        text: String,
        /// It stood in quotation marks or in a block.
        quoted: bool,
    },
    /// A list.
    List(Vec<Node>),
    /// A block of keys, in file order: key, place of the key, value. Between braces, a key without a
    /// value may be what stands behind a comma in the text before it.
    Block(Vec<(String, Span, Node)>),
    /// Refused by the scan, which has already said why.
    Refused,
}

/// The place of every path in a file: looked up in its tree, since most files have no finding that asks.
#[derive(Debug, Clone, Default)]
pub struct Spans(Option<Node>);

impl Spans {
    /// The places in a tree.
    pub fn of(tree: Node) -> Spans {
        Spans(Some(tree))
    }

    /// The place of a value.
    pub fn value(&self, path: &Path) -> Option<Span> {
        self.find(path).map(|(_, value)| value)
    }

    /// The place of a key.
    pub fn key(&self, path: &Path) -> Option<Span> {
        self.find(path).and_then(|(key, _)| key)
    }

    /// The places of a key, if the path ends in one, and of its value. Of a key that is given twice, the
    /// first counts below which the path goes on.
    fn find(&self, path: &Path) -> Option<(Option<Span>, Span)> {
        let tree = self.0.as_ref()?;
        below(tree, path.segments(), None)
    }

    /// The place of a value (or of its key); if there is none, of the key of the nearest block around
    /// it that exists, in the end the start of the file's first entry.
    pub fn nearest(&self, path: &Path, at_key: bool) -> Span {
        match (self.find(path), path.parent()) {
            (Some((Some(key), _)), _) if at_key => key,
            (Some((_, value)), _) => value,
            (None, Some(parent)) => self.nearest(&parent, true),
            (None, None) => Span::default(),
        }
    }
}

fn below(node: &Node, path: &[Segment], key: Option<Span>) -> Option<(Option<Span>, Span)> {
    let Some((first, rest)) = path.split_first() else { return Some((key, node.span)) };
    match (&node.kind, first) {
        (NodeKind::List(items), Segment::Index(at)) => below(items.get(*at)?, rest, None),
        (NodeKind::Block(entries), Segment::Key(name)) => entries
            .iter()
            .filter(|(key, ..)| key == name)
            .find_map(|(_, place, value)| below(value, rest, Some(*place))),
        _ => None,
    }
}
