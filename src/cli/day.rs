//! `unguis day`: the operations of a day, for the screen, for a program and on paper.

use serde_json::json;

use crate::cli::args::Day;
use crate::cli::listing::{LISTS_FOLDER, Printed, caseload, columns, write_page};
use crate::cli::load::day;
use crate::cli::{Error, Exit, io};
use crate::date::{CivilDate, TimeOfDay};
use crate::documents::day_list::{self, Entry, LIST, Row};
use crate::facts::{Caseload, ReplacedList};
use crate::register::chain::Register;
use crate::units::TextValue;
use crate::words::Count;

const HEAD: [&str; 14] = [
    "time",
    "minutes",
    "room",
    "reference",
    "age",
    "operate",
    "at_most_ml",
    "agent",
    "consent_signed",
    "consent_of_the_day",
    "order_reasons",
    "not_ready",
    "done",
    "tray",
];

/// Lists the operations of the day.
pub(super) fn run(args: &Day) -> Result<Exit, Error> {
    let listing = &args.listing;
    // What is planned is judged by the day on which it is to be: age, consent and results as old as then.
    let judged_on = day(&listing.cases.reading).max(args.date);
    let mut caseload = caseload(listing, judged_on, &Register::default(), |one| Entry::of(one, args.date))?;
    let earlier = earlier_lists(args)?;
    caseload.replaces = earlier.last().map(|(_, replaced)| *replaced);
    let rows = day_list::rows(&caseload);
    let printed = Printed {
        caseload: &caseload,
        list: LIST.name,
        about: ("date", json!(args.date)),
        human: &|| human(&caseload, args.date),
        rows: &rows,
        head: &head(listing.names),
        table: &|| rows.iter().map(|row| line(row, listing.names)).collect(),
        lines_on_paper: Some(rows.len()),
    };
    printed.print(listing, || {
        let number = caseload.replaces.map_or(1, |old| old.version.saturating_add(1));
        let at = caseload.made_at.map(TimeOfDay::clinical).unwrap_or_default().replace(':', "");
        let file = format!("{}v{number}-made-{}-{at}.pdf", stem(args.date), caseload.today);
        let view = day_list::view(&caseload, args.date);
        let about = args.date.to_string();
        let path = write_page(listing, &LIST, &view, &caseload.clinic.name, &about, &file)?;
        // A list that was replaced would be printed by mistake.
        for (name, _) in &earlier {
            io::remove_if_there(&path.with_file_name(name))?;
        }
        Ok(path)
    })
}

fn stem(date: CivilDate) -> String {
    format!("{}-{date}-", LIST.name)
}

/// The lists of that day that lie there: file name, version and when it was made, the last one last.
fn earlier_lists(args: &Day) -> Result<Vec<(String, ReplacedList)>, Error> {
    let folder = args.listing.out.join(LISTS_FOLDER);
    let mut found: Vec<(String, ReplacedList)> = io::files_in(&folder)?
        .into_iter()
        .filter_map(|path| {
            let name = path.file_name()?.to_string_lossy().into_owned();
            let rest = name.strip_prefix(&stem(args.date))?.strip_suffix(".pdf")?.strip_prefix('v')?;
            let (version, made) = rest.split_once("-made-")?;
            let (day, at) = made.rsplit_once('-')?;
            let at = format!("{}:{}", at.get(..2)?, at.get(2..)?);
            let replaced = ReplacedList {
                version: version.parse().ok()?,
                made: CivilDate::parse(day).ok()?,
                at: TimeOfDay::parse(&at).ok()?,
            };
            Some((name, replaced))
        })
        .collect();
    found.sort_by_key(|(_, replaced)| replaced.version);
    Ok(found)
}

fn human(caseload: &Caseload<Entry>, date: CivilDate) -> String {
    let rows = day_list::rows(caseload);
    let mut text = match rows.len() {
        0 => format!("no operation is booked or recorded for {}\n", date.long_with_day()),
        count => format!("{}: {}\n", date.long_with_day(), Count(count, "operation")),
    };
    let lines: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let time = if row.time.is_empty() { "no time" } else { &row.time };
            let at_most = if row.allowance.is_empty() {
                "not known".to_owned()
            } else {
                format!("at most {}", row.allowance)
            };
            vec![
                time.to_owned(),
                row.reference.clone(),
                row.name.clone(),
                row.age.clone(),
                operate(row),
                at_most,
                consent(row).to_owned(),
            ]
        })
        .collect();
    text.push_str(&columns(&lines));
    for row in rows {
        if !row.not_ready.is_empty() && !row.is_done {
            text.push_str(&format!("not ready: {}: {}\n", row.reference, row.not_ready.join("; ")));
        }
    }
    let not_booked = day_list::not_booked(caseload);
    if !not_booked.is_empty() {
        text.push_str(&format!("planned, and no day booked: {}\n", not_booked.join(", ")));
    }
    text
}

fn operate(row: &Row) -> String {
    let toe = |toe: &day_list::Operate| {
        let phenol = if toe.phenol { "phenol" } else { "no phenol" };
        format!("{} ({}), {}, {phenol}", toe.toe, toe.code, toe.part)
    };
    row.toes.iter().map(toe).collect::<Vec<_>>().join("; ")
}

fn consent(row: &Row) -> &'static str {
    let consent = &row.consent;
    match () {
        () if consent.signed.is_empty() => "sign today",
        () if consent.is_of_the_day => "signed on the day",
        () if consent.is_confirmed => "confirmed on the day",
        () => "confirm today",
    }
}

fn head(names: bool) -> Vec<&'static str> {
    let mut head = HEAD.to_vec();
    if names {
        head.extend(["name", "born", "look_out", "needs"]);
    }
    head
}

fn line(row: &Row, names: bool) -> Vec<String> {
    let mut line = vec![
        row.time.clone(),
        row.minutes.clone(),
        row.room.clone(),
        row.reference.clone(),
        row.age.clone(),
        operate(row),
        row.allowance.trim_end_matches(" ml").to_owned(),
        row.agent.clone(),
        row.consent.signed.clone(),
        consent(row).to_owned(),
        row.order_reasons.join("; "),
        row.not_ready.join("; "),
        if row.is_done { "yes" } else { "no" }.to_owned(),
        row.tray.clone(),
    ];
    if names {
        let look_out = row.look_out.iter().map(day_list::LookOut::line);
        line.extend([
            row.name.clone(),
            row.born.clone(),
            look_out.collect::<Vec<_>>().join("; "),
            row.needs.join("; "),
        ]);
    }
    line
}
