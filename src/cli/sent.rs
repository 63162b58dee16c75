//! `unguis sent`: enters that an issued document has gone to somebody.

use clap::ValueEnum;

use crate::case::Reference;
use crate::cli::args::Sent;
use crate::cli::ledger::{self, Ledger};
use crate::cli::{Error, Exit, io};
use crate::units::TextValue;

/// Enters the last version as sent.
pub(super) fn run(args: &Sent) -> Result<Exit, Error> {
    let reference = Reference::parse(&args.reference).map_err(Error::Usage)?;
    if ledger::read(&args.out)?.is_none() {
        let out = args.out.display();
        return Err(Error::Usage(format!("there is no register in `{out}`: nothing was issued there")));
    }
    let (ledger, told) = Ledger::open(&args.out)?;
    for told in told {
        io::eprint(&format!("{told}\n"));
    }
    let to = args.to.to_possible_value().map(|word| word.get_name().to_owned()).unwrap_or_default();
    let on = args.on.unwrap_or_else(io::today);
    let sent = ledger.enter_sent(reference.as_str(), &args.document, &to, on, args.by.as_deref())?;
    ledger.close()?;
    io::print(&format!(
        "entered: version {} of {} of {reference} went to {} on {}\n",
        sent.version,
        sent.document,
        whom(&to),
        on.clinical()
    ));
    Ok(Exit::Done)
}

/// `the patient`, `the GP`, `somebody else`.
pub(super) fn whom(to: &str) -> String {
    match to {
        "gp" => "the GP".to_owned(),
        "other" => "somebody else".to_owned(),
        person => format!("the {person}"),
    }
}
