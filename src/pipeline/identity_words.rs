//! The view of a document as it would be about somebody else: what says who the patient is has other letters,
//! everything else is as it was. A template that then says anything else depends on who the patient is.

use serde_json::Value as Json;

use crate::facts::Facts;

/// The same view about somebody else.
pub(super) fn of_somebody_else(view: &Json, facts: &Facts) -> Json {
    let patient = &facts.case.patient;
    let reference = facts.case.reference.as_str().to_owned();
    let numbers = [facts.derived.nhs_number.get().cloned(), patient.telephone.clone()];
    let births = [patient.born.clinical(), patient.born.0.format("%-d %B %Y").to_string()];
    let words: Vec<String> = std::iter::once(reference)
        .chain(patient.names().map(str::to_owned))
        .chain(births)
        .chain(numbers.into_iter().flatten())
        .chain(patient.address.iter().cloned())
        .flat_map(|word| [word.to_uppercase(), word])
        .filter(|word| word.chars().count() > 1)
        .collect();
    changed(view, &words)
}

fn changed(view: &Json, words: &[String]) -> Json {
    match view {
        Json::String(text) => {
            let change = |text: String, word: &String| with_other_letters(&text, word);
            Json::String(words.iter().fold(text.clone(), change))
        }
        Json::Array(items) => items.iter().map(|item| changed(item, words)).collect(),
        Json::Object(keys) => keys.iter().map(|(key, value)| (key.clone(), changed(value, words))).collect(),
        other => other.clone(),
    }
}

/// Every place at which a word stands by itself, with other letters in it: as many, so that a condition on the
/// length of a text says the same.
fn with_other_letters(text: &str, word: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(word) {
        let (before, from) = rest.split_at(at);
        let after = &from[word.len()..];
        out.push_str(before);
        let is_apart = |c: Option<char>| !c.is_some_and(char::is_alphanumeric);
        if is_apart(before.chars().next_back()) && is_apart(after.chars().next()) {
            out.extend(word.chars().map(other_letter));
        } else {
            out.push_str(word);
        }
        rest = after;
    }
    out + rest
}

fn other_letter(c: char) -> char {
    match c {
        '0'..='8' => char::from(c as u8 + 1),
        '9' => '0',
        'x' => 'q',
        'X' => 'Q',
        c if c.is_uppercase() => 'X',
        c if c.is_alphabetic() => 'x',
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn whoever_it_is_about_is_somebody_else_and_the_rest_stays() {
        let facts = facts_of("patient: {given: Ann, family: Vale}");
        let reference = facts.case.reference.as_str();
        let view = serde_json::json!({"a": [format!("VALE, Ann of {reference}")], "b": true, "c": "Annual valet 9 mg"});
        let other = of_somebody_else(&view, &facts);
        let said = other["a"][0].as_str().expect("a text");
        assert!(said.starts_with("XXXX, Xxx of ") && !said.contains(reference), "{said}");
        assert_eq!((&other["b"], &other["c"]), (&view["b"], &view["c"]));
    }
}
