//! Which version is the last, what went out, and whether the next one may be made.

use std::collections::BTreeMap;

use crate::identity::{Known, Marks};
use crate::register::chain::Register;
use crate::register::entry::{Event, Issued, Sent};

impl Register {
    /// Every version issued, in order.
    pub fn issued(&self) -> impl DoubleEndedIterator<Item = &Issued> {
        self.events.iter().filter_map(|(_, event)| match event {
            Event::Issued(issued) => Some(issued),
            Event::Sent(_) | Event::Undone(_) => None,
        })
    }

    /// Every version issued of a case, document by document.
    pub fn issued_of(&self, reference: &str) -> impl Iterator<Item = &Issued> {
        let documents = self.index.get(reference).into_iter().flat_map(BTreeMap::keys);
        documents.flat_map(|document| self.versions(reference, document))
    }

    /// The last version of a document, if any was issued.
    pub fn latest(&self, reference: &str, document: &str) -> Option<&Issued> {
        self.versions(reference, document).next_back()
    }

    /// One version of a document.
    pub fn version(&self, reference: &str, document: &str, version: u32) -> Option<&Issued> {
        self.versions(reference, document).find(|issued| issued.version == version)
    }

    /// Every version of a document, in order.
    fn versions(&self, reference: &str, document: &str) -> impl DoubleEndedIterator<Item = &Issued> {
        let places = self.index.get(reference).and_then(|documents| documents.get(document));
        places.into_iter().flatten().filter_map(|at| match self.events.get(*at) {
            Some((_, Event::Issued(issued))) => Some(issued),
            _ => None,
        })
    }

    /// What is known of whom the documents of a reference are about; `None` if nothing was issued under
    /// it, or only by a version that kept no hashes.
    pub fn known(&self, reference: &str) -> Option<Known> {
        let mut places: Vec<usize> =
            self.index.get(reference).into_iter().flatten().flat_map(|(_, places)| places).copied().collect();
        places.sort_unstable();
        let marks = places.into_iter().filter_map(|at| match self.events.get(at) {
            Some((_, Event::Issued(issued))) => issued.identity.as_ref(),
            _ => None,
        });
        Known::from_lines(marks)
    }

    /// The salt of this register's hashes, if it has any yet.
    pub fn salt(&self) -> Option<&str> {
        let marks: Option<&Marks> = self.issued().rev().find_map(|issued| issued.identity.as_ref());
        marks.map(|marks| marks.salt.as_str())
    }

    /// True if anything was issued under a reference.
    pub fn has_issued(&self, reference: &str) -> bool {
        self.index.contains_key(reference)
    }

    /// The last version of each document of a case, by document.
    pub fn latest_of(&self, reference: &str) -> BTreeMap<&str, &Issued> {
        let documents = self.index.get(reference).into_iter().flatten();
        documents
            .filter_map(|(document, _)| Some((document.as_str(), self.latest(reference, document)?)))
            .collect()
    }

    /// The last version of every document that somebody is meant to have and that has not gone there, by
    /// reference and document.
    pub fn not_gone(&self, to: &str, goes_to: impl Fn(&str) -> bool) -> Vec<&Issued> {
        let all = self.index.iter().flat_map(|(reference, documents)| {
            documents.keys().filter_map(move |document| self.latest(reference, document))
        });
        let has_gone = |issued: &&Issued| {
            let sent = self.sent(&issued.reference, &issued.document, issued.version);
            sent.iter().any(|sent| sent.to == to)
        };
        all.filter(|issued| goes_to(&issued.document) && !has_gone(issued)).collect()
    }

    /// Where a version of a document has gone; what was taken back has not.
    pub fn sent(&self, reference: &str, document: &str, version: u32) -> Vec<&Sent> {
        let places = self.gone.get(reference).into_iter().flatten();
        let sent = places.filter_map(|at| match self.events.get(*at) {
            Some((_, Event::Sent(sent))) => Some(sent),
            _ => None,
        });
        sent.filter(|sent| sent.document == document && sent.version == version).collect()
    }
}

/// What issuing a document now would come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// The words are those of the last version: no new version.
    Unchanged,
    /// A new version, which replaces the last one if there is one.
    Version(u32),
    /// The words differ, and nobody has said why.
    ReasonWanted,
}

/// Decides by the words, not by the file: a comment added to the case file, or a look changed in a
/// template, makes no new version.
pub fn next(latest: Option<&Issued>, same_words: bool, because: Option<&str>) -> Next {
    match latest {
        None => Next::Version(1),
        Some(_) if same_words => Next::Unchanged,
        Some(_) if because.is_none_or(|because| because.trim().is_empty()) => Next::ReasonWanted,
        Some(latest) => Next::Version(latest.version.saturating_add(1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::register::entry::tests::{issued, marks, sent, undone};

    #[test]
    fn whom_a_reference_belongs_to_is_known_from_the_first_line_that_says_so() {
        let mut register = Register::default();
        let _ = register.append(Event::Issued(issued("gp-letter", 1)));
        assert!(register.has_issued("LFC-0117") && !register.has_issued("LFC-0118"));
        assert_eq!((register.known("LFC-0117"), register.salt()), (None, None));
        for (document, version, family) in [("consent-form", 1, "one"), ("gp-letter", 2, "two")] {
            let identity = Some(marks(family));
            let _ = register.append(Event::Issued(Issued { identity, ..issued(document, version) }));
        }
        assert_eq!(register.known("LFC-0117"), Known::from_lines([&marks("one"), &marks("two")]));
        assert_eq!(register.salt(), Some("salt"));
    }

    #[test]
    fn a_new_version_needs_other_words_and_a_reason() {
        let first = issued("gp-letter", 1);
        assert_eq!(next(None, false, None), Next::Version(1));
        assert_eq!(next(Some(&first), true, Some("why")), Next::Unchanged);
        assert_eq!(next(Some(&first), false, None), Next::ReasonWanted);
        assert_eq!(next(Some(&first), false, Some(" ")), Next::ReasonWanted);
        assert_eq!(next(Some(&first), false, Some("why")), Next::Version(2));
    }

    #[test]
    fn the_last_version_and_where_it_went() {
        let mut register = Register::default();
        for event in [
            Event::Issued(issued("gp-letter", 1)),
            Event::Sent(sent("gp-letter", 1)),
            Event::Issued(issued("gp-letter", 2)),
            Event::Issued(issued("consent-form", 1)),
        ] {
            let line = register.append(event);
            assert!(line.ends_with("\"}\n"));
        }
        assert_eq!(register.latest("LFC-0117", "gp-letter").map(|issued| issued.version), Some(2));
        assert_eq!(register.latest("LFC-0118", "gp-letter"), None);
        assert_eq!(register.latest_of("LFC-0117").len(), 2);
        assert_eq!(register.sent("LFC-0117", "gp-letter", 1).len(), 1);
        assert_eq!(register.sent("LFC-0117", "gp-letter", 2).len(), 0);
    }

    #[test]
    fn what_is_taken_back_has_not_gone_and_its_line_stays() {
        let mut register = Register::default();
        let mut text = String::new();
        for event in [
            Event::Issued(issued("gp-letter", 1)),
            Event::Sent(sent("gp-letter", 1)),
            Event::Undone(undone("gp-letter", 1)),
        ] {
            text.push_str(&register.append(event));
        }
        assert_eq!(register.sent("LFC-0117", "gp-letter", 1).len(), 0);
        assert_eq!(register.events.len(), 3);
        let (again, problems) = Register::parse(text.as_bytes());
        assert_eq!((problems.len(), again.sent("LFC-0117", "gp-letter", 1).len()), (0, 0));
        let more = register.append(Event::Sent(sent("gp-letter", 1)));
        assert_eq!(register.sent("LFC-0117", "gp-letter", 1).len(), 1, "it may go again");
        let twice = Register::parse(format!("{text}{more}").as_bytes());
        assert_eq!((twice.1.len(), twice.0.sent("LFC-0117", "gp-letter", 1).len()), (0, 1));
    }
}
