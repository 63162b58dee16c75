//! The letter to the patient after something went wrong, or to the person who decides for them.
//!
//! It rests on standard 8 of the Health and Care Professions Council, which holds for every registered
//! podiatrist (`clinical::sources::incidents::HCPC_CANDOUR`): 8.1, tell what happened, what it means and
//! what was done; 8.2, apologise. Its headings follow the Scottish guidance on such letters
//! (`clinical::sources::incidents::CANDOUR_LETTER`). What the law asks of an organisation differs by nation
//! and kind of provider, so no duty in law is named. It holds the recorded facts; what is not recorded is
//! said to be not known. It admits no fault and disclaims none.

use serde::Serialize;

use crate::case::{ConsentBy, Incident, Need, PsychologicalHarm, Removed};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::FIRST_REDRESSING;
use crate::diagnostic::Path;
use crate::documents::page::{self, Person, with_shared, without_stop};
use crate::documents::parts::incidents::{self, ToldView, Watching};
use crate::documents::parts::plain::{self, PlainToe, called};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::words::{List, capitalised};
use rust_decimal::Decimal;

/// The letter to the patient after something went wrong.
pub(crate) static DOCUMENT: Document = Document {
    name: "candour-letter",
    title: "About something that went wrong in your care",
    template: "candour-letter/main.typ",
    audience: Audience::Patient,
    toes: Toes::NotShown,
    tells_incidents: true,
    made: Made::OfCase { missing, view },
};

fn missing(facts: &Facts) -> Vec<Path> {
    if facts.case.incidents.is_empty() { vec![Path::from("incidents")] } else { Vec::new() }
}

/// What the template may print. Every key is always there; a text is empty where nothing is recorded.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    is_large_print: bool,
    /// The address block.
    to: Vec<String>,
    /// `Ms Hollis`, `Helen Brightwater`.
    dear: String,
    date: String,
    born: String,
    called: String,
    /// It goes to the adult who decides; "you" is the patient all the same.
    to_an_adult: bool,
    has_carer: bool,
    /// The day of surgery; empty if there was none.
    surgery: String,
    /// The surgery was given up before anything was removed.
    nothing_removed: bool,
    has_several: bool,
    incidents: Vec<IncidentView>,
    watching: Watching,
    /// `Friday 27 November 2026`; empty if it is not known or has passed.
    next_visit: String,
    next_visit_at: String,
    contact: Person,
}

/// One incident in plain words.
#[derive(Debug, Serialize)]
struct IncidentView {
    /// What was planned and what was done instead.
    site: Site,
    /// More of a medicine than its limit.
    doses: Vec<Dose>,
    account: String,
    found_on: String,
    found_at: String,
    found_by: String,
    done: String,
    /// `none`, `low`, `moderate`, `severe`, `fatal`; empty if not recorded.
    harm: &'static str,
    psychological_harm: &'static str,
    told: ToldView,
    /// `the manager (I-12) and the insurer`.
    reported: String,
}

/// What was planned and what was done instead.
#[derive(Debug, Default, Serialize)]
struct Site {
    is_wrong: bool,
    planned: Vec<PlainToe>,
    done: Vec<PlainToe>,
    /// Not planned, and prepared for surgery before it was given up: `left big toe`.
    prepared: Vec<String>,
    /// Planned, and not operated on.
    left: Vec<PlainToe>,
    /// Phenol was used where it was not planned: the nail does not grow back.
    grows_no_more: bool,
}

/// A dose over its limit.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Dose {
    agent: String,
    given: String,
    most: String,
}

/// The rules that say that surgery was at another place than planned.
const OTHER_PLACE: [&str; 2] = ["toe-not-planned", "edge-not-planned"];
/// The rule that says that one medicine was over its limit.
const OVER_LIMIT: &str = "dose-over-limit";

/// Whom the letter is written to.
pub(super) struct Addressee {
    pub(super) name: String,
    pub(super) dear: String,
    pub(super) is_guardian: bool,
}

/// The patient; for a child, the adult with responsibility, unless the child decides.
pub(super) fn addressee(facts: &Facts) -> Addressee {
    let patient = &facts.case.patient;
    let decides_alone = facts
        .derived
        .decision_maker
        .get()
        .is_none_or(|maker| maker.decider.is_patient() || !maker.is_child());
    match &patient.guardian {
        Some(guardian) if !decides_alone => {
            Addressee { name: guardian.name.clone(), dear: guardian.name.clone(), is_guardian: true }
        }
        _ => Addressee {
            name: page::full_name(facts),
            dear: match &patient.title {
                Some(title) => format!("{title} {}", patient.family),
                None => plain::full_name(facts),
            },
            is_guardian: false,
        },
    }
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let patient = &facts.case.patient;
    let addressee = addressee(facts);
    let visits = facts.derived.next_visits.get();
    let next = visits
        .into_iter()
        .flatten()
        .find(|visit| visit.purpose == FIRST_REDRESSING && edition.made_on <= visit.date);
    let all: Vec<IncidentView> =
        facts.case.incidents.iter().map(|incident| IncidentView::of(facts, incident)).collect();
    let own = View {
        is_large_print: plain::needs(facts, Need::LargePrint),
        to: std::iter::once(&addressee.name).chain(&patient.address).cloned().collect(),
        dear: addressee.dear,
        date: edition.made_on.long(),
        born: patient.born.long(),
        called: called(facts),
        to_an_adult: addressee.is_guardian,
        has_carer: plain::needs(facts, Need::CarerPresent)
            || facts.case.consent.as_ref().and_then(|consent| consent.by) == Some(ConsentBy::BestInterests),
        nothing_removed: facts.is_given_up(),
        surgery: facts.case.operation.as_ref().map_or_else(String::new, |done| done.date.long_with_day()),
        has_several: all.len() > 1,
        incidents: all,
        watching: Watching::of(facts),
        next_visit: next.map_or_else(String::new, |visit| visit.date.long_with_day()),
        next_visit_at: next.and_then(|visit| visit.at).map_or_else(String::new, |at| at.plain()),
        contact: Person::of(facts.operator()),
    };
    with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

impl IncidentView {
    fn of(facts: &Facts, incident: &Incident) -> IncidentView {
        let found = incident.found.clone().unwrap_or_default();
        let answers = |rule: &str| incident.answered_rules().iter().any(|name| name == rule);
        IncidentView {
            site: if OTHER_PLACE.into_iter().any(answers) { site(facts) } else { Site::default() },
            doses: if answers(OVER_LIMIT) { doses(facts) } else { Vec::new() },
            account: sentence(incident.what_happened.as_deref()),
            found_on: found.on.map_or_else(String::new, CivilDate::long),
            found_at: found.at.map_or_else(String::new, TimeOfDay::plain),
            found_by: without_stop(found.by.as_deref().unwrap_or_default()).to_owned(),
            done: sentence(incident.done_at_once.as_deref()),
            harm: incident.harm.map_or("", crate::case::Harm::word),
            psychological_harm: incident.psychological_harm.map_or("", PsychologicalHarm::word),
            told: incidents::told_in_plain_words(incident),
            reported: List::and(incidents::reported(incident)).to_string(),
        }
    }
}

/// A whole sentence, as typed; empty if nothing is recorded.
fn sentence(text: Option<&str>) -> String {
    let text = text.unwrap_or_default().trim();
    match text {
        "" => String::new(),
        text if text.ends_with(['.', '!', '?']) => capitalised(text),
        text => format!("{}.", capitalised(text)),
    }
}

fn site(facts: &Facts) -> Site {
    let planned = facts.planned();
    let operated = facts.operated();
    let is_planned = |toe| planned.iter().any(|(other, _)| *other == toe);
    let plain_planned = |(toe, entry): &(crate::anatomy::Toe, &crate::case::PlannedToe)| {
        PlainToe::new(*toe, entry.nail, &entry.edges, entry.matrix == crate::anatomy::Matrix::Phenol)
    };
    Site {
        is_wrong: true,
        planned: planned.iter().map(plain_planned).collect(),
        done: operated
            .iter()
            .map(|(toe, done)| PlainToe::new(*toe, done.nail, &done.edges, done.phenol.is_some()))
            .collect(),
        prepared: facts
            .treated()
            .into_iter()
            .filter(|(toe, done)| done.nail == Removed::None && !is_planned(*toe))
            .map(|(toe, _)| toe.plain())
            .collect(),
        left: planned
            .iter()
            .filter(|(toe, _)| operated.iter().all(|(other, _)| other != toe))
            .map(plain_planned)
            .collect(),
        grows_no_more: operated.iter().any(|(toe, done)| !is_planned(*toe) && done.phenol.is_some()),
    }
}

fn doses(facts: &Facts) -> Vec<Dose> {
    let over = facts
        .derived
        .agents
        .iter()
        .filter(|agent| agent.share.get().is_some_and(|share| *share > Decimal::ONE));
    let each = over.filter_map(|agent| {
        Some(Dose {
            agent: agent.agent.clone(),
            given: agent.dose.get()?.to_string(),
            most: agent.limit.get()?.to_string(),
        })
    });
    each.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn without_an_incident_there_is_no_letter() {
        assert_eq!(missing(&facts_of("")), vec![Path::from("incidents")]);
        assert_eq!(missing(&facts_of("incidents: [{answers: []}]")), Vec::new());
    }

    #[test]
    fn it_goes_to_whoever_decides() {
        let child = "patient: {born: 2014-05-03, guardian: {name: Ruth Hollis, relationship: mother, \
                     parental_responsibility: true}}";
        let to = |fragment: &str| {
            let addressee = addressee(&facts_of(fragment));
            (addressee.name, addressee.dear, addressee.is_guardian)
        };
        assert_eq!(to(""), ("Ms Imogen Hollis".into(), "Ms Hollis".into(), false));
        assert_eq!(to("patient: {title: ~}"), ("Imogen Hollis".into(), "Imogen Hollis".into(), false));
        let guardian = format!("{{{child}, consent: {{by: guardian}}}}");
        assert_eq!(to(&guardian), ("Ruth Hollis".into(), "Ruth Hollis".into(), true));
        let own = format!("{{{child}, consent: {{by: patient}}}}");
        assert!(!to(&own).2, "a child who decides is written to");
    }

    #[test]
    fn planned_and_done_are_told_apart() {
        let facts = facts_of("plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}");
        let site = site(&facts);
        let toes = |toes: &[PlainToe]| toes.iter().map(|toe| toe.toe.clone()).collect::<Vec<_>>();
        assert_eq!(toes(&site.planned), ["right big toe"]);
        assert_eq!(toes(&site.done), ["left big toe"]);
        assert_eq!(toes(&site.left), ["right big toe"]);
        assert!(site.grows_no_more);
    }

    #[test]
    fn a_dose_is_told_only_where_it_was_over_its_limit() {
        assert!(doses(&facts_of("")).is_empty());
        let over = doses(&facts_of("operation: {toes: {L1: {injected: 10.2 ml}}}"));
        assert_eq!(over.len(), 1);
        assert_eq!((over[0].agent.as_str(), over[0].given.as_str()), ("mepivacaine", "306 mg"));
    }

    #[test]
    fn an_account_is_a_sentence_and_silence_stays_silence() {
        assert_eq!(sentence(Some("too much was given")), "Too much was given.");
        assert_eq!(sentence(Some("Too much was given. ")), "Too much was given.");
        assert_eq!(sentence(None), "");
        assert_eq!(sentence(Some(" ")), "");
    }
}
