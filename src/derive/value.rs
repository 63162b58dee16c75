//! A derived value: known with its working and source, or unknown with what is missing.

use crate::case::Measured;
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

/// A value that could not be worked out. Made with `..Unknown::default()`, so that it may grow.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Unknown {
    /// The keys that would have to be filled in.
    pub missing: Vec<Path>,
    /// What is said not to be recorded, each with its reason: nothing is worked out from a gap.
    pub not_recorded: Vec<(Path, String)>,
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
        Value::Unknown(Unknown { missing: vec![path.into()], ..Unknown::default() })
    }

    /// Lacking a measured value: its key is missing, or it is said not to be recorded.
    pub fn lacking<U>(path: impl Into<Path>, measured: &Measured<U>) -> Value<T> {
        let mut unknown = Unknown::default();
        unknown.lacks(path, measured);
        Value::Unknown(unknown)
    }

    /// Not known for a reason that is not a missing key.
    pub fn because(reason: impl Into<String>) -> Value<T> {
        Value::Unknown(Unknown { because: Some(reason.into()), ..Unknown::default() })
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

impl Unknown {
    /// Adds a measured value that is not there; one that is known adds nothing.
    pub fn lacks<T>(&mut self, path: impl Into<Path>, measured: &Measured<T>) {
        let path = path.into();
        match measured {
            Measured::Value(_) => {}
            Measured::Missing if self.missing.contains(&path) => {}
            Measured::Missing => self.missing.push(path),
            Measured::NotRecorded(_) if self.not_recorded.iter().any(|(known, _)| *known == path) => {}
            Measured::NotRecorded(reason) => self.not_recorded.push((path, reason.clone())),
        }
    }

    /// Adds what another value lacks, each once.
    pub fn add(&mut self, other: &Unknown) {
        let missing = other.missing.iter().filter(|path| !self.missing.contains(path));
        let missing: Vec<Path> = missing.cloned().collect();
        let gaps = other.not_recorded.iter().filter(|gap| !self.not_recorded.contains(gap));
        let gaps: Vec<(Path, String)> = gaps.cloned().collect();
        self.missing.extend(missing);
        self.not_recorded.extend(gaps);
        self.because = self.because.take().or_else(|| other.because.clone());
    }
}

/// `patient.weight missing`; `patient.weight not recorded: scale broken`; or the other reason.
impl std::fmt::Display for Unknown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let missing =
            (!self.missing.is_empty()).then(|| format!("{} missing", crate::words::List::and(&self.missing)));
        let gaps = self.not_recorded.iter().map(|(path, reason)| format!("{path} not recorded: {reason}"));
        let parts: Vec<String> = missing.into_iter().chain(gaps).chain(self.because.clone()).collect();
        f.write_str(&parts.join("; "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_lacking_is_said_once_with_its_reason() {
        let gap = Measured::<u8>::NotRecorded("scale broken".into());
        let mut unknown = Unknown::default();
        unknown.lacks("patient.weight", &gap);
        unknown.lacks("patient.weight", &gap);
        unknown.lacks("patient.height", &Measured::<u8>::Missing);
        unknown.lacks("patient.height", &Measured::<u8>::Missing);
        unknown.lacks("operation.start", &Measured::Value(1));
        assert_eq!(unknown.to_string(), "patient.height missing; patient.weight not recorded: scale broken");
        let mut both = Unknown { because: Some("no table".into()), ..Unknown::default() };
        both.add(&unknown);
        both.add(&unknown);
        assert_eq!(
            both.to_string(),
            "patient.height missing; patient.weight not recorded: scale broken; no table"
        );
    }
}
