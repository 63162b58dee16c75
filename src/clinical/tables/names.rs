//! Medicines, allergens and conditions: which word means what, and which classes it belongs to.
//!
//! A word that is not in a table has no entry. Nothing is guessed from how a word is built.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use serde::Deserialize;

use super::{SourceRow, folded, keep};
use crate::clinical::Cite;

/// One name of a table.
#[derive(Debug)]
pub struct Entry {
    /// The table's own spelling.
    pub name: &'static str,
    /// Its classes, itself among them, in alphabetical order.
    pub classes: Vec<String>,
    /// Where each group of classes comes from.
    pub sources: Vec<Cite>,
}

impl Entry {
    /// Its classes as plain words.
    pub(super) fn all_classes(&self) -> impl Iterator<Item = &str> {
        self.classes.iter().map(String::as_str)
    }
}

/// A table of names.
#[derive(Debug)]
pub struct Names {
    entries: BTreeMap<&'static str, Entry>,
    also: BTreeMap<String, &'static str>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Group {
    classes: Vec<String>,
    source: SourceRow,
    names: BTreeMap<String, Vec<String>>,
}

/// Words that say how a medicine is made up or how bad a condition is, not which one it is.
const TRAILING: &[&str] = &[
    "tablets",
    "tablet",
    "capsules",
    "capsule",
    "inhaler",
    "injection",
    "cream",
    "gel",
    "ointment",
    "spray",
    "patches",
    "patch",
    "sodium",
    "potassium",
    "calcium",
    "hydrochloride",
    "hcl",
    "maleate",
    "mesilate",
    "besilate",
    "sulfate",
    "sulphate",
    "succinate",
    "tartrate",
    "fumarate",
    "allergy",
];

/// The same before the name.
const LEADING: &[&str] = &["history of", "known", "mild", "moderate", "severe", "chronic", "allergy to"];

impl Names {
    fn read(text: &str) -> Result<Names, String> {
        let groups: Vec<Group> = serde_yaml::from_str(text).map_err(|problem| problem.to_string())?;
        let mut names = Names { entries: BTreeMap::new(), also: BTreeMap::new() };
        for group in groups {
            if group.classes.is_empty() {
                return Err("a group has no class".into());
            }
            let cite = group.source.cite()?;
            for (name, also) in group.names {
                names.add(&group.classes, cite, name, also)?;
            }
        }
        match names.also.keys().find(|word| names.entries.contains_key(word.as_str())) {
            Some(word) => Err(format!("`{word}` is a name and another spelling")),
            None => Ok(names),
        }
    }

    fn add(&mut self, classes: &[String], cite: Cite, name: String, also: Vec<String>) -> Result<(), String> {
        if name != folded(&name) {
            return Err(format!("`{name}` is not in the spelling that words are compared in"));
        }
        let entry = match self.entries.get_mut(name.as_str()) {
            Some(entry) => entry,
            None => {
                let name = keep(name);
                self.entries.entry(name).or_insert(Entry { name, classes: Vec::new(), sources: Vec::new() })
            }
        };
        let mut all: BTreeSet<String> = entry.classes.drain(..).chain(classes.iter().cloned()).collect();
        all.insert(entry.name.to_owned());
        entry.classes = all.into_iter().collect();
        entry.sources.push(cite);
        for word in also {
            if let Some(other) = self.also.insert(folded(&word), entry.name) {
                return Err(format!("`{word}` means `{other}` and `{}`", entry.name));
            }
        }
        Ok(())
    }

    /// The entry of a word, however it is capitalised; a dose (`warfarin 3 mg`), a remark in
    /// brackets and words like `tablets` or `history of` do not hide the name.
    pub fn find(&self, typed: &str) -> Option<&Entry> {
        let typed = folded(typed);
        if let Some(entry) = self.exact(&typed) {
            return Some(entry);
        }
        let unbracketed = typed.split('(').next().unwrap_or_default();
        let mut words: Vec<&str> = unbracketed.split(' ').filter(|word| !word.is_empty()).collect();
        if let Some(dose) =
            words.iter().skip(1).position(|word| word.starts_with(|c: char| c.is_ascii_digit()))
        {
            let is_dose = words[1..].get(dose + 1).is_none_or(|unit| !unit.starts_with("diabetes"));
            if is_dose {
                words.truncate(dose + 1);
            }
        }
        loop {
            let phrase = words.join(" ");
            if let Some(entry) = self.exact(&phrase) {
                return Some(entry);
            }
            let leading = LEADING.iter().find(|start| phrase.starts_with(&format!("{start} ")));
            match (leading, words.last()) {
                (Some(start), _) => drop(words.drain(..start.split(' ').count())),
                (None, Some(last)) if words.len() > 1 && TRAILING.contains(last) => drop(words.pop()),
                _ => return None,
            }
        }
    }

    fn exact(&self, word: &str) -> Option<&Entry> {
        let name = self.also.get(word).copied().unwrap_or(word);
        self.entries.get(name)
    }

    /// Every name and every other spelling, for "did you mean".
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().copied().chain(self.also.keys().map(String::as_str))
    }

    /// Every entry, by name.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.values()
    }
}

/// Medicines: `warfarin` is an `anticoagulant` and a `vitamin k antagonist`.
pub fn medicines() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| Names::read(include_str!("medicines.yaml")).expect("a unit test reads this table"))
}

/// Allergens: `lidocaine` is an `amide anaesthetic`.
pub fn allergens() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| Names::read(include_str!("allergens.yaml")).expect("a unit test reads this table"))
}

/// Conditions: `complete heart block` is `heart block` and a `conduction disturbance`.
pub fn conditions() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| Names::read(include_str!("conditions.yaml")).expect("a unit test reads this table"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_tables_are_sound() {
        for (file, text) in [
            ("medicines", include_str!("medicines.yaml")),
            ("allergens", include_str!("allergens.yaml")),
            ("conditions", include_str!("conditions.yaml")),
        ] {
            let names = Names::read(text).unwrap_or_else(|problem| panic!("{file}: {problem}"));
            assert!(names.entries().count() > 60, "{file}");
            assert!(names.entries().all(|entry| !entry.sources.is_empty()), "{file}");
        }
    }

    fn found(names: &'static Names, typed: &str) -> Option<&'static str> {
        names.find(typed).map(|entry| entry.name)
    }

    #[test]
    fn words_are_found_however_they_are_written() {
        for typed in
            ["warfarin", "Warfarin", " WARFARIN  sodium ", "warferin", "warfarin 3 mg", "warfarin 3mg od"]
        {
            assert_eq!(found(medicines(), typed), Some("warfarin"), "{typed}");
        }
        assert_eq!(found(medicines(), "salbutamol inhaler"), Some("salbutamol"));
        assert_eq!(found(medicines(), "Amlodipine tablets 5 mg"), Some("amlodipine"));
        assert_eq!(found(conditions(), "Raynaud\u{2019}s"), Some("raynaud"));
        assert_eq!(found(conditions(), "history of severe asthma"), Some("asthma"));
        assert_eq!(found(conditions(), "type 2 diabetes"), Some("type 2 diabetes"));
        assert_eq!(found(conditions(), "heart failure (2019)"), Some("heart failure"));
        assert_eq!(found(allergens(), "Latex allergy"), Some("latex"));
        assert_eq!(found(allergens(), "lignocaine"), Some("lidocaine"));
    }

    #[test]
    fn what_is_not_in_the_table_is_not_guessed() {
        for typed in ["", "tablets", "sodium", "warfarinoid", "no warfarin", "5 mg", "(warfarin)"] {
            assert_eq!(found(medicines(), typed), None, "{typed}");
        }
        assert_eq!(found(conditions(), "no asthma"), None);
    }

    #[test]
    fn a_name_has_the_classes_of_all_its_groups() {
        let aspirin = medicines().find("asprin").expect("aspirin is in the table");
        assert_eq!(aspirin.classes, ["antiplatelet", "aspirin", "nsaid"]);
        let lidocaine = allergens().find("lidocaine").expect("lidocaine is in the table");
        assert_eq!(lidocaine.classes, ["amide anaesthetic", "lidocaine", "local anaesthetic"]);
    }

    /// What rules and documents look for, under the words in which it is written.
    #[test]
    fn words_for_a_condition_have_the_classes_that_rules_look_for() {
        for (typed, class) in [
            ("PAD", "poor circulation"),
            ("PVD", "arterial disease"),
            ("CLTI", "severe ischaemia"),
            ("Raynaud's", "vasospasm"),
            ("Raynaud's", "poor circulation"),
            ("scleroderma", "vasospasm"),
            ("T1DM", "type 1 diabetes"),
            ("T1DM", "diabetes"),
            ("type 2 diabetes", "type 2 diabetes"),
            ("diet controlled diabetes", "diabetes"),
            ("LADA", "diabetes"),
            ("gestational diabetes", "diabetes in pregnancy"),
            ("pregnant", "pregnancy"),
            ("breast feeding", "breastfeeding"),
            ("neuropathy", "reduced feeling"),
            ("diabetic neuropathy", "neurological"),
            ("LOPS", "reduced feeling"),
            ("dementia", "capacity"),
            ("learning disability", "capacity"),
            ("G6PD deficiency", "g6pd deficiency"),
            ("complete heart block", "heart block"),
            ("3rd degree heart block", "complete heart block"),
            ("CKD stage 3b", "renal impairment"),
            ("CKD 4", "severe renal impairment"),
            ("CKD 2", "kidney disease"),
            ("foot ulcer", "active foot disease"),
            ("toe amputation", "foot amputation"),
        ] {
            let entry = conditions().find(typed).unwrap_or_else(|| panic!("`{typed}` is not in the table"));
            assert!(entry.classes.iter().any(|known| known == class), "{typed}: {:?}", entry.classes);
        }
    }

    /// Words of severity and of kind: the slight, the controlled and the past are not the thing itself.
    #[test]
    fn words_of_severity_count() {
        for (typed, class) in [
            ("CKD 1", "renal impairment"),
            ("CKD stage 2", "renal impairment"),
            ("CKD 3", "severe renal impairment"),
            ("epilepsy well controlled", "epilepsy"),
            ("well controlled epilepsy", "uncontrolled epilepsy"),
            ("prediabetes", "diabetes"),
            ("previous gestational diabetes", "diabetes in pregnancy"),
            ("first degree heart block", "heart block"),
            ("second degree heart block", "complete heart block"),
            ("sickle cell trait", "anaemia"),
            ("previous foot ulcer", "active foot disease"),
            ("learning difficulties", "capacity"),
        ] {
            let entry = conditions().find(typed).unwrap_or_else(|| panic!("`{typed}` is not in the table"));
            assert!(!entry.classes.iter().any(|known| known == class), "{typed}: {:?}", entry.classes);
        }
    }

    #[test]
    fn a_table_that_contradicts_itself_is_refused() {
        let table = |names: &str| {
            Names::read(&format!("- {{classes: [a], source: {{relation: common practice}}, names: {names}}}"))
                .err()
        };
        assert_eq!(table("{one: [uno], two: [due]}"), None);
        assert_eq!(table("{one: [uno], two: [uno]}"), Some("`uno` means `one` and `two`".into()));
        assert_eq!(table("{one: [two], two: []}"), Some("`two` is a name and another spelling".into()));
        assert!(table("{One: []}").is_some());
        assert!(Names::read("- {classes: [a], names: {one: []}}").is_err(), "a group without a source");
    }
}
