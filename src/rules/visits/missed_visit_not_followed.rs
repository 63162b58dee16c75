//! A visit that the patient did not come to, and nothing says what was done about it.

use super::VISIT;
use crate::case::VisitKind;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "missed-visit-not-followed",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "a visit was missed, and nothing says what was done about it",
    why: "A toe that nobody sees may be healed or infected. The clinic asks the patient in again; it does not ask the practice to refer once more.",
    cite: Cite::adapts(
        &sources::records::CARE_TOGETHER,
        "no re-referral by the practice after a missed visit",
        "written for NHS contracts; asking what was done instead is ours",
    ),
    limits: "A note, what the patient was told, another date, a later visit or the end of the case is enough.",
    example: Example {
        bad: r#"visits: [{on: 2026-11-25, kind: missed}]"#,
        good: r#"visits: [{on: 2026-11-25, kind: missed, note: "rang, no answer; a letter was sent"}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let visits = &facts.case.visits;
    if facts.case.closed.is_some() {
        return Vec::new();
    }
    let missed = visits.iter().enumerate().filter(|(_, visit)| visit.kind == VisitKind::Missed);
    missed
        .filter(|(at, visit)| {
            let is_silent = [&visit.note, &visit.told].iter().all(|text| is_blank(text.as_deref()));
            let is_last = visits.iter().skip(at + 1).all(|later| later.on < visit.on);
            is_silent && visit.next.is_none() && is_last
        })
        .map(|(at, visit)| {
            Finding::at(format!("visits[{at}]"))
                .says(format!("missed on {}", visit.on.clinical()))
                .fix("write under `note` how the patient was asked in again, or enter `next`")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn what_was_done_or_a_later_visit_passes() {
        let missed = |rest: &str| paths(&RULE, &format!("visits: [{{on: 2026-11-27, kind: missed{rest}"));
        assert_eq!(missed("}]"), ["visits[0]"]);
        assert!(missed(", told: rang her}]").is_empty());
        assert!(missed(", next: {kind: redressing, on: 2026-12-01}}]").is_empty());
        assert!(missed("}, {on: 2026-12-01, kind: redressing}]").is_empty());
        assert_eq!(missed("}, {on: 2026-12-01, kind: missed}]"), ["visits[1]"]);
        let closed = "{visits: [{on: 2026-11-27, kind: missed}], closed: {on: 2026-12-20, because: lost}}";
        assert!(paths(&RULE, closed).is_empty());
    }
}
