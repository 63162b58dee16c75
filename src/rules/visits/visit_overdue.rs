//! The day of the next visit has passed, and nothing is recorded since.

use super::VISIT;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "visit-overdue",
    topic: Topic::Visits,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "the day of a visit has passed, and nothing is recorded",
    why: "Either the visit was not written down, or the patient has not been seen.",
    cite: Cite::project_default(
        "a day that has passed and of which nothing is written is said, and hinders nothing",
    ),
    limits: "Knows what was booked and what follows from the clinic's protocol.",
    example: Example {
        bad: r#"follow_up: {first_redressing: 2026-11-24}"#,
        good: r#"follow_up: {first_redressing: 2026-11-25}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(due) = facts.derived.course.next.as_ref().filter(|due| due.is_overdue) else {
        return Vec::new();
    };
    // A day before the surgery or before the visit at which it was booked is `dates-out-of-order`.
    let operated = facts.case.operation.iter().map(|operation| operation.date);
    let seen = facts.case.visits.iter().map(|visit| visit.on);
    if operated.chain(seen).any(|day| due.on < day) {
        return Vec::new();
    }
    let verb = if due.is_booked { "was booked for" } else { "was due on" };
    let last = facts.case.visits.len().checked_sub(1);
    vec![
        Finding::at(last.map_or_else(|| "operation.date".to_owned(), |at| format!("visits[{at}].on")))
            .says(format!("the {} {verb} {}", due.purpose, due.on.clinical()))
            .fix("enter the visit as it was, or one of kind `missed`"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn the_day_itself_passes_and_the_day_after_does_not() {
        assert!(paths(&RULE, RULE.example.good).is_empty(), "today is the 25th");
        assert_eq!(paths(&RULE, RULE.example.bad), ["operation.date"]);
        let seen = "{follow_up: {first_redressing: 2026-11-24}, \
                    visits: [{on: 2026-11-24, kind: redressing, next: {kind: review, on: 2026-11-24}}]}";
        assert_eq!(paths(&RULE, seen), ["visits[0].on"]);
        assert!(paths(&RULE, "follow_up: {first_redressing: 2026-11-23}").is_empty(), "before the surgery");
        let closed = "{follow_up: {first_redressing: 2026-11-24}, closed: {on: 2026-11-25, because: lost}}";
        assert!(paths(&RULE, closed).is_empty());
    }
}
