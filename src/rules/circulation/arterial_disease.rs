//! Arterial disease among the conditions of a patient whose foot is under surgery. With phenol it is
//! `phenol-poor-circulation`, and not said here again.

use super::is_said_with_phenol;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "arterial-disease",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "known arterial disease in a foot under surgery",
    why: "A wound of a toe with narrowed arteries heals slowly or not at all. Palpable pulses on the day do \
          not take back what is known.",
    cite: Cite::adapts(
        &sources::procedure::NAIL_SURGERY_AAFP,
        "contraindications",
        "peripheral vascular disease is named there against surgery with phenol; a caution without phenol is ours",
    ),
    limits: "The history does not say which leg it is: both count. Knows the names in its table, not how severe \
             the disease is.",
    example: Example {
        bad: "{operation: {toes: {L1: {phenol: ~}}}, history: {conditions: [PAD]}}",
        good: "{operation: {toes: {L1: {phenol: ~}}}, history: {conditions: [varicose veins]}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let feet = feet::under_surgery(facts);
    let Some(foot) = feet.first() else { return Vec::new() };
    if feet.iter().any(|foot| is_said_with_phenol(facts, foot.side)) {
        return Vec::new();
    }
    let reasons = facts.derived.poor_circulation.get(foot.side).reasons.iter();
    let told = reasons.filter(|reason| reason.path.to_string().starts_with("history."));
    told.map(|reason| {
        Finding::at(reason.path.clone())
            .says(reason.says.clone())
            .see(foot.path(), foot.label())
            .fix("say under `accepted` who judged the circulation and how")
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::WITHOUT_PHENOL;
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn the_condition_is_pointed_at_once() {
        let known =
            format!("{{{WITHOUT_PHENOL}, history: {{conditions: [asthma, intermittent claudication]}}}}");
        assert_eq!(paths(&RULE, &known), ["history.conditions[1]"]);
        assert_eq!(says(&RULE, &known), ["intermittent claudication"]);
    }

    #[test]
    fn with_phenol_and_without_surgery_it_is_silent() {
        assert!(paths(&RULE, "history: {conditions: [PAD]}").is_empty());
        assert!(paths(&RULE, "{operation: ~, plan: ~, history: {conditions: [PAD]}}").is_empty());
    }
}
