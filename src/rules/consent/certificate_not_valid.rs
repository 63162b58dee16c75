//! Scotland: treatment of an adult who cannot decide, without a certificate that covers it.

use super::decision_maker;
use crate::case::{Certificate, Profession};
use crate::clinical::sources::consent::SECTION_47;
use crate::clinical::thresholds::Threshold;
use crate::derive::{Decider, Unlawful};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "certificate-not-valid",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["consent-form", "operation-note", "gp-letter", "preparation-leaflet"]),
    title: "no certificate of incapacity covers this operation",
    why: "In Scotland an adult who cannot decide is treated under a certificate of incapacity. The Act names who \
          may sign it: the doctor in charge, or a dentist, optician or nurse with the training that it asks for. \
          A podiatrist is not named.",
    cite: SECTION_47,
    limits: "Does not know whether the signer was in charge of this kind of treatment or had the training, nor \
             whether a welfare attorney or guardian should have been asked first.",
    example: Example {
        bad: "{clinic: {division: scotland}, consent: {by: certificate, benefit: pain stops her walking}}",
        good: r"{clinic: {division: scotland}, consent: {by: certificate, benefit: pain stops her walking,
  certificate: {signed_by: Dr A. Vane, profession: doctor, from: 2026-11-01, until: 2027-10-31}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let is_meant = |maker: &&crate::derive::DecisionMaker| {
        maker.decider == Decider::Certificate && maker.unlawful != Some(Unlawful::NotInThisNation)
    };
    if decision_maker(facts).filter(is_meant).is_none() {
        return Vec::new();
    }
    let Some(certificate) = &consent.certificate else {
        return vec![
            Finding::at("consent.certificate")
                .says("no certificate is recorded")
                .see("consent.by", "decided on a certificate of incapacity")
                .fix("write who signed it, their profession, and from when until when it holds"),
        ];
    };
    signer(certificate).into_iter().chain(period(facts, certificate)).collect()
}

fn signer(certificate: &Certificate) -> Option<Finding> {
    let at = Finding::at("consent.certificate.profession");
    let finding = match certificate.profession {
        Profession::Doctor => return None,
        Profession::Dentist | Profession::Optician | Profession::Nurse => at
            .says(format!(
                "signed by a {}, who must be in charge of this kind of treatment and have the training",
                certificate.profession.word()
            ))
            .fix("say under `accepted` what was seen of the training, or ask the doctor in charge")
            .weighs(Severity::Caution),
        Profession::Other => at
            .says("signed by a profession that the Act does not name")
            .fix("ask the doctor in charge; if an order names this profession, say so under `accepted`")
            .weighs(Severity::Caution),
        Profession::Podiatrist => at
            .says("signed by a podiatrist, whom section 47(1A) does not name")
            .fix("ask the doctor in charge for a certificate; without one there is no authority to treat"),
    };
    Some(finding.see("consent.certificate.signed_by", format!("{} signed it", certificate.signed_by)))
}

fn period(facts: &Facts, certificate: &Certificate) -> Vec<Finding> {
    let Certificate { from, until, .. } = certificate;
    let day = facts.day();
    let on = if facts.case.operation.is_some() { "operated on" } else { "today is" };
    let mut findings = Vec::new();
    if day < *from || *until < day {
        findings.push(
            Finding::at("consent.certificate.until")
                .says(format!("{on} {}, outside the certificate", day.clinical()))
                .see("consent.certificate.from", format!("holds from {}", from.clinical()))
                .fix("correct the day that is wrong, or ask for a certificate that covers it"),
        );
    }
    if *until > from.plus_months(Threshold::CertificateHoldsFor.whole()) {
        findings.push(
            Finding::at("consent.certificate.until")
                .says("holds for more than a year from the examination")
                .see("consent.certificate.from", format!("from {}", from.clinical()))
                .fix("check the period on the certificate: longer than a year is only allowed in some cases")
                .weighs(Severity::Caution),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    fn with(profession: &str, from: &str, until: &str) -> String {
        format!(
            "{{clinic: {{division: scotland}}, consent: {{by: certificate, benefit: asked, certificate: \
               {{signed_by: Dr A. Vane, profession: {profession}, from: {from}, until: {until}}}}}}}"
        )
    }

    #[test]
    fn a_podiatrist_cannot_sign_it() {
        assert!(paths(&RULE, &with("doctor", "2026-11-01", "2027-10-31")).is_empty());
        assert_eq!(weights(&RULE, &with("podiatrist", "2026-11-01", "2027-10-31")), [Severity::Stop]);
        for other in ["dentist", "optician", "nurse", "other"] {
            assert_eq!(
                weights(&RULE, &with(other, "2026-11-01", "2027-10-31")),
                [Severity::Caution],
                "{other}"
            );
        }
    }

    #[test]
    fn the_day_of_surgery_lies_in_its_period() {
        let until = ["consent.certificate.until"];
        assert!(paths(&RULE, &with("doctor", "2026-11-24", "2026-11-24")).is_empty());
        assert_eq!(paths(&RULE, &with("doctor", "2026-11-25", "2027-11-24")), until);
        assert_eq!(paths(&RULE, &with("doctor", "2026-01-01", "2026-11-23")), until);
    }

    #[test]
    fn a_year_passes_and_a_day_more_is_looked_at() {
        assert!(paths(&RULE, &with("doctor", "2026-11-24", "2027-11-24")).is_empty());
        assert_eq!(weights(&RULE, &with("doctor", "2026-11-24", "2027-11-25")), [Severity::Caution]);
    }

    #[test]
    fn it_must_be_there_and_is_asked_for_in_scotland_alone() {
        assert_eq!(
            paths(&RULE, "{clinic: {division: scotland}, consent: {by: certificate}}"),
            ["consent.certificate"]
        );
        assert!(paths(&RULE, "consent: {by: certificate}").is_empty());
        assert!(paths(&RULE, "{clinic: {division: scotland}, consent: {by: best interests}}").is_empty());
    }
}
