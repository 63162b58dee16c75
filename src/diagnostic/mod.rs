//! Findings: what is wrong or worth a look, where, why, and what to do about it.
//!
//! Rules speak in paths ([`Finding`]); the runner adds name, severity and place and makes a
//! [`Diagnostic`]. Nothing here prints and nothing here knows a clinical fact.

mod path;
pub mod render;
mod source_text;

use std::sync::Arc;

use serde::Serialize;

use crate::words::List;
pub use path::{Path, Segment};
pub use source_text::{SourceText, Span};

/// How much a finding weighs. Ordered: the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The file cannot be understood: nothing is made from it, not even a draft.
    Unreadable,
    /// A document would be false or unsafe: nothing is issued.
    Stop,
    /// The practitioner must look, and answer it under `accepted` before issue.
    Caution,
    /// For information.
    Note,
}

impl Severity {
    /// The word that opens the message.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Unreadable => "unreadable",
            Severity::Stop => "stop",
            Severity::Caution => "caution",
            Severity::Note => "note",
        }
    }
}

/// Which of the two files a path belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum File {
    /// The case file.
    Case,
    /// `clinic.yaml`.
    Clinic,
}

/// What one rule found. It carries no name and no severity: the runner adds them from the rule,
/// so a rule cannot report under another's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The value it is about; a path that does not exist falls back to the nearest block around it.
    pub path: Path,
    /// The file of `path`.
    pub file: File,
    /// Point at the key instead of the value (unknown keys).
    pub at_key: bool,
    /// What is wrong here, as a phrase: lowercase, no full stop.
    pub says: String,
    /// Other values that matter, each with a phrase.
    pub see: Vec<(Path, String)>,
    /// The same in the clinic file.
    pub see_in_clinic: Vec<(Path, String)>,
    /// What to do. Only this part may tell the user to act.
    pub fix: Option<String>,
    /// A weight that differs from the rule's own, where the rule has two (20 and 30 minutes).
    pub severity: Option<Severity>,
}

impl Finding {
    /// A finding at a value of the case file.
    pub fn at(path: impl Into<Path>) -> Finding {
        Finding {
            path: path.into(),
            file: File::Case,
            at_key: false,
            says: String::new(),
            see: Vec::new(),
            see_in_clinic: Vec::new(),
            fix: None,
            severity: None,
        }
    }

    /// What is wrong here.
    #[must_use]
    pub fn says(mut self, says: impl Into<String>) -> Finding {
        self.says = says.into();
        self
    }

    /// Another value that matters, and why.
    #[must_use]
    pub fn see(mut self, path: impl Into<Path>, label: impl Into<String>) -> Finding {
        self.see.push((path.into(), label.into()));
        self
    }

    /// A value of the clinic file that matters, and why.
    #[must_use]
    pub fn see_in_clinic(mut self, path: impl Into<Path>, label: impl Into<String>) -> Finding {
        self.see_in_clinic.push((path.into(), label.into()));
        self
    }

    /// What to do about it.
    #[must_use]
    pub fn fix(mut self, fix: impl Into<String>) -> Finding {
        self.fix = Some(fix.into());
        self
    }

    /// Weighs this one finding differently from its rule's usual weight.
    #[must_use]
    pub fn weighs(mut self, severity: Severity) -> Finding {
        self.severity = Some(severity);
        self
    }

    /// The path is in the clinic file.
    #[must_use]
    pub fn in_clinic(mut self) -> Finding {
        self.file = File::Clinic;
        self
    }

    /// Point at the key, not at its value.
    #[must_use]
    pub fn at_key(mut self) -> Finding {
        self.at_key = true;
        self
    }
}

/// A phrase at a place in a file.
#[derive(Debug, Clone)]
pub struct Label {
    /// The file.
    pub source: Arc<SourceText>,
    /// Where in it.
    pub span: Span,
    /// The phrase.
    pub text: String,
}

/// A finding with its name, weight, place and reasons: all that is printed.
#[derive(Debug, Clone)]
pub struct Diagnostic {
    /// The permanent name: `dose-over-limit`, `unknown-key`.
    pub rule: &'static str,
    /// How much it weighs here.
    pub severity: Severity,
    /// The headline, the same each time.
    pub title: String,
    /// The path of the value, as text.
    pub path: Path,
    /// The place it is about.
    pub primary: Label,
    /// Other places that matter.
    pub others: Vec<Label>,
    /// Why it matters.
    pub why: Option<String>,
    /// Where the rule comes from: title, locator and relation.
    pub source: Option<String>,
    /// What to do.
    pub help: Option<String>,
    /// An entry under `accepted` or `incidents` answers it.
    pub answered: Option<Answer>,
    /// The documents that it holds back while it is open, by their permanent names.
    pub holds: Vec<&'static str>,
    /// These are all documents there are.
    pub holds_all: bool,
}

/// The practitioner's answer to a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Why it was right to go on; of an incident, what happened.
    pub because: String,
    /// Who decided; of an incident, who found it.
    pub by: String,
    /// The entry: `accepted[1]`, `incidents[0]`.
    pub under: Path,
}

impl Answer {
    /// Which entry of `incidents` it is; `None` for a reason under `accepted`.
    pub fn incident(&self) -> Option<usize> {
        match self.under.segments() {
            [Segment::Key(key), Segment::Index(at)] if key == "incidents" => Some(*at),
            _ => None,
        }
    }
}

impl Diagnostic {
    /// What it holds back while it is open, in words; `None` if it is answered or holds nothing.
    pub fn held(&self) -> Option<String> {
        if !self.blocks_issue() || self.holds.is_empty() {
            return None;
        }
        Some(if self.holds_all { "every document".to_owned() } else { List::and(&self.holds).to_string() })
    }

    /// True if this one stands in the way of issuing: an unanswered caution or any stop.
    pub fn blocks_issue(&self) -> bool {
        match self.severity {
            Severity::Unreadable => true,
            Severity::Stop | Severity::Caution => self.answered.is_none(),
            Severity::Note => false,
        }
    }
}
