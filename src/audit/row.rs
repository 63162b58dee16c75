//! What an audit keeps of one case: small, without a name, and never more than was recorded.

use rust_decimal::Decimal;

use crate::anatomy::{Nail, Toe};
use crate::case::{ClosedBecause, Regrowth};
use crate::date::CivilDate;
use crate::facts::Facts;

/// One operation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    /// The clinic's reference of the case.
    pub(crate) reference: String,
    /// Who the patient is, to tell whether two operations were on the same one.
    pub(crate) person: Person,
    /// The day of surgery.
    pub(crate) operated: CivilDate,
    /// Completed years on that day.
    pub(crate) age: Option<u32>,
    /// Who operated, as printed.
    pub(crate) operator: Option<String>,
    /// The anaesthetics, as printed, joined by "and"; `None` if none is recorded.
    pub(crate) agent: Option<String>,
    /// The toes that were operated on.
    pub(crate) toes: Vec<ToeRow>,
    /// The dose over its limit, over all agents; `None` if it is not known.
    pub(crate) dose_share: Option<Decimal>,
    /// Batches and instruments are recorded.
    pub(crate) is_traceable: bool,
    /// Consent was signed or confirmed on the day; `None` if nothing says so.
    pub(crate) consent_confirmed: Option<bool>,
    /// Incidents in the record.
    pub(crate) incidents: usize,
    /// Visits that the patient did not come to.
    pub(crate) missed: usize,
    /// What is known of the letter of the operation.
    pub(crate) letter: Letter,
    /// Why the case was closed.
    pub(crate) closed: Option<ClosedBecause>,
    /// The last visit at which somebody saw the patient.
    pub(crate) last_seen: Option<CivilDate>,
}

/// What the register says of the letter of an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Letter {
    /// There is no register: nothing is known.
    NotKnown,
    /// It has not gone to the practice.
    NotGone,
    /// It first went on this day.
    Gone(CivilDate),
}

/// Who a case is about, only to tell whether two are about the same patient: never printed.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) struct Person(String);

/// One toe of an operation. Days are counted from surgery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ToeRow {
    /// The toe.
    pub(crate) toe: Toe,
    /// Partial or total.
    pub(crate) nail: Nail,
    /// Phenol was used.
    pub(crate) phenol: bool,
    /// Phenol on one edge, in whole seconds.
    pub(crate) phenol_seconds: Option<u32>,
    /// A tourniquet was used.
    pub(crate) has_tourniquet: bool,
    /// Minutes of tourniquet, where both times are recorded.
    pub(crate) tourniquet_minutes: Option<u32>,
    /// The day on which it was healed.
    pub(crate) healed: Option<u32>,
    /// The last day on which it was seen open.
    pub(crate) last_open: Option<u32>,
    /// The last day on which anything was recorded of it.
    pub(crate) last_seen: Option<u32>,
    /// The day on which an infection was recorded that counts as one of the operation.
    pub(crate) infection: Option<u32>,
    /// The skin around was burnt by phenol; `None` if nobody wrote whether it was.
    pub(crate) burn: Option<bool>,
    /// Nail that came back.
    pub(crate) regrowth: Option<RegrowthRow>,
    /// The last day on which somebody looked for it.
    pub(crate) regrowth_looked_for: Option<CivilDate>,
}

/// Nail that came back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct RegrowthRow {
    /// A spike or nail.
    pub(crate) kind: Regrowth,
    /// The day on which it was first seen.
    pub(crate) on: CivilDate,
    /// It hurt or was inflamed; `None` if nobody wrote.
    pub(crate) hurts: Option<bool>,
}

impl Row {
    /// The row of a case; `None` if nobody has been operated on. `letter` is what the register says.
    pub(crate) fn of(facts: &Facts, letter: Letter) -> Option<Row> {
        let operation = facts.case.operation.as_ref()?;
        let derived = &facts.derived;
        let day = |day: CivilDate| u32::try_from(operation.date.days_until(day)).ok();
        let toes = facts.operated().into_iter().map(|(toe, done)| {
            let times = derived.toes.get(&toe);
            let course = derived.course.toes.iter().find(|course| course.toe == toe);
            let phenol_seconds = times.and_then(|times| times.phenol_seconds.get());
            ToeRow {
                toe,
                nail: done.nail,
                phenol: done.phenol.is_some(),
                phenol_seconds: phenol_seconds.and_then(|seconds| u32::try_from(*seconds).ok()),
                has_tourniquet: done.tourniquet.is_some(),
                tourniquet_minutes: times
                    .and_then(|times| times.tourniquet_minutes.get())
                    .and_then(|minutes| u32::try_from(*minutes).ok()),
                healed: course.and_then(|course| course.healed).and_then(|healed| day(healed.on)),
                last_open: course.and_then(|course| course.last_open).and_then(day),
                last_seen: course.and_then(|course| course.last_seen).and_then(day),
                infection: course
                    .and_then(|course| course.infection.as_ref())
                    .filter(|infection| infection.is_of_the_operation)
                    .and_then(|infection| day(infection.on)),
                burn: course.and_then(|course| course.burn),
                regrowth: course.and_then(|course| course.regrowth).map(|regrowth| RegrowthRow {
                    kind: regrowth.kind,
                    on: regrowth.on,
                    hurts: regrowth.hurts,
                }),
                regrowth_looked_for: course.and_then(|course| course.regrowth_looked_for),
            }
        });
        let agents: Vec<&str> = derived.agents.iter().map(|agent| agent.agent.as_str()).collect();
        let patient = &facts.case.patient;
        Some(Row {
            reference: facts.case.reference.to_string(),
            person: Person(match (&patient.nhs_number, &patient.chi_number, &patient.hc_number) {
                (Some(number), ..) => number.0.clone(),
                (None, Some(number), _) => number.0.clone(),
                (None, None, Some(number)) => number.0.clone(),
                (None, None, None) => {
                    format!("{} {} {}", patient.family, patient.given, patient.born).to_lowercase()
                }
            }),
            operated: operation.date,
            age: derived.age.get().map(|age| age.years),
            operator: facts.operator().map(|operator| operator.name.clone()),
            agent: (!agents.is_empty()).then(|| agents.join(" and ")),
            toes: toes.collect(),
            dose_share: derived.anaesthetic_share.get().copied(),
            is_traceable: is_traceable(facts),
            consent_confirmed: facts.case.consent.as_ref().and_then(|consent| {
                let days = [consent.confirmed, consent.signed];
                days.iter().any(Option::is_some).then(|| days.contains(&Some(operation.date)))
            }),
            incidents: facts.case.incidents.len(),
            missed: derived.course.missed,
            letter,
            closed: facts.case.closed.as_ref().map(|closed| closed.because.clone()),
            last_seen: derived.course.last_seen,
        })
    }
}

/// Batch of every anaesthetic that was given; tray and cycle, or the lot of a single-use pack.
fn is_traceable(facts: &Facts) -> bool {
    let Some(operation) = &facts.case.operation else { return false };
    let anaesthetics: Vec<_> =
        operation.anaesthetic.iter().flat_map(|given| given.all()).map(|(_, given)| given).collect();
    let has_batches = !anaesthetics.is_empty() && anaesthetics.iter().all(|given| given.batch.is_known());
    let has_tray = operation
        .instruments
        .get()
        .is_some_and(|used| used.single_use_lot.is_some() || used.tray.is_some() && used.cycle.is_some());
    has_batches && has_tray
}
