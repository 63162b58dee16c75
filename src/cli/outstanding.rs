//! `unguis outstanding`: what has not gone, what is held back, and which visits are due.

use serde_json::json;

use crate::cli::args::Listing;
use crate::cli::listing::{Printed, caseload, columns, letters_of_others, write_page};
use crate::cli::load::day;
use crate::cli::{Error, Exit};
use crate::documents::outstanding::{LIST, Outstanding, Row, ToSend, VisitDue, Waiting, sorted, view};
use crate::store::ledger::glance;

const HEAD: [&str; 10] =
    ["kind", "reference", "document", "version", "to", "recipient", "since", "days", "held_by", "remark"];

/// Lists what is outstanding.
pub(super) fn run(listing: &Listing) -> Result<Exit, Error> {
    let register = glance(&listing.out)?;
    let mut caseload = caseload(listing, day(&listing.cases.reading), &register, Row::of)?;
    let listed = caseload.rows.iter().flat_map(Row::to_send).map(ToSend::key).collect();
    caseload.left_out.extend(letters_of_others(&register, &listed));
    let all = sorted(&caseload);
    let printed = Printed {
        caseload: &caseload,
        list: LIST.name,
        about: ("day", json!(caseload.today)),
        human: &|| human(&all),
        rows: &all,
        head: &head(listing.names),
        table: &|| table(&all, listing.names),
        lines_on_paper: Some(all.lines()),
    };
    printed.print(listing, || {
        let file = format!("{}.pdf", LIST.name);
        let about = caseload.today.to_string();
        write_page(listing, &LIST, &view(&caseload), &caseload.clinic.name, &about, &file)
    })
}

fn head(names: bool) -> Vec<&'static str> {
    HEAD.into_iter().chain(names.then_some(["name", "born", "nhs_number"]).into_iter().flatten()).collect()
}

fn human(all: &Outstanding<'_>) -> String {
    let mut text = String::new();
    let mut part = |title: &str, lines: Vec<Vec<String>>| {
        if !lines.is_empty() {
            text.push_str(&format!("{title}\n{}\n", columns(&lines)));
        }
    };
    let to_send = all.to_send.iter().map(|one| {
        let ago = match one.days {
            0 => "today".to_owned(),
            1 => "1 day".to_owned(),
            days => format!("{days} days"),
        };
        vec![
            format!("  {ago}"),
            one.who.reference.clone(),
            one.who.born.clone(),
            one.who.nhs_number.clone(),
            one.recipient.clone(),
            format!("{} v{}", one.title, one.version),
            [one.before.as_str(), if one.is_late { "late" } else { "" }].join(" ").trim().to_owned(),
        ]
    });
    part("issued and not gone", to_send.collect());
    let none = all.no_practice.iter().map(|who| vec![format!("  {}", who.reference), who.name.clone()]);
    part("no letter possible: no practice is recorded", none.collect());
    let waiting =
        |one: &&Waiting| vec![format!("  {}", one.who.reference), one.title.clone(), one.held_by.join("; ")];
    part("held back", all.held.iter().map(waiting).collect());
    part("ready and not issued", all.not_issued.iter().map(waiting).collect());
    let visits = all.visits.iter().map(|one| {
        let when = if one.is_overdue { "overdue" } else { one.at.as_str() };
        vec![
            format!("  {}", one.on.clinical()),
            when.to_owned(),
            one.who.reference.clone(),
            one.purpose.clone(),
            remark(one),
        ]
    });
    part("visits", visits.collect());
    let results = all.results.iter().map(|one| {
        vec![
            format!("  {}", one.on.clinical()),
            one.who.reference.clone(),
            what_of(one),
            if one.acts.is_empty() { "nobody is named".to_owned() } else { one.acts.clone() },
        ]
    });
    part("results awaited", results.collect());
    if text.is_empty() { "nothing is outstanding\n".to_owned() } else { text }
}

/// `Nail bed of L1, for histology, L-204`.
fn what_of(one: &crate::documents::outstanding::Awaited) -> String {
    let what = if one.what.is_empty() { "Swab" } else { one.what.as_str() };
    [what, one.lab.as_str()].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

fn remark(visit: &VisitDue) -> String {
    let mut parts = Vec::new();
    if !visit.is_booked {
        parts.push("not booked".to_owned());
    }
    if visit.missed > 0 {
        parts.push(format!("missed {}", visit.missed));
    }
    if visit.should_be_healed {
        parts.push("past the usual weeks of healing".to_owned());
    }
    parts.join("; ")
}

fn table(all: &Outstanding<'_>, names: bool) -> Vec<Vec<String>> {
    let mut lines = Vec::with_capacity(all.lines());
    let mut add = |who: &crate::documents::outstanding::Who, cells: [String; 9]| {
        let [kind, rest @ ..] = cells;
        let mut line = vec![kind, who.reference.clone()];
        line.extend(rest);
        if names {
            line.extend([who.name.clone(), who.born.clone(), who.nhs_number.clone()]);
        }
        lines.push(line);
    };
    for one in &all.to_send {
        let ToSend { who, to, recipient, document, version, issued, days, before, .. } = one;
        add(
            who,
            [
                "to send".into(),
                document.clone(),
                version.to_string(),
                (*to).into(),
                // Who the patient's practice is tells who the patient is in a village.
                if names { recipient.clone() } else { String::new() },
                issued.to_string(),
                days.to_string(),
                String::new(),
                before.clone(),
            ],
        );
    }
    for one in all.held.iter().chain(&all.not_issued) {
        let kind = if one.held_by.is_empty() { "not issued" } else { "held" };
        let mut cells: [String; 9] = Default::default();
        (cells[0], cells[1], cells[7]) = (kind.into(), one.document.clone(), one.held_by.join("; "));
        add(&one.who, cells);
    }
    for who in &all.no_practice {
        let mut cells: [String; 9] = Default::default();
        cells[0] = "no practice".into();
        add(who, cells);
    }
    for one in &all.visits {
        let mut cells: [String; 9] = Default::default();
        cells[0] = if one.is_overdue { "visit overdue" } else { "visit due" }.into();
        (cells[5], cells[8]) = (one.on.to_string(), format!("{}; {}", one.purpose, remark(one)));
        add(&one.who, cells);
    }
    for one in &all.results {
        let mut cells: [String; 9] = Default::default();
        cells[0] = "result awaited".into();
        (cells[5], cells[6], cells[8]) = (one.on.to_string(), one.days.to_string(), what_of(one));
        add(&one.who, cells);
    }
    lines
}
