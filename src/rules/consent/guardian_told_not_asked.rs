//! A patient who decides, with a guardian of whom nobody wrote down whether they may be told.

use super::decision_maker;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "guardian-told-not-asked",
    topic: Topic::Consent,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["gp-letter", "visit-letter", "closing-letter"]),
    title: "it is not recorded whether the guardian may be told",
    why: "A young person who decides for themselves has the same confidence as an adult. A parent is told, or \
          gets a copy of the letter, only if the young person agrees.",
    cite: Cite::states(&sources::consent::GMC_CONFIDENTIALITY_0_18, "paragraphs 42 to 44 and 54"),
    limits: "A note, since nothing is told until the patient agrees: the letter has no copy for the guardian, and \
             the consent form no line for them. Post that comes to a shared home may tell as much.",
    example: Example {
        bad: r"patient: {born: 2009-05-03, guardian: {name: Ruth Hollis, relationship: mother}}",
        good: r"patient: {born: 2009-05-03, guardian: {name: Ruth Hollis, relationship: mother, may_be_told: false}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(guardian) = &facts.case.patient.guardian else { return Vec::new() };
    let decides = decision_maker(facts).is_some_and(|maker| maker.decider.is_patient());
    if facts.case.consent.is_none() || !decides || guardian.may_be_told.is_some() {
        return Vec::new();
    }
    vec![
        Finding::at("patient.guardian.may_be_told")
            .says("the patient decides; the guardian is told nothing and gets no copy of the letter")
            .fix("ask the patient and write `may_be_told: true` or `false`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn found(nation: &str, born: &str, by: &str, told: &str) -> Vec<String> {
        paths(
            &RULE,
            &format!(
                "{{clinic: {{division: {nation}}}, patient: {{born: {born}, guardian: {{name: A, relationship: \
                   mother, may_be_told: {told}}}}}, consent: {{by: {by}}}}}"
            ),
        )
    }

    #[test]
    fn a_young_person_who_decides_is_asked_about_the_parent() {
        let path = ["patient.guardian.may_be_told"];
        for nation in ["england-and-wales", "northern-ireland", "scotland"] {
            assert_eq!(found(nation, "2012-05-01", "patient", "~"), path, "{nation}");
            assert_eq!(found(nation, "2009-05-01", "patient", "~"), path, "{nation}");
            assert!(found(nation, "2012-05-01", "patient", "false").is_empty(), "{nation}");
            assert!(found(nation, "2012-05-01", "guardian", "~").is_empty(), "{nation}: who consents knows");
        }
        assert!(paths(&RULE, "patient: {born: 2009-05-03}").is_empty(), "no guardian is recorded");
    }
}
