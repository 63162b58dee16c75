//! Own consent of a patient under 16 without a note on competence, or without the judge that the law asks
//! for.

use super::{born, decision_maker};
use crate::case::Profession;
use crate::clinical::sources::consent::COMPETENT_CHILD;
use crate::derive::Decider;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::nation::Division;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "consent-under-16",
    topic: Topic::Consent,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "preparation-leaflet"]),
    title: "a patient under 16 gave consent and no judgement of competence is recorded",
    why: "Under 16 a young person's own consent counts only if they understand what is proposed well enough \
          to decide. Whoever takes consent judges that and writes it down. In Scotland the Act names a \
          qualified medical practitioner as the judge.",
    cite: COMPETENT_CHILD,
    limits: "Counts the age on the day of signing. It does not judge competence. A health board in Scotland \
             lets any competent professional judge; that is policy, not the Act.",
    example: Example {
        bad: "{patient: {born: 2011-05-03}, consent: {by: patient}}",
        good: r#"{patient: {born: 2011-05-03}, consent: {by: patient,
  capacity: "explained the operation and its risks back in own words; competent to decide"}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let Some(maker) = decision_maker(facts).filter(|maker| maker.decider == Decider::Child) else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    if is_blank(consent.capacity.as_deref()) {
        findings.push(
            Finding::at("consent.by")
                .says(format!("the patient gave consent, aged {}; `capacity` is empty", maker.age.clinical()))
                .see("patient.born", born(facts))
                .fix(
                    "write under `consent.capacity` how competence was judged, or record the consent of \
                     someone with parental responsibility",
                ),
        );
    }
    let judge = consent.capacity_by.as_ref();
    if maker.nation == Division::Scotland && judge.is_none_or(|judge| judge.profession != Profession::Doctor)
    {
        let (path, says) = match judge {
            None => {
                ("consent.capacity_by", "who judged that the patient understands is not recorded".to_owned())
            }
            Some(judge) => (
                "consent.capacity_by.profession",
                format!(
                    "a {} judged it; the Act names a qualified medical practitioner",
                    judge.profession.word()
                ),
            ),
        };
        findings.push(
            Finding::at(path)
                .says(says)
                .see("consent.by", format!("the patient gave consent, aged {}", maker.age.clinical()))
                .fix("write who judged it and their profession; if not a doctor, ask what local policy says"),
        );
    }
    findings
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

    #[test]
    fn in_scotland_the_judge_is_a_doctor() {
        let child = |more: &str| {
            paths(
                &RULE,
                &format!(
                    "{{clinic: {{division: scotland}}, patient: {{born: 2012-05-01}}, \
                       consent: {{capacity: explained it back{more}}}}}"
                ),
            )
        };
        assert_eq!(child(""), ["consent.capacity_by"]);
        assert_eq!(
            child(", capacity_by: {name: Robin Quill, profession: podiatrist}"),
            ["consent.capacity_by.profession"]
        );
        assert!(child(", capacity_by: {name: Dr A. Vane, profession: doctor}").is_empty());
        assert!(
            paths(&RULE, "{patient: {born: 2012-05-01}, consent: {capacity: explained it back}}").is_empty()
        );
    }
}
