//! A guardian's consent that the guardian could not give: no parental responsibility, or a patient who
//! decides for themselves.

use super::{born, decision_maker};
use crate::case::ConsentBy;
use crate::clinical::sources::consent::PARENTAL;
use crate::derive::{Decider, Unlawful};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "guardian-without-responsibility",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "candour-letter",
        "preparation-leaflet",
        "visit-letter",
        "closing-letter",
    ]),
    title: "the guardian could not give this consent",
    why: "For a patient under 16 consent is given by someone with parental responsibility, unless the young \
          person is competent. From 16 the patient decides. Only where a young person of 16 or 17 lacks \
          capacity may someone with parental responsibility still consent, and not in Scotland.",
    cite: PARENTAL,
    limits: "Counts the age on the day of signing. It does not know court orders, nor whether the answer about \
             responsibility or the note on capacity is true.",
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
    let Some(maker) = decision_maker(facts) else { return Vec::new() };
    let aged = format!("a guardian consented for a patient aged {}", maker.age.clinical());
    let fix = match maker.unlawful {
        Some(Unlawful::GuardianOfAdult) => {
            "record the patient's own consent; if the patient lacks capacity, record on what ground it was decided"
        }
        Some(Unlawful::GuardianOfCapable) => {
            "record the patient's own consent; if the patient lacks capacity, write how that was judged under \
             `consent.capacity`"
        }
        _ => "",
    };
    if maker.decider != Decider::Parent {
        return vec![Finding::at("consent.by").says(aged).see("patient.born", born(facts)).fix(fix)];
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
    vec![Finding::at(path).says(says).see("consent.by", aged).fix(
        "ask who has parental responsibility and record that person under `patient.guardian`; \
         without one, this consent cannot be used",
    )]
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

    /// With the day before and the day of a birthday, in each nation.
    fn consented(nation: &str, born: &str, capacity: &str) -> Vec<String> {
        paths(
            &RULE,
            &format!(
                "{{clinic: {{division: {nation}}}, patient: {{born: {born}, guardian: {{name: A, relationship: \
                   mother, parental_responsibility: true}}}}, consent: {{by: guardian, capacity: {capacity}}}}}"
            ),
        )
    }

    #[test]
    fn from_the_sixteenth_birthday_a_capable_patient_decides() {
        for nation in ["england-and-wales", "northern-ireland", "scotland"] {
            assert!(consented(nation, "2010-11-21", "~").is_empty(), "{nation}");
            assert_eq!(consented(nation, "2010-11-20", "~"), ["consent.by"], "{nation}");
        }
    }

    #[test]
    fn for_a_young_person_without_capacity_a_parent_may_consent_but_not_in_scotland() {
        for nation in ["england-and-wales", "northern-ireland"] {
            assert!(consented(nation, "2010-11-20", "could not retain it").is_empty(), "{nation}");
            assert!(consented(nation, "2008-11-21", "could not retain it").is_empty(), "{nation}");
            assert_eq!(
                consented(nation, "2008-11-20", "could not retain it"),
                ["consent.by"],
                "{nation}: 18"
            );
        }
        assert!(consented("scotland", "2010-11-21", "could not retain it").is_empty());
        assert_eq!(consented("scotland", "2010-11-20", "could not retain it"), ["consent.by"]);
    }

    #[test]
    fn the_patients_own_consent_is_not_looked_at() {
        assert!(paths(&RULE, "patient: {born: 2014-05-03}").is_empty());
    }
}
