//! Own consent of a patient under 16 without a note on competence.

use super::{OWN_CONSENT_YEARS, age_when_signed};
use crate::case::ConsentBy;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "consent-under-16",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "a patient under 16 gave consent and no judgement of competence is recorded",
    why: "Under 16 a young person's own consent counts only if they understand what is proposed well enough \
          to decide (Gillick competence). Whoever takes consent judges that and writes it down.",
    cite: Cite::states(&sources::consent::CONSENT_UNDER_18, "treatment decisions, under 16"),
    limits: "Counts the age on the day of signing. It does not judge competence, and the law of Scotland \
             words the same test in its own Act.",
    example: Example {
        bad: "{patient: {born: 2011-05-03}, consent: {by: patient}}",
        good: r#"{patient: {born: 2011-05-03}, consent: {by: patient,
  capacity: "explained the operation and its risks back in own words; competent to decide"}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let Some(age) = age_when_signed(facts) else { return Vec::new() };
    if consent.by != Some(ConsentBy::Patient)
        || OWN_CONSENT_YEARS <= age.years
        || !is_blank(consent.capacity.as_deref())
    {
        return Vec::new();
    }
    vec![
        Finding::at("consent.by")
            .says(format!("the patient gave consent, aged {}; `capacity` is empty", age.clinical()))
            .see("patient.born", format!("born {}", facts.case.patient.born.clinical()))
            .fix(
                "write under `consent.capacity` how competence was judged, or record the guardian's consent",
            ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    /// The form of the base case is signed on 20 November 2026.
    #[test]
    fn the_sixteenth_birthday_passes_and_the_day_before_does_not() {
        assert!(paths(&RULE, "patient: {born: 2010-11-20}").is_empty());
        assert_eq!(paths(&RULE, "patient: {born: 2010-11-21}"), ["consent.by"]);
    }

    #[test]
    fn a_guardian_needs_no_competence_of_the_child() {
        assert!(paths(&RULE, "{patient: {born: 2014-11-21}, consent: {by: guardian}}").is_empty());
    }
}
