//! Where two entries of the history cannot both be true: a field says no, and a condition or a medicine
//! says yes. Which of the two is right, the file does not say.

use super::fact::{conditions, medicines};
use super::{BleedingRisk, Given, LookedUp, Reason, diabetes, pregnancy, stated};
use crate::case::{AllergiesEntry, DiabetesEntry, DiabetesKind, History};
use crate::clinical::Cite;
use crate::clinical::tables::Class;
use crate::diagnostic::Path;

/// Medicines for diabetes, in the table of medicines; some are taken for other reasons.
const ANTIDIABETIC: Class = Class::Antidiabetic;
/// A severe allergic reaction, in the table of conditions.
const ANAPHYLAXIS: Class = Class::Anaphylaxis;

/// Diabetes in pregnancy, in the table of conditions: whether it is in the past the words do not say.
const IN_PREGNANCY: Class = Class::DiabetesInPregnancy;

/// Two entries that do not agree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradiction {
    /// The field.
    pub field: Path,
    /// What it says: `diabetes: none`.
    pub field_says: String,
    /// The word that says otherwise.
    pub word: Path,
    /// What it says: `type 2 diabetes`.
    pub word_says: String,
    /// Both cannot be true; otherwise there may be an explanation.
    pub is_certain: bool,
}

/// Every contradiction of the history.
pub(super) fn contradictions_of(
    given: Given<'_>,
    taken: &[LookedUp],
    list: &[LookedUp],
    bleeding: &BleedingRisk,
) -> Vec<Contradiction> {
    let Some(history) = given.case.history.as_ref() else { return Vec::new() };
    let mut found = Vec::new();
    let of = |class: Class| conditions(list, class, Cite::common_practice());
    match &history.diabetes {
        Some(DiabetesEntry::None(_)) => {
            let none = ("history.diabetes", "diabetes: none");
            add(&mut found, none, of(diabetes::CLASS), true);
            add(&mut found, none, of(IN_PREGNANCY), false);
            add(&mut found, none, medicines(taken, ANTIDIABETIC, Cite::common_practice()), false);
        }
        Some(DiabetesEntry::Some(entry)) => {
            if let Some(other) = other_type(&entry.kind) {
                let says =
                    format!("diabetes of {}", diabetes::kind_in_words(&entry.kind).replace(" diabetes", ""));
                add(&mut found, ("history.diabetes.type", &says), of(other), true);
            }
        }
        None => {}
    }
    if history.pregnant == Some(false) {
        add(&mut found, ("history.pregnant", "pregnant: false"), of(pregnancy::CLASS), true);
    }
    if history.breastfeeding == Some(false) {
        let field = ("history.breastfeeding", "breastfeeding: false");
        add(&mut found, field, of(stated::BREASTFEEDING), true);
    }
    if let Some(smoker) = history.smoker.filter(|smoker| !smoker.smokes()) {
        let says = if smoker.stopped() { "smoker: ex" } else { "smoker: false" };
        add(&mut found, ("history.smoker", says), stated::smokes_now(list), true);
    }
    // Frailty is judged: the practitioner may see it otherwise than who wrote the list.
    if history.frail == Some(false) {
        add(&mut found, ("history.frail", "frail: false"), of(stated::FRAILTY), false);
    }
    if matches!(&history.allergies, Some(AllergiesEntry::NoneKnown(_))) {
        add(&mut found, ("history.allergies", "allergies: none known"), of(ANAPHYLAXIS), false);
    }
    found.extend(inr_without_its_medicine(history, bleeding));
    found
}

fn add(found: &mut Vec<Contradiction>, field: (&str, &str), words: Vec<Reason>, is_certain: bool) {
    found.extend(words.into_iter().map(|word| Contradiction {
        field: field.0.into(),
        field_says: field.1.to_owned(),
        word: word.path,
        word_says: word.says,
        is_certain,
    }));
}

/// The condition that another type of diabetes goes by.
fn other_type(kind: &DiabetesKind) -> Option<Class> {
    match kind {
        DiabetesKind::Number(1) => Some(Class::Type2Diabetes),
        DiabetesKind::Number(2) => Some(Class::Type1Diabetes),
        _ => None,
    }
}

/// An INR is measured for warfarin and its kin: with a list of medicines that names none, one is missing.
fn inr_without_its_medicine(history: &History, bleeding: &BleedingRisk) -> Option<Contradiction> {
    let inr = bleeding.inr?;
    let is_unexplained = history.medicines.is_some() && bleeding.vitamin_k_antagonists.is_empty();
    is_unexplained.then(|| Contradiction {
        field: "history.medicines".into(),
        field_says: "no warfarin and nothing like it among the medicines".into(),
        word: "history.inr".into(),
        word_says: format!("INR {}", inr.value),
        is_certain: false,
    })
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn found(history: &str) -> Vec<(String, String, bool)> {
        let facts = facts_of(&format!("history: {{{history}}}"));
        let each = facts.derived.contradictions.iter();
        each.map(|one| (one.field.to_string(), one.word.to_string(), one.is_certain)).collect()
    }

    fn one(field: &str, word: &str, is_certain: bool) -> Vec<(String, String, bool)> {
        vec![(field.into(), word.into(), is_certain)]
    }

    #[test]
    fn a_condition_is_certain_and_a_medicine_is_not() {
        let condition = found("diabetes: none, conditions: [asthma, type 2 diabetes]");
        assert_eq!(condition, one("history.diabetes", "history.conditions[1]", true));
        for medicine in ["metformin", "insulin"] {
            let medicine = found(&format!("diabetes: none, medicines: [{medicine}]"));
            assert_eq!(medicine, one("history.diabetes", "history.medicines[0]", false));
        }
        assert_eq!(found("diabetes: ~, conditions: [type 2 diabetes], medicines: [metformin]"), []);
        assert_eq!(found("diabetes: {type: 2}, conditions: [type 2 diabetes], medicines: [metformin]"), []);
    }

    #[test]
    fn the_type_has_to_be_the_same() {
        let other = found("diabetes: {type: 2}, conditions: [T1DM]");
        assert_eq!(other, one("history.diabetes.type", "history.conditions[0]", true));
        assert_eq!(found("diabetes: {type: gestational}, conditions: [diabetes]"), []);
    }

    #[test]
    fn pregnant_and_not_pregnant() {
        assert_eq!(
            found("pregnant: false, conditions: [pregnant]"),
            one("history.pregnant", "history.conditions[0]", true)
        );
        assert_eq!(found("pregnant: true, conditions: [pregnant]"), []);
        assert_eq!(found("pregnant: ~, conditions: [pregnant]"), []);
    }

    #[test]
    fn what_has_a_field_and_stands_among_the_conditions() {
        for (key, word, is_certain) in [
            ("breastfeeding", "breast feeding", true),
            ("smoker", "current smoker", true),
            ("frail", "severe frailty", false),
        ] {
            assert_eq!(
                found(&format!("{key}: false, conditions: [asthma, {word}]")),
                one(&format!("history.{key}"), "history.conditions[1]", is_certain)
            );
            assert_eq!(found(&format!("{key}: true, conditions: [{word}]")), [], "{key}");
            assert_eq!(found(&format!("{key}: ~, conditions: [{word}]")), [], "{key}");
            assert_eq!(found(&format!("{key}: false, conditions: [asthma]")), [], "{key}");
        }
    }

    #[test]
    fn gestational_diabetes_may_be_in_the_past() {
        assert_eq!(
            found("diabetes: none, conditions: [GDM]"),
            one("history.diabetes", "history.conditions[0]", false)
        );
        assert_eq!(found("diabetes: none, conditions: [previous gestational diabetes]"), []);
        assert_eq!(found("diabetes: {type: gestational}, conditions: [gestational diabetes]"), []);
    }

    #[test]
    fn no_allergy_known_after_a_severe_reaction_and_an_inr_without_warfarin() {
        assert_eq!(
            found("allergies: none known, conditions: [previous anaphylaxis]"),
            one("history.allergies", "history.conditions[0]", false)
        );
        let inr = "inr: {value: 2.5, tested: 2026-11-23}";
        assert_eq!(found(&format!("medicines: [], {inr}")), one("history.medicines", "history.inr", false));
        assert_eq!(found(&format!("medicines: [warfarin], {inr}")), []);
        assert_eq!(found(&format!("medicines: ~, {inr}")), []);
    }

    #[test]
    fn the_base_case_agrees_with_itself() {
        assert_eq!(found("smoker: true"), []);
    }
}
