//! A derived value: known with its working and source, or unknown with what is missing.

use crate::clinical::Cite;
use crate::diagnostic::Path;

/// What was worked out, or why it could not be.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<T> {
    /// Worked out.
    Known(Known<T>),
    /// Not worked out. There is no default and no zero.
    Unknown(Unknown),
}

/// A value that was worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Known<T> {
    /// The value.
    pub value: T,
    /// The sum as a person would write it: `2.2 ml × 3 % × 10 = 66 mg`.
    pub working: String,
    /// Where the method or the limit comes from.
    pub source: Cite,
}

/// A value that could not be worked out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Unknown {
    /// The keys that would have to be filled in.
    pub missing: Vec<Path>,
    /// Another reason: `` `lidocain` is not in the table of agents ``.
    pub because: Option<String>,
}

impl<T> Value<T> {
    /// Worked out.
    pub fn known(value: T, working: impl Into<String>, source: Cite) -> Value<T> {
        Value::Known(Known { value, working: working.into(), source })
    }

    /// Missing one key.
    pub fn missing(path: impl Into<Path>) -> Value<T> {
        Value::Unknown(Unknown { missing: vec![path.into()], because: None })
    }

    /// Not known for a reason that is not a missing key.
    pub fn because(reason: impl Into<String>) -> Value<T> {
        Value::Unknown(Unknown { missing: Vec::new(), because: Some(reason.into()) })
    }

    /// The value, if known.
    pub fn get(&self) -> Option<&T> {
        match self {
            Value::Known(known) => Some(&known.value),
            Value::Unknown(_) => None,
        }
    }

    /// The whole entry, if known.
    pub fn entry(&self) -> Option<&Known<T>> {
        match self {
            Value::Known(known) => Some(known),
            Value::Unknown(_) => None,
        }
    }

    /// What is missing, if unknown.
    pub fn unknown(&self) -> Option<&Unknown> {
        match self {
            Value::Known(_) => None,
            Value::Unknown(unknown) => Some(unknown),
        }
    }

    /// `not known: weight missing`, or the printed value.
    pub fn print(&self, show: impl Fn(&T) -> String) -> String {
        match self {
            Value::Known(known) => show(&known.value),
            Value::Unknown(unknown) => format!("not known: {unknown}"),
        }
    }
}

/// `patient.weight missing`, or the other reason.
impl std::fmt::Display for Unknown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let missing = crate::diagnostic::english::List::and(&self.missing);
        match (&self.because, self.missing.is_empty()) {
            (Some(because), true) => write!(f, "{because}"),
            (Some(because), false) => write!(f, "{missing} missing; {because}"),
            (None, _) => write!(f, "{missing} missing"),
        }
    }
}
