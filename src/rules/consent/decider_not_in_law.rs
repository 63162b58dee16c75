//! The person or the ground that is recorded does not exist in the law of the clinic's nation, or not at
//! the patient's age.

use super::{born, decision_maker};
use crate::case::ConsentBy;
use crate::clinical::{Cite, sources};
use crate::derive::Unlawful;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::nation::Division;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "decider-not-in-law",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["consent-form", "operation-note", "gp-letter", "preparation-leaflet"]),
    title: "nobody can decide in this way under the law of the clinic's nation",
    why: "The nations of the United Kingdom have different laws for patients who cannot decide. A form on a \
          ground that the nation does not know gives no authority to treat.",
    cite: Cite::states(
        &sources::consent::HCPC_STANDARDS,
        "1.4: from a person with capacity, or other proper authority",
    ),
    limits: "Takes the nation from `division` in the clinic file and the age on the day of signing. It does not \
             know orders of a court.",
    example: Example {
        bad: "{clinic: {division: northern-ireland}, consent: {by: attorney}}",
        good: r"{clinic: {division: northern-ireland}, consent: {by: best interests,
  capacity: could not retain it, best_interests: sister consulted}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let by = facts.case.consent.as_ref().and_then(|consent| consent.by);
    let (Some(by), Some(maker)) = (by, decision_maker(facts)) else { return Vec::new() };
    let finding = |says: String, fix: &str| vec![Finding::at("consent.by").says(says).fix(fix)];
    match maker.unlawful {
        Some(Unlawful::NotInThisNation) => {
            let (says, fix) = not_here(by, maker.nation);
            finding(says.to_owned(), fix)
        }
        Some(Unlawful::TooYoung) => {
            let says = format!("for a patient aged {} there can be none", maker.age.clinical());
            vec![
                Finding::at("consent.by").says(says).see("patient.born", born(facts)).fix(
                    "record who decides at this age: the patient, or someone with parental responsibility",
                ),
            ]
        }
        Some(Unlawful::GuardianOfAdult | Unlawful::GuardianOfCapable) | None => Vec::new(),
    }
}

/// What is wrong, and what to write instead.
fn not_here(by: ConsentBy, nation: Division) -> (&'static str, &'static str) {
    match (by, nation) {
        (ConsentBy::BestInterests, _) => (
            "in Scotland an adult who cannot decide is treated under a certificate of incapacity",
            "write `by: certificate` with the certificate under `consent.certificate`",
        ),
        (ConsentBy::Certificate, _) => (
            "the certificate of incapacity belongs to the law of Scotland",
            "write `by: best interests` with how capacity was judged, and who was asked and why",
        ),
        (ConsentBy::Attorney, _) => (
            "the law of Northern Ireland has no attorney for health",
            "write `by: best interests`; name the attorney among those consulted",
        ),
        (ConsentBy::Deputy, Division::Scotland) => (
            "the law of Scotland has no deputy",
            "if a court appointed a guardian for welfare, write `by: welfare guardian`",
        ),
        (ConsentBy::Deputy, _) => (
            "the law of Northern Ireland has no deputy for health",
            "write `by: best interests`; name the person among those consulted",
        ),
        _ => (
            "a welfare guardian belongs to the law of Scotland",
            "write `by: deputy` for a deputy of the court, or `by: best interests`",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn found(nation: &str, by: &str, born: &str) -> Vec<String> {
        let fragment =
            format!("{{clinic: {{division: {nation}}}, patient: {{born: {born}}}, consent: {{by: {by}}}}}");
        paths(&RULE, &fragment)
    }

    #[test]
    fn each_nation_has_its_own_grounds() {
        let nations = ["england-and-wales", "scotland", "northern-ireland"];
        for (by, lawful) in [
            ("patient", [true, true, true]),
            ("best interests", [true, false, true]),
            ("certificate", [false, true, false]),
            ("attorney", [true, true, false]),
            ("deputy", [true, false, false]),
            ("welfare guardian", [false, true, false]),
        ] {
            for (nation, is_lawful) in nations.into_iter().zip(lawful) {
                assert_eq!(found(nation, by, "1984-02-09").is_empty(), is_lawful, "{by} in {nation}");
            }
        }
    }

    /// The form of the base case is signed on 20 November 2026.
    #[test]
    fn an_attorney_needs_an_adult_and_a_deputy_somebody_of_16() {
        assert!(found("england-and-wales", "attorney", "2008-11-20").is_empty(), "18 on the day");
        assert_eq!(found("england-and-wales", "attorney", "2008-11-21"), ["consent.by"]);
        assert!(found("england-and-wales", "deputy", "2010-11-20").is_empty(), "16 on the day");
        assert_eq!(found("england-and-wales", "deputy", "2010-11-21"), ["consent.by"]);
        assert!(found("scotland", "attorney", "2010-11-20").is_empty(), "16 on the day");
        assert_eq!(found("scotland", "attorney", "2010-11-21"), ["consent.by"]);
    }

    #[test]
    fn a_word_of_another_nation_is_not_told_to_a_scottish_clinic() {
        let said = says(&RULE, "{clinic: {division: scotland}, consent: {by: best interests}}").join(" ");
        assert!(said.contains("certificate of incapacity") && !said.contains("best interests"), "{said}");
    }
}
