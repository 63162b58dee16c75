//! `unguis show`: every derived value with its working and source.

use serde_json::json;

use crate::cli::args::{Show, ShowFormat};
use crate::cli::load::load;
use crate::cli::{Error, Exit, io};
use crate::derive::{Shown, days_shown, shown};
use crate::diagnostic::render::{Style, render};

/// Prints the values of one case.
pub(super) fn run(args: &Show) -> Result<Exit, Error> {
    let checked = load(&args.case, &args.reading)?.checked;
    let Some(facts) = checked.facts else {
        io::eprint(&render(&checked.diagnostics, Style::Human { colour: false }));
        return Ok(Exit::Findings);
    };
    let mut values = days_shown(&facts.case);
    values.extend(shown(&facts.derived));
    match args.format {
        ShowFormat::Json => io::print(&format!("{:#}\n", json!({ "values": values }))),
        ShowFormat::Human => io::print(&human(&values)),
    }
    Ok(Exit::Done)
}

/// Name and value on one line; working and source below, indented.
fn human(values: &[Shown]) -> String {
    let width = values.iter().map(|value| value.name.len()).max().unwrap_or(0);
    let mut text = String::new();
    for value in values {
        let printed = match (&value.value, &value.unit, &value.missing) {
            (Some(number), Some(unit), _) => format!("{number} {unit}"),
            (Some(number), None, _) => number.clone(),
            (None, _, missing) => format!("not known: {}", missing.as_deref().unwrap_or("no reason given")),
        };
        text.push_str(&format!("{:width$}  {printed}\n", value.name));
        for (label, part) in [("", &value.working), ("source: ", &value.source)] {
            if let Some(part) = part {
                text.push_str(&format!("{:width$}    {label}{part}\n", ""));
            }
        }
    }
    text
}
