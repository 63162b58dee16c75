//! Rules on the visits after surgery and the end of the course of care. An ordinary course, from the first
//! redressing to the healed toe, raises none of them but as a note.

mod antibiotic_allergy;
mod antibiotic_allergy_given;
mod antibiotic_interaction;
mod antibiotic_unknown;
mod case_refers_to_itself;
mod closed_against_record;
mod closed_toe_open;
mod closed_with_visit_booked;
mod healed_not_seen;
mod healing_contradicted;
mod infection_without_plan;
mod missed_visit_not_followed;
mod missed_visit_with_findings;
mod redness_in_diabetes;
mod redness_not_measured;
mod regrowth_painful_without_plan;
mod swab_without_owner;
mod visit_after_closing;
mod visit_by_unknown;
mod visit_overdue;
mod visit_toe_not_operated;
mod visit_without_operation;
mod visits_out_of_order;

use super::words::allergy_against;
use super::{Holds, Rule};
use crate::anatomy::Toe;
use crate::case::{Antibiotic, SeenToe, Visit};
use crate::derive::LookedUp;
use crate::facts::Facts;

/// What a visit that cannot be true makes untrue.
const SEEN: Holds = Holds::Only(&["visit-note", "visit-letter", "closing-letter"]);
/// What something left open at a visit makes unsafe.
const VISIT: Holds = Holds::Only(&["visit-note", "visit-letter"]);
/// What a fault in the closing makes untrue.
const CLOSING: Holds = Holds::Only(&["closing-letter"]);

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &visit_without_operation::RULE,
    &visit_toe_not_operated::RULE,
    &missed_visit_with_findings::RULE,
    &healing_contradicted::RULE,
    &healed_not_seen::RULE,
    &visits_out_of_order::RULE,
    &visit_by_unknown::RULE,
    &infection_without_plan::RULE,
    &redness_not_measured::RULE,
    &redness_in_diabetes::RULE,
    &antibiotic_allergy::RULE,
    &antibiotic_allergy_given::RULE,
    &antibiotic_interaction::RULE,
    &antibiotic_unknown::RULE,
    &swab_without_owner::RULE,
    &missed_visit_not_followed::RULE,
    &visit_overdue::RULE,
    &regrowth_painful_without_plan::RULE,
    &closed_toe_open::RULE,
    &closed_against_record::RULE,
    &visit_after_closing::RULE,
    &closed_with_visit_booked::RULE,
    &case_refers_to_itself::RULE,
];

/// Each toe of each visit, with the position of the visit.
fn seen_toes(facts: &Facts) -> impl Iterator<Item = (usize, &Visit, Toe, &SeenToe)> {
    let visits = facts.case.visits.iter().enumerate();
    visits.flat_map(|(at, visit)| {
        let toes = visit.toes.iter().flat_map(|toes| toes.iter());
        toes.map(move |(toe, seen)| (at, visit, toe, seen))
    })
}

/// Each antibiotic of a visit that an allergy speaks against: the visit, the antibiotic, the allergy.
fn against_allergy(facts: &Facts) -> impl Iterator<Item = (usize, &Antibiotic, usize)> {
    let antibiotics = facts.case.visits.iter().enumerate();
    let antibiotics = antibiotics.filter_map(|(at, visit)| Some((at, visit.antibiotic.as_ref()?)));
    antibiotics.filter_map(|(at, antibiotic)| {
        let allergy = allergy_against(facts, &LookedUp::medicine(&antibiotic.medicine))?;
        Some((at, antibiotic, allergy))
    })
}
