//! A decision for a patient who cannot decide, without what makes it one.

use super::{born, decision_maker};
use crate::case::Consent;
use crate::clinical::sources::consent::BEST_INTERESTS;
use crate::derive::Decider;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "capacity-not-recorded",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "that the patient cannot decide is not fully recorded",
    why: "Where the patient lacks capacity for this decision, two things must stand in the record: how \
          capacity was judged, and who was asked and why surgery serves the patient.",
    cite: BEST_INTERESTS,
    limits: "Sees whether something is written, not whether it is right. The Act named is that of England and \
             Wales; Northern Ireland has the common law, Scotland an Act and a certificate of its own. Under \
             16 the finding is a caution, because someone with parental responsibility usually decides.",
    example: Example {
        bad: "consent: {by: best interests}",
        good: r#"consent: {by: best interests,
  capacity: "could not retain the explanation on two visits",
  best_interests: "daughter and key worker consulted; pain stops her walking"}"#,
    },
    check,
};

/// A key under `consent` that must be filled in, with its text and what to say without it.
type Needed<'a> = (&'static str, &'a Option<String>, &'static str);

fn needed(decider: Decider, consent: &Consent) -> Vec<Needed<'_>> {
    let capacity = ("capacity", &consent.capacity, "how capacity was judged is not recorded");
    match decider {
        Decider::BestInterests => vec![
            capacity,
            (
                "best_interests",
                &consent.best_interests,
                "who was asked, and why it is in the patient's interest, is not recorded",
            ),
        ],
        // The certificate says that the patient cannot decide.
        Decider::Certificate => {
            vec![(
                "benefit",
                &consent.benefit,
                "how the patient benefits, and who was asked, is not recorded",
            )]
        }
        _ if decider.has_authority() => vec![capacity],
        _ => Vec::new(),
    }
}

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let Some(maker) = decision_maker(facts).filter(|maker| maker.unlawful.is_none()) else {
        return Vec::new();
    };
    if maker.decider == Decider::BestInterests && maker.is_child() {
        return vec![
            Finding::at("consent.by")
                .says(format!("decided in the best interests of a patient aged {}", maker.age.clinical()))
                .see("patient.born", born(facts))
                .fix(
                    "record the consent of someone with parental responsibility, or say why it was not \
                      sought",
                )
                .weighs(Severity::Caution),
        ];
    }
    needed(maker.decider, consent)
        .into_iter()
        .filter(|(_, text, _)| is_blank(text.as_deref()))
        .map(|(key, _, says)| {
            Finding::at(format!("consent.{key}"))
                .says(says)
                .see("consent.by", "the patient does not decide")
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

    #[test]
    fn each_ground_has_its_own_texts() {
        let of = |nation: &str, by: &str| {
            paths(&RULE, &format!("{{clinic: {{division: {nation}}}, consent: {{by: {by}}}}}"))
        };
        let both = ["consent.capacity", "consent.best_interests"];
        assert_eq!(of("northern-ireland", "best interests"), both);
        assert_eq!(of("england-and-wales", "attorney"), ["consent.capacity"]);
        assert_eq!(of("england-and-wales", "deputy"), ["consent.capacity"]);
        assert_eq!(of("scotland", "welfare guardian"), ["consent.capacity"]);
        assert_eq!(of("scotland", "certificate"), ["consent.benefit"]);
        assert!(of("scotland", "best interests").is_empty(), "another rule says that Scotland has none");
    }
}
