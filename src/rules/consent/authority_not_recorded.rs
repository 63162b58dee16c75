//! Consent by an attorney, deputy or welfare guardian whose power is not recorded.

use super::decision_maker;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "authority-not-recorded",
    topic: Topic::Consent,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["consent-form", "operation-note", "gp-letter", "preparation-leaflet"]),
    title: "the power of the person who consented is not recorded",
    why: "An attorney, deputy or welfare guardian consents only within the power that a document gives. One \
          for property and money gives none over treatment. So the document is seen before the form is signed.",
    cite: Cite::adapts(
        &sources::consent::HCPC_STANDARDS,
        "1.4: other proper authority",
        "that the document is seen and its day written down is ours",
    ),
    limits: "Sees whether it is recorded that the document was seen and that it covers health, not whether it \
             was registered, ended or has conditions.",
    example: Example {
        bad: "consent: {by: attorney, capacity: could not retain it}",
        good: r"consent: {by: attorney, capacity: could not retain it,
  authority: {name: Ada Hollis, relationship: sister, document: lasting power of attorney,
    seen: 2026-11-20, covers_health: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = &facts.case.consent else { return Vec::new() };
    let Some(maker) = decision_maker(facts).filter(|maker| maker.decider.has_authority()) else {
        return Vec::new();
    };
    let finding = |path: &str, says: &str, fix: &str| {
        Finding::at(path).says(says).see("consent.by", format!("{}", maker.decider)).fix(fix)
    };
    let Some(authority) = &consent.authority else {
        return vec![finding(
            "consent.authority",
            "who it is, and on what document the power rests, is not recorded",
            "write `name`, `document`, `seen` and `covers_health` under `consent.authority`",
        )];
    };
    let mut findings = Vec::new();
    match authority.covers_health {
        Some(true) => {}
        Some(false) => findings.push(finding(
            "consent.authority.covers_health",
            "the power does not cover decisions about health",
            "this consent cannot be used: find out who may decide, and on what ground",
        )),
        None => findings.push(finding(
            "consent.authority.covers_health",
            "whether the power covers decisions about health is not recorded",
            "read the document and write `covers_health`",
        )),
    }
    if authority.seen.is_none() {
        findings.push(finding(
            "consent.authority.seen",
            "that the document was seen is not recorded",
            "write the day on which it was seen as `seen`",
        ));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn with(authority: &str) -> String {
        format!("consent: {{by: attorney, capacity: judged, authority: {authority}}}")
    }

    #[test]
    fn the_document_is_seen_and_covers_health() {
        assert!(paths(&RULE, &with("{name: A. Hollis, seen: 2026-11-20, covers_health: true}")).is_empty());
        assert_eq!(paths(&RULE, "consent: {by: attorney}"), ["consent.authority"]);
        assert_eq!(
            paths(&RULE, &with("{name: A. Hollis}")),
            ["consent.authority.covers_health", "consent.authority.seen"]
        );
    }

    #[test]
    fn a_power_over_money_gives_none_over_treatment() {
        assert_eq!(
            says(&RULE, &with("{name: A. Hollis, seen: 2026-11-20, covers_health: false}")),
            ["the power does not cover decisions about health"]
        );
    }

    #[test]
    fn it_holds_for_each_such_power_and_for_no_other() {
        let of = |nation: &str, by: &str| {
            paths(&RULE, &format!("{{clinic: {{division: {nation}}}, consent: {{by: {by}}}}}"))
        };
        assert_eq!(of("england-and-wales", "deputy"), ["consent.authority"]);
        assert_eq!(of("scotland", "attorney"), ["consent.authority"]);
        assert_eq!(of("scotland", "welfare guardian"), ["consent.authority"]);
        assert!(of("northern-ireland", "attorney").is_empty(), "another rule says that there is none");
        assert!(of("england-and-wales", "patient").is_empty());
    }
}
