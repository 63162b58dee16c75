//! Who had something of a lot: anaesthetic, phenol, tray, steriliser cycle or single-use pack. For a recall,
//! so it also says whom it cannot rule out.
//!
//! Lots are compared without blanks, hyphens and capitals. One that is a slip of the pen away is possible and
//! never taken for the same.

use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::Value as Json;

use super::outstanding::Who;
use super::{Line, List};
use crate::case::{Measured, OperatedToe};
use crate::date::CivilDate;
use crate::documents::page::{self, with_list_page};
use crate::facts::{Caseload, Facts, OneCase};
use crate::words::slips_apart;

/// The list.
pub(crate) static LIST: List = List {
    name: "lot-list",
    title: "Who had lot",
    template: "lot-list/main.typ",
    is_across: true,
    names_cases: true,
    view: |caseload| {
        let rows = caseload.with_rows(|one| {
            let lots = lots(one.facts);
            let lot = lots.iter().find_map(|lot| lot.number.clone()).unwrap_or_default();
            Row::of(&one, &lot, None).or_else(|| Some(Row::anyhow(&one)))
        });
        view(&rows, "M4417", None)
    },
};

/// What a lot can be of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Kind {
    Anaesthetic,
    Phenol,
    Dressing,
    Tray,
    Cycle,
    Pack,
}

impl Kind {
    /// In words.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Kind::Anaesthetic => "anaesthetic",
            Kind::Phenol => "phenol",
            Kind::Dressing => "dressing",
            Kind::Tray => "tray",
            Kind::Cycle => "steriliser cycle",
            Kind::Pack => "single-use pack",
        }
    }
}

/// How sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Found {
    /// The lot is recorded.
    Had,
    /// A lot is recorded that is a slip of the pen away.
    Possible,
    /// No lot is recorded of something that was used.
    NotExcluded,
}

/// One thing that was used.
#[derive(Debug, Clone, PartialEq)]
struct Lot {
    kind: Kind,
    /// `mepivacaine 3 %`.
    of: String,
    /// As recorded.
    number: Option<String>,
    /// Why there is none, where that was written.
    gap: String,
    expires: String,
}

/// A patient who had it, may have had it, or cannot be ruled out.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Row {
    /// How sure it is.
    pub(crate) found: Found,
    /// Whose.
    #[serde(flatten)]
    pub(crate) who: Who,
    /// The day of surgery.
    pub(crate) on: CivilDate,
    /// What is recorded: `mepivacaine 3 %, lot M4417, expires Aug-2027`.
    pub(crate) what: Vec<String>,
    /// The toes, with codes beside words.
    pub(crate) toes: String,
    /// ml of the anaesthetic, where that is what was found; `not known`.
    pub(crate) volume: String,
    #[serde(skip)]
    volume_ml: Option<Decimal>,
    /// The expiry that is recorded with the lot; may be empty.
    pub(crate) expires: String,
    /// The last day on which the patient was seen since; may be empty.
    pub(crate) seen: String,
    /// Allergies.
    pub(crate) allergies: String,
    #[serde(skip)]
    contact: Contact,
}

/// How the patient is reached: on paper alone.
#[derive(Debug, Clone, Serialize)]
struct Contact {
    telephone: String,
    address: String,
    practice: String,
    practice_telephone: String,
}

/// A lot as it is compared: without blanks, hyphens and capitals.
pub(crate) fn folded(lot: &str) -> String {
    let is_sign = |c: char| c.is_whitespace() || matches!(c, '-' | '\u{2010}'..='\u{2015}' | '.' | '/' | '_');
    lot.chars().filter(|c| !is_sign(*c)).flat_map(char::to_uppercase).collect()
}

/// Letters and digits that are taken for each other.
fn look_alike(folded: &str) -> String {
    folded
        .chars()
        .map(|c| match c {
            'O' | 'Q' => '0',
            'I' | 'L' => '1',
            'S' => '5',
            'Z' => '2',
            'B' => '8',
            other => other,
        })
        .collect()
}

/// Whether a recorded lot is the one that is asked for.
fn compared(asked: &str, recorded: &str) -> Option<Found> {
    let (asked, recorded) = (folded(asked), folded(recorded));
    if asked == recorded {
        return Some(Found::Had);
    }
    let is_near = look_alike(&asked) == look_alike(&recorded) || slips_apart(&asked, &recorded) <= 1;
    (is_near && !asked.is_empty() && !recorded.is_empty()).then_some(Found::Possible)
}

/// All that was used in the operation of a case.
fn lots(facts: &Facts) -> Vec<Lot> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let lot = |kind, of: String, number: &Measured<String>, expires: String| Lot {
        kind,
        of,
        number: number.get().cloned().filter(|number| !folded(number).is_empty()),
        gap: page::gap(number),
        expires,
    };
    let mut lots = Vec::new();
    let expiry = |expires: &Measured<crate::date::Expiry>| {
        expires.get().map_or_else(String::new, |expires| expires.clinical())
    };
    let agents: Vec<_> = operation.anaesthetic.iter().flat_map(|all| all.all()).map(|(_, one)| one).collect();
    for one in &agents {
        let of = format!("{} {}", one.agent, one.strength);
        lots.push(lot(Kind::Anaesthetic, of, &one.batch, expiry(&one.expires)));
    }
    if agents.is_empty() && operation.toes.iter().any(|(_, toe)| !toe.injected.is_missing()) {
        lots.push(lot(Kind::Anaesthetic, "local anaesthetic".into(), &Measured::Missing, String::new()));
    }
    let uses_phenol = operation.toes.iter().any(|(_, toe): (_, &OperatedToe)| toe.phenol.is_some());
    match &operation.phenol {
        Some(one) => {
            lots.push(lot(
                Kind::Phenol,
                format!("phenol {}", one.strength),
                &one.batch,
                expiry(&one.expires),
            ));
        }
        None if uses_phenol => {
            lots.push(lot(Kind::Phenol, "phenol".into(), &Measured::Missing, String::new()))
        }
        None => {}
    }
    let of_text = |text: &Option<String>| match text {
        Some(text) => Measured::Value(text.clone()),
        None => Measured::Missing,
    };
    match operation.instruments.get() {
        Some(one) if one.single_use_lot.is_some() => {
            lots.push(lot(
                Kind::Pack,
                "single-use pack".into(),
                &of_text(&one.single_use_lot),
                String::new(),
            ));
        }
        Some(one) => {
            lots.push(lot(Kind::Tray, "tray".into(), &of_text(&one.tray), String::new()));
            lots.push(lot(Kind::Cycle, "steriliser cycle".into(), &of_text(&one.cycle), String::new()));
        }
        None => {
            let gap = page::gap(&operation.instruments);
            lots.push(Lot {
                gap,
                ..lot(Kind::Tray, "instruments".into(), &Measured::Missing, String::new())
            });
        }
    }
    // A pack is recorded or it is not: nobody writes down the batch of every dressing.
    for pack in &operation.dressing_packs {
        lots.push(lot(Kind::Dressing, pack.item.clone(), &pack.batch, expiry(&pack.expires)));
    }
    lots
}

impl Row {
    /// What a case has to do with a lot; `None` if it has nothing. `only` narrows what is looked at.
    pub(crate) fn of(one: &OneCase<'_>, asked: &str, only: Option<Kind>) -> Option<Row> {
        let mut lots: Vec<Lot> =
            lots(one.facts).into_iter().filter(|lot| only.is_none_or(|only| only == lot.kind)).collect();
        // Few clinics record the lot of a dressing: who cannot be ruled out is asked for by name.
        if only == Some(Kind::Dressing) && lots.is_empty() && !one.facts.operated().is_empty() {
            let (number, gap, expires) = (None, String::new(), String::new());
            lots.push(Lot { kind: Kind::Dressing, of: "dressing".to_owned(), number, gap, expires });
        }
        let found = |wanted: Found| -> Vec<&Lot> {
            let is_it = |lot: &&Lot| match &lot.number {
                Some(number) => compared(asked, number) == Some(wanted),
                None => wanted == Found::NotExcluded,
            };
            lots.iter().filter(is_it).collect()
        };
        for kind in [Found::Had, Found::Possible, Found::NotExcluded] {
            let of_kind = found(kind);
            if !of_kind.is_empty() {
                return Some(Row::made(one, kind, &of_kind));
            }
        }
        None
    }

    /// For trials: a row whatever was used.
    fn anyhow(one: &OneCase<'_>) -> Row {
        Row::made(one, Found::NotExcluded, &[])
    }

    fn made(one: &OneCase<'_>, found: Found, lots: &[&Lot]) -> Row {
        let facts = one.facts;
        let operation = facts.case.operation.as_ref();
        let on = operation.map_or(facts.today, |operation| operation.date);
        let what = lots.iter().map(|lot| {
            let number = match (&lot.number, lot.gap.is_empty()) {
                (Some(number), _) => format!("lot {number}"),
                (None, true) => "lot not recorded".to_owned(),
                (None, false) => format!("lot not recorded: {}", lot.gap),
            };
            let expires =
                if lot.expires.is_empty() { String::new() } else { format!(", expires {}", lot.expires) };
            format!("{}, {number}{expires}", lot.of)
        });
        let agents = lots.iter().filter(|lot| lot.kind == Kind::Anaesthetic);
        let volumes: Vec<_> = agents
            .filter_map(|lot| {
                let given = facts.derived.agents.iter();
                given.clone().find(|given| lot.of.starts_with(&given.agent)).map(|given| &given.volume)
            })
            .collect();
        let volume_ml = volumes
            .iter()
            .map(|volume| volume.get().map(|volume| volume.0))
            .sum::<Option<Decimal>>()
            .filter(|_| !volumes.is_empty());
        let toes = facts.operated().into_iter().map(|(toe, _)| format!("{} ({})", toe.plain(), toe.code()));
        let seen = facts.derived.course.last_seen;
        let gp = facts.gp();
        let patient = &facts.case.patient;
        Row {
            found,
            who: Who::of(facts),
            on,
            what: what.collect(),
            toes: toes.collect::<Vec<_>>().join(", "),
            volume: match (volumes.is_empty(), volume_ml) {
                (true, _) => String::new(),
                (false, Some(volume)) => format!("{} ml", volume.normalize()),
                (false, None) => page::NOT_KNOWN.to_owned(),
            },
            volume_ml,
            expires: lots.first().map_or_else(String::new, |lot| lot.expires.clone()),
            seen: seen.map_or_else(String::new, CivilDate::clinical),
            allergies: page::allergies(facts),
            contact: Contact {
                telephone: page::recorded(patient.telephone.as_deref()),
                address: if patient.address.is_empty() {
                    page::NOT_RECORDED.to_owned()
                } else {
                    patient.address.join(", ")
                },
                practice: gp.map_or_else(|| page::NOT_RECORDED.to_owned(), |gp| gp.practice.clone()),
                practice_telephone: gp.and_then(|gp| gp.telephone.clone()).unwrap_or_default(),
            },
        }
    }
}

/// The rows of one certainty: who was operated on last comes first.
pub(crate) fn rows(caseload: &Caseload<Row>, found: Found) -> Vec<&Row> {
    let mut rows: Vec<&Row> = caseload.rows.iter().filter(|row| row.found == found).collect();
    rows.sort_by(|one, other| {
        (std::cmp::Reverse(one.on), &one.who).cmp(&(std::cmp::Reverse(other.on), &other.who))
    });
    rows
}

/// ml that were given of the lot, over all who had it; `None` if it is no anaesthetic, or not all is known.
pub(crate) fn total(caseload: &Caseload<Row>) -> Option<Decimal> {
    let had = rows(caseload, Found::Had);
    let is_anaesthetic = had.iter().any(|row| !row.volume.is_empty());
    is_anaesthetic.then(|| had.iter().map(|row| row.volume_ml).sum::<Option<Decimal>>()).flatten()
}

/// The expiries that are recorded with the lot, where they differ.
pub(crate) fn expiries(caseload: &Caseload<Row>) -> Vec<&str> {
    let mut all: Vec<&str> = rows(caseload, Found::Had).iter().map(|row| row.expires.as_str()).collect();
    all.retain(|expires| !expires.is_empty());
    all.sort_unstable();
    all.dedup();
    if all.len() > 1 { all } else { Vec::new() }
}

#[derive(Debug, Serialize)]
struct View<'a> {
    lot: String,
    only: String,
    had: Vec<Line<RowView<'a>>>,
    possible: Vec<Line<RowView<'a>>>,
    not_excluded: Vec<Line<RowView<'a>>>,
    had_count: String,
    total: String,
    expiries: Vec<&'a str>,
}

#[derive(Debug, Serialize)]
struct RowView<'a> {
    who: &'a Who,
    on: String,
    what: &'a [String],
    toes: &'a str,
    volume: &'a str,
    seen: &'a str,
    allergies: &'a str,
    contact: &'a Contact,
}

/// The view.
pub(crate) fn view(caseload: &Caseload<Row>, lot: &str, only: Option<Kind>) -> Json {
    let of = |found| {
        let rows = rows(caseload, found).into_iter();
        rows.map(|row| RowView {
            who: &row.who,
            on: row.on.clinical(),
            what: &row.what,
            toes: &row.toes,
            volume: &row.volume,
            seen: &row.seen,
            allergies: &row.allergies,
            contact: &row.contact,
        })
        .map(Line::of)
        .collect::<Vec<_>>()
    };
    let had = of(Found::Had);
    let own = View {
        lot: lot.to_owned(),
        only: only.map_or_else(String::new, |only| only.word().to_owned()),
        had_count: had.len().to_string(),
        had,
        possible: of(Found::Possible),
        not_excluded: of(Found::NotExcluded),
        total: total(caseload).map_or_else(String::new, |total| format!("{} ml", total.normalize())),
        expiries: expiries(caseload),
    };
    with_list_page(caseload, &LIST, lot.to_owned(), false, &own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lot_is_the_same_however_it_is_written_and_near_ones_are_possible() {
        let found = |asked: &str, recorded: &str| compared(asked, recorded);
        for same in ["M4417", "m4417", "M 44 17", "m-4417"] {
            assert_eq!(found("M4417", same), Some(Found::Had), "{same}");
        }
        for near in ["M4471X", "M4418", "M441", "M44I7", "M44177"] {
            let wanted = (near != "M4471X").then_some(Found::Possible);
            assert_eq!(found("M4417", near), wanted, "{near}");
        }
        assert_eq!(found("B0I5", "8O1S"), Some(Found::Possible), "letters that look like digits");
        assert_eq!(found("M4417", "P203"), None);
    }
}
