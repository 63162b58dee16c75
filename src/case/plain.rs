//! The values of a checked file, and how the types of the model read them.
//!
//! They borrow every key and text from the tree, and a value that a type refuses costs nothing but the answer:
//! an optional form is tried and dropped many times a file. What a refusal says is found out only for the file
//! that is refused in the end, by [`Plain::spoken`].

use std::fmt;

use serde::de::value::{BorrowedStrDeserializer, MapDeserializer, SeqDeserializer};
use serde::de::{Deserializer, IntoDeserializer, Visitor};
use serde::forward_to_deserialize_any;
use serde_yaml::Value;

/// A value of the kind that the model wants.
#[derive(Debug, Clone)]
pub(super) enum Plain<'t> {
    /// Nothing.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A whole number.
    Whole(i64),
    /// A text.
    Text(&'t str),
    /// A list.
    List(Vec<Plain<'t>>),
    /// A block, in file order.
    Block(Vec<(Key<'t>, Plain<'t>)>),
}

/// A key of a block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Key<'t>(pub(super) &'t str);

/// A type does not take a value.
#[derive(Debug)]
pub(super) struct Refused;

impl Plain<'_> {
    /// The same for a reader that says why it refuses.
    pub(super) fn spoken(&self) -> Value {
        match self {
            Plain::Null => Value::Null,
            Plain::Bool(value) => Value::Bool(*value),
            Plain::Whole(number) => Value::Number((*number).into()),
            Plain::Text(text) => Value::String((*text).to_owned()),
            Plain::List(items) => Value::Sequence(items.iter().map(Plain::spoken).collect()),
            Plain::Block(entries) => Value::Mapping(
                entries.iter().map(|(key, value)| (Value::from(key.0), value.spoken())).collect(),
            ),
        }
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("refused")
    }
}

impl std::error::Error for Refused {}

impl serde::de::Error for Refused {
    fn custom<T: fmt::Display>(_: T) -> Refused {
        Refused
    }
}

impl<'t> IntoDeserializer<'t, Refused> for Plain<'t> {
    type Deserializer = Plain<'t>;

    fn into_deserializer(self) -> Plain<'t> {
        self
    }
}

impl<'t> IntoDeserializer<'t, Refused> for Key<'t> {
    type Deserializer = BorrowedStrDeserializer<'t, Refused>;

    fn into_deserializer(self) -> Self::Deserializer {
        BorrowedStrDeserializer::new(self.0)
    }
}

/// As the values of a YAML file are read: what is nothing may be left out, and a word names its variant.
impl<'de> Deserializer<'de> for Plain<'de> {
    type Error = Refused;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refused> {
        match self {
            Plain::Null => visitor.visit_unit(),
            Plain::Bool(value) => visitor.visit_bool(value),
            Plain::Whole(number) => match u64::try_from(number) {
                Ok(number) => visitor.visit_u64(number),
                Err(_) => visitor.visit_i64(number),
            },
            Plain::Text(text) => visitor.visit_borrowed_str(text),
            Plain::List(items) => {
                let mut items = SeqDeserializer::new(items.into_iter());
                let list = visitor.visit_seq(&mut items)?;
                items.end().map(|()| list)
            }
            Plain::Block(entries) => {
                let mut entries = MapDeserializer::new(entries.into_iter());
                let block = visitor.visit_map(&mut entries)?;
                entries.end().map(|()| block)
            }
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Refused> {
        match self {
            Plain::Null => visitor.visit_none(),
            value => visitor.visit_some(value),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Refused> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Refused> {
        match self {
            Plain::Text(word) => visitor.visit_enum(BorrowedStrDeserializer::new(word)),
            _ => Err(Refused),
        }
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf unit unit_struct seq
        tuple tuple_struct map struct identifier ignored_any
    }
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, PartialEq, Deserialize)]
    #[serde(untagged)]
    enum OneOrMany {
        One(u8),
        Many(Vec<Option<String>>),
    }

    #[derive(Debug, PartialEq, Deserialize)]
    #[serde(rename_all = "kebab-case")]
    enum Word {
        InFull,
    }

    #[derive(Debug, PartialEq, Deserialize)]
    struct Block {
        word: Word,
        #[serde(default)]
        counted: Option<OneOrMany>,
    }

    fn block(entries: Vec<(&'static str, Plain<'static>)>) -> Plain<'static> {
        Plain::Block(entries.into_iter().map(|(key, value)| (Key(key), value)).collect())
    }

    /// What a type takes is what the reader of YAML would give it, which is asked beside it.
    #[test]
    fn a_type_takes_and_refuses_what_it_does_from_yaml() {
        let word = || ("word", Plain::Text("in-full"));
        let many = || Plain::List(vec![Plain::Text("a"), Plain::Null]);
        for (values, is_taken) in [
            (block(vec![word()]), true),
            (block(vec![word(), ("counted", Plain::Null)]), true),
            (block(vec![word(), ("counted", Plain::Whole(255))]), true),
            (block(vec![word(), ("counted", many())]), true),
            (block(vec![word(), ("other", block(vec![("bool", Plain::Bool(true))]))]), true),
            (block(vec![word(), ("counted", Plain::Whole(256))]), false),
            (block(vec![word(), ("counted", Plain::Whole(-1))]), false),
            (block(vec![word(), ("counted", Plain::Text("255"))]), false),
            (block(vec![("word", Plain::Text("in full"))]), false),
            (block(vec![("word", Plain::Bool(true))]), false),
            (block(vec![]), false),
            (many(), false),
            (Plain::Text("word"), false),
        ] {
            let from_yaml: Option<Block> = serde_yaml::from_value(values.spoken()).ok();
            let taken = Block::deserialize(values.clone()).ok();
            assert_eq!(taken, from_yaml, "{values:?}");
            assert_eq!(taken.is_some(), is_taken, "{values:?}");
        }
    }
}
