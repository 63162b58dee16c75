//! `unguis desk`: what the desk is given: the commands as they are typed, and how a case is looked at.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use clap::Parser;

use crate::case::case_schema;
use crate::cli::args::{Cli, Desk};
use crate::cli::explain::explained;
use crate::cli::listing::last_versions;
use crate::cli::load::{ClinicFile, Clinics, Loaded};
use crate::cli::together::Together;
use crate::cli::{Error, Exit, error, io};
use crate::date::CivilDate;
use crate::desk::{Looked, Outside, Said};
use crate::diagnostic::SourceText;
use crate::hash::sha256;
use crate::pipeline::{self, Checked, Press};
use crate::register::chain::Register;
use crate::register::verify::REGISTER;
use crate::store::ledger::glance;

/// Opens the folder and serves it until Ctrl-C.
pub(super) fn run(args: &Desk) -> Result<Exit, Error> {
    let out = args.out.clone().unwrap_or_else(|| args.folder.join("out"));
    let (register, today) = (out.clone(), args.today);
    let known = Known::default();
    let outside = Outside {
        command: Box::new(command),
        look: Box::new(move |path, text| look(path, text, &register, today, &known)),
        explain: Box::new(|rule| explained(rule).ok()),
        out,
        today,
        press: Press::built_in(),
        schema: case_schema(),
    };
    crate::desk::run(&args.folder, outside, !args.no_open)?;
    Ok(Exit::Done)
}

/// Runs a command as if it had been typed, and keeps what it prints.
fn command(words: &[String]) -> Said {
    let typed = std::iter::once("unguis").chain(["--color=never"]).chain(words.iter().map(String::as_str));
    let cli = match Cli::try_parse_from(typed) {
        Ok(cli) => cli,
        Err(problem) => {
            let stderr = problem.render().to_string();
            return Said { exit: Exit::Failure, stdout: String::new(), stderr };
        }
    };
    let (exit, stdout, stderr) = io::captured(|| match super::run(&cli) {
        Ok(exit) => exit,
        Err(problem) => {
            io::eprint(&error::chain(&problem));
            problem.exit()
        }
    });
    Said { exit, stdout, stderr }
}

/// What was read last, and is read again only when it was written since.
#[derive(Default)]
struct Known {
    clinic: Mutex<Option<(String, Arc<ClinicFile>)>>,
    register: Mutex<Option<(Option<io::State>, Arc<Register>)>>,
}

impl Known {
    fn clinic(&self, path: &Path) -> Result<Arc<ClinicFile>, Error> {
        let now = sha256(&io::read_clinic_file(path)?);
        let mut known = self.clinic.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, file)) = known.as_ref().filter(|(hash, _)| *hash == now) {
            return Ok(file.clone());
        }
        let file = Clinics::default().of(path)?;
        *known = Some((sha256(&file.bytes), file.clone()));
        Ok(file)
    }

    fn register(&self, out: &Path) -> Result<Arc<Register>, Error> {
        // A register only ever grows, so its length tells.
        let now = io::state_of(&out.join(REGISTER));
        let mut known = self.register.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, register)) = known.as_ref().filter(|(state, _)| *state == now) {
            return Ok(register.clone());
        }
        let register = Arc::new(glance(out)?);
        *known = Some((now, register.clone()));
        Ok(register)
    }
}

/// A case as `check` sees it, with what the register knows of its reference.
fn look(
    path: &Path,
    text: &str,
    out: &Path,
    today: Option<CivilDate>,
    known: &Known,
) -> Result<Looked, Error> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let clinic = known.clinic(&path.with_file_name("clinic.yaml"))?;
    let read = match &clinic.read {
        Ok(clinic) => pipeline::read_with(Arc::new(SourceText::new(name, text)), clinic),
        Err(found) => {
            let checked = Checked::unreadable(vec![(**found).clone()]);
            return Ok(Looked { checked, issued: Vec::new(), people: Vec::new(), practices: Vec::new() });
        }
    };
    let of_clinic = clinic.read.as_ref().ok().and_then(|read| read.clinic());
    let people = of_clinic.map(|clinic| {
        let people = clinic.practitioners.iter();
        people.map(|(key, person)| (key.clone(), format!("{}, {}", person.name, person.role))).collect()
    });
    let practices = of_clinic.map(|clinic| {
        clinic.gps.iter().map(|(key, practice)| (key.clone(), practice.practice.clone())).collect()
    });
    let checked = read.judged_on(today.unwrap_or_else(io::today));
    let register = known.register(out)?;
    let mut loaded = Loaded { case: Vec::new(), clinic: clinic.clone(), read: Some(read), checked };
    let found = Together::default().findings(path, &loaded, &register);
    loaded.checked.add(found);
    let issued = loaded.checked.reference.as_deref().map(|reference| last_versions(&register, reference));
    Ok(Looked {
        checked: loaded.checked,
        issued: issued.unwrap_or_default(),
        people: people.unwrap_or_default(),
        practices: practices.unwrap_or_default(),
    })
}
