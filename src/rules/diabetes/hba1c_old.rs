//! An HbA1c too old to speak for the day of surgery, or without a date. No result at all is
//! `hba1c-missing`; a test after surgery is `dates-out-of-order`.

use crate::clinical::Cite;
use crate::clinical::thresholds::Threshold;
use crate::derive::Hba1cAge;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::Count;

pub(super) static RULE: Rule = Rule {
    name: "hba1c-old",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "HbA1c is old or has no date",
    why: "HbA1c speaks for the two to three months before the test. People whose diabetes is stable are tested \
          about twice a year; an older result says little about the toe that is to heal now.",
    cite: Cite::project_default(
        "a result speaks for about three months, and stable diabetes is tested about twice a year",
    ),
    limits: "A note after 3 months and a caution after 6, which is ours. Counts calendar months from the test to surgery, or to today before surgery.",
    example: Example {
        bad: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-05-23}}",
        good: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-08-24}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(judged) = &facts.derived.hba1c_judged else { return Vec::new() };
    let finding = match (judged.age, judged.tested) {
        (Hba1cAge::Fresh, _) => return Vec::new(),
        (Hba1cAge::Noted | Hba1cAge::Old, Some(tested)) => {
            let days = Count(usize::try_from(tested.days_until(facts.day())).unwrap_or(0), "day");
            let when = if facts.case.operation.is_some() { "before surgery" } else { "ago" };
            let is_old = judged.age == Hba1cAge::Old;
            let limit = if is_old { Threshold::Hba1cOldAfter } else { Threshold::Hba1cNotedAfter };
            let finding = Finding::at("history.diabetes.tested").says(format!(
                "tested {}, {days} {when}: more than {} months",
                tested.clinical(),
                limit.whole()
            ));
            if is_old {
                finding.fix("enter a newer result, or say under `accepted` why this one is enough")
            } else {
                finding.fix("a newer result, where there is one, says more").weighs(Severity::Note)
            }
        }
        (_, _) => Finding::at("history.diabetes.hba1c")
            .says("no date of the test")
            .fix("enter the date under `history.diabetes.tested`"),
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

    fn tested(date: &str) -> String {
        format!("history: {{diabetes: {{type: 2, hba1c: 52 mmol/mol, tested: {date}}}}}")
    }

    #[test]
    fn three_months_to_the_day_pass_and_six_are_a_note() {
        assert!(paths(&RULE, &tested("2026-08-24")).is_empty());
        assert_eq!(
            says(&RULE, &tested("2026-08-23")),
            ["tested 23-Aug-2026, 93 days before surgery: more than 3 months"]
        );
        assert_eq!(weights(&RULE, &tested("2026-08-23")), [Severity::Note]);
        assert_eq!(weights(&RULE, &tested("2026-05-24")), [Severity::Note]);
        assert_eq!(weights(&RULE, &tested("2026-05-23")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &tested("~")), [Severity::Caution]);
    }

    #[test]
    fn before_surgery_today_counts() {
        let planned = |date: &str| format!("{{operation: ~, {}}}", tested(date));
        assert!(paths(&RULE, &planned("2026-08-25")).is_empty());
        assert_eq!(paths(&RULE, &planned("2026-08-24")), ["history.diabetes.tested"]);
    }

    #[test]
    fn a_result_needs_a_date_and_a_date_alone_raises_nothing() {
        assert_eq!(paths(&RULE, &tested("~")), ["history.diabetes.hba1c"]);
        assert!(paths(&RULE, "history: {diabetes: {type: 2, tested: 2020-01-01}}").is_empty());
    }
}
