//! Phenol in a woman of child-bearing age without a word on pregnancy.

use super::{phenol_label, phenol_toes};
use crate::case::Sex;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Completed years from which the question is expected.
const FROM_YEARS: u32 = 12;
/// Completed years up to which it is.
const TO_YEARS: u32 = 55;

pub(super) static RULE: Rule = Rule {
    name: "pregnancy-not-asked",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "it is not recorded whether the patient is pregnant",
    why: "Phenol is not used in pregnancy without a reason, and the anaesthetic is chosen with more care. A \
          question that was not asked cannot be answered later.",
    cite: Cite::project_default(
        "asked of female patients from 12 to 55 years; no publication on nail surgery gives an age range",
    ),
    limits: "Goes by the recorded sex and age only. Patients whose sex is not recorded or is recorded as \
             other are not asked for, and should be asked all the same where it matters.",
    example: Example { bad: "history: {pregnant: ~}", good: "history: {pregnant: false}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let is_recorded = facts.case.history.as_ref().is_some_and(|history| history.pregnant.is_some());
    let is_of_age =
        facts.derived.age.get().is_some_and(|age| FROM_YEARS <= age.years && age.years <= TO_YEARS);
    let toes = phenol_toes(facts);
    if is_recorded || !is_of_age || facts.case.patient.sex != Some(Sex::Female) || toes.is_empty() {
        return Vec::new();
    }
    let finding = Finding::at("history.pregnant")
        .says("`pregnant` is not filled in")
        .fix("ask, and write `pregnant: false` or `pregnant: true` under `history`");
    vec![toes.into_iter().fold(finding, |finding, (_, path)| finding.see(path, phenol_label(facts)))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    /// Operated on 24-Nov-2026.
    #[test]
    fn the_age_range_has_two_ends() {
        let asked = |born: &str| {
            !paths(&RULE, &format!("{{patient: {{born: {born}}}, history: {{pregnant: ~}}}}")).is_empty()
        };
        assert!(!asked("2014-11-25"), "the day before the twelfth birthday");
        assert!(asked("2014-11-24"), "the twelfth birthday");
        assert!(asked("1970-11-25"), "55 until tomorrow");
        assert!(!asked("1970-11-24"), "the 56th birthday");
    }

    #[test]
    fn only_where_phenol_meets_a_female_patient() {
        assert!(paths(&RULE, "{patient: {sex: male}, history: {pregnant: ~}}").is_empty());
        assert!(
            paths(&RULE, "{operation: ~, plan: {L1: {matrix: none}}, history: {pregnant: ~}}").is_empty()
        );
        assert_eq!(paths(&RULE, "{operation: ~, history: {pregnant: ~}}"), ["history.pregnant"]);
    }
}
