//! Short forms: what people type, turned into what a file says in full, before anything else is judged.
//!
//! One file a form, with its examples. A form takes only what has one meaning; what has two is refused with
//! both. The long form of everything stays as it is, and a value that no form knows is left to the check.
//! Nothing here judges clinically.

mod address;
mod days;
mod diabetes;
mod edges;
mod injected;
mod layout;
pub(super) mod lines;
mod list_of_one;
mod nothing_here;
mod numbers;
mod phenol;
mod published;
mod pulses;
mod smoker;
mod toe;
mod tourniquet;
mod values;
mod walk;
mod words;
mod written;
mod yes_no;

use serde_json::Value as Json;

use super::accepts::target_of;

pub(super) use layout::mend;
pub use published::published;
pub(super) use toe::lacks_a_side;
pub(super) use walk::{Style, in_full};
pub use written::Edit;
use written::Short;
pub(crate) use written::quoted;

/// The mark in the schema of a type that has a form of its own.
pub(super) const MARK: &str = "x-short-form";

/// A short form: how it is described, where it may stand, and what it makes of what is typed.
#[derive(Debug)]
pub struct Form {
    /// Its name.
    pub name: &'static str,
    /// What it is for, in a phrase.
    pub says: &'static str,
    /// A file with one such value: `…` stands where it is. Begins with `name:` if it is a clinic file.
    pub place: &'static str,
    /// What is typed, and what it is in full.
    pub examples: &'static [(&'static str, &'static str)],
    /// What is refused, and a part of the message.
    pub refused: &'static [(&'static str, &'static str)],
}

/// All of them.
pub const FORMS: &[&Form] = &[
    &values::DATE,
    &values::TIME,
    &values::EXPIRY,
    &values::MASS,
    &values::HEIGHT,
    &values::VOLUME,
    &values::SECONDS,
    &values::REFILL,
    &values::HBA1C,
    &values::SITES,
    &pulses::FORM,
    &numbers::PRESSURE,
    &numbers::DAYS,
    &toe::FORM,
    &edges::FORM,
    &words::NAIL,
    &words::SEX,
    &words::ALLERGIES,
    &words::WHO,
    &yes_no::FORM,
    &smoker::FORM,
    &diabetes::FORM,
    &nothing_here::FORM,
    &list_of_one::FORM,
    &address::FORM,
    &days::FORM,
    &tourniquet::FORM,
    &phenol::FORM,
    &injected::FORM,
    &layout::COLON,
    &layout::CURLY,
    &layout::BLANKS,
    &layout::TABS,
    &lines::patient::FORM,
    &lines::history::FORM,
    &lines::problem::FORM,
    &lines::problem::TOES_FORM,
    &lines::feet::CIRCULATION_FORM,
    &lines::feet::SENSATION_FORM,
    &lines::plan::FORM,
    &lines::plan::BOOKED_FORM,
    &lines::consent::FORM,
    &lines::operation::FORM,
    &lines::operation::INSTRUMENTS_FORM,
    &lines::checks::FORM,
    &lines::operated_toe::FORM,
    &lines::follow_up::FORM,
    &lines::visit::FORM,
];

/// A patient, for the places of the forms.
macro_rules! case {
    ($text:literal) => {
        concat!("reference: LFC-0001\npatient: {given: Imogen, family: Hollis, born: 1984-02-09}\n", $text)
    };
}
use case;

/// A value with a form of its own: by the mark of its schema.
pub(super) struct Marked {
    mark: &'static str,
    /// `None` if the text is nothing for this form; `Err` says what to write.
    read: fn(&str) -> Option<Result<Short, String>>,
    /// For the schema: what is read fits it.
    pattern: &'static str,
    examples: &'static [&'static str],
}

const MARKED: &[&Marked] = &[
    &tourniquet::MARKED,
    &phenol::MARKED,
    &injected::MARKED,
    &diabetes::MARKED,
    &smoker::MARKED,
    &address::MARKED,
];

/// The form of a schema that carries a mark, through references and branches.
pub(super) fn marked(root: &Json, schema: &Json) -> Option<&'static Marked> {
    let own = |schema: &Json| {
        let mark = schema.get(MARK)?.as_str()?;
        MARKED.iter().find(|marked| marked.mark == mark).copied()
    };
    if let Some(found) = own(schema) {
        return Some(found);
    }
    if let Some(target) = schema.get("$ref").and_then(Json::as_str) {
        return own(target_of(root, target)?);
    }
    let branches = ["anyOf", "oneOf"].into_iter().filter_map(|branches| schema.get(branches)?.as_array());
    branches.flatten().find_map(|branch| marked(root, branch))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::case::{Read, read_case, read_clinic, shortened, tidied, unfolded};
    use crate::diagnostic::SourceText;

    enum Any {
        Case(Box<Read<crate::case::Case>>),
        Clinic(Box<Read<crate::case::Clinic>>),
    }

    fn read(text: &str) -> Any {
        let source = Arc::new(SourceText::new("case.yaml", text));
        match text.starts_with("name:") {
            true => Any::Clinic(Box::new(read_clinic(source))),
            false => Any::Case(Box::new(read_case(source))),
        }
    }

    /// The data as text, for comparing; and the findings.
    fn outcome(text: &str) -> (Option<String>, Vec<String>) {
        let says = |found: &[crate::diagnostic::Diagnostic]| {
            found
                .iter()
                .map(|one| format!("{} {}", one.primary.text, one.help.clone().unwrap_or_default()))
                .collect()
        };
        match read(text) {
            Any::Case(read) => (read.value.map(|value| format!("{value:?}")), says(&read.diagnostics)),
            Any::Clinic(read) => (read.value.map(|value| format!("{value:?}")), says(&read.diagnostics)),
        }
    }

    fn in_place(form: &Form, value: &str) -> String {
        assert_eq!(form.place.matches('…').count(), 1, "{}", form.name);
        form.place.replace('…', value)
    }

    /// Where a long line is broken says nothing.
    fn unbroken(form: &Form, text: &str) -> String {
        match form.name.ends_with("in one line") {
            true => text.split_whitespace().collect::<Vec<_>>().join(" "),
            false => text.to_owned(),
        }
    }

    #[test]
    fn every_example_reads_as_what_it_is_in_full_and_is_written_so() {
        let mut wrong = Vec::new();
        for form in FORMS {
            for (typed, full) in form.examples {
                let (typed_file, full_file) = (in_place(form, typed), in_place(form, full));
                let (long, found) = outcome(&full_file);
                if long.is_none() {
                    wrong.push(format!("{}: {full:?}: {found:?}", form.name));
                }
                let (short, found) = outcome(&typed_file);
                if short != long {
                    wrong.push(format!("{}: {typed:?} reads as {short:?}: {found:?}", form.name));
                }
                let written = tidied(&SourceText::new("case.yaml", typed_file.clone())).unwrap_or(typed_file);
                if unbroken(form, &written) != unbroken(form, &full_file) {
                    wrong.push(format!("{}: {typed:?} is written {written}", form.name));
                }
                if let Some(again) = tidied(&SourceText::new("case.yaml", full_file.clone())) {
                    wrong.push(format!("{}: {full:?} is not tidy: {again}", form.name));
                }
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    /// A line says all of its block: there and back nothing is lost.
    #[test]
    fn a_line_unfolds_into_its_block_and_the_block_is_written_as_that_line() {
        let mut wrong = Vec::new();
        let mut tried = 0;
        for form in FORMS.iter().filter(|form| form.name.ends_with("in one line")) {
            for (_, line) in form.examples {
                let file = in_place(form, line);
                let block = unfolded(&file, None).into_owned();
                let (long, found) = outcome(&block);
                if block == file || long.is_none() || outcome(&file).0 != long {
                    wrong.push(format!("{}: {line:?} unfolds as {block}: {found:?}", form.name));
                }
                let again = shortened(&SourceText::new("case.yaml", block.clone())).unwrap_or(block);
                if !unbroken(form, &again).contains(line) {
                    wrong.push(format!("{}: {line:?} comes back as {again}", form.name));
                }
                tried += 1;
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert!(tried > 20);
    }

    #[test]
    fn what_a_form_refuses_says_what_to_write() {
        let mut wrong = Vec::new();
        for form in FORMS {
            for (typed, part) in form.refused {
                let (data, found) = outcome(&in_place(form, typed));
                if data.is_some() || !found.iter().any(|says| says.contains(part)) {
                    wrong.push(format!("{}: {typed:?}: {found:?}", form.name));
                }
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    #[test]
    fn every_form_has_a_name_of_its_own_and_both_kinds_of_examples() {
        let mut names: Vec<&str> = FORMS.iter().map(|form| form.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), FORMS.len());
        for form in FORMS {
            assert!(!form.examples.is_empty() && !form.says.ends_with('.'), "{}", form.name);
        }
    }
}
