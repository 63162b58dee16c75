//! Files that lie among the cases and are none: they are named once, so that nobody takes a case that was
//! written in a word processor for one that was checked.
//!
//! Says nothing of what this program writes itself, and of what belongs in any folder.

use std::path::PathBuf;

use crate::cli::io;
use crate::documents::DOCUMENTS;
use crate::register::verify::REGISTER;
use crate::words::{List, visible};

/// As many are named; the others are counted.
const NAMED: usize = 5;

/// The note about the folders among what was typed; empty if there is nothing to say.
pub(super) fn note(named: &[PathBuf]) -> String {
    let names: Vec<String> = io::other_files(named).into_iter().filter(|name| !belongs_here(name)).collect();
    let count = names.len();
    let names = some_of(&names);
    match count {
        0 => String::new(),
        1 => format!("note: 1 file is no case file: {names}; a case file ends in .yaml\n"),
        _ => format!("note: {count} files are no case files: {names}; a case file ends in .yaml\n"),
    }
}

/// The first of some names, and how many more there are.
pub(super) fn some_of(names: &[String]) -> String {
    let shown = names.iter().take(NAMED).map(|name| format!("`{}`", visible(name)));
    let more = names.len().saturating_sub(NAMED);
    List::and(shown.chain((more > 0).then(|| format!("{more} more"))).collect::<Vec<_>>()).to_string()
}

/// Hidden, a README or a licence, a schema, a copy that an editor keeps, or made by this program.
fn belongs_here(name: &str) -> bool {
    let small = name.to_lowercase();
    let starts = |what: &str| small.starts_with(what);
    let is_document = || DOCUMENTS.iter().any(|document| starts(document.name));
    small.starts_with('.')
        || small.ends_with('~')
        || ["readme", "license", "licence", "changelog"].into_iter().any(starts)
        || (small.contains("schema") && small.ends_with(".json"))
        || ["desktop.ini", "thumbs.db", REGISTER].contains(&small.as_str())
        || is_document()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(names: &[&str]) -> String {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        for name in names {
            io::write_new(&dir.path().join(name), b"").expect("written");
        }
        note(&[dir.path().to_owned(), dir.path().join("a.yaml"), dir.path().to_owned()])
    }

    #[test]
    fn what_is_no_case_is_named_once() {
        assert_eq!(
            of(&["a.yaml", "b.docx", "c.rtf", "a.txt"]),
            "note: 3 files are no case files: `a.txt`, `b.docx` and `c.rtf`; a case file ends in .yaml\n"
        );
        assert_eq!(
            of(&["a.yaml", "b.yaml.txt"]),
            "note: 1 file is no case file: `b.yaml.txt`; a case file ends in .yaml\n"
        );
        let many = of(&["1.txt", "2.txt", "3.txt", "4.txt", "5.txt", "6.txt", "7.txt"]);
        assert!(many.contains("7 files") && many.contains("`5.txt` and 2 more;"), "{many}");
    }

    #[test]
    fn of_what_belongs_in_the_folder_nothing_is_said() {
        let usual = [
            "a.yaml",
            "b.yml",
            "clinic.yaml",
            ".register.end",
            ".hidden.docx",
            "README",
            "README.md",
            "case.schema.json",
            "clinic-schema.json",
            "register.jsonl",
            "operation-note-1.pdf",
            "gp-letter-DRAFT.txt",
            "a.yaml~",
        ];
        assert_eq!(of(&usual), "");
    }

    #[test]
    fn a_file_that_is_named_itself_is_no_folder() {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        io::write_new(&dir.path().join("a.txt"), b"").expect("written");
        assert_eq!(note(&[dir.path().join("a.txt")]), "");
        assert_eq!(note(&[dir.path().join("missing")]), "");
    }
}
