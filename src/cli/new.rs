//! `unguis new`: a case file of questions. What was seen, done or measured is never filled in.

use std::path::Path;

use crate::case::{
    Case, Clinic, Reference, Shelf, SupplyKind, case_schema, quoted, read_case_with, read_clinic, read_text,
};
use crate::cli::args::New;
use crate::cli::{Error, Exit, io};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::render::{Style, render};
use crate::units::TextValue;
use crate::words::{List, Shown};

/// The questions, with marks for what comes from the command line and the clinic file.
const TEMPLATE: &str = include_str!("new_case.yaml");

/// Writes the file; never over one that is there.
pub(super) fn run(args: &New) -> Result<Exit, Error> {
    let reference = Reference::parse(&args.reference).map_err(Error::Usage)?;
    let bytes = io::read_clinic_file(&args.clinic)?;
    let read = match read_text(&args.clinic.shown(), &bytes) {
        Ok(text) => read_clinic(text.into()),
        Err(diagnostic) => {
            io::eprint(&render(&[diagnostic], Style::Human { colour: false }));
            return Ok(Exit::Findings);
        }
    };
    let Some(clinic) = read.value else {
        io::eprint(&render(&read.diagnostics, Style::Human { colour: false }));
        return Ok(Exit::Findings);
    };
    let taken = match args.like.as_deref().map(|other| like(other, &args.clinic, &clinic)).transpose()? {
        None => Taken::default(),
        Some(Ok(taken)) => taken,
        Some(Err(found)) => {
            io::eprint(&render(&found, Style::Human { colour: false }));
            return Ok(Exit::Findings);
        }
    };
    let file = args.to.clone().unwrap_or_else(|| args.clinic.with_file_name(format!("{reference}.yaml")));
    io::write_new(&file, questions(&reference, &clinic, &taken).as_bytes())?;
    io::print(&format!("{}\n", file.shown()));
    let schema = schema_beside(&file)?;
    let like = if args.like.is_some() { format!("{}\n", taken.said()) } else { String::new() };
    let check = format!("`unguis check {}` lists what is still open\n", file.shown());
    io::eprint(&format!("{like}{schema}{check}"));
    Ok(Exit::Done)
}

/// All that one case may take over from another: who works where. Nothing that is about a patient, and nothing
/// that somebody saw, asked, used, agreed or did.
#[derive(Debug, Default, PartialEq, Eq)]
struct Taken {
    operator: Option<String>,
    assistant: Option<String>,
    room: Option<String>,
}

impl Taken {
    fn of(case: &Case, clinic: &Clinic) -> Taken {
        // Only who stands in the clinic file: another text could hold anything.
        let known = |name: &Option<String>| {
            let people = &clinic.practitioners;
            let is_known = |name: &String| {
                people.contains_key(name) || people.values().any(|person| person.name == *name)
            };
            name.clone().filter(is_known)
        };
        let operation = case.operation.as_ref();
        Taken {
            operator: operation.and_then(|operation| known(&operation.operator)),
            assistant: operation.and_then(|operation| known(&operation.assistant)),
            room: case.booked.as_ref().and_then(|booked| booked.room.clone()),
        }
    }

    /// What was taken over, for the screen.
    fn said(&self) -> String {
        let parts =
            [("operator", &self.operator), ("assistant", &self.assistant), ("room", &self.room)].into_iter();
        let parts: Vec<String> =
            parts.filter_map(|(key, value)| Some(format!("{key} {}", value.as_ref()?))).collect();
        match parts.as_slice() {
            [] => "nothing was taken over: the other case names no operator, assistant or room".to_owned(),
            parts => format!("taken over: {}; nothing else is, of any patient", List::and(parts)),
        }
    }
}

/// Reads the other case, by its file or its reference.
fn like(other: &Path, clinic_file: &Path, clinic: &Clinic) -> Result<Result<Taken, Vec<Diagnostic>>, Error> {
    let by_reference = || {
        let reference = Reference::parse(other.to_str()?).ok()?;
        Some(clinic_file.with_file_name(format!("{reference}.yaml")))
    };
    let file = by_reference().unwrap_or_else(|| other.to_owned());
    let text = match read_text(&file.shown(), &io::read_bytes(&file)?) {
        Ok(text) => text,
        Err(found) => return Ok(Err(vec![found])),
    };
    let read = read_case_with(text.into(), Shelf::Known(&clinic.supplies));
    Ok(match read.value {
        Some(case) => Ok(Taken::of(&case, clinic)),
        None => Err(read.diagnostics),
    })
}

/// The file by which an editor completes and explains keys, beside the case.
const SCHEMA: &str = "case.schema.json";

/// Writes the schema beside a case, and gives a line about it; nothing if it is there already. A file of this
/// name that is another thing is left alone.
fn schema_beside(case: &Path) -> Result<String, Error> {
    let file = case.with_file_name(SCHEMA);
    let schema = case_schema();
    let text = format!("{schema:#}\n");
    let is_ours = |bytes: &[u8]| {
        let read: Option<serde_json::Value> = serde_json::from_slice(bytes).ok();
        read.is_some_and(|read| read["title"] == schema["title"] && read["$schema"] == schema["$schema"])
    };
    let name = file.shown();
    Ok(match io::read_if_there(&file)? {
        Some(there) if there == text.as_bytes() => String::new(),
        Some(there) if is_ours(&there) => {
            io::write_atomically(&file, text.as_bytes())?;
            format!("{name} was brought up to date\n")
        }
        Some(_) => {
            format!("{name} is another file and was left as it is: editors cannot complete the keys\n")
        }
        None => {
            io::write_new(&file, text.as_bytes())?;
            format!("{name} lets an editor complete and explain the keys\n")
        }
    })
}

/// The case file. Of the clinic it names the keys that may be typed and what is usual, in comments and quoted:
/// what was used is read off the label.
fn questions(reference: &Reference, clinic: &Clinic, taken: &Taken) -> String {
    let value = |taken: &Option<String>| {
        taken.as_deref().map_or_else(String::new, |text| format!(" {}", quoted(text)))
    };
    let one_of = |keys: Vec<&String>| match keys.as_slice() {
        [] => String::new(),
        keys => format!(" One of {}.", keys.iter().map(|key| quoted(key)).collect::<Vec<_>>().join(", ")),
    };
    let usual = |what: Option<String>| what.map_or_else(String::new, |what| format!(" Usually {what}."));
    let boxes = |kind| {
        let keys = clinic.supplies.iter().filter(|(_, one)| one.kind() == Some(kind));
        one_of(keys.map(|(key, _)| key).collect())
    };
    let agent = clinic.protocol.anaesthetic.as_ref();
    let marks = [
        ("reference", reference.to_string()),
        ("gps", one_of(clinic.gps.keys().collect())),
        ("operators", one_of(clinic.practitioners.keys().collect())),
        ("anaesthetics", boxes(SupplyKind::Anaesthetic)),
        ("phenols", boxes(SupplyKind::Phenol)),
        ("agent", usual(agent.map(|usual| format!("{} {}", quoted(&usual.agent), usual.strength)))),
        ("like operator", value(&taken.operator)),
        ("like assistant", value(&taken.assistant)),
        ("like room", value(&taken.room)),
        ("phenol", usual(clinic.protocol.phenol.map(|strength| strength.to_string()))),
    ];
    format!("# yaml-language-server: $schema={SCHEMA}\n{}", filled(TEMPLATE, &marks))
}

/// The template with its marks replaced, in one pass: what is put in is not looked at again.
fn filled(template: &str, marks: &[(&str, String)]) -> String {
    let mut parts = template.split('‹');
    let mut text = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (name, rest) = part.split_once('›').unwrap_or((part, ""));
        let value = marks.iter().find(|(mark, _)| *mark == name);
        text.push_str(value.map_or("", |(_, value)| value));
        text.push_str(rest);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{Node, NodeKind, clinic_schema, read_case, scan};
    use crate::diagnostic::SourceText;
    use crate::rules::example::facts_of;
    use serde_json::Value as Json;
    use std::sync::Arc;

    /// What `unguis setup` writes where nobody answers.
    const CLINIC: &str = include_str!("new_clinic.yaml");

    fn written() -> String {
        let reference = Reference::parse("LFC-0200").expect("a good reference");
        questions(&reference, &facts_of("").clinic, &Taken::default())
    }

    fn tree(text: &str) -> Node {
        let (tree, found) = scan(&Arc::new(SourceText::new("new.yaml", text)));
        assert!(found.is_empty(), "{found:?}");
        tree.expect("a tree")
    }

    /// Every value in the tree with its path.
    fn values(path: &str, node: &Node, found: &mut Vec<(String, String)>) {
        match &node.kind {
            NodeKind::Block(entries) => entries.iter().for_each(|(key, _, value)| {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                values(&path, value, found);
            }),
            NodeKind::List(items) => items.iter().for_each(|item| values(path, item, found)),
            NodeKind::Scalar { text, .. } => found.push((path.to_owned(), text.clone())),
            NodeKind::Refused => panic!("{path} is refused"),
        }
    }

    /// No observation, no time, no count, no edge, nothing that is "usual": only the reference is there.
    #[test]
    fn no_key_has_a_value_but_the_reference() {
        for (text, only) in
            [(written(), vec![("reference".to_owned(), "LFC-0200".to_owned())]), (CLINIC.into(), vec![])]
        {
            let mut found = Vec::new();
            values("", &tree(&text), &mut found);
            assert!(found.len() > 20, "{} keys", found.len());
            let filled: Vec<_> = found.into_iter().filter(|(_, value)| !value.is_empty()).collect();
            assert_eq!(filled, only);
        }
    }

    /// Every text of the model is filled with a mark of its own; of the other case only who works where, and in
    /// which room, may come along.
    #[test]
    fn nothing_of_another_patient_comes_along() {
        let other = facts_of(
            "{booked: {on: 2026-11-24, at: \"09:30\", room: Room 2}, operation: {operator: quill, assistant: Sam \
             Stranger, note: NOTE, discharge: DISCHARGE, findings: FINDINGS}, patient: {telephone: 01632 960 999, \
             daily_life: DAILY}, history: {conditions: [CONDITION], medicines: [MEDICINE], allergies: [{to: \
             ALLERGEN}]}}",
        );
        let taken = Taken::of(&other.case, &other.clinic);
        assert_eq!(
            taken,
            Taken { operator: Some("quill".into()), assistant: None, room: Some("Room 2".into()) },
            "a stranger is not in the clinic file"
        );
        let reference = Reference::parse("LFC-0200").expect("a good reference");
        let text = questions(&reference, &other.clinic, &taken);
        let mut found = Vec::new();
        values("", &tree(&text), &mut found);
        let filled: Vec<_> = found.into_iter().filter(|(_, value)| !value.is_empty()).collect();
        let pair = |key: &str, value: &str| (key.to_owned(), value.to_owned());
        let only = [
            pair("reference", "LFC-0200"),
            pair("booked.room", "Room 2"),
            pair("operation.operator", "quill"),
        ];
        assert_eq!(filled, only);
        // Whatever the other file holds: what is taken over is told by its type, so no text of it can slip in.
        let bare = questions(&reference, &other.clinic, &Taken::default());
        let added: Vec<&str> = text.lines().filter(|line| !bare.lines().any(|same| same == *line)).collect();
        assert_eq!(added, ["  room: \"Room 2\"", "  operator: \"quill\""]);
    }

    /// And what a comment holds is no line that could be taken for an entry by taking off its `#`.
    #[test]
    fn no_comment_is_an_entry() {
        for text in [written(), CLINIC.to_owned()] {
            for line in text.lines() {
                let line = line.trim_start();
                assert!(!line.contains(" #") || line.starts_with('#'), "{line}");
                let Some(comment) = line.strip_prefix("# ") else { continue };
                let entry = comment.split_once(": ").filter(|(key, value)| {
                    !key.contains(' ')
                        && !value.contains('…')
                        && key.chars().all(|c| c.is_lowercase() || c == '_')
                });
                assert_eq!(entry, None, "{line}");
            }
        }
    }

    #[test]
    fn every_finding_in_a_new_file_is_a_gap_to_fill() {
        let text = written();
        let read = read_case(Arc::new(SourceText::new("new.yaml", text.as_str())));
        assert!(read.value.is_none() && read.diagnostics.len() > 20);
        for found in read.diagnostics {
            let is_gap =
                found.rule == "empty-value" && found.help.as_deref() == Some("fill it in or remove the line");
            let is_toe = found.rule == "unknown-key" && found.path.last_key() == Some("TOE");
            assert!(is_gap || is_toe, "{} at {}: {}", found.rule, found.path, found.primary.text);
        }
    }

    /// The keys of a block in the schema of a file; none if there is no such block.
    fn keys_of(root: &Json, path: &str) -> Vec<String> {
        let mut open = vec![root];
        let mut steps = path.split('.').filter(|step| !step.is_empty());
        let mut step = steps.next();
        let mut keys = Vec::new();
        let mut below = Vec::new();
        while let Some(node) = open.pop() {
            if let Some(name) = node["$ref"].as_str() {
                open.extend(root.pointer(name.trim_start_matches('#')));
            }
            for several in ["anyOf", "oneOf"] {
                open.extend(node[several].as_array().into_iter().flatten());
            }
            if let Some(properties) = node["properties"].as_object() {
                match step {
                    // Any toe will do: all ten have one schema.
                    Some("TOE") => below.extend(properties.get("L1")),
                    Some(step) => below.extend(properties.get(step)),
                    None => keys.extend(properties.keys().cloned()),
                }
            }
            if open.is_empty() && step.is_some() {
                open = std::mem::take(&mut below);
                step = steps.next();
            }
        }
        keys
    }

    fn blocks(path: &str, node: &Node, found: &mut Vec<(String, Vec<String>)>) {
        let NodeKind::Block(entries) = &node.kind else { return };
        found.push((path.to_owned(), entries.iter().map(|(key, ..)| key.clone()).collect()));
        for (key, _, value) in entries {
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            blocks(&path, value, found);
        }
    }

    /// Each block holds only keys of the schema, and each key of the schema is asked for or at least named.
    #[test]
    fn questions_and_schema_are_in_step() {
        for (text, root) in [(written(), case_schema()), (CLINIC.to_owned(), clinic_schema())] {
            let mut found = Vec::new();
            blocks("", &tree(&text), &mut found);
            assert!(found.len() > 1);
            for (path, asked) in found {
                let known = keys_of(&root, &path);
                if path.ends_with("toes") || path == "plan" {
                    assert_eq!(asked, ["TOE"], "{path}");
                    continue;
                }
                for key in &asked {
                    assert!(known.contains(key), "`{path}` has no key `{key}`");
                }
                for key in known {
                    let is_named = asked.contains(&key) || text.contains(&format!("`{key}`"));
                    assert!(
                        is_named,
                        "`{path}.{key}` is new: ask for it in the template, or name it in a comment"
                    );
                }
            }
        }
    }

    #[test]
    fn texts_of_the_clinic_file_stay_texts() {
        let facts = facts_of(
            r#"clinic: {gps: {"a: b": {practice: X, address: [Y]}}, protocol: {anaesthetic: {agent: "x‹reference›, # \"y\"\nreference: EVIL", strength: 2 %}}}"#,
        );
        let reference = Reference::parse("LFC-0200").expect("a good reference");
        let text = questions(&reference, &facts.clinic, &Taken::default());
        assert!(text.contains(r#"One of "a: b", "birchgate"."#), "{text}");
        assert!(text.contains(r#"Usually "x‹reference›, # \"y\"\nreference: EVIL" 2 %."#), "{text}");
        let mut found = Vec::new();
        values("", &tree(&text), &mut found);
        assert_eq!(found.iter().filter(|(_, value)| !value.is_empty()).count(), 1);
    }

    #[test]
    fn every_mark_is_replaced_and_every_one_is_known() {
        let text = written();
        assert!(!text.contains(['‹', '›']), "{text}");
        for mark in ["reference", "gps", "operators", "anaesthetics", "phenols", "agent", "phenol"]
            .into_iter()
            .chain(["like operator", "like assistant", "like room"])
        {
            assert!(TEMPLATE.contains(&format!("‹{mark}›")), "{mark}");
        }
    }
}
