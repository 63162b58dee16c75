//! The frame of the document: sections under the headings of the record standard, each in words and with the
//! resources that say the same to a program.

use super::codes::{self, heading};
use super::operation::Procedures;
use super::people::People;
use super::resources::{Composition, Concept, Identifier, Narrative, Reference, Section};
use super::write::escaped;
use super::{Entries, Line, OPERATION_NOTE, Source, Told, papers};
use crate::case::{AllergiesEntry, Case, Incident, LetterToGp, Need, Operation, PsychologicalHarm, Urgency};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::{Answer, Fact, Said, Value, names_of};
use crate::documents::{
    AnsweredCaution, diabetes_in_words, name_of, not_known_because, product_name, toe_in_words, without_stop,
};
use crate::facts::Facts;
use crate::words::{List, capitalised};

/// What the document says of itself.
const COPY: &str = "A structured copy of what is recorded and of the documents that were issued, for import, audit \
                    or a supplier. The issued documents are the record.";

/// The letter in which the practice is asked for what follows from the findings.
const GP_LETTER: &str = "gp-letter";

/// The resources, by section.
pub(super) struct Parts {
    pub(super) people: People,
    pub(super) diagnoses: Told,
    pub(super) conditions: Vec<Reference>,
    pub(super) allergies: Vec<Reference>,
    pub(super) medicines: Vec<Reference>,
    pub(super) procedures: Procedures,
    pub(super) given: Told,
    pub(super) found: Told,
    pub(super) results: Told,
    pub(super) papers: Vec<Reference>,
}

/// The whole frame.
pub(super) fn of(source: &Source<'_>, parts: &Parts, entries: &Entries<'_>, made: &str) -> Composition {
    let facts = source.facts;
    let reference = &facts.case.reference;
    let kind = if facts.case.operation.is_some() {
        codes::OPERATION_NOTE.concept()
    } else {
        Concept::text("Plan and consent for nail surgery")
    };
    let clinic = parts.people.clinic.clone();
    let identifier = Identifier {
        r#type: Some(Concept::text("reference of the clinic")),
        value: Some(reference.to_string()),
        ..Identifier::default()
    };
    Composition {
        id: entries.id("composition"),
        language: "en-GB",
        text: Some(narrative(&[(String::new(), COPY.to_owned())])),
        identifier: Some(identifier),
        status: if source.papers.iter().any(|paper| paper.entry.version > 1) { "amended" } else { "final" },
        r#type: Some(kind),
        subject: entries.patient(),
        date: made.to_owned(),
        author: vec![parts.people.operator.clone().unwrap_or_else(|| clinic.clone())],
        title: format!("Nail surgery {reference}"),
        custodian: Some(clinic),
        section: sections(source, parts, entries),
    }
}

fn sections(source: &Source<'_>, parts: &Parts, entries: &Entries<'_>) -> Vec<Section> {
    let facts = source.facts;
    let case = &facts.case;
    let mut all = vec![
        section(
            "patient-demographics",
            "Patient demographics",
            demographics(facts),
            vec![entries.to("patient")],
        ),
        section("individual-requirements", "Individual requirements", requirements(case), Vec::new()),
        section(
            "gp-practice",
            "GP practice",
            practice(facts),
            parts.people.practice.iter().cloned().collect(),
        ),
        section("plan-and-requested-actions", "Plan and requested actions", plan(source), Vec::new()),
    ];
    let incidents: Vec<Line> =
        case.incidents.iter().enumerate().flat_map(|(at, incident)| told(source, at, incident)).collect();
    if !incidents.is_empty() {
        all.push(section("incident-details", "Incident details", incidents, Vec::new()));
    }
    all.extend([
        section(
            "diagnoses",
            "Diagnoses",
            [parts.diagnoses.lines.clone(), problem(case)].concat(),
            parts.diagnoses.to.clone(),
        ),
        section("procedures", "Procedures", procedures(facts), parts.procedures.all.clone()),
        section("clinical-summary", "Clinical summary", summary(facts), Vec::new()),
        section("history", "History", history(facts), parts.conditions.clone()),
        section(
            "examination-findings",
            "Examination findings",
            parts.found.lines.clone(),
            parts.found.to.clone(),
        ),
        section(
            "investigation-results",
            "Investigation results",
            parts.results.lines.clone(),
            parts.results.to.clone(),
        ),
        section(
            "medications-and-medical-devices",
            "Medications and medical devices",
            [medicines(facts), parts.given.lines.clone()].concat(),
            [parts.given.to.clone(), parts.medicines.clone()].concat(),
        ),
        section(
            "allergies-and-adverse-reaction",
            "Allergies and adverse reaction",
            allergies(case),
            parts.allergies.clone(),
        ),
        section(
            "relevant-clinical-risk-factors",
            "Relevant clinical risk factors",
            risks(source),
            Vec::new(),
        ),
        section("consent-for-treatment-record", "Consent for treatment record", consent(facts), Vec::new()),
        section("information-and-advice-given", "Information and advice given", advice(facts), Vec::new()),
        section(
            "documents-including-correspondence-audio-and-images",
            "Documents (including correspondence, audio and images)",
            documents(source),
            parts.papers.clone(),
        ),
        section(
            "person-completing-record",
            "Person completing record",
            completing(source),
            parts.people.operator.iter().cloned().collect(),
        ),
    ]);
    all
}

/// A section; one without a line and without a resource says that nothing was recorded.
fn section(code: &'static str, display: &'static str, lines: Vec<Line>, entry: Vec<Reference>) -> Section {
    let empty = entry.is_empty() && lines.is_empty();
    let lines = if empty { vec![(String::new(), "Not recorded".to_owned())] } else { lines };
    Section {
        title: display.to_owned(),
        code: Some(heading(code, display).concept()),
        text: (!lines.is_empty()).then(|| narrative(&lines)),
        empty_reason: empty.then(|| Concept::text("Not recorded")),
        entry,
    }
}

/// Lines as XHTML: paragraphs of escaped text and nothing else.
pub(super) fn narrative(lines: &[Line]) -> Narrative {
    let paragraphs = lines.iter().map(|(name, says)| {
        let name = if name.is_empty() { String::new() } else { format!("<b>{}</b>: ", escaped(name)) };
        format!("<p>{name}{}</p>", escaped(says.trim()))
    });
    let div = format!("<div xmlns=\"http://www.w3.org/1999/xhtml\">{}</div>", paragraphs.collect::<String>());
    Narrative { status: "additional", div }
}

/// `reason not recorded`.
pub(super) fn not_recorded(what: &str) -> Concept {
    Concept::text(format!("{what} not recorded"))
}

fn line(name: &str, says: impl Into<String>) -> Line {
    (name.to_owned(), says.into())
}

/// As recorded, or that it was not.
fn recorded(name: &str, text: Option<&str>) -> Line {
    line(name, text.map_or_else(|| "not recorded".to_owned(), |text| without_stop(text).to_owned()))
}

/// Only where it was recorded.
fn known(name: &str, text: Option<&str>) -> Option<Line> {
    text.map(|text| line(name, without_stop(text)))
}

fn day(name: &str, day: Option<CivilDate>) -> Line {
    line(name, day.map_or_else(|| "not recorded".to_owned(), CivilDate::clinical))
}

fn demographics(facts: &Facts) -> Vec<Line> {
    let patient = &facts.case.patient;
    let numbers = facts.derived.patient_numbers.iter();
    let numbers = numbers
        .map(|one| line(one.label, one.number.get().cloned().unwrap_or_else(|| "not known".to_owned())));
    let mut lines = vec![
        line("Name", format!("{} {}", patient.given, patient.family)),
        line("Born", patient.born.clinical()),
    ];
    lines.extend(numbers);
    lines.extend(known(
        "Address",
        Some(patient.address.join(", ")).filter(|text| !text.is_empty()).as_deref(),
    ));
    lines.extend(known("Telephone", patient.telephone.as_deref()));
    lines.extend(known("Daily life", patient.daily_life.as_deref()));
    lines
}

fn requirements(case: &Case) -> Vec<Line> {
    let mut lines = Vec::new();
    let needs = case.patient.needs.iter().copied().map(Need::word);
    lines.extend(known(
        "Needs",
        Some(List::and(needs).to_string()).filter(|text| !text.is_empty()).as_deref(),
    ));
    lines.extend(known("Language of the interpreter", case.patient.language.as_deref()));
    lines
}

fn practice(facts: &Facts) -> Vec<Line> {
    let Some(gp) = facts.gp() else { return Vec::new() };
    let name = gp.name.iter().chain([&gp.practice]).chain(&gp.address);
    vec![line("", name.cloned().collect::<Vec<_>>().join(", "))]
}

fn plan(source: &Source<'_>) -> Vec<Line> {
    let facts = source.facts;
    let mut lines = Vec::new();
    if let Some(booked) = facts.case.booked.as_ref().filter(|_| facts.case.operation.is_none()) {
        let at = booked.at.map_or_else(String::new, |at| format!(", {}", at.clinical()));
        lines.push(line("Surgery booked", format!("{}{at}", booked.on.clinical())));
    }
    let follow_up = facts.case.follow_up.clone().unwrap_or_default();
    let has_letter = source.papers.iter().any(|paper| paper.entry.document == GP_LETTER);
    let more = if has_letter { "; the letter says what follows from the findings" } else { "" };
    let asked = match &follow_up.gp_actions {
        None => "not stated".to_owned(),
        Some(actions) if actions.list().is_empty() => "none".to_owned(),
        Some(actions) => actions.list().join("; "),
    };
    lines.push(line("Asked of the practice", format!("{asked}{more}")));
    match &facts.derived.next_visits {
        _ if facts.case.operation.is_none() => {}
        Value::Known(visits) => lines.extend(visits.value.iter().map(|visit| {
            let at = visit.at.map_or_else(String::new, |at| format!(", {}", at.clinical()));
            let booked = if visit.is_booked { "booked" } else { "due by the clinic’s protocol" };
            line(&capitalised(&visit.purpose), format!("{}{at}, {booked}", visit.date.clinical()))
        })),
        Value::Unknown(unknown) => {
            lines.push(line("Next visits", format!("not known: {}", not_known_because(unknown))));
        }
    }
    if let Value::Known(healing) = &facts.derived.expected_healing {
        let (from, to) = (healing.value.from.clinical(), healing.value.to.clinical());
        lines.push(line("Healing expected", format!("{from} to {to}")));
    }
    lines.extend(known("Agreed for pain", follow_up.pain_relief.as_deref()));
    let abandoned = facts.case.operation.as_ref().and_then(|operation| operation.abandoned.as_ref());
    lines.extend(abandoned.map(|abandoned| recorded("What happens now", abandoned.next.as_deref())));
    if !facts.case.visits.is_empty() || facts.case.closed.is_some() {
        lines.push(line("Visits after surgery", "in the documents about them, as far as they were issued"));
    }
    lines
}

fn problem(case: &Case) -> Vec<Line> {
    let Some(problem) = &case.problem else { return Vec::new() };
    let mut lines = Vec::new();
    lines.extend(known("Problem", problem.summary.as_deref()));
    lines.extend(known("Tried before", problem.tried.as_deref()));
    lines
}

fn procedures(facts: &Facts) -> Vec<Line> {
    let mut lines = Vec::new();
    for one in facts.operated_with_plan() {
        let says = match (&one.operated, one.plan) {
            (Some(done), _) => {
                let phenol = if done.phenol.is_some() { ", with phenol" } else { ", without phenol" };
                format!("done: {}{phenol}", toe_in_words(one.toe, done.nail, done.edges()))
            }
            (None, Some(plan)) if facts.case.operation.is_none() => {
                format!("planned: {}", toe_in_words(one.toe, plan.nail, &plan.edges))
            }
            (None, Some(plan)) if one.treated.is_some() => {
                format!("begun and given up: {}", toe_in_words(one.toe, plan.nail, &plan.edges))
            }
            (None, Some(plan)) => {
                let why = if one.not_done.is_empty() { String::new() } else { format!(": {}", one.not_done) };
                format!("planned and not done{why}: {}", toe_in_words(one.toe, plan.nail, &plan.edges))
            }
            (None, None) => format!("nothing removed: {}", one.toe.clinical()),
        };
        lines.push(line(one.toe.code(), says));
    }
    if let Some(operation) = &facts.case.operation {
        lines.extend(on_the_day(facts, operation));
    }
    if let Some(follows) = &facts.case.follows {
        lines.push(line("Goes on from", follows.to_string()));
    }
    lines.push(match &facts.derived.codes {
        Value::Known(codes) => {
            let each = codes.value.iter().map(|code| format!("{} {} {}", code.system, code.code, code.title));
            line("Suggested codes, for the coder to decide", each.collect::<Vec<_>>().join("; "))
        }
        Value::Unknown(unknown) => line("Suggested codes", format!("none: {}", not_known_because(unknown))),
    });
    lines
}

fn on_the_day(facts: &Facts, operation: &Operation) -> Vec<Line> {
    let time = |name: &str, at: &crate::case::Measured<TimeOfDay>| match at {
        crate::case::Measured::Value(at) => line(name, at.clinical()),
        crate::case::Measured::Missing => line(name, "not recorded"),
        crate::case::Measured::NotRecorded(why) => line(name, format!("not recorded: {}", without_stop(why))),
    };
    let said = |said: &Said<String>| said.get().map(|text| without_stop(text).to_owned());
    let routine = &facts.derived.routine;
    let urgency = routine.urgency.get().map(|urgency| match urgency {
        Urgency::Elective => "elective",
        Urgency::Emergency => "emergency",
    });
    let mut lines = vec![
        line("Date", operation.date.clinical()),
        time("Start", &operation.start),
        time("Finish", &operation.finish),
        recorded("Operator", facts.operator().map(|operator| operator.name.as_str())),
        recorded("Urgency", urgency),
    ];
    lines.extend(known("Assistant", operation.assistant.as_deref()));
    if let Some(abandoned) = &operation.abandoned {
        lines.push(line("Given up", without_stop(&abandoned.because)));
    }
    lines.extend(known("Skin preparation", said(&routine.skin_preparation).as_deref()));
    lines.extend(known("Dressing", said(&routine.dressing).as_deref()));
    lines.extend(known("Antibiotic prophylaxis", said(&routine.antibiotics).as_deref()));
    lines.extend(known("VTE prophylaxis", said(&routine.vte_prophylaxis).as_deref()));
    let checks = operation.checks.clone().unwrap_or_default();
    for (name, answer) in [
        ("Identity, procedure and consent confirmed", checks.identity),
        ("Toe marked and confirmed", checks.site_marked),
        ("Allergies asked again", checks.allergies),
        ("Instruments, sharps and swabs counted complete", checks.counted),
        ("Tourniquet seen off the toe", checks.tourniquet_off),
    ] {
        let answer = answer.map(|answer| if answer { "yes" } else { "NO" });
        lines.push(recorded(name, answer));
    }
    if let Some(used) = operation.instruments.get() {
        for (name, text) in [
            ("Tray", &used.tray),
            ("Steriliser cycle", &used.cycle),
            ("Single-use pack", &used.single_use_lot),
        ] {
            lines.extend(known(name, text.as_deref()));
        }
    }
    lines
}

fn summary(facts: &Facts) -> Vec<Line> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let mut lines = vec![
        recorded("Complications", operation.complications.as_deref()),
        recorded("Blood loss", operation.blood_loss.as_deref()),
        recorded("At discharge", operation.discharge.as_deref()),
    ];
    for (name, text) in [
        ("Findings", &operation.findings),
        ("Bleeding had stopped", &operation.haemostasis),
        ("Specimens", &operation.specimens),
        ("Photographs", &operation.photographs),
        ("Remark", &operation.note),
    ] {
        lines.extend(known(name, text.as_deref()));
    }
    if let Some(late) = &operation.late_entry {
        let at = late.at.map_or_else(String::new, |at| format!(", {}", at.clinical()));
        let says =
            format!("{}{at}, by {}: {}", late.written.clinical(), late.by, without_stop(&late.because));
        lines.push(line("Written after the event", says));
    }
    lines
}

fn history(facts: &Facts) -> Vec<Line> {
    let recorded = facts.case.history.as_ref().and_then(|history| history.conditions.as_ref());
    let conditions = match recorded.map(Vec::as_slice) {
        None => "not recorded".to_owned(),
        Some([]) => "none".to_owned(),
        Some(list) => list.join(", "),
    };
    vec![line("Diabetes", diabetes_in_words(facts)), line("Conditions", conditions)]
}

fn medicines(facts: &Facts) -> Vec<Line> {
    let recorded = facts.case.history.as_ref().and_then(|history| history.medicines.as_ref());
    let medicines = facts.derived.medicines.iter().map(crate::derive::LookedUp::in_full);
    let mut lines = vec![match recorded.map(Vec::is_empty) {
        None => line("Usual medicines", "not recorded"),
        Some(true) => line("Usual medicines", "none"),
        Some(false) => line("Usual medicines", medicines.collect::<Vec<_>>().join(", ")),
    }];
    if let Some(earlier) = &facts.derived.earlier_anaesthetic {
        let agent = earlier.agent.as_deref().unwrap_or("agent not recorded");
        lines.push(line(
            "Another local anaesthetic in the 24 hours before",
            format!("{}, {agent}", earlier.what),
        ));
    }
    let Some(operation) = &facts.case.operation else { return lines };
    let supplied = operation.anaesthetic.iter().flat_map(|all| all.all());
    let supplied: Vec<String> = supplied.map(|(_, product)| product_name(product)).collect();
    lines.push(recorded_list("Local anaesthetic", &supplied));
    for agent in &facts.derived.agents {
        lines.push(match &agent.dose {
            Value::Known(dose) => line(&format!("Dose of {}", agent.agent), dose.working.clone()),
            Value::Unknown(unknown) => line(
                &format!("Dose of {}", agent.agent),
                format!("not known: {}", not_known_because(unknown)),
            ),
        });
    }
    lines
}

fn recorded_list(name: &str, items: &[String]) -> Line {
    line(name, if items.is_empty() { "not recorded".to_owned() } else { items.join("; ") })
}

fn allergies(case: &Case) -> Vec<Line> {
    let recorded = case.history.as_ref().and_then(|history| history.allergies.as_ref());
    match recorded {
        None => Vec::new(),
        Some(AllergiesEntry::NoneKnown(none)) => vec![line("", capitalised(none.in_full()))],
        Some(AllergiesEntry::List(list)) => {
            let each = list.iter().map(|allergy| match &allergy.reaction {
                Some(reaction) => format!("{} ({})", allergy.to, without_stop(reaction)),
                None => allergy.to.clone(),
            });
            vec![line("", each.collect::<Vec<_>>().join("; "))]
        }
    }
}

/// What makes it harder, yes, no or not recorded, and what was decided about it.
fn risks(source: &Source<'_>) -> Vec<Line> {
    let derived = &source.facts.derived;
    let says = |fact: &Fact| match fact.answer {
        Answer::Yes => format!("yes: {}", fact.because()),
        Answer::No => "no".to_owned(),
        Answer::NotKnown => "not recorded".to_owned(),
    };
    let mut lines: Vec<Line> = [
        ("Smokes", &derived.smoking),
        ("Pregnant", &derived.pregnancy),
        ("Breastfeeding", &derived.breastfeeding),
        ("Frail", &derived.frailty),
        ("Epilepsy", &derived.epilepsy),
        ("Weakened immunity", &derived.weak_immunity),
        ("Poor circulation, right foot", &derived.poor_circulation.right),
        ("Poor circulation, left foot", &derived.poor_circulation.left),
        ("Reduced feeling, right foot", &derived.reduced_feeling.right),
        ("Reduced feeling, left foot", &derived.reduced_feeling.left),
    ]
    .into_iter()
    .map(|(name, fact)| line(name, says(fact)))
    .collect();
    let risk = &derived.bleeding_risk;
    for (name, reasons) in [
        ("Anticoagulant", &risk.anticoagulants),
        ("Antiplatelet", &risk.antiplatelets),
        ("Bleeding disorder", &risk.disorders),
    ] {
        if !reasons.is_empty() {
            lines.push(line(name, names_of(reasons, "; ")));
        }
    }
    let feet = derived.foot_history.factors.iter().map(|(_, reason)| reason.clone()).collect::<Vec<_>>();
    if !feet.is_empty() {
        lines.push(line("Feet", names_of(&feet, "; ")));
    }
    if let Value::Known(risk) = &derived.foot_risk {
        lines.push(line("Foot risk", format!("{}: {}", risk.value.word(), risk.working)));
    }
    let decided = source.edition.answered.iter().filter(|one| one.incident.is_none());
    lines.extend(decided.map(|AnsweredCaution { title, says, because, by, .. }| {
        line("Weighed up", format!("{title}: {says}. {}. Decided by {by}", without_stop(because)))
    }));
    lines
}

fn consent(facts: &Facts) -> Vec<Line> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let mut lines = vec![
        line("By", consent.by.map_or("not recorded", crate::case::ConsentBy::word)),
        day("Form signed", consent.signed),
        day("Confirmed", consent.confirmed),
    ];
    let form = if consent.signed.is_some() { "On the form" } else { "On the form, not signed" };
    for (toe, entry) in facts.consented() {
        lines.push(line(form, toe_in_words(toe, entry.nail, &entry.edges)));
    }
    let taken_by = consent.taken_by.as_deref().map(|typed| name_of(facts, typed));
    for (name, text) in [
        ("Taken by", &taken_by),
        ("Capacity", &consent.capacity),
        ("Best interests", &consent.best_interests),
        ("Benefit", &consent.benefit),
        ("Interpreter", &consent.interpreter),
        ("Patient’s concerns", &consent.concerns),
    ] {
        lines.extend(known(name, text.as_deref()));
    }
    for (name, list) in
        [("Alternatives discussed", &consent.alternatives), ("Risks discussed", &consent.risks)]
    {
        lines.extend(list.as_ref().map(|list| line(name, list.join("; "))));
    }
    if let Some(authority) = &consent.authority {
        let relationship = authority.relationship.iter().map(|words| format!(" ({words})"));
        lines.push(line("Decides", format!("{}{}", authority.name, relationship.collect::<String>())));
    }
    if let Some(certificate) = &consent.certificate {
        let (from, until) = (certificate.from.clinical(), certificate.until.clinical());
        lines.push(line("Certificate", format!("{}, {from} to {until}", certificate.signed_by)));
    }
    lines.extend(consent.letter_to_gp.map(|says| {
        line(
            "Letter to the GP",
            match says {
                LetterToGp::Told => "the patient was told of it",
                LetterToGp::DoesNotObject => "the patient does not object",
                LetterToGp::Objects => "the patient objects",
            },
        )
    }));
    lines
}

fn advice(facts: &Facts) -> Vec<Line> {
    let leaving =
        facts.case.operation.as_ref().and_then(|operation| operation.leaving.clone()).unwrap_or_default();
    let consent = facts.case.consent.as_ref();
    let mut lines = Vec::new();
    lines.extend(known("Leaflet before", consent.and_then(|consent| consent.leaflet.as_deref())));
    lines.extend(known("Told", leaving.told.as_deref()));
    lines.extend(known("Leaflet", leaving.leaflet.as_deref()));
    lines
}

fn documents(source: &Source<'_>) -> Vec<Line> {
    let mut lines: Vec<Line> =
        source.papers.iter().map(|paper| line("Issued", papers::description(paper))).collect();
    if !source.never_issued.is_empty() {
        lines.push(line("Never issued, so not here", List::and(source.never_issued).to_string()));
    }
    lines
}

/// Who issued the note, else the first of the documents.
fn completing(source: &Source<'_>) -> Vec<Line> {
    let note = source.papers.iter().find(|paper| paper.entry.document == OPERATION_NOTE);
    let paper = note.or_else(|| source.papers.first());
    paper.map(|paper| line("Issued by", paper.entry.by.clone())).into_iter().collect()
}

/// An incident, as it was recorded; what is missing is said.
fn told(source: &Source<'_>, at: usize, incident: &Incident) -> Vec<Line> {
    let answered = source.edition.answered.iter().filter(|one| one.incident == Some(at));
    let mut lines: Vec<Line> =
        answered.map(|one| line("Found", format!("{}: {}", capitalised(&one.title), one.says))).collect();
    let found = incident.found.clone().unwrap_or_default();
    lines.push(recorded("What happened", incident.what_happened.as_deref()));
    lines.push(day("Found on", found.on));
    lines.extend(found.at.map(|at| line("At", at.clinical())));
    lines.extend(known("Found by", found.by.as_deref()));
    lines.push(recorded("Done at once", incident.done_at_once.as_deref()));
    lines.push(line("Physical harm", incident.harm.map_or("not recorded", crate::case::Harm::word)));
    lines.extend(
        incident.psychological_harm.map(|harm| line("Psychological harm", PsychologicalHarm::word(harm))),
    );
    let told = incident.told.clone().unwrap_or_default();
    lines.push(match (told.on, &told.not_yet) {
        (Some(on), _) => {
            let by = told.by.iter().map(|by| format!(" by {}", without_stop(by)));
            let apology = match told.apology {
                Some(true) => ", with an apology",
                Some(false) => ", without an apology",
                None => "",
            };
            line("The patient was told", format!("{}{}{apology}", on.clinical(), by.collect::<String>()))
        }
        (None, Some(why)) => line("The patient has not been told yet", without_stop(why)),
        (None, None) => line("The patient was told", "not recorded"),
    });
    lines.extend(incident.reported.iter().map(|report| {
        let number = report.reference.iter().map(|number| format!(" ({number})"));
        line("Reported to", format!("{}{}", without_stop(&report.to), number.collect::<String>()))
    }));
    lines
}
