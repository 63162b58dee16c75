//! A direction that had run out on the day of surgery, or was written after it.

use crate::case::AuthorityKind;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-authority-expired",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note"]),
    title: "the direction did not hold on the day of surgery",
    why: "A patient group direction holds for the period that it names. A direction for one patient, and a \
          clinical management plan, are written before the medicine is given.",
    cite: Cite::adapts(
        &sources::anaesthetic::HUMAN_MEDICINES_SCHEDULE_16,
        "particulars of a patient group direction",
        "the period is one of them; comparing the days is ours",
    ),
    limits: "The last day itself is in time, and so is a direction written on the day of surgery. What a \
             direction says of doses and patients is not known here.",
    example: Example {
        bad: "operation: {authority: \"patient group direction NS-3, until 2026-11-23\"}",
        good: "operation: {authority: \"patient group direction NS-3, until 2026-11-24\"}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let day = facts.day();
    let mut findings: Vec<Finding> = Vec::new();
    for given in &facts.derived.given_under {
        let Some((path, block)) = &given.authority else { continue };
        let says = match block.under {
            AuthorityKind::PatientGroupDirection => block
                .until
                .filter(|until| *until < day)
                .map(|until| format!("the patient group direction held until {}", until.clinical())),
            AuthorityKind::PatientSpecificDirection => block
                .on
                .filter(|on| day < *on)
                .map(|on| format!("the direction was written on {}", on.clinical())),
            AuthorityKind::SupplementaryPrescribing => block
                .on
                .filter(|on| day < *on)
                .map(|on| format!("the clinical management plan was agreed on {}", on.clinical())),
            AuthorityKind::Exemption | AuthorityKind::OwnPrescription => None,
        };
        let Some(says) = says else { continue };
        if !findings.iter().any(|known| known.path == *path) {
            findings.push(
                Finding::at(path.clone())
                    .says(says)
                    .see("operation.date", format!("given on {}", day.clinical()))
                    .fix("check the day in the direction; if it is right, record it as an incident"),
            );
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn under(authority: &str) -> String {
        format!("operation: {{authority: \"{authority}\"}}")
    }

    /// Operated on 24-Nov-2026.
    #[test]
    fn the_last_day_is_in_time() {
        assert!(paths(&RULE, &under("patient group direction NS-3, until 2026-11-24")).is_empty());
        assert_eq!(
            says(&RULE, &under("patient group direction NS-3, until 2026-11-23")),
            ["the patient group direction held until 23-Nov-2026"]
        );
    }

    #[test]
    fn a_direction_is_not_written_afterwards() {
        let direction = "patient-specific direction by Dr A. Fenwright";
        assert!(paths(&RULE, &under(&format!("{direction}, 2026-11-24"))).is_empty());
        assert_eq!(paths(&RULE, &under(&format!("{direction}, 2026-11-25"))), ["operation.authority"]);
        let plan = "supplementary prescribing with Dr A. Fenwright";
        assert!(paths(&RULE, &under(&format!("{plan}, 2026-11-24"))).is_empty());
        assert_eq!(paths(&RULE, &under(&format!("{plan}, 2026-11-25"))), ["operation.authority"]);
    }

    #[test]
    fn two_products_under_one_direction_are_said_once() {
        let two = "operation: {authority: \"patient group direction NS-3, until 2026-11-23\", \
                   anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: mepivacaine, strength: 3 %}]}";
        assert_eq!(paths(&RULE, two), ["operation.authority"]);
    }
}
