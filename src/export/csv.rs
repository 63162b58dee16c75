//! A table of many cases, a row a toe, with what each column holds.
//!
//! What a column is, the model says: its words are those of the schema that checks a case file. A value that was
//! not recorded is an empty cell; one that is said not to be recorded is `not recorded`. No free text stands here,
//! so that no name can.

use serde_json::Value as Json;

use crate::anatomy::{Edge, Matrix, Toe};
use crate::case::{Accepts, Measured, OperatedToe, Regrowth, case_schema};
use crate::clinical::tables;
use crate::derive::{AgentDose, Answer, Fact, ToeCourse, ToeTimes, Value, share_in_percent};
use crate::documents::name_of;
use crate::facts::{Facts, PlanAndDone};
use crate::units::shortened;

/// What a cell says where it was written that there is no value.
const NOT_RECORDED: &str = "not recorded";

/// Where a column comes from.
#[derive(Debug, Clone, Copy)]
enum Origin {
    /// A key of the case file; `TOE` stands for the toe of the row.
    Key(&'static str),
    /// Worked out, and what it is.
    WorkedOut(&'static str),
}

use Origin::{Key, WorkedOut};

/// A column of the table.
struct Column {
    name: &'static str,
    /// How a cell is written: its unit, or its words.
    how: &'static str,
    from: Origin,
    /// It tells who somebody is.
    is_name: bool,
    cell: fn(&Row<'_>) -> String,
}

/// A toe of a case.
struct Row<'a> {
    facts: &'a Facts,
    /// `None` of a case without any toe.
    toe: Option<Toe>,
    one: Option<PlanAndDone<'a>>,
}

impl<'a> Row<'a> {
    fn treated(&self) -> Option<&'a OperatedToe> {
        self.one.as_ref()?.treated
    }

    fn times(&self) -> Option<&'a ToeTimes> {
        self.facts.derived.toes.get(&self.toe?)
    }

    fn course(&self) -> Option<&'a ToeCourse> {
        self.facts.derived.course.toes.iter().find(|course| Some(course.toe) == self.toe)
    }
}

const fn column(name: &'static str, how: &'static str, from: Origin, cell: fn(&Row<'_>) -> String) -> Column {
    Column { name, how, from, is_name: false, cell }
}

const fn who(name: &'static str, how: &'static str, from: Origin, cell: fn(&Row<'_>) -> String) -> Column {
    Column { name, how, from, is_name: true, cell }
}

/// The columns in their order.
static COLUMNS: &[Column] = &[
    column("reference", "text", Key("reference"), |row| row.facts.case.reference.to_string()),
    who("family", "text", Key("patient.family"), |row| row.facts.case.patient.family.clone()),
    who("given", "text", Key("patient.given"), |row| row.facts.case.patient.given.clone()),
    who("born", "date", Key("patient.born"), |row| row.facts.case.patient.born.to_string()),
    who("nhs_number", "text", Key("patient.nhs_number"), |row| number(row, "nhs_number")),
    who("chi_number", "text", Key("patient.chi_number"), |row| number(row, "chi_number")),
    who("hc_number", "text", Key("patient.hc_number"), |row| number(row, "hc_number")),
    who("operator", "text", Key("operation.operator"), |row| {
        row.facts.operator().map_or_else(String::new, |operator| operator.name.clone())
    }),
    who("consent_taken_by", "text", Key("consent.taken_by"), |row| {
        let taken_by = row.facts.case.consent.as_ref().and_then(|consent| consent.taken_by.as_deref());
        taken_by.map_or_else(String::new, |typed| name_of(row.facts, typed))
    }),
    column("sex", "female, male or other", Key("patient.sex"), |row| {
        row.facts.case.patient.sex.map_or_else(String::new, |sex| sex.word().to_owned())
    }),
    column(
        "age",
        "years",
        WorkedOut(
            "Completed years on the day of surgery; before it on the day for which it is booked, or on that of the table.",
        ),
        |row| derived(&row.facts.derived.age, |age| age.years.to_string()),
    ),
    column("weight_kg", "kg", Key("patient.weight"), |row| {
        measured(&row.facts.case.patient.weight, |mass| shortened(mass.metric.0).normalize().to_string())
    }),
    column("height_cm", "cm", Key("patient.height"), |row| {
        measured(&row.facts.case.patient.height, |height| shortened(height.metric.0).normalize().to_string())
    }),
    column("diabetes", "yes or no", WorkedOut("Whether the patient has diabetes: yes or no."), |row| {
        fact(&row.facts.derived.diabetes)
    }),
    column("hba1c_mmol_mol", "mmol/mol", Key("history.diabetes.hba1c"), |row| {
        derived(&row.facts.derived.hba1c, |both| both.mmol_per_mol.to_string())
    }),
    column("smokes", "yes or no", WorkedOut("Whether the patient smokes now: yes or no."), |row| {
        fact(&row.facts.derived.smoking)
    }),
    column(
        "toe",
        "R1 to L5",
        WorkedOut(
            "The toe: R1 to R5, L1 to L5; 1 is the hallux. Every toe that is affected, planned or treated has a row.",
        ),
        |row| row.toe.map_or_else(String::new, |toe| toe.code().to_owned()),
    ),
    column(
        "affected_edges",
        "medial, lateral, or both joined by and",
        Key("problem.toes.TOE.edges"),
        |row| affected(row).map_or_else(String::new, |toe| edges(&toe.edges)),
    ),
    column("stage", "1 to 3", Key("problem.toes.TOE.stage"), |row| {
        affected(row).and_then(|toe| toe.stage).map_or_else(String::new, |stage| stage.to_string())
    }),
    column("infected_before", "yes or no", Key("problem.toes.TOE.infected"), |row| {
        yes(affected(row).and_then(|toe| toe.infected))
    }),
    column("surgery_before", "yes or no", Key("problem.toes.TOE.previous_surgery"), |row| {
        yes(affected(row).and_then(|toe| toe.previous_surgery))
    }),
    column(
        "abpi",
        "number",
        WorkedOut("Ankle-brachial pressure index of the foot of this toe, 2 decimals."),
        |row| {
            let side = row.toe.map(|toe| row.facts.derived.circulation.get(toe.side()));
            side.map_or_else(String::new, |side| derived(&side.abpi, |abpi| abpi.index.to_string()))
        },
    ),
    column(
        "tbpi",
        "number",
        WorkedOut("Toe-brachial pressure index of the foot of this toe, 2 decimals."),
        |row| {
            let side = row.toe.map(|toe| row.facts.derived.circulation.get(toe.side()));
            side.map_or_else(String::new, |side| derived(&side.tbpi, |tbpi| tbpi.index.to_string()))
        },
    ),
    column("planned_nail", "partial or total", Key("plan.TOE.nail"), |row| {
        plan(row, |plan| plan.nail.word().to_owned())
    }),
    column("planned_edges", "medial, lateral, or both joined by and", Key("plan.TOE.edges"), |row| {
        plan(row, |plan| edges(&plan.edges))
    }),
    column("planned_matrix", "phenol or none", Key("plan.TOE.matrix"), |row| {
        plan(row, |plan| if plan.matrix == Matrix::Phenol { "phenol".to_owned() } else { "none".to_owned() })
    }),
    column("consent_signed", "date", Key("consent.signed"), |row| {
        let signed = row.facts.case.consent.as_ref().and_then(|consent| consent.signed);
        signed.map_or_else(String::new, |day| day.to_string())
    }),
    column("operated", "date", Key("operation.date"), |row| {
        row.facts.case.operation.as_ref().map_or_else(String::new, |operation| operation.date.to_string())
    }),
    column("nail", "partial, total or none", Key("operation.toes.TOE.nail"), |row| {
        row.treated().map_or_else(String::new, |done| {
            done.nail.nail().map_or("none", crate::anatomy::Nail::word).to_owned()
        })
    }),
    column("edges", "medial, lateral, or both joined by and", Key("operation.toes.TOE.edges"), |row| {
        row.treated().map_or_else(String::new, |done| edges(&done.edges))
    }),
    column(
        "not_done",
        "yes",
        WorkedOut("This toe was planned and it is recorded that it was not operated on: yes."),
        |row| row.one.filter(|one| !one.not_done.is_empty()).map_or_else(String::new, |_| "yes".to_owned()),
    ),
    column(
        "agents",
        "words",
        WorkedOut(
            "The anaesthetics of the operation, joined by \"and\"; another where the table of agents does not know it.",
        ),
        |row| {
            let named = |agent: &AgentDose| tables::agent(&agent.agent).map_or("another", |known| known.name);
            let agents: Vec<&str> = row.facts.derived.agents.iter().map(named).collect();
            agents.join(" and ")
        },
    ),
    column("injected_ml", "ml, several injections joined by +", Key("operation.toes.TOE.injected"), |row| {
        let each = row.treated().map(OperatedToe::injections).unwrap_or_default();
        let each =
            each.iter().map(|(_, injection)| measured(&injection.volume, |ml| ml.0.normalize().to_string()));
        each.collect::<Vec<_>>().join(" + ")
    }),
    column(
        "dose_percent_of_limit",
        "%",
        WorkedOut(
            "The dose over its limit, all anaesthetics of the operation together, in percent, rounded up.",
        ),
        |row| {
            derived(&row.facts.derived.anaesthetic_share, |share| {
                share_in_percent(*share).trim_end_matches(" %").to_owned()
            })
        },
    ),
    column("tourniquet_minutes", "minutes", WorkedOut("Minutes of tourniquet."), |row| {
        row.times().map_or_else(String::new, |times| derived(&times.tourniquet_minutes, i64::to_string))
    }),
    column("phenol_applications", "number", Key("operation.toes.TOE.phenol.applications"), |row| {
        phenol(row, |phenol| measured(&phenol.applications, |count| count.0.to_string()))
    }),
    column("phenol_each_s", "s", Key("operation.toes.TOE.phenol.each"), |row| {
        phenol(row, |phenol| measured(&phenol.each, |each| each.0.normalize().to_string()))
    }),
    column(
        "phenol_seconds",
        "s",
        WorkedOut("Seconds of phenol on an edge, all applications; of a whole nail, on its bed."),
        |row| {
            row.times().map_or_else(String::new, |times| {
                derived(&times.phenol_seconds, |s| s.normalize().to_string())
            })
        },
    ),
    column("groove_clear", "yes or no", Key("operation.toes.TOE.groove_clear"), |row| {
        yes(row.treated().and_then(|done| done.groove_clear))
    }),
    column(
        "course",
        "words",
        WorkedOut(
            "How far the case has come: assessed, consented, given up, operated, healing, healed or closed.",
        ),
        |row| row.facts.derived.course.stage.word().to_owned(),
    ),
    column(
        "last_seen",
        "date",
        WorkedOut("The last day on which anything was recorded of this toe after surgery."),
        |row| day(row.course().and_then(|course| course.last_seen)),
    ),
    column(
        "healed",
        "date",
        WorkedOut("The day on which the toe was healed, where somebody wrote that it was."),
        |row| day(row.course().and_then(|course| course.healed).map(|healed| healed.on)),
    ),
    column(
        "infected_after",
        "date",
        WorkedOut("The first day on which an infection was recorded after surgery."),
        |row| day(row.course().and_then(|course| course.infection.as_ref()).map(|infection| infection.on)),
    ),
    column("burn", "yes or no", WorkedOut("The skin around was burnt by phenol: yes or no."), |row| {
        yes(row.course().and_then(|course| course.burn))
    }),
    column(
        "regrowth",
        "none, spike or nail",
        WorkedOut(
            "Nail that came back, the worst that was seen: spike or nail; none where it was looked for and not seen.",
        ),
        |row| {
            let course = row.course();
            let seen = course.and_then(|course| course.regrowth).map(|regrowth| regrowth.kind);
            let looked = course.and_then(|course| course.regrowth_looked_for).map(|_| Regrowth::None);
            seen.or(looked).map_or_else(String::new, |kind| kind.word().to_owned())
        },
    ),
    column("incidents", "number", WorkedOut("How many incidents the case records."), |row| {
        row.facts.case.incidents.len().to_string()
    }),
    column("closed", "words", Key("closed.because"), |row| {
        row.facts.case.closed.as_ref().map_or_else(String::new, |closed| closed.because.word())
    }),
];

fn derived<T>(value: &Value<T>, show: impl Fn(&T) -> String) -> String {
    match value {
        Value::Known(known) => show(&known.value),
        Value::Unknown(unknown) if unknown.not_recorded.is_empty() => String::new(),
        Value::Unknown(_) => NOT_RECORDED.to_owned(),
    }
}

fn measured<T>(value: &Measured<T>, show: impl Fn(&T) -> String) -> String {
    match value {
        Measured::Value(value) => show(value),
        Measured::Missing => String::new(),
        Measured::NotRecorded(_) => NOT_RECORDED.to_owned(),
    }
}

fn fact(fact: &Fact) -> String {
    match fact.answer {
        Answer::Yes => "yes".to_owned(),
        Answer::No => "no".to_owned(),
        Answer::NotKnown => String::new(),
    }
}

fn yes(answer: Option<bool>) -> String {
    answer.map_or_else(String::new, |is_so| (if is_so { "yes" } else { "no" }).to_owned())
}

fn day(day: Option<crate::date::CivilDate>) -> String {
    day.map_or_else(String::new, |day| day.to_string())
}

fn edges(edges: &[Edge]) -> String {
    edges.iter().map(|edge| edge.word()).collect::<Vec<_>>().join(" and ")
}

fn number(row: &Row<'_>, key: &str) -> String {
    let known = row.facts.derived.patient_numbers.iter().find(|one| one.key == key);
    known.and_then(|one| one.number.get().cloned()).unwrap_or_default()
}

fn affected<'a>(row: &Row<'a>) -> Option<&'a crate::case::AffectedToe> {
    row.facts.case.affected()?.get(row.toe?)
}

fn plan(row: &Row<'_>, show: impl Fn(&crate::case::PlannedToe) -> String) -> String {
    row.one.and_then(|one| one.plan).map_or_else(String::new, show)
}

fn phenol(row: &Row<'_>, show: impl Fn(&crate::case::PhenolUse) -> String) -> String {
    row.treated().and_then(|done| done.phenol.as_ref()).map_or_else(String::new, show)
}

fn columns(with_names: bool) -> impl Iterator<Item = &'static Column> {
    COLUMNS.iter().filter(move |column| with_names || !column.is_name)
}

/// The names of the columns.
pub(crate) fn head(with_names: bool) -> Vec<&'static str> {
    columns(with_names).map(|column| column.name).collect()
}

/// The rows of one case: one for each toe that is affected, planned or treated; one if there is none.
pub(crate) fn rows(facts: &Facts, with_names: bool) -> Vec<Vec<String>> {
    let treated = facts.operated_with_plan();
    let not_done = facts.case.operation.as_ref().and_then(|operation| operation.not_done.as_ref());
    let is_meant = |toe: &Toe| {
        treated.iter().any(|one| one.toe == *toe)
            || facts.case.affected().is_some_and(|toes| toes.get(*toe).is_some())
            || not_done.is_some_and(|toes| toes.get(*toe).is_some())
    };
    let mut toes: Vec<Option<Toe>> = Toe::ALL.into_iter().filter(is_meant).map(Some).collect();
    if toes.is_empty() {
        toes.push(None);
    }
    let row = |toe: Option<Toe>| {
        let one = treated.iter().find(|one| Some(one.toe) == toe).copied();
        let row = Row { facts, toe, one };
        columns(with_names).map(|column| (column.cell)(&row)).collect()
    };
    toes.into_iter().map(row).collect()
}

/// What each column holds: its name, how a cell is written, the key of the case file, whether it is there only with names, and what the
/// model says of it.
pub(crate) fn dictionary() -> (Vec<&'static str>, Vec<Vec<String>>) {
    let schema = case_schema();
    let lines = COLUMNS.iter().map(|column| {
        let (key, what) = match column.from {
            Key(key) => (key, described(&schema, key).unwrap_or_default()),
            WorkedOut(what) => ("", what.to_owned()),
        };
        let names = if column.is_name { "yes" } else { "no" };
        [column.name, column.how, key, names, &what].map(str::to_owned).to_vec()
    });
    (vec!["column", "written_as", "key", "only_with_names", "what_it_is"], lines.collect())
}

/// What the schema says of a key; `TOE` stands for any toe.
fn described(schema: &Json, key: &str) -> Option<String> {
    let mut here = schema;
    for step in key.split('.') {
        let step = if step == "TOE" { "R1" } else { step };
        here = Accepts::of(schema, here).block?.get("properties")?.get(step)?;
    }
    Some(here.get("description")?.as_str()?.split_whitespace().collect::<Vec<_>>().join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn cell(fragment: &str, toe: &str, column: &str) -> String {
        let (head, rows) = (head(true), rows(&facts_of(fragment), true));
        let at = |name: &str| head.iter().position(|own| *own == name).expect("a column");
        let row = rows.iter().find(|row| row[at("toe")] == toe).expect("a row");
        row[at(column)].clone()
    }

    #[test]
    fn every_column_is_described_by_the_model() {
        let (_, lines) = dictionary();
        assert_eq!(lines.len(), COLUMNS.len());
        for line in &lines {
            assert!(!line[4].is_empty(), "{line:?}");
        }
        let of = |name: &str| lines.iter().find(|line| line[0] == name).expect("a line").clone();
        assert_eq!(of("stage")[4], "Stage 1 inflammation, 2 discharge, 3 granulation.");
        assert_eq!(of("phenol_each_s")[2], "operation.toes.TOE.phenol.each");
        let mut names: Vec<&String> = lines.iter().map(|line| &line[0]).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), lines.len(), "one name, one column");
    }

    #[test]
    fn nothing_a_gap_and_a_value_are_three_cells() {
        assert_eq!(cell("", "L1", "weight_kg"), "68");
        assert_eq!(cell("patient: {weight: ~}", "L1", "weight_kg"), "");
        assert_eq!(
            cell("patient: {weight: {not_recorded: scale broken}}", "L1", "weight_kg"),
            "not recorded"
        );
        assert_eq!(
            cell("patient: {weight: {not_recorded: scale broken}}", "L1", "dose_percent_of_limit"),
            "not recorded"
        );
    }

    #[test]
    fn every_toe_that_was_meant_has_a_row() {
        let other = "{problem: {toes: {R2: {stage: 1}}}, operation: {not_done: {R3: asked to wait}}}";
        assert_eq!((cell(other, "R2", "stage"), cell(other, "R2", "nail")), ("1".into(), String::new()));
        assert_eq!(cell(other, "R3", "planned_nail"), "");
        assert_eq!(cell("{problem: ~, plan: ~, operation: ~, consent: ~}", "", "reference"), "LFC-0001");
    }

    #[test]
    fn without_names_there_is_none() {
        let facts = facts_of("");
        let all: String = rows(&facts, false).concat().join("|");
        let patient = &facts.case.patient;
        for name in [&patient.family, &patient.given, &patient.born.to_string()] {
            assert!(!all.contains(name.as_str()), "{name}");
        }
        assert!(rows(&facts, true).concat().contains(&patient.family));
    }
}
