//! Edges of a nail: one word without brackets, and both.

use super::{Form, Short, case};
use crate::case::tree::{Node, NodeKind};

pub(super) const FORM: Form = Form {
    name: "edges",
    says: "an edge without brackets, or both",
    place: case!("plan: {L1: {nail: partial, edges: …, matrix: phenol}}\n"),
    examples: &[
        ("lateral", "[lateral]"),
        ("Medial", "[medial]"),
        ("both", "[medial, lateral]"),
        ("Both edges", "[medial, lateral]"),
        ("medial and lateral", "[medial, lateral]"),
        ("lateral + medial", "[lateral, medial]"),
        ("[both]", "[medial, lateral]"),
    ],
    refused: &[
        ("outer", "outer is lateral: write `lateral`"),
        ("fibular", "fibular is lateral: write `lateral`"),
        ("tibial", "tibial is medial: write `medial`"),
        ("[inner]", "inner is medial: write `medial`"),
    ],
};

/// Both, as a file has them.
pub(super) const BOTH: [&str; 2] = ["medial", "lateral"];

fn are_edges(words: &[&str]) -> bool {
    words == BOTH
}

fn says_both(text: &str) -> bool {
    matches!(text.trim().to_lowercase().as_str(), "both" | "both edges" | "both sides")
}

/// A word for both edges, where a list of edges belongs.
pub(super) fn several(typed: &str, words: &[&str]) -> Option<Short> {
    let both = || BOTH.iter().map(|edge| Short::text(*edge)).collect();
    (are_edges(words) && says_both(typed)).then(|| Short::List(both()))
}

/// An item that stands for both edges.
pub(super) fn is_both(words: &[&str], item: &Node) -> bool {
    are_edges(words) && matches!(&item.kind, NodeKind::Scalar { text, .. } if says_both(text))
}

/// The edge that is meant by a name from another point of view.
pub(super) fn meant(typed: &str, words: &[&str]) -> Option<&'static str> {
    if !are_edges(words) {
        return None;
    }
    match typed.to_lowercase().as_str() {
        "outer" | "outside" | "fibular" => Some("lateral"),
        "inner" | "inside" | "tibial" => Some("medial"),
        _ => None,
    }
}
