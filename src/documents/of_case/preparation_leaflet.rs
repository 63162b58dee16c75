//! The leaflet before surgery: when and where, what to eat and take, whom and what to bring, how to go home,
//! and what to tell the clinic before. It speaks to the patient; every word stands in the template, and here
//! only what is true of this patient and what the clinic file says.

use serde::Serialize;

use crate::anatomy::{Matrix, Toe};
use crate::case::Sex;
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::derive::{Decider, LookedUp};
use crate::diagnostic::Path;
use crate::documents::page::{Feet, with_shared};
use crate::documents::parts::home_care::HomeCare;
use crate::documents::parts::plain::{Changes, PlainToe};
use crate::documents::parts::reader::Reader;
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::nation::Division;
use crate::words::List;

/// The leaflet before surgery.
pub(crate) static DOCUMENT: Document = Document {
    name: "preparation-leaflet",
    title: "Getting ready for your nail surgery",
    template: "preparation-leaflet/main.typ",
    audience: Audience::Patient,
    toes: Toes::Planned,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

/// A plan, and no operation yet: nobody gets ready for what has been done, or for what was given up.
fn missing(facts: &Facts) -> Vec<Path> {
    let is_over = facts.case.operation.is_some() || facts.case.closed.is_some();
    if facts.planned().is_empty() || is_over { vec![Path::from("plan")] } else { Vec::new() }
}

/// What the template may print. Every key is always there; a text is empty where nothing is known.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    reader: Reader,
    /// More is said than usual: the letters are a little smaller, to keep to one page.
    is_full: bool,
    /// So much is said that the lines stand closer still.
    is_very_full: bool,
    appointment: Appointment,
    planned: Vec<PlainToe>,
    feet: Feet,
    has_several: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    care: HomeCare,
    changes: Changes,
    medicines: Medicines,
    comes: Comes,
    /// Pregnancy is asked about; it is not of a patient who is recorded as male.
    may_be_pregnant: bool,
    no_other_anaesthetic_hours: String,
}

/// When it is.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Appointment {
    /// `Tuesday 8 December 2026`; empty if it is not booked.
    on: String,
    /// `9:30am`; empty if it is not known.
    at: String,
}

/// What is taken, as far as the leaflet has a word on it. Names without doses.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Medicines {
    are_asked: bool,
    /// Some are taken.
    any: bool,
    /// Anticoagulants and antiplatelets, which go on unless the patient was told otherwise.
    go_on: String,
    /// An INR is measured.
    has_inr: bool,
    /// `salbutamol`: inhalers to bring.
    inhalers: String,
    /// `glyceryl trinitrate`: medicine for angina to bring.
    angina: String,
}

/// Who must be there so that consent can be given; one of them holds, or none is known.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one form of the sentence")]
struct Comes {
    /// An adult, or a young person, who decides alone.
    signs_alone: bool,
    is_young_person: bool,
    /// A child under 16 who understands and decides.
    is_child_who_decides: bool,
    /// Somebody with parental responsibility must sign.
    is_parent: bool,
    /// In Scotland the law speaks of rights as well.
    is_in_scotland: bool,
    /// `Helen Brightwater (mother)`, where this person is recorded to have it.
    parent: String,
    /// An attorney, a deputy or a welfare guardian.
    has_authority: bool,
    is_attorney: bool,
    is_deputy: bool,
    /// Their name.
    authority: String,
    /// Nobody consents for the patient: a best-interests decision or a certificate.
    is_decided_for: bool,
}

fn names<'a>(all: impl Iterator<Item = &'a LookedUp>) -> String {
    List::and(all.map(|one| one.name.map_or_else(|| one.written.clone(), str::to_owned))).to_string()
}

fn medicines(facts: &Facts) -> Medicines {
    let taken = &facts.derived.medicines;
    let risk = &facts.derived.bleeding_risk;
    let of = |classes: &[Class]| names(taken.iter().filter(|one| classes.iter().any(|class| one.is(*class))));
    let go_on = risk.anticoagulants.iter().chain(&risk.antiplatelets).map(|reason| &reason.name);
    Medicines {
        are_asked: facts.case.history.as_ref().is_some_and(|history| history.medicines.is_some()),
        any: !taken.is_empty(),
        go_on: List::and(go_on).to_string(),
        has_inr: !risk.vitamin_k_antagonists.is_empty(),
        inhalers: of(&[Class::Inhaler]),
        angina: of(&[Class::Nitrate, Class::AntiAnginal]),
    }
}

fn comes(facts: &Facts) -> Comes {
    let is_in_scotland = facts.clinic.division == Division::Scotland;
    let Some(maker) = facts.derived.decision_maker.get() else { return Comes::default() };
    let guardian = facts.case.patient.guardian.as_ref();
    let may_sign = guardian.filter(|guardian| guardian.parental_responsibility == Some(true));
    let authority = facts.case.consent.as_ref().and_then(|consent| consent.authority.as_ref());
    let decider = maker.decider;
    Comes {
        signs_alone: matches!(decider, Decider::Adult | Decider::YoungPerson),
        is_young_person: decider == Decider::YoungPerson,
        is_child_who_decides: decider == Decider::Child,
        is_parent: decider == Decider::Parent,
        is_in_scotland,
        parent: may_sign
            .map_or_else(String::new, |guardian| format!("{} ({})", guardian.name, guardian.relationship)),
        has_authority: decider.has_authority(),
        is_attorney: decider == Decider::Attorney,
        is_deputy: decider == Decider::Deputy,
        authority: authority.map_or_else(String::new, |authority| authority.name.clone()),
        is_decided_for: matches!(decider, Decider::BestInterests | Decider::Certificate),
    }
}

/// Passages beyond the usual ones that fit on one page in lines that are not too close.
const MANY_EXTRAS: usize = 1;

fn compose(facts: &Facts, made_on: CivilDate) -> View {
    let planned = facts.planned();
    let toes: Vec<PlainToe> = planned
        .iter()
        .map(|(toe, entry)| PlainToe::new(*toe, entry.nail, &entry.edges, entry.matrix == Matrix::Phenol))
        .collect();
    let drawn: Vec<_> =
        planned.iter().map(|(toe, entry)| (*toe, entry.nail, entry.edges.as_slice())).collect();
    let which: Vec<Toe> = planned.iter().map(|(toe, _)| *toe).collect();
    // Nobody is asked to come on a day that has passed.
    let booked = facts.case.booked.as_ref().filter(|booked| made_on <= booked.on);
    let reader = Reader::on(facts, facts.day());
    let medicines = medicines(facts);
    let changes = Changes::of(facts, &which);
    let extras = [
        toes.len() > 1,
        toes.len() > 2,
        !medicines.are_asked,
        !medicines.go_on.is_empty(),
        !medicines.inhalers.is_empty(),
        !medicines.angina.is_empty(),
        changes.diabetes,
        booked.is_none(),
        !reader.language.is_empty(),
        reader.is_under_16 || reader.has_carer,
        // Who decides for the patient takes a longer sentence, and a box for the person who helps.
        comes(facts).is_decided_for,
        comes(facts).has_authority,
    ];
    let extras = extras.into_iter().filter(|holds| *holds).count();
    View {
        is_full: changes.pregnant || extras > 0,
        is_very_full: extras > MANY_EXTRAS,
        appointment: booked.map_or_else(Appointment::default, |booked| Appointment {
            on: booked.on.long_with_day(),
            at: booked.at.map_or_else(String::new, |at| at.plain()),
        }),
        feet: Feet::of(&drawn),
        has_several: toes.len() > 1,
        any_phenol: toes.iter().any(|toe| toe.has_phenol),
        any_without_phenol: toes.iter().any(|toe| !toe.has_phenol),
        planned: toes,
        care: HomeCare::of(facts),
        changes,
        medicines,
        comes: comes(facts),
        may_be_pregnant: facts.case.patient.sex != Some(Sex::Male) && !facts.derived.pregnancy.holds(),
        no_other_anaesthetic_hours: Threshold::AnotherAnaestheticAfter.whole().to_string(),
        reader,
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), true, &compose(facts, edition.made_on))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(fragment: &str) -> View {
        let facts = facts_of(&format!("{{operation: ~, {fragment}}}"));
        compose(&facts, facts.today)
    }

    #[test]
    fn it_is_made_of_a_plan_until_there_was_an_operation() {
        assert_eq!(missing(&facts_of("operation: ~")), Vec::new());
        assert_eq!(missing(&facts_of("")), [Path::from("plan")]);
        assert_eq!(missing(&facts_of("{operation: ~, plan: ~}")), [Path::from("plan")]);
        let given_up = "{operation: ~, closed: {on: 2026-11-25, because: not operated}}";
        assert_eq!(missing(&facts_of(given_up)), [Path::from("plan")]);
    }

    #[test]
    fn a_day_is_said_only_where_it_is_booked() {
        assert_eq!(of("gp: ~").appointment, Appointment::default());
        let booked = of("booked: {on: 2026-12-08, at: \"09:30\"}").appointment;
        assert_eq!((booked.on.as_str(), booked.at.as_str()), ("Tuesday 8 December 2026", "9:30am"));
        assert!(of("booked: {on: 2026-12-08}").appointment.at.is_empty());
    }

    /// Today of the examples is 25 November 2026.
    #[test]
    fn nobody_is_asked_to_come_on_a_day_that_has_passed() {
        assert_eq!(of("booked: {on: 2026-11-24, at: \"09:30\"}").appointment, Appointment::default());
        assert_eq!(of("booked: {on: 2026-11-25}").appointment.on, "Wednesday 25 November 2026");
    }

    #[test]
    fn a_child_of_fifteen_is_sixteen_on_the_day_of_surgery() {
        let signs_alone = |on: &str| {
            of(&format!("patient: {{born: 2010-12-08}}, consent: ~, booked: {{on: {on}}}")).comes.signs_alone
        };
        assert!(!signs_alone("2026-12-07") && signs_alone("2026-12-08"));
    }

    #[test]
    fn who_may_sign_is_named_only_with_responsibility() {
        let comes = |guardian: &str| {
            of(&format!("patient: {{born: 2014-05-03, guardian: {{name: Ruth Hollis, relationship: mother{guardian}}}}}, consent: {{by: guardian}}")).comes
        };
        let with = comes(", parental_responsibility: true");
        assert!(with.is_parent && with.parent == "Ruth Hollis (mother)");
        assert_eq!(comes("").parent, "", "nobody asked");
        assert_eq!(comes(", parental_responsibility: false").parent, "");
    }

    #[test]
    fn medicines_are_named_without_their_doses() {
        let taken = of("history: {medicines: [Apixaban 5 mg bd, warfarin, Ventolin, gtn spray]}").medicines;
        assert_eq!(taken.go_on, "apixaban and warfarin");
        assert!(taken.has_inr && taken.any && taken.are_asked);
        assert_eq!((taken.inhalers.as_str(), taken.angina.as_str()), ("salbutamol", "glyceryl trinitrate"));
        assert!(!of("history: {medicines: ~}").medicines.are_asked);
    }
}
