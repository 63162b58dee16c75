//! An INR too old to speak for the day of surgery. A test after surgery is `dates-out-of-order`.

use crate::clinical::{Cite, sources};
use crate::derive::InrAge;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

pub(super) static RULE: Rule = Rule {
    name: "inr-old",
    topic: Topic::Bleeding,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "the INR is older than 72 hours",
    why: "The effect of warfarin changes with food, illness and other medicines. An older result may no \
          longer hold.",
    cite: Cite::states(
        &sources::advice::SDCEP_ANTICOAGULANTS,
        "warfarin: INR within 24 hours, or 72 hours if stable",
    ),
    limits: "Counts days, not hours: a test 3 days before surgery passes at any time of day. Does not know \
             whether the INR has been stable; if not, 24 hours is the figure, and a note says so.",
    example: Example {
        bad: "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-20}}",
        good: "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let risk = &facts.derived.bleeding_risk;
    let Some(inr) = risk.inr.filter(|_| !risk.vitamin_k_antagonists.is_empty()) else { return Vec::new() };
    let days = Count(usize::try_from(inr.days).unwrap_or(0), "day");
    let when = if facts.case.operation.is_some() { "before surgery" } else { "ago" };
    let tested = format!("tested {}, {days} {when}", inr.tested.clinical());
    let finding = Finding::at("history.inr.tested");
    let finding = match inr.age {
        InrAge::Fresh => return Vec::new(),
        InrAge::IfStable => finding
            .says(format!("{tested}; a result speaks for 24 hours, and for 72 if it has been stable"))
            .fix("nothing, if the INR has been stable; else a newer result")
            .weighs(Severity::Note),
        InrAge::Old => finding
            .says(format!("{tested}; a result speaks for 72 hours"))
            .fix("enter the last result before surgery, or say under `accepted` why this one is enough"),
    };
    vec![match facts.case.operation {
        Some(_) => finding.see("operation.date", format!("operated on {}", facts.day().clinical())),
        None => finding,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn tested(medicine: &str, date: &str) -> String {
        format!("history: {{medicines: [{medicine}], inr: {{value: 2.5, tested: {date}}}}}")
    }

    #[test]
    fn one_day_passes_three_are_a_note_and_four_a_caution() {
        assert!(paths(&RULE, &tested("warfarin", "2026-11-23")).is_empty());
        assert_eq!(weights(&RULE, &tested("warfarin", "2026-11-22")), [Severity::Note]);
        assert_eq!(weights(&RULE, &tested("warfarin", "2026-11-21")), [Severity::Note]);
        assert_eq!(weights(&RULE, &tested("warfarin", "2026-11-20")), [Severity::Caution]);
        assert_eq!(
            says(&RULE, &tested("warfarin", "2026-11-20")),
            ["tested 20-Nov-2026, 4 days before surgery; a result speaks for 72 hours"]
        );
    }

    #[test]
    fn before_surgery_today_counts() {
        let planned = |date: &str| format!("{{operation: ~, {}}}", tested("warfarin", date));
        assert_eq!(weights(&RULE, &planned("2026-11-22")), [Severity::Note]);
        assert_eq!(paths(&RULE, &planned("2026-11-21")), ["history.inr.tested"]);
    }

    #[test]
    fn without_warfarin_its_age_does_not_matter() {
        assert!(paths(&RULE, &tested("apixaban", "2020-01-01")).is_empty());
    }
}
