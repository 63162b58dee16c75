//! Typst source read without being set: whether a value could act in it, and whether it asks for
//! what would make a document depend on more than its case.

use typst::syntax::{SyntaxKind, SyntaxNode, parse};

/// The byte at which two texts, filled from the same template with different values, begin to differ
/// in what they do; `None` if they differ in what they say alone.
pub fn first_difference(one: &str, other: &str) -> Option<usize> {
    let (mut first, mut second) = (Vec::new(), Vec::new());
    nodes(&parse(one), 0, 0, &mut first);
    nodes(&parse(other), 0, 0, &mut second);
    let same = first.iter().zip(&second).take_while(|(a, b)| (a.depth, a.kind) == (b.depth, b.kind)).count();
    if same == first.len() && same == second.len() {
        return None;
    }
    // A comment that ends early shows only in what follows it: look for the first words that changed
    // outside a literal.
    let words = |source: &str, node: &Node| source.get(node.at..node.at + node.length).map(str::to_owned);
    let changed = first
        .iter()
        .zip(&second)
        .take(same)
        .find(|(a, b)| a.is_leaf && a.kind != SyntaxKind::Str && words(one, a) != words(other, b));
    let differs = changed.map(|(node, _)| node).or_else(|| first.get(same));
    Some(differs.map_or(one.len(), |node| node.at))
}

/// Something that a template may not ask for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Forbidden {
    /// The byte where it stands.
    pub at: usize,
    /// Why not.
    pub says: &'static str,
}

/// The first thing in a source that a template may not ask for.
pub fn forbidden(source: &str) -> Option<Forbidden> {
    let mut all = Vec::new();
    nodes(&parse(source), 0, 0, &mut all);
    all.iter().enumerate().find_map(|(index, node)| {
        let is_name = matches!(node.kind, SyntaxKind::Ident | SyntaxKind::MathIdent);
        let is_field = index > 0 && all[index - 1].kind == SyntaxKind::Dot;
        let says = match source.get(node.at..node.at + node.length)? {
            "eval" if is_name => "`eval` would let a patient’s text act as code",
            "today" if is_name && is_field => {
                "`today` would make the same version of a document differ from day to day; the day it is made is \
                 `page.made`"
            }
            _ => return None,
        };
        Some(Forbidden { at: node.at, says })
    })
}

struct Node {
    depth: usize,
    kind: SyntaxKind,
    at: usize,
    length: usize,
    is_leaf: bool,
}

/// All nodes, depth first.
fn nodes(node: &SyntaxNode, depth: usize, at: usize, into: &mut Vec<Node>) {
    into.push(Node { depth, kind: node.kind(), at, length: node.len(), is_leaf: node.children().len() == 0 });
    let mut at = at;
    for child in node.children() {
        nodes(child, depth + 1, at, into);
        at += child.len();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_that_acts_is_seen_where_it_stands() {
        assert_eq!(first_difference("a #\"x\"; b", "a #\"*y* #z\"; b"), None);
        assert_eq!(first_difference("a\n/* x */\n#b", "a\n/* */ #z */\n#b"), Some(2));
        assert_eq!(first_difference("a\n\nx", "a\n\n*x*"), Some(3));
        assert!(first_difference("`x`", "`` ` ``").is_some());
    }

    #[test]
    fn eval_and_today_are_seen_in_code_and_not_in_words() {
        for source in ["#eval(\"1\")", "#let e = eval", "#{ std.eval(\"1\") }"] {
            assert!(forbidden(source).is_some_and(|found| found.says.contains("eval")), "{source}");
        }
        assert!(
            forbidden("#datetime.today().display()").is_some_and(|found| found.says.contains("page.made"))
        );
        assert_eq!(forbidden("eval today // eval(\n#let today = 1\n#today \"eval\""), None);
    }
}
