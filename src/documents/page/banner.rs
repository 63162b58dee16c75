//! Who the patient is, at the head of every page. The labels stand in `templates/banner.typ`.

use serde::Serialize;

use super::day_for;
use crate::case::Sex;
use crate::documents::Audience;
use crate::facts::Facts;

/// Who the patient is, on every page: the order and the form of Patient Banner v4.0 and Patient Name
/// v3.0 (`clinical::sources::records::{BANNER, NAME_DISPLAY}`).
#[derive(Debug, Serialize)]
pub(super) struct Banner {
    name: String,
    born: String,
    is_female: bool,
    is_male: bool,
    is_other: bool,
    /// The numbers by which the health services know the patient; each is empty if it is not known.
    numbers: Vec<Number>,
    preferred: String,
    /// The name in another script.
    as_written: String,
}

/// `NHS No.` and the number, in its printed form.
#[derive(Debug, Serialize)]
struct Number {
    label: &'static str,
    number: String,
}

impl Banner {
    pub(super) fn of(facts: &Facts, audience: Audience) -> Banner {
        let patient = &facts.case.patient;
        let born = match (audience, facts.derived.age.get()) {
            (Audience::Clinician, Some(age)) => format!("{} ({})", patient.born.clinical(), age.clinical()),
            _ => day_for(audience, patient.born),
        };
        Banner {
            name: banner_name(facts),
            born,
            is_female: patient.sex == Some(Sex::Female),
            is_male: patient.sex == Some(Sex::Male),
            is_other: patient.sex == Some(Sex::Other),
            numbers: facts
                .derived
                .patient_numbers
                .iter()
                .map(|one| Number { label: one.label, number: one.number.get().cloned().unwrap_or_default() })
                .collect(),
            preferred: patient.preferred.clone().unwrap_or_default(),
            as_written: patient.name_as_written.clone().unwrap_or_default(),
        }
    }
}

/// `HOLLIS, Imogen (Ms)`.
pub(in crate::documents) fn banner_name(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    let title = patient.title.as_ref().map_or_else(String::new, |title| format!(" ({title})"));
    format!("{}, {}{title}", patient.family.to_uppercase(), patient.given)
}

/// `Ms Imogen Hollis`.
pub(in crate::documents) fn full_name(facts: &Facts) -> String {
    let patient = &facts.case.patient;
    let parts = [patient.title.as_deref(), Some(patient.given.as_str()), Some(patient.family.as_str())];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn names_and_dates_are_in_the_form_of_their_reader() {
        let facts = facts_of("");
        assert_eq!(banner_name(&facts), "HOLLIS, Imogen (Ms)");
        assert_eq!(full_name(&facts), "Ms Imogen Hollis");
        let banner = |audience| Banner::of(&facts, audience);
        assert_eq!(banner(Audience::Patient).born, "9 February 1984");
        let clinical = banner(Audience::Clinician);
        assert!(clinical.born.starts_with("09-Feb-1984"), "{clinical:?}");
        assert!(clinical.is_female && !clinical.is_male && !clinical.is_other);
        let [nhs] = clinical.numbers.as_slice() else { panic!("one number") };
        assert_eq!((nhs.label, nhs.number.as_str()), ("NHS No.", "999 000 0018"));
        assert!(clinical.preferred.is_empty());
        let nameless = facts_of("patient: {title: ~, sex: ~, nhs_number: ~}");
        assert_eq!(banner_name(&nameless), "HOLLIS, Imogen");
        let nobody = Banner::of(&nameless, Audience::Clinician);
        assert!(!nobody.is_female && !nobody.is_male && !nobody.is_other);
        assert!(nobody.numbers.iter().all(|one| one.number.is_empty()), "{nobody:?}");
    }
}
