//! What reading can find: the names, headlines and reasons, and the list they are gathered in.
//!
//! It does not know YAML and does not know the model: the scan and the check decide, this writes down.

use std::sync::Arc;

use crate::diagnostic::{Diagnostic, Label, Path, Severity, SourceText, Span};

/// One kind of fault that reading can find. All weigh [`Severity::Unreadable`].
#[derive(Debug)]
pub struct ReadingRule {
    /// The permanent name.
    pub name: &'static str,
    /// The headline: the same each time, lowercase, no full stop.
    pub title: &'static str,
    /// Why it is refused.
    pub why: &'static str,
    /// The reason is printed with each finding: for what YAML would allow and we do not.
    pub gives_reason: bool,
}

const fn plain(name: &'static str, title: &'static str, why: &'static str) -> ReadingRule {
    ReadingRule { name, title, why, gives_reason: false }
}

const fn refusal(name: &'static str, title: &'static str, why: &'static str) -> ReadingRule {
    ReadingRule { name, title, why, gives_reason: true }
}

pub(super) const YAML_SYNTAX: ReadingRule = plain(
    "yaml-syntax",
    "the layout of the file cannot be understood",
    "Indentation, colons, quotation marks and brackets say what belongs to what; after a fault in them \
     the rest of the file could only be guessed.",
);
pub(super) const EMPTY_FILE: ReadingRule =
    plain("empty-file", "the file is empty", "There is nothing to read, or only comments.");
pub(super) const FILE_TOO_LARGE: ReadingRule = refusal(
    "file-too-large",
    "the file is too large",
    "A case has a few kilobytes; a larger file is another file, or a damaged one.",
);
pub(super) const TOO_DEEP: ReadingRule = refusal(
    "too-deep",
    "blocks stand too deep inside one another",
    "No case or clinic file needs more than a handful of levels; such a file is damaged.",
);
pub(super) const DUPLICATE_KEY: ReadingRule = refusal(
    "duplicate-key",
    "a key is given twice",
    "Only one of the two values could be used, and which one cannot be seen in the documents.",
);
pub(super) const ANCHOR_OR_ALIAS: ReadingRule = refusal(
    "anchor-or-alias",
    "a value refers to another place in the file",
    "A value that comes from elsewhere in the file is easily wrong for this patient.",
);
pub(super) const TAG: ReadingRule = refusal(
    "tag",
    "a value carries a type mark",
    "Each key knows what its value is; a mark could change how the value is read.",
);
pub(super) const MERGE_KEY: ReadingRule = refusal(
    "merge-key",
    "a block is merged from elsewhere",
    "Values that come from elsewhere in the file are easily wrong for this patient.",
);
pub(super) const COMPLEX_KEY: ReadingRule = plain(
    "complex-key",
    "a key is not a plain word",
    "Every key of a case or clinic file is a word before a colon.",
);
pub(super) const SEVERAL_DOCUMENTS: ReadingRule = refusal(
    "several-documents",
    "the file holds more than one document",
    "One file is one case; a second patient in it could be overlooked.",
);
pub(super) const CONTROL_CHARACTER: ReadingRule = refusal(
    "control-character",
    "a control character stands in the text",
    "It cannot be seen, and editors, this tool and the printed page would each treat it differently.",
);
pub(super) const HIDDEN_CHARACTER: ReadingRule = refusal(
    "hidden-character",
    "an invisible character stands in the text",
    "It can turn round or break up what is shown, so that the file reads differently from what is printed.",
);
pub(super) const PASTED_CHARACTER: ReadingRule = refusal(
    "pasted-character",
    "a blank or quotation mark of a word processor stands where a plain one is needed",
    "On the screen it looks like the plain one. Here it is a letter like any other: the line is then indented \
     by nothing, the value begins with it, or the text is not held together.",
);
pub(super) const COMMENT_IN_TEXT: ReadingRule = refusal(
    "comment-in-text",
    "a `#` cuts a text off",
    "After a blank, `#` begins a comment, which is never printed; in the trade it is also the sign for a \
     fracture. So behind a text without quotation marks it is not guessed what was meant. A comment may stand on \
     a line of its own, behind a bracket, behind a text in quotation marks, and behind a number, a date or a \
     word of a fixed list.",
);
pub(super) const SPLIT_TEXT: ReadingRule = refusal(
    "split-text",
    "a comma cuts a text in two",
    "Between brackets or braces a comma ends an item. Both halves would be printed as two, or one of them lost.",
);
pub(super) const NOTHING_AS_ITEM: ReadingRule = refusal(
    "nothing-as-item",
    "a word for nothing stands where a name is needed",
    "`none` or `nil` in a list would be printed as the name of a condition, a medicine or a substance.",
);
pub(super) const NOT_PLAIN_TEXT: ReadingRule = plain(
    "not-plain-text",
    "the file is no plain text",
    "A file of a word processor holds its text among marks of its own; it only looks like text in that program.",
);
pub(super) const NOT_UTF8: ReadingRule = plain(
    "not-utf8",
    "the file is not UTF-8 text",
    "In another encoding names and units would be read wrongly.",
);
pub(super) const UNKNOWN_KEY: ReadingRule = plain(
    "unknown-key",
    "a key is not known here",
    "A misspelt key would otherwise leave its value out of the documents without a word.",
);
pub(super) const RETIRED_KEY: ReadingRule = plain(
    "retired-key",
    "a key was given up for another",
    "What stood here is recorded in another form, and copied by a machine it might say more than was meant.",
);
pub(super) const MISSING_KEY: ReadingRule = plain(
    "missing-key",
    "a required key is missing",
    "What is not recorded is never made up, and nothing can be written without this.",
);
pub(super) const WRONG_TYPE: ReadingRule = plain(
    "wrong-type",
    "a value has the wrong form",
    "A list, a block, a number or a text stands where another of them is needed.",
);
pub(super) const BAD_VALUE: ReadingRule = plain(
    "bad-value",
    "a value cannot be used",
    "A value that cannot be read for certain never becomes a default.",
);
pub(super) const EMPTY_VALUE: ReadingRule = plain(
    "empty-value",
    "a key has no value",
    "An empty value could mean none, not known or not asked; the documents must not have to guess.",
);
pub(super) const TEXT_TOO_LONG: ReadingRule = plain(
    "text-too-long",
    "a text is too long to print",
    "Such a text would push other entries off the page or run beyond its edge.",
);
pub(super) const LIST_TOO_LONG: ReadingRule = plain(
    "list-too-long",
    "a list has too many entries",
    "So many entries are no record of one patient, and a page that holds them all is read by nobody.",
);
pub(super) const TOO_MANY: ReadingRule = plain(
    "too-many-findings",
    "more was found than is listed",
    "After this many findings the file is probably another file, or a damaged one.",
);

/// Every kind, in the order of the documentation.
pub const READING_RULES: &[&ReadingRule] = &[
    &YAML_SYNTAX,
    &EMPTY_FILE,
    &FILE_TOO_LARGE,
    &TOO_DEEP,
    &DUPLICATE_KEY,
    &ANCHOR_OR_ALIAS,
    &TAG,
    &MERGE_KEY,
    &COMPLEX_KEY,
    &SEVERAL_DOCUMENTS,
    &CONTROL_CHARACTER,
    &HIDDEN_CHARACTER,
    &PASTED_CHARACTER,
    &COMMENT_IN_TEXT,
    &SPLIT_TEXT,
    &NOTHING_AS_ITEM,
    &NOT_PLAIN_TEXT,
    &NOT_UTF8,
    &UNKNOWN_KEY,
    &RETIRED_KEY,
    &MISSING_KEY,
    &WRONG_TYPE,
    &BAD_VALUE,
    &EMPTY_VALUE,
    &TEXT_TOO_LONG,
    &LIST_TOO_LONG,
    &TOO_MANY,
];

/// Findings beyond this many are counted, not listed.
const LISTED: usize = 200;

/// One fault, before it is written down.
pub(super) struct Problem {
    rule: &'static ReadingRule,
    span: Span,
    label: String,
    path: Path,
    help: Option<String>,
    other: Option<(Span, String)>,
}

impl Problem {
    pub(super) fn new(rule: &'static ReadingRule, span: Span, label: impl Into<String>) -> Problem {
        Problem { rule, span, label: label.into(), path: Path::root(), help: None, other: None }
    }

    pub(super) fn path(mut self, path: Path) -> Problem {
        self.path = path;
        self
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Problem {
        self.help = Some(help.into());
        self
    }

    pub(super) fn other(mut self, span: Span, label: impl Into<String>) -> Problem {
        self.other = Some((span, label.into()));
        self
    }

    pub(super) fn into_diagnostic(self, source: &Arc<SourceText>) -> Diagnostic {
        let at = |span, text| Label { source: Arc::clone(source), span, text };
        Diagnostic {
            rule: self.rule.name,
            severity: Severity::Unreadable,
            title: self.rule.title.to_owned(),
            path: self.path,
            primary: at(self.span, self.label),
            others: self.other.into_iter().map(|(span, text)| at(span, text)).collect(),
            why: self.rule.gives_reason.then(|| self.rule.why.to_owned()),
            source: None,
            help: self.help,
            answered: None,
            holds: Vec::new(),
            holds_all: false,
        }
    }
}

/// The faults of one file.
pub(super) struct Problems {
    source: Arc<SourceText>,
    listed: Vec<Diagnostic>,
    more: usize,
}

impl Problems {
    pub(super) fn of(source: &Arc<SourceText>) -> Problems {
        Problems { source: Arc::clone(source), listed: Vec::new(), more: 0 }
    }

    /// The file.
    pub(super) fn source(&self) -> &SourceText {
        &self.source
    }

    /// An empty list of the same file.
    pub(super) fn scratch(&self) -> Problems {
        Problems::of(&self.source)
    }

    /// Nothing was found.
    pub(super) fn is_empty(&self) -> bool {
        self.listed.is_empty()
    }

    /// Writes a fault down. It is only worked out while there is room, so that a file of nothing but
    /// faults stays cheap.
    pub(super) fn add(&mut self, problem: impl FnOnce() -> Problem) {
        if self.listed.len() < LISTED {
            self.listed.push(problem().into_diagnostic(&self.source));
        } else {
            self.more += 1;
        }
    }

    /// All of them, in the order of the file.
    pub(super) fn into_list(mut self) -> Vec<Diagnostic> {
        self.listed.sort_by_key(|diagnostic| diagnostic.primary.span.start);
        if self.more > 0 {
            let end = self.listed.last().map_or_else(Span::default, |last| last.primary.span);
            let problem = Problem::new(&TOO_MANY, end, format!("{} more were found in this file", self.more))
                .help("correct the first ones and check again");
            self.listed.push(problem.into_diagnostic(&self.source));
        }
        self.listed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_named_once_and_explained() {
        let mut names: Vec<&str> = READING_RULES.iter().map(|rule| rule.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), READING_RULES.len());
        for rule in READING_RULES {
            assert!(rule.why.ends_with('.') && !rule.title.ends_with('.'), "{}", rule.name);
            assert!(crate::rules::rule(rule.name).is_none(), "{} is also a clinical rule", rule.name);
        }
    }

    #[test]
    fn a_file_of_nothing_but_faults_stays_short() {
        let source = Arc::new(SourceText::new("x.yaml", "x"));
        for (count, lines) in [(LISTED, LISTED), (LISTED + 1, LISTED + 1), (LISTED + 500, LISTED + 1)] {
            let mut problems = Problems::of(&source);
            (0..count).for_each(|_| problems.add(|| Problem::new(&TAG, Span::new(0, 1), "x")));
            assert_eq!(problems.into_list().len(), lines, "{count} faults");
        }
    }
}
