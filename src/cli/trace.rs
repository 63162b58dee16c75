//! `unguis trace`: who had something of a lot, for a recall.

use serde_json::json;

use crate::cli::args::{LotOf, Trace};
use crate::cli::listing::{Printed, caseload, columns, write_page};
use crate::cli::load::day;
use crate::cli::{Error, Exit};
use crate::documents::lot_list::{Found, Kind, LIST, Row, expiries, folded, rows, total, view};
use crate::facts::Caseload;
use crate::register::chain::Register;
use crate::words::Count;

const HEAD: [&str; 9] =
    ["found", "reference", "surgery", "recorded", "toes", "volume", "expires", "seen_since", "allergies"];

/// Lists everybody who had it, may have had it, or cannot be ruled out.
pub(super) fn run(args: &Trace) -> Result<Exit, Error> {
    let listing = &args.listing;
    let lot = args.lot.trim();
    if folded(lot).is_empty() {
        return Err(Error::Usage("name the lot as it stands on the label, like M4417".to_owned()));
    }
    let only = args.of.map(kind);
    let today = day(&listing.cases.reading);
    let caseload = caseload(listing, today, &Register::default(), |one| Row::of(one, lot, only))?;
    let all: Vec<&Row> = [Found::Had, Found::Possible, Found::NotExcluded]
        .into_iter()
        .flat_map(|found| rows(&caseload, found))
        .collect();
    let head: Vec<&str> = HEAD
        .into_iter()
        .chain(listing.names.then_some(["name", "born", "nhs_number"]).into_iter().flatten())
        .collect();
    let printed = Printed {
        caseload: &caseload,
        list: LIST.name,
        about: ("lot", json!(lot)),
        human: &|| human(&caseload, lot),
        rows: &all,
        head: &head,
        table: &|| all.iter().map(|row| line(row, listing.names)).collect(),
        lines_on_paper: Some(all.len()),
    };
    printed.print(listing, || {
        // The lot may hold anything; its folded letters and digits are safe in a name.
        let name: String = folded(lot).chars().filter(char::is_ascii_alphanumeric).take(32).collect();
        let file = format!("{}-{name}.pdf", LIST.name);
        write_page(listing, &LIST, &view(&caseload, lot, only), &caseload.clinic.name, lot, &file)
    })
}

fn kind(of: LotOf) -> Kind {
    match of {
        LotOf::Anaesthetic => Kind::Anaesthetic,
        LotOf::Phenol => Kind::Phenol,
        LotOf::Dressing => Kind::Dressing,
        LotOf::Tray => Kind::Tray,
        LotOf::Cycle => Kind::Cycle,
        LotOf::Pack => Kind::Pack,
    }
}

fn human(caseload: &Caseload<Row>, lot: &str) -> String {
    let had = rows(caseload, Found::Had);
    let total =
        total(caseload).map_or_else(String::new, |total| format!(", {} ml in all", total.normalize()));
    let mut text = match had.len() {
        0 => format!("nobody is recorded with lot {lot}\n"),
        count => format!("lot {lot}: {}{total}\n", Count(count, "patient")),
    };
    let lines = |rows: &[&Row]| {
        let line = |row: &&Row| {
            let seen =
                if row.seen.is_empty() { "not seen since".to_owned() } else { format!("seen {}", row.seen) };
            vec![
                format!("  {}", row.who.reference),
                row.who.name.clone(),
                row.on.clinical(),
                row.what.join("; "),
                row.volume.clone(),
                seen,
            ]
        };
        columns(&rows.iter().map(line).collect::<Vec<_>>())
    };
    text.push_str(&lines(&had));
    let differ = expiries(caseload);
    if !differ.is_empty() {
        text.push_str(&format!("the expiry differs: {}\n", differ.join(", ")));
    }
    for (found, title) in [
        (Found::Possible, "possible: a lot that is nearly the same"),
        (Found::NotExcluded, "not excluded: the lot was not recorded"),
    ] {
        let rows = rows(caseload, found);
        if !rows.is_empty() {
            text.push_str(&format!("{title}\n{}", lines(&rows)));
        }
    }
    text
}

fn line(row: &Row, names: bool) -> Vec<String> {
    let found = match row.found {
        Found::Had => "had",
        Found::Possible => "possible",
        Found::NotExcluded => "not excluded",
    };
    let mut line = vec![
        found.to_owned(),
        row.who.reference.clone(),
        row.on.to_string(),
        row.what.join("; "),
        row.toes.clone(),
        row.volume.clone(),
        row.expires.clone(),
        row.seen.clone(),
        row.allergies.clone(),
    ];
    if names {
        line.extend([row.who.name.clone(), row.who.born.clone(), row.who.nhs_number.clone()]);
    }
    line
}
