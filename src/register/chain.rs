//! The whole register: read tolerantly, extended strictly.

use std::collections::BTreeMap;

use crate::hash::sha256;
use crate::register::BEFORE_THE_FIRST;
use crate::register::end::{END, EndMark};
use crate::register::entry::{self, Event, Issued, Sent, Undone, Unreadable};

/// Everything that could be read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Register {
    /// Events in order, each with its line number from 1.
    pub events: Vec<(usize, Event)>,
    /// Hash of each whole line; the next line will name the last.
    hashes: Vec<String>,
    /// Where in `events` each document's versions are, by reference and document: a register of
    /// years is still read in one pass.
    pub(super) index: BTreeMap<String, BTreeMap<String, Vec<usize>>>,
    /// Where in `events` the entries are of what has gone and was not taken back, by reference.
    pub(super) gone: BTreeMap<String, Vec<usize>>,
}

/// Something wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The line, from 1.
    pub line: usize,
    /// What.
    pub kind: Kind,
}

/// What is wrong with a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// The last line has no end: its writing was cut short. Harmless, and mended by the next issue.
    CutShort {
        /// Where it begins, in bytes.
        at: usize,
        /// All of it is there but the line end.
        is_whole: bool,
    },
    /// It is no entry.
    NotAnEntry,
    /// It was changed after it was written.
    Changed,
    /// The line before it is not the one it was written after.
    ChainBroken,
    /// A version out of order.
    Version {
        /// The case.
        reference: String,
        /// The document.
        document: String,
        /// The version that had to come.
        wanted: u32,
        /// The version that stands there.
        found: u32,
    },
    /// A version went out that was never issued.
    NeverIssued {
        /// The case.
        reference: String,
        /// The document.
        document: String,
        /// The version.
        version: u32,
    },
    /// Something is taken back that was never entered.
    NeverSent {
        /// The case.
        reference: String,
        /// The document.
        document: String,
        /// The version.
        version: u32,
    },
    /// The file names something outside the case's folder.
    Misplaced(String),
    /// Lines are lost that the mark of the end knows.
    EndLost {
        /// How many lines there were.
        marked: usize,
    },
    /// The line that the mark names is another one.
    EndDiffers {
        /// Which.
        marked: usize,
    },
    /// There is no mark of the end. Harmless, and mended by the next issue.
    EndNotMarked,
}

impl Register {
    /// Reads a register together with the mark of its end.
    pub fn read(register: &[u8], mark: Option<&[u8]>) -> (Register, Vec<Problem>) {
        let (register, mut problems) = Register::parse(register);
        let lines = register.hashes.len();
        let kind = match mark.map(EndMark::parse) {
            Some(Some(mark)) => match register.hash_of_line(mark.lines) {
                Some(hash) if hash == mark.last => None,
                Some(_) => Some(Kind::EndDiffers { marked: mark.lines }),
                None => Some(Kind::EndLost { marked: mark.lines }),
            },
            // A register that was only just begun.
            None if lines == 0 => None,
            Some(None) | None => Some(Kind::EndNotMarked),
        };
        problems.extend(kind.map(|kind| Problem { line: lines, kind }));
        (register, problems)
    }

    /// Reads a register; whatever cannot be read is a problem, never a failure.
    ///
    /// A line is judged by itself, then against the line before it, then against what was issued
    /// before; reading goes on after each problem.
    pub fn parse(bytes: &[u8]) -> (Register, Vec<Problem>) {
        let mut register = Register::default();
        let mut problems = Vec::new();
        let mut start = 0;
        for (index, line) in bytes.split_inclusive(|byte| *byte == b'\n').enumerate() {
            let number = index + 1;
            match line.strip_suffix(b"\n") {
                Some(line) => register.read_line(number, line, &mut problems),
                None => {
                    let is_whole = std::str::from_utf8(line).is_ok_and(|text| {
                        entry::parse(text).is_ok_and(|(_, previous)| previous == register.last())
                    });
                    problems.push(Problem { line: number, kind: Kind::CutShort { at: start, is_whole } });
                }
            }
            start += line.len();
        }
        (register, problems)
    }

    fn read_line(&mut self, number: usize, line: &[u8], problems: &mut Vec<Problem>) {
        let mut report = |kind| problems.push(Problem { line: number, kind });
        let before = self.last().to_owned();
        self.hashes.push(sha256(line));
        let parsed = std::str::from_utf8(line).map_err(|_| Unreadable::Shape).and_then(entry::parse);
        match parsed {
            Err(Unreadable::Shape) => report(Kind::NotAnEntry),
            Err(Unreadable::Check) => report(Kind::Changed),
            Ok((event, previous)) => {
                if previous != before {
                    report(Kind::ChainBroken);
                }
                if let Some(kind) = self.misfit(&event) {
                    report(kind);
                }
                self.push(number, event);
            }
        }
    }

    /// What of an event does not fit what came before.
    fn misfit(&self, event: &Event) -> Option<Kind> {
        match event {
            Event::Issued(issued @ Issued { reference, document, version, file, .. }) => {
                let wanted =
                    self.latest(reference, document).map_or(1, |latest| latest.version.saturating_add(1));
                if *version != wanted {
                    return Some(Kind::Version {
                        reference: reference.clone(),
                        document: document.clone(),
                        wanted,
                        found: *version,
                    });
                }
                let is_misplaced =
                    !issued.is_in_its_place() || !is_plain(reference) || !document.split('/').all(is_plain);
                is_misplaced.then(|| Kind::Misplaced(file.clone()))
            }
            Event::Sent(Sent { reference, document, version, .. }) => {
                self.version(reference, document, *version).is_none().then(|| Kind::NeverIssued {
                    reference: reference.clone(),
                    document: document.clone(),
                    version: *version,
                })
            }
            Event::Undone(undone) => self.taken_back(undone).is_none().then(|| Kind::NeverSent {
                reference: undone.reference.clone(),
                document: undone.document.clone(),
                version: undone.version,
            }),
        }
    }

    /// Where the entry stands that is taken back: the last one of that version, recipient and day.
    pub(super) fn taken_back(&self, undone: &Undone) -> Option<usize> {
        let places = self.gone.get(&undone.reference)?;
        let is_it = |at: &&usize| match self.events.get(**at) {
            Some((_, Event::Sent(sent))) => {
                (&sent.document, sent.version, &sent.to, sent.date)
                    == (&undone.document, undone.version, &undone.to, undone.date)
            }
            _ => false,
        };
        places.iter().rev().find(is_it).copied()
    }

    /// The line to append for an event, with its line end, and the register with it.
    #[must_use]
    pub fn append(&mut self, event: Event) -> String {
        let line = self.append_unkept(&event);
        self.push(self.hashes.len(), event);
        line
    }

    /// As [`Register::append`], of an event that nobody asks for before the register is read again: the memory of a
    /// run does not grow with what it enters, but for the hash of each line.
    #[must_use]
    pub fn append_unkept(&mut self, event: &Event) -> String {
        let mut line = entry::line(event, self.last());
        self.hashes.push(sha256(line.as_bytes()));
        line.push('\n');
        line
    }

    /// Hash of the last whole line, which the next line will name.
    fn last(&self) -> &str {
        self.hashes.last().map_or(BEFORE_THE_FIRST, String::as_str)
    }

    /// How far the register has come.
    pub fn end(&self) -> EndMark {
        EndMark { lines: self.hashes.len(), last: self.last().to_owned() }
    }

    /// Hash of a line, counted from 1; line 0 is what the first line names as the line before it.
    pub(super) fn hash_of_line(&self, line: usize) -> Option<&str> {
        match line.checked_sub(1) {
            None => Some(BEFORE_THE_FIRST),
            Some(index) => self.hashes.get(index).map(String::as_str),
        }
    }

    fn push(&mut self, number: usize, event: Event) {
        if let Event::Issued(Issued { reference, document, .. }) = &event {
            let documents = self.index.entry(reference.clone()).or_default();
            documents.entry(document.clone()).or_default().push(self.events.len());
        }
        match &event {
            Event::Issued(_) => {}
            Event::Sent(sent) => {
                self.gone.entry(sent.reference.clone()).or_default().push(self.events.len());
            }
            Event::Undone(undone) => {
                let at = self.taken_back(undone);
                if let Some(gone) = self.gone.get_mut(&undone.reference) {
                    gone.retain(|place| Some(*place) != at);
                }
            }
        }
        self.events.push((number, event));
    }
}

/// Letters, digits and hyphens: nothing that leads out of a folder.
fn is_plain(name: &str) -> bool {
    !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
}

impl Problem {
    /// What is wrong, as a sentence without its full stop.
    pub fn says(&self) -> String {
        let line = self.line;
        match &self.kind {
            Kind::CutShort { .. } => format!("line {line} is the last and its writing was cut short"),
            Kind::NotAnEntry => format!("line {line} is not an entry of the register"),
            Kind::Changed => format!("line {line} was changed after it was written"),
            Kind::ChainBroken => format!("before line {line}, a line was changed, moved or taken out"),
            Kind::Version { reference, document, wanted, found } => {
                format!(
                    "line {line} enters version {found} of {document} of {reference} where version {wanted} had to come"
                )
            }
            Kind::NeverIssued { reference, document, version } => {
                format!(
                    "line {line} sends version {version} of {document} of {reference}, which was never issued"
                )
            }
            Kind::NeverSent { reference, document, version } => {
                format!(
                    "line {line} takes back that version {version} of {document} of {reference} went, which was \
                     never entered"
                )
            }
            Kind::Misplaced(file) => {
                format!("line {line} names `{file}`, which is not where such a document lies")
            }
            Kind::EndLost { marked } => {
                format!("has {line} of the {marked} lines that were written: its end is lost")
            }
            Kind::EndDiffers { marked } => format!("line {marked} is not the one that was written there"),
            Kind::EndNotMarked => {
                format!(
                    "the mark of its end, `{END}`, is missing or damaged: lines lost off its end would not show"
                )
            }
        }
    }

    /// What to do about it.
    pub fn help(&self) -> &'static str {
        match self.kind {
            Kind::CutShort { .. } => {
                "nothing is lost: run `unguis issue` on the case again, which mends the line"
            }
            Kind::EndNotMarked => {
                "look whether the last lines are there, or bring the mark back from a backup; the next \
                 `unguis issue` writes it anew"
            }
            Kind::NotAnEntry
            | Kind::Changed
            | Kind::ChainBroken
            | Kind::Version { .. }
            | Kind::NeverIssued { .. }
            | Kind::NeverSent { .. }
            | Kind::Misplaced(_)
            | Kind::EndLost { .. }
            | Kind::EndDiffers { .. } => {
                "bring the register back from a backup; keep the damaged one beside it, to see what was changed"
            }
        }
    }

    /// The next issue mends it by itself.
    pub fn is_harmless(&self) -> bool {
        matches!(self.kind, Kind::CutShort { .. } | Kind::EndNotMarked)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::register::entry::tests::{issued, sent};

    fn four_lines() -> String {
        let mut register = Register::default();
        let mut text = String::new();
        for event in [
            Event::Issued(issued("operation-note", 1)),
            Event::Issued(issued("gp-letter", 1)),
            Event::Sent(sent("gp-letter", 1)),
            Event::Issued(issued("gp-letter", 2)),
        ] {
            text.push_str(&register.append(event));
        }
        text
    }

    fn kinds(text: &[u8]) -> Vec<(usize, Kind)> {
        Register::parse(text).1.into_iter().map(|problem| (problem.line, problem.kind)).collect()
    }

    #[test]
    fn what_was_appended_is_read_back_without_problems() {
        let text = four_lines();
        let (register, problems) = Register::parse(text.as_bytes());
        assert_eq!(problems, []);
        assert_eq!(register.events.len(), 4);
        let mut again = register.clone();
        let line = again.append(Event::Issued(issued("gp-letter", 3)));
        assert_eq!(kinds(format!("{text}{line}").as_bytes()), []);
        assert_eq!(Register::parse(b""), (Register::default(), Vec::new()));
    }

    #[test]
    fn a_line_that_is_not_kept_is_the_same_line() {
        let (mut kept, _) = Register::parse(four_lines().as_bytes());
        let mut unkept = kept.clone();
        for version in [3, 4] {
            let event = Event::Issued(issued("gp-letter", version));
            assert_eq!(unkept.append_unkept(&event), kept.append(event));
        }
        assert_eq!((unkept.end(), unkept.events.len()), (kept.end(), 4));
        assert_eq!(kept.events.last().map(|(line, _)| *line), Some(6));
    }

    #[test]
    fn a_line_taken_out_or_moved_breaks_the_chain() {
        let text = four_lines();
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let without_first = lines[1..].concat();
        assert_eq!(kinds(without_first.as_bytes()), [(1, Kind::ChainBroken)]);
        let swapped = [lines[1], lines[0], lines[2], lines[3]].concat();
        let broken: Vec<usize> = kinds(swapped.as_bytes()).into_iter().map(|(line, _)| line).collect();
        assert_eq!(broken, [1, 2, 3]);
        let repeated = [lines[0], lines[0]].concat();
        assert_eq!(kinds(repeated.as_bytes()).len(), 2, "chain and version");
    }

    #[test]
    fn versions_come_in_order_and_only_issued_ones_are_sent() {
        let mut register = Register::default();
        let mut text = register.append(Event::Issued(issued("gp-letter", 2)));
        text.push_str(&register.append(Event::Sent(sent("consent-form", 1))));
        let found = kinds(text.as_bytes());
        assert!(matches!(found[0], (1, Kind::Version { wanted: 1, found: 2, .. })), "{found:?}");
        assert!(matches!(found[1], (2, Kind::NeverIssued { version: 1, .. })), "{found:?}");
        let astray = Issued { file: "../gp-letter-1.pdf".into(), ..issued("gp-letter", 1) };
        let text = Register::default().append(Event::Issued(astray));
        assert_eq!(kinds(text.as_bytes()), [(1, Kind::Misplaced("../gp-letter-1.pdf".into()))]);
    }

    #[test]
    fn a_line_without_its_end_is_whole_or_not() {
        let text = four_lines();
        let start = text.trim_end().rfind('\n').expect("four lines") + 1;
        let whole = Kind::CutShort { at: start, is_whole: true };
        assert_eq!(kinds(text.trim_end().as_bytes()), [(4, whole)]);
        let half = Kind::CutShort { at: start, is_whole: false };
        assert_eq!(kinds(&text.as_bytes()[..text.len() - 2]), [(4, half)]);
    }

    fn read_kinds(register: &[u8], mark: Option<&[u8]>) -> Vec<Kind> {
        Register::read(register, mark).1.into_iter().map(|problem| problem.kind).collect()
    }

    /// Two lines, and the marks after none, one and both.
    fn two_lines() -> (String, String, [String; 3]) {
        let mut register = Register::default();
        let none = register.end().text();
        let first = register.append(Event::Issued(issued("gp-letter", 1)));
        let one = register.end().text();
        let second = register.append(Event::Sent(sent("gp-letter", 1)));
        (first, second, [none, one, register.end().text()])
    }

    #[test]
    fn a_lost_end_shows_and_a_mark_that_came_too_late_is_no_fault() {
        let (first, second, marks) = two_lines();
        let both = format!("{first}{second}");
        for mark in &marks {
            assert_eq!(read_kinds(both.as_bytes(), Some(mark.as_bytes())), [], "{mark}");
        }
        let mark = Some(marks[2].as_bytes());
        assert_eq!(read_kinds(first.as_bytes(), mark), [Kind::EndLost { marked: 2 }]);
        assert_eq!(read_kinds(b"", mark), [Kind::EndLost { marked: 2 }]);
        let another = Register::default().append(Event::Issued(issued("consent-form", 1)));
        assert_eq!(
            read_kinds(another.as_bytes(), Some(marks[1].as_bytes())),
            [Kind::EndDiffers { marked: 1 }]
        );
    }

    #[test]
    fn a_mark_that_is_not_there_or_not_readable_is_said() {
        let (first, ..) = two_lines();
        for mark in
            [None, Some(&b""[..]), Some(b"{\"lines\":1}"), Some(b"{\"lines\":1,\"last\":\"x\",\"y\":1}")]
        {
            assert_eq!(read_kinds(first.as_bytes(), mark), [Kind::EndNotMarked]);
        }
        assert_eq!(read_kinds(b"", None), []);
    }

    /// Every place, a handful of other values each: nothing slips through.
    #[test]
    fn every_changed_byte_is_detected() {
        let text = four_lines().into_bytes();
        for at in 0..text.len() {
            for flip in [0x01, 0x20, 0x80, text[at] ^ b'\n', text[at] ^ b'0'] {
                let mut changed = text.clone();
                changed[at] ^= flip;
                if changed != text {
                    assert_ne!(kinds(&changed), [], "byte {at} by {flip:#x}");
                }
            }
        }
    }

    /// Every beginning of a register is read, reports at most the cut line, and keeps the rest.
    #[test]
    fn every_beginning_is_read() {
        let text = four_lines().into_bytes();
        for end in 0..=text.len() {
            let (register, problems) = Register::parse(&text[..end]);
            let whole = text[..end].iter().filter(|byte| **byte == b'\n').count();
            assert_eq!(register.events.len(), whole);
            let is_clean = end == 0 || text[end - 1] == b'\n';
            assert_eq!(problems.is_empty(), is_clean, "{end}");
            assert!(problems.iter().all(Problem::is_harmless), "{end}");
        }
    }

    proptest! {
        #[test]
        fn nothing_that_is_read_breaks_it(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
            let (register, problems) = Register::parse(&bytes);
            prop_assert!(register.events.is_empty());
            prop_assert_eq!(problems.is_empty(), bytes.is_empty());
        }

        #[test]
        fn any_one_changed_byte_is_detected(at in any::<prop::sample::Index>(), value in any::<u8>()) {
            let text = four_lines().into_bytes();
            let mut changed = text.clone();
            let at = at.index(text.len());
            changed[at] = value;
            prop_assert_eq!(kinds(&changed).is_empty(), changed == text);
        }

        #[test]
        fn any_words_survive_the_line(by in "\\PC{0,40}", because in any::<String>()) {
            let event = Event::Issued(Issued { by, because: Some(because), ..issued("gp-letter", 1) });
            let line = Register::default().append(event.clone());
            let (register, problems) = Register::parse(line.as_bytes());
            prop_assert_eq!(problems, vec![]);
            prop_assert_eq!(register.events, vec![(1, event)]);
        }
    }
}
