//! The command line: one file per command, and what they share: `many` runs over cases, `together`
//! compares them, `load` reads them. Everything here puts pieces together and words the outcome.

pub mod args;
mod audit;
mod backup;
mod budget;
mod check;
mod compare;
mod completions;
mod day;
mod desk;
mod dev;
mod draft;
mod explain;
mod export;
mod find;
mod issue;
mod listing;
mod load;
mod manual;
mod many;
mod new;
mod outstanding;
mod passed_over;
mod print;
mod schema;
mod sent;
mod setup;
mod show;
mod templates;
mod tidy;
mod together;
mod trace;
mod verify;

use std::process::ExitCode;

use clap::Parser;

pub use crate::store::{Error, Exit, error, io};
use args::{Cli, Colour, Command};

/// Runs the program on the process's own arguments.
pub fn main() -> ExitCode {
    io::keep_panics_private();
    io::leave_no_memory_behind();
    completions::answer_a_shell();
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(problem) => {
            // clap prints help to standard output and mistakes to standard error.
            let exit = if problem.use_stderr() { Exit::Failure } else { Exit::Done };
            io::note_lost(problem.print());
            return kept(exit).into();
        }
    };
    match cli.color {
        Colour::Always => io::choose_colour(true),
        Colour::Never => io::choose_colour(false),
        Colour::Auto => {}
    }
    io::eprint(&io::unknown_zone_note());
    let exit = match run(&cli) {
        Ok(exit) => exit,
        Err(problem) => {
            io::eprint(&error::chain(&problem));
            problem.exit()
        }
    };
    kept(exit).into()
}

/// The exit status, unless part of what was printed is lost.
fn kept(exit: Exit) -> Exit {
    if io::lost_output() { exit.max(Exit::Failure) } else { exit }
}

fn run(cli: &Cli) -> Result<Exit, Error> {
    let colour = cli.color;
    match &cli.command {
        Command::Check(args) => check::run(args, colour),
        Command::Show(args) => show::run(args),
        Command::Draft(args) => draft::run(args, colour),
        Command::Issue(args) => issue::run(args, colour),
        Command::Compare(args) => compare::run(args, colour),
        Command::Sent(args) => sent::run(args),
        Command::Day(args) => day::run(args),
        Command::Audit(args) => audit::run(args),
        Command::Outstanding(args) => outstanding::run(args),
        Command::Print(args) => print::run(args),
        Command::Trace(args) => trace::run(args),
        Command::Find(args) => find::run(args),
        Command::Verify(args) => verify::run(args),
        Command::Backup(args) => backup::run(args),
        Command::Export(args) => export::run(args, colour),
        Command::Explain(args) => explain::run(args),
        Command::Desk(args) => desk::run(args),
        Command::Setup(args) => setup::run(args),
        Command::New(args) => new::run(args),
        Command::Templates(args) => templates::write_out(args),
        Command::CheckTemplates(args) => templates::check(args),
        Command::Tidy(args) => tidy::run(args, colour),
        Command::Schema(args) => schema::run(args),
        Command::Completions(args) => completions::run(args),
        Command::Manual(args) => manual::run(args),
        Command::Dev(args) => dev::run(args),
    }
}
