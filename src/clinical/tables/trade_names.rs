//! Brand names: what each holds, and where the pair was seen.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use super::phrase::{self, Rest};
use super::{SourceRow, folded, keep};
use crate::clinical::table_of;
use crate::clinical::{Cite, Relation};

/// A brand.
#[derive(Debug, PartialEq, Eq)]
pub struct TradeName {
    /// As it is printed: `Eliquis`.
    pub name: &'static str,
    /// The spelling under which it is compared.
    pub(super) key: &'static str,
    /// What it holds, by generic name. That this is all it holds is never taken for certain.
    pub holds: Vec<&'static str>,
    /// Where the pair was seen.
    pub cite: Cite,
}

impl TradeName {
    /// What it holds was not seen in a publication.
    pub fn is_from_memory(&self) -> bool {
        self.cite.relation == Relation::FromMemory
    }
}

/// Every brand.
pub fn trade_names() -> &'static [TradeName] {
    static TABLE: OnceLock<Vec<TradeName>> = OnceLock::new();
    TABLE.get_or_init(|| read(built_table!("trade_names")).expect("a unit test reads this table"))
}

/// The brand that a text begins with, the longest that fits: `Scandonest 3% plain`, `Eliquis 5mg`.
pub fn trade_name(text: &str) -> Option<&'static TradeName> {
    static KEYS: OnceLock<BTreeMap<&'static str, &'static TradeName>> = OnceLock::new();
    let keys = KEYS.get_or_init(|| trade_names().iter().map(|brand| (brand.key, brand)).collect());
    let text = text.trim();
    phrase::ends(text).into_iter().find_map(|end| {
        let brand = keys.get(phrase::without_punctuation(&folded(&text[..end])).as_str())?;
        Rest::Dose.may_follow(&text[end..]).then_some(*brand)
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Group {
    source: SourceRow,
    names: BTreeMap<String, Vec<String>>,
}

fn read(text: &str) -> Result<Vec<TradeName>, String> {
    let groups: Vec<Group> = table_of(text)?;
    let mut brands: BTreeMap<&'static str, TradeName> = BTreeMap::new();
    for group in groups {
        let cite = group.source.cite()?;
        for (name, holds) in group.names {
            if holds.is_empty() {
                return Err(format!("`{name}` holds nothing"));
            }
            let key = keep(folded(&name));
            let brand =
                TradeName { name: keep(name), key, holds: holds.into_iter().map(keep).collect(), cite };
            if let Some(other) = brands.insert(key, brand) {
                return Err(format!("`{}` stands twice", other.name));
            }
        }
    }
    Ok(brands.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::tables::{allergens, medicines};

    #[test]
    fn every_brand_can_be_looked_up_and_hides_no_generic_name() {
        assert!(trade_names().len() > 500);
        for brand in trade_names() {
            let found = [medicines(), allergens()].into_iter().filter_map(|table| table.look_up(brand.name));
            let of_brands: Vec<&TradeName> = found.map(|found| found.brand.expect("a brand")).collect();
            assert!(of_brands.contains(&brand), "{}: {:?} stand in no table", brand.name, brand.holds);
            // A gel that the table of allergens does not know is there what its shorter brand is.
            assert!(of_brands.iter().all(|found| brand.key.starts_with(found.key)), "{}", brand.name);
        }
    }

    #[test]
    fn the_longest_brand_is_taken() {
        let holds = |text: &str| trade_name(text).map(|brand| brand.holds.join(" + "));
        assert_eq!(holds("Nurofen 200mg").as_deref(), Some("ibuprofen"));
        assert_eq!(holds("nurofen PLUS 2 tablets").as_deref(), Some("ibuprofen + codeine"));
        assert_eq!(holds("Scandonest 3 % plain").as_deref(), Some("mepivacaine"));
        assert_eq!(holds("Scandonest Special").as_deref(), Some("mepivacaine + adrenaline"));
        assert_eq!(holds("Citanest 3% with Octapressin").as_deref(), Some("prilocaine + felypressin"));
        for none in ["", "Nurofenol", "not Eliquis", "apixaban"] {
            assert_eq!(holds(none), None, "{none}");
        }
    }

    #[test]
    fn a_brand_from_memory_says_so() {
        let is_from_memory = |name: &str| trade_name(name).map(TradeName::is_from_memory);
        assert_eq!(is_from_memory("Eliquis"), Some(false));
        assert_eq!(is_from_memory("Sinthrome"), Some(true));
    }

    #[test]
    fn a_table_that_is_not_sound_is_refused() {
        let table =
            |names: &str| read(&format!("- {{source: {{relation: common practice}}, names: {names}}}")).err();
        assert_eq!(table("{One: [aspirin]}"), None);
        assert_eq!(table("{One: []}"), Some("`One` holds nothing".into()));
        assert_eq!(table("{One: [aspirin], ONE: [codeine]}"), Some("`ONE` stands twice".into()));
        assert!(read("- {names: {One: [aspirin]}}").is_err(), "a group without a source");
    }
}
