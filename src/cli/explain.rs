//! `unguis explain`: a rule's page, or the table of all.

use crate::case::READING_RULES;
use crate::cli::args::Explain;
use crate::cli::{Error, Exit, io};
use crate::diagnostic::english::nearest;
use crate::pipeline::{NOT_PRINTABLE, NOT_PRINTABLE_HELP, NOT_PRINTABLE_TITLE, NOT_PRINTABLE_WHY};
use crate::rules::explain::{page, table_text};
use crate::rules::{RETIRED, rule, rules};

/// Prints the page of a rule.
///
/// # Errors
/// A name that is no rule's.
pub(super) fn run(args: &Explain) -> Result<Exit, Error> {
    let Some(name) = &args.rule else {
        io::print(&table_text());
        return Ok(Exit::Done);
    };
    if let Some(rule) = rule(name) {
        io::print(&page(rule));
        return Ok(Exit::Done);
    }
    if let Some((old, instead)) = RETIRED.iter().find(|(old, _)| old == name) {
        io::print(&format!("{old} was given up: {instead}\n"));
        return Ok(Exit::Done);
    }
    if let Some(rule) = READING_RULES.iter().find(|rule| rule.name == name) {
        io::print(&format!(
            "{}: {}\n\n{}\n\nFound while a file is read: nothing is made from the file until it is mended.\n",
            rule.name, rule.title, rule.why
        ));
        return Ok(Exit::Done);
    }
    if name == NOT_PRINTABLE {
        io::print(&format!(
            "{NOT_PRINTABLE}: {NOT_PRINTABLE_TITLE}\n\n{NOT_PRINTABLE_WHY}\n\nFound before anything is set, in the case and \
             in the clinic file: not even a draft is made\nuntil it is mended. It is no clinical rule and cannot be \
             accepted.\n\nWhat to do: {NOT_PRINTABLE_HELP}.\n"
        ));
        return Ok(Exit::Done);
    }
    let others = READING_RULES.iter().map(|rule| rule.name).chain([NOT_PRINTABLE]);
    let near = nearest(name, rules().map(|rule| rule.name).chain(others));
    let hint =
        near.map_or("`unguis explain` lists them all".to_owned(), |near| format!("did you mean `{near}`?"));
    Err(Error::Usage(format!("there is no rule `{name}`: {hint}")))
}
