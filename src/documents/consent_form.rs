//! The consent form: what is planned in plain and in professional words, the figures, and who
//! signs. It words nothing and judges nothing: whether consent is valid is for people and rules.

use serde::Serialize;

use super::plain::{
    self, ADULT_YEARS, Changes, NUMB_HOURS, PlainToe, YOUNG_PERSON_YEARS, called, full_name, years_on,
};
use super::view::{Feet, with_shared};
use super::{Audience, Document, Edition};
use crate::case::{ConsentBy, Matrix, Nail, Need, Toe};
use crate::clinical::healing::healing_time;
use crate::clinical::{outcome, tables};
use crate::date::CivilDate;
use crate::derive::{LookedUp, Paracetamol};
use crate::diagnostic::{Path, english};
use crate::facts::Facts;

/// The consent form.
pub(crate) static DOCUMENT: Document = Document {
    name: "consent-form",
    title: "Consent to nail surgery",
    template: "consent-form/main.typ",
    audience: Audience::Patient,
    missing,
    view,
};

fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.planned().is_empty() {
        missing.push(Path::from("plan"));
    }
    if is_under_age_without_guardian(facts) {
        missing.push(Path::from("patient.guardian"));
    }
    missing
}

/// Somebody else must sign and nobody is named.
fn is_under_age_without_guardian(facts: &Facts) -> bool {
    Variant::of(facts) == Variant::Guardian && facts.case.patient.guardian.is_none()
}

/// Who decides, and so which form this is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Variant {
    /// An adult decides.
    Adult,
    /// A young person of 16 or 17 decides.
    YoungPerson,
    /// A child under 16 who understands decides.
    Child,
    /// An adult with parental responsibility decides; the child or young person may sign too.
    Guardian,
    /// Nobody consents: the decision is made in the patient's best interests.
    BestInterests,
}

impl Variant {
    /// By who gave consent, and by the age on the day of signing.
    fn of(facts: &Facts) -> Variant {
        let by = facts.case.consent.as_ref().and_then(|consent| consent.by);
        let years = years_on(facts, signing_day(facts)).unwrap_or(ADULT_YEARS);
        match by {
            Some(ConsentBy::BestInterests) => Variant::BestInterests,
            // Nobody consents for an adult: a guardian named there is a rule's business.
            _ if years >= ADULT_YEARS => Variant::Adult,
            Some(ConsentBy::Guardian) => Variant::Guardian,
            _ if years >= YOUNG_PERSON_YEARS => Variant::YoungPerson,
            Some(ConsentBy::Patient) => Variant::Child,
            None => Variant::Guardian,
        }
    }
}

/// The day of signing, or the day of surgery while nothing is signed.
fn signing_day(facts: &Facts) -> CivilDate {
    facts.case.consent.as_ref().and_then(|consent| consent.signed).unwrap_or_else(|| facts.day())
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    is_large_print: bool,
    /// Little is different for this patient, so that each part has a page of its own.
    is_short: bool,
    /// More people sign, or more is written down: lines are closer.
    is_crowded: bool,
    /// So much is different for this patient that the letters are a little smaller.
    is_full: bool,
    is_adult: bool,
    is_young_person: bool,
    is_child: bool,
    is_guardian: bool,
    is_best_interests: bool,
    full_name: String,
    called: String,
    born: String,
    needs: Needs,
    professional: Professional,
    guardian: GuardianView,
    planned: Vec<PlainToe>,
    feet: Feet,
    has_several: bool,
    any_partial: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    agent: Text,
    /// Hours.
    numb: Span,
    /// Hours, where the agent's own range is not known.
    numb_hours: &'static str,
    healing: Span,
    figures: Figures,
    /// Paracetamol is no answer to the pain of this patient.
    avoids_paracetamol: bool,
    changes: Changes,
    allergies: Text,
    concerns: Text,
    alternatives: Text,
    leaflet: Text,
    signed: Text,
    confirmed: Text,
    capacity: Text,
    best_interests: Text,
    interpreter: Text,
}

/// A text that may not be there.
#[derive(Debug, Default, Serialize)]
struct Text {
    is_known: bool,
    text: String,
}

impl From<Option<String>> for Text {
    fn from(text: Option<String>) -> Text {
        Text { is_known: text.is_some(), text: text.unwrap_or_default() }
    }
}

#[derive(Debug, Serialize)]
struct Needs {
    any: bool,
    has_list: bool,
    list: String,
    interpreter: bool,
    language: Text,
}

#[derive(Debug, Default, Serialize)]
struct Professional {
    is_known: bool,
    name: String,
    has_role: bool,
    role: String,
    registration: String,
    /// Role and registration, for under a name.
    detail: String,
}

#[derive(Debug, Default, Serialize)]
struct GuardianView {
    is_known: bool,
    name: String,
    relationship: String,
    has_responsibility: bool,
}

/// From and to, in a unit that the template names.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
struct Span {
    is_known: bool,
    from: String,
    to: String,
}

impl Span {
    fn of(span: Option<(u32, u32)>) -> Span {
        span.map_or_else(Span::default, |(from, to)| Span {
            is_known: true,
            from: from.to_string(),
            to: to.to_string(),
        })
    }
}

/// Whole people in 100, from the table of outcomes.
#[derive(Debug, Serialize)]
struct Figures {
    success: Rate,
    regrowth: Rate,
    regrowth_no_phenol: Rate,
    infection: Rate,
    infection_over_60: Rate,
    spike: Rate,
    no_pain_relief: Rate,
}

#[derive(Debug, Serialize)]
struct Rate {
    /// `About 5 in 100 people`.
    about: String,
    /// `about 5 in 100 people`, within a sentence.
    how_often: String,
    has_range: bool,
    range: String,
}

fn professional(facts: &Facts) -> Professional {
    let taken_by = facts.case.consent.as_ref().and_then(|consent| consent.taken_by.as_ref());
    let practitioner = match taken_by {
        Some(key) => facts.clinic.practitioners.get(key),
        None => facts.operator(),
    };
    let detail = |role: &str, registration: &str| format!("{role}, {registration}");
    match (practitioner, taken_by) {
        (Some(person), _) => Professional {
            is_known: true,
            name: person.name.clone(),
            has_role: true,
            role: person.role.clone(),
            registration: person.registration.clone(),
            detail: detail(&person.role, &person.registration),
        },
        // Someone who is not in the clinic file is still named as written.
        (None, Some(name)) => Professional { is_known: true, name: name.clone(), ..Professional::default() },
        (None, None) => Professional::default(),
    }
}

fn needs(facts: &Facts) -> Needs {
    let patient = &facts.case.patient;
    let list: Vec<String> = patient.needs.iter().map(|need| need.word().to_owned()).collect();
    let interpreter = plain::needs_interpreter(facts);
    Needs {
        any: interpreter || !list.is_empty() || patient.language.is_some(),
        has_list: !list.is_empty(),
        list: english::capitalised(&list.join(", ")),
        interpreter,
        language: patient.language.clone().into(),
    }
}

fn guardian(facts: &Facts) -> GuardianView {
    facts.case.patient.guardian.as_ref().map_or_else(GuardianView::default, |guardian| GuardianView {
        is_known: true,
        name: guardian.name.clone(),
        relationship: guardian.relationship.clone(),
        has_responsibility: guardian.parental_responsibility == Some(true),
    })
}

fn allergies(facts: &Facts) -> Text {
    let entry = facts.case.history.as_ref().and_then(|history| history.allergies.as_ref());
    let words = entry.map(|entry| {
        let list: Vec<String> = facts.derived.allergies.iter().map(LookedUp::in_full).collect();
        if entry.list().is_empty() {
            "None known".to_owned()
        } else {
            english::capitalised(&english::List::and(&list).to_string())
        }
    });
    words.into()
}

fn avoids_paracetamol(facts: &Facts) -> bool {
    let analgesia = facts.derived.analgesia.get();
    analgesia.is_some_and(|analgesia| matches!(analgesia.paracetamol, Paracetamol::Avoid(_)))
}

/// The names of the anaesthetics that were used, or of the one that the clinic uses.
fn agents(facts: &Facts) -> Vec<String> {
    let used: Vec<String> = facts.derived.agents.iter().map(|dose| dose.agent.clone()).collect();
    let usual = || facts.clinic.protocol.anaesthetic.iter().map(|usual| usual.agent.clone()).collect();
    if used.is_empty() { usual() } else { used }
}

fn list_of(items: Option<&Vec<String>>) -> Text {
    items.filter(|items| !items.is_empty()).map(|items| english::List::and(items).to_string()).into()
}

/// Paragraphs of a patient's own that still leave room to sign on the third page.
const MANY_CHANGES: usize = 4;

fn compose(facts: &Facts) -> View {
    let variant = Variant::of(facts);
    let planned: Vec<PlainToe> = facts
        .planned()
        .into_iter()
        .map(|(toe, plan)| PlainToe::new(toe, plan.nail, &plan.edges, plan.matrix == Matrix::Phenol))
        .collect();
    let toes: Vec<Toe> = facts.planned().iter().map(|(toe, _)| *toe).collect();
    let drawn: Vec<_> =
        facts.planned().into_iter().map(|(toe, plan)| (toe, plan.nail, plan.edges.as_slice())).collect();
    let agents = agents(facts);
    let changes = Changes::of(facts, &toes);
    let consent = facts.case.consent.as_ref();
    let said = |pick: fn(&crate::case::Consent) -> Option<String>| -> Text { consent.and_then(pick).into() };
    View {
        is_large_print: plain::needs(facts, Need::LargePrint),
        is_short: changes.count() <= 1,
        is_crowded: matches!(variant, Variant::Guardian | Variant::BestInterests)
            || plain::needs_interpreter(facts)
            || changes.count() > MANY_CHANGES,
        is_full: changes.count() > MANY_CHANGES,
        is_adult: variant == Variant::Adult,
        is_young_person: variant == Variant::YoungPerson,
        is_child: variant == Variant::Child,
        is_guardian: variant == Variant::Guardian,
        is_best_interests: variant == Variant::BestInterests,
        full_name: full_name(facts),
        called: called(facts),
        born: facts.case.patient.born.long(),
        needs: needs(facts),
        professional: professional(facts),
        guardian: guardian(facts),
        feet: Feet::of(&drawn),
        has_several: planned.len() > 1,
        any_partial: planned.iter().any(|toe| !toe.is_whole),
        any_phenol: planned.iter().any(|toe| toe.has_phenol),
        any_without_phenol: planned.iter().any(|toe| !toe.has_phenol),
        planned,
        numb: numb(&agents),
        agent: list_of(Some(&agents)),
        numb_hours: NUMB_HOURS.number,
        healing: healing(facts),
        figures: figures(),
        avoids_paracetamol: avoids_paracetamol(facts),
        changes,
        allergies: allergies(facts),
        concerns: said(|consent| consent.concerns.clone()),
        alternatives: list_of(consent.and_then(|consent| consent.alternatives.as_ref())),
        leaflet: said(|consent| consent.leaflet.clone()),
        signed: said(|consent| consent.signed.map(CivilDate::long)),
        confirmed: said(|consent| consent.confirmed.map(CivilDate::long)),
        capacity: said(|consent| consent.capacity.clone()),
        best_interests: said(|consent| consent.best_interests.clone()),
        interpreter: said(|consent| consent.interpreter.clone()),
    }
}

/// The widest range over the planned toes.
fn healing(facts: &Facts) -> Span {
    let times = facts
        .planned()
        .into_iter()
        .map(|(_, plan)| healing_time(plan.nail == Nail::Total, plan.matrix == Matrix::Phenol));
    let (from, to) = (times.clone().map(|time| time.weeks_from).min(), times.map(|time| time.weeks_to).max());
    Span::of(from.zip(to))
}

/// Hours of numbness, in whole hours that hold the published ranges of all agents; unknown if one is.
fn numb(agents: &[String]) -> Span {
    let ranges: Option<Vec<(u32, u32)>> = agents
        .iter()
        .map(|name| {
            let numb = tables::agent(name)?.numb.as_ref()?;
            Some((numb.from_minutes / 60, numb.to_minutes.div_ceil(60)))
        })
        .collect();
    let ranges = ranges.unwrap_or_default();
    let from = ranges.iter().map(|(from, _)| *from).min();
    Span::of(from.zip(ranges.iter().map(|(_, to)| *to).max()))
}

fn figures() -> Figures {
    let rate = |key: &str| {
        let outcome = outcome(key).expect("the tests see every key in the table");
        Rate {
            about: english::capitalised(&outcome.how_often),
            how_often: outcome.how_often.clone(),
            has_range: outcome.range.is_some(),
            range: outcome.range.clone().unwrap_or_default(),
        }
    };
    Figures {
        success: rate("success-phenol"),
        regrowth: rate("regrowth-phenol"),
        regrowth_no_phenol: rate("regrowth-no-phenol"),
        infection: rate("infection"),
        infection_over_60: rate("infection-over-60"),
        spike: rate("nail-spike"),
        no_pain_relief: rate("no-pain-relief"),
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    with_shared(facts, edition, &DOCUMENT, String::new(), true, &compose(facts))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    const GUARDIAN: &str = "guardian: {name: Ellis Hollis, relationship: father}";

    fn variant(born: &str, by: &str) -> Variant {
        Variant::of(&facts_of(&format!("{{patient: {{born: {born}}}, consent: {{by: {by}}}}}")))
    }

    #[test]
    fn the_age_on_the_day_of_signing_decides_which_form_it_is() {
        // The base case was signed on 20 November 2026, four days before surgery.
        assert_eq!(variant("2008-11-21", "patient"), Variant::YoungPerson);
        assert_eq!(variant("2008-11-20", "patient"), Variant::Adult);
        assert_eq!(variant("2010-11-21", "patient"), Variant::Child);
        assert_eq!(variant("2010-11-20", "patient"), Variant::YoungPerson);
        assert_eq!(variant("2010-11-21", "guardian"), Variant::Guardian);
        assert_eq!(variant("2008-11-21", "guardian"), Variant::Guardian);
    }

    #[test]
    fn nobody_consents_for_an_adult() {
        assert_eq!(variant("1984-02-09", "guardian"), Variant::Adult);
        assert_eq!(variant("1984-02-09", "best interests"), Variant::BestInterests);
        assert_eq!(variant("2010-11-21", "best interests"), Variant::BestInterests);
    }

    #[test]
    fn before_anything_is_signed_a_child_needs_a_guardian() {
        let unsigned =
            |patient: &str| facts_of(&format!("{{patient: {{born: 2015-06-01, {patient}}}, consent: ~}}"));
        assert_eq!(Variant::of(&unsigned(GUARDIAN)), Variant::Guardian);
        assert_eq!(missing(&unsigned(GUARDIAN)), Vec::new());
        assert_eq!(missing(&unsigned("title: ~")), vec![Path::from("patient.guardian")]);
        assert_eq!(missing(&facts_of("plan: ~")), vec![Path::from("plan")]);
        assert_eq!(missing(&facts_of("operation: ~")), Vec::new());
    }

    #[test]
    fn allergies_are_listed_or_none_or_not_recorded() {
        let said = |fragment: &str| compose(&facts_of(fragment)).allergies;
        let words = |fragment: &str| serde_json::to_value(said(fragment)).expect("a view")["text"].clone();
        assert_eq!(words("history: {allergies: [{to: penicillin}, {to: latex}]}"), "Penicillin and latex");
        assert_eq!(words("history: {allergies: none known}"), "None known");
        assert_eq!(serde_json::to_value(said("history: {allergies: ~}")).expect("a view")["is_known"], false);
    }

    #[test]
    fn paracetamol_is_not_offered_to_those_who_must_avoid_it() {
        let avoids = |fragment: &str| compose(&facts_of(fragment)).avoids_paracetamol;
        assert!(avoids("history: {allergies: [{to: paracetamol}]}"));
        assert!(!avoids("history: {allergies: [{to: penicillin}]}"));
        assert!(!avoids("patient: {weight: ~}"), "to be asked about, not to be avoided");
    }

    #[test]
    fn every_figure_stands_in_the_table() {
        let figures = figures();
        assert_eq!(figures.regrowth.about, "About 5 in 100 people");
        assert_eq!(figures.regrowth.how_often, "about 5 in 100 people");
        assert!(figures.regrowth.has_range && figures.infection.has_range);
        assert_eq!(figures.infection_over_60.how_often, "about 3 times");
    }

    #[test]
    fn healing_is_the_widest_range_of_what_is_planned() {
        let span = |fragment: &str| {
            let Span { from, to, .. } = healing(&facts_of(fragment));
            format!("{from} to {to}")
        };
        assert_eq!(span("operation: ~"), "4 to 8");
        assert_eq!(span("plan: {R2: {nail: total, matrix: phenol}}"), "4 to 12");
        assert!(!healing(&facts_of("plan: ~")).is_known);
    }

    #[test]
    fn numbness_is_that_of_the_agents_in_whole_hours() {
        let hours = |names: &[&str]| {
            let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
            let Span { is_known, from, to } = numb(&names);
            is_known.then_some((from, to))
        };
        let known = |from: &str, to: &str| Some((from.to_owned(), to.to_owned()));
        assert_eq!(hours(&["mepivacaine"]), known("2", "4"));
        // 108 to 294 minutes: rounded outwards.
        assert_eq!(hours(&["lidocaine"]), known("1", "5"));
        assert_eq!(hours(&["mepivacaine", "lidocaine"]), known("1", "5"));
        assert_eq!(hours(&["mepivacaine", "moonshine"]), None);
        assert_eq!(hours(&[]), None);
    }

    #[test]
    fn the_agents_that_were_used_come_before_the_usual_one() {
        assert_eq!(agents(&facts_of("operation: {anaesthetic: {agent: lidocaine}}")), ["lidocaine"]);
        let usual = "{operation: ~, clinic: {protocol: {anaesthetic: {agent: prilocaine, strength: 4 %}}}}";
        assert_eq!(agents(&facts_of(usual)), ["prilocaine"]);
    }

    #[test]
    fn a_short_form_has_one_change_at_most() {
        let is_short = |fragment: &str| compose(&facts_of(fragment)).is_short;
        assert!(is_short("{}") && is_short("history: {smoker: true}"));
        assert!(!is_short("history: {smoker: true, diabetes: {type: 2}}"));
    }

    #[test]
    fn who_took_consent_comes_before_who_operates() {
        assert_eq!(professional(&facts_of("")).name, "Robin Quill");
        let other = professional(&facts_of("consent: {taken_by: Tamsin Ashdown}"));
        assert_eq!((other.name.as_str(), other.has_role), ("Tamsin Ashdown", false));
        let named = professional(&facts_of(
            "{consent: {taken_by: ash}, clinic: {practitioners: {ash: {name: Tamsin Ashdown, registration: HCPC CH00001, role: Podiatrist}}}}",
        ));
        assert_eq!(named.detail, "Podiatrist, HCPC CH00001");
    }

    #[test]
    fn special_requirements() {
        assert!(!needs(&facts_of("")).any);
        let polish = needs(&facts_of("patient: {needs: [interpreter], language: Polish}"));
        assert!(polish.any && polish.interpreter && polish.language.is_known);
        let present = needs(&facts_of("consent: {interpreter: A. Lisowska}"));
        assert!(present.interpreter && !present.has_list);
    }
}
