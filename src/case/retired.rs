//! Keys that gave way to others, and what is written in their place: with the dates and names that
//! were typed, so that little is left to do by hand. Free text is not repeated; a `…` stands for it.

use super::check::shown;
use super::tree::{Node, NodeKind};
use crate::diagnostic::Path;

/// What took the place of a key, and how to write it: `visits: [{on: 2026-12-01, kind: review, note: …}]`.
pub(super) struct NewForm {
    /// What took its place.
    pub(super) key: &'static str,
    /// What to write.
    pub(super) help: String,
}

/// The new form of what stands at a path, if that is a key that was given up.
pub(super) fn new_form(path: &Path, node: &Node) -> Option<NewForm> {
    let (of, later): (fn(&Node) -> String, &str) = match path.to_string().as_str() {
        "reviews" => (review, ""),
        "follow_up.visits" => (
            booked,
            "; one that is still to come stands with the visit at which it was booked: `next: {kind: review, on: …}`",
        ),
        _ => return None,
    };
    let visits = match &node.kind {
        NodeKind::List(items) if !items.is_empty() => items.iter().map(of).collect(),
        _ => vec!["{on: …, kind: review, note: …}".to_owned()],
    };
    let visits = visits.join(", ");
    let toe = if visits.contains("L1") { ", with the toe that was healed in place of `L1`" } else { "" };
    Some(NewForm { key: "visits", help: format!("write `visits: [{visits}]` at the top level{toe}{later}") })
}

/// A review: `date`, `by`, `note`, `healed`.
fn review(item: &Node) -> String {
    let NodeKind::Block(entries) = &item.kind else { return booked(item) };
    let value = |wanted: &str| {
        entries.iter().find(|(key, ..)| key == wanted).and_then(|(_, _, node)| match &node.kind {
            NodeKind::Scalar { text, .. } if !text.trim().is_empty() => Some(shown(text.trim())),
            _ => None,
        })
    };
    let mut parts = vec![format!("on: {}", value("date").unwrap_or_else(|| "…".to_owned()))];
    parts.extend(value("by").map(|by| format!("by: {by}")));
    parts.push("kind: review".to_owned());
    if value("healed").is_some_and(|healed| healed == "true") {
        parts.push("toes: {L1: {healed: true}}".to_owned());
    }
    parts.extend(value("note").map(|_| "note: …".to_owned()));
    format!("{{{}}}", parts.join(", "))
}

/// A date alone: when the visit was, it is recorded like any other.
fn booked(item: &Node) -> String {
    match &item.kind {
        NodeKind::Scalar { text, .. } if !text.trim().is_empty() => {
            format!("{{on: {}, kind: review}}", shown(text.trim()))
        }
        _ => "{on: …, kind: review}".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::case::{Read, read_case};
    use crate::diagnostic::SourceText;

    const CASE: &str = "reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09}\n";

    fn read(text: &str) -> Read<crate::case::Case> {
        read_case(Arc::new(SourceText::new("case.yaml", format!("{CASE}{text}"))))
    }

    /// The help of the one finding, and the visits that it says to write, read as a case.
    fn mended(text: &str) -> (String, Vec<crate::case::Visit>) {
        let found = read(text).diagnostics;
        let [one] = found.as_slice() else { panic!("{found:?}") };
        let help = one.help.clone().expect("a remedy");
        let offer = help.split('`').nth(1).expect("what to write").replace('…', "x");
        let case = read(&offer);
        (help, case.value.unwrap_or_else(|| panic!("{offer}: {:?}", case.diagnostics)).visits.clone())
    }

    #[test]
    fn what_is_offered_reads_and_carries_over_what_was_typed() {
        let (help, visits) = mended(
            "reviews: [{date: 2026-12-01, note: dry, by: quill, healed: true}, {date: 2027-01-05, note: well}]",
        );
        assert_eq!(
            help,
            "write `visits: [{on: 2026-12-01, by: quill, kind: review, toes: {L1: {healed: true}}, note: …}, \
             {on: 2027-01-05, kind: review, note: …}]` at the top level, with the toe that was healed in place of \
             `L1`"
        );
        assert_eq!(visits.len(), 2);
        let (help, visits) = mended("follow_up: {visits: [2027-01-05]}");
        assert!(help.contains("`next: {kind: review, on: …}`"), "{help}");
        assert_eq!(visits[0].on.to_string(), "2027-01-05");
    }

    #[test]
    fn a_key_that_was_left_empty_is_answered_as_well() {
        for text in ["reviews:", "reviews: []", "reviews: none"] {
            let found = read(text).diagnostics;
            assert_eq!(found.iter().map(|one| one.rule).collect::<Vec<_>>(), ["retired-key"], "{text}");
        }
    }
}
