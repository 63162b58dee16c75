//! What the model accepts in each place, as a form needs to know it: read from the JSON Schema that the
//! model's own types give. A key that is added to the model is here without a word of this file.

use serde_json::Value as Json;

use crate::anatomy::Toe;
use crate::case::{Accepts, FORMATS, target_of};
use crate::diagnostic::{Path, Segment};

/// What may stand in one place.
#[derive(Debug, Default, Clone)]
pub(super) struct Shape<'s> {
    /// These words.
    pub(super) words: Vec<&'s str>,
    /// A text; its example, where it has a form of its own.
    pub(super) text: Option<Option<&'static str>>,
    /// The name of that form.
    pub(super) format: Option<&'s str>,
    /// A whole number, or any.
    pub(super) number: bool,
    /// Yes or no.
    pub(super) boolean: bool,
    /// A list of these.
    pub(super) list: Option<&'s Json>,
    /// A block with these keys.
    pub(super) block: Option<&'s Json>,
    /// That it was not recorded, and why.
    pub(super) gap: bool,
}

impl<'s> Shape<'s> {
    /// Of a schema.
    pub(super) fn of(root: &'s Json, schema: &'s Json) -> Shape<'s> {
        let accepts = Accepts::of(root, schema);
        let format = accepts.text.and_then(|text| text.get("format")?.as_str());
        let known = FORMATS.iter().find(|known| Some(known.name) == format);
        Shape {
            text: accepts.text.map(|_| known.map(|known| known.example)),
            format,
            number: accepts.integer.is_some() || accepts.number.is_some(),
            boolean: accepts.boolean,
            list: accepts.list.and_then(|list| list.get("items")),
            block: accepts.block,
            gap: accepts.gap.is_some(),
            words: accepts.words,
        }
    }

    /// The keys of its block, with what may stand behind each.
    pub(super) fn keys(&self) -> Vec<(&'s str, &'s Json)> {
        let keys = self.block.and_then(|block| block.get("properties")).and_then(Json::as_object);
        keys.into_iter().flatten().map(|(key, schema)| (key.as_str(), schema)).collect()
    }

    /// Its keys are toes.
    pub(super) fn is_by_toe(&self) -> bool {
        let keys = self.keys();
        keys.len() == 10 && keys.iter().all(|(key, _)| toe(key).is_some())
    }

    /// A single line of text, a number or a word would do.
    pub(super) fn is_typed(&self) -> bool {
        self.text.is_some() || self.number
    }
}

/// The toe that a key names.
pub(super) fn toe(key: &str) -> Option<Toe> {
    Toe::ALL.into_iter().find(|toe| toe.code() == key)
}

/// The schema of a place in the case file; `None` if the model knows no such place.
pub(super) fn at<'s>(root: &'s Json, path: &Path) -> Option<&'s Json> {
    path.segments().iter().try_fold(root, |schema, segment| {
        let shape = Shape::of(root, schema);
        match segment {
            Segment::Key(key) => Some(shape.keys().into_iter().find(|(name, _)| name == key)?.1),
            Segment::Index(_) => shape.list,
        }
    })
}

/// The keys of the block at a path, in the model's order.
pub(super) fn order(root: &Json, path: &Path) -> Vec<String> {
    let Some(schema) = at(root, path) else { return Vec::new() };
    Shape::of(root, schema).keys().into_iter().map(|(key, _)| key.to_owned()).collect()
}

/// What the model says of a place: its own words for it.
pub(super) fn help(root: &Json, schema: &Json) -> String {
    let own = schema.get("description").and_then(Json::as_str);
    let target = schema.get("$ref").and_then(Json::as_str).and_then(|target| target_of(root, target));
    let text = own.or_else(|| target?.get("description")?.as_str()).unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('`', "")
}

/// The name of a key, or of a value worked out, as a person reads it.
pub(super) fn label(key: &str) -> String {
    if let Some(toe) = toe(key) {
        return format!("{} ({key})", capital(&toe.plain()));
    }
    let words = key.split(['_', ' ']).map(|word| match word {
        "nhs" => "NHS".to_owned(),
        "gp" => "GP".to_owned(),
        "inr" => "INR".to_owned(),
        "abpi" => "ABPI".to_owned(),
        "tbpi" => "TBPI".to_owned(),
        "vte" => "VTE".to_owned(),
        "hba1c" => "HbA1c".to_owned(),
        "24h" => "24 hours".to_owned(),
        word => word.to_owned(),
    });
    capital(&words.collect::<Vec<_>>().join(" "))
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
