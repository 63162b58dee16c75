//! Practitioners and practices, by name.

use serde::Serialize;

use super::{NOT_RECORDED, without_stop};
use crate::case::{Gp, Practitioner};
use crate::facts::Facts;

/// The name behind the key of a practitioner, or the name as typed, to stand inside a sentence.
pub(crate) fn name_of(facts: &Facts, typed: &str) -> String {
    let known = facts.clinic.practitioners.get(typed);
    known.map_or_else(|| without_stop(typed).to_owned(), |practitioner| practitioner.name.clone())
}

/// A practitioner, or that none is recorded.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct Person {
    pub(in crate::documents) is_known: bool,
    pub(in crate::documents) name: String,
    pub(in crate::documents) role: String,
    pub(in crate::documents) registration: String,
}

impl Person {
    pub(in crate::documents) fn of(practitioner: Option<&Practitioner>) -> Person {
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
pub(in crate::documents) fn person_called(facts: &Facts, typed: Option<&str>) -> Person {
    match typed.map(|typed| (typed, facts.clinic.practitioners.get(typed))) {
        None => Person::of(None),
        Some((_, Some(practitioner))) => Person::of(Some(practitioner)),
        Some((typed, None)) => Person { is_known: true, name: typed.to_owned(), ..Person::of(None) },
    }
}

/// The lines of an address block: doctor, practice, address.
pub(in crate::documents) fn address_lines(gp: &Gp) -> Vec<String> {
    gp.name.iter().chain([&gp.practice]).chain(&gp.address).cloned().collect()
}
