//! `unguis templates` and `unguis check-templates`: a clinic's own wording and looks.

use crate::cli::args::{CheckTemplates, Templates as WriteOut};
use crate::cli::load::press;
use crate::cli::{Error, Exit, io};
use crate::diagnostic::english::Count;
use crate::documents::DOCUMENTS;
use crate::pipeline::{Version, check as check_case};
use crate::render::embedded;
use crate::typeset::Typesetter;

/// Writes the built-in templates to a new or empty folder.
pub(super) fn write_out(args: &WriteOut) -> Result<Exit, Error> {
    io::new_folder(&args.dir)?;
    for (name, text) in embedded::FILES {
        let file = args.dir.join(name);
        io::write_atomically(&file, text.as_bytes())?;
        io::print(&format!("{}\n", file.display()));
    }
    Ok(Exit::Done)
}

/// Tries changed templates on every demo variant and lists what fails.
pub(super) fn check(args: &CheckTemplates) -> Result<Exit, Error> {
    let press = press(Some(&args.dir))?;
    let mut failures = Vec::new();
    let mut made = 0;
    for (name, text) in crate::demo::CASES {
        let checked =
            check_case(crate::demo::source(name, text), &crate::demo::clinic(), crate::demo::today());
        let Some(facts) = &checked.facts else { continue };
        for document in DOCUMENTS {
            if !(document.missing)(facts).is_empty() {
                continue;
            }
            for version in [Version::Draft, Version::Issue { version: 1, replaces: None }] {
                match press.set(document, facts, &checked.edition(version, crate::demo::today())) {
                    Ok(_) => made += 1,
                    Err(problem) => failures.push(format!("{name}: {}", super::error::chain(&problem))),
                }
            }
        }
        Typesetter::evict();
    }
    if failures.is_empty() {
        io::print(&format!(
            "{} made from {}: all well\n",
            Count(made, "document"),
            Count(crate::demo::CASES.len(), "demo case")
        ));
        return Ok(Exit::Done);
    }
    failures.dedup();
    io::eprint(&failures.concat());
    io::eprint(&format!("{} cannot be made with these templates\n", Count(failures.len(), "document")));
    Ok(Exit::Failure)
}
