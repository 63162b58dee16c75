//! The consent form: what is planned in plain and in professional words, the figures, and who
//! signs. It words nothing and judges nothing: whether consent is valid is for people and rules.
//!
//! It reads the plan, the protocol and the consent, never the operation: a form that is made after
//! surgery says, word for word, what the patient read before it.

use serde::Serialize;

use crate::anatomy::{Matrix, Toe};
use crate::case::{Consent, Interpreted, Need};
use crate::clinical::tables::{self, folded};
use crate::clinical::{Outcome, outcome};
use crate::date::CivilDate;
use crate::derive::{Decider, DecisionMaker, LookedUp, Paracetamol};
use crate::diagnostic::Path;
use crate::documents::page::{Feet, risks_discussed, with_shared, without_stop};
use crate::documents::parts::earlier::Earlier;
use crate::documents::parts::numb::NumbView;
use crate::documents::parts::plain::{self, Changes, PlainToe, called, full_name};
use crate::documents::{Audience, Document, Edition, Made, Toes};
use crate::facts::Facts;
use crate::nation::Division;
use crate::words;

/// The consent form.
pub(crate) static DOCUMENT: Document = Document {
    name: "consent-form",
    title: "Consent to nail surgery",
    template: "consent-form/main.typ",
    audience: Audience::Patient,
    toes: Toes::Planned,
    tells_incidents: false,
    made: Made::OfCase { missing, view },
};

fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.planned().is_empty() {
        missing.push(Path::from("plan"));
    }
    match facts.derived.decision_maker.get() {
        // Who decides depends on the age.
        None => missing.push(Path::from("patient.born")),
        Some(maker) if maker.decider == Decider::Parent && facts.case.patient.guardian.is_none() => {
            missing.push(Path::from("patient.guardian"));
        }
        Some(maker) if maker.decider.has_authority() && authority(facts).is_none() => {
            missing.push(Path::from("consent.authority"));
        }
        Some(_) => {}
    }
    missing
}

fn authority(facts: &Facts) -> Option<&crate::case::Authority> {
    facts.case.consent.as_ref()?.authority.as_ref()
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one passage that stands or does not")]
struct View {
    is_large_print: bool,
    /// More people sign, or more is written down: lines are closer.
    is_crowded: bool,
    /// So much is different for this patient that the letters are a little smaller.
    is_full: bool,
    #[serde(flatten)]
    who: Who,
    #[serde(flatten)]
    nation: Nation,
    full_name: String,
    called: String,
    born: String,
    needs: Needs,
    professional: Professional,
    guardian: GuardianView,
    authority: AuthorityView,
    certificate: CertificateView,
    planned: Vec<PlainToe>,
    earlier: Earlier,
    feet: Feet,
    has_several: bool,
    any_partial: bool,
    any_phenol: bool,
    any_without_phenol: bool,
    agent: Text,
    /// Its product text does not name a block of a toe.
    agent_is_off_label: bool,
    numb: NumbView,
    healing: Span,
    figures: Figures,
    /// Paracetamol is no answer to the pain of this patient.
    avoids_paracetamol: bool,
    changes: Changes,
    allergies: Text,
    concerns: Text,
    alternatives: Vec<Alternative>,
    /// The risks that were discussed beside those on the form, in one line.
    risks_discussed: Text,
    leaflet: Text,
    /// What the patient was told that it costs.
    fee: Text,
    /// The day on which the record says that the form was signed.
    signed: Text,
    capacity: Text,
    /// `Dr A. Vane, doctor`, who judged it.
    capacity_by: Text,
    best_interests: Text,
    benefit: Text,
    consulted: Vec<ConsultedView>,
    interpreter: Interpreter,
}

/// Who decides, and so which form this is: one of them holds, `is_authority` beside its three.
#[derive(Debug, Default, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one form")]
struct Who {
    is_adult: bool,
    is_young_person: bool,
    is_child: bool,
    is_guardian: bool,
    /// A guardian decides for a young person of 16 or 17 who cannot.
    is_guardian_of_young_person: bool,
    is_authority: bool,
    is_attorney: bool,
    is_deputy: bool,
    is_welfare_guardian: bool,
    is_best_interests: bool,
    is_certificate: bool,
    /// The patient decides.
    is_own: bool,
    /// Nobody consents.
    is_record: bool,
    guardian_may_be_told: bool,
}

impl Who {
    fn of(maker: Option<&DecisionMaker>) -> Who {
        let Some(maker) = maker else { return Who::default() };
        let is = |decider: Decider| maker.decider == decider;
        Who {
            is_adult: is(Decider::Adult),
            is_young_person: is(Decider::YoungPerson),
            is_child: is(Decider::Child),
            is_guardian: is(Decider::Parent),
            is_guardian_of_young_person: is(Decider::Parent) && !maker.is_child(),
            is_authority: maker.decider.has_authority(),
            is_attorney: is(Decider::Attorney),
            is_deputy: is(Decider::Deputy),
            is_welfare_guardian: is(Decider::WelfareGuardian),
            is_best_interests: is(Decider::BestInterests),
            is_certificate: is(Decider::Certificate),
            is_own: maker.decider.is_patient(),
            is_record: is(Decider::BestInterests) || is(Decider::Certificate),
            guardian_may_be_told: maker.guardian_may_be_told,
        }
    }
}

/// Whose law it is: one holds.
#[derive(Debug, Serialize)]
struct Nation {
    is_england_and_wales: bool,
    is_scotland: bool,
    is_northern_ireland: bool,
}

impl From<Division> for Nation {
    fn from(division: Division) -> Nation {
        Nation {
            is_england_and_wales: division == Division::EnglandAndWales,
            is_scotland: division == Division::Scotland,
            is_northern_ireland: division == Division::NorthernIreland,
        }
    }
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

/// The attorney, deputy or welfare guardian.
#[derive(Debug, Default, Serialize)]
struct AuthorityView {
    name: String,
    relationship: Text,
    document: Text,
    seen: Text,
}

#[derive(Debug, Default, Serialize)]
struct CertificateView {
    is_known: bool,
    signed_by: String,
    profession: &'static str,
    from: String,
    until: String,
    covers: Text,
}

/// Somebody who was consulted, beside the line on which they sign.
#[derive(Debug, Serialize)]
struct ConsultedView {
    name: String,
    relationship: Text,
    on: Text,
}

/// An alternative that was discussed.
#[derive(Debug, Serialize)]
struct Alternative {
    /// In the one spelling by which the template knows its plain words.
    key: String,
    typed: String,
}

/// An interpreter is needed, or took part.
#[derive(Debug, Serialize)]
struct Interpreter {
    is_needed: bool,
    is_known: bool,
    text: String,
    in_the_room: bool,
    by_telephone: bool,
    by_video: bool,
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

/// What was counted, from the table of outcomes.
#[derive(Debug, Serialize)]
struct Figures {
    regrowth: Figure,
    regrowth_clinic: Figure,
    regrowth_excision: Figure,
    another_operation: Figure,
    infection: Figure,
}

/// A range in 100, and the count where it rests on one study.
#[derive(Debug, Serialize)]
struct Figure {
    /// The least is fewer than 1 in 100.
    fewer_than_1: bool,
    least: String,
    most: String,
    /// How many in 100 it does not happen to: at least, and at most.
    without_least: String,
    without_most: String,
    studies: String,
    /// Of the first study.
    count: String,
    of: String,
    /// Months of follow-up, where every study says them.
    months: Span,
}

impl From<&Outcome> for Figure {
    fn from(outcome: &Outcome) -> Figure {
        let (least, most) = outcome.range();
        let first = outcome.first();
        Figure {
            fewer_than_1: least == 0,
            least: least.to_string(),
            most: most.to_string(),
            without_least: (100 - most).to_string(),
            without_most: (100 - least).to_string(),
            studies: outcome.studies.len().to_string(),
            count: first.count.map_or_else(String::new, |count| count.to_string()),
            of: first.of.to_string(),
            months: Span::of(outcome.months()),
        }
    }
}

/// Who takes consent, else the clinic's only practitioner: not who operated.
fn professional(facts: &Facts) -> Professional {
    let people = &facts.clinic.practitioners;
    let taken_by = facts.case.consent.as_ref().and_then(|consent| consent.taken_by.as_ref());
    let practitioner = match taken_by {
        Some(key) => people.get(key),
        None if people.len() == 1 => people.values().next(),
        None => None,
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
    Needs {
        any: !list.is_empty() || patient.language.is_some(),
        has_list: !list.is_empty(),
        list: words::capitalised(&list.join(", ")),
        language: patient.language.clone().into(),
    }
}

/// How the interpreter took part: as stated, else by the words that were typed.
fn interpreted(consent: &Consent) -> Option<Interpreted> {
    consent.interpreted.or_else(|| {
        let typed = folded(consent.interpreter.as_deref()?);
        match () {
            () if typed.contains("phone") => Some(Interpreted::ByTelephone),
            () if typed.contains("video") => Some(Interpreted::ByVideo),
            () => None,
        }
    })
}

fn interpreter(facts: &Facts) -> Interpreter {
    let consent = facts.case.consent.as_ref();
    let text = consent.and_then(|consent| consent.interpreter.clone());
    let how = consent.and_then(interpreted);
    Interpreter {
        is_needed: plain::needs_interpreter(facts),
        is_known: text.is_some(),
        text: text.unwrap_or_default(),
        in_the_room: how == Some(Interpreted::InTheRoom),
        by_telephone: how == Some(Interpreted::ByTelephone),
        by_video: how == Some(Interpreted::ByVideo),
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

fn authority_view(facts: &Facts) -> AuthorityView {
    authority(facts).map_or_else(AuthorityView::default, |authority| AuthorityView {
        name: authority.name.clone(),
        relationship: authority.relationship.clone().into(),
        document: authority.document.clone().into(),
        seen: authority.seen.map(CivilDate::long).into(),
    })
}

fn certificate(consent: Option<&Consent>) -> CertificateView {
    let certificate = consent.and_then(|consent| consent.certificate.as_ref());
    certificate.map_or_else(CertificateView::default, |certificate| CertificateView {
        is_known: true,
        signed_by: certificate.signed_by.clone(),
        profession: certificate.profession.word(),
        from: certificate.from.long(),
        until: certificate.until.long(),
        covers: certificate.covers.clone().into(),
    })
}

fn consulted(consent: Option<&Consent>) -> Vec<ConsultedView> {
    let all = consent.and_then(|consent| consent.consulted.as_ref()).into_iter().flatten();
    all.map(|one| ConsultedView {
        name: one.name.clone(),
        relationship: one.relationship.clone().into(),
        on: one.on.map(CivilDate::long).into(),
    })
    .collect()
}

fn alternatives(consent: Option<&Consent>) -> Vec<Alternative> {
    let all = consent.and_then(|consent| consent.alternatives.as_ref()).into_iter().flatten();
    all.map(|typed| Alternative { key: folded(typed), typed: typed.clone() }).collect()
}

fn allergies(facts: &Facts) -> Text {
    let entry = facts.case.history.as_ref().and_then(|history| history.allergies.as_ref());
    let words = entry.map(|entry| {
        let list: Vec<String> = facts.derived.allergies.iter().map(LookedUp::in_full).collect();
        let none = entry.none().map(|none| none.in_full().to_owned());
        words::capitalised(&none.unwrap_or_else(|| words::List::and(&list).to_string()))
    });
    words.into()
}

fn avoids_paracetamol(facts: &Facts) -> bool {
    let analgesia = facts.derived.analgesia.get();
    analgesia.is_some_and(|analgesia| matches!(analgesia.paracetamol, Paracetamol::Avoid(_)))
}

/// The name of the anaesthetic that is planned, as it is printed.
fn agent(facts: &Facts) -> Option<String> {
    let planned = &facts.planned_anaesthetic()?.agent;
    Some(tables::agent(planned).map_or_else(|| planned.clone(), |agent| agent.name.to_owned()))
}

/// Paragraphs of a patient's own that still leave room to sign on the third page.
const MANY_CHANGES: usize = 4;

fn compose(facts: &Facts) -> View {
    let who = Who::of(facts.derived.decision_maker.get());
    let planned: Vec<PlainToe> = facts
        .planned()
        .into_iter()
        .map(|(toe, plan)| {
            PlainToe::new(toe, plan.nail, &plan.edges, plan.matrix == Matrix::Phenol).with_trade_words()
        })
        .collect();
    let toes: Vec<Toe> = facts.planned().iter().map(|(toe, _)| *toe).collect();
    let drawn: Vec<_> =
        facts.planned().into_iter().map(|(toe, plan)| (toe, plan.nail, plan.edges.as_slice())).collect();
    let changes = Changes::of(facts, &toes);
    let consent = facts.case.consent.as_ref();
    let said = |pick: fn(&Consent) -> Option<String>| -> Text { consent.and_then(pick).into() };
    View {
        is_large_print: plain::needs(facts, Need::LargePrint),
        is_crowded: !who.is_own
            || who.is_child
            || plain::needs_interpreter(facts)
            || (planned.len() > 1 && changes.any)
            || changes.count() > MANY_CHANGES,
        is_full: changes.count() > MANY_CHANGES,
        nation: facts.clinic.division.into(),
        full_name: full_name(facts),
        called: called(facts),
        born: facts.case.patient.born.long(),
        needs: needs(facts),
        professional: professional(facts),
        guardian: guardian(facts),
        authority: authority_view(facts),
        certificate: certificate(consent),
        feet: Feet::of(&drawn),
        has_several: planned.len() > 1,
        any_partial: planned.iter().any(|toe| !toe.is_whole),
        any_phenol: planned.iter().any(|toe| toe.has_phenol),
        any_without_phenol: planned.iter().any(|toe| !toe.has_phenol),
        earlier: Earlier::of(facts, Audience::Patient, planned.len()),
        planned,
        numb: numb(facts),
        agent: agent(facts).into(),
        agent_is_off_label: facts.derived.off_label_planned.is_some(),
        healing: healing(facts),
        figures: figures(),
        avoids_paracetamol: avoids_paracetamol(facts),
        changes,
        allergies: allergies(facts),
        concerns: said(|consent| consent.concerns.clone()),
        alternatives: alternatives(consent),
        risks_discussed: Some(risks_discussed(facts)).filter(|risks| !risks.is_empty()).into(),
        leaflet: said(|consent| consent.leaflet.clone()),
        fee: said(|consent| consent.fee.as_deref().map(|fee| without_stop(fee).to_owned())),
        signed: said(|consent| consent.signed.map(CivilDate::long)),
        capacity: said(|consent| consent.capacity.clone()),
        capacity_by: said(|consent| {
            consent.capacity_by.as_ref().map(|judge| format!("{}, {}", judge.name, judge.profession.word()))
        }),
        best_interests: said(|consent| consent.best_interests.clone()),
        benefit: said(|consent| consent.benefit.clone()),
        consulted: consulted(consent),
        interpreter: interpreter(facts),
        who,
    }
}

fn healing(facts: &Facts) -> Span {
    Span::of(facts.derived.planned_healing.get().map(|weeks| (weeks.weeks_from, weeks.weeks_to)))
}

fn numb(facts: &Facts) -> NumbView {
    let planned = facts.derived.numb_planned.get();
    planned.map_or_else(NumbView::default, |planned| NumbView::of(planned, facts.today))
}

fn figures() -> Figures {
    let figure = |key: &str| Figure::from(outcome(key).expect("the tests see every key in the table"));
    Figures {
        regrowth: figure("regrowth-phenol"),
        regrowth_clinic: figure("regrowth-clinic"),
        regrowth_excision: figure("regrowth-excision"),
        another_operation: figure("another-operation"),
        infection: figure("infection"),
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

    /// The form's variant, as a word.
    fn variant(fragment: &str) -> String {
        let view = serde_json::to_value(compose(&facts_of(fragment))).expect("a view");
        let forms = [
            "is_adult",
            "is_young_person",
            "is_child",
            "is_guardian",
            "is_attorney",
            "is_deputy",
            "is_welfare_guardian",
            "is_best_interests",
            "is_certificate",
        ];
        let hold: Vec<&str> = forms.into_iter().filter(|form| view[*form] == true).collect();
        hold.join(" ").replace("is_", "")
    }

    #[test]
    fn one_form_holds_for_each_who_decides() {
        let of = |nation: &str, born: &str, by: &str| {
            variant(&format!(
                "{{clinic: {{division: {nation}}}, patient: {{born: {born}}}, consent: {{by: {by}}}}}"
            ))
        };
        for (nation, born, by, form) in [
            // The base case was signed on 20 November 2026, four days before surgery.
            ("england-and-wales", "2008-11-20", "patient", "adult"),
            ("england-and-wales", "2008-11-21", "patient", "young_person"),
            ("england-and-wales", "2010-11-20", "patient", "young_person"),
            ("england-and-wales", "2010-11-21", "patient", "child"),
            ("england-and-wales", "2010-11-21", "guardian", "guardian"),
            ("northern-ireland", "2008-11-21", "patient", "young_person"),
            ("scotland", "2010-11-20", "patient", "adult"),
            ("scotland", "2010-11-21", "patient", "child"),
            ("england-and-wales", "1984-02-09", "attorney", "attorney"),
            ("england-and-wales", "1984-02-09", "deputy", "deputy"),
            ("scotland", "1984-02-09", "attorney", "attorney"),
            ("scotland", "1984-02-09", "welfare guardian", "welfare_guardian"),
            ("scotland", "1984-02-09", "certificate", "certificate"),
            ("england-and-wales", "1984-02-09", "best interests", "best_interests"),
            ("northern-ireland", "1984-02-09", "best interests", "best_interests"),
            // What cannot be by law has the form of those who can.
            ("england-and-wales", "1984-02-09", "guardian", "adult"),
            ("england-and-wales", "2008-11-21", "guardian", "young_person"),
            ("scotland", "2010-11-20", "guardian", "adult"),
            ("scotland", "1984-02-09", "best interests", "certificate"),
            ("northern-ireland", "1984-02-09", "attorney", "adult"),
        ] {
            assert_eq!(of(nation, born, by), form, "{by}, born {born}, {nation}");
        }
        let without_capacity =
            "{patient: {born: 2008-11-21}, consent: {by: guardian, capacity: could not retain it}}";
        assert_eq!(variant(without_capacity), "guardian");
    }

    #[test]
    fn before_anything_is_signed_a_child_needs_a_guardian() {
        let unsigned =
            |patient: &str| facts_of(&format!("{{patient: {{born: 2015-06-01, {patient}}}, consent: ~}}"));
        assert_eq!(missing(&unsigned(GUARDIAN)), Vec::new());
        assert_eq!(missing(&unsigned("title: ~")), vec![Path::from("patient.guardian")]);
        assert_eq!(missing(&facts_of("plan: ~")), vec![Path::from("plan")]);
        assert_eq!(missing(&facts_of("operation: ~")), Vec::new());
        assert_eq!(missing(&facts_of("consent: {by: attorney}")), vec![Path::from("consent.authority")]);
        assert_eq!(
            missing(&facts_of("{patient: {born: 2027-01-01}, operation: ~, consent: ~}")),
            vec![Path::from("patient.born")]
        );
    }

    /// What the patient signed cannot change because something was done.
    #[test]
    fn a_form_made_after_surgery_says_what_it_said_before() {
        let written = |fragment: &str| serde_json::to_value(compose(&facts_of(fragment))).expect("a view");
        let before = written("operation: ~");
        for after in [
            "",
            "{operation: {anaesthetic: [{agent: lidocaine, strength: 2 %}, {agent: bupivacaine, strength: 0.5 %}]}}",
            "{operation: {operator: Tamsin Ashdown, toes: {L1: {nail: total, edges: [], phenol: ~}, \
              R2: {nail: total}}}}",
            "{consent: {confirmed: ~}}",
            "{consent: {confirmed: 2026-11-20}}",
        ] {
            assert_eq!(written(after), before, "{after}");
        }
        let mut unsigned = written("{operation: ~, consent: {signed: ~, confirmed: ~}}");
        assert_eq!(unsigned["signed"]["is_known"], false);
        unsigned["signed"] = before["signed"].clone();
        assert_eq!(unsigned, before, "but for the one line");
    }

    #[test]
    fn allergies_are_listed_or_none_or_not_recorded() {
        let said = |fragment: &str| compose(&facts_of(fragment)).allergies;
        let words = |fragment: &str| serde_json::to_value(said(fragment)).expect("a view")["text"].clone();
        assert_eq!(words("history: {allergies: [{to: penicillin}, {to: latex}]}"), "Penicillin and latex");
        assert_eq!(words("history: {allergies: none known}"), "None known");
        assert_eq!(serde_json::to_value(said("history: {allergies: ~}")).expect("a view")["is_known"], false);
    }

    /// By the product texts: mepivacaine 3 % names dental surgery, lidocaine an infiltration or a nerve block.
    #[test]
    fn what_is_planned_outside_its_licence_is_told() {
        let is_told = |fragment: &str| compose(&facts_of(fragment)).agent_is_off_label;
        assert!(is_told("") && is_told("operation: ~"));
        assert!(!is_told("planned_anaesthetic: {agent: lidocaine, strength: 1 %}"));
        // What was given instead changes nothing on the form.
        assert!(is_told("operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}"));
    }

    #[test]
    fn a_fee_is_said_as_it_was_told_and_never_made_up() {
        let said = |fragment: &str| {
            let fee = compose(&facts_of(fragment)).fee;
            fee.is_known.then_some(fee.text)
        };
        assert_eq!(said(""), None);
        let told = "consent: {fee: \"£295, redressings included.\"}";
        assert_eq!(
            said(told).as_deref(),
            Some("£295, redressings included"),
            "the template ends the sentence"
        );
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
        assert!(figures.regrowth.fewer_than_1);
        assert_eq!((figures.regrowth.most.as_str(), figures.regrowth.without_least.as_str()), ("24", "76"));
        assert_eq!((figures.infection.least.as_str(), figures.infection.most.as_str()), ("3", "9"));
        assert_eq!(
            (figures.another_operation.count.as_str(), figures.another_operation.of.as_str()),
            ("3", "29")
        );
    }

    #[test]
    fn the_agent_is_the_planned_one_whatever_was_given() {
        let agent = |fragment: &str| agent(&facts_of(fragment));
        assert_eq!(agent("operation: {anaesthetic: {agent: lidocaine}}").as_deref(), Some("mepivacaine"));
        let usual = "{operation: ~, clinic: {protocol: {anaesthetic: {agent: prilocaine, strength: 4 %}}}}";
        assert_eq!(agent(usual).as_deref(), Some("prilocaine"));
        let own = "planned_anaesthetic: {agent: Lignocaine, strength: 1 %}";
        assert_eq!(agent(own).as_deref(), Some("lidocaine"));
        assert_eq!(agent("clinic: {protocol: {anaesthetic: ~}}"), None);
    }

    #[test]
    fn who_takes_consent_is_named_and_never_taken_from_the_operation() {
        assert_eq!(professional(&facts_of("")).name, "Robin Quill", "the clinic's only one");
        let other = professional(&facts_of("consent: {taken_by: Tamsin Ashdown}"));
        assert_eq!((other.name.as_str(), other.has_role), ("Tamsin Ashdown", false));
        let ash =
            "practitioners: {ash: {name: Tamsin Ashdown, registration: HCPC CH00001, role: Podiatrist}}";
        let named = professional(&facts_of(&format!("{{consent: {{taken_by: ash}}, clinic: {{{ash}}}}}")));
        assert_eq!(named.detail, "Podiatrist, HCPC CH00001");
        let two = professional(&facts_of(&format!(
            "{{consent: {{taken_by: ~}}, operation: {{operator: ash}}, clinic: {{{ash}}}}}"
        )));
        assert!(!two.is_known, "one of two");
    }

    #[test]
    fn special_requirements() {
        assert!(!needs(&facts_of("")).any);
        let polish = facts_of("patient: {needs: [interpreter], language: Polish}");
        assert!(needs(&polish).any && needs(&polish).language.is_known && interpreter(&polish).is_needed);
        assert!(interpreter(&facts_of("consent: {interpreter: A. Lisowska}")).is_needed);
    }

    #[test]
    fn how_an_interpreter_took_part_is_stated_or_read_from_the_words() {
        let how = |fragment: &str| {
            let interpreter = interpreter(&facts_of(&format!("consent: {{{fragment}}}")));
            [interpreter.in_the_room, interpreter.by_telephone, interpreter.by_video]
        };
        assert_eq!(how("interpreter: \"J. Nowak, by telephone\""), [false, true, false]);
        assert_eq!(how("interpreter: \"J. Nowak, Video call\""), [false, false, true]);
        assert_eq!(how("interpreter: J. Nowak, interpreted: in the room"), [true, false, false]);
        assert_eq!(how("interpreter: \"telephone booked\", interpreted: in the room"), [true, false, false]);
        assert_eq!(how("interpreter: J. Nowak"), [false, false, false]);
    }

    #[test]
    fn those_who_were_consulted_are_named() {
        let all = consulted(
            facts_of("consent: {consulted: [{name: Ada Winslade, relationship: sister, on: 2026-11-10}, {name: B. Key}]}")
                .case
                .consent
                .as_ref(),
        );
        assert_eq!((all[0].name.as_str(), all[0].on.text.as_str()), ("Ada Winslade", "10 November 2026"));
        assert!(!all[1].relationship.is_known && !all[1].on.is_known);
    }
}
