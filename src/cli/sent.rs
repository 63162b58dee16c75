//! `unguis sent`: enters that an issued document has gone to somebody.

use clap::ValueEnum;

use crate::case::Reference;
use crate::cli::args::Sent;
use crate::cli::{Error, Exit, io};
use crate::store::ledger::{self, Ledger, Parcel, whom};
use crate::units::TextValue;

/// Enters the last version as sent.
pub(super) fn run(args: &Sent) -> Result<Exit, Error> {
    let reference = Reference::parse(&args.reference).map_err(Error::Usage)?;
    if ledger::read(&args.out)?.is_none() {
        let out = args.out.display();
        return Err(Error::Usage(format!(
            "there is no register in `{out}`: nothing was issued there; name the folder with `--out`"
        )));
    }
    let (ledger, told) = Ledger::open(&args.out)?;
    for told in told {
        io::eprint(&format!("{told}\n"));
    }
    let to = args.to.to_possible_value().map(|word| word.get_name().to_owned()).unwrap_or_default();
    let today = args.today.unwrap_or_else(io::today);
    let on = args.on.unwrap_or(today);
    let parcel = Parcel {
        reference: reference.as_str(),
        document: &args.document,
        to: &to,
        on,
        by: args.by.as_deref(),
        today,
    };
    let sent = ledger.enter_sent(&parcel)?;
    io::print(&format!(
        "entered: version {} of {} of {reference} went to {} on {}\n",
        sent.version,
        sent.document,
        whom(&to),
        on.clinical()
    ));
    io::eprint(&ledger.close());
    Ok(Exit::Done)
}
