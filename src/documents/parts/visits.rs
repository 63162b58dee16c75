//! A visit as it was recorded, for the pages that tell of it. Each answer is one of yes, no and not
//! recorded; nothing is worked out but how many days have passed.

use serde::Serialize;

use crate::anatomy::Toe;
use crate::case::{
    AntibioticFrom, BookedKind, GpActions, Measured, NextVisit, Regrowth, SeenToe, Visit, VisitKind,
};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::infection_by;
use crate::documents::Audience;
use crate::documents::page::{Naming, Person, day_for, measured, person_called, without_stop};
use crate::facts::Facts;
use crate::words::{List, capitalised};

/// A question that was answered, or not.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Answered {
    pub(in crate::documents) is_yes: bool,
    pub(in crate::documents) is_no: bool,
}

impl Answered {
    fn of(answer: Option<bool>) -> Answered {
        Answered { is_yes: answer == Some(true), is_no: answer == Some(false) }
    }
}

/// One visit. A text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one kind of visit")]
pub(in crate::documents) struct VisitView {
    pub(in crate::documents) on: String,
    pub(in crate::documents) at: String,
    pub(in crate::documents) by: Person,
    pub(in crate::documents) is_redressing: bool,
    pub(in crate::documents) is_review: bool,
    pub(in crate::documents) is_unplanned: bool,
    pub(in crate::documents) is_telephone: bool,
    pub(in crate::documents) is_missed: bool,
    /// Somebody of the clinic looked at the toe.
    pub(in crate::documents) is_seen: bool,
    /// Whole days since surgery; empty if there was none.
    pub(in crate::documents) days_after: String,
    /// The same is one day.
    pub(in crate::documents) is_a_day_after: bool,
    /// Those that were operated on, and any other that was looked at.
    pub(in crate::documents) toes: Vec<SeenView>,
    /// Anything was recorded of at least one of them.
    pub(in crate::documents) toes_are_recorded: bool,
    pub(in crate::documents) unwell: Answered,
    pub(in crate::documents) swab: SwabView,
    pub(in crate::documents) antibiotic: AntibioticView,
    pub(in crate::documents) dressing: String,
    pub(in crate::documents) taught: String,
    pub(in crate::documents) told: String,
    pub(in crate::documents) referred: String,
    pub(in crate::documents) actions: TypedActions,
    pub(in crate::documents) note: String,
    pub(in crate::documents) next: NextView,
}

/// What was seen of one toe.
#[derive(Debug, Default, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one answer")]
pub(in crate::documents) struct SeenView {
    /// `left hallux (L1)`; `left big toe (hallux)`.
    pub(in crate::documents) toe: String,
    /// `lateral edge`; empty of a toe that was not operated on.
    pub(in crate::documents) part: String,
    /// Anything at all was recorded.
    pub(in crate::documents) is_recorded: bool,
    pub(in crate::documents) wound: String,
    /// `20 mm`; `not recorded`; `not recorded: ruler lost`.
    pub(in crate::documents) redness: String,
    pub(in crate::documents) has_redness: bool,
    pub(in crate::documents) drawn_round: Answered,
    pub(in crate::documents) pain: String,
    pub(in crate::documents) has_pain: bool,
    /// `pus, heat`; empty if there were none or nobody looked.
    pub(in crate::documents) signs: String,
    /// They were looked for and there were none.
    pub(in crate::documents) has_no_signs: bool,
    pub(in crate::documents) infected: Answered,
    /// Infected, by what was recorded.
    pub(in crate::documents) is_infected: bool,
    pub(in crate::documents) burn: Answered,
    pub(in crate::documents) healed: Answered,
    /// The day as the patient reports it.
    pub(in crate::documents) healed_on: String,
    pub(in crate::documents) no_regrowth: bool,
    pub(in crate::documents) has_spike: bool,
    pub(in crate::documents) has_nail: bool,
    pub(in crate::documents) regrowth_hurts: Answered,
    pub(in crate::documents) note: String,
}

/// A swab that was sent.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct SwabView {
    pub(in crate::documents) is_sent: bool,
    pub(in crate::documents) lab: String,
    pub(in crate::documents) acts: String,
    pub(in crate::documents) result: String,
}

/// An antibiotic.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct AntibioticView {
    /// Empty if none is recorded.
    pub(in crate::documents) medicine: String,
    pub(in crate::documents) dose: String,
    pub(in crate::documents) is_asked_of_practice: bool,
    pub(in crate::documents) is_ours: bool,
    pub(in crate::documents) is_from_elsewhere: bool,
}

/// What the practice is asked to do, as typed.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct TypedActions {
    pub(in crate::documents) typed: Vec<String>,
    pub(in crate::documents) none_is_typed: bool,
}

/// The next visit, as booked at this one.
#[derive(Debug, Default, Serialize)]
pub(in crate::documents) struct NextView {
    pub(in crate::documents) is_booked: bool,
    pub(in crate::documents) is_redressing: bool,
    pub(in crate::documents) is_review: bool,
    pub(in crate::documents) is_telephone: bool,
    pub(in crate::documents) on: String,
    pub(in crate::documents) at: String,
}

/// A time as this reader is used to it.
fn time_for(audience: Audience, time: Option<TimeOfDay>) -> String {
    time.map_or_else(String::new, |time| match audience {
        Audience::Clinician => time.clinical(),
        Audience::Patient => time.plain(),
    })
}

/// As typed, without a last full stop; empty if nothing is.
fn typed(text: Option<&String>) -> String {
    text.map_or_else(String::new, |text| without_stop(text).to_owned())
}

impl NextView {
    pub(in crate::documents) fn of(next: Option<&NextVisit>, audience: Audience) -> NextView {
        let Some(next) = next else { return NextView::default() };
        NextView {
            is_booked: true,
            is_redressing: next.kind == BookedKind::Redressing,
            is_review: next.kind == BookedKind::Review,
            is_telephone: next.kind == BookedKind::Telephone,
            on: match audience {
                Audience::Clinician => next.on.clinical(),
                Audience::Patient => next.on.long_with_day(),
            },
            at: time_for(audience, next.at),
        }
    }
}

impl VisitView {
    /// The visit at a position of the case file, with its toes named for colleagues or in plain words.
    pub(in crate::documents) fn of(
        facts: &Facts,
        at: usize,
        audience: Audience,
        naming: Naming,
    ) -> Option<VisitView> {
        let visit = facts.case.visits.get(at)?;
        let surgery = facts.case.operation.as_ref().map(|operation| operation.date);
        let days = surgery.map(|surgery| surgery.days_until(visit.on)).filter(|days| 0 <= *days);
        let toes = toes(facts, visit, naming);
        let swab = visit.swab.as_ref();
        let antibiotic = visit.antibiotic.as_ref();
        let is_from = |from: AntibioticFrom| antibiotic.is_some_and(|antibiotic| antibiotic.from == from);
        Some(VisitView {
            on: day_for(audience, visit.on),
            at: time_for(audience, visit.at),
            by: person_called(facts, visit.by.as_deref()),
            is_redressing: visit.kind == VisitKind::Redressing,
            is_review: visit.kind == VisitKind::Review,
            is_unplanned: visit.kind == VisitKind::Unplanned,
            is_telephone: visit.kind == VisitKind::Telephone,
            is_missed: visit.kind == VisitKind::Missed,
            is_seen: visit.kind.is_seen(),
            days_after: days.map_or_else(String::new, |days| days.to_string()),
            is_a_day_after: days == Some(1),
            toes_are_recorded: toes.iter().any(|toe| toe.is_recorded),
            toes,
            unwell: Answered::of(visit.unwell),
            swab: SwabView {
                is_sent: swab.is_some(),
                lab: typed(swab.and_then(|swab| swab.lab.as_ref())),
                acts: capitalised(&typed(swab.and_then(|swab| swab.acts.as_ref()))),
                result: typed(swab.and_then(|swab| swab.result.as_ref())),
            },
            antibiotic: AntibioticView {
                medicine: typed(antibiotic.map(|antibiotic| &antibiotic.medicine)),
                dose: typed(antibiotic.and_then(|antibiotic| antibiotic.dose.as_ref())),
                is_asked_of_practice: is_from(AntibioticFrom::Gp),
                is_ours: is_from(AntibioticFrom::Clinic),
                is_from_elsewhere: is_from(AntibioticFrom::Elsewhere),
            },
            dressing: capitalised(&typed(visit.dressing.as_ref())),
            taught: capitalised(&typed(visit.taught.as_ref())),
            told: capitalised(&typed(visit.told.as_ref())),
            referred: capitalised(&typed(visit.referred.as_ref())),
            actions: TypedActions {
                typed: visit
                    .gp_actions
                    .as_ref()
                    .map_or(&[][..], GpActions::list)
                    .iter()
                    .map(|action| capitalised(without_stop(action)))
                    .collect(),
                none_is_typed: matches!(visit.gp_actions, Some(GpActions::None(_))),
            },
            note: capitalised(&typed(visit.note.as_ref())),
            next: NextView::of(visit.next.as_ref(), audience),
        })
    }
}

/// The toes that were operated on, each with what was seen of it; then any other that was looked at.
fn toes(facts: &Facts, visit: &Visit, naming: Naming) -> Vec<SeenView> {
    let operated = facts.operated();
    let seen = |toe: Toe| visit.toes.as_ref().and_then(|toes| toes.get(toe));
    let mut all: Vec<SeenView> = operated
        .iter()
        .map(|(toe, done)| {
            let part = naming.part(done.nail, &done.edges);
            SeenView::of(visit, *toe, part, seen(*toe), naming)
        })
        .collect();
    let others = visit.toes.iter().flat_map(|toes| toes.iter());
    let others = others.filter(|(toe, _)| operated.iter().all(|(other, _)| other != toe));
    all.extend(others.map(|(toe, found)| SeenView::of(visit, toe, String::new(), Some(found), naming)));
    all
}

impl SeenView {
    fn of(visit: &Visit, toe: Toe, part: String, seen: Option<&SeenToe>, naming: Naming) -> SeenView {
        let named = SeenView { toe: naming.toe(toe), part, ..SeenView::default() };
        let Some(seen) = seen else {
            let nothing: Measured<String> = Measured::Missing;
            let silence = || measured(&nothing, Clone::clone);
            return SeenView { redness: silence(), pain: silence(), ..named };
        };
        SeenView {
            is_recorded: *seen != SeenToe::default(),
            wound: typed(seen.wound.as_ref()),
            redness: measured(&seen.redness, ToString::to_string),
            has_redness: seen.redness.value().is_some(),
            drawn_round: Answered::of(seen.drawn_round),
            pain: measured(&seen.pain, ToString::to_string),
            has_pain: seen.pain.value().is_some(),
            signs: List::and(seen.signs.iter().flatten().map(|sign| sign.word())).to_string(),
            has_no_signs: seen.signs.as_ref().is_some_and(Vec::is_empty),
            infected: Answered::of(seen.infected),
            is_infected: !infection_by(visit, seen).is_empty(),
            burn: Answered::of(seen.burn),
            healed: Answered::of(seen.healed),
            healed_on: seen.healed_on.map_or_else(String::new, CivilDate::clinical),
            no_regrowth: seen.regrowth == Some(Regrowth::None),
            has_spike: seen.regrowth == Some(Regrowth::Spike),
            has_nail: seen.regrowth == Some(Regrowth::Nail),
            regrowth_hurts: Answered::of(seen.regrowth_hurts),
            note: typed(seen.note.as_ref()),
            ..named
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(visit: &str) -> VisitView {
        let facts = facts_of(&format!("visits: [{visit}]"));
        VisitView::of(&facts, 0, Audience::Clinician, Naming::Codes).expect("there is one")
    }

    #[test]
    fn silence_is_neither_yes_nor_no() {
        let visit = of("{on: 2026-11-27, kind: redressing, toes: {L1: {wound: dry}}}");
        let toe = &visit.toes[0];
        for answer in [toe.infected, toe.burn, toe.healed, toe.drawn_round, toe.regrowth_hurts, visit.unwell]
        {
            assert_eq!(answer, Answered::default());
        }
        assert_eq!((toe.redness.as_str(), toe.pain.as_str()), ("not recorded", "not recorded"));
        assert!(!toe.has_no_signs && toe.signs.is_empty() && toe.is_recorded);
        assert!(!visit.by.is_known && !visit.next.is_booked && !visit.swab.is_sent);
    }

    #[test]
    fn every_toe_that_was_operated_on_is_there_and_any_other_that_was_seen() {
        let visit = of("{on: 2026-11-27, kind: review, toes: {R2: {healed: true}}}");
        let toes: Vec<_> =
            visit.toes.iter().map(|toe| (toe.toe.as_str(), toe.part.as_str(), toe.is_recorded)).collect();
        assert_eq!(toes, [("left hallux (L1)", "lateral edge", false), ("right second toe (R2)", "", true)]);
        assert!(of("{on: 2026-11-27, kind: missed}").toes.iter().all(|toe| !toe.is_recorded));
    }

    #[test]
    fn who_saw_the_patient_is_a_key_or_a_name() {
        let by = |by: &str| of(&format!("{{on: 2026-11-27, kind: review, by: {by}}}")).by.name;
        assert_eq!(by("quill"), "Robin Quill");
        assert_eq!(by("T. Ashdown"), "T. Ashdown");
    }

    #[test]
    fn days_are_counted_from_surgery() {
        let days = |on: &str| {
            let visit = of(&format!("{{on: {on}, kind: review}}"));
            (visit.days_after, visit.is_a_day_after)
        };
        assert_eq!(days("2026-11-24"), ("0".into(), false));
        assert_eq!(days("2026-11-25"), ("1".into(), true));
        assert_eq!(days("2026-11-27"), ("3".into(), false));
    }
}
