//! A guardian's consent that the guardian could not give: no parental responsibility, or a patient of 16
//! and over.

use super::{OWN_CONSENT_YEARS, age_when_signed};
use crate::case::ConsentBy;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "guardian-without-responsibility",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "candour-letter"]),
    title: "the guardian could not give this consent",
    why: "For a patient under 16 consent is given by someone with parental responsibility, unless the young \
          person is competent. From 16 the patient decides, and nobody signs for them.",
    cite: Cite::states(&sources::consent::CONSENT_UNDER_18, "who can consent; parental responsibility"),
    limits: "Counts the age on the day of signing. It does not know court orders, deputies or lasting \
             powers of attorney, nor whether the answer about responsibility is true.",
    example: Example {
        bad: r"{patient: {born: 2014-05-03, guardian: {name: Ada Hollis, relationship: aunt,
  parental_responsibility: false}}, consent: {by: guardian}}",
        good: r"{patient: {born: 2014-05-03, guardian: {name: Ruth Hollis, relationship: mother,
  parental_responsibility: true}}, consent: {by: guardian}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let consent = facts.case.consent.as_ref();
    if consent.and_then(|consent| consent.by) != Some(ConsentBy::Guardian) {
        return Vec::new();
    }
    let Some(age) = age_when_signed(facts) else { return Vec::new() };
    if OWN_CONSENT_YEARS <= age.years {
        return vec![
            Finding::at("consent.by")
                .says(format!("a guardian consented for a patient aged {}", age.clinical()))
                .see("patient.born", format!("born {}", facts.case.patient.born.clinical()))
                .fix(
                    "record the patient's own consent; if the patient lacks capacity, record the decision in \
                     their best interests",
                ),
        ];
    }
    let (path, says) = match &facts.case.patient.guardian {
        None => ("patient.guardian", "no guardian is recorded"),
        Some(guardian) => match guardian.parental_responsibility {
            Some(true) => return Vec::new(),
            Some(false) => (
                "patient.guardian.parental_responsibility",
                "the guardian is recorded without parental responsibility",
            ),
            None => (
                "patient.guardian.parental_responsibility",
                "whether the guardian has parental responsibility is not recorded",
            ),
        },
    };
    vec![
        Finding::at(path)
            .says(says)
            .see("consent.by", format!("a guardian consented for a patient aged {}", age.clinical()))
            .fix(
                "ask who has parental responsibility and record that person under `patient.guardian`; \
                 without one, this consent cannot be used",
            ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn child(born: &str, responsibility: &str) -> String {
        format!(
            "{{patient: {{born: {born}, guardian: {{name: A, relationship: mother, \
               parental_responsibility: {responsibility}}}}}, consent: {{by: guardian}}}}"
        )
    }

    #[test]
    fn only_a_plain_yes_passes() {
        let path = ["patient.guardian.parental_responsibility"];
        assert!(paths(&RULE, &child("2014-05-03", "true")).is_empty());
        assert_eq!(paths(&RULE, &child("2014-05-03", "false")), path);
        assert_eq!(paths(&RULE, &child("2014-05-03", "~")), path);
        assert_eq!(
            paths(&RULE, "{patient: {born: 2014-05-03}, consent: {by: guardian}}"),
            ["patient.guardian"]
        );
    }

    #[test]
    fn from_the_sixteenth_birthday_nobody_else_signs() {
        assert!(paths(&RULE, &child("2010-11-21", "true")).is_empty());
        assert_eq!(paths(&RULE, &child("2010-11-20", "true")), ["consent.by"]);
    }

    #[test]
    fn the_patients_own_consent_is_not_looked_at() {
        assert!(paths(&RULE, "patient: {born: 2014-05-03}").is_empty());
    }
}
