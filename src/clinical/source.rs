//! Where a fact comes from. The only place with titles and addresses of publications.

use std::fmt;

/// A publication.
#[derive(Debug, PartialEq, Eq)]
pub struct Source {
    /// Short permanent key, as the tables use it.
    pub key: &'static str,
    /// Title.
    pub title: &'static str,
    /// Publisher.
    pub publisher: &'static str,
    /// Year, or the date of the text.
    pub year: &'static str,
    /// How far it was read, and where.
    pub seen: Seen,
}

/// How far a publication was read. Copies at document-sharing sites have no address here: nobody can
/// rely on them, so they only count as a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Read at an address that a reader can open: the publisher's, a journal's, a public repository's.
    Original(&'static str),
    /// Read as another publication quotes or reports it: which.
    Quoted(&'static str),
    /// Read as a copy; the publisher's own page was not found.
    Copy,
    /// Not read: known by its title.
    NotSeen,
}

/// What `explain` says below the title.
impl fmt::Display for Seen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Seen::Original(address) => write!(f, "Found at: {address}"),
            Seen::Quoted(by) => write!(f, "Read as quoted by: {by}"),
            Seen::Copy => f.write_str("Read as a copy; the publisher's own page was not found."),
            Seen::NotSeen => f.write_str("Known by its title; the publication was not at hand."),
        }
    }
}

/// How a number or a rule of ours relates to its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// The source says so.
    States,
    /// The source was read and we differ, or go beyond it: how and why.
    Adapts(&'static str),
    /// Practitioners do so; no publication was found.
    CommonPractice,
    /// Our own choice, because something had to be chosen: why this one.
    ProjectDefault(&'static str),
    /// Known to us, but the publication named was not at hand: check it before relying on it.
    FromMemory,
}

/// A source, the place in it, and our relation to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cite {
    /// The publication; `None` for common practice and project defaults.
    pub source: Option<&'static Source>,
    /// Section, table, page.
    pub locator: &'static str,
    /// How it relates.
    pub relation: Relation,
}

impl Cite {
    /// The source says so.
    pub const fn states(source: &'static Source, locator: &'static str) -> Cite {
        Cite { source: Some(source), locator, relation: Relation::States }
    }

    /// The source was read and we differ.
    pub const fn adapts(source: &'static Source, locator: &'static str, how: &'static str) -> Cite {
        Cite { source: Some(source), locator, relation: Relation::Adapts(how) }
    }

    /// Believed to stand in this source.
    pub const fn from_memory(source: &'static Source, locator: &'static str) -> Cite {
        Cite { source: Some(source), locator, relation: Relation::FromMemory }
    }

    /// What practitioners do.
    pub const fn common_practice() -> Cite {
        Cite { source: None, locator: "", relation: Relation::CommonPractice }
    }

    /// Our own choice.
    pub const fn project_default(why: &'static str) -> Cite {
        Cite { source: None, locator: "", relation: Relation::ProjectDefault(why) }
    }
}

impl Cite {
    /// As it stands on paper: who says it, and in a word how far to trust it. All of it is in `show`.
    pub fn short(&self) -> String {
        let relation = match self.relation {
            Relation::States => "",
            Relation::Adapts(_) => "adapted",
            Relation::CommonPractice => "common practice, no source",
            Relation::ProjectDefault(_) => "chosen for this tool, no source",
            Relation::FromMemory => "not checked against the publication",
        };
        let Some(source) = self.source else { return relation.to_owned() };
        let year = if source.year == "n.d." || source.publisher.contains(source.year) {
            String::new()
        } else {
            format!(" {}", source.year)
        };
        let gap = if relation.is_empty() { "" } else { "; " };
        // The trade's own abbreviation: on paper each line counts.
        let title = source.title.replace("summary of product characteristics", "SmPC");
        format!("{title}, {}{year}{gap}{relation}", source.publisher)
    }
}

/// One line: what a person needs to find it, and the relation unless it plainly states the fact.
impl fmt::Display for Cite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(source) = self.source {
            write!(f, "{}, {}", source.title, source.publisher)?;
            // An undated page says nothing of its date, and a journal reference says it itself.
            if source.year != "n.d." && !source.publisher.contains(source.year) {
                write!(f, " {}", source.year)?;
            }
            if !self.locator.is_empty() {
                write!(f, ", {}", self.locator)?;
            }
        }
        let gap = if self.source.is_some() { "; " } else { "" };
        match self.relation {
            Relation::States => Ok(()),
            Relation::Adapts(how) => write!(f, "{gap}adapted: {how}"),
            Relation::CommonPractice => write!(f, "{gap}common practice, no source"),
            Relation::ProjectDefault(why) => write!(f, "{gap}project default: {why}"),
            Relation::FromMemory => write!(f, "{gap}from memory, not checked against the publication"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::sources::anaesthetic::{BNF, LIDOCAINE_SMPC};

    #[test]
    fn paper_names_the_source_and_how_far_to_trust_it() {
        assert_eq!(
            Cite::states(&LIDOCAINE_SMPC, "section 4.2").short(),
            "Lidocaine Injection BP 1 % and 2 % w/v, SmPC, B. Braun 2023"
        );
        assert_eq!(
            Cite::adapts(&BNF, "lidocaine", "how").short(),
            "British National Formulary, local anaesthesia, BNF Publications; adapted"
        );
        assert!(Cite::from_memory(&BNF, "x").short().ends_with("; not checked against the publication"));
        assert_eq!(Cite::common_practice().short(), "common practice, no source");
    }
}
