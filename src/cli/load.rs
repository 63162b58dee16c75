//! Loading a case with its clinic file, and the press with its templates.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::case::read_text;
use crate::cli::args::{Colour, Reading};
use crate::cli::{Error, io};
use crate::date::CivilDate;
use crate::diagnostic::render::Style;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::pipeline::{self, Checked, Press};
use crate::render::Templates;

/// A case as loaded, with the bytes that the register hashes.
pub(super) struct Loaded {
    /// The case file.
    pub(super) case: Vec<u8>,
    /// The clinic file.
    pub(super) clinic: Vec<u8>,
    /// What checking gave.
    pub(super) checked: Checked,
}

/// Reads and checks one case.
///
/// # Errors
/// A file that cannot be read. Whatever is wrong inside a file is a finding, not an error.
pub(super) fn load(case_path: &Path, reading: &Reading) -> Result<Loaded, Error> {
    let clinic_path = clinic_beside(case_path, reading);
    let case = io::read_bytes(case_path)?;
    let clinic = io::read_bytes(&clinic_path)?;
    let checked = match (text_of(case_path, &case), text_of(&clinic_path, &clinic)) {
        (Ok(case), Ok(clinic)) => pipeline::check(Arc::new(case), &Arc::new(clinic), day(reading)),
        (case, clinic) => Checked::unreadable(
            [case.err(), clinic.err()].into_iter().flatten().map(|found| *found).collect(),
        ),
    };
    Ok(Loaded { case, clinic, checked })
}

/// The clinic file that goes with a case: the one named, else `clinic.yaml` beside the case.
pub(super) fn clinic_beside(case_path: &Path, reading: &Reading) -> PathBuf {
    reading.clinic.clone().unwrap_or_else(|| case_path.with_file_name("clinic.yaml"))
}

fn text_of(path: &Path, bytes: &[u8]) -> Result<SourceText, Box<Diagnostic>> {
    read_text(&path.display().to_string(), bytes).map_err(Box::new)
}

/// The day to judge by: the one named, else today.
pub(super) fn day(reading: &Reading) -> CivilDate {
    reading.today.unwrap_or_else(io::today)
}

/// The press with the built-in templates, or with a clinic's own.
///
/// # Errors
/// Own templates that cannot be read, are unknown or do not parse.
pub(super) fn press(templates: Option<&Path>) -> Result<Press, Error> {
    let Some(dir) = templates else { return Ok(Press::built_in()) };
    own_templates(dir).map(Press::with)
}

/// The templates of a folder laid over the built-in ones.
fn own_templates(dir: &Path) -> Result<Templates, Error> {
    let files = io::read_tree(dir)?;
    Templates::with_overrides(files).map_err(|source| Error::Templates { dir: dir.to_owned(), source })
}

/// How findings are printed on this terminal.
pub(super) fn human(colour: Colour) -> Style {
    Style::Human { colour: io::wants_colour(colour) }
}
