//! Changing the dressing at home: warning signs and telephone first, then what to use, how, how often and
//! until when. What clinics do differently comes from the clinic file; where it is silent the page says to ask
//! or leaves it out. What was put on and taught stands as it was recorded at the last redressing.

use serde::Serialize;

use crate::anatomy::Toe;
use crate::case::{Visit, VisitKind};
use crate::clinical::thresholds::Threshold;
use crate::derive::Stage;
use crate::diagnostic::Path;
use crate::documents::page::{Feet, with_shared, without_stop};
use crate::documents::parts::home_care::HomeCare;
use crate::documents::parts::plain::{Changes, PlainToe};
use crate::documents::parts::reader::Reader;
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::List;

/// The leaflet on dressings at home.
pub(crate) static DOCUMENT: Document = Document {
    name: "dressing-leaflet",
    title: "Your dressings at home",
    template: "dressing-leaflet/main.typ",
    audience: Audience::Patient,
    toes: Toes::Operated,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

/// The redressing after which the patient goes home: the last one that is recorded.
fn last_redressing(facts: &Facts) -> Option<&Visit> {
    let redressings = facts.case.visits.iter().filter(|visit| visit.kind == VisitKind::Redressing);
    redressings.max_by_key(|visit| (visit.on, visit.at))
}

/// A redressing, and a toe that still needs dressings.
fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.operated().is_empty() {
        missing.push(Path::from("operation"));
    }
    let is_over = matches!(facts.derived.course.stage, Stage::Healed | Stage::Closed);
    if last_redressing(facts).is_none() || is_over {
        missing.push(Path::from("visits"));
    }
    missing
}

/// What the template may print. Every key is always there; a text is empty where nothing is known.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    reader: Reader,
    /// Two lists of signs leave no room for larger letters on one page.
    is_full: bool,
    /// So much is said that the lines stand closer still.
    is_very_full: bool,
    operated: Vec<PlainToe>,
    feet: Feet,
    has_several: bool,
    any_phenol: bool,
    care: HomeCare,
    changes: Changes,
    /// `Friday 27 November 2026`.
    redressed: String,
    /// What was put on at that visit; else the clinic's own dressing. Empty if neither is known.
    dressing: String,
    /// What was taught at that visit, as typed.
    taught: String,
    next: Next,
    weeping_weeks: String,
    healing: Healing,
}

/// The next visit.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Next {
    /// `Tuesday 5 January 2027`; empty if none is known or its day has passed.
    on: String,
    at: String,
    is_booked: bool,
    is_telephone: bool,
}

/// When the toes may be expected to be healed.
#[derive(Debug, Default, Serialize)]
struct Healing {
    is_known: bool,
    weeks_from: String,
    weeks_to: String,
}

fn next(facts: &Facts, edition: &Edition) -> Next {
    let next = facts.derived.course.next.as_ref().filter(|due| edition.made_on <= due.on);
    next.map_or_else(Next::default, |due| Next {
        on: due.on.long_with_day(),
        at: due.at.map_or_else(String::new, |at| at.plain()),
        is_booked: due.is_booked,
        is_telephone: due.purpose == crate::case::BookedKind::Telephone.word(),
    })
}

/// Passages beyond the usual ones that fit on one page in lines that are not too close.
const MANY_EXTRAS: usize = 1;

fn compose(facts: &Facts, edition: &Edition) -> View {
    let toes = facts.operated();
    let operated: Vec<PlainToe> = toes
        .iter()
        .map(|(toe, done)| PlainToe::new(*toe, done.nail, &done.edges, done.phenol.is_some()))
        .collect();
    let drawn: Vec<_> = toes.iter().map(|(toe, done)| (*toe, done.nail, done.edges.as_slice())).collect();
    let which: Vec<Toe> = toes.iter().map(|(toe, _)| *toe).collect();
    let visit = last_redressing(facts);
    let reader = Reader::on(facts, visit.map_or(facts.day(), |visit| visit.on));
    let changes = Changes::of(facts, &which);
    let extras = [
        operated.len() > 2,
        changes.diabetes,
        changes.weak_immunity,
        changes.poor_circulation,
        changes.reduced_feeling,
        changes.blood_thinner || changes.bleeds_easily,
        changes.smoker,
        reader.is_under_16 || reader.has_carer,
        !reader.language.is_empty(),
    ];
    let typed = |text: Option<&String>| text.map_or_else(String::new, |text| without_stop(text).to_owned());
    let put_on = typed(visit.and_then(|visit| visit.dressing.as_ref()));
    let extras = extras.into_iter().filter(|holds| *holds).count();
    View {
        is_full: true,
        is_very_full: extras > MANY_EXTRAS,
        feet: Feet::of(&drawn),
        has_several: operated.len() > 1,
        any_phenol: operated.iter().any(|toe| toe.has_phenol),
        operated,
        care: HomeCare::of(facts),
        changes,
        redressed: visit.map_or_else(String::new, |visit| visit.on.long_with_day()),
        dressing: if put_on.is_empty() {
            List::and(&facts.clinic.protocol.dressing).to_string()
        } else {
            put_on
        },
        taught: typed(visit.and_then(|visit| visit.taught.as_ref())),
        next: next(facts, edition),
        weeping_weeks: Threshold::WeepsFor.whole().to_string(),
        healing: facts.derived.expected_healing.get().map_or_else(Healing::default, |healing| Healing {
            is_known: true,
            weeks_from: healing.weeks_from.to_string(),
            weeks_to: healing.weeks_to.to_string(),
        }),
        reader,
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), true, &compose(facts, edition))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn edition(facts: &Facts) -> Edition {
        Edition::first(facts.today)
    }

    fn of(fragment: &str) -> View {
        let facts = facts_of(fragment);
        compose(&facts, &edition(&facts))
    }

    #[test]
    fn it_is_made_from_the_first_redressing_until_the_toe_is_healed() {
        let is_made = |fragment: &str| missing(&facts_of(fragment)).is_empty();
        assert!(!is_made(""));
        assert!(!is_made("visits: [{on: 2026-11-27, kind: review}]"));
        assert!(is_made("visits: [{on: 2026-11-27, kind: redressing}]"));
        assert!(!is_made(
            "visits: [{on: 2026-11-27, kind: redressing}, {on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}]"
        ));
        assert!(!is_made(
            "{visits: [{on: 2026-11-27, kind: redressing}], closed: {on: 2027-01-05, because: moved away}}"
        ));
    }

    #[test]
    fn what_was_put_on_comes_before_what_the_clinic_uses() {
        let dressing =
            |more: &str| of(&format!("visits: [{{on: 2026-11-27, kind: redressing{more}}}]")).dressing;
        assert_eq!(dressing(""), "alginate, sterile gauze and tubular bandage");
        assert_eq!(dressing(", dressing: Foam and tape."), "Foam and tape");
    }

    #[test]
    fn a_visit_that_has_passed_is_not_the_next_one() {
        let next = |on: &str| {
            of(&format!(
                "visits: [{{on: 2026-11-25, kind: redressing, next: {{kind: review, on: {on}, at: '09:00'}}}}]"
            ))
            .next
        };
        assert_eq!(next("2026-11-24"), Next::default());
        let booked = next("2027-01-05");
        assert_eq!((booked.on.as_str(), booked.at.as_str()), ("Tuesday 5 January 2027", "9am"));
        assert!(booked.is_booked);
    }

    #[test]
    fn where_the_clinic_is_silent_nothing_is_claimed() {
        let care =
            of("{visits: [{on: 2026-11-27, kind: redressing}], clinic: {protocol: {aftercare: ~}}}").care;
        assert_eq!(care, HomeCare::default());
    }
}
