//! `unguis audit`: the outcomes of the operations of a period, for the screen, for a program, as a table of
//! the rows behind every figure, and on paper.

use serde_json::{Value, json};

use crate::audit::{Answer, Audit as Counted, INDICATORS, Letter, Line, Row, ToeRow, Unit};
use crate::cli::args::Audit;
use crate::cli::listing::{Printed, caseload, columns, write_page};
use crate::cli::load::day;
use crate::cli::{Error, Exit};
use crate::documents::outcome_audit::{LIST, Reader, audited, view};
use crate::facts::OneCase;
use crate::statistics::{percent, rounded};
use crate::store::ledger::glance;
use crate::words::Count;

const HEAD: [&str; 24] = [
    "reference",
    "operated",
    "age",
    "operator",
    "agent",
    "toe",
    "nail",
    "phenol",
    "phenol_seconds",
    "tourniquet_minutes",
    "dose_percent_of_limit",
    "infection_day",
    "healed_day",
    "last_open_day",
    "last_recorded_day",
    "burn",
    "regrowth",
    "regrowth_seen",
    "regrowth_hurts",
    "regrowth_looked_for",
    "letter_gone",
    "closed",
    "missed_visits",
    "incidents",
];

/// Counts the outcomes.
pub(super) fn run(args: &Audit) -> Result<Exit, Error> {
    let listing = &args.listing;
    let today = day(&listing.cases.reading);
    if let (Some(from), Some(to)) = (args.from, args.to)
        && to < from
    {
        return Err(Error::Usage(format!(
            "the period ends on {}, before it begins on {}: check `--from` and `--to`",
            to.clinical(),
            from.clinical()
        )));
    }
    let register = glance(&listing.out)?;
    let has_register = register.issued().next().is_some();
    let mut caseload =
        caseload(listing, today, &register, |one| Row::of(one.facts, letter(one, has_register)))?;
    let audit = audited(&mut caseload, args.from, args.to);
    let reader = if args.outside { Reader::Outside } else { Reader::Clinic };
    if args.outside && listing.format != crate::cli::args::ListFormat::Human {
        return Err(Error::Usage(
            "the rows behind the figures are about single patients and stay in the clinic: `--outside` makes the \
             page alone"
                .to_owned(),
        ));
    }
    let head = head();
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    let printed = Printed {
        caseload: &caseload,
        list: LIST.name,
        about: ("period", json!({ "from": audit.period.from, "to": audit.period.to })),
        human: &|| human(&audit, reader),
        rows: as_json(&audit),
        head: &head,
        table: &|| table(&audit),
        lines_on_paper: None,
    };
    printed.print(listing, || {
        let view = view(&caseload, &audit, reader);
        let end = if args.outside { "-to-leave-the-clinic" } else { "" };
        let file = format!("{}-{}-to-{}{end}.pdf", LIST.name, audit.period.from, audit.period.to);
        let about = format!("{} to {}", audit.period.from, audit.period.to);
        write_page(listing, &LIST, &view, &caseload.clinic.name, &about, &file)
    })
}

/// The first day on which a version of the letter went to the practice.
fn letter(one: &OneCase<'_>, has_register: bool) -> Letter {
    if !has_register {
        return Letter::NotKnown;
    }
    let letters = one.issued.iter().filter(|issued| issued.document == "gp-letter");
    let gone = letters.flat_map(|issued| {
        let now = issued.gone.iter().filter(|gone| gone.to == "gp").map(|gone| gone.on);
        now.chain(issued.gone_before.map(|(_, on)| on))
    });
    gone.min().map_or(Letter::NotGone, Letter::Gone)
}

fn human(audit: &Counted, reader: Reader) -> String {
    let operations = Count(audit.rows.len(), "operation");
    let (from, to) = (audit.period.from.clinical(), audit.period.to.clinical());
    if audit.rows.is_empty() {
        return format!("no operation is recorded from {from} to {to}\n");
    }
    if reader == Reader::Outside {
        return "small numbers are hidden on the page; on this screen they are not shown at all\n".to_owned();
    }
    let patients = Count(audit.patients.try_into().unwrap_or(usize::MAX), "patient");
    let toes = Count(audit.toes.try_into().unwrap_or(usize::MAX), "toe");
    let mut text = format!("{from} to {to}: {operations} on {toes} of {patients}\n");
    let mut lines = vec![
        ["", "so", "of", "%", "95 % interval", "not recorded", "lost", "too early"]
            .map(str::to_owned)
            .to_vec(),
    ];
    lines.extend(audit.lines.iter().map(human_line));
    text.push_str(&columns(&lines));
    text
}

fn human_line(line: &Line) -> Vec<String> {
    let proportion = line.counts.proportion();
    let interval = proportion.wilson();
    let unit = if line.indicator.unit() == Unit::Toe { "toes" } else { "operations" };
    vec![
        format!("{} ({unit})", line.indicator.key.replace('-', " ")),
        proportion.count().to_string(),
        proportion.of().to_string(),
        proportion.share().map_or_else(|| "not known".to_owned(), |share| percent(share, 1)),
        interval
            .map_or_else(String::new, |one| format!("{} to {}", percent(one.low, 1), percent(one.high, 1))),
        line.counts.not_recorded.to_string(),
        line.counts.lost.to_string(),
        line.counts.not_yet.to_string(),
    ]
}

fn as_json(audit: &Counted) -> Value {
    let counts = |line: &Line| {
        let proportion = line.counts.proportion();
        let interval = proportion.wilson();
        json!({
            "question": line.indicator.key,
            "counted": if line.indicator.unit() == Unit::Toe { "toes" } else { "operations" },
            "so": line.counts.yes,
            "not_so": line.counts.no,
            "not_recorded": line.counts.not_recorded,
            "lost": line.counts.lost,
            "too_early": line.counts.not_yet,
            "share": proportion.share().map(|share| rounded(share, 6)),
            "interval": interval.map(|one| [rounded(one.low, 6), rounded(one.high, 6)]),
            "patients": line.by_patient.map(|counts| json!({
                "so": counts.yes, "not_so": counts.no, "not_known": counts.not_recorded + counts.lost + counts.not_yet,
            })),
        })
    };
    json!({
        "operations": audit.rows.len(),
        "toes": audit.toes,
        "patients": audit.patients,
        "questions": audit.lines.iter().map(counts).collect::<Vec<Value>>(),
        "healing": audit.healing,
        "median_days_to_healing": audit.healing.median(),
        "months": audit.months.iter().map(|month| json!({
            "month": month.first, "toes": month.toes, "healed": month.healed.yes, "not_healed": month.healed.no,
        })).collect::<Vec<Value>>(),
        "run_chart": audit.run_chart,
    })
}

fn head() -> Vec<String> {
    let mut head: Vec<String> = HEAD.map(str::to_owned).to_vec();
    head.extend(INDICATORS.iter().map(|indicator| format!("counts_{}", indicator.key.replace('-', "_"))));
    head
}

/// One line a toe: what was recorded, and what it answers to each question.
fn table(audit: &Counted) -> Vec<Vec<String>> {
    let lines = audit.rows.iter().flat_map(|row| {
        row.toes.iter().enumerate().map(move |(at, toe)| {
            let mut line = recorded(row, toe);
            line.extend(INDICATORS.iter().map(|indicator| {
                let answers = indicator.answers(row, audit.today);
                // What is asked of the operation stands beside its first toe, so that it counts once.
                let answer = match indicator.unit() {
                    Unit::Toe => answers.get(at),
                    Unit::Operation => answers.first().filter(|_| at == 0),
                };
                answer.map_or_else(String::new, |answer| word(*answer).to_owned())
            }));
            line
        })
    });
    lines.collect()
}

fn word(answer: Answer) -> &'static str {
    match answer {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::NotRecorded => "not recorded",
        Answer::Lost => "lost",
        Answer::NotYet => "too early",
        Answer::NotAsked => "",
    }
}

fn recorded(row: &Row, toe: &ToeRow) -> Vec<String> {
    let number = |number: Option<u32>| number.map_or_else(String::new, |number| number.to_string());
    let yes = |is_so: bool| (if is_so { "yes" } else { "no" }).to_owned();
    let regrowth = toe.regrowth;
    vec![
        row.reference.clone(),
        row.operated.to_string(),
        number(row.age),
        row.operator.clone().unwrap_or_default(),
        row.agent.clone().unwrap_or_default(),
        toe.toe.code().to_owned(),
        toe.nail.word().to_owned(),
        yes(toe.phenol),
        number(toe.phenol_seconds),
        number(toe.tourniquet_minutes),
        row.dose_share.map_or_else(String::new, crate::derive::share_in_percent),
        number(toe.infection),
        number(toe.healed),
        number(toe.last_open),
        number(toe.last_seen),
        toe.burn.map_or_else(String::new, yes),
        regrowth.map_or_else(String::new, |one| one.kind.word().to_owned()),
        regrowth.map_or_else(String::new, |one| one.on.to_string()),
        regrowth.and_then(|one| one.hurts).map_or_else(String::new, yes),
        toe.regrowth_looked_for.map_or_else(String::new, |day| day.to_string()),
        match row.letter {
            Letter::Gone(day) => day.to_string(),
            Letter::NotGone => "not gone".to_owned(),
            Letter::NotKnown => String::new(),
        },
        row.closed.as_ref().map_or_else(String::new, crate::case::ClosedBecause::word),
        row.missed.to_string(),
        row.incidents.to_string(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_of_the_handbook_tells_of_every_question() {
        let page = crate::handbook::page("audit").expect("there is a page").text;
        for indicator in INDICATORS {
            assert!(page.contains(&format!("| `{}` |", indicator.key)), "{}", indicator.key);
        }
    }
}
