//! The course of care after surgery: how far it has come, which visit is due, and what became of each
//! toe. It is what was recorded: a toe is healed where somebody wrote that it is, and never because
//! time has passed or a case was closed.

use super::{Given, PlannedVisit, Value};
use crate::anatomy::Toe;
use crate::case::{BookedKind, InfectionSign, Regrowth, SeenToe, Visit, VisitKind};
use crate::clinical::thresholds::Threshold;
use crate::date::{CivilDate, TimeOfDay};

/// How far a case has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Seen and planned.
    Assessed,
    /// The consent form is recorded as signed.
    Consented,
    /// Begun and given up: nothing was removed.
    GivenUp,
    /// Operated on; nobody has seen the toe since.
    Operated,
    /// Seen since, and not every toe is recorded as healed.
    Healing,
    /// Every toe that was operated on is recorded as healed.
    Healed,
    /// The course of care is over.
    Closed,
}

impl Stage {
    /// Every one, in order.
    pub const ALL: [Stage; 7] = [
        Stage::Assessed,
        Stage::Consented,
        Stage::GivenUp,
        Stage::Operated,
        Stage::Healing,
        Stage::Healed,
        Stage::Closed,
    ];

    /// `assessed`, `consented` …
    pub fn word(self) -> &'static str {
        match self {
            Stage::Assessed => "assessed",
            Stage::Consented => "consented",
            Stage::GivenUp => "given up",
            Stage::Operated => "operated",
            Stage::Healing => "healing",
            Stage::Healed => "healed",
            Stage::Closed => "closed",
        }
    }
}

/// The course of care of one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// How far it has come.
    pub stage: Stage,
    /// The next visit; `None` if none is booked and none follows from the clinic's protocol, or none is
    /// needed.
    pub next: Option<Due>,
    /// The last visit at which somebody of the clinic saw the patient.
    pub last_seen: Option<CivilDate>,
    /// How many booked visits the patient did not come to.
    pub missed: usize,
    /// How many visits are recorded, calls and missed ones among them.
    pub visits: usize,
    /// The day of surgery.
    pub operated_on: Option<CivilDate>,
    /// The day on which the case was closed.
    pub closed_on: Option<CivilDate>,
    /// Each toe that was operated on, right first.
    pub toes: Vec<ToeCourse>,
}

impl Course {
    /// The day on which the last toe was healed; `None` while one is not, or nobody wrote it.
    pub fn healed_on(&self) -> Option<CivilDate> {
        let days: Option<Vec<CivilDate>> =
            self.toes.iter().map(|toe| toe.healed.map(|healed| healed.on)).collect();
        days.and_then(|days| days.into_iter().max())
    }
}

/// A visit that is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// What it is for: `first redressing`, `redressing`, `review`, `telephone call`.
    pub purpose: String,
    /// The day.
    pub on: CivilDate,
    /// The time, if it is booked.
    pub at: Option<TimeOfDay>,
    /// It stands in the case file, rather than being worked out from the clinic's protocol.
    pub is_booked: bool,
    /// Its day has passed.
    pub is_overdue: bool,
}

/// What became of one toe.
#[derive(Debug, Clone, PartialEq)]
pub struct ToeCourse {
    /// The toe.
    pub toe: Toe,
    /// The day on which it was healed.
    pub healed: Option<HealedOn>,
    /// Days from surgery to that day.
    pub days_to_healing: Option<i64>,
    /// The last day on which it was seen and not healed.
    pub last_open: Option<CivilDate>,
    /// The last day on which anything was recorded of it.
    pub last_seen: Option<CivilDate>,
    /// The first time that it was infected.
    pub infection: Option<Infection>,
    /// Nail that came back, the worst that was seen.
    pub regrowth: Option<RegrowthSeen>,
    /// Somebody looked for regrowth, whatever they found, last on this day.
    pub regrowth_looked_for: Option<CivilDate>,
    /// The skin around was burnt by phenol.
    pub burn: bool,
}

/// When a toe was healed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HealedOn {
    /// The day.
    pub on: CivilDate,
    /// The patient said so; the clinic saw it later or not at all.
    pub is_reported: bool,
}

/// An infection after surgery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Infection {
    /// The day of the visit at which it was recorded.
    pub on: CivilDate,
    /// Days since surgery.
    pub days_after: i64,
    /// What it is known by.
    pub by: Vec<InfectionBy>,
    /// It lies within the days in which an infection is counted as one of the operation.
    pub is_of_the_operation: bool,
}

impl InfectionBy {
    /// `antibiotic`, `pus`, `two signs and judgement`, `judgement`.
    pub fn word(self) -> &'static str {
        match self {
            InfectionBy::Antibiotic => "antibiotic",
            InfectionBy::Pus => "pus",
            InfectionBy::TwoSigns => "two signs and judgement",
            InfectionBy::Judgement => "judgement",
        }
    }
}

/// What an infection is known by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum InfectionBy {
    /// An antibiotic was started or asked for.
    Antibiotic,
    /// Pus was seen.
    Pus,
    /// Two or more signs, in the judgement of whoever saw them an infection.
    TwoSigns,
    /// Judged an infection; fewer than two signs are recorded.
    Judgement,
}

/// Nail that came back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RegrowthSeen {
    /// A spike or nail.
    pub kind: Regrowth,
    /// The first day on which it was seen.
    pub on: CivilDate,
    /// Whole months since surgery.
    pub months: u32,
    /// It hurts or has been inflamed; `None` if nobody wrote.
    pub hurts: Option<bool>,
}

/// The visits with their positions in the case file, in the order of their days.
fn in_order(given: Given<'_>) -> Vec<(usize, &Visit)> {
    let mut visits: Vec<(usize, &Visit)> = given.case.visits.iter().enumerate().collect();
    visits.sort_by_key(|(at, visit)| (visit.on, visit.at, *at));
    visits
}

pub(super) fn course_of(given: Given<'_>, planned: &Value<Vec<PlannedVisit>>) -> Course {
    let visits = in_order(given);
    let toes = toes(given, &visits);
    let stage = stage(given, &visits, &toes);
    let last_seen = visits.iter().rev().find(|(_, visit)| visit.kind.is_seen()).map(|(_, visit)| visit.on);
    let missed = visits.iter().filter(|(_, visit)| visit.kind == VisitKind::Missed).count();
    let needs_none = matches!(stage, Stage::Assessed | Stage::Consented | Stage::Closed);
    let next = if needs_none { None } else { next(given, &visits, planned, stage) };
    Course {
        stage,
        next,
        last_seen,
        missed,
        visits: visits.len(),
        operated_on: given.case.operation.as_ref().map(|operation| operation.date),
        closed_on: given.case.closed.as_ref().map(|closed| closed.on),
        toes,
    }
}

fn stage(given: Given<'_>, visits: &[(usize, &Visit)], toes: &[ToeCourse]) -> Stage {
    let case = given.case;
    if case.closed.is_some() {
        return Stage::Closed;
    }
    let Some(operation) = &case.operation else {
        let is_signed = case.consent.as_ref().is_some_and(|consent| consent.signed.is_some());
        return if is_signed { Stage::Consented } else { Stage::Assessed };
    };
    if operation.is_given_up() {
        return Stage::GivenUp;
    }
    if !toes.is_empty() && toes.iter().all(|toe| toe.healed.is_some()) {
        return Stage::Healed;
    }
    if visits.iter().any(|(_, visit)| visit.kind.is_seen()) { Stage::Healing } else { Stage::Operated }
}

/// The visit that is due: the one that the last visit booked; else the next of the clinic's protocol
/// that lies after the last visit.
fn next(
    given: Given<'_>,
    visits: &[(usize, &Visit)],
    planned: &Value<Vec<PlannedVisit>>,
    stage: Stage,
) -> Option<Due> {
    let due = |purpose: String, on: CivilDate, at, is_booked| Due {
        purpose,
        on,
        at,
        is_booked,
        is_overdue: on < given.today,
    };
    let last = visits.last().map(|(_, visit)| *visit);
    if let Some(next) = last.and_then(|last| last.next.as_ref()) {
        let is_first =
            next.kind == BookedKind::Redressing && visits.iter().all(|(_, one)| !one.kind.is_seen());
        let purpose = if is_first { super::FIRST_REDRESSING } else { next.kind.word() };
        return Some(due(purpose.to_owned(), next.on, next.at, true));
    }
    // Nobody who is healed is owed a visit that nobody booked; one who did not come has to be asked again.
    if stage == Stage::Healed {
        return None;
    }
    let after = last.map(|last| last.on);
    let mut planned = planned.get().into_iter().flatten();
    planned
        .find(|visit| after.is_none_or(|after| visit.date > after))
        .map(|visit| due(visit.purpose.clone(), visit.date, visit.at, visit.is_booked))
}

fn toes(given: Given<'_>, visits: &[(usize, &Visit)]) -> Vec<ToeCourse> {
    let Some(operation) = &given.case.operation else { return Vec::new() };
    operation.operated().map(|(toe, _)| toe_course(toe, operation.date, visits)).collect()
}

fn toe_course(toe: Toe, surgery: CivilDate, visits: &[(usize, &Visit)]) -> ToeCourse {
    let mut course = ToeCourse {
        toe,
        healed: None,
        days_to_healing: None,
        last_open: None,
        last_seen: None,
        infection: None,
        regrowth: None,
        regrowth_looked_for: None,
        burn: false,
    };
    for (_, visit) in visits {
        let Some(seen) = visit.toes.as_ref().and_then(|toes| toes.get(toe)) else { continue };
        course.last_seen = Some(visit.on);
        course.burn |= seen.burn == Some(true);
        healing(&mut course, visit, seen);
        if course.infection.is_none() {
            course.infection = infection(surgery, visit, seen);
        }
        if seen.regrowth.is_some() {
            course.regrowth_looked_for = Some(visit.on);
        }
        if let Some(kind) = seen.regrowth.filter(|kind| *kind != Regrowth::None) {
            let before = course.regrowth;
            let is_worse = kind == Regrowth::Nail || before.is_some_and(|one| one.kind == Regrowth::Nail);
            let on = before.map_or(visit.on, |one| one.on);
            course.regrowth = Some(RegrowthSeen {
                kind: if is_worse { Regrowth::Nail } else { kind },
                on,
                months: months_between(surgery, on),
                hurts: match (before.and_then(|one| one.hurts), seen.regrowth_hurts) {
                    (Some(true), _) | (_, Some(true)) => Some(true),
                    (before, now) => now.or(before),
                },
            });
        }
    }
    course.days_to_healing = course.healed.map(|healed| surgery.days_until(healed.on));
    course
}

/// A toe that is seen open again after it was healed is not healed.
fn healing(course: &mut ToeCourse, visit: &Visit, seen: &SeenToe) {
    match seen.healed {
        Some(true) if course.healed.is_none() => {
            let on = seen.healed_on.filter(|on| *on <= visit.on).unwrap_or(visit.on);
            let is_reported = seen.healed_on.is_some_and(|on| on < visit.on) || !visit.kind.is_seen();
            course.healed = Some(HealedOn { on, is_reported });
        }
        Some(false) => {
            course.healed = None;
            course.last_open = Some(visit.on);
        }
        Some(true) | None => {}
    }
}

fn infection(surgery: CivilDate, visit: &Visit, seen: &SeenToe) -> Option<Infection> {
    let by = infection_by(visit, seen);
    if by.is_empty() {
        return None;
    }
    let days_after = surgery.days_until(visit.on);
    let is_of_the_operation = days_after <= i64::from(Threshold::InfectionOfTheOperation.whole());
    Some(Infection { on: visit.on, days_after, by, is_of_the_operation })
}

/// What an infection of this toe is known by at this visit; empty if none is.
pub fn infection_by(visit: &Visit, seen: &SeenToe) -> Vec<InfectionBy> {
    let signs = seen.signs.as_deref().unwrap_or_default();
    let is_judged = seen.infected == Some(true);
    let is_denied = seen.infected == Some(false);
    let others = signs
        .iter()
        .filter(|sign| {
            matches!(
                sign,
                InfectionSign::Pain | InfectionSign::Swelling | InfectionSign::Redness | InfectionSign::Heat
            )
        })
        .count();
    let mut by = Vec::new();
    // An antibiotic of the visit is one for this toe unless the toe is said not to be infected.
    if visit.antibiotic.is_some() && !is_denied {
        by.push(InfectionBy::Antibiotic);
    }
    if signs.contains(&InfectionSign::Pus) {
        by.push(InfectionBy::Pus);
    }
    if is_judged && others >= 2 {
        by.push(InfectionBy::TwoSigns);
    } else if is_judged && by.is_empty() {
        by.push(InfectionBy::Judgement);
    }
    by
}

/// Why a visit is something for the general practice.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is one reason of its own")]
pub struct ForThePractice {
    /// A toe is infected, or an antibiotic was started or asked for.
    pub infection: bool,
    /// The practice is asked for an antibiotic.
    pub antibiotic: bool,
    /// Nail has come back.
    pub regrowth: bool,
    /// The patient was referred.
    pub referral: bool,
    /// Something was typed that the practice is asked to do.
    pub actions: bool,
}

impl ForThePractice {
    /// What this visit asks or tells the practice.
    pub fn of(visit: &Visit) -> ForThePractice {
        let toes = || visit.toes.iter().flat_map(|toes| toes.iter());
        let is_asked =
            |antibiotic: &crate::case::Antibiotic| antibiotic.from == crate::case::AntibioticFrom::Gp;
        ForThePractice {
            infection: visit.antibiotic.is_some()
                || toes().any(|(_, seen)| !infection_by(visit, seen).is_empty()),
            antibiotic: visit.antibiotic.as_ref().is_some_and(is_asked),
            regrowth: toes().any(|(_, seen)| seen.regrowth.is_some_and(|kind| kind != Regrowth::None)),
            referral: visit.referred.is_some(),
            actions: visit.gp_actions.as_ref().is_some_and(|actions| !actions.list().is_empty()),
        }
    }

    /// At least one of them.
    pub fn any(self) -> bool {
        self.infection || self.regrowth || self.referral || self.actions
    }
}

/// Whole calendar months from one day to another.
fn months_between(from: CivilDate, to: CivilDate) -> u32 {
    crate::date::Age::on(from, to).map_or(0, |age| age.years * 12 + age.months)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    /// Surgery in the base case: L1, 24 November 2026.
    fn course(fragment: &str) -> Course {
        facts_of(fragment).derived.course
    }

    fn visits(visits: &str) -> Course {
        course(&format!("visits: [{visits}]"))
    }

    #[test]
    fn a_case_comes_from_assessment_to_its_end() {
        assert_eq!(course("{operation: ~, consent: ~}").stage, Stage::Assessed);
        assert_eq!(course("operation: ~").stage, Stage::Consented);
        assert_eq!(course("operation: {abandoned: {because: fainted}, toes: ~}").stage, Stage::GivenUp);
        assert_eq!(course("").stage, Stage::Operated);
        assert_eq!(visits("{on: 2026-11-27, kind: missed}").stage, Stage::Operated);
        assert_eq!(visits("{on: 2026-11-27, kind: redressing}").stage, Stage::Healing);
        let healed = "{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}";
        assert_eq!(visits(healed).stage, Stage::Healed);
        assert_eq!(course("closed: {on: 2027-01-05, because: lost}").stage, Stage::Closed);
    }

    #[test]
    fn an_operation_that_was_given_up_leaves_no_toe_to_heal_and_no_visit_but_a_booked_one() {
        let given_up =
            "operation: {abandoned: {because: fainted}, toes: {L1: {nail: none, edges: ~, phenol: ~}}}";
        let without = course(&format!("{{{given_up}}}"));
        assert_eq!((without.stage, without.toes.len(), without.next), (Stage::GivenUp, 0, None));
        let call = "visits: [{on: 2026-11-25, kind: telephone, next: {kind: review, on: 2026-12-01}}]";
        let booked = course(&format!("{{{given_up}, {call}}}")).next.expect("booked");
        assert_eq!((booked.purpose.as_str(), booked.on.to_string().as_str()), ("review", "2026-12-01"));
    }

    #[test]
    fn closing_heals_nothing() {
        let course = course("closed: {on: 2027-01-05, because: healed}");
        assert_eq!(course.toes[0].healed, None);
    }

    #[test]
    fn the_next_visit_is_the_one_that_was_booked_last() {
        let first = course("").next.expect("the protocol has one");
        assert_eq!((first.purpose.as_str(), first.is_booked), ("first redressing", false));
        let booked =
            visits("{on: 2026-11-27, kind: redressing, next: {kind: review, on: 2027-01-05, at: '09:00'}}");
        let due = booked.next.expect("booked");
        assert_eq!((due.purpose.as_str(), due.on.to_string().as_str()), ("review", "2027-01-05"));
        assert!(due.is_booked && !due.is_overdue, "today is 25 November 2026");
        // Nothing booked: what the protocol still has after that visit.
        let review = visits("{on: 2026-11-27, kind: redressing}").next;
        assert!(review.is_none_or(|due| due.purpose == "review"));
        assert_eq!(visits("{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}").next, None);
        let overdue = course("follow_up: {first_redressing: 2026-11-24}").next.expect("booked");
        assert!(overdue.is_overdue);
    }

    #[test]
    fn a_toe_is_healed_when_it_is_written_and_until_it_is_seen_open() {
        let healed =
            |text: &str| visits(text).toes[0].healed.map(|one| (one.on.to_string(), one.is_reported));
        let day = |day: &str, reported| Some((day.to_owned(), reported));
        assert_eq!(
            healed("{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}"),
            day("2027-01-05", false)
        );
        assert_eq!(
            healed("{on: 2027-01-05, kind: review, toes: {L1: {healed: true, healed_on: 2026-12-28}}}"),
            day("2026-12-28", true)
        );
        assert_eq!(
            healed("{on: 2027-01-05, kind: telephone, toes: {L1: {healed: true}}}"),
            day("2027-01-05", true)
        );
        let again = "{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}},
                     {on: 2027-02-01, kind: unplanned, toes: {L1: {healed: false}}}";
        assert_eq!(healed(again), None);
        let course = visits("{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}");
        assert_eq!(course.toes[0].days_to_healing, Some(42));
    }

    /// Criteria as in `InfectionBy`; the days are the row of the thresholds.
    #[test]
    fn an_infection_is_one_by_antibiotic_pus_signs_or_judgement() {
        let by = |toe: &str, more: &str| {
            let text = format!("{{on: 2026-12-01, kind: unplanned, toes: {{L1: {{{toe}}}}}{more}}}");
            visits(&text).toes[0].infection.clone().map(|infection| infection.by)
        };
        use InfectionBy::{Antibiotic, Judgement, Pus, TwoSigns};
        assert_eq!(by("redness: 20 mm", ""), None, "phenol alone makes redness");
        assert_eq!(by("signs: [redness, heat]", ""), None, "nobody judged it an infection");
        assert_eq!(by("infected: true, signs: [redness, heat]", ""), Some(vec![TwoSigns]));
        assert_eq!(by("infected: true, signs: [redness]", ""), Some(vec![Judgement]));
        assert_eq!(by("signs: [pus]", ""), Some(vec![Pus]));
        let flucloxacillin = ", antibiotic: {medicine: flucloxacillin, from: gp}";
        assert_eq!(by("wound: weeping", flucloxacillin), Some(vec![Antibiotic]));
        assert_eq!(by("infected: false", flucloxacillin), None);
    }

    #[test]
    fn an_infection_counts_as_one_of_the_operation_up_to_thirty_days() {
        let on = |day: &str| {
            let text = format!("{{on: {day}, kind: unplanned, toes: {{L1: {{signs: [pus]}}}}}}");
            visits(&text).toes[0].infection.clone().expect("an infection")
        };
        let (last, late) = (on("2026-12-24"), on("2026-12-25"));
        assert_eq!((last.days_after, last.is_of_the_operation), (30, true));
        assert_eq!((late.days_after, late.is_of_the_operation), (31, false));
    }

    #[test]
    fn regrowth_is_the_worst_that_was_seen_since_the_day_it_began() {
        let text = "{on: 2027-05-24, kind: review, toes: {L1: {regrowth: none}}},
                    {on: 2027-08-24, kind: unplanned, toes: {L1: {regrowth: spike, regrowth_hurts: true}}},
                    {on: 2027-09-24, kind: review, toes: {L1: {regrowth: nail}}}";
        let toe = visits(text).toes.remove(0);
        let seen = toe.regrowth.expect("seen");
        assert_eq!((seen.kind, seen.months, seen.hurts), (Regrowth::Nail, 9, Some(true)));
        assert_eq!(seen.on.to_string(), "2027-08-24");
        assert_eq!(toe.regrowth_looked_for.map(|day| day.to_string()).as_deref(), Some("2027-09-24"));
        assert_eq!(
            visits("{on: 2027-05-24, kind: review, toes: {L1: {regrowth: none}}}").toes[0].regrowth,
            None
        );
    }
}
