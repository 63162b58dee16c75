//! A direction is named, and what makes it one is not recorded.

use crate::case::{AuthorityBlock, AuthorityKind};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "agent-authority-incomplete",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the direction for the anaesthetic is not recorded in full",
    why: "A direction can only be found again by who gave it and when, and a patient group direction by its \
          title and the day until which it holds.",
    cite: Cite::adapts(
        &sources::anaesthetic::PATIENT_SPECIFIC_DIRECTIONS,
        "what a direction holds",
        "it names prescriber, medicine, dose and dates; which of them the note must repeat is ours",
    ),
    limits: "Looks for the prescriber and the day of a direction or plan, and for the title and last day of \
             a patient group direction. It does not read the direction.",
    example: Example {
        bad: "operation: {authority: patient-specific direction by Dr A. Fenwright}",
        good: "operation: {authority: \"patient-specific direction by Dr A. Fenwright, 2026-11-20\"}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for given in &facts.derived.given_under {
        let Some((path, block)) = &given.authority else { continue };
        let missing = missing(block);
        if missing.is_empty() || findings.iter().any(|known| known.path == *path) {
            continue;
        }
        let example = match block.under {
            AuthorityKind::PatientGroupDirection => "patient group direction NS-3, until 2027-03-31",
            AuthorityKind::PatientSpecificDirection => {
                "patient-specific direction by Dr A. Fenwright, 2026-11-20"
            }
            _ => "supplementary prescribing with Dr A. Fenwright, 2026-10-01",
        };
        findings.push(
            Finding::at(path.clone())
                .says(format!("{} not recorded", List::and(missing)))
                .fix(format!("write it like `{example}`, or as a block")),
        );
    }
    findings
}

fn missing(block: &AuthorityBlock) -> Vec<&'static str> {
    let mut missing = Vec::new();
    let mut need = |is_there: bool, what: &'static str| {
        if !is_there {
            missing.push(what);
        }
    };
    match block.under {
        AuthorityKind::Exemption | AuthorityKind::OwnPrescription => {}
        AuthorityKind::PatientGroupDirection => {
            need(!is_blank(block.title.as_deref()), "title or number");
            need(block.until.is_some(), "last day");
        }
        AuthorityKind::PatientSpecificDirection => {
            need(!is_blank(block.by.as_deref()), "prescriber");
            need(block.on.is_some(), "day of the direction");
        }
        AuthorityKind::SupplementaryPrescribing => {
            need(!is_blank(block.by.as_deref()), "doctor of the plan");
            need(block.on.is_some(), "day of the clinical management plan");
        }
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn what_is_missing_is_named() {
        let of = |authority: &str| says(&RULE, &format!("operation: {{authority: {authority}}}"));
        assert_eq!(of("{under: patient group direction}"), ["title or number and last day not recorded"]);
        assert_eq!(of("{under: patient group direction, title: NS-3}"), ["last day not recorded"]);
        assert_eq!(
            of("{under: patient-specific direction}"),
            ["prescriber and day of the direction not recorded"]
        );
        assert_eq!(
            of("{under: supplementary prescribing, by: Dr A. Fenwright}"),
            ["day of the clinical management plan not recorded"]
        );
    }

    #[test]
    fn the_exemption_and_a_prescription_of_ones_own_need_no_more() {
        assert!(paths(&RULE, "operation: {authority: exemption}").is_empty());
        assert!(paths(&RULE, "operation: {authority: own prescription}").is_empty());
    }
}
