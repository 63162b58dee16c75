//! Medicines, allergens and conditions: which word means what, and which classes it belongs to.
//!
//! A word that is not in a table has no entry. Nothing is guessed from how a word is built. A dose, a
//! form or a remark after a name is split off; a word that denies it (`not`, `no`, `excluded`) is heard.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Mutex, OnceLock, PoisonError};

use serde::Deserialize;

use super::class::Class;
use super::phrase::{self, Rest};
use super::trade_names::{TradeName, trade_names};
use super::{SourceRow, folded, keep};
use crate::clinical::Cite;
use crate::clinical::table_of;
use crate::words::List;

/// One name of a table.
#[derive(Debug)]
pub struct Entry {
    /// The table's own spelling; of a brand, what it holds: `ibuprofen and codeine`.
    pub name: &'static str,
    /// The names it is made of: itself, or what a brand holds.
    pub parts: Vec<&'static str>,
    /// Its classes, in alphabetical order; among them those that are called as a part is.
    pub classes: Vec<Class>,
    /// Where each group of classes comes from; of a brand, where the pair was seen.
    pub sources: Vec<Cite>,
}

impl Entry {
    /// True if it is this name, or a kind of it: `povidone-iodine` of `iodine`.
    pub fn is_a(&self, name: &str) -> bool {
        is_a(&self.parts, &self.classes, name)
    }
}

/// True if something of these parts and classes is this name, or a kind of it.
pub fn is_a(parts: &[&str], classes: &[Class], name: &str) -> bool {
    parts.contains(&name) || Class::named(name).is_some_and(|class| classes.contains(&class))
}

/// What a typed text was found to name.
#[derive(Debug)]
pub struct Found<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// The brand under which it was written.
    pub brand: Option<&'static TradeName>,
    /// The part of the text that names it, as typed.
    pub written: String,
    /// What was typed after the name: `5mg bd`. Empty if nothing was.
    pub rest: String,
}

/// A table of names.
#[derive(Debug)]
pub struct Names {
    entries: BTreeMap<&'static str, Entry>,
    also: BTreeMap<String, &'static str>,
    brands: BTreeMap<&'static str, (&'static TradeName, Entry)>,
    rest: Rest,
}

impl Names {
    /// Every name and every brand that may be typed, each with what a brand holds; by name.
    pub fn choices(&self) -> Vec<(&'static str, &str)> {
        let names = self.entries.keys().map(|name| (*name, ""));
        let brands = self.brands.values().map(|(brand, entry)| (brand.name, entry.name));
        let mut all: Vec<_> = names.chain(brands).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Group {
    classes: Vec<Class>,
    source: SourceRow,
    names: BTreeMap<String, Vec<String>>,
}

/// Words before a name that do not change which one it is.
const LEADING: &[&str] = &[
    "history of",
    "h/o",
    "known",
    "possible",
    "probable",
    "suspected",
    "mild",
    "moderate",
    "severe",
    "chronic",
    "longstanding",
    "long-standing",
    "allergy to",
    "allergic to",
    "taking",
    "takes",
    "on",
    "low dose",
    "low-dose",
    "regular",
];

impl Names {
    fn read(text: &str, rest: Rest) -> Result<Names, String> {
        let groups: Vec<Group> = table_of(text)?;
        let mut names =
            Names { entries: BTreeMap::new(), also: BTreeMap::new(), brands: BTreeMap::new(), rest };
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

    fn add(&mut self, classes: &[Class], cite: Cite, name: String, also: Vec<String>) -> Result<(), String> {
        if name != folded(&name) {
            return Err(format!("`{name}` is not in the spelling that words are compared in"));
        }
        let entry = match self.entries.get_mut(name.as_str()) {
            Some(entry) => entry,
            None => {
                let name = keep(name);
                let new = Entry { name, parts: vec![name], classes: Vec::new(), sources: Vec::new() };
                self.entries.entry(name).or_insert(new)
            }
        };
        let is_twice = |class: &&Class| class.word() != entry.name && entry.classes.contains(class);
        if let Some(twice) = classes.iter().find(is_twice) {
            return Err(format!("`{}` is put into `{twice}` twice", entry.name));
        }
        let own = Class::named(entry.name);
        let all: BTreeSet<Class> =
            entry.classes.drain(..).chain(classes.iter().copied()).chain(own).collect();
        entry.classes = all.into_iter().collect();
        entry.sources.push(cite);
        for word in also {
            if let Some(other) = self.also.insert(folded(&word), entry.name) {
                return Err(format!("`{word}` means `{other}` and `{}`", entry.name));
            }
        }
        Ok(())
    }

    /// The same with the brands all of whose parts it knows, or that the other table knows.
    fn with_brands(mut self, other: Option<&Names>) -> Names {
        for brand in trade_names() {
            let part = |name: &&'static str| {
                self.entries.get(name).or_else(|| other.and_then(|other| other.entries.get(name)))
            };
            let parts: Option<Vec<&Entry>> = brand.holds.iter().map(part).collect();
            let Some(parts) = parts else { continue };
            if !parts.iter().any(|entry| self.entries.contains_key(entry.name)) {
                continue;
            }
            let (name, classes) = match (brand.holds.as_slice(), parts.as_slice()) {
                ([name], [only]) => (*name, only.classes.clone()),
                (several, parts) => {
                    let classes: BTreeSet<Class> =
                        parts.iter().flat_map(|entry| &entry.classes).copied().collect();
                    (keep(List::and(several).to_string()), classes.into_iter().collect())
                }
            };
            let entry = Entry { name, parts: brand.holds.clone(), classes, sources: vec![brand.cite] };
            self.brands.insert(brand.key, (brand, entry));
        }
        self
    }

    /// The entry of a text, however it is capitalised and whatever follows the name.
    pub fn find(&self, typed: &str) -> Option<&Entry> {
        self.look_up(typed).map(|found| found.entry)
    }

    /// What a text names, the brand under which it was written, and what follows the name: a dose
    /// (`Eliquis 5mg bd`), a form, a remark in brackets. The longest name that fits is taken.
    pub fn look_up(&self, typed: &str) -> Option<Found<'_>> {
        let text = typed.trim().trim_start_matches('?').trim_start();
        if let Some((entry, brand)) = self.exact(text) {
            return Some(Found { entry, brand, written: text.to_owned(), rest: String::new() });
        }
        let mut from = 0;
        loop {
            for end in phrase::ends(&text[from..]) {
                let (name, rest) = (&text[from..from + end], &text[from + end..]);
                if let Some((entry, brand)) = self.exact(name)
                    && self.rest.may_follow(rest)
                {
                    let (entry, brand) =
                        self.with_form(entry, rest).map_or((entry, brand), |entry| (entry, brand));
                    return Some(Found {
                        entry,
                        brand,
                        written: phrase::trimmed(name).to_owned(),
                        rest: phrase::without_separator(rest).to_owned(),
                    });
                }
            }
            from += phrase::leading(&text[from..], LEADING)?;
        }
    }

    /// `hydrocortisone` with `1% cream` after it is `hydrocortisone cream`, where the table knows that.
    fn with_form(&self, entry: &Entry, rest: &str) -> Option<&Entry> {
        let [name] = entry.parts.as_slice() else { return None };
        phrase::forms(rest).find_map(|form| Some(self.exact(&format!("{name} {form}"))?.0))
    }

    /// The entry whose name, other spelling or brand a text is, and nothing else.
    pub fn named(&self, text: &str) -> Option<&Entry> {
        self.exact(text).map(|(entry, _)| entry)
    }

    fn exact(&self, text: &str) -> Option<(&Entry, Option<&'static TradeName>)> {
        let word = folded(text);
        let plain = phrase::without_punctuation(&word);
        [word.as_str(), plain.as_str()].into_iter().find_map(|word| {
            let name = self.also.get(word).copied().unwrap_or(word);
            match self.entries.get(name) {
                Some(entry) => Some((entry, None)),
                None => self.brands.get(word).map(|(brand, entry)| (entry, Some(*brand))),
            }
        })
    }

    /// Every name, every other spelling and every brand, for "did you mean".
    pub fn words(&self) -> impl Iterator<Item = &str> {
        let spellings = self.entries.keys().copied().chain(self.also.keys().map(String::as_str));
        spellings.chain(self.brands.keys().copied())
    }

    /// Every entry, by name; without the brands.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.values()
    }
}

/// True if a text begins by denying what follows, or gives it to the family.
pub fn is_denied(text: &str) -> bool {
    phrase::is_denied(text)
}

/// The classes of several entries together. Kept for the life of the program, once for each combination.
pub fn classes_of(entries: &[&'static Entry]) -> &'static [Class] {
    static KEPT: Mutex<BTreeMap<Vec<&'static str>, &'static [Class]>> = Mutex::new(BTreeMap::new());
    let mut names: Vec<&'static str> = entries.iter().map(|entry| entry.name).collect();
    names.sort_unstable();
    names.dedup();
    let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    kept.entry(names).or_insert_with(|| {
        let all: BTreeSet<Class> = entries.iter().flat_map(|entry| &entry.classes).copied().collect();
        Box::leak(all.into_iter().collect())
    })
}

/// Medicines: `warfarin` is an `anticoagulant` and a `vitamin k antagonist`; so is `Marevan`.
pub fn medicines() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| {
        let names = Names::read(built_table!("medicines"), Rest::Dose);
        names.expect("a unit test reads this table").with_brands(None)
    })
}

/// Allergens: `lidocaine` is an `amide anaesthetic`, `Inadine` holds `iodine`.
pub fn allergens() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| {
        let names = Names::read(built_table!("allergens"), Rest::Remark);
        names.expect("a unit test reads this table").with_brands(Some(medicines()))
    })
}

/// Conditions: `complete heart block` is `heart block` and a `conduction disturbance`.
pub fn conditions() -> &'static Names {
    static TABLE: OnceLock<Names> = OnceLock::new();
    TABLE.get_or_init(|| {
        Names::read(built_table!("conditions"), Rest::Remark).expect("a unit test reads this table")
    })
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
            let names = Names::read(text, Rest::Remark).unwrap_or_else(|problem| panic!("{file}: {problem}"));
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
        for typed in ["", "tablets", "sodium", "warfarinoid", "no warfarin", "5 mg", "warfarin: none"] {
            assert_eq!(found(medicines(), typed), None, "{typed}");
        }
        assert_eq!(found(conditions(), "no asthma"), None);
    }

    #[test]
    fn a_name_has_the_classes_of_all_its_groups() {
        let aspirin = medicines().find("asprin").expect("aspirin is in the table");
        assert_eq!(aspirin.classes, [Class::Antiplatelet, Class::Aspirin, Class::Nsaid]);
        let lidocaine = allergens().find("lidocaine").expect("lidocaine is in the table");
        assert_eq!(lidocaine.classes, [Class::AmideAnaesthetic, Class::LocalAnaesthetic]);
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
            ("complete heart block", "severe conduction disturbance"),
            ("3rd degree heart block", "complete heart block"),
            ("CKD stage 3b", "renal impairment"),
            ("CKD 4", "severe renal impairment"),
            ("CKD 2", "kidney disease"),
            ("foot ulcer", "active foot disease"),
            ("toe amputation", "foot amputation"),
        ] {
            let entry = conditions().find(typed).unwrap_or_else(|| panic!("`{typed}` is not in the table"));
            assert!(entry.is_a(class), "{typed}: {:?}", entry.classes);
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
            ("first degree heart block", "severe conduction disturbance"),
            ("second degree heart block", "complete heart block"),
            ("sickle cell trait", "anaemia"),
            ("previous foot ulcer", "active foot disease"),
            ("learning difficulties", "capacity"),
        ] {
            let entry = conditions().find(typed).unwrap_or_else(|| panic!("`{typed}` is not in the table"));
            assert!(!entry.is_a(class), "{typed}: {:?}", entry.classes);
        }
    }

    #[test]
    fn a_table_that_contradicts_itself_is_refused() {
        let table = |names: &str| {
            let group =
                format!("- {{classes: [nsaid], source: {{relation: common practice}}, names: {names}}}");
            Names::read(&group, Rest::Remark).err()
        };
        assert_eq!(table("{one: [uno], two: [due]}"), None);
        assert_eq!(table("{one: [uno], two: [uno]}"), Some("`uno` means `one` and `two`".into()));
        assert_eq!(table("{one: [two], two: []}"), Some("`two` is a name and another spelling".into()));
        assert!(table("{One: []}").is_some());
        let twice = |classes: &str| {
            let group = |classes: &str| {
                format!(
                    "- {{classes: {classes}, source: {{relation: common practice}}, names: {{one: []}}}}\n"
                )
            };
            Names::read(&format!("{}{}", group("[nsaid, opioid]"), group(classes)), Rest::Remark).err()
        };
        assert_eq!(twice("[statin]"), None);
        assert_eq!(
            twice("[statin, opioid]"),
            Some("`one` is put into `opioid` twice".into()),
            "two groups to join"
        );
        assert!(
            Names::read("- {classes: [nsaid], names: {one: []}}", Rest::Remark).is_err(),
            "a group without a source"
        );
        let unknown = twice("[anti-coagulant]").expect("there is no such class");
        assert!(unknown.contains("unknown variant `anti-coagulant`"), "{unknown}");
    }
}
