//! An incident of which nobody outside the room seems to know.

use super::{called, entries};
use crate::case::Incident;
use crate::clinical::incidents::consequence;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "incident-not-reported",
    topic: Topic::Incidents,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "an incident was reported to nobody",
    why: "Others are kept from the same harm only if they hear of it. An employer, where there is one, is \
          told, and its procedure is followed.",
    cite: Cite::adapts(
        &sources::incidents::HCPC_CANDOUR,
        "8.1",
        "it asks to tell the employer where there is one; asking of everyone to whom it was reported, and \
         taking a reason for an answer, is ours",
    ),
    limits: "Does not know who must be told: that differs by nation, by employer and by insurer. Whether a \
             wrong toe is a Never Event is for those to say who lead on safety; the question is not \
             answered here.",
    example: Example {
        bad: "incidents: [{answers: []}]",
        good: "incidents: [{answers: [], reported: [{to: the clinic's manager, reference: I-12}]}]",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let unreported = entries(facts).filter(|(_, incident)| incident.reported.is_empty());
    unreported
        .map(|(at, incident)| {
            let medicine = if is_of_a_medicine(incident) {
                "; a suspected reaction to a medicine, or a faulty one, goes to the Yellow Card scheme"
            } else {
                ""
            };
            Finding::at(format!("incidents[{at}].reported"))
                .says(format!("{} names nobody to whom it was reported", called(at, incident)))
                .fix(format!(
                    "write `reported: [{{to: …, reference: …}}]`: the employer or the one who leads on safety, \
                     the insurer, in England the national record of patient safety events{medicine}; or say \
                     under `accepted` why nobody is told"
                ))
        })
        .collect()
}

fn is_of_a_medicine(incident: &Incident) -> bool {
    let rules = incident.answered_rules().iter();
    rules.filter_map(|rule| consequence(rule)).any(|consequence| consequence.is_of_a_medicine)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_report_passes_and_none_does_not() {
        assert!(paths(&RULE, "incidents: [{answers: [], reported: [{to: the insurer}]}]").is_empty());
        assert_eq!(paths(&RULE, "incidents: [{answers: []}]"), ["incidents[0].reported"]);
    }

    #[test]
    fn the_scheme_for_medicines_is_named_where_a_medicine_is_at_fault() {
        let fix = |rule: &str| {
            let entry = format!("incidents: [{{answers: [{rule}]}}]");
            findings(&RULE, &entry).remove(0).fix.expect("it says what to do")
        };
        assert!(fix("dose-over-limit").contains("Yellow Card"));
        assert!(!fix("toe-not-planned").contains("Yellow Card"));
    }
}
