//! What the commands about many cases share: the cases are read one after another on all cores, each leaves
//! a small row, and the list goes to the screen, to a program or on paper.
//!
//! Knows no list. A case that cannot be read is left out and said, on the page as on the screen.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;
use serde_json::Value;

use crate::case::read_text;
use crate::cli::args::{ListFormat, Listing, Reading};
use crate::cli::load::{Clinics, clinic_beside, day, press};
use crate::cli::many::gather;
use crate::cli::{Error, Exit, error, io};
use crate::date::CivilDate;
use crate::diagnostic::Diagnostic;
use crate::documents::{List as Listed, goes_to};
use crate::facts::{Caseload, Gone, LastVersion, LeftOut, OneCase};
use crate::identity::{ANOTHER_PATIENT_FOUND, is_another_patient};
use crate::pipeline::{self, ListMeta, Read};
use crate::register::chain::Register;
use crate::store::ledger::{Owner, owner};
use crate::words::{Count, List, Shown};

/// The folder of the lists, below the one of the register.
pub(super) const LISTS_FOLDER: &str = crate::register::verify::LISTS;

/// Lines of a list that are set on paper: about sixty sheets. Nobody reads more, and setting them takes memory
/// and time by the line.
const MOST_LINES_ON_PAPER: usize = 1_000;

/// Reads every case that is named, judged by a day, and keeps the row that is made of it, if any.
///
/// # Errors
/// A name that is not there; no case that could be read, with the reasons.
pub(super) fn caseload<R: Send>(
    listing: &Listing,
    judged_on: CivilDate,
    register: &Register,
    row: impl Fn(&OneCase<'_>) -> Option<R> + Sync,
) -> Result<Caseload<R>, Error> {
    let files = io::case_files(&listing.cases.cases)?;
    let clinics = Clinics::default();
    let left = gather(&files, listing.cases.jobs, |path| {
        let file = path.shown();
        let left = read_one(path, &clinics, &listing.cases.reading, |read| {
            let facts = read.facts_on(judged_on).ok_or_else(|| why_unreadable(&file, &read.problems()))?;
            not_anothers(register, facts.case.reference.as_str(), read)?;
            let open = || read.open_in(&facts);
            let issued = last_versions(register, facts.case.reference.as_str());
            Ok(row(&OneCase { file: &file, facts: &facts, open: &open, issued: &issued }))
        });
        Some(left.map_err(|why| LeftOut { file, why }))
    });
    let (mut rows, mut left_out, mut read, mut first) = (Vec::new(), Vec::new(), 0, None);
    for (path, left) in files.iter().zip(left) {
        match left {
            Some(Ok(row)) => {
                read += 1;
                first = first.or(Some(path));
                rows.extend(row);
            }
            Some(Err(out)) => left_out.push(out),
            None => left_out.push(LeftOut {
                file: path.shown(),
                why: "unguis broke on it: `unguis check` says where".to_owned(),
            }),
        }
    }
    let clinic = first.and_then(|path| {
        let file = clinics.of(&clinic_beside(path, &listing.cases.reading)).ok()?;
        file.read.as_ref().ok()?.clinic().cloned()
    });
    let Some(clinic) = clinic else {
        io::eprint(&said_left_out(&left_out));
        return Err(Error::NothingRead);
    };
    let made_at = Some(listing.at.unwrap_or_else(io::time_of_day));
    let today = day(&listing.cases.reading);
    let unread = left_out.len();
    Ok(Caseload { rows, left_out, read, unread, clinic, today, made_at, replaces: None })
}

/// What is made of one case, or why it cannot be read.
fn read_one<R>(
    path: &Path,
    clinics: &Clinics,
    reading: &Reading,
    make: impl FnOnce(&Read) -> Result<R, String>,
) -> Result<R, String> {
    let clinic_path = clinic_beside(path, reading);
    let clinic = clinics.of(&clinic_path).map_err(|problem| in_a_line(&error::chain(&problem)))?;
    let clinic = clinic
        .read
        .as_ref()
        .map_err(|found| why_unreadable(&clinic_path.shown(), std::slice::from_ref(found)))?;
    let bytes = io::read_bytes(path).map_err(|problem| in_a_line(&error::chain(&problem)))?;
    let file = path.shown();
    let text = read_text(&file, &bytes).map_err(|found| why_unreadable(&file, &[found]))?;
    make(&pipeline::read_with(Arc::new(text), clinic))
}

/// Documents of one patient never stand on a list beside the name of another.
fn not_anothers(register: &Register, reference: &str, read: &Read) -> Result<(), String> {
    // Of most cases of a new register nothing was issued: then there is nobody to compare with.
    if !register.has_issued(reference) {
        return Ok(());
    }
    match read.person().map(|person| owner(register, reference, &person)) {
        Some(Owner::Differs(differ)) if is_another_patient(&differ) => Err(format!(
            "{}: see `unguis explain {}`",
            ANOTHER_PATIENT_FOUND.title, ANOTHER_PATIENT_FOUND.name
        )),
        _ => Ok(()),
    }
}

/// The last version of each document of a case, with where it has gone.
/// The last version of each document of a reference.
pub(super) fn last_versions(register: &Register, reference: &str) -> Vec<LastVersion> {
    let latest = register.latest_of(reference);
    latest
        .into_values()
        .map(|issued| {
            let sent = |version| register.sent(reference, &issued.document, version);
            let gone = sent(issued.version).into_iter();
            let before =
                (1..issued.version).rev().find_map(|version| Some((version, sent(version).first()?.date)));
            LastVersion {
                document: issued.document.clone(),
                version: issued.version,
                issued: issued.date,
                file: issued.file.clone(),
                gone: gone.map(|sent| Gone { to: sent.to.clone(), on: sent.date }).collect(),
                gone_before: before,
            }
        })
        .collect()
}

fn why_unreadable(file: &str, found: &[Diagnostic]) -> String {
    let Some(first) = found.first() else { return "it cannot be read".to_owned() };
    let source = &first.primary.source;
    let (line, _) = source.line_column(first.primary.span.start);
    let place =
        if source.name() == file { format!("line {line}") } else { format!("{} line {line}", source.name()) };
    in_a_line(&format!("{place}: {}: {}", first.title, first.primary.text))
}

fn in_a_line(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    text.strip_prefix("error: ").unwrap_or(&text).to_owned()
}

/// The files that were left out, a line each; empty if there are none.
pub(super) fn said_left_out(left_out: &[LeftOut]) -> String {
    let mut text = String::new();
    for LeftOut { file, why } in left_out {
        text.push_str(&format!("not on the list: {file}: {why}\n"));
    }
    text
}

/// Letters that were issued and have not gone, of cases that were not read: no list of cases shows them, and
/// the register knows them all the same. `listed` holds references and documents.
pub(super) fn letters_of_others(register: &Register, listed: &BTreeSet<(String, String)>) -> Option<LeftOut> {
    let letters = register.not_gone("gp", |document| goes_to(document).contains(&"gp"));
    let others = letters
        .into_iter()
        .filter(|issued| !listed.contains(&(issued.reference.clone(), issued.document.clone())));
    let references: BTreeSet<&str> = others.map(|issued| issued.reference.as_str()).collect();
    if references.is_empty() {
        return None;
    }
    let why = format!("letters have not gone of cases that were not read: {}", List::and(&references));
    Some(LeftOut { file: "the register".to_owned(), why })
}

/// How many were read and how many were not: the last line on the screen.
pub(super) fn summary<R>(caseload: &Caseload<R>) -> String {
    let read = Count(caseload.read, "case");
    match caseload.unread {
        0 => format!("{read} read\n"),
        unread => format!("{read} read, {unread} could not be\n"),
    }
}

/// Sets a list and writes it below the folder of the register; returns where.
///
/// # Errors
/// Templates that cannot be used, or a folder that cannot be written.
pub(super) fn write_page(
    listing: &Listing,
    list: &'static Listed,
    view: &Value,
    clinic: &str,
    about: &str,
    file: &str,
) -> Result<PathBuf, Error> {
    let press = press(listing.templates.as_deref())?;
    let meta = ListMeta { about, clinic, on: day(&listing.cases.reading) };
    let set = press.set_list(list, view, &meta)?;
    let folder = folder(&listing.out)?;
    let path = folder.join(file);
    io::write_atomically(&path, &set.pdf)?;
    Ok(path)
}

/// The folder of the lists, made if it is not there.
pub(super) fn folder(out: &Path) -> Result<PathBuf, Error> {
    io::create_folder(out)?;
    let folder = out.join(LISTS_FOLDER);
    io::create_subfolder(&folder)?;
    Ok(folder)
}

/// Prints a list for people with the page's place, or for programs.
pub(super) struct Printed<'a, R, S> {
    /// The list.
    pub(super) caseload: &'a Caseload<R>,
    /// Its permanent name.
    pub(super) list: &'a str,
    /// What it is about: the JSON of it.
    pub(super) about: (&'a str, Value),
    /// The lines for people. Of ten thousand cases they are many, and so are those of the table: each form is
    /// made only where it is asked for.
    pub(super) human: &'a dyn Fn() -> String,
    /// The rows for programs.
    pub(super) rows: S,
    /// The head of the table.
    pub(super) head: &'a [&'a str],
    /// The lines of the table.
    pub(super) table: &'a dyn Fn() -> Vec<Vec<String>>,
    /// How many lines the page has, where each line of the table is one of them.
    pub(super) lines_on_paper: Option<usize>,
}

/// A list for programs.
#[derive(Serialize)]
struct ForPrograms<'a, S> {
    list: &'a str,
    made: CivilDate,
    read: usize,
    rows: S,
    left_out: &'a [LeftOut],
    #[serde(flatten)]
    about: BTreeMap<&'a str, Value>,
}

impl<R, S: Serialize> Printed<'_, R, S> {
    /// Prints it as asked. `page` writes the page and is asked only where people read.
    ///
    /// # Errors
    /// What `page` gives.
    pub(super) fn print(
        self,
        listing: &Listing,
        page: impl FnOnce() -> Result<PathBuf, Error>,
    ) -> Result<Exit, Error> {
        let Printed { caseload, list, about, human, rows, head, table, lines_on_paper } = self;
        match listing.format {
            ListFormat::Human => {
                let too_many = lines_on_paper.filter(|lines| *lines > MOST_LINES_ON_PAPER);
                let path = if too_many.is_some() { None } else { Some(page()?) };
                io::print(&human());
                io::eprint(&said_left_out(&caseload.left_out));
                io::eprint(&summary(caseload));
                if let Some(path) = path {
                    io::print(&format!("{}\n", path.shown()));
                }
                if let Some(lines) = too_many {
                    io::eprint(&format!(
                        "no page was made: a page holds at most {MOST_LINES_ON_PAPER} lines, and these are {lines}\n  \
                         help: name fewer cases, or take the table with `--format csv`\n"
                    ));
                }
            }
            ListFormat::Json => {
                let (made, read, left_out) = (caseload.today, caseload.read, &caseload.left_out);
                let all = ForPrograms { list, made, read, rows, left_out, about: BTreeMap::from([about]) };
                let mut text = serde_json::to_string_pretty(&all).expect("its keys are texts");
                text.push('\n');
                io::print(&text);
            }
            ListFormat::Csv => {
                io::print(&csv(head, &table()));
                io::eprint(&said_left_out(&caseload.left_out));
            }
        }
        Ok(Exit::Done)
    }
}

/// A table as RFC 4180 has it: lines end with CR LF, what holds a comma, a quotation mark or a line end is
/// quoted. A text that a spreadsheet would take for a formula is led in by an apostrophe.
pub(super) fn csv(head: &[&str], lines: &[Vec<String>]) -> String {
    let cell = |all: &mut String, text: &str| {
        let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
        let is_quoted = text.contains([',', '"', '\r', '\n']);
        let mark = if is_quoted { "\"" } else { "" };
        all.push_str(mark);
        all.push_str(if is_formula { "'" } else { "" });
        match is_quoted {
            true => all.push_str(&text.replace('"', "\"\"")),
            false => all.push_str(text),
        }
        all.push_str(mark);
    };
    let mut all = head.join(",") + "\r\n";
    for line in lines {
        for (at, text) in line.iter().enumerate() {
            all.push_str(if at == 0 { "" } else { "," });
            cell(&mut all, text);
        }
        all.push_str("\r\n");
    }
    all
}

/// Lines in columns, as wide as their widest text, for a screen.
pub(super) fn columns(lines: &[Vec<String>]) -> String {
    let count = lines.iter().map(Vec::len).max().unwrap_or(0);
    let width =
        |at: usize| lines.iter().filter_map(|line| line.get(at)).map(|text| text.chars().count()).max();
    let widths: Vec<usize> = (0..count).map(|at| width(at).unwrap_or(0)).collect();
    let mut text = String::new();
    for line in lines {
        let start = text.len();
        for (at, (cell, width)) in line.iter().zip(&widths).enumerate() {
            let parting = if at == 0 { "" } else { "  " };
            // Writing into a text cannot fail.
            let _ = write!(text, "{parting}{cell:width$}");
        }
        text.truncate(start + text[start..].trim_end().len());
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4180, section 2, rules 1, 3, 5, 6 and 7.
    #[test]
    fn a_table_is_written_as_the_standard_has_it() {
        let line = |cells: &[&str]| cells.iter().map(|cell| (*cell).to_owned()).collect::<Vec<_>>();
        let lines = [line(&["aaa", "b \"bb\"", "c,cc"]), line(&["", "two\nlines", "=1+1"])];
        assert_eq!(
            csv(&["one", "two", "three"], &lines),
            "one,two,three\r\naaa,\"b \"\"bb\"\"\",\"c,cc\"\r\n,\"two\nlines\",'=1+1\r\n"
        );
    }

    #[test]
    fn columns_are_as_wide_as_their_widest_text() {
        let lines = [vec!["é".to_owned(), "b".to_owned()], vec!["long".to_owned(), "c".to_owned()]];
        assert_eq!(columns(&lines), "é     b\nlong  c\n");
    }
}
