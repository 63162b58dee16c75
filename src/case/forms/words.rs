//! Words of a fixed list, as the trade writes them: whatever their capitals, and by their abbreviations.

use super::{Form, Short, case, edges};
use crate::case::nothing;

pub(super) const NAIL: Form = Form {
    name: "nail",
    says: "how much of the nail: `PNA` and `TNA`",
    place: case!("plan: {L1: {nail: …, matrix: phenol}}\n"),
    examples: &[("PNA", "partial"), ("TNA", "total"), ("Total", "total"), ("total nail avulsion", "total")],
    refused: &[("half", "`partial` or `total`")],
};

pub(super) const SEX: Form = Form {
    name: "sex",
    says: "a word of a fixed list, whatever its capitals",
    place: "reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09, sex: …}\n",
    examples: &[("Male", "male"), ("FEMALE", "female"), ("F", "female"), ("“Male”", "male")],
    refused: &[("femal", "did you mean `female`?")],
};

pub(super) const ALLERGIES: Form = Form {
    name: "no allergies",
    says: "that no allergy is known; `NKDA` is printed as no known drug allergies",
    place: case!("history: {allergies: …}\n"),
    examples: &[
        ("None known", "none known"),
        ("nil known", "none known"),
        ("NKA", "none known"),
        ("no known allergies", "none known"),
        ("nkda", "NKDA"),
        ("no known drug allergies", "NKDA"),
        ("NKDA", "NKDA"),
    ],
    refused: &[("none", "write `none known` if it was asked"), ("no", "write `none known` if it was asked")],
};

pub(super) const WHO: Form = Form {
    name: "who consents",
    says: "who gave consent",
    place: case!("consent: {by: …}\n"),
    examples: &[("Patient", "patient"), ("Best-interests", "best interests"), ("pt", "patient")],
    refused: &[("mother", "`guardian`")],
};

/// What is written, in small letters, and the word that it can only mean where that is on the list.
const ALSO: &[(&str, &str)] = &[
    ("pna", "partial"),
    ("partial avulsion", "partial"),
    ("partial nail avulsion", "partial"),
    ("tna", "total"),
    ("total avulsion", "total"),
    ("total nail avulsion", "total"),
    ("f", "female"),
    ("m", "male"),
    ("nil known", "none known"),
    ("no known", "none known"),
    ("nka", "none known"),
    ("nil known allergies", "none known"),
    ("no known allergies", "none known"),
    ("no known drug allergies", "NKDA"),
    ("no known drug allergy", "NKDA"),
    ("medial edge", "medial"),
    ("lateral edge", "lateral"),
    ("pt", "patient"),
    ("phenolisation", "phenol"),
    ("england", "england-and-wales"),
    ("wales", "england-and-wales"),
    ("ni", "northern-ireland"),
    ("mon", "monday"),
    ("tue", "tuesday"),
    ("tues", "tuesday"),
    ("wed", "wednesday"),
    ("weds", "wednesday"),
    ("thu", "thursday"),
    ("thur", "thursday"),
    ("thurs", "thursday"),
    ("fri", "friday"),
    ("sat", "saturday"),
    ("sun", "sunday"),
];

/// The word of the list that is meant; `Err` names it where it should be looked at first.
pub(super) fn meant(typed: &str, words: &[&str]) -> Option<Result<Short, String>> {
    // Asked for every value of a file, and most places take no words.
    if words.is_empty() {
        return None;
    }
    if let Some(edge) = edges::meant(typed, words) {
        let typed = typed.to_lowercase();
        return Some(Err(format!("{typed} is {edge}: write `{edge}`")));
    }
    let spaced = |word: &str| word.to_lowercase().replace(['-', '_'], " ");
    let small = spaced(typed.trim_end_matches('.'));
    let same = words.iter().find(|word| spaced(word) == small).copied();
    let also = || {
        let meant = ALSO.iter().filter(|(word, _)| *word == small);
        meant.filter_map(|(_, word)| words.iter().find(|known| *known == word)).next().copied()
    };
    let none = || words.iter().find(|word| **word == nothing::WORD && nothing::is_word(typed)).copied();
    same.or_else(also).or_else(none).map(|word| Ok(Short::text(word)))
}

/// Everything in small letters that stands for a word, for the schema; the words themselves are left out.
pub(super) fn also(words: &[&str]) -> Vec<&'static str> {
    ALSO.iter().filter(|(_, word)| words.contains(word)).map(|(typed, _)| *typed).collect()
}

/// Several words in one text: `large print, hearing`; `medial and lateral`.
pub(super) fn parts(typed: &str) -> Vec<&str> {
    let parts = typed.split([',', ';', '+', '&', '\n']).flat_map(|part| part.split(" and "));
    parts.map(str::trim).filter(|part| !part.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{case_schema, clinic_schema};

    #[test]
    fn every_word_means_one_of_some_list() {
        let schemas = format!("{}{}", case_schema(), clinic_schema());
        for (typed, word) in ALSO {
            assert!(schemas.contains(&format!("\"{word}\"")), "{typed} means {word}");
            assert_eq!(*typed, typed.to_lowercase());
        }
    }
}
