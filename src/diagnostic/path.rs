//! Where a value stands in a file: `operation.toes.L1.tourniquet.off`, `accepted[0].rule`.

use std::fmt;

/// One step of a [`Path`].
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Segment {
    /// A key of a block.
    Key(String),
    /// A position in a list, from 0.
    Index(usize),
}

/// The way from the top of a file to one value. Empty: the file itself.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Path(Vec<Segment>);

impl Path {
    /// The top of the file.
    pub fn root() -> Path {
        Path::default()
    }

    /// The steps, outermost first.
    pub fn segments(&self) -> &[Segment] {
        &self.0
    }

    /// This path and one key more.
    #[must_use]
    pub fn key(&self, key: impl Into<String>) -> Path {
        let mut path = self.clone();
        path.0.push(Segment::Key(key.into()));
        path
    }

    /// This path and one list position more.
    #[must_use]
    pub fn index(&self, index: usize) -> Path {
        let mut path = self.clone();
        path.0.push(Segment::Index(index));
        path
    }

    /// The path of the block or list around this one; `None` at the top.
    pub fn parent(&self) -> Option<Path> {
        let (_, rest) = self.0.split_last()?;
        Some(Path(rest.to_vec()))
    }

    /// The last key, if the last step is one.
    pub fn last_key(&self) -> Option<&str> {
        match self.0.last() {
            Some(Segment::Key(key)) => Some(key),
            _ => None,
        }
    }
}

/// Reads the dotted form, for paths written in our own code: `a.b[0].c`.
/// A key that itself holds a dot or a bracket is built with [`Path::key`] instead.
impl From<&str> for Path {
    fn from(text: &str) -> Path {
        let mut path = Path::root();
        for part in text.split('.').filter(|part| !part.is_empty()) {
            let (key, indices) = part.split_once('[').unwrap_or((part, ""));
            if !key.is_empty() {
                path.0.push(Segment::Key(key.to_owned()));
            }
            for index in indices.split('[') {
                if let Ok(index) = index.trim_end_matches(']').parse() {
                    path.0.push(Segment::Index(index));
                }
            }
        }
        path
    }
}

impl From<String> for Path {
    fn from(text: String) -> Path {
        Path::from(text.as_str())
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (position, segment) in self.0.iter().enumerate() {
            match segment {
                Segment::Key(key) if position == 0 => write!(f, "{key}")?,
                Segment::Key(key) => write!(f, ".{key}")?,
                Segment::Index(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dotted_form_round_trips() {
        for text in ["", "patient", "operation.toes.L1.tourniquet.off", "accepted[0].rule", "a[1][2].b"] {
            assert_eq!(Path::from(text).to_string(), text);
        }
    }

    #[test]
    fn parent_of_the_top_is_none() {
        assert_eq!(Path::root().parent(), None);
        assert_eq!(Path::from("a.b[0]").parent(), Some(Path::from("a.b")));
    }
}
