//! Typst source read without being set: whether a value could act in it, and whether it asks for
//! what would make a document depend on more than its case.

use typst::syntax::ast::Str;
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

/// The byte at which two texts, filled from the same template with different values, begin to say something
/// else outside their values; `None` if they differ in values alone.
pub fn first_other_word(one: &str, other: &str) -> Option<usize> {
    let (mut first, mut second) = (Vec::new(), Vec::new());
    nodes(&parse(one), 0, 0, &mut first);
    nodes(&parse(other), 0, 0, &mut second);
    let is_same = |(a, b): &(&Node, &Node)| {
        let words = |source: &str, node: &Node| source.get(node.at..node.at + node.length).map(str::to_owned);
        let is_value = a.kind == SyntaxKind::Str || !a.is_leaf;
        (a.depth, a.kind) == (b.depth, b.kind) && (is_value || words(one, a) == words(other, b))
    };
    let same = first.iter().zip(&second).take_while(is_same).count();
    match first.get(same) {
        Some(node) => Some(node.at),
        None if same < second.len() => Some(one.len()),
        None => None,
    }
}

/// The words that a filled template prints of its own: all but what is a value.
pub fn own_words(source: &str, is_value: impl Fn(&str) -> bool) -> String {
    let mut all = Vec::new();
    nodes(&parse(source), 0, 0, &mut all);
    let mut words = String::new();
    for node in all.iter().filter(|node| node.is_leaf) {
        let Some(text) = source.get(node.at..node.at + node.length) else { continue };
        match node.kind {
            SyntaxKind::Text | SyntaxKind::Space | SyntaxKind::SmartQuote => words.push_str(text),
            SyntaxKind::Str => {
                let node = SyntaxNode::leaf(SyntaxKind::Str, text);
                let literal = node.cast::<Str>().map(|literal| literal.get().to_string()).unwrap_or_default();
                // What stands on both sides of a value does not belong together.
                words.push_str(if is_value(&literal) { "\u{1}" } else { &literal });
            }
            SyntaxKind::Hash | SyntaxKind::Semicolon => {}
            _ => words.push('\u{1}'),
        }
    }
    words
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
    fn a_word_that_follows_a_value_is_seen_and_a_value_is_not() {
        assert_eq!(first_other_word("a #\"x\"; b", "a #\"other\"; b"), None);
        assert_eq!(first_other_word("a #\"x\"; 66 mg", "a #\"x\"; 660 mg"), Some(8));
        assert_eq!(first_other_word("ab", "ab #x"), Some(2));
    }

    #[test]
    fn the_words_of_a_template_are_those_that_are_no_value() {
        let words =
            own_words("The *left* #\"hallux\"; of #\"O\\\"Neil\"; #f(draft: true)", |text| text == "O\"Neil");
        assert!(words.contains("left") && words.contains("hallux") && words.contains(" of "), "{words}");
        assert!(!words.contains("Neil") && !words.contains("draft"), "{words}");
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
