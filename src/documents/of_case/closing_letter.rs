//! The letter at the end of the course of care, to the patient and in copy to the practice: what became of each
//! toe, what may still happen, and when to come back. It says what was seen or reported and nothing that was
//! not: closing a case heals no toe.

use serde::Serialize;

use super::candour_letter::addressee;
use super::gp_letter;
use crate::case::{ClosedBecause, LetterToGp};
use crate::date::CivilDate;
use crate::derive::ToeCourse;
use crate::diagnostic::Path;
use crate::documents::page::{Feet, Person, person_called, with_shared, without_stop};
use crate::documents::parts::given_up::GivenUp;
use crate::documents::parts::home_care::HomeCare;
use crate::documents::parts::plain::{CloseUp, PlainToe};
use crate::documents::parts::reader::Reader;
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::capitalised;

/// The letter at the end of the course of care.
pub(crate) static DOCUMENT: Document = Document {
    name: "closing-letter",
    title: "The end of your nail surgery care",
    template: "closing-letter/main.typ",
    audience: Audience::Patient,
    toes: Toes::Operated,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

/// The end of the course of care; and not by death: nobody is written to who has died, and what is said to a
/// family is no page that a program makes.
fn missing(facts: &Facts) -> Vec<Path> {
    match &facts.case.closed {
        None => vec![Path::from("closed")],
        Some(closed) if closed.because == ClosedBecause::Died => vec![Path::from("closed.because")],
        Some(_) => Vec::new(),
    }
}

/// What the template may print. Every key is always there; a text is empty where nothing is known.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    reader: Reader,
    to: Vec<String>,
    dear: String,
    /// It goes to the adult who decides; "you" is the patient all the same.
    to_an_adult: bool,
    date: String,
    /// `24 November 2026`; empty if there was no operation.
    surgery: String,
    given_up: GivenUp,
    closed: Closed,
    toes: Vec<Outcome>,
    /// For easy read.
    close_ups: Vec<CloseUp>,
    has_several: bool,
    all_healed: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    care: HomeCare,
    copies: Vec<String>,
    by: Person,
}

/// Why it ended; one of them holds.
#[derive(Debug, Default, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one reason")]
struct Closed {
    on: String,
    is_healed: bool,
    has_moved_away: bool,
    is_lost: bool,
    is_own_wish: bool,
    is_not_operated: bool,
    /// `LFC-0312`; empty where no case follows.
    new_case: String,
    note: String,
}

/// What became of one toe.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct Outcome {
    toe: PlainToe,
    /// `28 December 2026`; empty if it is not recorded as healed.
    healed: String,
    /// The patient said so, and nobody of the clinic saw it on that day.
    is_reported: bool,
    days: String,
    /// The last day on which it was seen and was not healed; empty if that was never.
    last_open: String,
    /// The last day on which anything was recorded of it; empty if nothing was.
    last_seen: String,
    /// The day on which an infection was recorded.
    infection: String,
    burn: bool,
    /// The first day on which nail that has come back was seen.
    regrowth: String,
    is_spike: bool,
    regrowth_hurts: bool,
    /// The last day on which it was looked for and none was there.
    no_regrowth: String,
}

impl Outcome {
    fn of(toe: PlainToe, course: Option<&ToeCourse>) -> Outcome {
        let day = |day: Option<CivilDate>| day.map_or_else(String::new, CivilDate::long);
        let healed = course.and_then(|course| course.healed);
        let regrowth = course.and_then(|course| course.regrowth);
        Outcome {
            toe,
            healed: day(healed.map(|healed| healed.on)),
            is_reported: healed.is_some_and(|healed| healed.is_reported),
            days: course
                .and_then(|course| course.days_to_healing)
                .map_or_else(String::new, |days| days.to_string()),
            last_open: day(course.and_then(|course| course.last_open)),
            last_seen: day(course.and_then(|course| course.last_seen)),
            infection: day(course.and_then(|course| course.infection.as_ref()).map(|infection| infection.on)),
            burn: course.is_some_and(|course| course.burn == Some(true)),
            regrowth: day(regrowth.map(|regrowth| regrowth.on)),
            is_spike: regrowth.is_some_and(|regrowth| regrowth.kind == crate::case::Regrowth::Spike),
            regrowth_hurts: regrowth.is_some_and(|regrowth| regrowth.hurts == Some(true)),
            no_regrowth: day(course
                .filter(|_| regrowth.is_none())
                .and_then(|course| course.regrowth_looked_for)),
        }
    }
}

fn compose(facts: &Facts, edition: &Edition) -> View {
    let closed = facts.case.closed.as_ref();
    let because = closed.map(|closed| &closed.because);
    let is = |reason: &ClosedBecause| because == Some(reason);
    let course = &facts.derived.course;
    let toes: Vec<Outcome> = facts
        .operated()
        .into_iter()
        .map(|(toe, done)| {
            let plain = PlainToe::new(toe, done.nail, &done.edges, done.phenol.is_some());
            Outcome::of(plain, course.toes.iter().find(|course| course.toe == toe))
        })
        .collect();
    let drawn: Vec<_> =
        facts.operated().into_iter().map(|(toe, done)| (toe, done.nail, done.edges())).collect();
    let plain: Vec<PlainToe> = toes.iter().map(|one| one.toe.clone()).collect();
    let addressee = addressee(facts);
    let objects =
        facts.case.consent.as_ref().and_then(|consent| consent.letter_to_gp) == Some(LetterToGp::Objects);
    let gp = facts.gp().filter(|_| !objects);
    View {
        reader: Reader::on(facts, closed.map_or(facts.day(), |closed| closed.on)),
        to: std::iter::once(&addressee.name).chain(&facts.case.patient.address).cloned().collect(),
        dear: addressee.dear,
        to_an_adult: addressee.is_guardian,
        date: edition.made_on.long(),
        surgery: facts.case.operation.as_ref().map_or_else(String::new, |done| done.date.long()),
        given_up: GivenUp::plain(facts),
        close_ups: CloseUp::of(&plain, &Feet::of(&drawn)),
        closed: Closed {
            on: closed.map_or_else(String::new, |closed| closed.on.long()),
            is_healed: is(&ClosedBecause::Healed),
            has_moved_away: is(&ClosedBecause::MovedAway),
            is_lost: is(&ClosedBecause::Lost),
            is_own_wish: is(&ClosedBecause::OwnWish),
            is_not_operated: is(&ClosedBecause::NotOperated),
            new_case: match because {
                Some(ClosedBecause::NewCase(reference)) => reference.to_string(),
                _ => String::new(),
            },
            note: closed
                .and_then(|closed| closed.note.as_ref())
                .map_or_else(String::new, |note| capitalised(without_stop(note))),
        },
        has_several: toes.len() > 1,
        all_healed: !toes.is_empty() && toes.iter().all(|toe| !toe.healed.is_empty()),
        any_phenol: toes.iter().any(|toe| toe.toe.has_phenol),
        any_without_phenol: toes.iter().any(|toe| !toe.toe.has_phenol),
        toes,
        care: HomeCare::of(facts),
        copies: gp_letter::copies(facts, gp),
        by: person_called(facts, closed.and_then(|closed| closed.by.as_deref())),
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), false, &compose(facts, edition))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(fragment: &str) -> View {
        let facts = facts_of(fragment);
        let edition = Edition::first(facts.today);
        compose(&facts, &edition)
    }

    #[test]
    fn a_letter_is_made_at_the_end_and_not_after_a_death() {
        assert_eq!(missing(&facts_of("")), [Path::from("closed")]);
        let closed =
            |because: &str| missing(&facts_of(&format!("closed: {{on: 2027-01-05, because: {because}}}")));
        assert_eq!(closed("died"), [Path::from("closed.because")]);
        for because in ["healed", "lost", "moved away", "own wish", "not operated", "new case LFC-0312"] {
            assert_eq!(closed(because), [], "{because}");
        }
    }

    #[test]
    fn closing_says_nothing_of_a_toe_that_was_not_seen() {
        let view = of("closed: {on: 2027-01-05, because: healed}");
        let toe = &view.toes[0];
        assert!(toe.healed.is_empty() && toe.last_seen.is_empty() && toe.no_regrowth.is_empty());
        assert!(!view.all_healed);
    }

    #[test]
    fn who_objects_to_a_letter_has_no_copy_sent() {
        let copies = |told: &str| {
            of(&format!("{{consent: {{letter_to_gp: {told}}}, closed: {{on: 2027-01-05, because: lost}}}}"))
                .copies
        };
        assert!(copies("told").iter().any(|copy| copy.contains("Birchgate")));
        assert!(!copies("objects").iter().any(|copy| copy.contains("Birchgate")));
    }

    #[test]
    fn what_became_of_a_toe_is_what_was_recorded() {
        let view = of("{visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {infected: true, healed: false}}},
            {on: 2027-01-05, kind: review, toes: {L1: {healed: true, healed_on: 2026-12-28, regrowth: none}}}],
            closed: {on: 2027-01-05, because: healed}}");
        let toe = &view.toes[0];
        assert_eq!((toe.healed.as_str(), toe.days.as_str()), ("28 December 2026", "34"));
        assert!(toe.is_reported && view.all_healed);
        assert_eq!(toe.infection, "1 December 2026");
        assert_eq!((toe.no_regrowth.as_str(), toe.regrowth.as_str()), ("5 January 2027", ""));
    }
}
