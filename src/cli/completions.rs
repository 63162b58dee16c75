//! `unguis completions`: what a shell needs to complete commands, options and the names that only the
//! program knows: rules, pages, documents, and the references in the folder one stands in.
//!
//! The script asks the program at every press of the key, so a new case is known at once. Names of
//! patients are never among what is offered.

use std::ffi::OsStr;
use std::path::Path;

use clap::CommandFactory;
use clap_complete::CompleteEnv;
use clap_complete::engine::{CompletionCandidate, PathCompleter, ValueCompleter};
use clap_complete::env::Shells;

use crate::case::Reference;
use crate::cli::args::{Cli, Completions};
use crate::cli::explain::every_name;
use crate::cli::{Error, Exit, io};
use crate::documents::DOCUMENTS;
use crate::units::TextValue;

/// The variable by which the script tells the program that it is asked to complete.
const ASKED: &str = "UNGUIS_COMPLETE";
/// Where documents and register lie if nothing else is said.
const OUT: &str = "out";

/// If a shell asks for completions, answers it and ends the program.
pub(super) fn answer_a_shell() {
    CompleteEnv::with_factory(Cli::command).var(ASKED).complete();
}

/// Prints the script for a shell.
///
/// # Errors
/// None that can happen: the text is written to memory.
pub(super) fn run(args: &Completions) -> Result<Exit, Error> {
    let shells = Shells::builtins();
    let shell = shells.completer(args.shell.name()).expect("every shell that can be named is built in");
    let mut script = Vec::new();
    shell
        .write_registration(ASKED, "unguis", "unguis", "unguis", &mut script)
        .map_err(|source| Error::io("write", "the script", source))?;
    io::print(&String::from_utf8_lossy(&script));
    Ok(Exit::Done)
}

/// Rules and pages of the handbook.
pub(super) fn to_explain() -> Vec<CompletionCandidate> {
    every_name().map(CompletionCandidate::new).collect()
}

/// Documents.
pub(super) fn documents() -> Vec<CompletionCandidate> {
    DOCUMENTS.iter().map(|document| CompletionCandidate::new(document.name)).collect()
}

/// References that were issued below `out`, and those of the case files here.
pub(super) fn references() -> Vec<CompletionCandidate> {
    let issued = io::names_in(Path::new(OUT));
    let here = io::names_in(Path::new("."));
    let here = here.iter().filter_map(|name| name.strip_suffix(".yaml").or(name.strip_suffix(".yml")));
    let mut names: Vec<String> = issued.iter().map(String::as_str).chain(here).map(str::to_owned).collect();
    names.retain(|name| Reference::parse(name).is_ok());
    names.sort();
    names.dedup();
    names.into_iter().map(CompletionCandidate::new).collect()
}

/// References, and documents after them.
pub(super) fn references_and_documents() -> Vec<CompletionCandidate> {
    references().into_iter().chain(documents()).collect()
}

/// Case files and folders.
pub(super) fn cases(current: &OsStr) -> Vec<CompletionCandidate> {
    let is_case = |path: &Path| path.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
    PathCompleter::any().filter(is_case).complete(current)
}
