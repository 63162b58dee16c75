//! `unguis templates` and `unguis check-templates`: a clinic's own wording and looks.

use crate::cli::args::{CheckTemplates, Templates as WriteOut};
use crate::cli::budget::Budget;
use crate::cli::load::untried;
use crate::cli::{Error, Exit, io};
use crate::render::embedded;
use crate::trial;
use crate::words::{Count, List, Shown};

/// Writes the built-in templates to a new or empty folder.
pub(super) fn write_out(args: &WriteOut) -> Result<Exit, Error> {
    io::new_folder(&args.dir)?;
    for (name, text) in embedded::FILES {
        let file = args.dir.join(name);
        io::write_atomically(&file, text.as_bytes())?;
        io::print(&format!("{}\n", file.shown()));
    }
    io::eprint(&format!(
        "change what you need and take the other files out, so that they follow new versions; then try yours with \
         `unguis check-templates {}`\n",
        args.dir.shown()
    ));
    Ok(Exit::Done)
}

/// Tries changed templates on every demo case, says what fails and what may be worth knowing.
pub(super) fn check(args: &CheckTemplates) -> Result<Exit, Error> {
    let press = untried(&args.dir)?.watched_by(Budget::watching(io::processors()));
    let trial = trial::run_with_remarks(&press, io::processors());
    if !trial.failures.is_empty() {
        return Err(Error::Templates { dir: args.dir.clone(), mistakes: trial.failures });
    }
    let own: Vec<&str> = press.templates.own_files().collect();
    let changed = match own.as_slice() {
        [] => "no file differs from the built-in one".to_owned(),
        own => format!("your own: {}", List::and(own)),
    };
    io::print(&format!("{changed}\n"));
    for remark in &trial.remarks {
        io::print(&format!("note: {remark}\n"));
    }
    io::print(&format!(
        "{} made from {}: all well\n",
        Count(trial.made, "document"),
        Count(trial.cases, "demo case")
    ));
    Ok(Exit::Done)
}
