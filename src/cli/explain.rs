//! `unguis explain`: a rule's page, a page of the handbook, or the names of them all.

use crate::case::READING_RULES;
use crate::cli::args::Explain;
use crate::cli::{Error, Exit, io};
use crate::diagnostic::Severity;
use crate::handbook::{self, PAGES};
use crate::identity::{COMPARISONS, Comparison};
use crate::pipeline::{NOT_PRINTABLE, NOT_PRINTABLE_HELP, NOT_PRINTABLE_TITLE, NOT_PRINTABLE_WHY};
use crate::rules::explain::{page, table_text};
use crate::rules::{RETIRED, rule, rules};
use crate::words::{List, nearest};

/// Prints the page of a rule or of the handbook.
///
/// # Errors
/// A name that is neither's.
pub(super) fn run(args: &Explain) -> Result<Exit, Error> {
    let text = match &args.name {
        None => format!(
            "{}\nThe handbook: `unguis explain NAME` opens a page.\n\n{}",
            table_text(),
            handbook::contents()
        ),
        Some(name) => explained(name)?,
    };
    io::print(&text);
    Ok(Exit::Done)
}

/// The page of a rule or of the handbook.
///
/// # Errors
/// A name that is neither's.
pub(super) fn explained(name: &str) -> Result<String, Error> {
    if let Some(page) = handbook::page(name) {
        return Ok(page.plain());
    }
    if let Some(rule) = rule(name) {
        return Ok(page(rule));
    }
    if let Some((old, instead)) = RETIRED.iter().find(|(old, _)| *old == name) {
        return Ok(format!("{old} was given up: {instead}\n"));
    }
    if let Some(rule) = READING_RULES.iter().find(|rule| rule.name == name) {
        return Ok(format!(
            "{}: {}\n\n{}\n\nFound while a file is read: nothing is made from the file until it is mended.\n",
            rule.name, rule.title, rule.why
        ));
    }
    if name == NOT_PRINTABLE {
        return Ok(format!(
            "{NOT_PRINTABLE}: {NOT_PRINTABLE_TITLE}\n\n{NOT_PRINTABLE_WHY}\n\nFound before anything is set, in the case and \
             in the clinic file: not even a draft is made\nuntil it is mended. It is no clinical rule and cannot be \
             accepted.\n\nWhat to do: {NOT_PRINTABLE_HELP}.\n"
        ));
    }
    if let Some(found) = COMPARISONS.iter().find(|found| found.name == name) {
        return Ok(page_of_comparison(found));
    }
    let hint = nearest(name, every_name())
        .map_or("`unguis explain` lists them all".to_owned(), |near| format!("did you mean `{near}`?"));
    Err(Error::Usage(format!("there is no rule `{name}`, and no page of the handbook: {hint}")))
}

/// Everything that can be explained: the pages of the handbook, the rules, and what is found beside them.
pub(super) fn every_name() -> impl Iterator<Item = &'static str> {
    let pages = PAGES.iter().map(|page| page.name);
    let compared = COMPARISONS.iter().map(|found| found.name);
    let reading = READING_RULES.iter().map(|rule| rule.name);
    pages.chain(rules().map(|rule| rule.name)).chain(reading).chain([NOT_PRINTABLE]).chain(compared)
}

/// What is found only beside other cases or the register.
fn page_of_comparison(found: &Comparison) -> String {
    let Comparison { name, severity, holds, title, why, found, help } = found;
    let holds = match holds {
        _ if *severity == Severity::Note => "nothing".to_owned(),
        None => "every document".to_owned(),
        Some(documents) => List::and(*documents).to_string(),
    };
    let answer = match severity {
        Severity::Note => "It is a note: there is nothing to answer.",
        _ => "It is no clinical rule and cannot be answered under `accepted`.",
    };
    format!(
        "{}\nWeight: {}\nHolds:  {holds}\n\n{}\n{}\n{answer}\n\n{}",
        wrapped(&format!("{name}: {title}")),
        severity.word(),
        wrapped(why),
        wrapped(found),
        wrapped(&format!("What to do: {help}."))
    )
}

/// Lines of at most eighty columns, and an empty one after them.
fn wrapped(text: &str) -> String {
    let mut lines = String::new();
    let mut columns = 0;
    for word in text.split_whitespace() {
        let width = word.chars().count();
        if columns > 0 && columns + 1 + width > 80 {
            lines.push('\n');
            columns = 0;
        }
        if columns > 0 {
            lines.push(' ');
            columns += 1;
        }
        lines.push_str(word);
        columns += width;
    }
    lines.push('\n');
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_name_means_one_thing() {
        let mut names: Vec<&str> = every_name().chain(RETIRED.iter().map(|(old, _)| *old)).collect();
        names.sort_unstable();
        let twice: Vec<&[&str]> = names.windows(2).filter(|pair| pair[0] == pair[1]).collect();
        assert_eq!(twice, Vec::<&[&str]>::new());
    }
}
