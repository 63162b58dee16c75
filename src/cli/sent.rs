//! `unguis sent`: enters that issued documents have gone to somebody, or takes such an entry back.

use clap::ValueEnum;

use crate::case::Reference;
use crate::cli::args::{Recipient, Sent, document_name};
use crate::cli::print::{PrintedLetter, printed_path};
use crate::cli::{Error, Exit, error, io};
use crate::date::CivilDate;
use crate::documents::goes_to;
use crate::store::ledger::{self, Ledger, Parcel, whom};
use crate::units::TextValue;
use crate::words::Shown;

/// The letter that goes to the practice after surgery.
const LETTER: &str = "gp-letter";

/// Enters each, the last version unless it is known which was printed.
pub(super) fn run(args: &Sent) -> Result<Exit, Error> {
    let mut parcels = named(args)?;
    let to = recipient(args)?;
    if args.undo && args.because.is_none() {
        return Err(Error::Usage("say why the entry is taken back, with `--because`".to_owned()));
    }
    if ledger::read(&args.out)?.is_none() {
        let out = args.out.shown();
        return Err(Error::Usage(format!(
            "there is no register in `{out}`: nothing was issued there; name the folder with `--out`"
        )));
    }
    let (ledger, told) = Ledger::open(&args.out)?;
    for told in told {
        io::eprint(&format!("{told}\n"));
    }
    if args.letters && parcels.is_empty() {
        parcels = letters_not_gone(&ledger);
        if parcels.is_empty() {
            io::print("no letter waits to be sent\n");
            return Ok(Exit::Done);
        }
    }
    let asked =
        if args.by.is_none() { io::ask("Who sent them? An empty answer leaves it out.") } else { None };
    let by = args.by.as_deref().or(asked.as_deref());
    let today = args.today.unwrap_or_else(io::today);
    let on = args.on.unwrap_or(today);
    let how = args.how.and_then(|how| how.to_possible_value()).map(|word| word.get_name().to_owned());
    let mut exit = Exit::Done;
    for Named { reference, document, version } in &parcels {
        let parcel = Parcel {
            reference,
            document,
            version: *version,
            to: &to,
            on,
            by,
            how: how.as_deref(),
            how_reference: args.how_reference.as_deref(),
            today,
        };
        match enter(&ledger, &parcel, args) {
            Ok(said) => io::print(&said),
            // One letter that is entered already does not stand in the way of the others.
            Err(problem) => {
                io::eprint(&error::chain(&problem));
                exit = exit.max(problem.exit());
            }
        }
    }
    if args.printed && exit == Exit::Done {
        io::remove_if_there(&printed_path(&args.out))?;
    }
    io::eprint(&ledger.close());
    Ok(exit)
}

fn enter(ledger: &Ledger, parcel: &Parcel<'_>, args: &Sent) -> Result<String, Error> {
    let Parcel { reference, document, to, on, .. } = *parcel;
    let said = |verb: &str, version: u32, on: CivilDate| {
        let to = whom(to);
        format!("{verb}: version {version} of {document} of {reference} went to {to} on {}\n", on.clinical())
    };
    if args.undo {
        let because = args.because.as_deref().unwrap_or_default();
        let (version, on) = ledger.take_back(parcel, because)?;
        return Ok(said("taken back", version, on));
    }
    let sent = ledger.enter_sent(parcel)?;
    Ok(said("entered", sent.version, on))
}

/// One document that went.
struct Named {
    reference: String,
    document: String,
    version: Option<u32>,
}

/// The documents that were named, or those of the last printing run.
fn named(args: &Sent) -> Result<Vec<Named>, Error> {
    if args.printed {
        return printed(args);
    }
    let is_reference = |word: &String| Reference::parse(word).is_ok();
    let count = args.what.iter().take_while(|word| is_reference(word)).count();
    let (references, document) = args.what.split_at(count);
    let document = if args.letters {
        if let Some(stray) = document.first() {
            return Err(Reference::parse(stray).map_err(Error::Usage).err().unwrap_or(Error::NothingRead));
        }
        LETTER.to_owned()
    } else {
        // `gp letter` is understood.
        let typed = document.join("-").to_lowercase();
        let kind = typed.split('/').next().unwrap_or_default();
        match args.what.first() {
            Some(first) if count == 0 => {
                return Err(Reference::parse(first)
                    .map_err(Error::Usage)
                    .err()
                    .unwrap_or(Error::NothingRead));
            }
            _ if typed.is_empty() => {
                return Err(Error::Usage(
                    "name the document after the reference, like `gp-letter`".to_owned(),
                ));
            }
            _ => document_name(kind)
                .map_err(|why| Error::Usage(format!("there is no document `{kind}`; {why}")))?,
        };
        typed
    };
    let of = |reference: &String| Named {
        reference: reference.clone(),
        document: document.clone(),
        version: None,
    };
    Ok(references.iter().map(of).collect())
}

fn printed(args: &Sent) -> Result<Vec<Named>, Error> {
    if !args.what.is_empty() {
        return Err(Error::Usage(
            "`--printed` enters the letters of the last printing run: name no other, or leave it out"
                .to_owned(),
        ));
    }
    let path = printed_path(&args.out);
    let Some(list) = io::read_kept(&path)? else {
        return Err(Error::Usage(format!(
            "no printing run waits to be entered in `{}`: `unguis print --letters` makes one",
            args.out.shown()
        )));
    };
    let list: Vec<PrintedLetter> = serde_json::from_slice(&list)
        .map_err(|_| Error::Usage(format!("`{}` is damaged: print the letters again", path.shown())))?;
    let of = |one: PrintedLetter| Named {
        reference: one.reference,
        document: one.document,
        version: Some(one.version),
    };
    Ok(list.into_iter().map(of).collect())
}

/// The last version of every letter to a practice that has not gone there.
fn letters_not_gone(ledger: &Ledger) -> Vec<Named> {
    ledger.look(|register| {
        let letters = register.not_gone("gp", |document| goes_to(document).contains(&"gp"));
        letters
            .into_iter()
            .map(|issued| Named {
                reference: issued.reference.clone(),
                document: issued.document.clone(),
                version: Some(issued.version),
            })
            .collect()
    })
}

/// To whom: letters to a practice go there unless it is said otherwise.
fn recipient(args: &Sent) -> Result<String, Error> {
    let to = match args.to {
        Some(to) => to,
        None if args.letters || args.printed => Recipient::Gp,
        None => {
            return Err(Error::Usage(
                "say to whom it went, with `--to`: patient, guardian, gp or other".to_owned(),
            ));
        }
    };
    Ok(to.to_possible_value().map(|word| word.get_name().to_owned()).unwrap_or_default())
}
