//! The patient objects to the letter to the family doctor.

use crate::case::LetterToGp;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "letter-objected",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["gp-letter", "visit-letter"]),
    title: "the patient objects to the letter to the family doctor",
    why: "What a patient has told in confidence is passed on only if they do not object, unless there is good \
          reason. If there is one, it is written down, and the letter says only what is needed.",
    cite: Cite::states(&sources::consent::HCPC_CONFIDENTIALITY, "consent and confidentiality"),
    limits: "Holds back the letter alone. Whether a reason is good enough is for the practitioner.",
    example: Example {
        bad: "consent: {letter_to_gp: objects}",
        good: "consent: {letter_to_gp: does not object}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let answer = facts.case.consent.as_ref().and_then(|consent| consent.letter_to_gp);
    if answer != Some(LetterToGp::Objects) {
        return Vec::new();
    }
    vec![
        Finding::at("consent.letter_to_gp")
            .says("the patient objects, so no letter is made")
            .fix("if it must be sent all the same, say under `accepted` why, and what was weighed up"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_an_objection_holds_the_letter() {
        assert_eq!(paths(&RULE, "consent: {letter_to_gp: objects}"), ["consent.letter_to_gp"]);
        for answer in ["told", "does not object", "~"] {
            assert!(paths(&RULE, &format!("consent: {{letter_to_gp: {answer}}}")).is_empty(), "{answer}");
        }
    }

    #[test]
    fn it_holds_the_letter_and_nothing_else() {
        assert!(RULE.holds.holds("gp-letter"));
        assert!(!RULE.holds.holds("aftercare-leaflet") && !RULE.holds.holds("operation-note"));
    }
}
