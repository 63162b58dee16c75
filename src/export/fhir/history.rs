//! What the patient came with, and what is known of them: diagnoses, conditions, allergies, medicines.

use super::codes::{self, ALLERGY_ACTIVE, NO_KNOWN_ALLERGY, NO_KNOWN_DRUG_ALLERGY};
use super::resources::{
    AllergyIntolerance, Concept, Condition, Dosage, MedicationStatement, Note, Reaction, Reference, Resource,
};
use super::{Entries, Told};
use crate::anatomy::Toe;
use crate::case::{AffectedToe, AllergiesEntry, NoneKnown};
use crate::derive::{Code, edges_in_words};
use crate::documents::{diabetes_in_words, nail_is, without_stop};
use crate::facts::Facts;
use crate::words::capitalised;

/// A suggested code that holds of this case.
pub(super) fn suggestion<'a>(facts: &'a Facts, code: &str) -> Option<&'a Code> {
    facts.derived.codes.get()?.iter().find(|one| one.code == code)
}

/// The diagnosis of a toe in the words of the note.
fn diagnosis(facts: &Facts, seen: &AffectedToe) -> Concept {
    if let Some(own) = &seen.diagnosis {
        return Concept::text(capitalised(without_stop(own)));
    }
    let is = nail_is(seen);
    let words = if is.ingrowing {
        "Ingrowing toenail"
    } else if is.thickened {
        "Thickened toenail"
    } else if is.involuted {
        "Involuted toenail"
    } else {
        "Toenail disorder"
    };
    match suggestion(facts, "L60.0").filter(|_| is.ingrowing) {
        Some(code) => codes::suggested(code, words),
        None => Concept::text(words),
    }
}

/// `left hallux (L1), lateral edge`.
fn place(toe: Toe, seen: &AffectedToe) -> String {
    let edges =
        if seen.edges.is_empty() { String::new() } else { format!(", {}", edges_in_words(&seen.edges)) };
    format!("{} ({toe}){edges}", toe.clinical())
}

/// What else was seen of the toe; no word of what nobody wrote.
fn seen(seen: &AffectedToe) -> Vec<Note> {
    let mut says = Vec::new();
    says.extend(seen.stage.map(|stage| format!("stage {stage}")));
    for (name, answer) in [
        ("infected", seen.infected),
        ("infection spreading beyond the nail fold", seen.cellulitis),
        ("nail curved across", seen.involuted),
        ("thickened nail", seen.thickened),
        ("nail surgery before", seen.previous_surgery),
    ] {
        says.extend(answer.map(|answer| format!("{name}: {}", if answer { "yes" } else { "no" })));
    }
    says.extend(seen.note.clone());
    if says.is_empty() { Vec::new() } else { vec![Note { text: says.join("; ") }] }
}

/// Adds a condition for each toe that is affected.
pub(super) fn diagnoses(facts: &Facts, entries: &mut Entries<'_>) -> Told {
    let toes: Vec<(Toe, &AffectedToe)> =
        facts.case.affected().into_iter().flat_map(|toes| toes.iter()).collect();
    let mut told = Told::default();
    for (toe, found) in toes {
        let name = diagnosis_name(toe);
        let (code, note) = (diagnosis(facts, found), seen(found));
        let notes: String = note.iter().map(|note| format!("; {}", note.text)).collect();
        let says = format!("{}{notes}", place(toe, found));
        let words = code.text.clone();
        let condition = Condition {
            id: entries.id(&name),
            code: Some(code),
            body_site: vec![Concept::text(place(toe, found))],
            subject: entries.patient(),
            note,
        };
        told.push(entries.add(&name, Resource::Condition(condition)), words, says);
    }
    told
}

/// The name of a toe's condition within the case.
pub(super) fn diagnosis_name(toe: Toe) -> String {
    format!("diagnosis {toe}")
}

/// Adds what else the patient has.
pub(super) fn conditions(facts: &Facts, entries: &mut Entries<'_>) -> Vec<Reference> {
    let diabetes = facts.has_diabetes().then(|| {
        let words = diabetes_in_words(facts);
        if words.contains("diabetes") { capitalised(&words) } else { format!("Diabetes: {words}") }
    });
    let listed = facts.derived.conditions.iter().map(|condition| condition.typed.clone());
    let mut all = Vec::new();
    for (at, words) in diabetes.into_iter().chain(listed).enumerate() {
        let name = format!("condition {at}");
        let condition = Condition {
            id: entries.id(&name),
            code: Some(Concept::text(words)),
            subject: entries.patient(),
            ..Condition::default()
        };
        all.push(entries.add(&name, Resource::Condition(condition)));
    }
    all
}

/// Adds the allergies; that none is known only where it is recorded so.
pub(super) fn allergies(facts: &Facts, entries: &mut Entries<'_>) -> Vec<Reference> {
    let recorded = facts.case.history.as_ref().and_then(|history| history.allergies.as_ref());
    let each: Vec<(Concept, Vec<Reaction>)> = match recorded {
        None => Vec::new(),
        Some(AllergiesEntry::NoneKnown(NoneKnown::NoneKnown)) => {
            vec![(NO_KNOWN_ALLERGY.concept(), Vec::new())]
        }
        Some(AllergiesEntry::NoneKnown(NoneKnown::NoDrugAllergies)) => {
            vec![(NO_KNOWN_DRUG_ALLERGY.concept(), Vec::new())]
        }
        Some(AllergiesEntry::List(list)) => {
            let each = list.iter().zip(&facts.derived.allergies).map(|(allergy, found)| {
                let reaction = allergy
                    .reaction
                    .iter()
                    .map(|words| Reaction { manifestation: vec![Concept::text(words)] });
                (Concept::text(found.in_full()), reaction.collect())
            });
            each.collect()
        }
    };
    let mut all = Vec::new();
    for (at, (code, reaction)) in each.into_iter().enumerate() {
        let name = format!("allergy {at}");
        let allergy = AllergyIntolerance {
            id: entries.id(&name),
            clinical_status: Some(ALLERGY_ACTIVE.concept()),
            code: Some(code),
            patient: entries.patient(),
            reaction,
        };
        all.push(entries.add(&name, Resource::AllergyIntolerance(allergy)));
    }
    all
}

/// Adds the medicines that are taken.
pub(super) fn medicines(facts: &Facts, entries: &mut Entries<'_>) -> Vec<Reference> {
    let mut all = Vec::new();
    for (at, medicine) in facts.derived.medicines.iter().enumerate() {
        let name = format!("medicine {at}");
        let dose = Some(medicine.dose.trim()).filter(|dose| !dose.is_empty());
        let statement = MedicationStatement {
            id: entries.id(&name),
            status: "active",
            medication_codeable_concept: Some(Concept::text(medicine.shown())),
            subject: entries.patient(),
            dosage: dose.into_iter().map(|dose| Dosage { text: dose.to_owned() }).collect(),
        };
        all.push(entries.add(&name, Resource::MedicationStatement(statement)));
    }
    all
}
