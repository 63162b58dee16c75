//! Something that holds of this patient, does not, or is not known, with what it is known from.

use super::LookedUp;
use crate::clinical::Cite;
use crate::clinical::tables::Class;
use crate::diagnostic::Path;

/// Whether something holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Answer {
    Yes,
    No,
    NotKnown,
}

/// One entry of the case that makes a fact hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// Where it is written.
    pub path: Path,
    /// What it says, for a finding: `left TBPI 0.60, abnormal`, `takes Warferin (warfarin)`.
    pub says: String,
    /// The same as it is named on paper: `left TBPI 0.60, abnormal`, `warfarin`.
    pub name: String,
    /// Why it counts.
    pub source: Cite,
}

impl Reason {
    /// A reason that is named on paper as it is in a finding.
    pub(super) fn new(path: impl Into<Path>, says: impl Into<String>, source: Cite) -> Reason {
        let says = says.into();
        Reason { path: path.into(), name: says.clone(), says, source }
    }

    /// A condition of the history, as typed.
    fn condition(at: usize, condition: &LookedUp, source: Cite) -> Reason {
        Reason::new(Path::from("history.conditions").index(at), condition.typed.clone(), source)
    }

    /// A medicine of the history, by the table's own name.
    fn medicine(at: usize, medicine: &LookedUp, source: Cite) -> Reason {
        let name = medicine.name.map_or_else(|| medicine.typed.clone(), str::to_owned);
        let typed = &medicine.typed;
        let says = if typed.to_lowercase().contains(&name) {
            format!("takes {typed}")
        } else {
            format!("takes {typed} ({name})")
        };
        Reason { path: Path::from("history.medicines").index(at), says, name, source }
    }
}

/// The conditions of a class, each a reason.
pub(super) fn conditions(list: &[LookedUp], class: Class, source: Cite) -> Vec<Reason> {
    let of_class = list.iter().enumerate().filter(|(_, condition)| condition.is(class));
    of_class.map(|(at, condition)| Reason::condition(at, condition, source)).collect()
}

/// The medicines of a class, each a reason.
pub(super) fn medicines(list: &[LookedUp], class: Class, source: Cite) -> Vec<Reason> {
    let of_class = list.iter().enumerate().filter(|(_, medicine)| medicine.is(class));
    of_class.map(|(at, medicine)| Reason::medicine(at, medicine, source)).collect()
}

/// Whether something holds of this patient, and what it is known from.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Whether it holds.
    pub answer: Answer,
    /// What makes it hold; empty if it does not, or is not known.
    pub reasons: Vec<Reason>,
}

impl Fact {
    /// It holds if there is a reason; if there is none it does not, provided that the question was
    /// answered.
    pub(super) fn of(reasons: Vec<Reason>, is_answered: bool) -> Fact {
        let answer = match (reasons.is_empty(), is_answered) {
            (false, _) => Answer::Yes,
            (true, true) => Answer::No,
            (true, false) => Answer::NotKnown,
        };
        Fact { answer, reasons }
    }

    /// True if it is known to hold.
    pub fn holds(&self) -> bool {
        self.answer == Answer::Yes
    }

    /// The reasons as they are named on paper: `left TBPI 0.60, abnormal; left toe pressure 25 mmHg`.
    pub fn because(&self) -> String {
        names_of(&self.reasons, "; ")
    }
}

/// The names of some reasons, each once.
pub fn names_of(reasons: &[Reason], between: &str) -> String {
    let mut names: Vec<&str> = Vec::new();
    for reason in reasons {
        if !names.contains(&reason.name.as_str()) {
            names.push(&reason.name);
        }
    }
    names.join(between)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn silence_is_not_a_no() {
        let reason = || Reason::new("history.pregnant", "pregnant", Cite::common_practice());
        assert_eq!(Fact::of(Vec::new(), false).answer, Answer::NotKnown);
        assert_eq!(Fact::of(Vec::new(), true).answer, Answer::No);
        for is_answered in [true, false] {
            assert_eq!(Fact::of(vec![reason()], is_answered).answer, Answer::Yes);
        }
        assert_eq!(Fact::of(vec![reason(), reason()], true).because(), "pregnant");
    }
}
