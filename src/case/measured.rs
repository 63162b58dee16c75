//! A measured value, or that it was not recorded and why.
//!
//! A gap with its reason is an answer: it is printed, and nothing is worked out from it. A key that is
//! not there says nothing at all; which of the two it is decides how much a rule makes of it.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer};

/// The key of a gap.
pub const NOT_RECORDED_KEY: &str = "not_recorded";

/// What a case file says of one measured value or time.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Measured<T> {
    /// The key is not there: nobody has answered.
    #[default]
    Missing,
    /// The value.
    Value(T),
    /// `{not_recorded: reason}`: answered, and there is no value.
    NotRecorded(String),
}

impl<T> Measured<T> {
    /// The value, if there is one.
    pub fn get(&self) -> Option<&T> {
        match self {
            Measured::Value(value) => Some(value),
            Measured::Missing | Measured::NotRecorded(_) => None,
        }
    }

    /// Why it was not recorded, if that is what was written.
    pub fn gap(&self) -> Option<&str> {
        match self {
            Measured::NotRecorded(reason) => Some(reason),
            Measured::Missing | Measured::Value(_) => None,
        }
    }

    /// The same with another value, and a gap with its reason.
    #[must_use]
    pub fn map<U>(&self, of: impl FnOnce(&T) -> U) -> Measured<U> {
        match self {
            Measured::Missing => Measured::Missing,
            Measured::Value(value) => Measured::Value(of(value)),
            Measured::NotRecorded(reason) => Measured::NotRecorded(reason.clone()),
        }
    }

    /// True if there is a value.
    pub fn is_known(&self) -> bool {
        matches!(self, Measured::Value(_))
    }

    /// True if nobody has answered: neither a value nor a reason.
    pub fn is_missing(&self) -> bool {
        matches!(self, Measured::Missing)
    }
}

impl<T: Copy> Measured<T> {
    /// The value itself, if there is one.
    pub fn value(&self) -> Option<T> {
        self.get().copied()
    }
}

impl<T: Clone> Measured<T> {
    /// This answer, or another one if there is none.
    #[must_use]
    pub fn or(&self, other: &Measured<T>) -> Measured<T> {
        if self.is_missing() { other.clone() } else { self.clone() }
    }
}

/// `{not_recorded: reason}`: it was not recorded, and why.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct NotRecorded {
    /// Why there is no value, in words that will be printed: `scale broken`, `not looked at the clock`.
    not_recorded: String,
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Measured<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Written<T> {
            Gap(NotRecorded),
            Value(T),
        }
        Ok(match Written::deserialize(deserializer)? {
            Written::Gap(gap) => Measured::NotRecorded(gap.not_recorded),
            Written::Value(value) => Measured::Value(value),
        })
    }
}

// Written by hand: the state without a key is no value of the file.
impl<T: JsonSchema> JsonSchema for Measured<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("{}, or not recorded", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let (value, gap) = (generator.subschema_for::<T>(), generator.subschema_for::<NotRecorded>());
        json_schema!({"anyOf": [value, gap]})
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Kilograms, Mmhg};

    #[derive(Debug, Deserialize)]
    struct Block {
        #[serde(default)]
        weight: Measured<Kilograms>,
        #[serde(default)]
        toe: Measured<Mmhg>,
    }

    fn read(text: &str) -> Block {
        serde_yaml::from_str(text).unwrap_or_else(|problem| panic!("{problem}\n{text}"))
    }

    #[test]
    fn a_value_a_gap_and_nothing_are_three_things() {
        let both = read("{weight: 68 kg, toe: {not_recorded: cuff too large}}");
        assert_eq!(both.weight.value(), Some(Kilograms::whole(68)));
        assert_eq!((both.toe.value(), both.toe.gap()), (None, Some("cuff too large")));
        assert!(both.weight.is_known() && !both.toe.is_known() && !both.toe.is_missing());
        let none = read("{}");
        assert!(none.weight.is_missing() && none.weight.gap().is_none() && none.toe.value().is_none());
        assert_eq!(read("{toe: 108}").toe.value(), Some(Mmhg(108)));
    }

    #[test]
    fn a_gap_needs_its_reason_and_holds_nothing_else() {
        for wrong in [
            "{weight: {not_recorded: }}",
            "{weight: {}}",
            "{weight: {not_recorded: scale broken, kg: 68}}",
            "{weight: {because: scale broken}}",
            "{weight: not recorded}",
        ] {
            assert!(serde_yaml::from_str::<Block>(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_first_answer_counts_even_if_it_is_a_gap() {
        let gap: Measured<u8> = Measured::NotRecorded("no clock".into());
        assert_eq!(gap.or(&Measured::Value(1)), gap);
        assert_eq!(Measured::Missing.or(&Measured::Value(1)), Measured::Value(1));
    }
}
