//! A reference that tells who the patient is. Its letters and length are checked when the file is read.

use crate::clinical::{Cite, nhs_number, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "reference-form",
    topic: Topic::Identity,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the reference gives away who the patient is",
    why: "The reference names the output folder, and folder names are seen in places where the \
          documents themselves are not: backups, lists, screens, e-mails.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.3",
        "the source asks for records to be kept secure; keeping names, dates of birth and NHS numbers out of \
         file names is ours",
    ),
    limits: "Looks for the date of birth in the usual orders, for an NHS number and for the patient's names \
             as whole parts of the reference. Initials and other hints are not seen, and a running number \
             can look like a date by chance.",
    example: Example { bad: "reference: LFC-090284", good: "reference: LFC-0117" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let patient = &facts.case.patient;
    let reference = facts.case.reference.as_str();
    let digits: String = reference.chars().filter(|letter| *letter != '-').collect();
    let parts: Vec<&str> = reference.split('-').collect();

    let dates: Vec<String> = ["%Y%m%d", "%d%m%Y", "%d%m%y", "%y%m%d"]
        .into_iter()
        .map(|order| patient.born.0.format(order).to_string())
        .collect();
    let is_own_number = [
        patient.nhs_number.as_ref().map(|number| &number.0),
        patient.chi_number.as_ref().map(|number| &number.0),
        patient.hc_number.as_ref().map(|number| &number.0),
    ]
    .into_iter()
    .flatten()
    .any(|number| digits.contains(number));
    // A number typed as one part, or in its three groups.
    let is_a_number = parts.iter().any(|part| part.len() == 10 && nhs_number::is_valid(part))
        || parts.windows(3).any(|three| {
            three.iter().map(|part| part.len()).eq([3, 3, 4]) && nhs_number::is_valid(&three.concat())
        });
    let names: Vec<String> = [&patient.family, &patient.given]
        .into_iter()
        .flat_map(|name| name.split(|letter: char| !letter.is_alphabetic()))
        // One or two letters are as likely to be the clinic's own.
        .filter(|name| name.chars().count() > 2)
        .map(str::to_uppercase)
        .collect();

    let holds = if is_own_number {
        "holds the patient's number"
    } else if is_a_number {
        "holds an NHS number"
    } else if dates.iter().any(|date| digits.contains(date)) {
        "holds the patient's date of birth"
    } else if parts.iter().any(|part| {
        names.iter().any(|name| part.trim_matches(|letter: char| letter.is_ascii_digit()) == name)
    }) {
        "holds a name of the patient"
    } else {
        return Vec::new();
    };
    vec![Finding::at("reference").says(holds).fix("use a running number of the clinic, like `LFC-0117`")]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::says;

    #[test]
    fn the_date_of_birth_is_found_in_each_order() {
        for reference in ["LFC-19840209", "LFC-09-02-1984", "090284-A", "LFC-840209"] {
            assert_eq!(
                says(&RULE, &format!("reference: {reference}")),
                ["holds the patient's date of birth"],
                "{reference}"
            );
        }
    }

    #[test]
    fn numbers_and_names_are_found() {
        assert_eq!(says(&RULE, "reference: LFC-999-000-0018"), ["holds the patient's number"]);
        assert_eq!(says(&RULE, "reference: LFC-9434765919"), ["holds an NHS number"]);
        assert_eq!(says(&RULE, "reference: HOLLIS-2"), ["holds a name of the patient"]);
        assert_eq!(says(&RULE, "reference: LFC-IMOGEN2"), ["holds a name of the patient"]);
    }

    #[test]
    fn a_dated_running_number_passes() {
        for reference in ["LFC-20261124-03", "LFC-9434765918", "LFC-0117", "HOLLISTER-1"] {
            assert!(says(&RULE, &format!("reference: {reference}")).is_empty(), "{reference}");
        }
    }
}
