//! What was done, toe by toe, and what was given: each injection and the phenol.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::codes::{self, MILLILITRE, TOPICAL};
use super::history::{diagnosis_name, suggestion};
use super::people::{self, People};
use super::resources::{
    Administered, Batch, Concept, Medication, MedicationAdministration, Note, Performer, Period, Procedure,
    Reference, Resource,
};
use super::{Entries, Told, absent, clock, composition, quantity, quantity_absent};
use crate::anatomy::{Edge, Matrix, Nail, Toe};
use crate::case::{
    Anaesthetic, AuthorityBlock, AuthorityKind, Injection, Measured, OneOrMany, OperatedToe, Operation,
    PhenolOn, PhenolUse, is_nothing,
};
use crate::date::Expiry;
use crate::derive::{AgentDose, Injector, Said, dose::dose_of};
use crate::documents::{phenol_name, product_name, toe_in_words, without_stop};
use crate::facts::{Facts, PlanAndDone};
use crate::words::{Count, capitalised};

/// The procedures, and for each toe the one that the rest belongs to.
pub(super) struct Procedures {
    pub(super) all: Vec<Reference>,
    of_toe: BTreeMap<Toe, Reference>,
}

/// Adds a procedure for each toe that was planned or treated: as far as it came.
pub(super) fn procedures(facts: &Facts, people: &People, entries: &mut Entries<'_>) -> Procedures {
    let operation = facts.case.operation.as_ref();
    let mut made = Procedures { all: Vec::new(), of_toe: BTreeMap::new() };
    for one in facts.operated_with_plan() {
        let procedure = Procedure {
            performer: operation
                .map_or_else(Vec::new, |operation| performers(facts, people, operation, entries)),
            reason_reference: reason(facts, one.toe, entries),
            ..of_toe(facts, one)
        };
        let reference = add(&format!("procedure {}", one.toe), procedure, entries);
        made.of_toe.insert(one.toe, reference.clone());
        made.all.push(reference.clone());
        let phenol = one.operated.filter(|done| done.phenol.is_some());
        if let (Some(done), Some(operation)) = (phenol, operation) {
            let words = "Phenol matrixectomy";
            let procedure = Procedure {
                part_of: vec![reference],
                status: "completed",
                code: Some(coded(facts, "S64.2", words)),
                performed_date_time: Some(operation.date.to_string()),
                performer: performers(facts, people, operation, entries),
                body_site: vec![place(one.toe, done.nail, done.edges())],
                note: notes(phenol_notes(facts, one.toe, &done)),
                ..Procedure::default()
            };
            made.all.push(add(&format!("matrixectomy {}", one.toe), procedure, entries));
        }
    }
    // A toe that nobody planned may still be said not to have been done.
    let not_done = operation.iter().filter_map(|operation| operation.not_done.as_ref());
    for (toe, reason) in not_done.flat_map(|toes| toes.iter()) {
        if !made.of_toe.contains_key(&toe) {
            let procedure = Procedure {
                status: "not-done",
                status_reason: Some(Concept::text(without_stop(reason))),
                code: Some(Concept::text("Nail surgery")),
                body_site: vec![Concept::text(format!("{} ({toe})", toe.clinical()))],
                ..Procedure::default()
            };
            made.all.push(add(&format!("procedure {toe}"), procedure, entries));
        }
    }
    made
}

fn add(name: &str, procedure: Procedure, entries: &mut Entries<'_>) -> Reference {
    let procedure = Procedure { id: entries.id(name), subject: entries.patient(), ..procedure };
    entries.add(name, Resource::Procedure(procedure))
}

/// How far one toe came.
fn of_toe(facts: &Facts, one: PlanAndDone<'_>) -> Procedure {
    let operation = facts.case.operation.as_ref();
    let because = || {
        let why = Some(one.not_done).filter(|why| !why.is_empty());
        let abandoned = operation.and_then(|operation| operation.abandoned.as_ref());
        let why = why.or_else(|| abandoned.map(|abandoned| abandoned.because.as_str()));
        Some(why.map_or_else(|| composition::not_recorded("reason"), |why| Concept::text(without_stop(why))))
    };
    let named = |nail: Nail| match nail {
        Nail::Partial => "Partial nail avulsion",
        Nail::Total => "Total nail avulsion",
    };
    if let (Some(done), Some(operation)) = (one.operated, operation) {
        let period = Period {
            start: operation.start.value().map(|at| clock::moment(operation.date, Some(at))),
            end: operation.finish.value().map(|at| clock::moment(operation.date, Some(at))),
        };
        let has_times = period.start.is_some() || period.end.is_some();
        let complications = operation.complications.iter().filter(|text| !is_nothing(text));
        return Procedure {
            status: "completed",
            code: Some(coded(facts, "S70.1", named(done.nail))),
            performed_date_time: (!has_times).then(|| operation.date.to_string()),
            performed_period: has_times.then_some(period),
            body_site: vec![place(one.toe, done.nail, done.edges())],
            complication: complications.map(|text| Concept::text(without_stop(text))).collect(),
            note: notes(avulsion_notes(facts, one, &done)),
            ..Procedure::default()
        };
    }
    let planned = one.plan.map(|plan| (named(plan.nail), place(one.toe, plan.nail, &plan.edges)));
    let (words, site) = planned
        .unwrap_or_else(|| ("Nail surgery", Concept::text(format!("{} ({})", one.toe.clinical(), one.toe))));
    let planned = Procedure {
        code: Some(Concept::text(words)),
        body_site: vec![site],
        note: notes(one.plan.map(|plan| planned_in_words(plan.matrix).to_owned()).into_iter().collect()),
        ..Procedure::default()
    };
    let day = operation.map(|operation| operation.date.to_string());
    match (operation, one.treated) {
        (None, _) => Procedure { status: "preparation", ..planned },
        (Some(_), Some(_)) => {
            Procedure { status: "stopped", status_reason: because(), performed_date_time: day, ..planned }
        }
        (Some(_), None) if !one.not_done.is_empty() || facts.is_given_up() => {
            Procedure { status: "not-done", status_reason: because(), ..planned }
        }
        (Some(_), None) => Procedure { status: "unknown", ..planned },
    }
}

fn planned_in_words(matrix: Matrix) -> &'static str {
    match matrix {
        Matrix::Phenol => "planned: phenol to the matrix",
        Matrix::None => "planned: the matrix is left as it is",
    }
}

fn place(toe: Toe, nail: Nail, edges: &[Edge]) -> Concept {
    Concept::text(toe_in_words(toe, nail, edges))
}

/// The suggested code, where it fits what was done.
fn coded(facts: &Facts, code: &str, words: &str) -> Concept {
    suggestion(facts, code).map_or_else(|| Concept::text(words), |code| codes::suggested(code, words))
}

fn notes(lines: Vec<String>) -> Vec<Note> {
    if lines.is_empty() { Vec::new() } else { vec![Note { text: capitalised(&lines.join("; ")) }] }
}

fn reason(facts: &Facts, toe: Toe, entries: &Entries<'_>) -> Vec<Reference> {
    let is_affected = facts.case.affected().is_some_and(|toes| toes.get(toe).is_some());
    if is_affected { vec![entries.to(&diagnosis_name(toe))] } else { Vec::new() }
}

fn performers(
    facts: &Facts,
    people: &People,
    operation: &Operation,
    entries: &Entries<'_>,
) -> Vec<Performer> {
    let function = |words: &str| Some(Concept::text(words));
    let operator = people
        .operator
        .iter()
        .map(|operator| Performer { function: function("operator"), actor: Some(operator.clone()) });
    let others = [
        ("assistant", &operation.assistant),
        ("supervisor", &operation.supervised_by),
        ("second checker", &operation.second_checker),
    ];
    let others = others.into_iter().filter_map(|(words, name)| {
        let name = crate::documents::name_of(facts, name.as_deref()?);
        Some(Performer { function: function(words), actor: Some(people::of(entries, facts, &name)) })
    });
    operator.chain(others).collect()
}

/// A measured value in words, or why there is none.
fn said<T>(name: &str, value: &Measured<T>, show: impl Fn(&T) -> String) -> Option<String> {
    match value {
        Measured::Missing => None,
        Measured::Value(value) => Some(format!("{name} {}", show(value))),
        Measured::NotRecorded(reason) => Some(format!("{name} not recorded: {}", without_stop(reason))),
    }
}

fn avulsion_notes(facts: &Facts, one: PlanAndDone<'_>, done: &OperatedToe) -> Vec<String> {
    let toe = one.toe;
    let mut lines = Vec::new();
    let times = facts.derived.toes.get(&toe);
    if let Some(tourniquet) = &done.tourniquet {
        let time = |at: &crate::date::TimeOfDay| at.clinical();
        lines.extend(said("tourniquet on", &tourniquet.on, time));
        lines.extend(said("tourniquet off", &tourniquet.off, time));
        let minutes = times.and_then(|times| times.tourniquet_minutes.get());
        lines.extend(minutes.map(|minutes| format!("tourniquet {minutes} min")));
        lines.extend(tourniquet.kind.as_deref().map(|kind| format!("tourniquet: {}", without_stop(kind))));
    }
    lines.extend(said("numb at", &done.numb_at, |at| at.clinical()));
    lines.extend(done.groove_clear.map(|clear| {
        if clear {
            "groove looked at, no nail left".to_owned()
        } else {
            "groove not clear of nail".to_owned()
        }
    }));
    lines.extend(said("capillary refill", &done.refill, ToString::to_string));
    let text = |name: &str, text: &Option<String>| {
        text.as_deref().map(|text| format!("{name}: {}", without_stop(text)))
    };
    lines.extend(text("agreed on the day", &done.agreed_on_day));
    lines.extend(text("findings", &done.findings));
    if one.plan.is_none() {
        lines.push("this toe was not planned".to_owned());
    }
    lines
}

fn phenol_notes(facts: &Facts, toe: Toe, done: &OperatedToe) -> Vec<String> {
    let text = |name: &str, text: Option<&str>| text.map(|text| format!("{name}: {}", without_stop(text)));
    let lavage = facts.derived.routine.lavage.get(&toe).and_then(Said::get).map(String::as_str);
    [
        text("end point", done.end_point.as_deref()),
        text("overspill", done.overspill.as_deref()),
        text("lavage", lavage),
        text("skin protection", done.skin_protection.as_deref()),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Adds the medicines as supplied, with batch and expiry, and each time that one was given.
pub(super) fn given(facts: &Facts, procedures: &Procedures, entries: &mut Entries<'_>) -> Told {
    let Some(operation) = &facts.case.operation else { return Told::default() };
    let mut all = Told::default();
    for (step, product) in operation.anaesthetic.iter().flat_map(OneOrMany::<Anaesthetic>::all) {
        let name = anaesthetic_name(&step);
        medication(&name, &product_name(product), (&product.batch, &product.expires), entries, &mut all);
    }
    if let Some(phenol) = &operation.phenol {
        medication("phenol", &phenol_name(phenol), (&phenol.batch, &phenol.expires), entries, &mut all);
    }
    for (toe, done) in facts.treated() {
        let part_of: Vec<Reference> = procedures.of_toe.get(&toe).cloned().into_iter().collect();
        let injections = done.injections();
        if injections.is_empty() && operation.anaesthetic.is_some() {
            let administration = not_said(facts, toe, operation, part_of.clone());
            administered(&format!("injection {toe}"), administration, entries, &mut all);
        }
        for (step, injection) in injections {
            let one = Injected { facts, operation, toe, done, injection: &injection };
            let administration = one.administration(entries, part_of.clone());
            administered(&format!("injection {toe} {step}"), administration, entries, &mut all);
        }
        if let Some(phenol) = &done.phenol {
            let administration = phenol_given(facts, operation, toe, phenol, part_of, entries);
            administered(&format!("phenol {toe}"), administration, entries, &mut all);
        }
    }
    all
}

fn anaesthetic_name(step: &str) -> String {
    format!("anaesthetic {step}")
}

fn medication(
    name: &str,
    words: &str,
    (batch, expires): (&Measured<String>, &Measured<Expiry>),
    entries: &mut Entries<'_>,
    told: &mut Told,
) {
    let says = [
        said("batch", batch, String::clone).unwrap_or_else(|| "batch not recorded".to_owned()),
        said("expiry", expires, ToString::to_string).unwrap_or_else(|| "expiry not recorded".to_owned()),
    ];
    let says = says.join("; ");
    let is_gap = batch.gap().is_some() || expires.gap().is_some();
    let medication = Medication {
        id: entries.id(name),
        text: is_gap.then(|| composition::narrative(&[(words.to_owned(), says.clone())])),
        code: Some(Concept::text(words)),
        batch: Some(Batch {
            lot_number: batch.get().map(|batch| batch.trim().to_owned()),
            lot_number_absent: if batch.is_known() { None } else { absent() },
            expiration_date: expires.get().map(ToString::to_string),
            expiration_date_absent: if expires.is_known() { None } else { absent() },
        }),
    };
    told.push(entries.add(name, Resource::Medication(medication)), capitalised(words), says);
}

fn administered(
    name: &str,
    administration: MedicationAdministration,
    entries: &mut Entries<'_>,
    told: &mut Told,
) {
    let dosage = administration.dosage.clone().unwrap_or_default();
    let site = dosage.site.map_or_else(String::new, |site| site.text);
    let when = administration.effective_date_time.replace('T', " ");
    let by: String = administration
        .performer
        .iter()
        .filter_map(|one| Some(format!("; by {}", one.actor.as_ref()?.display.as_deref()?)))
        .collect();
    let notes: String = administration.note.iter().map(|note| format!("; {}", note.text)).collect();
    let says = format!("{}, {when}{by}{notes}", dosage.text);
    let administration =
        MedicationAdministration { id: entries.id(name), subject: entries.patient(), ..administration };
    let to = entries.add(name, Resource::MedicationAdministration(administration));
    told.push(to, format!("Given, {site}"), says);
}

/// A toe that was treated, and of which nobody wrote whether it was injected.
fn not_said(
    facts: &Facts,
    toe: Toe,
    operation: &Operation,
    part_of: Vec<Reference>,
) -> MedicationAdministration {
    let agents: Vec<&str> = facts.derived.agents.iter().map(|agent| agent.agent.as_str()).collect();
    MedicationAdministration {
        part_of,
        status: "unknown",
        medication_codeable_concept: Some(Concept::text(agents.join(" or "))),
        effective_date_time: operation.date.to_string(),
        dosage: Some(Administered {
            text: "volume injected not recorded".to_owned(),
            site: Some(Concept::text(format!("{} ({toe})", toe.clinical()))),
            dose: Some(quantity_absent(MILLILITRE.word)),
            ..Administered::default()
        }),
        ..MedicationAdministration::default()
    }
}

/// One injection with all that says what it was.
struct Injected<'a> {
    facts: &'a Facts,
    operation: &'a Operation,
    toe: Toe,
    done: &'a OperatedToe,
    injection: &'a Injection,
}

impl<'a> Injected<'a> {
    /// The agent that is meant: the one that is named, else the only one.
    fn agent(&self) -> Option<&'a AgentDose> {
        let agents = self.facts.derived.agents.as_slice();
        match (&self.injection.agent, agents) {
            (Some(typed), _) => {
                let name = crate::derive::dose::canonical(typed);
                agents.iter().find(|agent| crate::derive::dose::canonical(&agent.agent) == name)
            }
            (None, [only]) => Some(only),
            (None, _) => None,
        }
    }

    /// The product that was used; `None` if several could be meant.
    fn product(&self) -> Option<(usize, String, &'a Anaesthetic)> {
        let [step] = self.agent()?.entries.as_slice() else { return None };
        let all = self.operation.anaesthetic.as_ref()?.all();
        all.into_iter()
            .enumerate()
            .find(|(_, (own, _))| own == step)
            .map(|(at, (own, product))| (at, own, product))
    }

    fn administration(&self, entries: &Entries<'_>, part_of: Vec<Reference>) -> MedicationAdministration {
        let product = self.product();
        let agent = self.agent().map_or("local anaesthetic, which one is not recorded", |agent| &agent.agent);
        let volume = self.injection.volume.value();
        let name = product.as_ref().map_or_else(|| agent.to_owned(), |(_, _, product)| product_name(product));
        let text = match volume {
            Some(volume) => {
                let mass = product
                    .as_ref()
                    .map(|(_, _, product)| format!(" = {}", dose_of(volume, product.strength)));
                format!("{volume} of {name}{}", mass.unwrap_or_default())
            }
            None => said("volume injected", &self.injection.volume, ToString::to_string)
                .unwrap_or_else(|| "volume injected not recorded".to_owned()),
        };
        let protocol = self.facts.clinic.protocol.technique.as_deref();
        let technique =
            product.as_ref().and_then(|(_, _, product)| product.technique.as_deref()).or(protocol);
        let given = product.as_ref().and_then(|(at, _, _)| self.facts.derived.given_under.get(*at));
        let by = match given.map(|given| &given.injector) {
            Some(Injector::OfClinic { name, .. } | Injector::Other(name)) => Some(name.as_str()),
            _ => None,
        };
        let mut lines = Vec::new();
        lines.extend(
            said("time", &self.injection.at, |at| at.clinical()).filter(|_| !self.injection.at.is_known()),
        );
        lines.extend(given.and_then(|given| given.authority.as_ref()).map(|(_, block)| authority(block)));
        if self.done.through_infected_skin == Some(true) {
            lines.push("the needle went through skin that was infected".to_owned());
        }
        lines.extend(self.done.mixed.map(|mixed| {
            if mixed {
                "two agents in one syringe".to_owned()
            } else {
                "two agents, one after the other".to_owned()
            }
        }));
        let site = self.injection.site.as_deref().or(self.done.injection_site.as_deref());
        let site = site.map_or_else(String::new, |site| format!(": {}", without_stop(site)));
        let reference = product.as_ref().map(|(_, step, _)| entries.to(&anaesthetic_name(step)));
        MedicationAdministration {
            part_of,
            status: "completed",
            medication_codeable_concept: reference.is_none().then(|| Concept::text(agent)),
            medication_reference: reference.map(|to| Reference { display: Some(name), ..to }),
            effective_date_time: clock::measured(self.operation.date, &self.injection.at),
            performer: by
                .into_iter()
                .map(|name| Performer { function: None, actor: Some(people::of(entries, self.facts, name)) })
                .collect(),
            note: notes(lines),
            dosage: Some(Administered {
                text,
                site: Some(Concept::text(format!("{} ({}){site}", self.toe.clinical(), self.toe))),
                route: None,
                method: technique.map(|technique| Concept::text(without_stop(technique))),
                dose: Some(match volume {
                    Some(volume) => quantity(volume.0, MILLILITRE.word, Some(MILLILITRE)),
                    None => quantity_absent(MILLILITRE.word),
                }),
            }),
            ..MedicationAdministration::default()
        }
    }
}

/// `exemption`; `patient group direction NS-3, until 2027-03-31`.
fn authority(block: &AuthorityBlock) -> String {
    let kind = match block.under {
        AuthorityKind::Exemption => "exemption",
        AuthorityKind::OwnPrescription => "own prescription",
        AuthorityKind::PatientGroupDirection => "patient group direction",
        AuthorityKind::PatientSpecificDirection => "patient-specific direction",
        AuthorityKind::SupplementaryPrescribing => "supplementary prescribing",
    };
    let mut says = format!("authority: {kind}");
    for (before, text) in [
        (" ", block.title.clone()),
        (" by ", block.by.clone()),
        (", ", block.profession.clone()),
        (", ", block.on.map(|day| day.to_string())),
        (", until ", block.until.map(|day| day.to_string())),
    ] {
        says.extend(text.map(|text| format!("{before}{text}")));
    }
    says
}

fn phenol_given(
    facts: &Facts,
    operation: &Operation,
    toe: Toe,
    phenol: &PhenolUse,
    part_of: Vec<Reference>,
    entries: &Entries<'_>,
) -> MedicationAdministration {
    let seconds = facts.derived.toes.get(&toe).and_then(|times| times.phenol_seconds.get());
    let on = match phenol.on {
        Some(PhenolOn::EachEdge) => " on each edge",
        Some(PhenolOn::BothTogether) => " on both edges together",
        None => "",
    };
    let parts = [
        match phenol.applications.value() {
            Some(count) => Some(Count(count.0.into(), "application").to_string()),
            None => said("applications", &phenol.applications, |count| count.0.to_string()),
        },
        said("each", &phenol.each, ToString::to_string).map(|each| format!("{each}{on}")),
        seconds.map(|seconds| format!("in all {} s an edge", seconds.normalize())),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let text = if parts.is_empty() { "dose not recorded".to_owned() } else { parts.join(", ") };
    let reference = operation
        .phenol
        .as_ref()
        .map(|supplied| Reference { display: Some(phenol_name(supplied)), ..entries.to("phenol") });
    MedicationAdministration {
        part_of,
        status: "completed",
        medication_codeable_concept: reference
            .is_none()
            .then(|| Concept::text("phenol, product not recorded")),
        medication_reference: reference,
        effective_date_time: operation.date.to_string(),
        dosage: Some(Administered {
            text,
            site: Some(Concept::text(format!("matrix, {} ({toe})", toe.clinical()))),
            route: Some(TOPICAL.concept()),
            method: None,
            dose: Some(match phenol.applications.value() {
                Some(count) => quantity(Decimal::from(count.0), "applications", None),
                None => quantity_absent("applications"),
            }),
        }),
        ..MedicationAdministration::default()
    }
}
