//! Loading a case with its clinic file, and the press with its templates.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use crate::case::{Clinic, read_text};
use crate::cli::args::{Colour, Reading};
use crate::cli::budget::Budget;
use crate::cli::{Error, io};
use crate::date::CivilDate;
use crate::diagnostic::render::Style;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::identity::Person;
use crate::pipeline::{self, Checked, ClinicRead, Press};
use crate::render::Templates;
use crate::render::embedded::EMBEDDED;
use crate::trial;
use crate::words::Shown;

/// A case as loaded, with the bytes that the register hashes.
pub(super) struct Loaded {
    /// The case file.
    pub(super) case: Vec<u8>,
    /// The clinic file.
    pub(super) clinic: Arc<ClinicFile>,
    /// Both as read; `None` if one of them is no text.
    pub(super) read: Option<pipeline::Read>,
    /// What checking gave.
    pub(super) checked: Checked,
}

impl Loaded {
    /// Whom the case is about, if it could be read.
    pub(super) fn person(&self) -> Option<Person> {
        self.read.as_ref()?.person()
    }
}

/// A clinic file of a run.
pub(super) struct ClinicFile {
    /// Its bytes, for the register.
    pub(super) bytes: Vec<u8>,
    /// What it says; a finding if it is no text.
    pub(super) read: Result<ClinicRead, Box<Diagnostic>>,
}

impl ClinicFile {
    /// What it says, if it could be understood.
    pub(super) fn clinic(&self) -> Option<&Clinic> {
        self.read.as_ref().ok()?.clinic()
    }
}

/// The clinic files of a run, each read once: the same file for all its cases, also if somebody saves it
/// meanwhile.
#[derive(Default)]
pub(super) struct Clinics(Mutex<BTreeMap<PathBuf, Arc<ClinicFile>>>);

impl Clinics {
    /// The clinic file of this name.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub(super) fn of(&self, path: &Path) -> Result<Arc<ClinicFile>, Error> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(file) = known.get(path) {
            return Ok(file.clone());
        }
        let bytes = io::read_clinic_file(path)?;
        let read = text_of(path, &bytes).map(|text| ClinicRead::of(&Arc::new(text)));
        let file = Arc::new(ClinicFile { bytes, read });
        known.insert(path.to_owned(), file.clone());
        Ok(file)
    }
}

/// Reads and checks one case.
///
/// # Errors
/// A file that cannot be read. Whatever is wrong inside a file is a finding, not an error.
pub(super) fn load(case_path: &Path, reading: &Reading) -> Result<Loaded, Error> {
    load_with(case_path, reading, &Clinics::default())
}

/// As [`load`], for one of many cases.
///
/// # Errors
/// As [`load`].
pub(super) fn load_with(case_path: &Path, reading: &Reading, clinics: &Clinics) -> Result<Loaded, Error> {
    let case = io::read_bytes(case_path)?;
    let clinic = clinics.of(&clinic_beside(case_path, reading))?;
    let (read, checked) = match (text_of(case_path, &case), &clinic.read) {
        (Ok(case), Ok(clinic)) => {
            let read = pipeline::read_with(Arc::new(case), clinic);
            let checked = read.judged_on(day(reading));
            (Some(read), checked)
        }
        (case, clinic) => {
            let found =
                [case.err(), clinic.as_ref().err().cloned()].into_iter().flatten().map(|found| *found);
            (None, Checked::unreadable(found.collect()))
        }
    };
    Ok(Loaded { case, clinic, read, checked })
}

/// The clinic file that goes with a case: the one named, else `clinic.yaml` beside the case.
pub(super) fn clinic_beside(case_path: &Path, reading: &Reading) -> PathBuf {
    reading.clinic.clone().unwrap_or_else(|| case_path.with_file_name("clinic.yaml"))
}

fn text_of(path: &Path, bytes: &[u8]) -> Result<SourceText, Box<Diagnostic>> {
    read_text(&path.shown(), bytes).map_err(Box::new)
}

/// The day to judge by: the one named, else today.
pub(super) fn day(reading: &Reading) -> CivilDate {
    reading.today.unwrap_or_else(io::today)
}

/// The press with the built-in templates, or with a clinic's own, once these have been tried on every
/// demo case.
///
/// # Errors
/// Own templates that cannot be read, are unknown, do not parse or fail on a demo case.
pub(super) fn press(templates: Option<&Path>) -> Result<Press, Error> {
    let Some(dir) = templates else { return Ok(Press::built_in()) };
    let press = untried(dir)?.watched_by(Budget::watching(io::processors()));
    if press.templates.own_files().next().is_some() {
        let mistakes = trial::run(&press, io::processors()).failures;
        if !mistakes.is_empty() {
            return Err(Error::Templates { dir: dir.to_owned(), mistakes });
        }
    }
    Ok(press)
}

/// As [`press`]. Where there are two processors, what the first page needs is made ready beside the reading and
/// judging of the first case.
///
/// # Errors
/// As [`press`].
pub(super) fn warm_press(templates: Option<&Path>, jobs: Option<u16>) -> Result<Arc<Press>, Error> {
    let press = Arc::new(press(templates)?);
    if jobs.map_or_else(io::processors, usize::from) > 1 {
        press.warm_up_aside();
    }
    Ok(press)
}

/// The press with the templates of a folder laid over the built-in ones.
///
/// # Errors
/// Templates that cannot be read, are unknown or do not parse; a folder without any.
pub(super) fn untried(dir: &Path) -> Result<Press, Error> {
    let files = io::read_tree(dir)?;
    for file in EMBEDDED {
        if !files.iter().any(|(name, _)| name == file.name) {
            // A folder, or anything else that is no file, in the place of one.
            io::read_if_there(&dir.join(file.name))?;
        }
    }
    if files.is_empty() {
        return Err(Error::NoTemplates(dir.to_owned()));
    }
    let templates = Templates::with_overrides(files).map_err(|problems| Error::Templates {
        dir: dir.to_owned(),
        mistakes: problems.iter().map(ToString::to_string).collect(),
    })?;
    Ok(Press::with(templates))
}

/// How findings are printed on this terminal.
pub(super) fn human(colour: Colour) -> Style {
    Style::Human { colour: colour.is_wanted() }
}
