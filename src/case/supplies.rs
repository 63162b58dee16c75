//! Supplies by key: `anaesthetic: mepi` is read as if all that the clinic file says of `mepi` had been typed.
//!
//! The scanned tree is completed before it is checked, so whatever comes after sees the long form, with the
//! place of the key. What is typed beside `supply: mepi` counts instead of the clinic file. Dates of the box are
//! judged by a rule, not here.

use std::collections::BTreeMap;

use super::problem::{self, Problem, Problems};
use super::tree::{Node, NodeKind};
use crate::case::{Supply, SupplyKind};
use crate::diagnostic::{Path, Span};
use crate::words::{List, nearest};

/// The key that names a box beside what is typed of it.
const KEY: &str = "supply";

/// The boxes that a case may name.
#[derive(Debug, Clone, Copy)]
pub enum Shelf<'a> {
    /// Those of the clinic file.
    Known(&'a BTreeMap<String, Supply>),
    /// The clinic file could not be read, or is not looked at: what was used is then left out, since only who
    /// the case is about can be known.
    Unread,
}

/// Completes the entries of a case file that name a box.
pub(super) fn complete(tree: &mut Node, shelf: Shelf<'_>, problems: &mut Problems) {
    let NodeKind::Block(top) = &mut tree.kind else { return };
    planned(top, shelf, problems);
    at_visits(top, shelf);
    let Some((.., operation)) = top.iter_mut().find(|(key, ..)| key == "operation") else { return };
    let NodeKind::Block(entries) = &mut operation.kind else { return };
    let boxes = match shelf {
        Shelf::Known(boxes) => boxes,
        Shelf::Unread => {
            entries.retain(|(key, _, node)| !(is_of_supplies(key) && names_a_box(node)));
            return;
        }
    };
    let path = Path::from("operation");
    let mut of_dressing = None;
    for (key, place, node) in entries.iter_mut() {
        let path = path.key(key.as_str());
        match key.as_str() {
            "anaesthetic" => match &mut node.kind {
                NodeKind::List(items) => {
                    for (at, item) in items.iter_mut().enumerate() {
                        one(item, SupplyKind::Anaesthetic, boxes, &path.index(at), problems);
                    }
                }
                _ => one(node, SupplyKind::Anaesthetic, boxes, &path, problems),
            },
            "phenol" => one(node, SupplyKind::Phenol, boxes, &path, problems),
            // A dressing may be any words: only the exact key of a dressing is taken for one.
            "dressing" => {
                if let NodeKind::Scalar { text, .. } = &mut node.kind
                    && let Some((key, found)) = boxes.get_key_value(text.trim())
                    && let Some(words) = &found.dressing
                {
                    let pack = block(key, found.parts_of_pack(words), node.span);
                    of_dressing = Some((*place, Node::plain(node.span, NodeKind::List(vec![pack]))));
                    *text = words.clone();
                }
            }
            _ => {}
        }
    }
    if let Some((place, node)) = of_dressing
        && !entries.iter().any(|(key, ..)| key == "dressing_packs")
    {
        entries.push(("dressing_packs".to_owned(), place, node));
    }
}

/// What is planned is agent and strength: the batch is that of the day.
fn planned(top: &mut Vec<(String, Span, Node)>, shelf: Shelf<'_>, problems: &mut Problems) {
    const KEY: &str = "planned_anaesthetic";
    let Some(at) = top.iter().position(|(key, ..)| key == KEY) else { return };
    let node = &mut top[at].2;
    if !matches!(&node.kind, NodeKind::Scalar { text, .. } if !text.trim().is_empty()) {
        return;
    }
    match shelf {
        Shelf::Unread => {
            top.remove(at);
        }
        Shelf::Known(boxes) => {
            one(node, SupplyKind::Anaesthetic, boxes, &Path::from(KEY), problems);
            if let NodeKind::Block(parts) = &mut node.kind {
                parts.retain(|(key, ..)| matches!(key.as_str(), "agent" | "strength" | "adrenaline"));
            }
        }
    }
}

/// A dressing of a visit is words: those of the box, with its batch.
fn at_visits(top: &mut [(String, Span, Node)], shelf: Shelf<'_>) {
    let Shelf::Known(boxes) = shelf else { return };
    let visits = top.iter_mut().filter(|(key, ..)| key == "visits").map(|(.., node)| &mut node.kind);
    let visits =
        visits.filter_map(|kind| if let NodeKind::List(visits) = kind { Some(visits) } else { None });
    for visit in visits.flatten() {
        let NodeKind::Block(entries) = &mut visit.kind else { continue };
        for (.., node) in entries.iter_mut().filter(|(key, ..)| key == "dressing") {
            if let NodeKind::Scalar { text, .. } = &mut node.kind
                && let Some(found) = boxes.get(text.trim())
                && let Some(words) = &found.dressing
            {
                *text = format!("{words} (batch {})", found.batch);
            }
        }
    }
}

fn is_of_supplies(key: &str) -> bool {
    matches!(key, "anaesthetic" | "phenol")
}

fn names_a_box(node: &Node) -> bool {
    match &node.kind {
        NodeKind::Scalar { text, .. } => !text.trim().is_empty(),
        NodeKind::Block(entries) => entries.iter().any(|(key, ..)| key == KEY),
        NodeKind::List(items) => items.iter().any(names_a_box),
        NodeKind::Refused => false,
    }
}

/// One entry: a key alone, or a block with `supply`.
fn one(
    node: &mut Node,
    kind: SupplyKind,
    boxes: &BTreeMap<String, Supply>,
    path: &Path,
    problems: &mut Problems,
) {
    let (typed, span) = match &node.kind {
        NodeKind::Scalar { text, .. } => (text.trim().to_owned(), node.span),
        NodeKind::Block(entries) => match entries.iter().find(|(key, ..)| key == KEY) {
            Some((.., Node { kind: NodeKind::Scalar { text, .. }, span, .. })) => {
                (text.trim().to_owned(), *span)
            }
            _ => return,
        },
        NodeKind::List(_) | NodeKind::Refused => return,
    };
    // A key without a value has a message of its own.
    if typed.is_empty() {
        return;
    }
    let found = boxes.get_key_value(&typed).filter(|(_, found)| found.kind() == Some(kind));
    let Some((key, found)) = found else {
        let (says, help) = not_found(&typed, kind, boxes);
        problems.add(|| Problem::new(&problem::BAD_VALUE, span, says).path(path.clone()).help(help));
        node.kind = NodeKind::Refused;
        return;
    };
    match &mut node.kind {
        NodeKind::Block(own) => {
            for (key, text) in found.parts() {
                if !own.iter().any(|(typed, ..)| typed == key) {
                    own.push(entry(key, text, span));
                }
            }
        }
        _ => *node = block(key, found.parts(), span),
    }
}

fn block(key: &str, parts: Vec<(&'static str, String)>, span: Span) -> Node {
    let all = std::iter::once((KEY, key.to_owned())).chain(parts);
    Node::plain(span, NodeKind::Block(all.map(|(key, text)| entry(key, text, span)).collect()))
}

fn entry(key: &str, text: String, span: Span) -> (String, Span, Node) {
    (key.to_owned(), span, Node::plain(span, NodeKind::Scalar { text, quoted: true }))
}

/// What is wrong and what to do.
fn not_found(typed: &str, kind: SupplyKind, boxes: &BTreeMap<String, Supply>) -> (String, String) {
    let shown: String = typed.chars().take(40).collect();
    let of_kind: Vec<&str> =
        boxes.iter().filter(|(_, found)| found.kind() == Some(kind)).map(|(key, _)| key.as_str()).collect();
    let keys = List::or_ticked(&of_kind);
    let long = match kind {
        SupplyKind::Phenol => "`{strength: …, batch: …, expires: …}`",
        _ => "`{agent: …, strength: …, batch: …, expires: …}`",
    };
    if let Some(other) = boxes.get(typed) {
        let is = other.kind().map_or("of no known kind", SupplyKind::word);
        return (
            format!("`{shown}` is {is} in the clinic file, and {} is needed here", kind.word()),
            if of_kind.is_empty() { format!("write {long}") } else { format!("write {keys}, or {long}") },
        );
    }
    let near = of_kind.iter().find(|key| key.eq_ignore_ascii_case(typed)).copied();
    let near = near.or_else(|| nearest(typed, of_kind.iter().copied()));
    let help = match (near, of_kind.as_slice()) {
        (_, []) => format!("write {long}, or add the box to `supplies` in the clinic file"),
        (Some(near), [_]) => format!("did you mean `{near}`? Without a key write {long}"),
        (Some(near), _) => format!("did you mean `{near}`? The keys are {keys}"),
        (None, _) => format!("write {keys}, or {long}"),
    };
    let kind = kind.word().trim_start_matches("an ").trim_start_matches("a ");
    (format!("`{shown}` is no {kind} under `supplies` of the clinic file"), help)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::Shelf;
    use crate::case::{Case, Clinic, Read, read_case, read_case_with, read_clinic};
    use crate::diagnostic::SourceText;
    use crate::rules::example::{BASE_CASE, BASE_CLINIC};

    const LONG: &str = "anaesthetic: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}";
    const LONG_PHENOL: &str = "phenol: {strength: 89 %, batch: P203, expires: 2027-03}";

    fn clinic() -> Clinic {
        let text = format!(
            "{BASE_CLINIC}\nsupplies:\n  mepi: {{agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}}\n  \
             ado: {{agent: lidocaine, strength: 2 %, adrenaline: \"1:200000\", batch: 0921, expires: 2027-05-31}}\n  \
             ph: {{agent: phenol, strength: 89 %, form: single-use swab, batch: P203, expires: 2027-03}}\n  \
             pads: {{dressing: \"alginate, gauze: sterile # 2\", batch: D1, expires: 2028-01}}\n"
        );
        let read = read_clinic(Arc::new(SourceText::new("clinic.yaml", text)));
        Arc::unwrap_or_clone(read.value.unwrap_or_else(|| panic!("{:?}", read.diagnostics)))
    }

    fn read(from: &[(&str, &str)]) -> Read<Case> {
        let mut text = BASE_CASE.to_owned();
        for (old, new) in from {
            assert!(text.contains(old), "{old}");
            text = text.replace(old, new);
        }
        read_case_with(Arc::new(SourceText::new("case.yaml", text)), Shelf::Known(&clinic().supplies))
    }

    fn whole(from: &[(&str, &str)]) -> Case {
        let read = read(from);
        Arc::unwrap_or_clone(read.value.unwrap_or_else(|| panic!("{:?}", read.diagnostics)))
    }

    /// The whole point: nobody can tell from the data how it was typed, but for the name of the box.
    #[test]
    fn a_key_is_read_as_if_all_of_it_had_been_typed() {
        let long = whole(&[(
            LONG_PHENOL,
            "phenol: {strength: 89 %, form: single-use swab, batch: P203, expires: 2027-03}",
        )]);
        let mut short = whole(&[(LONG, "anaesthetic: mepi"), (LONG_PHENOL, "phenol: ph   # the new one")]);
        let operation = short.operation.as_mut().expect("there is one");
        let phenol = operation.phenol.as_mut().expect("there is one");
        assert_eq!(phenol.supply.take().as_deref(), Some("ph"));
        let Some(crate::case::OneOrMany::One(agent)) = &mut operation.anaesthetic else { panic!("one") };
        assert_eq!(agent.supply.take().as_deref(), Some("mepi"));
        assert_eq!(short, long);
    }

    #[test]
    fn several_boxes_stand_in_a_list_and_digits_stay_a_batch() {
        let case = whole(&[(LONG, "anaesthetic: [mepi, {supply: ado, technique: ring block}]")]);
        let all = case.operation.and_then(|operation| operation.anaesthetic).expect("there is one");
        let [_, (_, second)] = all.all()[..] else { panic!("two") };
        assert_eq!(
            (second.agent.as_str(), second.batch.get().map(String::as_str)),
            ("lidocaine", Some("0921"))
        );
        assert_eq!(second.adrenaline.map(|ratio| ratio.0), Some(200_000));
        assert_eq!(second.technique.as_deref(), Some("ring block"));
        assert_eq!(second.expires.get().map(ToString::to_string).as_deref(), Some("2027-05-31"));
    }

    #[test]
    fn what_is_typed_beside_the_key_counts() {
        let case =
            whole(&[(LONG, "anaesthetic: {supply: mepi, batch: M9, expires: {not_recorded: box gone}}")]);
        let all = case.operation.and_then(|operation| operation.anaesthetic).expect("there is one");
        let (_, only) = all.all()[0];
        assert_eq!(
            (only.batch.get().map(String::as_str), only.expires.gap()),
            (Some("M9"), Some("box gone"))
        );
        assert_eq!(only.agent, "mepivacaine");
    }

    #[test]
    fn a_dressing_is_taken_by_its_exact_key_and_words_stay_words() {
        let with = |dressing: &str| {
            let case = whole(&[("  urgency:", &format!("  dressing: {dressing}\n  urgency:"))]);
            let operation = case.operation.expect("there is one");
            (operation.dressing.expect("there is one"), operation.dressing_packs.into_iter().next())
        };
        let (words, supply) = with("pads");
        assert_eq!(words, "alginate, gauze: sterile # 2");
        assert_eq!(supply.and_then(|supply| supply.batch.get().cloned()).as_deref(), Some("D1"));
        assert_eq!(with("pads, doubled"), ("pads, doubled".to_owned(), None));
    }

    #[test]
    fn a_plan_takes_what_is_known_before_the_day_and_a_visit_its_words() {
        let case = whole(&[("plan:\n", "planned_anaesthetic: ado\nplan:\n")]);
        let planned = case.planned_anaesthetic.expect("there is one");
        assert_eq!(
            (planned.agent.as_str(), planned.adrenaline.map(|ratio| ratio.0)),
            ("lidocaine", Some(200_000))
        );
        let visits = "visits:\n  - {on: 2026-11-27, kind: redressing, dressing: pads}\nplan:\n";
        let case = whole(&[("plan:\n", visits)]);
        let dressing = case.visits.into_iter().next().and_then(|visit| visit.dressing);
        assert_eq!(dressing.as_deref(), Some("alginate, gauze: sterile # 2 (batch D1)"));
        let wrong = read(&[("plan:\n", "planned_anaesthetic: ph\nplan:\n")]);
        assert!(wrong.diagnostics[0].primary.text.contains("`ph` is phenol"), "{:?}", wrong.diagnostics);
    }

    #[test]
    fn a_key_that_is_not_there_is_answered_with_the_keys() {
        let said = |typed: &str| {
            let read = read(&[(LONG, &format!("anaesthetic: {typed}"))]);
            let [one] = read.diagnostics.as_slice() else { panic!("{:?}", read.diagnostics) };
            let line = one.primary.source.line_column(one.primary.span.start).0;
            assert_eq!(
                one.primary.source.text().lines().nth(line - 1).map(str::trim),
                Some(&*format!("anaesthetic: {typed}"))
            );
            format!("{}; {}", one.primary.text, one.help.clone().unwrap_or_default())
        };
        assert_eq!(
            said("mepy"),
            "`mepy` is no anaesthetic under `supplies` of the clinic file; did you mean `mepi`? The keys are `ado` or \
             `mepi`"
        );
        assert!(said("Mepi").contains("did you mean `mepi`?"));
        assert!(
            said("{supply: xylo}").contains("write `ado` or `mepi`, or `{agent: …"),
            "{}",
            said("{supply: xylo}")
        );
        assert_eq!(
            said("ph"),
            "`ph` is phenol in the clinic file, and an anaesthetic is needed here; write `ado` or `mepi`, or `{agent: \
             …, strength: …, batch: …, expires: …}`"
        );
        let none = read_case(Arc::new(SourceText::new("c", BASE_CASE.replace(LONG, "anaesthetic: mepi"))));
        assert!(
            none.diagnostics[0]
                .help
                .as_deref()
                .is_some_and(|help| help.contains("`supplies` in the clinic file"))
        );
    }

    #[test]
    fn without_the_clinic_file_who_it_is_about_is_still_known() {
        let text = BASE_CASE.replace(LONG, "anaesthetic: mepi").replace(LONG_PHENOL, "phenol: ph");
        let read = read_case_with(Arc::new(SourceText::new("c", text)), Shelf::Unread);
        assert!(read.diagnostics.is_empty(), "{:?}", read.diagnostics);
        assert_eq!(read.value.map(|case| case.patient.family.clone()).as_deref(), Some("Hollis"));
    }

    #[test]
    fn a_value_of_the_box_stands_where_its_key_was_typed() {
        let read = read(&[(LONG, "anaesthetic: mepi")]);
        let span = read.spans.nearest(&"operation.anaesthetic.expires".into(), false);
        assert_eq!(&read.source.text()[span.start..span.end], "mepi");
    }
}
