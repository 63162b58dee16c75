//! The numbers by which the health services of the four nations know the patient, each under its own label.

use super::{Given, Value, nhs_number};
use crate::clinical::{chi_number, hc_number};

/// A number and what it is called.
#[derive(Debug, Clone, PartialEq)]
pub struct PatientNumber {
    /// `NHS No.`, `CHI No.`, `H&C No.`.
    pub label: &'static str,
    /// The key of the case file.
    pub key: &'static str,
    /// In its printed form; unknown if its check digit is wrong.
    pub number: Value<String>,
}

/// Those that are recorded. The NHS number is named as not known where there is none of them at all.
pub(super) fn patient_numbers_of(given: Given<'_>) -> Vec<PatientNumber> {
    let patient = &given.case.patient;
    let chi = patient.chi_number.as_ref().map(|typed| {
        let checked = chi_number::check(&typed.0).map_err(|fault| fault.to_string());
        let number = printed(checked.map(|_| chi_number::grouped(&typed.0)), chi_number::DISPLAY);
        PatientNumber { label: "CHI No.", key: "chi_number", number }
    });
    let hc = patient.hc_number.as_ref().map(|typed| {
        let checked = hc_number::check(&typed.0).map_err(|fault| fault.to_string());
        let number = printed(checked.map(|()| hc_number::grouped(&typed.0)), hc_number::CHECK);
        PatientNumber { label: "H&C No.", key: "hc_number", number }
    });
    let others: Vec<PatientNumber> = chi.into_iter().chain(hc).collect();
    let nhs = (patient.nhs_number.is_some() || others.is_empty()).then(|| PatientNumber {
        label: "NHS No.",
        key: "nhs_number",
        number: nhs_number::nhs_number_of(given),
    });
    nhs.into_iter().chain(others).collect()
}

fn printed(checked: Result<Option<String>, String>, cite: crate::clinical::Cite) -> Value<String> {
    match checked {
        Ok(Some(number)) => Value::known(number, "the check digit fits", cite),
        Ok(None) => Value::because("not ten digits"),
        Err(fault) => Value::because(fault),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn printed(patient: &str) -> Vec<String> {
        let facts = facts_of(&format!("patient: {{{patient}}}"));
        let each = facts.derived.patient_numbers.iter();
        each.map(|one| format!("{} {}", one.label, one.number.get().map_or("Not known", String::as_str)))
            .collect()
    }

    #[test]
    fn each_number_stands_under_its_own_label() {
        assert_eq!(printed(""), ["NHS No. 999 000 0018"]);
        assert_eq!(printed("nhs_number: ~"), ["NHS No. Not known"]);
        assert_eq!(printed("nhs_number: ~, chi_number: \"0101011237\""), ["CHI No. 010101 1237"]);
        assert_eq!(printed("nhs_number: ~, hc_number: 320 000 0015"), ["H&C No. 320 000 0015"]);
        assert_eq!(
            printed("chi_number: 010101 1237, hc_number: 320 000 0016"),
            ["NHS No. 999 000 0018", "CHI No. 010101 1237", "H&C No. Not known"]
        );
    }
}
