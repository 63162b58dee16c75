//! Numbers and their units stay on one line.

use serde_json::Value as Json;

/// What stays on the line of the number before it.
const UNITS: &[&str] = &[
    "%", "mg", "mg/kg", "g", "kg", "ml", "cm", "mm", "mmHg", "mmol/mol", "mmol/l", "G", "s", "min", "hours",
    "weeks",
];

/// The view with a no-break space between each number and its unit.
pub(super) fn with_bound_units(view: Json) -> Json {
    match view {
        Json::String(text) => Json::String(bound_units(&text)),
        Json::Array(items) => items.into_iter().map(with_bound_units).collect(),
        Json::Object(keys) => {
            Json::Object(keys.into_iter().map(|(key, value)| (key, with_bound_units(value))).collect())
        }
        other => other,
    }
}

fn bound_units(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for word in text.split_inclusive(' ') {
        let unit = word.trim_end_matches([' ', '.', ',', ';', ':', ')']);
        if UNITS.contains(&unit)
            && out.ends_with(' ')
            && out.trim_end().ends_with(|c: char| c.is_ascii_digit())
        {
            out.pop();
            out.push('\u{a0}');
        }
        out.push_str(word);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit_and_nothing_else() {
        for (text, wanted) in [
            ("mepivacaine 3 %, 2.2 ml", "mepivacaine 3\u{a0}%, 2.2\u{a0}ml"),
            ("3 × 60 s (180 s); then", "3 × 60\u{a0}s (180\u{a0}s); then"),
            ("4.4 mg/kg × 62 kg = 5", "4.4\u{a0}mg/kg × 62\u{a0}kg = 5"),
            ("3 grains, a mg, 3  mg", "3 grains, a mg, 3 \u{a0}mg"),
            ("", ""),
        ] {
            assert_eq!(bound_units(text), wanted);
        }
    }
}
