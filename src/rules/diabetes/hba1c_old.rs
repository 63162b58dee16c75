//! An HbA1c too old to speak for the day of surgery, or without a date. No result at all is
//! `hba1c-missing`; a test after surgery is `dates-out-of-order`.

use super::diabetes;
use crate::clinical::{Cite, sources};
use crate::diagnostic::english::Count;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Calendar months for which a result speaks.
const MONTHS: u32 = 3;

pub(super) static RULE: Rule = Rule {
    name: "hba1c-old",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "HbA1c is not known to be from the last 3 months",
    why: "HbA1c speaks for the two to three months before the test. An older result says little about the \
          toe that is to heal now.",
    cite: Cite::from_memory(&sources::diabetes::CPOC_DIABETES, "HbA1c measured within 3 months of surgery"),
    limits: "Counts calendar months from the test to surgery, or to today before surgery.",
    example: Example {
        bad: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-08-23}}",
        good: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-08-24}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(diabetes) = diabetes(facts).filter(|diabetes| diabetes.hba1c.is_some()) else {
        return Vec::new();
    };
    let finding = match diabetes.tested {
        None => Finding::at("history.diabetes.hba1c")
            .says("no date of the test")
            .fix("enter the date under `history.diabetes.tested`"),
        Some(tested) if tested.plus_months(MONTHS) < facts.day() => {
            let days = Count(usize::try_from(tested.days_until(facts.day())).unwrap_or(0), "day");
            let when = if facts.case.operation.is_some() { "before surgery" } else { "ago" };
            Finding::at("history.diabetes.tested")
                .says(format!(
                    "tested {}, {days} {when}; a result speaks for {MONTHS} months",
                    tested.clinical()
                ))
                .fix("enter a newer result, or say under `accepted` why this one is enough")
        }
        Some(_) => return Vec::new(),
    };
    vec![match facts.case.operation {
        Some(_) => finding.see("operation.date", format!("operated on {}", facts.day().clinical())),
        None => finding,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn tested(date: &str) -> String {
        format!("history: {{diabetes: {{type: 2, hba1c: 52 mmol/mol, tested: {date}}}}}")
    }

    #[test]
    fn three_months_to_the_day_pass() {
        assert!(paths(&RULE, &tested("2026-08-24")).is_empty());
        assert_eq!(
            says(&RULE, &tested("2026-08-23")),
            ["tested 23-Aug-2026, 93 days before surgery; a result speaks for 3 months"]
        );
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
