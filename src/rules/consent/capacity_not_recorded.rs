//! A decision in the patient's best interests without what makes it one.

use super::{OWN_CONSENT_YEARS, age_when_signed};
use crate::case::ConsentBy;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "capacity-not-recorded",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "consent-form", "candour-letter"]),
    title: "a best-interests decision is not fully recorded",
    why: "Where the patient lacks capacity for this decision, two things must stand in the record: how \
          capacity was judged, and who was asked and why surgery is in the patient's interest.",
    cite: Cite::adapts(
        &sources::consent::MENTAL_CAPACITY,
        "sections 1 to 4",
        "the source gives the test and the principle; asking for both texts before issue is ours",
    ),
    limits: "Sees whether something is written, not whether it is right. The Act is that of England and \
             Wales, from 16 years; under 16 the finding is a caution, because someone with parental \
             responsibility usually decides. Scotland has another Act and its own certificate.",
    example: Example {
        bad: "consent: {by: best interests}",
        good: r#"consent: {by: best interests,
  capacity: "could not retain the explanation on two visits",
  best_interests: "daughter and key worker consulted; pain stops her walking"}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    if consent.by != Some(ConsentBy::BestInterests) {
        return Vec::new();
    }
    if let Some(age) = age_when_signed(facts).filter(|age| age.years < OWN_CONSENT_YEARS) {
        return vec![
            Finding::at("consent.by")
                .says(format!("decided in the best interests of a patient aged {}", age.clinical()))
                .see("patient.born", format!("born {}", facts.case.patient.born.clinical()))
                .fix(
                    "record the consent of someone with parental responsibility, or say why it was not \
                      sought",
                )
                .weighs(Severity::Caution),
        ];
    }
    [
        ("capacity", &consent.capacity, "how capacity was judged is not recorded"),
        (
            "best_interests",
            &consent.best_interests,
            "who was asked, and why it is in the patient's interest, is not recorded",
        ),
    ]
    .into_iter()
    .filter(|(_, text, _)| is_blank(text.as_deref()))
    .map(|(key, _, says)| {
        Finding::at(format!("consent.{key}"))
            .says(says)
            .see("consent.by", "decided in the patient's best interests")
            .fix(format!("write it under `consent.{key}`"))
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn both_texts_are_needed() {
        assert_eq!(
            paths(&RULE, "consent: {by: best interests}"),
            ["consent.capacity", "consent.best_interests"]
        );
        assert_eq!(
            paths(&RULE, "consent: {by: best interests, capacity: judged}"),
            ["consent.best_interests"]
        );
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn under_16_it_is_a_caution() {
        let born = |day: &str| format!("{{patient: {{born: {day}}}, consent: {{by: best interests}}}}");
        assert_eq!(weights(&RULE, &born("2010-11-20")), [Severity::Stop, Severity::Stop]);
        assert_eq!(weights(&RULE, &born("2010-11-21")), [Severity::Caution]);
    }
}
