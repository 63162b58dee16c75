//! The keys of a file, block by block, as tables in Markdown: what the model says of each, and how it is
//! written. Made from the JSON Schema that also checks the file, so it cannot name a key that is not there.

use std::collections::{BTreeMap, VecDeque};

use serde_json::{Map, Value as Json};

use crate::case::NOT_RECORDED_KEY;
use crate::words::List;

/// A block whose keys are still to be listed: where it stands, and its schema.
type Open<'a> = VecDeque<(String, &'a Map<String, Json>)>;

/// A section for each block: its heading is the path to it, `TOE` stands for a toe and `KEY` for a short
/// key that the clinic chooses.
pub(super) fn keys(schema: &Json) -> String {
    let mut text = String::new();
    let mut open: Open<'_> = VecDeque::new();
    let mut seen: BTreeMap<&str, String> = BTreeMap::new();
    if let Some(root) = schema.as_object() {
        open.push_back((String::new(), root));
    }
    while let Some((path, block)) = open.pop_front() {
        let mut file = File { schema, seen: &mut seen, inner: Open::new() };
        let rows = file.rows(&path, block);
        let heading = if path.is_empty() { "At the left margin" } else { path.as_str() };
        text.push_str(&format!("\n## {heading}\n\n| key | what it is | written as |\n|---|---|---|\n{rows}"));
        // A section is followed by the sections inside it.
        for inner in file.inner.into_iter().rev() {
            open.push_front(inner);
        }
    }
    text + "\n"
}

struct File<'a, 's> {
    schema: &'a Json,
    /// Where each shared block was described first.
    seen: &'s mut BTreeMap<&'a str, String>,
    inner: Open<'a>,
}

impl<'a> File<'a, '_> {
    fn rows(&mut self, path: &str, block: &'a Map<String, Json>) -> String {
        let needed: Vec<&str> = block
            .get("required")
            .and_then(Json::as_array)
            .into_iter()
            .flatten()
            .filter_map(Json::as_str)
            .collect();
        let mut rows = String::new();
        for (key, schema) in block.get("properties").and_then(Json::as_object).into_iter().flatten() {
            let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            let mut ways = Vec::new();
            self.ways(&below, schema, &mut ways);
            let gap = ways.iter().any(|way| way.is_empty());
            ways.retain(|way| !way.is_empty());
            ways.dedup();
            let mut written = List::or(&ways).to_string();
            if gap {
                written.push_str(&format!("; or `{{{NOT_RECORDED_KEY}: …}}`"));
            }
            let mark = if needed.contains(&key.as_str()) { ", needed" } else { "" };
            let what = text_of(schema, "description").replace('\n', " ").replace('|', "\\|");
            rows.push_str(&format!("| `{key}`{mark} | {what} | {} |\n", written.replace('|', "\\|")));
        }
        rows
    }

    /// How a value may be written; an empty way stands for a gap with its reason.
    fn ways(&mut self, path: &str, schema: &'a Json, ways: &mut Vec<String>) {
        if let Some(name) = schema.get("$ref").and_then(Json::as_str).and_then(|to| to.rsplit('/').next()) {
            let Some(shared) = self.schema["$defs"].get(name) else { return };
            let is_block = shared.get("properties").is_some();
            if is_block && is_gap(shared) {
                return ways.push(String::new());
            }
            match self.seen.get(name).filter(|_| is_block) {
                Some(place) => return ways.push(format!("a block as `{place}`")),
                None if is_block => self.seen.insert(name, path.to_owned()),
                None => None,
            };
            return self.ways(path, shared, ways);
        }
        for branch in ["anyOf", "oneOf"].iter().filter_map(|name| schema.get(name)?.as_array()).flatten() {
            self.ways(path, branch, ways);
        }
        if let Some(word) = schema.get("const").and_then(Json::as_str) {
            return ways.push(format!("`{word}`"));
        }
        if let Some(words) = schema.get("enum").and_then(Json::as_array) {
            return ways.extend(words.iter().filter_map(Json::as_str).map(|word| format!("`{word}`")));
        }
        let kinds = match schema.get("type") {
            Some(Json::Array(kinds)) => kinds.iter().filter_map(Json::as_str).collect(),
            Some(Json::String(kind)) => vec![kind.as_str()],
            _ => Vec::new(),
        };
        for kind in kinds {
            match kind {
                "boolean" => ways.push("`true` or `false`".to_owned()),
                "integer" | "number" => ways.push(number(schema)),
                "string" => ways.push(value(schema)),
                "array" => self.list(path, schema, ways),
                "object" => self.block(path, schema, ways),
                _ => {}
            }
        }
    }

    fn list(&mut self, path: &str, schema: &'a Json, ways: &mut Vec<String>) {
        let mut items = Vec::new();
        if let Some(item) = schema.get("items") {
            self.ways(path, item, &mut items);
        }
        items.retain(|way| !way.is_empty());
        let of = if items.is_empty() { "texts".to_owned() } else { List::or(&items).to_string() };
        ways.push(format!("a list, each {of}"));
    }

    fn block(&mut self, path: &str, schema: &'a Json, ways: &mut Vec<String>) {
        let properties = schema.get("properties").and_then(Json::as_object);
        // A block of toes: one of them stands for all.
        if let Some(toe) = properties.and_then(|keys| keys.get("R1")) {
            ways.push("a block for each toe".to_owned());
            return self.inside(&format!("{path}.TOE"), toe);
        }
        if properties.is_some() {
            ways.push("a block".to_owned());
            if let Some(block) = schema.as_object() {
                self.inner.push_back((path.to_owned(), block));
            }
        } else if let Some(each) = schema.get("additionalProperties").filter(|each| each.is_object()) {
            ways.push("a block for each, under a short key".to_owned());
            self.inside(&format!("{path}.KEY"), each);
        }
    }

    /// The blocks inside, without a word of how they are written.
    fn inside(&mut self, path: &str, schema: &'a Json) {
        self.ways(path, schema, &mut Vec::new());
    }
}

fn text_of<'a>(schema: &'a Json, key: &str) -> &'a str {
    schema.get(key).and_then(Json::as_str).unwrap_or_default()
}

/// The block that a gap is written as.
fn is_gap(schema: &Json) -> bool {
    schema["properties"].get(NOT_RECORDED_KEY).is_some()
}

fn number(schema: &Json) -> String {
    let bound =
        |name: &str| schema.get(name).map(|bound| bound.to_string().trim_end_matches(".0").to_owned());
    match (bound("minimum"), bound("maximum")) {
        (Some(least), Some(most)) => format!("a number from {least} to {most}"),
        _ => "a number".to_owned(),
    }
}

/// A text, or a value of a known form with its example.
fn value(schema: &Json) -> String {
    let title = text_of(schema, "title");
    match schema.get("examples").and_then(|examples| examples[0].as_str()) {
        Some(example) if !title.is_empty() => format!("{title}, like `{example}`"),
        Some(example) => format!("like `{example}`"),
        None => "text".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_block_has_its_section_and_a_shared_one_is_told_once() {
        let schema = serde_json::json!({
            "properties": {
                "reference": {"type": "string", "title": "case reference", "examples": ["LFC-0117"], "description": "Its name."},
                "weight": {"anyOf": [{"type": "string"}, {"$ref": "#/$defs/NotRecorded"}], "description": "Mass."},
                "one": {"$ref": "#/$defs/Shared", "description": "First."},
                "two": {"anyOf": [{"$ref": "#/$defs/Shared"}, {"type": "null"}], "description": "Again."},
                "toes": {"type": "object", "properties": {"R1": {"$ref": "#/$defs/Toe"}}, "description": "Toes."},
            },
            "required": ["reference"],
            "$defs": {
                "NotRecorded": {"type": "object", "properties": {"not_recorded": {"type": "string"}}},
                "Shared": {"type": "object", "properties": {"on": {"type": ["boolean", "null"], "description": "It is on."}}},
                "Toe": {"type": "object", "properties": {"nail": {"enum": ["partial", "total"], "description": "How."}}},
            },
        });
        assert_eq!(
            keys(&schema),
            "\n## At the left margin\n\n| key | what it is | written as |\n|---|---|---|\n\
             | `reference`, needed | Its name. | case reference, like `LFC-0117` |\n\
             | `weight` | Mass. | text; or `{not_recorded: …}` |\n\
             | `one` | First. | a block |\n\
             | `two` | Again. | a block as `one` |\n\
             | `toes` | Toes. | a block for each toe |\n\
             \n## one\n\n| key | what it is | written as |\n|---|---|---|\n| `on` | It is on. | `true` or `false` |\n\
             \n## toes.TOE\n\n| key | what it is | written as |\n|---|---|---|\n| `nail` | How. | `partial` or `total` |\n\n"
        );
    }
}
