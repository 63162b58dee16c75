//! `unguis tidy`: case files in full, comments and order kept.

use std::path::Path;

use crate::case::{Shelf, Untidy, read_text, tidy};
use crate::cli::args::{Colour, Tidy};
use crate::cli::load::{ClinicFile, Clinics, human};
use crate::cli::{Error, Exit, error, io, passed_over};
use crate::diagnostic::render::render;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::words::Shown;

/// Writes every file that is not tidy, or names it. One that cannot be read is left as it is, and the others
/// are tidied.
pub(super) fn run(args: &Tidy, colour: Colour) -> Result<Exit, Error> {
    let files = io::case_files(&args.files)?;
    io::eprint(&passed_over::note(&args.files));
    let clinics = Clinics::default();
    let mut exit = Exit::Done;
    for path in &files {
        match one(path, args.check, &clinics) {
            Ok(Done::Tidy) => {}
            Ok(Done::Written) => io::print(&format!("{}: written in full\n", path.shown())),
            Ok(Done::NotTidy) => {
                io::print(&format!("{}: not tidy\n", path.shown()));
                exit = exit.max(Exit::Findings);
            }
            Ok(Done::Unreadable(found)) => {
                io::print(&render(&found, human(colour)));
                io::print(&format!("{}: left as it is until this is mended\n", path.shown()));
                exit = exit.max(Exit::Findings);
            }
            Err(problem) => {
                io::eprint(&error::chain(&problem));
                exit = exit.max(problem.exit());
            }
        }
    }
    Ok(exit)
}

enum Done {
    Tidy,
    Written,
    NotTidy,
    Unreadable(Vec<Diagnostic>),
}

fn one(path: &Path, only_check: bool, clinics: &Clinics) -> Result<Done, Error> {
    let is_clinic = io::is_clinic_file(path);
    let bytes = if is_clinic { io::read_clinic_file(path)? } else { io::read_bytes(path)? };
    let source: SourceText = match read_text(&path.shown(), &bytes) {
        Ok(source) => source,
        Err(found) => return Ok(Done::Unreadable(vec![found])),
    };
    // Without a clinic file that can be read, what a case takes from its boxes is not compared.
    let clinic = clinics.of(&path.with_file_name("clinic.yaml")).ok();
    let clinic = clinic.as_deref().and_then(ClinicFile::clinic);
    let shelf = clinic.map_or(Shelf::Unread, |clinic| Shelf::Known(&clinic.supplies));
    match tidy(&source, is_clinic, shelf) {
        Ok(None) => Ok(Done::Tidy),
        Ok(Some(_)) if only_check => Ok(Done::NotTidy),
        Ok(Some(text)) => {
            io::rewrite(path, &bytes, text.as_bytes())?;
            Ok(Done::Written)
        }
        Err(Untidy::Unreadable(found)) => Ok(Done::Unreadable(found)),
        Err(Untidy::Changed) => Err(Error::Fault(format!(
            "`{}` would not read as the same; nothing was written into it",
            path.shown()
        ))),
    }
}
