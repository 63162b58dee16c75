//! The schema for editors and other programs: the model's own, with what the short forms let people type.
//!
//! Descriptions and long forms stay as they are. A pattern lets through all that is read; what it lets through
//! may still be refused.

use serde_json::{Map, Value as Json, json};

use super::{MARK, lines, marked, toe, words, yes_no};
use crate::anatomy::Toe;
use crate::case::FORMATS;
use crate::case::accepts::Accepts;
use crate::case::nothing;

/// One entry of a list of names: without a comma, and no word for nothing.
const ONE_ENTRY: &str = "^(?!(?:[nN]one|[nN]il|[nN]o|[nN]othing)$)[^,;]+$";
/// The mark of a block in whose place the key of a box may stand.
const OR_SUPPLY: &str = "x-or-supply";
/// Marks for our own reader.
const OWN: [&str; 5] = [MARK, lines::MARK, "x-none-is-empty", "x-short-for", OR_SUPPLY];

/// The schema with the short forms in it.
pub fn published(root: &Json) -> Json {
    Publish { root }.schema(root)
}

struct Publish<'s> {
    root: &'s Json,
}

impl Publish<'_> {
    fn schema(&self, schema: &Json) -> Json {
        let Json::Object(object) = schema else { return schema.clone() };
        let mut full = self.inside(object);
        let mut more: Vec<Json> = Vec::new();
        // A reference is followed where it leads; what is marked at the reference is said here.
        if let Some(marked) = self.own_mark(schema) {
            more.push(json!({"type": "string", "pattern": marked.pattern, "examples": marked.examples}));
        }
        if object.contains_key(OR_SUPPLY) {
            more.push(json!({"type": "string"}));
        }
        if object.contains_key("properties")
            && let Some(line) = lines::of(self.root, schema)
        {
            more.push(json!({
                "type": "string",
                "description": line.described(),
                "pattern": line.pattern(),
                "examples": line.examples(),
            }));
        }
        if object.contains_key("type") || nothing::is_none_or_list(schema) {
            more.extend(self.of_kind(schema, object));
        }
        // The word for both edges may stand among the items, too.
        let is_choice = object.contains_key("oneOf") || object.contains_key("anyOf");
        if is_choice
            && Accepts::of(self.root, schema).words == super::edges::BOTH
            && !is_list_or_block(schema)
        {
            more.push(
                json!({"type": "string", "pattern": any_of(&["medial", "lateral", "both", "both edges"])}),
            );
        }
        if full.get("x-short-for").and_then(Json::as_str) == Some("supply") {
            for branch in full.get_mut("anyOf").and_then(Json::as_array_mut).into_iter().flatten() {
                from_a_box(branch);
            }
        }
        for own in OWN {
            full.remove(own);
        }
        match more.is_empty() {
            true => Json::Object(full),
            false => either(full, more),
        }
    }

    /// The schemas inside, each published.
    fn inside(&self, object: &Map<String, Json>) -> Map<String, Json> {
        let mut full = object.clone();
        for key in ["properties", "$defs"] {
            if let Some(Json::Object(below)) = object.get(key) {
                let below: Map<String, Json> =
                    below.iter().map(|(key, schema)| (key.clone(), self.schema(schema))).collect();
                if below.contains_key("R1") {
                    let named = Toe::ALL
                        .iter()
                        .filter_map(|toe| Some((toe::pattern(*toe), below.get(toe.code())?.clone())));
                    full.insert("patternProperties".into(), Json::Object(named.collect()));
                }
                full.insert(key.into(), Json::Object(below));
            }
        }
        for key in ["items", "additionalProperties"] {
            if let Some(below) = object.get(key) {
                full.insert(key.into(), self.schema(below));
            }
        }
        for key in ["anyOf", "oneOf"] {
            if let Some(Json::Array(branches)) = object.get(key) {
                let branches = branches.iter().map(|branch| self.schema(branch)).collect();
                // With a short form two branches may fit one text.
                full.remove(key);
                full.insert("anyOf".into(), Json::Array(branches));
            }
        }
        if let Some(format) = object.get("format").and_then(Json::as_str)
            && let Some(format) = FORMATS.iter().find(|known| known.name == format)
            && !format.pattern.is_empty()
        {
            full.insert("pattern".into(), blanks(format.pattern).into());
        }
        full
    }

    /// The mark of a schema itself, not of one that it refers to.
    fn own_mark(&self, schema: &Json) -> Option<&'static super::Marked> {
        schema.get(MARK).and_then(|_| marked(self.root, schema))
    }

    /// What else may stand where a schema wants a kind of value.
    fn of_kind(&self, schema: &Json, object: &Map<String, Json>) -> Vec<Json> {
        let accepts = Accepts::of(self.root, schema);
        let mut more = Vec::new();
        if accepts.boolean {
            let words: Vec<&str> = yes_no::WORDS.iter().map(|(word, _)| *word).collect();
            more.push(json!({"type": "string", "pattern": any_of(&words)}));
        }
        if nothing::is_none_or_list(schema) {
            more.push(json!({"type": "string", "pattern": any_of(&nothing::WORDS)}));
        }
        let is_text = object.get("type") == Some(&json!("string"))
            || object.get("type") == Some(&json!(["string", "null"]));
        if is_text {
            more.extend(of_text(object, &accepts));
        }
        if accepts.integer.is_some() && accepts.text.is_none() {
            more.push(json!({"type": "string", "pattern": "^[0-9]+ *(?:[mM][mM][hH][gG]|days?|weeks?|months?|min(?:ute)?s?)$"}));
        }
        if let Some(list) = accepts.list {
            more.extend(self.of_list(list));
        }
        more
    }

    /// One item without brackets.
    fn of_list(&self, list: &Json) -> Option<Json> {
        let items = list.get("items")?;
        let item = Accepts::of(self.root, items);
        let is_named = crate::case::other_words::short_for(self.root, items).is_some();
        if !item.words.is_empty() && item.text.is_none() {
            let known: Vec<&str> = item.words.iter().copied().chain(words::also(&item.words)).collect();
            let one = any_of(&known);
            let one = &one[1..one.len() - 1];
            let both = if item.words == super::edges::BOTH { "|[bB]oth(?: edges| sides)?" } else { "" };
            return Some(json!({
                "type": "string",
                "pattern": format!("^(?:{one}(?:(?: *[,;+&–-] *| and | to ){one})*{both})$"),
            }));
        }
        // A list of dates takes one date; a text with a comma could be several.
        match item.text.and_then(|schema| schema.get("format")) {
            Some(_) => Some(self.schema(items)),
            None if item.text.is_some() || is_named => Some(json!({"type": "string", "pattern": ONE_ENTRY})),
            None => None,
        }
    }
}

/// A text: other ways to write a word of a list; a number where digits are taken for text.
fn of_text(object: &Map<String, Json>, accepts: &Accepts<'_>) -> Vec<Json> {
    if !accepts.words.is_empty() {
        let known: Vec<&str> = accepts.words.iter().copied().chain(words::also(&accepts.words)).collect();
        let nothing = if accepts.words.contains(&nothing::WORD) { &nothing::WORDS[..] } else { &[] };
        let both: &[&str] = if accepts.words == super::edges::BOTH { &["both"] } else { &[] };
        let known: Vec<&str> =
            known.into_iter().chain(nothing.iter().copied()).chain(both.iter().copied()).collect();
        return vec![json!({"type": "string", "pattern": any_of(&known)})];
    }
    let takes_a_number = match object.get("format").and_then(Json::as_str) {
        None => true,
        Some(format) => {
            ["time of day", "NHS number", "HbA1c in mmol/mol or %", "pressure index"].contains(&format)
        }
    };
    // Without quotation marks `9.35` and `4417` are numbers to other readers.
    if takes_a_number { vec![json!({"type": "number"})] } else { Vec::new() }
}

/// A block that names its box has the rest from there.
fn from_a_box(block: &mut Json) {
    let Some(block) = block.as_object_mut() else { return };
    if let Some(required) = block.remove("required") {
        block.insert("anyOf".into(), json!([{"required": ["supply"]}, {"required": required}]));
    }
}

/// One of the branches is a list or a block.
fn is_list_or_block(schema: &Json) -> bool {
    let branches = ["oneOf", "anyOf"].into_iter().filter_map(|key| schema.get(key)?.as_array()).flatten();
    branches.clone().any(|branch| branch.get("$ref").is_some() || branch.get("items").is_some())
}

/// The schema or one of the others; what describes it stays outside.
fn either(mut full: Map<String, Json>, more: Vec<Json>) -> Json {
    let mut outside = Map::new();
    for key in ["$schema", "$defs", "title", "description", "default", "examples"] {
        if let Some(value) = full.remove(key) {
            outside.insert(key.into(), value);
        }
    }
    let mut branches = match full.remove("anyOf") {
        Some(Json::Array(branches)) if full.is_empty() => branches,
        Some(branches) => {
            full.insert("anyOf".into(), branches);
            vec![Json::Object(full)]
        }
        None => vec![Json::Object(full)],
    };
    branches.extend(more);
    outside.insert("anyOf".into(), Json::Array(branches));
    Json::Object(outside)
}

/// A pattern also lets through no-break blanks and the quotation marks of a word processor.
fn blanks(pattern: &str) -> String {
    let pattern = pattern.replace(" *", "[ \u{a0}]*");
    match pattern.strip_prefix('^') {
        Some(rest) => format!("^[“‘]?{}[”’]?$", rest.trim_end_matches('$')),
        None => pattern,
    }
}

/// A pattern for words, whatever their capitals, with blanks or hyphens.
fn any_of(words: &[&str]) -> String {
    let each: Vec<String> = words
        .iter()
        .map(|word| {
            word.chars()
                .map(|c| match c {
                    ' ' | '-' | '_' => "[ _-]".to_owned(),
                    c if c.is_ascii_alphabetic() => {
                        format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
                    }
                    c => c.to_string(),
                })
                .collect()
        })
        .collect();
    format!("^(?:{})$", each.iter().map(|word| format!("[“‘]?{word}[”’]?")).collect::<Vec<_>>().join("|"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{case_schema, clinic_schema};

    #[test]
    fn descriptions_stay_and_our_own_marks_do_not() {
        for schema in [case_schema(), clinic_schema()] {
            let (own, full) = (schema.to_string(), published(&schema).to_string());
            let described = |text: &str| text.matches("\"description\"").count();
            assert!(described(&own) <= described(&full));
            for mark in OWN {
                assert!(own.contains(MARK) && !full.contains(mark), "{mark}");
            }
        }
    }

    #[test]
    fn words_are_read_whatever_their_capitals() {
        assert_eq!(any_of(&["a b"]), "^(?:[“‘]?[aA][ _-][bB][”’]?)$");
    }
}
