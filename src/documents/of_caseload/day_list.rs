//! The day list: the operations of one day in the order of their times, for those who prepare the room.
//!
//! It says what speaks for another order and never changes the order itself. It counts only open
//! findings that were found elsewhere, and judges nothing.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value as Json;

use super::{List, is_long};
use crate::anatomy::{Edge, Matrix, Nail, Side, Toe};
use crate::case::{Supply, SupplyKind};
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::names_of;
use crate::documents::page::{self, Feet, with_list_page};
use crate::facts::{Caseload, Facts, OneCase};
use crate::words::{Count, List as Words, capitalised};

/// The list of a day.
pub(crate) static LIST: List = List {
    name: "day-list",
    title: "Nail surgery list",
    template: "day-list/main.typ",
    is_across: true,
    names_cases: true,
    view: |caseload| {
        let today = caseload.today;
        view(&caseload.with_rows(|one| Some(Entry::OnTheDay(Box::new(Row::of(&one, today))))), today)
    },
};

/// One case on the list.
#[derive(Debug, Clone)]
pub(crate) enum Entry {
    /// It is operated on, on the day.
    OnTheDay(Box<Row>),
    /// It is planned and no day is booked: its reference.
    NotBooked(String),
}

/// Something that those in the room have to know beforehand.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LookOut {
    /// What: `allergy`, `poor circulation`. The template words it.
    pub(crate) key: &'static str,
    /// Of which foot: `left`; empty where it is of neither alone.
    pub(crate) side: &'static str,
    /// As it is recorded.
    pub(crate) value: String,
}

impl LookOut {
    /// In one line, for screen and table: `Poor circulation, left foot: toe pressure 45 mmHg`.
    pub(crate) fn line(&self) -> String {
        let foot = if self.side.is_empty() { String::new() } else { format!(", {} foot", self.side) };
        format!("{}{foot}: {}", capitalised(self.key), self.value)
    }
}

/// One line of the list.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Row {
    #[serde(skip)]
    order: (bool, Option<TimeOfDay>, String),
    /// `09:30`; empty if no time is booked.
    pub(crate) time: String,
    /// Minutes that are booked; may be empty, as may all texts here.
    pub(crate) minutes: String,
    /// The room.
    pub(crate) room: String,
    /// The case.
    pub(crate) reference: String,
    /// `HOLLIS, Imogen (Ms)`.
    pub(crate) name: String,
    /// `42y`.
    pub(crate) age: String,
    /// `09-Feb-1984`.
    pub(crate) born: String,
    /// The part of each toe, right first.
    pub(crate) toes: Vec<Operate>,
    /// The same as a picture.
    pub(crate) feet: Feet,
    /// What may be drawn up: `9.9 ml`; empty if that is not known.
    pub(crate) allowance: String,
    /// Of what: `mepivacaine 3 %`.
    pub(crate) agent: String,
    /// It is not what the clinic always uses.
    pub(crate) agent_differs: bool,
    /// Why what may be drawn up is not known.
    pub(crate) allowance_unknown: String,
    /// What was given, where the operation is recorded: `mepivacaine 2.2 ml`.
    pub(crate) given: Vec<String>,
    /// What to look out for, the most urgent first.
    pub(crate) look_out: Vec<LookOut>,
    /// What speaks for a place at the beginning or the end of the list.
    pub(crate) order_reasons: Vec<&'static str>,
    /// Keys of the clinic's boxes that it needs: those that the case names, else those in use on the day that
    /// hold what is planned.
    pub(crate) boxes: Vec<String>,
    /// What it needs and no box in use holds: `lidocaine 2 %`.
    pub(crate) without_box: Vec<String>,
    /// Consent.
    pub(crate) consent: ConsentOfDay,
    /// What the patient needs.
    pub(crate) needs: Vec<String>,
    /// What the patient is concerned about, as it was written down.
    pub(crate) concerns: String,
    /// The tray and its cycle, where they are recorded.
    pub(crate) tray: String,
    /// The operation is recorded.
    pub(crate) is_done: bool,
    /// When it ended, or began.
    pub(crate) done_at: String,
    /// Open stops.
    pub(crate) not_ready: Vec<String>,
    /// How many cautions are open.
    pub(crate) cautions: String,
    /// It may run on to the next page.
    pub(crate) is_long: bool,
}

/// One toe of a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Operate {
    /// `left big toe`.
    pub(crate) toe: String,
    /// `L1`.
    pub(crate) code: &'static str,
    /// `outer (lateral) edge`, `whole nail`.
    pub(crate) part: String,
    /// With phenol.
    pub(crate) phenol: bool,
}

/// What is to be done about consent on the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct ConsentOfDay {
    /// The day of the signature; empty if none is recorded.
    pub(crate) signed: String,
    /// It was signed on the day of surgery.
    pub(crate) is_of_the_day: bool,
    /// It was confirmed on the day of surgery.
    pub(crate) is_confirmed: bool,
    /// Who decides, where it is not an adult patient: `somebody with parental responsibility`.
    pub(crate) decider: String,
}

#[derive(Debug, Serialize)]
struct View<'a> {
    day: String,
    rows: Vec<&'a Row>,
    not_booked: Vec<&'a str>,
    boxes: Vec<BoxOfDay>,
    without_box: Vec<String>,
    anaesthetic: String,
    phenol: String,
    rooms: String,
}

/// A box of the clinic that the day needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct BoxOfDay {
    /// Its key.
    pub(crate) key: String,
    /// `mepivacaine 3 %`.
    pub(crate) what: String,
    /// Batch number.
    pub(crate) batch: String,
    /// Expiry.
    pub(crate) expires: String,
    /// For how many cases.
    pub(crate) cases: String,
}

/// The view of a day.
pub(crate) fn view(caseload: &Caseload<Entry>, day: CivilDate) -> Json {
    let protocol = &caseload.clinic.protocol;
    let own = View {
        day: day.long_with_day(),
        rows: rows(caseload),
        not_booked: not_booked(caseload),
        anaesthetic: protocol
            .anaesthetic
            .as_ref()
            .map_or_else(String::new, |usual| format!("{} {}", usual.agent, usual.strength)),
        phenol: protocol.phenol.map_or_else(String::new, |strength| strength.to_string()),
        boxes: boxes(caseload),
        without_box: without_box(caseload),
        rooms: rooms(caseload),
    };
    with_list_page(caseload, &LIST, day.long_with_day(), true, &own)
}

/// The lines in the order of their times; those without a time last.
pub(crate) fn rows(caseload: &Caseload<Entry>) -> Vec<&Row> {
    let rows = caseload.rows.iter().filter_map(|entry| match entry {
        Entry::OnTheDay(row) => Some(row.as_ref()),
        Entry::NotBooked(_) => None,
    });
    let mut rows: Vec<&Row> = rows.collect();
    rows.sort_by(|one, other| one.order.cmp(&other.order));
    rows
}

/// The references of planned cases for which no day is booked.
pub(crate) fn not_booked(caseload: &Caseload<Entry>) -> Vec<&str> {
    let references = caseload.rows.iter().filter_map(|entry| match entry {
        Entry::NotBooked(reference) => Some(reference.as_str()),
        Entry::OnTheDay(_) => None,
    });
    let mut references: Vec<&str> = references.collect();
    references.sort_unstable();
    references
}

/// The boxes that the day needs, in the order of the clinic file.
pub(crate) fn boxes(caseload: &Caseload<Entry>) -> Vec<BoxOfDay> {
    let rows = rows(caseload);
    let each = caseload.clinic.supplies.iter().filter_map(|(key, supply)| {
        let cases = rows.iter().filter(|row| row.boxes.contains(key)).count();
        (cases > 0).then(|| BoxOfDay {
            key: key.clone(),
            what: content(supply),
            batch: supply.batch.clone(),
            expires: supply.expires.clinical(),
            cases: Count(cases, "case").to_string(),
        })
    });
    each.collect()
}

/// What the day needs and no box in use holds, each once.
pub(crate) fn without_box(caseload: &Caseload<Entry>) -> Vec<String> {
    let mut all: Vec<String> = rows(caseload).iter().flat_map(|row| row.without_box.clone()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// `lidocaine 2 % with adrenaline 1 in 200,000`, `phenol 89 %`.
fn content(supply: &Supply) -> String {
    if let Some(dressing) = &supply.dressing {
        return format!("dressing: {dressing}");
    }
    let strength = supply.strength.map_or_else(String::new, |strength| format!(" {strength}"));
    let adrenaline =
        supply.adrenaline.map_or_else(String::new, |ratio| format!(" with adrenaline {}", ratio.in_words()));
    format!("{}{strength}{adrenaline}", supply.agent.as_deref().unwrap_or_default())
}

/// The boxes of a case, and what it needs that stands in none. A clinic that lists no boxes is not told that
/// one is missing.
fn boxes_of(facts: &Facts, day: CivilDate) -> (Vec<String>, Vec<String>) {
    let supplies = &facts.clinic.supplies;
    if let Some(operation) = &facts.case.operation {
        let agents = operation.anaesthetic.iter().flat_map(|all| all.all());
        let agents = agents.filter_map(|(_, one)| one.supply.as_ref());
        let phenol = operation.phenol.iter().filter_map(|one| one.supply.as_ref());
        let dressing = operation.dressing_packs.iter().filter_map(|one| one.supply.as_ref());
        return (agents.chain(phenol).chain(dressing).cloned().collect(), Vec::new());
    }
    if supplies.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let (mut keys, mut lacking) = (Vec::new(), Vec::new());
    let mut need = |what: String, is_it: &dyn Fn(&Supply) -> bool| {
        let fits: Vec<String> = supplies
            .iter()
            .filter(|(_, one)| one.is_in_use_on(day) && is_it(one))
            .map(|(key, _)| key.clone())
            .collect();
        if fits.is_empty() { lacking.push(what) } else { keys.extend(fits) }
    };
    if let Some(planned) = facts.planned_anaesthetic() {
        need(format!("{} {}", planned.agent, planned.strength), &|one| {
            one.kind() == Some(SupplyKind::Anaesthetic)
                && one.agent.as_deref().is_some_and(|agent| agent.eq_ignore_ascii_case(&planned.agent))
                && one.strength == Some(planned.strength)
                && one.adrenaline == planned.adrenaline
        });
    }
    if facts.planned().iter().any(|(_, one)| one.matrix == Matrix::Phenol) {
        let usual = facts.clinic.protocol.phenol;
        let what = usual.map_or_else(|| "phenol".to_owned(), |strength| format!("phenol {strength}"));
        need(what, &|one| {
            one.kind() == Some(SupplyKind::Phenol) && (usual.is_none() || one.strength == usual)
        });
    }
    (keys, lacking)
}

fn rooms(caseload: &Caseload<Entry>) -> String {
    let rooms: BTreeMap<&str, ()> =
        rows(caseload).iter().filter(|row| !row.room.is_empty()).map(|row| (row.room.as_str(), ())).collect();
    Words::and(rooms.keys()).to_string()
}

impl Entry {
    /// The place of a case on the list of a day; `None` if it has none.
    pub(crate) fn of(one: &OneCase<'_>, day: CivilDate) -> Option<Entry> {
        let case = &one.facts.case;
        let operated = case.operation.as_ref().map(|operation| operation.date);
        let booked = case.booked.as_ref().map(|booked| booked.on);
        match (operated, booked) {
            (Some(on), _) | (None, Some(on)) if on == day => {
                Some(Entry::OnTheDay(Box::new(Row::of(one, day))))
            }
            (None, None) if case.closed.is_none() && case.plan.is_some() => {
                Some(Entry::NotBooked(case.reference.to_string()))
            }
            _ => None,
        }
    }
}

impl Row {
    /// The line of a case that is operated on, on this day.
    pub(crate) fn of(one: &OneCase<'_>, day: CivilDate) -> Row {
        let facts = one.facts;
        let (case, derived) = (&facts.case, &facts.derived);
        let operation = case.operation.as_ref();
        let booked = case.booked.as_ref();
        let start = operation.and_then(|operation| operation.start.value());
        let time = booked.and_then(|booked| booked.at).or(start);
        let parts = parts(facts);
        let allowance = derived.anaesthetic_allowance.get();
        let planned = facts.planned_anaesthetic();
        let agent = planned.map_or_else(String::new, |planned| {
            let adrenaline = planned.adrenaline.map(|ratio| format!(" with adrenaline {}", ratio.in_words()));
            format!("{} {}{}", planned.agent, planned.strength, adrenaline.unwrap_or_default())
        });
        let open = (one.open)();
        let stops = open.iter().filter(|open| open.is_stop);
        let (boxes, without_box) = boxes_of(facts, day);
        let cautions = open.iter().filter(|open| !open.is_stop).count();
        let mut row = Row {
            order: (time.is_none(), time, case.reference.to_string()),
            time: time.map_or_else(String::new, TimeOfDay::clinical),
            minutes: booked
                .and_then(|booked| booked.minutes)
                .map_or_else(String::new, |minutes| minutes.to_string()),
            room: booked.and_then(|booked| booked.room.clone()).unwrap_or_default(),
            reference: case.reference.to_string(),
            name: page::banner_name(facts),
            age: derived.age.get().map_or_else(|| page::NOT_KNOWN.to_owned(), |age| age.clinical()),
            born: case.patient.born.clinical(),
            feet: Feet::of(
                &parts.iter().map(|(toe, nail, edges, _)| (*toe, *nail, *edges)).collect::<Vec<_>>(),
            ),
            toes: parts
                .iter()
                .map(|(toe, nail, edges, phenol)| operate(*toe, *nail, edges, *phenol))
                .collect(),
            allowance: allowance.map_or_else(String::new, |allowance| allowance.volume.to_string()),
            agent,
            agent_differs: case.planned_anaesthetic.is_some()
                && case.planned_anaesthetic != facts.clinic.protocol.anaesthetic,
            allowance_unknown: derived
                .anaesthetic_allowance
                .unknown()
                .map_or_else(String::new, ToString::to_string),
            given: derived
                .agents
                .iter()
                .map(|agent| format!("{} {}", agent.agent, page::short(&agent.volume, ToString::to_string)))
                .collect(),
            look_out: look_out(facts),
            order_reasons: order_reasons(facts),
            boxes,
            without_box,
            consent: consent(facts, day),
            needs: needs(facts),
            concerns: case.consent.as_ref().and_then(|consent| consent.concerns.clone()).unwrap_or_default(),
            tray: operation.and_then(|operation| operation.instruments.get()).map_or_else(
                String::new,
                |instruments| {
                    let parts = [&instruments.tray, &instruments.cycle, &instruments.single_use_lot];
                    parts.into_iter().flatten().cloned().collect::<Vec<_>>().join(", ")
                },
            ),
            is_done: operation.is_some(),
            done_at: operation
                .and_then(|operation| operation.finish.value().or(start))
                .map_or_else(String::new, TimeOfDay::clinical),
            not_ready: stops.map(|open| capitalised(&open.title)).collect(),
            cautions: if cautions == 0 { String::new() } else { cautions.to_string() },
            is_long: false,
        };
        row.is_long = is_long(&row);
        row
    }
}

/// What was done, else what is planned.
fn parts(facts: &Facts) -> Vec<(Toe, Nail, &[Edge], bool)> {
    if facts.case.operation.is_some() {
        let done = facts.operated().into_iter();
        return done.map(|(toe, done)| (toe, done.nail, done.edges(), done.phenol.is_some())).collect();
    }
    let planned = facts.planned().into_iter();
    planned.map(|(toe, one)| (toe, one.nail, one.edges.as_slice(), one.matrix == Matrix::Phenol)).collect()
}

/// Left and right in full; a code only beside its words.
fn operate(toe: Toe, nail: Nail, edges: &[Edge], phenol: bool) -> Operate {
    let plain = |edge: Edge| format!("{} ({})", edge.plain(), edge.word());
    let part = match (nail, edges) {
        (Nail::Total, _) => "whole nail".to_owned(),
        (Nail::Partial, []) => "no edge named".to_owned(),
        (Nail::Partial, [one]) => format!("{} edge", plain(*one)),
        (Nail::Partial, _) => format!("{} and {} edges", plain(Edge::Medial), plain(Edge::Lateral)),
    };
    Operate { toe: toe.plain(), code: toe.code(), part, phenol }
}

/// Everything that those in the room have to know beforehand, as it is recorded; what was not asked is
/// said as well.
fn look_out(facts: &Facts) -> Vec<LookOut> {
    let derived = &facts.derived;
    let history = facts.case.history.as_ref();
    let mut all = Vec::new();
    let mut add = |key: &'static str, side: Option<Side>, value: String| {
        if !value.is_empty() {
            all.push(LookOut { key, side: side.map_or("", Side::word), value });
        }
    };

    match history.and_then(|history| history.allergies.as_ref()) {
        Some(entry) if entry.list().is_empty() => {}
        _ => add("allergies", None, page::allergies(facts)),
    }
    let bleeding = &derived.bleeding_risk;
    add("anticoagulant", None, names_of(&bleeding.anticoagulants, ", "));
    add(
        "INR",
        None,
        bleeding.inr.map_or_else(String::new, |inr| format!("{} on {}", inr.value, inr.tested.clinical())),
    );
    add("bleeding disorder", None, names_of(&bleeding.disorders, ", "));
    add("antiplatelet", None, names_of(&bleeding.antiplatelets, ", "));
    if history.is_none_or(|history| history.medicines.is_none()) {
        add("medicines", None, page::NOT_RECORDED.to_owned());
    }
    for side in Side::BOTH {
        add("poor circulation", Some(side), derived.poor_circulation.get(side).because());
    }
    let diabetes = &derived.diabetes;
    if diabetes.holds() {
        add("diabetes", None, diabetes.because());
    } else if diabetes.answer == crate::derive::Answer::NotKnown {
        add("diabetes", None, page::NOT_RECORDED.to_owned());
    }
    for side in Side::BOTH {
        add("reduced feeling", Some(side), derived.reduced_feeling.get(side).because());
    }
    if derived.pregnancy.holds() {
        add("pregnancy", None, derived.pregnancy.because());
    }
    add("weak immunity", None, derived.weak_immunity.because());
    add("toes lose blood in the cold", None, derived.vasospasm.because());
    let infected = infected(facts);
    add("infected", None, Words::and(infected.iter().map(|toe| toe.plain())).to_string());
    if let Some(earlier) = &derived.earlier_anaesthetic {
        add("another local anaesthetic", None, earlier.what.clone());
    }
    if derived.frailty.holds() {
        add("frail", None, "yes".to_owned());
    }
    let conditions: Vec<&str> = derived.conditions.iter().map(|condition| condition.typed.as_str()).collect();
    add("conditions", None, conditions.join(", "));
    if history.is_none_or(|history| history.conditions.is_none()) {
        add("conditions", None, page::NOT_RECORDED.to_owned());
    }
    all
}

fn infected(facts: &Facts) -> Vec<Toe> {
    let toes = facts.case.affected().into_iter().flat_map(|toes| toes.iter());
    toes.filter(|(_, seen)| seen.infected == Some(true) || seen.cellulitis == Some(true))
        .map(|(toe, _)| toe)
        .collect()
}

/// Reasons that are in use for a place on a list; which of them counts is for people.
///
/// Children, diabetes and allergy to anaesthetic medicines early: Cambridge University Hospitals,
/// paediatric surgery list orders. Latex: the room is kept free of it. Infection late: a custom, not
/// needed where surfaces are cleaned.
fn order_reasons(facts: &Facts) -> Vec<&'static str> {
    let is_child = facts.derived.age.get().is_some_and(|age| age.years < Threshold::Adult.whole());
    let reasons = [
        (facts.allergic_to(Class::Latex), "latex"),
        (facts.allergic_to(Class::AmideAnaesthetic), "allergy to an anaesthetic"),
        (is_child, "under 18"),
        (facts.has_diabetes(), "diabetes"),
        (!infected(facts).is_empty(), "infection"),
    ];
    reasons.into_iter().filter(|(holds, _)| *holds).map(|(_, reason)| reason).collect()
}

fn consent(facts: &Facts, day: CivilDate) -> ConsentOfDay {
    let consent = facts.case.consent.as_ref();
    let signed = consent.and_then(|consent| consent.signed);
    let decider = facts.derived.decision_maker.get();
    ConsentOfDay {
        signed: signed.map_or_else(String::new, CivilDate::clinical),
        is_of_the_day: signed == Some(day),
        is_confirmed: consent.and_then(|consent| consent.confirmed) == Some(day),
        decider: decider
            .filter(|decider| decider.decider != crate::derive::Decider::Adult)
            .map_or_else(String::new, |decider| decider.decider.to_string()),
    }
}

fn needs(facts: &Facts) -> Vec<String> {
    let patient = &facts.case.patient;
    let mut needs: Vec<String> = patient
        .needs
        .iter()
        .map(|need| match (need, &patient.language) {
            (crate::case::Need::Interpreter, Some(language)) => format!("interpreter ({language})"),
            (need, _) => need.word().to_owned(),
        })
        .collect();
    if let Some(guardian) = &patient.guardian {
        needs.push(format!("{} ({})", guardian.name, guardian.relationship));
    }
    if let Some(preferred) = &patient.preferred {
        needs.push(format!("called {preferred}"));
    }
    needs
}
