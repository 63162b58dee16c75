//! The words of one nation's consent law stay off the pages of the other nations.
//!
//! Every form is set: each nation, each who may be recorded as having decided, lawful there or not, each age,
//! with a judgement of capacity and without.

use unguis::rules::example::facts_of;

use super::invented::with_truth;
use super::pages::set_all;

const EW: &str = "england-and-wales";
const SC: &str = "scotland";
const NI: &str = "northern-ireland";

/// A word of the law, in small letters, the nations whose law has it, and whether our forms use it.
struct Word {
    word: &'static str,
    nations: &'static [&'static str],
    is_used: bool,
}

const fn word(word: &'static str, nations: &'static [&'static str], is_used: bool) -> Word {
    Word { word, nations, is_used }
}

/// Mental Capacity Act 2005 (England and Wales: lasting power of attorney, deputy; section 1(3) to (6));
/// Gillick v West Norfolk and Wisbech [1986]; Adults with Incapacity (Scotland) Act 2000 (welfare attorney,
/// welfare guardian, intervention order, section 47); Age of Legal Capacity (Scotland) Act 1991. In Northern
/// Ireland there is no attorney for health: the Mental Capacity Act (Northern Ireland) 2016 is in force in
/// parts, and those parts name neither.
const WORDS: &[Word] = &[
    word("mental capacity act", &[EW], false),
    word("lasting power of attorney", &[EW], false),
    word("gillick", &[EW], false),
    word("deputy", &[EW], true),
    word("court of protection", &[EW], false),
    word("adults with incapacity", &[SC], false),
    word("age of legal capacity", &[SC], false),
    word("welfare guardian", &[SC], true),
    word("welfare attorney", &[SC], true),
    word("guardian with power", &[SC], true),
    word("intervention order", &[SC], false),
    word("certificate of incapacity", &[SC], true),
    word("section 47", &[SC], true),
    word("attorney", &[EW, SC], true),
];

/// Who may be recorded; `~` for nobody yet.
const BY: &[&str] =
    &["patient", "guardian", "attorney", "deputy", "welfare guardian", "best interests", "certificate", "~"];

/// An adult, 17 and 13 when the form was signed.
const BORN: &[&str] = &["1984-02-09", "2009-06-01", "2013-06-01"];

fn fragment(nation: &str, by: &str, born: &str, capacity: &str) -> String {
    format!(
        "{{clinic: {{division: {nation}}}, operation: ~, \
          patient: {{born: {born}, guardian: {{name: Ellis Sorrel, relationship: father}}}}, \
          consent: {{by: {by}, capacity: {capacity}, capacity_by: {{name: Dr A. Vane, profession: doctor}}, \
          best_interests: pain on walking, benefit: pain on walking, \
          authority: {{name: Ada Sorrel, relationship: daughter}}, \
          certificate: {{signed_by: Dr A. Vane, profession: doctor, from: 2026-11-01, until: 2027-10-31}}}}}}"
    )
}

#[test]
fn words_of_one_nations_law_stay_off_the_forms_of_the_others() {
    let mut cases = Vec::new();
    let mut nations = Vec::new();
    for nation in [EW, SC, NI] {
        for by in BY {
            for born in BORN {
                for capacity in ["~", "could not hold it in mind"] {
                    let name = format!("{nation}, {by}, born {born}, capacity {capacity}");
                    cases.push((name, facts_of(&fragment(nation, by, born, capacity))));
                    nations.push(nation);
                }
            }
        }
    }
    let mut wrong = Vec::new();
    let mut seen = vec![0; WORDS.len()];
    for (pages, nation) in set_all(cases).iter().zip(nations) {
        let form = pages.text("consent-form").unwrap_or_else(|| panic!("{}: no form", pages.name));
        let form = form.to_lowercase();
        for (word, seen) in WORDS.iter().zip(&mut seen).filter(|(word, _)| form.contains(word.word)) {
            *seen += 1;
            if !word.nations.contains(&nation) {
                wrong.push(format!("{}: `{}`", pages.name, word.word));
            }
        }
    }
    assert!(wrong.is_empty(), "{} words\n{}", wrong.len(), wrong.join("\n"));
    for (word, seen) in WORDS.iter().zip(seen) {
        assert_eq!(seen > 0, word.is_used, "`{}` is on {seen} forms", word.word);
    }
}

/// Note, letter and leaflet as well, where what is recorded is lawful.
#[test]
fn words_of_one_nations_law_stay_off_every_other_page_too() {
    let mut wrong = Vec::new();
    for (pages, truth) in with_truth() {
        let nation = truth.decides.division;
        for (document, text) in pages.texts() {
            let text = text.to_lowercase();
            for word in WORDS.iter().filter(|word| !word.nations.contains(&nation)) {
                if text.contains(word.word) {
                    wrong.push(format!("{}, {nation}: the {document} says `{}`", pages.name, word.word));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
