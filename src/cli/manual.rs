//! `unguis manual`: a manual page for the program and one for each command.

use clap::{Command, CommandFactory};

use crate::cli::args::{Cli, Manual};
use crate::cli::{Error, Exit, io};
use crate::words::Shown;

/// Writes the pages into a new folder.
///
/// # Errors
/// A folder that is not empty, or cannot be written.
pub(super) fn run(args: &Manual) -> Result<Exit, Error> {
    io::new_folder(&args.dir)?;
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut names = Vec::new();
    for command in std::iter::once(&program).chain(program.get_subcommands()) {
        if command.is_hide_set() {
            continue;
        }
        let (name, text) = page(command)?;
        io::write_new(&args.dir.join(&name), &text)?;
        names.push(name);
    }
    for name in names {
        io::print(&format!("{}\n", args.dir.join(name).shown()));
    }
    Ok(Exit::Done)
}

fn page(command: &Command) -> Result<(String, Vec<u8>), Error> {
    let page = clap_mangen::Man::new(command.clone()).manual("unguis");
    let mut text = Vec::new();
    page.render(&mut text).map_err(|source| Error::io("write", "the manual page", source))?;
    Ok((page.get_filename(), text))
}
