//! The letter to the practice after a visit that asks or tells it something: an infection, an antibiotic, a
//! referral, nail that has come back, a request. The request comes first: who does what, by when. It says
//! what was recorded at that visit and asks for nothing that was not typed there.

use serde::Serialize;

use super::gp_letter::{self, History, Subject};
use crate::derive::ForThePractice;
use crate::diagnostic::Path;
use crate::documents::page::{
    self, Medicines, Naming, Procedure, address_lines, allergies, full_name, procedures,
};
use crate::documents::parts::visits::VisitView;
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::capitalised;

/// The letter to the practice after a visit.
pub(crate) static DOCUMENT: Document = Document {
    name: "visit-letter",
    title: "Letter to the general practice after a visit",
    template: "visit-letter/main.typ",
    audience: Audience::Clinician,
    toes: Toes::Operated,
    tells_incidents: false,
    made: Made::OfVisit { visits, missing, view },
};

fn visits(facts: &Facts) -> Vec<usize> {
    let all = facts.case.visits.iter().enumerate();
    all.filter(|(_, visit)| ForThePractice::of(visit).any()).map(|(at, _)| at).collect()
}

fn missing(facts: &Facts, _: usize) -> Vec<Path> {
    if facts.gp().is_none() { vec![Path::from("gp")] } else { Vec::new() }
}

/// What the template may print. Every key is always there; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    to: Vec<String>,
    /// `Dr Fenwright`; empty where nobody is named.
    doctor: String,
    date: String,
    full_name: String,
    address: String,
    allergies: String,
    needs: Vec<gp_letter::NeedView>,
    /// The operation that the visit followed.
    subject: Subject,
    /// An infection, or an antibiotic: what is asked for is asked for today.
    is_infection: bool,
    /// The letter is made on the day of the visit: "today" is true.
    is_same_day: bool,
    is_regrowth: bool,
    is_referral: bool,
    visit: VisitView,
    procedures: Vec<Procedure>,
    /// Phenol was used on at least one toe.
    used_phenol: bool,
    history: History,
    medicines: Medicines,
    copies: Vec<String>,
}

fn view(facts: &Facts, at: usize, edition: &Edition) -> serde_json::Value {
    let visit = VisitView::of(facts, at, Audience::Clinician, Naming::Plain);
    let (Some(view), Some(visit)) = (visit, facts.case.visits.get(at)) else {
        return serde_json::Value::Object(serde_json::Map::new());
    };
    let gp = facts.gp();
    let concerns = ForThePractice::of(visit);
    let own = View {
        to: gp.map_or_else(Vec::new, address_lines),
        doctor: gp.map_or_else(String::new, gp_letter::doctor),
        date: edition.made_on.clinical(),
        full_name: full_name(facts),
        address: facts.case.patient.address.join(", "),
        allergies: capitalised(&allergies(facts)),
        needs: gp_letter::needs(facts),
        subject: gp_letter::subject(facts),
        is_infection: concerns.infection,
        is_same_day: edition.made_on == visit.on,
        is_regrowth: concerns.regrowth,
        is_referral: concerns.referral,
        visit: view,
        procedures: procedures(facts, Naming::Plain),
        used_phenol: facts.operated().iter().any(|(_, toe)| toe.phenol.is_some()),
        history: gp_letter::history(facts),
        medicines: Medicines::of(facts),
        copies: gp_letter::copies(facts, gp),
    };
    page::with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_letter_is_made_only_of_a_visit_that_asks_or_tells_something() {
        let is_made = |more: &str| {
            let facts = facts_of(&format!("visits: [{{on: 2026-12-01, kind: unplanned, {more}}}]"));
            !visits(&facts).is_empty()
        };
        for (more, wanted) in [
            ("toes: {L1: {wound: dry, infected: false, signs: []}}", false),
            ("toes: {L1: {redness: 20 mm, signs: [redness, heat]}}", false),
            ("gp_actions: none", false),
            ("toes: {L1: {regrowth: none}}", false),
            ("toes: {L1: {infected: true}}", true),
            ("toes: {L1: {signs: [pus]}}", true),
            ("antibiotic: {medicine: flucloxacillin, from: elsewhere}", true),
            ("referred: vascular clinic", true),
            ("gp_actions: [check HbA1c]", true),
            ("toes: {L1: {regrowth: spike}}", true),
        ] {
            assert_eq!(is_made(more), wanted, "{more}");
        }
    }

    #[test]
    fn a_letter_needs_a_practice() {
        let visit = "visits: [{on: 2026-12-01, kind: unplanned, referred: vascular clinic}]";
        assert_eq!(missing(&facts_of(visit), 0), Vec::new());
        assert_eq!(missing(&facts_of(&format!("{visit}\ngp: ~")), 0), [Path::from("gp")]);
    }
}
