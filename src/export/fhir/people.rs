//! The patient, the practitioners, the clinic and the general practice.

use super::Entries;
use super::absent;
use super::resources::{
    Address, Communication, Concept, ContactPoint, HumanName, Identifier, Organization, OrganizationContact,
    Patient, PatientContact, Practitioner, Qualification, Reference, Resource,
};
use crate::case::{self, Sex};
use crate::derive::Injector;
use crate::facts::Facts;

/// The name of the NHS number (UK Core, `clinical::sources::records::RECORD_HEADINGS`).
const NHS_NUMBER: &str = "https://fhir.nhs.uk/Id/nhs-number";
/// The name of a registration with the HCPC (guide of UK Core).
const HCPC_NUMBER: &str = "https://fhir.hl7.org.uk/Id/hcpc-number";

/// References to people and places.
pub(super) struct People {
    pub(super) clinic: Reference,
    /// `None` if nobody is recorded.
    pub(super) operator: Option<Reference>,
    /// `None` if no practice is recorded.
    pub(super) practice: Option<Reference>,
}

/// Adds everybody.
pub(super) fn add(facts: &Facts, entries: &mut Entries<'_>) -> People {
    let practice = facts.gp().map(|gp| {
        let resource = practice(gp, entries.id("practice"));
        Reference { display: Some(gp.practice.clone()), ..entries.add("practice", resource) }
    });
    let patient = patient(facts, practice.clone(), entries);
    entries.add("patient", Resource::Patient(patient));
    let clinic = clinic(&facts.clinic, entries.id("clinic"));
    let clinic = Reference { display: Some(facts.clinic.name.clone()), ..entries.add("clinic", clinic) };
    let operator = facts.operator().map(|operator| operator.name.clone());
    let mut names: Vec<String> = operator.iter().cloned().collect();
    for given in &facts.derived.given_under {
        if let Injector::OfClinic { name, .. } = &given.injector
            && !names.contains(name)
        {
            names.push(name.clone());
        }
    }
    for name in &names {
        let known = facts.clinic.practitioners.values().find(|person| person.name == *name);
        if let Some(person) = known {
            let resource = practitioner(person, entries.id(&named(name)));
            entries.add(&named(name), resource);
        }
    }
    let operator = operator.map(|name| of(entries, facts, &name));
    People { clinic, operator, practice }
}

fn named(name: &str) -> String {
    format!("practitioner {name}")
}

/// Somebody by name: with the entry where the clinic file knows them, else the name alone.
pub(super) fn of(entries: &Entries<'_>, facts: &Facts, name: &str) -> Reference {
    let is_known = facts.clinic.practitioners.values().any(|person| person.name == name);
    let has_entry =
        is_known && entries.all.iter().any(|entry| entry.full_url == super::urn(&entries.id(&named(name))));
    let reference = if has_entry { entries.to(&named(name)) } else { Reference::default() };
    Reference { display: Some(name.to_owned()), ..reference }
}

fn patient(facts: &Facts, practice: Option<Reference>, entries: &Entries<'_>) -> Patient {
    let patient = &facts.case.patient;
    let official = HumanName {
        r#use: Some("official"),
        text: Some(format!("{} {}", patient.given, patient.family)),
        family: Some(patient.family.clone()),
        given: vec![patient.given.clone()],
        prefix: patient.title.iter().cloned().collect(),
    };
    let preferred = patient.preferred.iter().map(|name| HumanName {
        r#use: Some("usual"),
        text: Some(name.clone()),
        ..HumanName::default()
    });
    let as_written = patient.name_as_written.as_deref().map(name_alone);
    let gender = patient.sex.map(Sex::word);
    let guardian = patient.guardian.iter().map(|guardian| PatientContact {
        relationship: vec![Concept::text(&guardian.relationship)],
        name: Some(name_alone(&guardian.name)),
    });
    let language =
        patient.language.iter().map(|language| Communication { language: Some(Concept::text(language)) });
    Patient {
        id: entries.id("patient"),
        identifier: numbers(facts),
        name: std::iter::once(official).chain(preferred).chain(as_written).collect(),
        telecom: patient.telephone.iter().map(|number| telephone(number)).collect(),
        gender,
        gender_absent: if gender.is_none() { absent() } else { None },
        birth_date: patient.born.to_string(),
        address: address(&patient.address),
        contact: guardian.collect(),
        communication: language.collect(),
        general_practitioner: practice.into_iter().collect(),
        managing_organization: Some(entries.to("clinic")),
    }
}

/// Each number under its own label. Only the NHS number has a name that is published; one whose check digit is
/// wrong is no number.
fn numbers(facts: &Facts) -> Vec<Identifier> {
    let each = facts.derived.patient_numbers.iter().map(|one| {
        let label = match one.key {
            "nhs_number" => "NHS number",
            "chi_number" => "CHI number",
            _ => "health and care number",
        };
        let value = one.number.get().map(|number| number.chars().filter(char::is_ascii_digit).collect());
        Identifier {
            r#type: Some(Concept::text(label)),
            system: (one.key == "nhs_number" && value.is_some()).then_some(NHS_NUMBER),
            value_absent: if value.is_none() { absent() } else { None },
            value,
        }
    });
    each.collect()
}

fn practitioner(person: &case::Practitioner, id: String) -> Resource {
    let registration = person.registration.trim();
    let hcpc = registration.strip_prefix("HCPC ").map(str::trim);
    let identifier = Identifier {
        r#type: Some(Concept::text("registration")),
        system: hcpc.map(|_| HCPC_NUMBER),
        value: Some(hcpc.unwrap_or(registration).to_owned()),
        ..Identifier::default()
    };
    Resource::Practitioner(Practitioner {
        id,
        identifier: vec![identifier],
        name: vec![name_alone(&person.name)],
        qualification: vec![Qualification { code: Some(Concept::text(&person.role)) }],
    })
}

fn clinic(clinic: &case::Clinic, id: String) -> Resource {
    let email = clinic.email.iter().map(|email| ContactPoint { system: "email", value: email.clone() });
    Resource::Organization(Organization {
        id,
        name: clinic.name.clone(),
        telecom: std::iter::once(telephone(&clinic.telephone)).chain(email).collect(),
        address: address(&clinic.address),
        contact: Vec::new(),
    })
}

fn practice(gp: &case::Gp, id: String) -> Resource {
    Resource::Organization(Organization {
        id,
        name: gp.practice.clone(),
        telecom: gp.telephone.iter().map(|number| telephone(number)).collect(),
        address: address(&gp.address),
        contact: gp.name.iter().map(|name| OrganizationContact { name: Some(name_alone(name)) }).collect(),
    })
}

/// A name as one text: its parts are not recorded.
fn name_alone(name: &str) -> HumanName {
    HumanName { text: Some(name.trim().to_owned()), ..HumanName::default() }
}

fn telephone(number: &str) -> ContactPoint {
    ContactPoint { system: "phone", value: number.trim().to_owned() }
}

fn address(lines: &[String]) -> Vec<Address> {
    let text = lines.join(", ");
    if lines.is_empty() { Vec::new() } else { vec![Address { text, line: lines.to_vec() }] }
}
