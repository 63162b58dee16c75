//! `unguis print --letters`: the letters to practices that have not gone, as they were issued, bound into one
//! file to be printed on both sides, with a cover to tick.
//!
//! What lies in a file that is not as it was issued is left out and said. Which versions were bound is kept
//! beside the file, so that `unguis sent --printed` enters those and no other.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::cli::args::Print;
use crate::cli::listing::{LISTS_FOLDER, caseload, folder, letters_of_others, said_left_out, summary};
use crate::cli::load::{day, press};
use crate::cli::{Error, Exit, io};
use crate::documents::letter_run::{LIST, Letter, view};
use crate::documents::outstanding::{Row, ToSend, sorted};
use crate::facts::LeftOut;
use crate::hash::sha256;
use crate::pipeline::ListMeta;
use crate::register::chain::Register;
use crate::store::ledger;
use crate::typeset::{bind, pages_of};
use crate::words::{Count, Shown};

/// The file with the letters.
const LETTERS: &str = "letters-to-print.pdf";
/// Which versions it holds.
const PRINTED: &str = "letters-to-print.json";

/// A version that was bound to be printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct PrintedLetter {
    /// The case.
    pub(super) reference: String,
    /// The document.
    pub(super) document: String,
    /// The version.
    pub(super) version: u32,
}

/// Where the list of what was printed lies.
pub(super) fn printed_path(out: &Path) -> PathBuf {
    out.join(LISTS_FOLDER).join(PRINTED)
}

/// Binds the letters.
pub(super) fn run(args: &Print) -> Result<Exit, Error> {
    if !args.letters {
        return Err(Error::Usage("say what is printed: `--letters`".to_owned()));
    }
    let listing = &args.listing;
    // Held while the files are read, so that no other run issues meanwhile.
    let reading = ledger::read(&listing.out)?;
    let nothing = Register::default();
    let register = reading.as_ref().map_or(&nothing, |reading| &reading.register);
    let today = day(&listing.cases.reading);
    let mut rows = caseload(listing, today, register, Row::of)?;
    let (mut letters, mut files, mut spoilt) = (Vec::new(), Vec::new(), Vec::new());
    for one in sorted(&rows).to_send.into_iter().filter(|one| one.to == "gp") {
        match as_issued(&listing.out, register, one) {
            Ok(file) => {
                letters.push(one.clone());
                files.push(file);
            }
            Err(why) => spoilt.push(LeftOut { file: one.file.clone(), why }),
        }
    }
    let listed = sorted(&rows).to_send.into_iter().map(ToSend::key).collect();
    rows.left_out.extend(letters_of_others(register, &listed));
    rows.left_out.extend(spoilt);
    if letters.is_empty() {
        io::print("no letter waits to be sent\n");
        io::eprint(&said_left_out(&rows.left_out));
        return Ok(Exit::Done);
    }
    let press = press(listing.templates.as_deref())?;
    // The cover says where each letter begins, which hangs on how long the cover is itself.
    let mut cover_pages = 1;
    let cover = loop {
        let lines: Vec<Letter> = letters
            .iter()
            .zip(beginnings(cover_pages, &files))
            .map(|(one, (begins, pages))| Letter::of(one, pages, begins))
            .collect();
        let meta = ListMeta { about: "", clinic: &rows.clinic.name, on: today };
        let cover = press.set_list(&LIST, &view(&rows, &lines), &meta)?;
        if cover.pages <= cover_pages {
            break cover;
        }
        cover_pages = cover.pages;
    };
    let all: Vec<Vec<u8>> = std::iter::once(cover.pdf).chain(files.into_iter().map(|(pdf, _)| pdf)).collect();
    let bound = bind(&all).map_err(|_| Error::Fault("the letters could not be bound".to_owned()))?;
    let folder = folder(&listing.out)?;
    let path = folder.join(LETTERS);
    let printed: Vec<PrintedLetter> = letters
        .iter()
        .map(|one| PrintedLetter {
            reference: one.who.reference.clone(),
            document: one.document.clone(),
            version: one.version,
        })
        .collect();
    let list = serde_json::to_vec_pretty(&printed).unwrap_or_default();
    io::write_all_atomically(&folder, &[(path.clone(), bound.pdf), (folder.join(PRINTED), list)])?;
    io::print(&format!("{}\n", path.shown()));
    io::eprint(&said_left_out(&rows.left_out));
    io::eprint(&summary(&rows));
    io::eprint(&format!(
        "{} after {}, {} in all: print on both sides; when they have gone, `unguis sent --printed`\n",
        Count(letters.len(), "letter"),
        Count(cover.pages, "cover page"),
        Count(bound.pages, "page")
    ));
    Ok(Exit::Done)
}

/// The PDF of a version with the number of its pages, if it is as it was issued.
fn as_issued(out: &Path, register: &Register, one: &ToSend) -> Result<(Vec<u8>, usize), String> {
    let issued = register.latest(&one.who.reference, &one.document).ok_or("it is not in the register")?;
    let pdf = io::read_kept(&out.join(&issued.file)).ok().flatten();
    let pdf = pdf.ok_or("the issued letter cannot be read")?;
    if sha256(&pdf) != issued.pdf_sha256 {
        return Err("it is not as it was issued: `unguis verify` says more".to_owned());
    }
    let pages = pages_of(&pdf).ok_or("its pages cannot be read")?;
    Ok((pdf, pages))
}

/// The page on which each letter begins after so many pages of cover, and how many it has.
fn beginnings(cover: usize, files: &[(Vec<u8>, usize)]) -> Vec<(usize, usize)> {
    let mut page = cover;
    files
        .iter()
        .map(|(_, pages)| {
            let begins = page + page % 2 + 1;
            page = begins + pages - 1;
            (begins, *pages)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_begins_on_a_right_hand_page() {
        let files: Vec<(Vec<u8>, usize)> = [1, 2, 3].into_iter().map(|pages| (Vec::new(), pages)).collect();
        assert_eq!(beginnings(1, &files), [(3, 1), (5, 2), (7, 3)]);
        assert_eq!(beginnings(2, &files), [(3, 1), (5, 2), (7, 3)]);
        assert_eq!(beginnings(3, &files), [(5, 1), (7, 2), (9, 3)]);
    }
}
