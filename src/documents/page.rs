//! What all documents share: page furniture, banner, clinic, people, toes in words and as a
//! picture. Strings ready to print; nothing is judged here and no sentence of a document is written.

use serde::Serialize;
use serde_json::{Map, Value as Json};

use super::{Audience, ChangedPhrase, Document, Edition, List};
use crate::anatomy::{Edge, Nail, Side, Toe};
use crate::case::{Clinic, ConsentBy, Gp, LetterToGp, Measured, Practitioner, Sex};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::{LookedUp, Value};
use crate::facts::{Caseload, Facts, LeftOut};
use crate::words::{List as Words, capitalised};

/// What is printed where nothing was recorded.
pub(super) const NOT_RECORDED: &str = "not recorded";

/// What is printed in a table where a value could not be worked out; the reason stands below it.
pub(super) const NOT_KNOWN: &str = "not known";

/// A date as this reader is used to it.
pub(super) fn day_for(audience: Audience, date: CivilDate) -> String {
    match audience {
        Audience::Clinician => date.clinical(),
        Audience::Patient => date.long(),
    }
}

/// A measured value as recorded; `not recorded` with the reason, where one was written.
pub(super) fn measured<T>(value: &Measured<T>, show: impl FnOnce(&T) -> String) -> String {
    match value {
        Measured::Missing => NOT_RECORDED.to_owned(),
        Measured::Value(value) => show(value),
        Measured::NotRecorded(reason) => format!("{NOT_RECORDED}: {}", without_stop(reason)),
    }
}

/// Why a measured value was not recorded, where that was written; else empty.
pub(super) fn gap<T>(value: &Measured<T>) -> String {
    without_stop(value.gap().unwrap_or_default()).to_owned()
}

/// As recorded, or `not recorded`.
pub(super) fn recorded(text: Option<&str>) -> String {
    text.unwrap_or(NOT_RECORDED).to_owned()
}

/// Furniture of every page.
#[derive(Debug, Serialize)]
struct Page {
    title: String,
    subtitle: String,
    shows_title: bool,
    kind: String,
    reference: String,
    version: String,
    made: String,
    is_draft: bool,
    /// Close lines, for readers who scan.
    is_dense: bool,
    is_amended: bool,
    /// `Amended: replaces version 1 of 24-Nov-2026`.
    amended: String,
    amended_because: String,
    /// Phrases that were changed; empty in a text that is made only to be compared.
    changes: Vec<Changed>,
}

/// A phrase as it was and as it is; `–` where there was or is nothing.
#[derive(Debug, Serialize)]
struct Changed {
    was: String,
    is: String,
}

impl Changed {
    fn of(phrase: &ChangedPhrase) -> Changed {
        let shown = |text: &String| if text.is_empty() { "–".to_owned() } else { text.clone() };
        Changed { was: shown(&phrase.was), is: shown(&phrase.is) }
    }
}

/// Who decided, and when: the sentence stands in `templates/clinician/consent.typ`.
#[derive(Debug, Default, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "each is one form of the sentence")]
pub(super) struct Consent {
    is_recorded: bool,
    /// Empty if it is not recorded; so for all texts here.
    signed: String,
    /// The version of the form that was signed.
    form: String,
    confirmed: String,
    /// Signed on the day of surgery: nothing is left to confirm.
    is_on_the_day: bool,
    by_patient: bool,
    by_guardian: bool,
    /// An attorney, deputy or welfare guardian.
    by_authority: bool,
    is_best_interests: bool,
    is_certificate: bool,
    /// `Helen Brightwater (mother)`.
    guardian: String,
    /// `Ada Hollis (daughter), attorney`; the kind of power alone where no name is recorded.
    authority: String,
    authority_seen: String,
    /// `Dr A. Vane (doctor)`.
    certificate: String,
    certificate_from: String,
    certificate_until: String,
    interpreter: String,
    /// Who took it.
    taken_by: String,
    /// `Delyth Winslade (sister) and Marcus Oduya (key worker)`, where nobody consents for the patient.
    consulted: String,
    /// What the patient said about the letter to the family doctor.
    told_of_letter: bool,
    agrees_to_letter: bool,
    objects_to_letter: bool,
}

impl Consent {
    pub(super) fn of(facts: &Facts) -> Consent {
        let Some(consent) = &facts.case.consent else { return Consent::default() };
        let day = |day: Option<CivilDate>| day.map_or_else(String::new, CivilDate::clinical);
        let guardian = facts.case.patient.guardian.as_ref();
        let surgery = facts.case.operation.as_ref().map(|operation| operation.date);
        let certificate = consent.certificate.as_ref();
        Consent {
            is_recorded: true,
            signed: day(consent.signed),
            form: consent.form.map_or_else(String::new, |form| form.to_string()),
            confirmed: day(consent.confirmed),
            is_on_the_day: consent.signed.is_some() && consent.signed == surgery,
            by_patient: consent.by == Some(ConsentBy::Patient),
            by_guardian: consent.by == Some(ConsentBy::Guardian),
            by_authority: authority_kind(consent.by).is_some(),
            is_best_interests: consent.by == Some(ConsentBy::BestInterests),
            is_certificate: consent.by == Some(ConsentBy::Certificate),
            authority: authority(consent),
            authority_seen: day(consent.authority.as_ref().and_then(|authority| authority.seen)),
            certificate: certificate.map_or_else(String::new, |certificate| {
                format!("{} ({})", certificate.signed_by, certificate.profession.word())
            }),
            certificate_from: day(certificate.map(|certificate| certificate.from)),
            certificate_until: day(certificate.map(|certificate| certificate.until)),
            told_of_letter: consent.letter_to_gp == Some(LetterToGp::Told),
            agrees_to_letter: consent.letter_to_gp == Some(LetterToGp::DoesNotObject),
            objects_to_letter: consent.letter_to_gp == Some(LetterToGp::Objects),
            guardian: guardian.map_or_else(String::new, |guardian| {
                format!("{} ({})", guardian.name, guardian.relationship)
            }),
            interpreter: interpreter(consent),
            taken_by: name_of(facts, consent.taken_by.as_deref().unwrap_or_default()),
            consulted: consulted(consent),
        }
    }
}

/// The risks that were discussed, in one line, to stand inside a sentence; empty if none are recorded.
pub(super) fn risks_discussed(facts: &Facts) -> String {
    let risks = facts.case.consent.iter().flat_map(|consent| consent.risks.iter().flatten());
    Words::and(risks.map(|risk| without_stop(risk))).to_string()
}

/// The name behind the key of a practitioner, or the name as typed, to stand inside a sentence.
pub(super) fn name_of(facts: &Facts, typed: &str) -> String {
    let known = facts.clinic.practitioners.get(typed);
    known.map_or_else(|| without_stop(typed).to_owned(), |practitioner| practitioner.name.clone())
}

fn consulted(consent: &crate::case::Consent) -> String {
    let each = consent.consulted.iter().flatten().map(|one| match &one.relationship {
        Some(relationship) => format!("{} ({relationship})", one.name),
        None => one.name.clone(),
    });
    Words::and(each).to_string()
}

/// `A. Lisowska, by telephone`; empty if none is recorded.
fn interpreter(consent: &crate::case::Consent) -> String {
    let typed = without_stop(consent.interpreter.as_deref().unwrap_or_default());
    match consent.interpreted.map(crate::case::Interpreted::word) {
        Some(how) if !typed.is_empty() && !typed.contains(how) => format!("{typed}, {how}"),
        _ => typed.to_owned(),
    }
}

/// The kind of power by which somebody else consents.
fn authority_kind(by: Option<ConsentBy>) -> Option<&'static str> {
    match by {
        Some(by @ (ConsentBy::Attorney | ConsentBy::Deputy | ConsentBy::WelfareGuardian)) => Some(by.word()),
        _ => None,
    }
}

fn authority(consent: &crate::case::Consent) -> String {
    let kind = authority_kind(consent.by).unwrap_or_default();
    match &consent.authority {
        None => kind.to_owned(),
        Some(authority) => match &authority.relationship {
            Some(relationship) => format!("{} ({relationship}), {kind}", authority.name),
            None => format!("{}, {kind}", authority.name),
        },
    }
}

/// What is taken, and the INR where there is one.
#[derive(Debug, Serialize)]
pub(super) struct Medicines {
    /// `Metformin, apixaban 5 mg twice a day`; `None`; `Not recorded`.
    pub(super) list: String,
    /// The same as typed, for the middle of a sentence.
    typed: String,
    inr: String,
    /// Why there is none, where that was written.
    inr_gap: String,
    inr_tested: String,
}

impl Medicines {
    pub(super) fn of(facts: &Facts) -> Medicines {
        let history = facts.case.history.as_ref();
        let medicines = history.and_then(|history| history.medicines.as_ref());
        let inr = history.and_then(|history| history.inr.get());
        let inr_gap = history.and_then(|history| history.inr.gap());
        let typed =
            listed(medicines.map(|_| facts.derived.medicines.iter().map(LookedUp::in_full).collect()));
        Medicines {
            list: capitalised(&typed),
            typed,
            inr: inr.map_or_else(String::new, |inr| inr.value.to_string()),
            inr_gap: without_stop(inr_gap.unwrap_or_default()).to_owned(),
            inr_tested: inr.map_or_else(String::new, |inr| inr.tested.clinical()),
        }
    }
}

/// A typed text without its last full stop: it stands inside a sentence or a list.
pub(super) fn without_stop(text: &str) -> &str {
    let text = text.trim_end();
    // Not the points of `etc...`, and not one that belongs to a letter, as in `p.r.n.`.
    let before = |at: usize| text.chars().rev().nth(at);
    let is_abbreviation = before(1) == Some('.') || before(2) == Some('.');
    text.strip_suffix('.').filter(|_| !is_abbreviation).unwrap_or(text)
}

/// Who the patient is, on every page: the order and the form of Patient Banner v4.0 and Patient Name
/// v3.0 (`clinical::sources::records::{BANNER, NAME_DISPLAY}`).
#[derive(Debug, Serialize)]
struct Banner {
    name: String,
    items: Vec<Labelled>,
}

/// A label and its value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Labelled {
    /// The label.
    pub label: String,
    /// The value.
    pub value: String,
}

impl Labelled {
    pub(super) fn new(label: impl Into<String>, value: impl Into<String>) -> Labelled {
        Labelled { label: label.into(), value: value.into() }
    }
}

#[derive(Debug, Serialize)]
struct ClinicView {
    name: String,
    address: Vec<String>,
    telephone: String,
    hours: String,
    out_of_hours: String,
    email: String,
}

/// A practitioner, or that none is recorded.
#[derive(Debug, Serialize)]
pub(super) struct Person {
    pub(super) is_known: bool,
    pub(super) name: String,
    pub(super) role: String,
    pub(super) registration: String,
}

impl Person {
    pub(super) fn of(practitioner: Option<&Practitioner>) -> Person {
        match practitioner {
            Some(Practitioner { name, registration, role, .. }) => Person {
                is_known: true,
                name: name.clone(),
                role: role.clone(),
                registration: registration.clone(),
            },
            None => Person {
                is_known: false,
                name: NOT_RECORDED.into(),
                role: String::new(),
                registration: String::new(),
            },
        }
    }
}

/// Somebody of the case file: a key of the clinic's practitioners, or a name as typed.
pub(super) fn person_called(facts: &Facts, typed: Option<&str>) -> Person {
    match typed.map(|typed| (typed, facts.clinic.practitioners.get(typed))) {
        None => Person::of(None),
        Some((_, Some(practitioner))) => Person::of(Some(practitioner)),
        Some((typed, None)) => Person { is_known: true, name: typed.to_owned(), ..Person::of(None) },
    }
}

/// Puts the shared keys (`page`, `banner`, `clinic`, `operator`) beside a document's own.
///
/// `subtitle` may be empty. `shows_title` is false where the template writes its own first heading.
pub(super) fn with_shared(
    facts: &Facts,
    edition: &Edition,
    document: &Document,
    subtitle: String,
    shows_title: bool,
    own: &impl Serialize,
) -> Json {
    let audience = document.audience;
    let shared = [
        ("page", json(&page(facts, edition, document, subtitle, shows_title))),
        ("banner", json(&banner(facts, audience))),
        ("clinic", json(&clinic(&facts.clinic))),
        ("operator", json(&Person::of(facts.operator()))),
    ];
    let mut all: Map<String, Json> = shared.into_iter().map(|(key, value)| (key.to_owned(), value)).collect();
    if let Json::Object(own) = json(own) {
        all.extend(own);
    }
    with_bound_units(Json::Object(all))
}

/// Furniture of every page of a list.
#[derive(Debug, Serialize)]
struct ListPage {
    title: String,
    /// What it is about: a day, a lot; may be empty.
    subtitle: String,
    is_across: bool,
    /// `27-Nov-2026 16:05`.
    made: String,
    /// From 1, of a list that is told apart from an earlier one; else empty.
    version: String,
    /// The version that it replaces, and when that was made; else empty.
    replaced_version: String,
    replaced_made: String,
    /// How many cases were read.
    read: String,
}

/// Puts the shared keys of a list (`page`, `clinic`, `left_out`) beside its own.
pub(super) fn with_list_page<R>(
    caseload: &Caseload<R>,
    list: &List,
    subtitle: String,
    is_numbered: bool,
    own: &impl Serialize,
) -> Json {
    let made = |on: CivilDate, at: Option<TimeOfDay>| {
        at.map_or_else(|| on.clinical(), |at| format!("{} {}", on.clinical(), at.clinical()))
    };
    let replaced = caseload.replaces;
    let number = replaced.map_or(1, |old| old.version.saturating_add(1));
    let page = ListPage {
        title: list.title.to_owned(),
        subtitle,
        is_across: list.is_across,
        made: made(caseload.today, caseload.made_at),
        version: if is_numbered { number.to_string() } else { String::new() },
        replaced_version: replaced.map_or_else(String::new, |old| old.version.to_string()),
        replaced_made: replaced.map_or_else(String::new, |old| made(old.made, Some(old.at))),
        read: caseload.read.to_string(),
    };
    let left_out: &[LeftOut] = &caseload.left_out;
    let shared =
        [("page", json(&page)), ("clinic", json(&clinic(&caseload.clinic))), ("left_out", json(&left_out))];
    let mut all: Map<String, Json> = shared.into_iter().map(|(key, value)| (key.to_owned(), value)).collect();
    if let Json::Object(own) = json(own) {
        all.extend(own);
    }
    with_bound_units(Json::Object(all))
}

/// What stays on the line of the number before it.
const UNITS: &[&str] = &[
    "%", "mg", "mg/kg", "g", "kg", "ml", "cm", "mm", "mmHg", "mmol/mol", "mmol/l", "G", "s", "min", "hours",
    "weeks",
];

/// The view with a no-break space between each number and its unit.
fn with_bound_units(view: Json) -> Json {
    match view {
        Json::String(text) => Json::String(bound_units(&text)),
        Json::Array(items) => items.into_iter().map(with_bound_units).collect(),
        Json::Object(keys) => {
            Json::Object(keys.into_iter().map(|(key, value)| (key, with_bound_units(value))).collect())
        }
        other => other,
    }
}

fn bound_units(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for word in text.split_inclusive(' ') {
        let unit = word.trim_end_matches([' ', '.', ',', ';', ':', ')']);
        if UNITS.contains(&unit)
            && out.ends_with(' ')
            && out.trim_end().ends_with(|c: char| c.is_ascii_digit())
        {
            out.pop();
            out.push('\u{a0}');
        }
        out.push_str(word);
    }
    out
}

fn json(view: &impl Serialize) -> Json {
    serde_json::to_value(view).expect("a view holds only strings, booleans, lists and structs of them")
}

fn page(facts: &Facts, edition: &Edition, document: &Document, subtitle: String, shows_title: bool) -> Page {
    let day = |date| day_for(document.audience, date);
    let version = match &edition.replaces {
        _ if edition.is_draft => "not issued".to_owned(),
        None => format!("version {}", edition.version),
        Some(old) => {
            format!("version {}, replaces version {} of {}", edition.version, old.version, day(old.issued_on))
        }
    };
    Page {
        title: document.title.into(),
        subtitle,
        shows_title,
        kind: document.title.into(),
        reference: facts.case.reference.to_string(),
        version,
        made: day(edition.made_on),
        is_draft: edition.is_draft,
        is_dense: document.audience == Audience::Clinician,
        is_amended: edition.replaces.is_some(),
        amended: edition.replaces.as_ref().map_or_else(String::new, |old| {
            format!("Amended: replaces version {} of {}", old.version, day(old.issued_on))
        }),
        amended_because: edition.replaces.as_ref().map_or_else(String::new, |old| old.because.clone()),
        changes: edition.replaces.iter().flat_map(|old| &old.changes).map(Changed::of).collect(),
    }
}

/// `HOLLIS, Imogen (Ms)`.
pub(super) fn banner_name(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    let title = patient.title.as_ref().map_or_else(String::new, |title| format!(" ({title})"));
    format!("{}, {}{title}", patient.family.to_uppercase(), patient.given)
}

/// `Ms Imogen Hollis`.
pub(super) fn full_name(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    let parts = [patient.title.as_deref(), Some(patient.given.as_str()), Some(patient.family.as_str())];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

fn banner(facts: &Facts, audience: Audience) -> Banner {
    let patient = &facts.case.patient;
    let born = match (audience, facts.derived.age.get()) {
        (Audience::Clinician, Some(age)) => format!("{} ({})", patient.born.clinical(), age.clinical()),
        _ => day_for(audience, patient.born),
    };
    let gender = match patient.sex {
        Some(Sex::Female) => "Female",
        Some(Sex::Male) => "Male",
        Some(Sex::Other) => "Other",
        None => "Not known",
    };
    let mut items = vec![Labelled::new("Born", born), Labelled::new("Gender", gender)];
    items.extend(
        facts
            .derived
            .patient_numbers
            .iter()
            .map(|one| Labelled::new(one.label, one.number.get().map_or("Not known", String::as_str))),
    );
    if let Some(preferred) = &patient.preferred {
        items.push(Labelled::new("Preferred name", preferred));
    }
    Banner { name: banner_name(facts), items }
}

fn clinic(clinic: &Clinic) -> ClinicView {
    let text = |part: &Option<String>| part.clone().unwrap_or_default();
    ClinicView {
        name: clinic.name.clone(),
        address: clinic.address.clone(),
        telephone: clinic.telephone.clone(),
        hours: text(&clinic.hours),
        out_of_hours: text(&clinic.out_of_hours),
        email: text(&clinic.email),
    }
}

/// The lines of an address block: doctor, practice, address.
pub(super) fn address_lines(gp: &Gp) -> Vec<String> {
    gp.name.iter().chain([&gp.practice]).chain(&gp.address).cloned().collect()
}

/// `left hallux (L1), lateral edge`, `right second toe (R2), whole nail`.
pub(super) fn toe_in_words(toe: Toe, nail: Nail, edges: &[Edge]) -> String {
    format!("{} ({}), {}", toe.clinical(), toe.code(), part_in_words(nail, edges))
}

/// How a toe and its edges are named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Naming {
    /// `left hallux (L1), lateral edge`: for colleagues of the trade, who write the codes.
    Codes,
    /// `left big toe (hallux), lateral (outer) edge`: for a doctor and the patient, to whom `L1` may be a
    /// bone of the back.
    Plain,
}

impl Naming {
    /// The toe.
    pub(super) fn toe(self, toe: Toe) -> String {
        match self {
            Naming::Codes => format!("{} ({})", toe.clinical(), toe.code()),
            Naming::Plain if toe.number() == 1 => format!("{} (hallux)", toe.plain()),
            Naming::Plain => toe.plain(),
        }
    }

    /// The edges.
    fn edges(self, edges: &[Edge]) -> String {
        let plain = |edge: Edge| format!("{} ({})", edge.word(), edge.plain());
        match (self, edges) {
            (Naming::Codes, _) | (_, []) => crate::derive::edges_in_words(edges),
            (Naming::Plain, [one]) => format!("{} edge", plain(*one)),
            (Naming::Plain, _) => format!("{} and {} edges", plain(Edge::Medial), plain(Edge::Lateral)),
        }
    }

    /// What of the nail was taken away: `lateral (outer) edge`, `whole nail`.
    pub(super) fn part(self, nail: Nail, edges: &[Edge]) -> String {
        match nail {
            Nail::Total => part_in_words(nail, edges),
            Nail::Partial => self.edges(edges),
        }
    }

    /// A word of the trade, with a plain one beside it where the reader may not know it.
    fn word(self, trade: &str, plain: &str) -> String {
        match self {
            Naming::Codes => trade.to_owned(),
            Naming::Plain => format!("{trade} ({plain})"),
        }
    }
}

/// `lateral edge`, `medial and lateral edges`, `whole nail`.
pub(super) fn part_in_words(nail: Nail, edges: &[Edge]) -> String {
    match nail {
        Nail::Total => "whole nail".into(),
        Nail::Partial => crate::derive::edges_in_words(edges),
    }
}

/// Both feet as the patient sees them looking down.
#[derive(Debug, Clone, Serialize)]
pub struct Feet {
    pub(super) left: Vec<DrawnToe>,
    pub(super) right: Vec<DrawnToe>,
    pub(super) alt: String,
}

/// One toe of the picture.
#[derive(Debug, Clone, Serialize)]
pub(super) struct DrawnToe {
    pub(super) code: &'static str,
    /// Which part of the drawn nail is hatched: `none`, `left`, `right`, `both`, `total`.
    pub(super) strip: &'static str,
}

impl Feet {
    /// The picture of what is or was done to these toes.
    pub(super) fn of(toes: &[(Toe, Nail, &[Edge])]) -> Feet {
        let foot = |side: Side| {
            let toes_of_side = Toe::ALL.into_iter().filter(|toe| toe.side() == side);
            let drawn = toes_of_side.map(|toe| {
                let done = toes.iter().find(|(other, _, _)| *other == toe);
                DrawnToe {
                    code: toe.code(),
                    strip: done.map_or("none", |(_, nail, edges)| strip(toe, *nail, edges)),
                }
            });
            drawn.collect::<Vec<_>>()
        };
        let named = toes.iter().map(|(toe, nail, edges)| toe_in_words(*toe, *nail, edges));
        let alt = if toes.is_empty() {
            "Both feet from above, as the patient sees them. No toe is marked.".into()
        } else {
            format!(
                "Both feet from above, as the patient sees them. The part taken away is hatched: {}.",
                named.collect::<Vec<_>>().join("; ")
            )
        };
        Feet { left: foot(Side::Left), right: foot(Side::Right), alt }
    }
}

/// The side of the drawn nail that an edge lies on. Looking down at one's own feet the big toes meet
/// in the middle: the medial edge of a left toe is on the right, that of a right toe on the left.
fn strip(toe: Toe, nail: Nail, edges: &[Edge]) -> &'static str {
    let has = |edge| edges.contains(&edge);
    match (nail, has(Edge::Medial), has(Edge::Lateral), toe.side()) {
        (Nail::Total, ..) => "total",
        (_, true, true, _) => "both",
        (_, true, false, Side::Left) | (_, false, true, Side::Right) => "right",
        (_, true, false, Side::Right) | (_, false, true, Side::Left) => "left",
        (_, false, false, _) => "none",
    }
}

/// A name and the toes it holds for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Group {
    name: String,
    toes: Vec<String>,
}

fn grouped(items: impl Iterator<Item = (String, String)>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (name, toe) in items {
        match groups.iter_mut().find(|group| group.name == name) {
            Some(group) => group.toes.push(toe),
            None => groups.push(Group { name, toes: vec![toe] }),
        }
    }
    groups
}

/// What was done: `Partial nail avulsion with phenol matrixectomy: left hallux (L1), lateral edge`.
pub(super) fn procedures(facts: &Facts, naming: Naming) -> Vec<Group> {
    let each = facts.operated().into_iter().map(|(toe, done)| {
        let phenol = if done.phenol.is_some() { " with phenol matrixectomy" } else { "" };
        let plain = match (done.nail, done.phenol.is_some()) {
            (Nail::Partial, true) => "part of the nail removed, its root treated with phenol",
            (Nail::Partial, false) => "part of the nail removed; it grows back",
            (Nail::Total, true) => "whole nail removed, its root treated with phenol",
            (Nail::Total, false) => "whole nail removed; it grows back",
        };
        let name = naming.word(&capitalised(&format!("{} nail avulsion{phenol}", done.nail.word())), plain);
        let detail = match done.nail {
            Nail::Total => naming.toe(toe),
            Nail::Partial => format!("{}, {}", naming.toe(toe), naming.edges(&done.edges)),
        };
        (name, detail)
    });
    grouped(each)
}

/// What the patient came with: `Ingrowing toenail: left hallux (L1), lateral edge, stage 2, not infected`.
pub(super) fn diagnoses(facts: &Facts, naming: Naming) -> Vec<Group> {
    let Some(toes) = facts.case.affected() else {
        return Vec::new();
    };
    let is = |answer: Option<bool>| answer == Some(true);
    let each = toes.iter().map(|(toe, seen)| {
        let own = seen.diagnosis.as_deref().map(|own| capitalised(without_stop(own)));
        let name = match () {
            () if !seen.edges.is_empty() => "Ingrowing toenail",
            () if is(seen.thickened) => "Thickened toenail",
            () if is(seen.involuted) => "Involuted toenail",
            () => "Toenail disorder",
        };
        let mut parts = vec![naming.toe(toe)];
        if !seen.edges.is_empty() {
            parts.push(naming.edges(&seen.edges));
        }
        parts.extend(seen.stage.map(|stage| {
            let plain = match stage {
                1 => "inflamed",
                2 => "discharging",
                _ => "overgrown with raw flesh",
            };
            naming.word(&format!("stage\u{a0}{stage}"), plain)
        }));
        parts.extend(
            seen.infected.map(|infected| (if infected { "infected" } else { "not infected" }).into()),
        );
        let flags = [
            (seen.cellulitis, naming.word("cellulitis", "spreading infection")),
            (seen.involuted.filter(|_| name != "Involuted toenail"), naming.word("involuted", "curled")),
            (seen.thickened.filter(|_| name != "Thickened toenail"), "thickened".to_owned()),
            (seen.previous_surgery, "operated on before".to_owned()),
        ];
        parts.extend(flags.into_iter().filter(|(answer, _)| is(*answer)).map(|(_, word)| word));
        parts.extend(seen.note.clone());
        (own.unwrap_or_else(|| name.to_owned()), parts.join(", "))
    });
    grouped(each)
}

/// `mepivacaine, apixaban 5 mg twice a day`; `none`; `not recorded`.
pub(super) fn listed(items: Option<Vec<String>>) -> String {
    match items {
        None => NOT_RECORDED.into(),
        Some(items) if items.is_empty() => "none".into(),
        Some(items) => items.join(", "),
    }
}

/// `latex (rash), iodine`; `none known`; `not recorded`.
pub(super) fn allergies(facts: &Facts) -> String {
    let Some(entry) = facts.case.history.as_ref().and_then(|history| history.allergies.as_ref()) else {
        return NOT_RECORDED.into();
    };
    let each =
        entry.list().iter().zip(&facts.derived.allergies).map(|(allergy, found)| match &allergy.reaction {
            Some(reaction) => format!("{} ({reaction})", found.in_full()),
            None => found.in_full(),
        });
    let each: Vec<String> = each.collect();
    if each.is_empty() { "none known".into() } else { each.join(", ") }
}

/// The printed value and nothing more, or `not known`; the reason stands elsewhere.
pub(super) fn short<T>(value: &Value<T>, show: impl Fn(&T) -> String) -> String {
    value.get().map_or_else(|| NOT_KNOWN.into(), show)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    const M: &[Edge] = &[Edge::Medial];
    const L: &[Edge] = &[Edge::Lateral];
    const ML: &[Edge] = &[Edge::Medial, Edge::Lateral];

    #[test]
    fn who_took_consent_is_said_only_where_it_is_recorded() {
        let taken_by = |fragment: &str| Consent::of(&facts_of(fragment)).taken_by;
        assert_eq!(taken_by(""), "Robin Quill");
        assert_eq!(taken_by("consent: {taken_by: Tamsin Ashdown}"), "Tamsin Ashdown");
        assert_eq!(taken_by("consent: {taken_by: ~}"), "");
    }

    #[test]
    fn who_was_consulted_is_named() {
        let consulted =
            "consent: {consulted: [{name: Ada Hollis, relationship: sister}, {name: Marcus Oduya}]}";
        assert_eq!(Consent::of(&facts_of(consulted)).consulted, "Ada Hollis (sister) and Marcus Oduya");
        assert_eq!(Consent::of(&facts_of("")).consulted, "");
    }

    #[test]
    fn a_diagnosis_in_words_comes_before_what_edges_say() {
        let names = |fragment: &str| -> Vec<String> {
            diagnoses(&facts_of(fragment), Naming::Codes).into_iter().map(|group| group.name).collect()
        };
        assert_eq!(names(""), ["Ingrowing toenail"]);
        assert_eq!(names("problem: {toes: {L1: {diagnosis: lifted nail.}}}"), ["Lifted nail"]);
    }

    #[test]
    fn the_hatched_side_is_the_one_the_owner_sees() {
        for (toe, nail, edges, side) in [
            (Toe::R1, Nail::Partial, L, "right"),
            (Toe::R1, Nail::Partial, M, "left"),
            (Toe::L1, Nail::Partial, M, "right"),
            (Toe::L1, Nail::Partial, L, "left"),
            (Toe::L3, Nail::Partial, ML, "both"),
            (Toe::R2, Nail::Total, M, "total"),
            (Toe::R2, Nail::Total, &[], "total"),
        ] {
            assert_eq!(strip(toe, nail, edges), side, "{toe} {edges:?}");
        }
    }

    #[test]
    fn the_picture_holds_ten_toes_big_toe_first_and_names_the_marked_ones() {
        let feet = Feet::of(&[(Toe::L1, Nail::Partial, L), (Toe::R2, Nail::Total, &[])]);
        let codes = |foot: &[DrawnToe]| foot.iter().map(|toe| toe.code).collect::<Vec<_>>();
        assert_eq!(codes(&feet.left), ["L1", "L2", "L3", "L4", "L5"]);
        assert_eq!(codes(&feet.right), ["R1", "R2", "R3", "R4", "R5"]);
        assert_eq!((feet.left[0].strip, feet.left[1].strip, feet.right[1].strip), ("left", "none", "total"));
        assert!(feet.alt.contains("left hallux (L1), lateral edge; right second toe (R2), whole nail"));
    }

    #[test]
    fn names_and_dates_are_in_the_form_of_their_reader() {
        let facts = facts_of("");
        assert_eq!(banner_name(&facts), "HOLLIS, Imogen (Ms)");
        assert_eq!(full_name(&facts), "Ms Imogen Hollis");
        let items = |audience| banner(&facts, audience).items;
        assert_eq!(items(Audience::Patient)[0], Labelled::new("Born", "9 February 1984"));
        let clinical = items(Audience::Clinician);
        assert!(clinical[0].value.starts_with("09-Feb-1984"), "{clinical:?}");
        assert_eq!(clinical[1], Labelled::new("Gender", "Female"));
        assert_eq!(clinical[2].label, "NHS No.");
        let nameless = facts_of("patient: {title: ~, sex: ~}");
        assert_eq!(banner_name(&nameless), "HOLLIS, Imogen");
        assert_eq!(banner(&nameless, Audience::Clinician).items[1].value, "Not known");
    }

    #[test]
    fn consent_of_the_day_of_surgery_needs_no_confirmation() {
        let said = |fragment: &str| Consent::of(&facts_of(fragment));
        assert!(!said("").is_on_the_day);
        assert!(said("consent: {signed: 2026-11-24, confirmed: ~}").is_on_the_day);
        assert!(!said("consent: {signed: ~}").is_on_the_day);
        assert!(!said("consent: ~").is_recorded);
    }

    #[test]
    fn an_interpreter_took_part_in_a_way_that_is_said_once() {
        let said = |fragment: &str| Consent::of(&facts_of(&format!("consent: {{{fragment}}}"))).interpreter;
        assert_eq!(said("interpreter: J. Nowak, interpreted: by telephone"), "J. Nowak, by telephone");
        let both = "interpreter: \"J. Nowak, by telephone\", interpreted: by telephone";
        assert_eq!(said(both), "J. Nowak, by telephone");
        assert_eq!(said("interpreted: by telephone"), "");
    }

    #[test]
    fn who_consents_by_a_power_is_named_with_it() {
        let said = |fragment: &str| Consent::of(&facts_of(&format!("consent: {{{fragment}}}")));
        let attorney =
            said("by: attorney, authority: {name: Ada Hollis, relationship: daughter, seen: 2026-11-20}");
        assert!(attorney.by_authority && attorney.authority == "Ada Hollis (daughter), attorney");
        assert_eq!(attorney.authority_seen, "20-Nov-2026");
        assert_eq!(said("by: deputy").authority, "deputy");
        assert!(!said("by: patient").by_authority);
    }

    #[test]
    fn a_text_inside_a_sentence_has_no_stop_of_its_own() {
        for (text, wanted) in [
            ("He agrees.", "He agrees"),
            ("as agreed", "as agreed"),
            ("and so on...", "and so on..."),
            ("paracetamol p.r.n.", "paracetamol p.r.n."),
            ("É.", "É"),
            (".", ""),
            ("", ""),
        ] {
            assert_eq!(without_stop(text), wanted);
        }
    }

    #[test]
    fn what_is_absent_is_not_what_is_none() {
        assert_eq!(allergies(&facts_of("")), "none known");
        assert_eq!(allergies(&facts_of("history: {allergies: ~}")), NOT_RECORDED);
        assert_eq!(
            allergies(&facts_of("history: {allergies: [{to: latex, reaction: rash}]}")),
            "latex (rash)"
        );
        assert_eq!(listed(None), NOT_RECORDED);
        assert_eq!(listed(Some(Vec::new())), "none");
    }

    #[test]
    fn a_number_keeps_its_unit_and_nothing_else() {
        for (text, wanted) in [
            ("mepivacaine 3 %, 2.2 ml", "mepivacaine 3\u{a0}%, 2.2\u{a0}ml"),
            ("3 × 60 s (180 s); then", "3 × 60\u{a0}s (180\u{a0}s); then"),
            ("4.4 mg/kg × 62 kg = 5", "4.4\u{a0}mg/kg × 62\u{a0}kg = 5"),
            ("3 grains, a mg, 3  mg", "3 grains, a mg, 3 \u{a0}mg"),
            ("", ""),
        ] {
            assert_eq!(bound_units(text), wanted);
        }
    }

    #[test]
    fn an_amended_page_says_what_it_replaces_in_the_dates_of_its_reader() {
        let edition = Edition {
            is_draft: false,
            version: 2,
            made_on: CivilDate::of(2026, 11, 25).expect("a literal date"),
            replaces: Some(crate::documents::Replaces {
                version: 1,
                issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
                because: "batch mistyped".into(),
                changes: vec![ChangedPhrase { was: "M4417".into(), is: String::new() }],
            }),
            answered: Vec::new(),
            open: Vec::new(),
        };
        let facts = facts_of("");
        for (name, day) in [("operation-note", "24-Nov-2026"), ("consent-form", "24 November 2026")] {
            let document = crate::documents::document(name).expect("a document of that name");
            let page = page(&facts, &edition, document, String::new(), true);
            assert_eq!(page.amended, format!("Amended: replaces version 1 of {day}"));
            let changed = &page.changes[0];
            assert_eq!((changed.was.as_str(), changed.is.as_str()), ("M4417", "–"));
        }
    }

    #[test]
    fn toes_of_one_name_stand_together() {
        let item = |name: &str, toe: &str| (name.to_owned(), toe.to_owned());
        let groups = grouped([item("A", "1"), item("B", "2"), item("A", "3")].into_iter());
        assert_eq!(said(&groups), ["A: 1; 3", "B: 2"]);
    }

    fn said(groups: &[Group]) -> Vec<String> {
        groups.iter().map(|group| format!("{}: {}", group.name, group.toes.join("; "))).collect()
    }

    #[test]
    fn toes_are_named_in_words_and_by_code() {
        assert_eq!(toe_in_words(Toe::L1, Nail::Partial, L), "left hallux (L1), lateral edge");
        assert_eq!(toe_in_words(Toe::R2, Nail::Total, &[]), "right second toe (R2), whole nail");
        assert_eq!(
            said(&procedures(&facts_of(""), Naming::Codes)),
            ["Partial nail avulsion with phenol matrixectomy: left hallux (L1), lateral edge"]
        );
        assert_eq!(
            said(&diagnoses(&facts_of(""), Naming::Codes)),
            ["Ingrowing toenail: left hallux (L1), lateral edge, stage\u{a0}2, not infected"]
        );
        assert_eq!(
            said(&procedures(&facts_of(""), Naming::Plain)),
            [
                "Partial nail avulsion with phenol matrixectomy (part of the nail removed, its root treated with \
              phenol): left big toe (hallux), lateral (outer) edge"
            ]
        );
        assert_eq!(
            said(&diagnoses(&facts_of(""), Naming::Plain)),
            ["Ingrowing toenail: left big toe (hallux), lateral (outer) edge, stage\u{a0}2 (discharging), \
              not infected"]
        );
    }
}
