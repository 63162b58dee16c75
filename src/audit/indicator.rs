//! What an audit counts, each with who is counted and who is not. The words for paper stand in the
//! template; which answer a row gives is decided here.

use rust_decimal::Decimal;

use super::row::{Letter, Row, ToeRow};
use crate::case::ClosedBecause;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;

/// What a row answers to one question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Answer {
    /// It is so.
    Yes,
    /// It is not so.
    No,
    /// Nothing that was recorded says.
    NotRecorded,
    /// Nothing says, and the case was closed as lost: the patient could not be reached.
    Lost,
    /// The time in question has not passed.
    NotYet,
    /// The question does not arise.
    NotAsked,
}

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Each toe.
    Toe,
    /// Each operation.
    Operation,
}

/// One question.
#[derive(Debug)]
pub(crate) struct Indicator {
    /// The permanent key: `infection`. The template words it.
    pub(crate) key: &'static str,
    /// The answers.
    pub(crate) asks: Asks,
    /// The published outcome beside which it may be read.
    pub(crate) published: Option<&'static str>,
}

/// How a question is put.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Asks {
    /// To each toe of an operation.
    Toe(fn(&Row, &ToeRow, CivilDate) -> Answer),
    /// To each operation.
    Operation(fn(&Row, CivilDate) -> Answer),
}

impl Indicator {
    /// What is counted.
    pub(crate) fn unit(&self) -> Unit {
        match self.asks {
            Asks::Toe(_) => Unit::Toe,
            Asks::Operation(_) => Unit::Operation,
        }
    }

    /// The answers of an operation, as of a day: one for each toe, or one.
    pub(crate) fn answers(&self, row: &Row, today: CivilDate) -> Vec<Answer> {
        match self.asks {
            Asks::Toe(ask) => row.toes.iter().map(|toe| ask(row, toe, today)).collect(),
            Asks::Operation(ask) => vec![ask(row, today)],
        }
    }
}

/// Every question, in the order of the page: what happened to the patient first.
pub(crate) static INDICATORS: &[Indicator] = &[
    Indicator { key: "regrowth-that-hurts", asks: Asks::Toe(regrowth_that_hurts), published: None },
    Indicator { key: "regrowth", asks: Asks::Toe(regrowth_with_phenol), published: Some("regrowth-phenol") },
    Indicator { key: "regrowth-no-phenol", asks: Asks::Toe(regrowth_without), published: None },
    Indicator { key: "infection", asks: Asks::Toe(infection), published: Some("infection") },
    Indicator { key: "healed", asks: Asks::Toe(healed), published: None },
    Indicator { key: "burn", asks: Asks::Toe(burn), published: None },
    Indicator { key: "incident", asks: Asks::Operation(incident), published: None },
    Indicator { key: "tourniquet-long", asks: Asks::Toe(tourniquet_long), published: None },
    Indicator { key: "dose-near-limit", asks: Asks::Operation(dose_near_limit), published: None },
    Indicator { key: "consent-confirmed", asks: Asks::Operation(consent_confirmed), published: None },
    Indicator { key: "traceable", asks: Asks::Operation(traceable), published: None },
    Indicator { key: "letter-in-time", asks: Asks::Operation(letter_in_time), published: None },
    Indicator { key: "visit-missed", asks: Asks::Operation(visit_missed), published: None },
];

/// The question of a key.
pub(crate) fn indicator(key: &str) -> Option<&'static Indicator> {
    INDICATORS.iter().find(|indicator| indicator.key == key)
}

/// Nobody wrote what the answer is: because the patient was lost, or for no reason that stands there.
fn unanswered(row: &Row) -> Answer {
    if row.closed == Some(ClosedBecause::Lost) { Answer::Lost } else { Answer::NotRecorded }
}

fn days_since(row: &Row, today: CivilDate) -> u32 {
    u32::try_from(row.operated.days_until(today)).unwrap_or(0)
}

/// Infected within the days that count: only a toe that was looked at after them, or was healed, is one
/// that was not.
fn infection(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    let days = Threshold::InfectionOfTheOperation.whole();
    // Before the time has passed only what went one way could be known: it would count too often.
    if days_since(row, today) <= days {
        return Answer::NotYet;
    }
    if toe.infection.is_some() {
        return Answer::Yes;
    }
    if toe.healed.is_some() || toe.last_seen.is_some_and(|seen| seen >= days) {
        return Answer::No;
    }
    unanswered(row)
}

/// Healed by the weeks of the audit. A toe that was seen open on that day or later was not.
fn healed(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    let days = Threshold::AuditHealedBy.whole() * 7;
    match (toe.healed, toe.last_open) {
        // As above.
        _ if days_since(row, today) < days => Answer::NotYet,
        (Some(healed), _) if healed <= days => Answer::Yes,
        (Some(_), _) => Answer::No,
        (None, Some(open)) if open >= days => Answer::No,
        _ => unanswered(row),
    }
}

/// Nail back within the months of the audit that hurt or was inflamed.
fn regrowth_that_hurts(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    if is_early(row, today) {
        return Answer::NotYet;
    }
    match toe.regrowth.filter(|seen| is_in_time(row, seen.on)) {
        Some(seen) if seen.hurts == Some(true) => Answer::Yes,
        // It came back and nobody wrote whether it hurts.
        Some(seen) if seen.hurts.is_none() => Answer::NotRecorded,
        _ => looked_for(row, toe),
    }
}

fn regrowth_with_phenol(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    if toe.phenol { regrowth(row, toe, today) } else { Answer::NotAsked }
}

fn regrowth_without(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    if toe.phenol { Answer::NotAsked } else { regrowth(row, toe, today) }
}

/// Nail or a spike back within the months of the audit, whether it hurt or not.
fn regrowth(row: &Row, toe: &ToeRow, today: CivilDate) -> Answer {
    if is_early(row, today) {
        return Answer::NotYet;
    }
    match toe.regrowth {
        Some(seen) if is_in_time(row, seen.on) => Answer::Yes,
        _ => looked_for(row, toe),
    }
}

/// Nobody could have looked for regrowth late enough yet.
fn is_early(row: &Row, today: CivilDate) -> bool {
    today < row.operated.plus_months(Threshold::AuditRegrowthLookedForFrom.whole())
}

fn is_in_time(row: &Row, on: CivilDate) -> bool {
    on <= row.operated.plus_months(Threshold::AuditRegrowthWithin.whole())
}

/// Nothing came back, as far as anybody looked: only a look after some months says so.
fn looked_for(row: &Row, toe: &ToeRow) -> Answer {
    let from = row.operated.plus_months(Threshold::AuditRegrowthLookedForFrom.whole());
    match toe.regrowth_looked_for {
        Some(looked) if looked >= from => Answer::No,
        _ => unanswered(row),
    }
}

fn burn(row: &Row, toe: &ToeRow, _: CivilDate) -> Answer {
    match () {
        () if !toe.phenol => Answer::NotAsked,
        () => toe.burn.map_or_else(|| unanswered(row), yes_or_no),
    }
}

fn incident(row: &Row, _: CivilDate) -> Answer {
    yes_or_no(row.incidents > 0)
}

fn tourniquet_long(_: &Row, toe: &ToeRow, _: CivilDate) -> Answer {
    match toe.tourniquet_minutes {
        _ if !toe.has_tourniquet => Answer::NotAsked,
        Some(minutes) => yes_or_no(minutes > Threshold::TourniquetLongOver.whole()),
        None => Answer::NotRecorded,
    }
}

fn dose_near_limit(row: &Row, _: CivilDate) -> Answer {
    match row.dose_share {
        Some(share) => yes_or_no(share * Decimal::from(100) >= Threshold::DoseNearFrom.number()),
        None => Answer::NotRecorded,
    }
}

fn consent_confirmed(row: &Row, _: CivilDate) -> Answer {
    row.consent_confirmed.map_or(Answer::NotRecorded, yes_or_no)
}

fn traceable(row: &Row, _: CivilDate) -> Answer {
    yes_or_no(row.is_traceable)
}

fn letter_in_time(row: &Row, today: CivilDate) -> Answer {
    let days = i64::from(Threshold::LetterToPractice.whole());
    match row.letter {
        Letter::NotKnown => Answer::NotRecorded,
        Letter::Gone(day) => yes_or_no(row.operated.days_until(day) <= days),
        Letter::NotGone if row.operated.days_until(today) <= days => Answer::NotYet,
        Letter::NotGone => Answer::No,
    }
}

fn visit_missed(row: &Row, _: CivilDate) -> Answer {
    yes_or_no(row.missed > 0)
}

fn yes_or_no(is_so: bool) -> Answer {
    if is_so { Answer::Yes } else { Answer::No }
}
