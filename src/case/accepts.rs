//! What a schema accepts in one place, and how messages say it.
//!
//! The only file that knows how the schema library lays types out. It judges nothing.

use rust_decimal::Decimal;
use rustc_hash::FxHashMap;
use serde_json::{Map, Value as Json};

use super::forms::lines::{self, Line};
use super::forms::{Marked, marked};
use super::{nothing, other_words};
use crate::case::{FORMATS, Format, NOT_RECORDED_KEY};
use crate::words::List;

/// What a schema accepts, by the kind of node.
#[derive(Default)]
pub(crate) struct Accepts<'s> {
    pub(crate) words: Vec<&'s str>,
    pub(crate) text: Option<&'s Json>,
    pub(crate) integer: Option<&'s Json>,
    pub(crate) number: Option<&'s Json>,
    pub(crate) boolean: bool,
    pub(crate) list: Option<&'s Json>,
    pub(crate) block: Option<&'s Json>,
    /// The block that says that a value was not recorded, and why.
    pub(crate) gap: Option<&'s Json>,
}

impl<'s> Accepts<'s> {
    pub(crate) fn of(root: &'s Json, schema: &'s Json) -> Accepts<'s> {
        let mut accepts = Accepts::default();
        accepts.gather(root, schema, 0);
        accepts
    }

    fn gather(&mut self, root: &'s Json, schema: &'s Json, depth: usize) {
        // The model has no type inside itself; the bound only keeps a mistake of ours from running on.
        if depth > 16 {
            return;
        }
        let parts = Parts::of(schema);
        if let Some(target) = parts.reference {
            if let Some(target) = target_of(root, target) {
                self.gather(root, target, depth + 1);
            }
            return;
        }
        for branch in parts.any_of.iter().chain(parts.one_of) {
            self.gather(root, branch, depth + 1);
        }
        if let Some(word) = parts.word {
            self.words.push(word);
            return;
        }
        if let Some(words) = parts.words {
            self.words.extend(words.iter().filter_map(Json::as_str));
            return;
        }
        let kinds = match parts.kind {
            Some(Json::Array(kinds)) => kinds.as_slice(),
            Some(kind) => std::slice::from_ref(kind),
            None => &[],
        };
        for kind in kinds.iter().filter_map(Json::as_str) {
            match kind {
                "string" => self.text = self.text.or(Some(schema)),
                "integer" => self.integer = self.integer.or(Some(schema)),
                "number" => self.number = self.number.or(Some(schema)),
                "boolean" => self.boolean = true,
                "array" => self.list = self.list.or(Some(schema)),
                "object" if is_gap(schema) => self.gap = self.gap.or(Some(schema)),
                "object" => self.block = self.block.or(Some(schema)),
                _ => {}
            }
        }
    }

    /// What may stand here, as phrases to be joined by "or".
    pub(super) fn phrases(&self) -> Vec<String> {
        let mut phrases = Vec::new();
        match self.words.as_slice() {
            [] => {}
            [word] => phrases.push(format!("the word `{word}`")),
            words => phrases.push(format!("one of {}", List::or_ticked(words))),
        }
        if let Some(schema) = self.integer {
            phrases.push(match bounds(schema) {
                (Some(low), Some(high)) => format!("a whole number from {low} to {high}"),
                _ => "a whole number".into(),
            });
        }
        if self.number.is_some() {
            phrases.push("a number".into());
        }
        if self.boolean {
            phrases.push("`true` or `false`".into());
        }
        if let Some(schema) = self.text {
            phrases.push(match format_of(schema) {
                Some(format) => format!("one value like `{}`", format.example),
                None => "a text".into(),
            });
        }
        if self.list.is_some() {
            phrases.push("a list".into());
        }
        if self.block.is_some() {
            phrases.push("a block of indented keys".into());
        }
        if self.gap.is_some() {
            phrases.push(format!("`{{{NOT_RECORDED_KEY}: …}}` with the reason"));
        }
        phrases
    }
}

/// A schema with all that is asked of its places, worked out once for the files of a run.
pub(crate) struct Forms<'s> {
    pub(super) root: &'s Json,
    /// By where the part of the schema stands in memory, which it does not leave while it is borrowed.
    forms: FxHashMap<usize, Form<'s>>,
}

/// All that is asked of one place of a schema.
pub(super) struct Form<'s> {
    pub(super) accepts: Accepts<'s>,
    /// How its text is laid out, if that is no free text.
    pub(super) format: Option<&'static Format>,
    /// The word `none` may stand for the list.
    pub(super) takes_none: bool,
    /// The key of a block whose value may stand for the whole.
    pub(super) short_for: Option<&'s str>,
    /// The short form of its own that it has.
    pub(super) marked: Option<&'static Marked>,
    /// The line that can stand for its block.
    pub(super) line: Option<&'static Line>,
    pub(super) block: Block<'s>,
    /// What the items of a list are.
    pub(super) items: Option<&'s Json>,
    /// How many items a list has at least.
    pub(super) least_items: u64,
}

/// What a schema says of the keys of a block.
#[derive(Default)]
pub(super) struct Block<'s> {
    pub(super) known: Option<Keys<'s>>,
    /// What stands under keys of the file's own.
    pub(super) others: Option<&'s Json>,
    /// How many entries there are at least.
    pub(super) least: u64,
    pub(super) required: Vec<&'s str>,
}

/// The keys of a block with their schemas: they are looked up many times for each file.
pub(super) struct Keys<'s> {
    schemas: FxHashMap<&'s str, &'s Json>,
    /// They are toes.
    pub(super) are_toes: bool,
}

impl<'s> Keys<'s> {
    fn of(keys: &'s Map<String, Json>) -> Keys<'s> {
        let schemas = keys.iter().map(|(key, schema)| (key.as_str(), schema)).collect();
        Keys { schemas, are_toes: keys.contains_key("R1") }
    }

    /// The schema under a key.
    pub(super) fn get(&self, key: &str) -> Option<&'s Json> {
        self.schemas.get(key).copied()
    }
}

impl<'s> Forms<'s> {
    pub(crate) fn of(root: &'s Json) -> Forms<'s> {
        let mut forms = Forms { root, forms: FxHashMap::default() };
        forms.add(root);
        forms
    }

    fn add(&mut self, part: &'s Json) {
        if part.is_object() {
            self.forms.insert(place(part), Form::of(self.root, part));
        }
        let below = part.as_object().into_iter().flat_map(Map::values);
        below.chain(part.as_array().into_iter().flatten()).for_each(|part| self.add(part));
    }

    /// The form of a part of the schema.
    pub(super) fn form(&self, schema: &'s Json) -> Option<&Form<'s>> {
        self.forms.get(&place(schema))
    }
}

fn place(schema: &Json) -> usize {
    std::ptr::from_ref(schema).addr()
}

impl<'s> Form<'s> {
    fn of(root: &'s Json, schema: &'s Json) -> Form<'s> {
        let number = |key: &str| schema.get(key).and_then(Json::as_u64).unwrap_or(0);
        let required = schema.get("required").and_then(Json::as_array).into_iter().flatten();
        let accepts = Accepts::of(root, schema);
        Form {
            format: accepts.text.and_then(format_of),
            accepts,
            takes_none: nothing::is_none_or_list(schema),
            short_for: other_words::short_for(root, schema),
            marked: marked(root, schema),
            line: lines::of(root, schema),
            block: Block {
                known: schema.get("properties").and_then(Json::as_object).map(Keys::of),
                others: schema.get("additionalProperties").filter(|others| others.is_object()),
                least: number("minProperties"),
                required: required.filter_map(Json::as_str).collect(),
            },
            items: schema.get("items"),
            least_items: number("minItems"),
        }
    }
}

/// What of a schema says what it accepts: one look at each of its keys, of which there are a handful.
#[derive(Default)]
struct Parts<'s> {
    reference: Option<&'s str>,
    any_of: &'s [Json],
    one_of: &'s [Json],
    word: Option<&'s str>,
    words: Option<&'s [Json]>,
    kind: Option<&'s Json>,
}

impl<'s> Parts<'s> {
    fn of(schema: &'s Json) -> Parts<'s> {
        let mut parts = Parts::default();
        for (key, value) in schema.as_object().into_iter().flatten() {
            let list = || value.as_array().map(Vec::as_slice);
            match key.as_str() {
                "$ref" => parts.reference = value.as_str(),
                "anyOf" => parts.any_of = list().unwrap_or_default(),
                "oneOf" => parts.one_of = list().unwrap_or_default(),
                "const" => parts.word = value.as_str(),
                "enum" => parts.words = list(),
                "type" => parts.kind = Some(value),
                _ => {}
            }
        }
        parts
    }
}

/// What a reference inside a schema leads to: `#/$defs/Patient`, as the types of the model give it.
pub(crate) fn target_of<'s>(root: &'s Json, reference: &str) -> Option<&'s Json> {
    let pointer = reference.strip_prefix('#')?;
    match pointer.strip_prefix("/$defs/") {
        Some(name) if !name.contains(['/', '~']) => root.get("$defs")?.get(name),
        _ => root.pointer(pointer),
    }
}

/// The block of a gap is the one that needs its key and has no other.
fn is_gap(schema: &Json) -> bool {
    schema.get("required").and_then(Json::as_array).is_some_and(|keys| keys == &[NOT_RECORDED_KEY])
}

pub(super) fn format_of(schema: &Json) -> Option<&'static Format> {
    let name = schema.get("format")?.as_str()?;
    FORMATS.iter().find(|format| format.name == name)
}

/// The smallest and largest number allowed; where the model gives none, what its integer type holds.
pub(super) fn bounds(schema: &Json) -> (Option<Decimal>, Option<Decimal>) {
    let bound = |name: &str| schema.get(name).and_then(|bound| bound.to_string().parse::<Decimal>().ok());
    let of_type = match schema.get("format").and_then(Json::as_str) {
        Some("uint8") => Some(Decimal::from(u8::MAX)),
        Some("uint16") => Some(Decimal::from(u16::MAX)),
        Some("uint32") => Some(Decimal::from(u32::MAX)),
        _ => None,
    };
    let normal = |number: Decimal| number.normalize();
    (bound("minimum").map(normal), bound("maximum").or(of_type).map(normal))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_come_from_the_schema_or_the_type() {
        let of = |json: Json| bounds(&json);
        assert_eq!(
            of(serde_json::json!({"minimum": 0.5, "maximum": 20.0})),
            (Some(Decimal::new(5, 1)), Some(20.into()))
        );
        assert_eq!(
            of(serde_json::json!({"format": "uint8", "minimum": 0})),
            (Some(0.into()), Some(255.into()))
        );
        assert_eq!(of(serde_json::json!({})), (None, None));
    }

    #[test]
    fn branches_are_gathered_by_kind() {
        let schema = serde_json::json!({
            "anyOf": [{"$ref": "#/$defs/none"}, {"type": "array"}, {"type": "null"}],
            "$defs": {"none": {"oneOf": [{"type": "string", "const": "none known"}]}},
        });
        let accepts = Accepts::of(&schema, &schema);
        assert_eq!(accepts.phrases(), ["the word `none known`", "a list"]);
        assert!(accepts.text.is_none() && accepts.block.is_none());
    }

    #[test]
    fn a_gap_is_told_from_a_block() {
        let schema = serde_json::json!({"anyOf": [
            {"type": "object", "required": ["on"], "properties": {"on": {"type": "string"}}},
            {"type": "object", "required": ["not_recorded"]},
        ]});
        let accepts = Accepts::of(&schema, &schema);
        assert_eq!(accepts.phrases(), ["a block of indented keys", "`{not_recorded: …}` with the reason"]);
        assert!(accepts.block.is_some_and(|block| block["required"] == serde_json::json!(["on"])));
    }

    #[test]
    fn a_schema_inside_itself_comes_to_an_end() {
        let schema = serde_json::json!({"$ref": "#"});
        assert!(Accepts::of(&schema, &schema).phrases().is_empty());
    }
}
