//! A case that was closed while a visit is still booked.

use super::CLOSING;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "closed-with-visit-booked",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: CLOSING,
    title: "the case was closed, and a visit is still booked",
    why: "The closing letter says that no visit is needed, and the patient has a date.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Looks at what the last visit booked.",
    example: Example {
        bad: r#"{visits: [{on: 2026-11-25, kind: review, next: {kind: review, on: 2026-12-08}}], closed: {on: 2026-11-25, because: own wish}}"#,
        good: r#"{visits: [{on: 2026-11-25, kind: review}], closed: {on: 2026-11-25, because: own wish}}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(closed) = &facts.case.closed else { return Vec::new() };
    let last = facts.case.visits.iter().enumerate().max_by_key(|(at, visit)| (visit.on, *at));
    let next = last.and_then(|(at, visit)| Some((at, visit.next.as_ref()?)));
    let Some((at, next)) = next.filter(|(_, next)| closed.on < next.on) else { return Vec::new() };
    vec![
        Finding::at(format!("visits[{at}].next.on"))
            .says(format!("booked for {}", next.on.clinical()))
            .see("closed.on", format!("closed on {}", closed.on.clinical()))
            .fix("take out `next` if it was cancelled, or close the case after it"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_a_visit_after_the_closing_counts() {
        let next = |day: &str| {
            format!(
                "{{visits: [{{on: 2026-11-25, kind: review, next: {{kind: review, on: {day}}}}}], \
                 closed: {{on: 2026-12-08, because: lost}}}}"
            )
        };
        assert!(paths(&RULE, &next("2026-12-08")).is_empty());
        assert_eq!(paths(&RULE, &next("2026-12-09")), ["visits[0].next.on"]);
    }
}
