//! The operation note: every item that a surgical note must have, as recorded or "not recorded".
//!
//! The list is that of the Royal College of Surgeons with what nail surgery adds
//! (`clinical::sources::records::{OPERATION_NOTE_2002, OPERATION_NOTE_2014, SAFETY_CHECKLIST}`).
//! Nothing is filled in that the case file does not say.

use serde::Serialize;

use super::plan::Plan;
use super::view::{
    self, Feet, Labelled, NOT_RECORDED, Person, allergies, diagnoses, listed, procedures, recorded,
    toe_in_words,
};
use super::{Audience, Document, Edition, dose, feet};
use crate::case::{ConsentBy, Nail, OneOrMany, OperatedToe, Operation, Toe, Urgency};
use crate::date::{Expiry, TimeOfDay};
use crate::derive::{ToeTimes, Value};
use crate::diagnostic::Path;
use crate::diagnostic::english::{List, capitalised};
use crate::facts::Facts;

/// The operation note.
pub(crate) static DOCUMENT: Document = Document {
    name: "operation-note",
    title: "Operation note",
    template: "operation-note/main.typ",
    audience: Audience::Clinician,
    missing,
    view,
};

fn missing(facts: &Facts) -> Vec<Path> {
    if facts.case.operation.is_some() { Vec::new() } else { vec![Path::from("operation")] }
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
struct View {
    open: Vec<String>,
    feet: Feet,
    summary: Vec<Labelled>,
    background: Vec<Labelled>,
    consent: String,
    toe_tables: Vec<ToeTable>,
    dose: dose::DoseView,
    circulation: feet::CirculationView,
    checks: Vec<Check>,
    supplies: Vec<Supply>,
    surgical: Vec<Labelled>,
    not_done: Vec<String>,
    cautions: Vec<Caution>,
    visits: String,
    plan: Plan,
    codes: Codes,
}

/// Up to [`TOES_A_TABLE`] toes side by side.
#[derive(Debug, Serialize)]
struct ToeTable {
    heads: Vec<String>,
    rows: Vec<ToeRow>,
}

#[derive(Debug, Serialize)]
struct ToeRow {
    label: String,
    cells: Vec<String>,
}

/// What one toe says in one row.
type Cell = fn(&Facts, Toe, &OperatedToe) -> String;

/// A check with the answer in words, since an empty box may mean "no" and "not recorded".
#[derive(Debug, Serialize)]
struct Check {
    is_done: bool,
    what: &'static str,
    answer: &'static str,
}

/// A product or a set of instruments, to be traced.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Supply {
    item: String,
    batch: String,
    expires: String,
}

#[derive(Debug, Serialize)]
struct Caution {
    title: String,
    says: String,
    because: String,
    by: String,
}

#[derive(Debug, Serialize)]
struct Codes {
    items: Vec<CodeView>,
    unknown: String,
}

#[derive(Debug, Serialize)]
struct CodeView {
    system: String,
    code: String,
    title: String,
}

/// The label of the operator.
const OPERATOR: &str = "Operator";

/// More columns than this are too narrow to read.
const TOES_A_TABLE: usize = 3;

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let operation = facts.case.operation.as_ref();
    let drawn: Vec<_> =
        facts.operated().iter().map(|(toe, done)| (*toe, done.nail, done.edges.as_slice())).collect();
    let plan = Plan::of(facts);
    let own = View {
        open: if edition.is_draft { edition.open.clone() } else { Vec::new() },
        feet: Feet::of(&drawn),
        summary: operation.map_or_else(Vec::new, |operation| begun(summary(facts, operation))),
        background: begun(background(facts)),
        consent: capitalised(&consent(facts)),
        toe_tables: toe_tables(facts),
        dose: dose::DoseView::of(facts),
        circulation: feet::CirculationView::of(facts),
        checks: operation.map_or_else(Vec::new, checks),
        supplies: operation.map_or_else(Vec::new, supplies),
        surgical: operation.map_or_else(Vec::new, |operation| begun(surgical(facts, operation))),
        not_done: operation.map_or_else(Vec::new, |operation| not_done(facts, operation)),
        cautions: cautions(edition),
        visits: capitalised(&plan.visits),
        plan,
        codes: codes(facts),
    };
    view::with_shared(facts, edition, &DOCUMENT, String::new(), true, &own)
}

/// Values stand alone, so they begin with a capital; names stay as they are.
fn begun(items: Vec<Labelled>) -> Vec<Labelled> {
    let each = items.into_iter().map(|item| match item.label.as_str() {
        OPERATOR => item,
        _ => Labelled::new(item.label, capitalised(&item.value)),
    });
    each.collect()
}

fn summary(facts: &Facts, operation: &Operation) -> Vec<Labelled> {
    let operator = Person::of(facts.operator()).full();
    let assistant = operation.assistant.as_deref().unwrap_or("none recorded");
    let mut items = vec![
        Labelled::new("Procedure", view::in_lines(&procedures(facts)).join("\n")),
        Labelled::new("Diagnosis", or_not_recorded(&view::in_lines(&diagnoses(facts)))),
        Labelled::new("Date and time", date_and_time(facts, operation)),
        Labelled::new("Urgency", urgency(operation)),
        Labelled::new(OPERATOR, format!("{operator}; assistant: {assistant}")),
    ];
    if let Some(summary) = facts.case.problem.as_ref().and_then(|problem| problem.summary.as_ref()) {
        items.insert(2, Labelled::new("History", summary));
    }
    items
}

fn or_not_recorded(items: &[String]) -> String {
    if items.is_empty() { NOT_RECORDED.into() } else { items.join("\n") }
}

/// `24-Nov-2026, 09:30 to 10:20 (50 min)`.
fn date_and_time(facts: &Facts, operation: &Operation) -> String {
    let time = |time: Option<TimeOfDay>| time.map(TimeOfDay::clinical);
    let date = operation.date.clinical();
    let minutes =
        facts.derived.operation_minutes.get().map_or_else(String::new, |minutes| format!(" ({minutes} min)"));
    match (time(operation.start), time(operation.finish)) {
        (Some(start), Some(finish)) => format!("{date}, {start} to {finish}{minutes}"),
        (Some(start), None) => format!("{date}, from {start}; finish not recorded"),
        (None, Some(finish)) => format!("{date}, until {finish}; start not recorded"),
        (None, None) => format!("{date}; time not recorded"),
    }
}

/// As recorded; nothing else in a case shows it.
fn urgency(operation: &Operation) -> String {
    match operation.urgency {
        Some(Urgency::Elective) => "elective".into(),
        Some(Urgency::Emergency) => "emergency".into(),
        None => NOT_RECORDED.into(),
    }
}

fn background(facts: &Facts) -> Vec<Labelled> {
    let history = facts.case.history.as_ref();
    let conditions = history.and_then(|history| history.conditions.clone());
    let medicines = history
        .and_then(|history| history.medicines.as_ref())
        .map(|medicines| medicines.iter().map(crate::case::Medicine::full).collect());
    vec![
        Labelled::new("Allergies", allergies(facts)),
        Labelled::new("Diabetes", feet::diabetes(facts)),
        Labelled::new("Conditions", listed(conditions)),
        Labelled::new("Medicines", listed(medicines)),
        Labelled::new("Foot risk", facts.derived.foot_risk.print(|risk| risk.word().to_owned())),
    ]
}

/// `signed 20-Nov-2026 by the patient; confirmed 24-Nov-2026`.
pub(super) fn consent(facts: &Facts) -> String {
    let Some(consent) = &facts.case.consent else { return NOT_RECORDED.into() };
    let by = match consent.by {
        Some(ConsentBy::Patient) => " by the patient".to_owned(),
        Some(ConsentBy::Guardian) => match &facts.case.patient.guardian {
            Some(guardian) => format!(" by {} ({})", guardian.name, guardian.relationship),
            None => " by a guardian (name not recorded)".into(),
        },
        Some(ConsentBy::BestInterests) => " as a best-interests decision".into(),
        None => " (by whom: not recorded)".into(),
    };
    let signed = match consent.signed {
        Some(day) => format!("signed {}{by}", day.clinical()),
        None => "signing not recorded".into(),
    };
    let confirmed = match consent.confirmed {
        Some(day) => format!("confirmed {}", day.clinical()),
        None => "confirmation on the day not recorded".into(),
    };
    let interpreter = consent.interpreter.as_ref().map(|name| format!("interpreter: {name}"));
    let parts: Vec<String> = [Some(signed), Some(confirmed), interpreter].into_iter().flatten().collect();
    parts.join("; ")
}

fn toe_tables(facts: &Facts) -> Vec<ToeTable> {
    facts
        .operated()
        .chunks(TOES_A_TABLE)
        .map(|toes| {
            let rows: [(&str, Cell); 7] = [
                ("Nail removed", |_, _, done| nail(done)),
                ("Anaesthetic", |facts, _, done| injections(facts, done)),
                ("Tourniquet on, off", |facts, toe, done| tourniquet(facts, toe, done)),
                ("Phenol", |facts, toe, done| phenol(facts, toe, done)),
                ("Groove inspected", |_, _, done| groove(done)),
                ("Lavage", |_, _, done| lavage(done)),
                ("Refill after release", |_, _, done| refill(done)),
            ];
            let rows = rows.into_iter().map(|(label, cell)| ToeRow {
                label: label.into(),
                cells: toes.iter().map(|(toe, done)| capitalised(&cell(facts, *toe, done))).collect(),
            });
            ToeTable {
                heads: toes
                    .iter()
                    .map(|(toe, _)| capitalised(&format!("{} ({toe})", toe.clinical())))
                    .collect(),
                rows: rows.collect(),
            }
        })
        .collect()
}

fn nail(done: &OperatedToe) -> String {
    let mut text = match done.nail {
        Nail::Total => "whole nail".to_owned(),
        Nail::Partial => view::part_in_words(done.nail, &done.edges),
    };
    if let Some(agreed) = &done.agreed_on_day {
        text.push_str(&format!("; agreed on the day: {agreed}"));
    }
    text
}

fn injections(facts: &Facts, done: &OperatedToe) -> String {
    let each = done.injections();
    if each.is_empty() {
        return NOT_RECORDED.into();
    }
    let only = match facts.derived.agents.as_slice() {
        [only] => Some(only.agent.as_str()),
        _ => None,
    };
    let each = each.iter().map(|(_, injection)| {
        let agent = injection.agent.as_deref().or(only).unwrap_or("agent not recorded");
        let at = injection.at.map_or_else(|| "time not recorded".into(), TimeOfDay::clinical);
        format!("{at}, {} {agent}", injection.volume)
    });
    each.collect::<Vec<_>>().join("\n")
}

fn times(facts: &Facts, toe: Toe) -> Option<&ToeTimes> {
    facts.derived.toes.get(&toe)
}

fn tourniquet(facts: &Facts, toe: Toe, done: &OperatedToe) -> String {
    let Some(tourniquet) = &done.tourniquet else { return NOT_RECORDED.into() };
    let minutes = times(facts, toe).and_then(|times| times.tourniquet_minutes.get());
    let minutes = minutes.map_or_else(String::new, |minutes| format!(" ({minutes} min)"));
    let off = match tourniquet.off {
        Some(off) => format!("{}{minutes}", off.clinical()),
        None => "removal not recorded".into(),
    };
    let kind = tourniquet.kind.as_ref().map_or_else(String::new, |kind| format!("; {kind}"));
    format!("{}, {off}{kind}", tourniquet.on.clinical())
}

fn phenol(facts: &Facts, toe: Toe, done: &OperatedToe) -> String {
    let Some(phenol) = &done.phenol else { return "none".into() };
    let total = times(facts, toe).and_then(|times| times.phenol_seconds.get());
    let total = total.map_or_else(String::new, |seconds| format!(" ({} s)", seconds.normalize()));
    let overspill = match &done.overspill {
        Some(overspill) => format!("overspill: {overspill}"),
        None => "overspill not recorded".into(),
    };
    let end_point = match &done.end_point {
        Some(seen) => format!("end point: {seen}"),
        None => "end point not recorded".into(),
    };
    format!("{} × {}{total}; {end_point}; {overspill}", phenol.applications, phenol.each)
}

fn groove(done: &OperatedToe) -> String {
    match done.groove_clear {
        Some(true) => "no nail left".into(),
        Some(false) => "NOT clear".into(),
        None => "not recorded".into(),
    }
}

fn lavage(done: &OperatedToe) -> String {
    match (&done.lavage, &done.phenol) {
        (Some(lavage), _) => lavage.clone(),
        (None, Some(_)) => NOT_RECORDED.into(),
        (None, None) => "none recorded".into(),
    }
}

fn refill(done: &OperatedToe) -> String {
    done.refill.map_or_else(|| NOT_RECORDED.into(), |refill| refill.to_string())
}

fn checks(operation: &Operation) -> Vec<Check> {
    let checks = operation.checks.clone().unwrap_or_default();
    let each = [
        (checks.identity, "Identity and consent"),
        (checks.site_marked, "Toe marked"),
        (checks.allergies, "Allergies asked again"),
        (checks.counted, "Count complete"),
        (checks.tourniquet_off, "Tourniquet seen off"),
    ];
    let each = each.into_iter().map(|(answer, what)| Check {
        is_done: answer == Some(true),
        what,
        answer: match answer {
            Some(true) => "yes",
            Some(false) => "NO",
            None => NOT_RECORDED,
        },
    });
    each.collect()
}

fn supplies(operation: &Operation) -> Vec<Supply> {
    let supply = |item: String, batch: Option<&str>, expires: Option<Expiry>| Supply {
        item: capitalised(&item),
        // As typed: a batch number is not a word.
        batch: batch.map_or_else(|| capitalised(NOT_RECORDED), str::to_owned),
        expires: expires.map_or_else(|| capitalised(NOT_RECORDED), Expiry::clinical),
    };
    let mut all = Vec::new();
    let anaesthetics = operation.anaesthetic.as_ref().map_or_else(Vec::new, OneOrMany::all);
    for (_, agent) in anaesthetics {
        let adrenaline =
            agent.adrenaline.map_or_else(String::new, |ratio| format!(" with adrenaline 1 in {}", ratio.0));
        let item = format!("{} {}{adrenaline}", agent.agent, agent.strength);
        all.push(supply(item, agent.batch.as_deref(), agent.expires));
    }
    if let Some(phenol) = &operation.phenol {
        all.push(supply(format!("phenol {}", phenol.strength), phenol.batch.as_deref(), phenol.expires));
    }
    all.push(Supply {
        item: "Instruments".into(),
        batch: capitalised(&instruments(operation)),
        expires: "–".into(),
    });
    all
}

/// `tray T-0412, cycle 2231`; `single use, lot 77`.
fn instruments(operation: &Operation) -> String {
    let Some(instruments) = &operation.instruments else { return NOT_RECORDED.into() };
    let parts: Vec<String> = [
        instruments.tray.as_ref().map(|tray| format!("tray {tray}")),
        instruments.cycle.as_ref().map(|cycle| format!("cycle {cycle}")),
        instruments.single_use_lot.as_ref().map(|lot| format!("single use, lot {lot}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    if parts.is_empty() { NOT_RECORDED.into() } else { parts.join(", ") }
}

fn surgical(facts: &Facts, operation: &Operation) -> Vec<Labelled> {
    let none_recorded = || "none recorded".to_owned();
    let protocol = &facts.clinic.protocol;
    let from_protocol = |text: Option<&String>| match text {
        Some(text) => format!("{text} (clinic protocol)"),
        None => NOT_RECORDED.into(),
    };
    let dressing = match &operation.dressing {
        Some(dressing) => dressing.clone(),
        None if protocol.dressing.is_empty() => NOT_RECORDED.into(),
        None => format!("{} (clinic protocol)", protocol.dressing.join(", ")),
    };
    let specimens = operation.specimens.as_deref().map_or_else(none_recorded, str::to_owned);
    let mut items = vec![
        Labelled::new("Findings", findings(facts, operation)),
        Labelled::new("Complications", recorded(operation.complications.as_deref())),
        Labelled::new("Tissue removed", format!("{}; specimens: {specimens}", tissue(facts))),
        Labelled::new("Skin preparation", from_protocol(protocol.skin_preparation.as_ref())),
        Labelled::new("Dressing", dressing),
        Labelled::new("At discharge", recorded(operation.discharge.as_deref())),
        Labelled::new("Other items", other_items(operation)),
    ];
    if let Some(note) = &operation.note {
        items.push(Labelled::new("Note", note));
    }
    items
}

/// The rest of the surgical list, in one line: said where it is not recorded, never filled in.
fn other_items(operation: &Operation) -> String {
    let item =
        |name: &str, text: Option<&String>| format!("{name}: {}", text.map_or(NOT_RECORDED, String::as_str));
    [
        item("blood loss", operation.blood_loss.as_ref()),
        item("antibiotic prophylaxis", operation.antibiotics.as_ref()),
        item("VTE prophylaxis", operation.vte_prophylaxis.as_ref()),
        "incision, closure and implants: none recorded".into(),
    ]
    .join("; ")
}

/// What was found at operation, then toe by toe: `L1: not quite numb at first`.
fn findings(facts: &Facts, operation: &Operation) -> String {
    let toes = facts.operated();
    let each = toes.iter().filter_map(|(toe, done)| Some(format!("{toe}: {}", done.findings.as_ref()?)));
    let all: Vec<String> = operation.findings.iter().cloned().chain(each).collect();
    if all.is_empty() { "none recorded".into() } else { all.join("; ") }
}

/// `Nail strip of R1 and L1; whole nail of L2`.
fn tissue(facts: &Facts) -> String {
    let of = |nail: Nail, name: &str| {
        let toes: Vec<Toe> =
            facts.operated().into_iter().filter(|(_, done)| done.nail == nail).map(|(toe, _)| toe).collect();
        (!toes.is_empty()).then(|| format!("{name} of {}", List::and(toes)))
    };
    let parts = [of(Nail::Partial, "nail strip"), of(Nail::Total, "whole nail")];
    capitalised(&parts.into_iter().flatten().collect::<Vec<_>>().join("; "))
}

fn not_done(facts: &Facts, operation: &Operation) -> Vec<String> {
    let Some(toes) = &operation.not_done else { return Vec::new() };
    let planned = facts.planned();
    toes.iter()
        .map(|(toe, reason)| {
            let words = match planned.iter().find(|(other, _)| *other == toe) {
                Some((_, plan)) => toe_in_words(toe, plan.nail, &plan.edges),
                None => format!("{} ({toe})", toe.clinical()),
            };
            capitalised(&format!("{words}: {reason}"))
        })
        .collect()
}

fn cautions(edition: &Edition) -> Vec<Caution> {
    let each = edition.answered.iter().map(|caution| Caution {
        title: capitalised(&caution.title),
        says: caution.says.clone(),
        because: caution.because.clone(),
        by: caution.by.clone(),
    });
    each.collect()
}

fn codes(facts: &Facts) -> Codes {
    match &facts.derived.codes {
        Value::Known(known) => Codes {
            items: known
                .value
                .iter()
                .map(|code| CodeView {
                    system: code.system.into(),
                    code: code.code.into(),
                    title: code.title.into(),
                })
                .collect(),
            unknown: String::new(),
        },
        Value::Unknown(unknown) => Codes { items: Vec::new(), unknown: unknown.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn cell(facts: &Facts, label: &str) -> String {
        let tables = toe_tables(facts);
        let row = tables[0].rows.iter().find(|row| row.label == label);
        row.map_or_else(|| panic!("no row {label}"), |row| row.cells[0].clone())
    }

    #[test]
    fn it_needs_an_operation() {
        assert_eq!(missing(&facts_of("")), []);
        assert_eq!(missing(&facts_of("operation: ~")), [Path::from("operation")]);
    }

    #[test]
    fn what_is_not_recorded_is_said_not_filled_in() {
        let facts = facts_of(
            "operation: {toes: {L1: {tourniquet: {off: ~}, lavage: ~, refill: ~, groove_clear: ~, injected: ~}}}",
        );
        assert_eq!(cell(&facts, "Tourniquet on, off"), "09:50, removal not recorded");
        for label in ["Lavage", "Refill after release", "Groove inspected", "Anaesthetic"] {
            assert_eq!(cell(&facts, label), "Not recorded", "{label}");
        }
        assert!(cell(&facts, "Phenol").ends_with("end point not recorded; overspill not recorded"));
        let bare = facts_of("operation: {checks: ~, instruments: ~, phenol: {batch: ~, expires: ~}}");
        let operation = bare.case.operation.as_ref().expect("the base case has one");
        assert!(checks(operation).iter().all(|check| !check.is_done && check.answer == NOT_RECORDED));
        let values: Vec<[String; 3]> = supplies(operation)
            .into_iter()
            .map(|supply| [supply.item, supply.batch, supply.expires])
            .collect();
        assert_eq!(
            values,
            [
                ["Mepivacaine 3 %", "M4417", "Aug-2027"],
                ["Phenol 89 %", "Not recorded", "Not recorded"],
                ["Instruments", "Not recorded", "–"]
            ]
        );
    }

    #[test]
    fn a_check_that_failed_is_not_one_that_was_forgotten() {
        let facts = facts_of("operation: {checks: {counted: false, allergies: ~}}");
        let operation = facts.case.operation.as_ref().expect("the base case has one");
        let answers: Vec<&str> = checks(operation).iter().map(|check| check.answer).collect();
        assert_eq!(answers, ["yes", "yes", NOT_RECORDED, "NO", "yes"]);
    }

    #[test]
    fn three_toes_stand_side_by_side_and_the_fourth_below() {
        let toe = "{nail: total}";
        let facts = |toes: &str| facts_of(&format!("operation: {{toes: {{L1: ~, {toes}}}}}"));
        let three = toe_tables(&facts(&format!("R1: {toe}, R2: {toe}, R3: {toe}")));
        assert_eq!(three.iter().map(|table| table.heads.len()).collect::<Vec<_>>(), [3]);
        let four = toe_tables(&facts(&format!("R1: {toe}, R2: {toe}, R3: {toe}, L2: {toe}")));
        assert_eq!(four.iter().map(|table| table.heads.len()).collect::<Vec<_>>(), [3, 1]);
        assert_eq!(four[1].heads, ["Left second toe (L2)"]);
    }

    #[test]
    fn urgency_is_said_only_where_it_is_recorded() {
        let said = |fragment: &str| {
            let facts = facts_of(fragment);
            urgency(facts.case.operation.as_ref().expect("the base case has one"))
        };
        assert_eq!(said("operation: {urgency: elective}"), "elective");
        assert_eq!(said("operation: {urgency: emergency}"), "emergency");
        assert_eq!(said(""), NOT_RECORDED);
    }

    #[test]
    fn the_rest_of_the_surgical_list_is_never_filled_in() {
        let said = |fragment: &str| {
            let facts = facts_of(fragment);
            other_items(facts.case.operation.as_ref().expect("the base case has one"))
        };
        assert!(
            said("operation: {blood_loss: 2 ml}")
                .starts_with("blood loss: 2 ml; antibiotic prophylaxis: not recorded")
        );
        assert!(said("").starts_with("blood loss: not recorded"));
    }
}
