//! Toes, sides, edges, nail and matrix, as a case file writes them and as people say them.

use std::collections::BTreeMap;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};

/// The side of the body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The patient's right.
    Right,
    /// The patient's left.
    Left,
}

impl Side {
    /// Both, right first, the order of every table.
    pub const BOTH: [Side; 2] = [Side::Right, Side::Left];

    /// `right` or `left`.
    pub fn word(self) -> &'static str {
        match self {
            Side::Right => "right",
            Side::Left => "left",
        }
    }
}

/// One of the ten toes: `R1` to `R5`, `L1` to `L5`; 1 is the hallux.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the code is the trade's own")]
pub enum Toe {
    R1,
    R2,
    R3,
    R4,
    R5,
    L1,
    L2,
    L3,
    L4,
    L5,
}

impl Toe {
    /// All ten, right first, hallux first.
    pub const ALL: [Toe; 10] =
        [Toe::R1, Toe::R2, Toe::R3, Toe::R4, Toe::R5, Toe::L1, Toe::L2, Toe::L3, Toe::L4, Toe::L5];

    /// `R1`.
    pub fn code(self) -> &'static str {
        ["R1", "R2", "R3", "R4", "R5", "L1", "L2", "L3", "L4", "L5"][self as usize]
    }

    /// The foot it belongs to.
    pub fn side(self) -> Side {
        if (self as usize) < 5 { Side::Right } else { Side::Left }
    }

    /// 1 (hallux) to 5 (little toe).
    pub fn number(self) -> usize {
        (self as usize) % 5 + 1
    }

    /// `left hallux`, `right second toe`: for colleagues.
    pub fn clinical(self) -> String {
        let toe = ["hallux", "second toe", "third toe", "fourth toe", "fifth toe"][self.number() - 1];
        format!("{} {toe}", self.side().word())
    }

    /// `left big toe`, `right little toe`: for patients.
    pub fn plain(self) -> String {
        let toe = ["big toe", "second toe", "third toe", "fourth toe", "little toe"][self.number() - 1];
        format!("{} {toe}", self.side().word())
    }
}

impl fmt::Display for Toe {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// An edge of a nail, named from the midline of the body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Edge {
    /// Towards the other foot.
    Medial,
    /// Away from the other foot.
    Lateral,
}

impl Edge {
    /// `medial` or `lateral`.
    pub fn word(self) -> &'static str {
        match self {
            Edge::Medial => "medial",
            Edge::Lateral => "lateral",
        }
    }

    /// `inner` or `outer`: for patients.
    pub fn plain(self) -> &'static str {
        match self {
            Edge::Medial => "inner",
            Edge::Lateral => "outer",
        }
    }
}

/// How much of the nail is removed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Nail {
    Partial,
    Total,
}

impl Nail {
    /// `partial` or `total`.
    pub fn word(self) -> &'static str {
        match self {
            Nail::Partial => "partial",
            Nail::Total => "total",
        }
    }
}

/// What is done to the matrix so that the nail does not grow back there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Matrix {
    Phenol,
    None,
}

/// Something recorded for each of some toes. Iterates right first, hallux first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ByToe<T>(pub BTreeMap<Toe, T>);

impl<T> Default for ByToe<T> {
    fn default() -> Self {
        ByToe(BTreeMap::new())
    }
}

impl<T> ByToe<T> {
    /// Each toe that has an entry.
    pub fn iter(&self) -> impl Iterator<Item = (Toe, &T)> {
        self.0.iter().map(|(toe, entry)| (*toe, entry))
    }

    /// The entry of one toe.
    pub fn get(&self, toe: Toe) -> Option<&T> {
        self.0.get(&toe)
    }

    /// True if no toe has an entry.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

// Written by hand so that the schema lists the ten toes and a misspelt one can be suggested.
impl<T: JsonSchema> JsonSchema for ByToe<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("by toe: {}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let entry = generator.subschema_for::<T>();
        let properties: serde_json::Map<String, serde_json::Value> =
            Toe::ALL.iter().map(|toe| (toe.code().to_owned(), entry.clone().to_value())).collect();
        let mut schema = Schema::default();
        schema.insert("type".into(), "object".into());
        schema.insert("properties".into(), properties.into());
        schema.insert("additionalProperties".into(), false.into());
        schema.insert("minProperties".into(), 1.into());
        schema
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn toes_know_side_number_and_names() {
        assert_eq!(Toe::R1.clinical(), "right hallux");
        assert_eq!(Toe::L5.plain(), "left little toe");
        assert_eq!((Toe::R5.side(), Toe::L1.side()), (Side::Right, Side::Left));
        assert_eq!((Toe::R5.number(), Toe::L1.number()), (5, 1));
        assert!(Toe::ALL.iter().all(|toe| format!("{toe:?}") == toe.code()));
    }
}
