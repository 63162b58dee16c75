//! `unguis desk`: what the desk is given: the commands as they are typed, and how a case is looked at.

use std::path::Path;
use std::sync::Arc;

use clap::Parser;

use crate::case::case_schema;
use crate::cli::args::{Cli, Desk};
use crate::cli::explain::explained;
use crate::cli::listing::last_versions;
use crate::cli::load::{Clinics, Loaded};
use crate::cli::together::Together;
use crate::cli::{Error, Exit, error, io};
use crate::date::CivilDate;
use crate::desk::{Looked, Outside, Said};
use crate::diagnostic::SourceText;
use crate::pipeline::{self, Checked, Press};
use crate::store::ledger::glance;

/// Opens the folder and serves it until Ctrl-C.
pub(super) fn run(args: &Desk) -> Result<Exit, Error> {
    let out = args.out.clone().unwrap_or_else(|| args.folder.join("out"));
    let (register, today) = (out.clone(), args.today);
    let outside = Outside {
        command: Box::new(command),
        look: Box::new(move |path, text| look(path, text, &register, today)),
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

/// A case as `check` sees it, with what the register knows of its reference.
fn look(path: &Path, text: &str, out: &Path, today: Option<CivilDate>) -> Result<Looked, Error> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let clinic_path = path.with_file_name("clinic.yaml");
    let clinic = Clinics::default().of(&clinic_path)?;
    let read = match &clinic.read {
        Ok(clinic) => pipeline::read_with(Arc::new(SourceText::new(name, text)), clinic),
        Err(found) => {
            let checked = Checked::unreadable(vec![(**found).clone()]);
            return Ok(Looked { checked, issued: Vec::new() });
        }
    };
    let checked = read.judged_on(today.unwrap_or_else(io::today));
    let register = glance(out)?;
    let mut loaded = Loaded { case: Vec::new(), clinic, read: Some(read), checked };
    let found = Together::default().findings(path, &loaded, &register);
    loaded.checked.add(found);
    let issued = loaded.checked.reference.as_deref().map(|reference| last_versions(&register, reference));
    Ok(Looked { checked: loaded.checked, issued: issued.unwrap_or_default() })
}
