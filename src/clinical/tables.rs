//! The embedded tables: read and checked once, each row with its source.
//!
//! A row without a source is refused, and so is a word that means two things. Nothing here has
//! seen a case file, and nothing here judges.

mod agents;
mod class;
mod names;
mod phrase;
mod trade_names;

use serde::Deserialize;

pub use agents::{
    Against, Agent, ChildLimit, Disagreement, DoseLimit, Exempt, Exemption, MayHold, MinimumMass, MostPerToe,
    NotWith, Numb, OutsideLicence, SoldWithAdrenaline, Timed, UNKNOWN_NUMB_HOURS, Weight, adrenaline,
    adult_from_months, against_adrenaline_condition, against_adrenaline_medicine, agent, agents,
};
pub use class::Class;
pub use names::{Entry, Found, Names, allergens, classes_of, conditions, is_a, is_denied, medicines};
pub use trade_names::{TradeName, trade_name, trade_names};

use super::{Cite, Relation, sources};

/// A source as a table row writes it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SourceRow {
    key: Option<String>,
    at: Option<String>,
    relation: RelationWord,
    how: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum RelationWord {
    #[serde(rename = "states")]
    States,
    #[serde(rename = "adapts")]
    Adapts,
    #[serde(rename = "common practice")]
    CommonPractice,
    #[serde(rename = "project default")]
    ProjectDefault,
    #[serde(rename = "from memory")]
    FromMemory,
}

impl SourceRow {
    /// The citation, its words kept for the life of the program: the tables are read once.
    pub(super) fn cite(self) -> Result<Cite, String> {
        let source = match &self.key {
            Some(key) => Some(sources::by_key(key).ok_or_else(|| format!("there is no source `{key}`"))?),
            None => None,
        };
        let needs_source =
            matches!(self.relation, RelationWord::States | RelationWord::Adapts | RelationWord::FromMemory);
        if needs_source != source.is_some() {
            return Err(format!("{:?} with key {:?} does not fit", self.relation, self.key));
        }
        if needs_source && self.at.as_deref().is_none_or(str::is_empty) {
            return Err(format!("{:?} does not say where in the source", self.key));
        }
        let needs_how = matches!(self.relation, RelationWord::Adapts | RelationWord::ProjectDefault);
        if needs_how != self.how.is_some() {
            return Err(format!("{:?} of {:?}: `how` does not fit", self.relation, self.key));
        }
        let how = keep(self.how.unwrap_or_default());
        let relation = match self.relation {
            RelationWord::States => Relation::States,
            RelationWord::Adapts => Relation::Adapts(how),
            RelationWord::CommonPractice => Relation::CommonPractice,
            RelationWord::ProjectDefault => Relation::ProjectDefault(how),
            RelationWord::FromMemory => Relation::FromMemory,
        };
        Ok(Cite { source, locator: keep(self.at.unwrap_or_default()), relation })
    }
}

/// Keeps a word of a table for the life of the program; only called while a table is read.
pub(super) fn keep(text: String) -> &'static str {
    Box::leak(text.into_boxed_str())
}

/// The one spelling under which words are compared: lowercase, single spaces, straight apostrophes.
pub fn folded(text: &str) -> String {
    // Nearly all words are plain, and this is asked of every name of a case, several times.
    if text.is_ascii() {
        let mut plain = String::with_capacity(text.len());
        for word in text.split_whitespace() {
            if !plain.is_empty() {
                plain.push(' ');
            }
            plain.push_str(word);
        }
        plain.make_ascii_lowercase();
        return plain;
    }
    let text = text.to_lowercase().replace(['\u{2019}', '\u{2018}'], "'");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cite(text: &str) -> Result<Cite, String> {
        let row: SourceRow = serde_yaml::from_str(text).map_err(|problem| problem.to_string())?;
        row.cite()
    }

    #[test]
    fn a_row_must_say_where_it_comes_from() {
        assert!(cite("{key: bnf, at: page 1, relation: states}").is_ok());
        assert!(cite("{relation: common practice}").is_ok());
        assert!(cite("{relation: project default, how: because}").is_ok());
        for wrong in [
            "{}",
            "{relation: states}",
            "{key: bnf, relation: states}",
            "{key: bnf, at: '', relation: states}",
            "{key: no-such-book, at: page 1, relation: states}",
            "{key: bnf, at: page 1, relation: adapts}",
            "{key: bnf, at: page 1, relation: states, how: differently}",
            "{key: bnf, at: page 1, relation: common practice}",
            "{relation: project default}",
            "{key: bnf, at: page 1, relation: surely}",
        ] {
            assert!(cite(wrong).is_err(), "{wrong} was accepted");
        }
    }
}
