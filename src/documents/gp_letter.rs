//! The letter to the family doctor, with a copy to the patient: the action first, then the national
//! headings (`clinical::sources::records`). It says what was done and planned, and words it so that
//! the patient may read it.

use serde::Serialize;

use super::plan::Plan;
use super::view::{
    self, NOT_RECORDED, Person, address_lines, allergies, diagnoses, full_name, listed, procedures,
};
use super::{Audience, Document, Edition, feet, operation_note};
use crate::case::{Gp, Matrix};
use crate::diagnostic::Path;
use crate::diagnostic::english::{List, capitalised};
use crate::facts::Facts;

/// The letter to the family doctor.
pub(crate) static DOCUMENT: Document = Document {
    name: "gp-letter",
    title: "Letter to the general practice",
    template: "gp-letter/main.typ",
    audience: Audience::Clinician,
    missing,
    view,
};

fn missing(facts: &Facts) -> Vec<Path> {
    let mut missing = Vec::new();
    if facts.case.operation.is_none() {
        missing.push(Path::from("operation"));
    }
    if facts.gp().is_none() {
        missing.push(Path::from("gp"));
    }
    missing
}

/// What the template may print. Every key is always there.
#[derive(Debug, Serialize)]
struct View {
    /// The address block, at most six lines in the window.
    to: Vec<String>,
    greeting: String,
    subject: String,
    date: String,
    patient: PatientView,
    diagnoses: Vec<view::Group>,
    procedures: Vec<view::Group>,
    summary: Vec<String>,
    examination: Vec<String>,
    history: Vec<String>,
    medicines_given: Vec<String>,
    allergies: String,
    consent: String,
    concerns: String,
    needs: String,
    told: Vec<String>,
    plan: Plan,
    copies: Vec<String>,
    author: Person,
}

#[derive(Debug, Serialize)]
struct PatientView {
    full_name: String,
    address: String,
}

fn view(facts: &Facts, edition: &Edition) -> serde_json::Value {
    let gp = facts.gp();
    let plan = Plan::of(facts);
    let patient = &facts.case.patient;
    let consent = facts.case.consent.as_ref();
    let own = View {
        to: gp.map_or_else(Vec::new, address_lines),
        greeting: gp.map_or_else(|| "Dear colleague".into(), greeting),
        subject: subject(facts),
        date: edition.made_on.clinical(),
        patient: PatientView { full_name: full_name(facts), address: patient.address.join(", ") },
        diagnoses: diagnoses(facts),
        procedures: procedures(facts),
        summary: summary(facts),
        examination: feet::examination(facts),
        history: history(facts),
        medicines_given: medicines_given(facts),
        allergies: capitalised(&allergies(facts)),
        consent: operation_note::consent(facts),
        concerns: capitalised(consent.and_then(|consent| consent.concerns.as_deref()).unwrap_or_default()),
        needs: needs(facts),
        told: told(facts, &plan),
        plan,
        copies: copies(facts, gp),
        author: Person::of(facts.operator()),
    };
    view::with_shared(facts, edition, &DOCUMENT, String::new(), false, &own)
}

/// `Dear Dr Fenwright` from `Dr A. Fenwright`; `Dear colleague` where nobody is named.
fn greeting(gp: &Gp) -> String {
    let Some(name) = &gp.name else { return "Dear colleague".into() };
    let is_initial = |word: &&str| word.ends_with('.') || word.chars().count() == 1;
    let words: Vec<&str> = name.split_whitespace().filter(|word| !is_initial(word)).collect();
    format!("Dear {}", words.join(" "))
}

fn subject(facts: &Facts) -> String {
    let toes = facts.operated().into_iter().map(|(toe, _)| format!("{} ({toe})", toe.clinical()));
    let day = facts.case.operation.as_ref().map_or_else(String::new, |operation| operation.date.clinical());
    format!("Nail surgery on {day}: {}", List::and(toes))
}

fn summary(facts: &Facts) -> Vec<String> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let mut lines = Vec::new();
    if let Some(problem) = &facts.case.problem {
        let tried = problem.tried.as_ref().map(|tried| format!("tried before: {tried}"));
        let told: Vec<String> = [problem.summary.clone(), tried].into_iter().flatten().collect();
        if !told.is_empty() {
            lines.push(capitalised(&format!("{}.", told.join("; "))));
        }
    }
    lines.push(match operation.complications.as_deref() {
        None => "Complications: not recorded.".into(),
        Some("none") => "There were no complications.".into(),
        Some(what) => format!("Complications: {what}."),
    });
    lines.extend(operation.findings.as_ref().map(|findings| format!("Findings: {findings}.")));
    lines.extend(operation.discharge.as_ref().map(|how| format!("At discharge: {how}.")));
    if let Some(toes) = &operation.not_done {
        lines.extend(
            toes.iter().map(|(toe, why)| format!("Planned but not done, {} ({toe}): {why}.", toe.clinical())),
        );
    }
    lines
}

fn history(facts: &Facts) -> Vec<String> {
    let history = facts.case.history.as_ref();
    let conditions = listed(history.and_then(|history| history.conditions.clone()));
    let medicines = history.and_then(|history| history.medicines.as_ref());
    let medicines = listed(medicines.map(|all| all.iter().map(crate::case::Medicine::full).collect()));
    let diabetes = match feet::diabetes(facts).as_str() {
        "none" => "No diabetes".to_owned(),
        NOT_RECORDED => format!("Diabetes: {NOT_RECORDED}"),
        // The patient reads a copy: a person has diabetes, nobody is one.
        known => format!("Has diabetes: {known}"),
    };
    vec![diabetes, format!("Other conditions: {conditions}"), format!("Medicines: {medicines}")]
}

fn medicines_given(facts: &Facts) -> Vec<String> {
    let mut lines: Vec<String> = facts
        .derived
        .agents
        .iter()
        .map(|agent| {
            let dose = agent.dose.print(ToString::to_string);
            let volume = agent.volume.print(ToString::to_string);
            capitalised(&format!("{} {dose} ({volume}), local anaesthetic", agent.agent))
        })
        .collect();
    if lines.is_empty() {
        lines.push(format!("Local anaesthetic: {NOT_RECORDED}"));
    }
    let phenol = facts.operated().iter().any(|(_, toe)| toe.phenol.is_some());
    if phenol {
        let strength = facts.case.operation.as_ref().and_then(|operation| operation.phenol.as_ref());
        let strength =
            strength.map_or_else(|| "strength not recorded".into(), |phenol| phenol.strength.to_string());
        lines.push(format!("Phenol {strength} to the nail matrix"));
    } else if facts.planned().iter().any(|(_, toe)| toe.matrix == Matrix::Phenol) {
        lines.push("No phenol was used".into());
    }
    lines
}

fn needs(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    let needs = patient.needs.iter().map(|need| match (need, &patient.language) {
        (crate::case::Need::Interpreter, Some(language)) => format!("interpreter ({language})"),
        _ => need.word().to_owned(),
    });
    capitalised(&needs.collect::<Vec<_>>().join(", "))
}

/// Only what the pack itself tells the patient, and what the file says was given.
fn told(facts: &Facts, plan: &Plan) -> Vec<String> {
    let consent = facts.case.consent.as_ref();
    let mut lines = Vec::new();
    if let Some(leaflet) = consent.and_then(|consent| consent.leaflet.as_ref()) {
        lines.push(format!("Before surgery: leaflet “{leaflet}”."));
    }
    let alternatives = consent.and_then(|consent| consent.alternatives.as_deref()).unwrap_or_default();
    if !alternatives.is_empty() {
        lines.push(format!("Alternatives discussed: {}.", List::and(alternatives)));
    }
    lines.push(format!("After surgery: aftercare leaflet. {}", plan.pain_relief.join(" ")));
    lines
}

fn copies(facts: &Facts, gp: Option<&Gp>) -> Vec<String> {
    let mut copies = Vec::new();
    copies.extend(gp.map(|gp| match &gp.name {
        Some(name) => format!("{name}, {}", gp.practice),
        None => gp.practice.clone(),
    }));
    copies.push(format!("{} (patient)", full_name(facts)));
    let guardian = facts.case.patient.guardian.as_ref();
    copies.extend(guardian.map(|guardian| format!("{} ({})", guardian.name, guardian.relationship)));
    copies
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_letter_needs_an_operation_and_a_practice() {
        let missing = |fragment: &str| -> Vec<String> {
            missing(&facts_of(fragment)).iter().map(ToString::to_string).collect()
        };
        assert_eq!(missing(""), Vec::<String>::new());
        assert_eq!(missing("gp: ~"), ["gp"]);
        assert_eq!(missing("gp: nobody"), ["gp"]);
        assert_eq!(missing("operation: ~\ngp: ~"), ["operation", "gp"]);
    }

    #[test]
    fn doctors_are_greeted_by_their_family_name() {
        let gp = |name: Option<&str>| {
            greeting(&Gp {
                name: name.map(Into::into),
                practice: "Birchgate".into(),
                address: Vec::new(),
                telephone: None,
            })
        };
        assert_eq!(gp(Some("Dr A. Fenwright")), "Dear Dr Fenwright");
        assert_eq!(gp(Some("Dr A B Fen-Wright")), "Dear Dr Fen-Wright");
        assert_eq!(gp(None), "Dear colleague");
    }

    #[test]
    fn nothing_is_asked_unless_the_file_asks() {
        assert!(Plan::of(&facts_of("")).actions.is_empty());
        let asked = facts_of("follow_up: {gp_actions: [check INR]}");
        assert_eq!(Plan::of(&asked).actions, ["check INR"]);
    }
}
