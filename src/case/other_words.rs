//! Keys as people call them, and names that stand for a block: what a message may offer instead of a list
//! of all that is allowed.
//!
//! A word is offered only where its key may stand, so one word can mean different keys in different blocks.

use schemars::Schema;
use serde_json::{Value as Json, json};

use super::accepts::target_of;

/// What people write, in small letters with blanks, and the key that it can only mean.
const MEANT: &[(&str, &str)] = &[
    // The clinic file.
    ("clinic", "name"),
    ("clinic name", "name"),
    ("phone", "telephone"),
    ("phone number", "telephone"),
    ("tel", "telephone"),
    ("mobile", "telephone"),
    ("people", "practitioners"),
    ("staff", "practitioners"),
    ("podiatrists", "practitioners"),
    ("practitioner", "practitioners"),
    ("gp", "gps"),
    ("doctors", "gps"),
    ("surgeries", "gps"),
    ("practices", "gps"),
    ("surgery", "practice"),
    ("practice name", "practice"),
    ("doctor", "name"),
    ("opening hours", "hours"),
    ("open", "opening_days"),
    ("days", "opening_days"),
    ("nation", "division"),
    ("country", "division"),
    ("hcpc", "registration"),
    ("registration number", "registration"),
    ("redressing", "first_redressing_days"),
    ("first redressing", "first_redressing_days"),
    ("review", "review_days"),
    ("skin prep", "skin_preparation"),
    ("holidays", "closed"),
    // The case file.
    ("ref", "reference"),
    ("first name", "given"),
    ("forename", "given"),
    ("given name", "given"),
    ("given names", "given"),
    ("last name", "family"),
    ("surname", "family"),
    ("family name", "family"),
    ("known as", "preferred"),
    ("written as", "name_as_written"),
    ("name in own script", "name_as_written"),
    ("dob", "born"),
    ("date of birth", "born"),
    ("gender", "sex"),
    ("nhs", "nhs_number"),
    ("nhs no", "nhs_number"),
    ("chi", "chi_number"),
    ("chi no", "chi_number"),
    ("h&c", "hc_number"),
    ("h&c number", "hc_number"),
    ("hcn", "hc_number"),
    ("bp", "blood_pressure"),
    ("obs", "observations"),
    ("histology", "samples"),
    ("mass", "weight"),
    ("gps", "gp"),
    ("family doctor", "gp"),
    ("drugs", "medicines"),
    ("meds", "medicines"),
    ("medication", "medicines"),
    ("medications", "medicines"),
    ("medical history", "conditions"),
    ("pmh", "conditions"),
    ("allergy", "allergies"),
    ("smoking", "smoker"),
    ("smokes", "smoker"),
    ("story", "summary"),
    ("complaint", "summary"),
    ("presenting complaint", "summary"),
    ("circulation", "vascular"),
    ("monofilament", "sensation"),
    ("dp", "dorsalis_pedis"),
    ("pt", "posterior_tibial"),
    ("surgeon", "operator"),
    ("local anaesthetic", "anaesthetic"),
    ("anesthetic", "anaesthetic"),
    ("la", "anaesthetic"),
    ("drug", "agent"),
    ("concentration", "strength"),
    ("lot", "batch"),
    ("batch number", "batch"),
    ("expiry", "expires"),
    ("expiry date", "expires"),
    ("exp", "expires"),
    ("volume", "injected"),
    ("started", "start"),
    ("finished", "finish"),
    ("end", "finish"),
    ("reason", "because"),
    ("why", "because"),
    ("substance", "to"),
    ("allergen", "to"),
];

/// Blocks inside one another in which a key is looked for.
const MAX_DEPTH: usize = 4;
/// A key that the clinic chooses itself.
const ANY: &str = "…";
/// The mark in the schema of a block that can be said by its name alone.
const MARK: &str = "x-short-for";

/// The known key that a word means, whatever its capitals.
pub(super) fn of<'a>(typed: &str, known: &[&'a str]) -> Option<&'a str> {
    let typed = typed.to_lowercase().replace(['-', '_'], " ");
    let typed = typed.trim().trim_end_matches('.');
    let meant = MEANT.iter().filter(|(word, _)| *word == typed);
    meant.filter_map(|(_, key)| known.iter().find(|known| *known == key)).next().copied()
}

/// The one place of a file where a key of this name may stand, as `protocol.opening_days`.
pub(super) fn elsewhere(typed: &str, root: &Json) -> Option<String> {
    let typed = typed.to_lowercase().replace(['-', '_'], " ");
    let only_place = |key: &str| {
        let mut found = Vec::new();
        look_for(key, root, root, "", 0, &mut found);
        match found.as_slice() {
            [one] if !one.contains(ANY) => Some(one.clone()),
            _ => None,
        }
    };
    let meant = || MEANT.iter().filter(|(word, _)| *word == typed).map(|(_, key)| key.replace('_', " "));
    only_place(&typed).or_else(|| meant().find_map(|key| only_place(&key)))
}

fn look_for(typed: &str, root: &Json, schema: &Json, path: &str, depth: usize, found: &mut Vec<String>) {
    if depth > MAX_DEPTH {
        return;
    }
    if let Some(target) = schema.get("$ref").and_then(Json::as_str) {
        if let Some(target) = target_of(root, target) {
            look_for(typed, root, target, path, depth, found);
        }
        return;
    }
    for branches in ["anyOf", "oneOf"] {
        for branch in schema.get(branches).and_then(Json::as_array).into_iter().flatten() {
            look_for(typed, root, branch, path, depth, found);
        }
    }
    for (key, entry) in schema.get("properties").and_then(Json::as_object).into_iter().flatten() {
        let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        if key.replace('_', " ") == *typed {
            found.push(below);
        } else {
            look_for(typed, root, entry, &below, depth + 1, found);
        }
    }
    if let Some(entry) = schema.get("additionalProperties").filter(|entry| entry.is_object()) {
        look_for(typed, root, entry, &format!("{path}.{ANY}"), depth + 1, found);
    }
}

/// Lets the value of one key stand for a whole block. For the schema of a type of the model.
pub(super) fn or_its_name(schema: &mut Schema, key: &str) {
    let mut block = schema.clone();
    let description = block.remove("description");
    *schema = Schema::default();
    if let Some(description) = description {
        schema.insert("description".into(), description);
    }
    schema.insert("anyOf".into(), json!([{"type": "string"}, block]));
    schema.insert(MARK.into(), key.into());
}

/// The key of a block whose value may stand for the whole.
pub(super) fn short_for<'s>(root: &'s Json, schema: &'s Json) -> Option<&'s str> {
    let schema = match schema.get("$ref").and_then(Json::as_str) {
        Some(target) => target_of(root, target)?,
        None => schema,
    };
    schema.get(MARK)?.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{case_schema, clinic_schema};

    #[test]
    fn a_word_is_offered_only_where_its_key_may_stand() {
        assert_eq!(of("Phone", &["name", "telephone"]), Some("telephone"));
        assert_eq!(of("GP", &["gps", "name"]), Some("gps"));
        assert_eq!(of("GPs", &["gp", "patient"]), Some("gp"));
        assert_eq!(of("phone", &["name", "role"]), None);
    }

    #[test]
    fn a_key_of_another_block_is_found_if_there_is_only_one() {
        let clinic = clinic_schema();
        assert_eq!(elsewhere("Opening days", &clinic).as_deref(), Some("protocol.opening_days"));
        assert_eq!(elsewhere("address", &clinic), None, "the clinic's own and those of the practices");
        assert_eq!(elsewhere("DOB", &case_schema()).as_deref(), Some("patient.born"));
        assert_eq!(elsewhere("colour", &clinic), None);
    }

    /// A word that means no key of any file would never be offered.
    #[test]
    fn every_word_means_a_key_of_some_block() {
        let schemas = format!("{}{}", case_schema(), clinic_schema());
        for (word, key) in MEANT {
            assert!(schemas.contains(&format!("\"{key}\":")), "{word} means {key}, which no file has");
            assert_eq!(*word, word.to_lowercase());
        }
    }
}
