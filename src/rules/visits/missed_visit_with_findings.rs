//! A visit that the patient did not come to, with something that was seen or done.

use super::SEEN;
use crate::case::VisitKind;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "missed-visit-with-findings",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: SEEN,
    title: "a missed visit says what was seen or done",
    why: "Nobody can have seen a toe at a visit to which nobody came: the kind is wrong, or the entry stands at the wrong visit.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "Looks at `toes`, `swab`, `dressing` and `taught`. What was said on the telephone afterwards is a visit of its own.",
    example: Example {
        bad: r#"visits: [{on: 2026-11-27, kind: missed, dressing: alginate}]"#,
        good: r#"visits: [{on: 2026-11-27, kind: missed, told: a letter with another date was sent}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let missed = facts.case.visits.iter().enumerate().filter(|(_, visit)| visit.kind == VisitKind::Missed);
    missed
        .filter_map(|(at, visit)| {
            let key = match () {
                () if visit.toes.is_some() => "toes",
                () if visit.swab.is_some() => "swab",
                () if visit.dressing.is_some() => "dressing",
                () if visit.taught.is_some() => "taught",
                () => return None,
            };
            Some(
                Finding::at(format!("visits[{at}].kind"))
                    .says("the patient did not come")
                    .see(format!("visits[{at}].{key}"), "but this is recorded")
                    .fix("correct `kind`, or move the entry to the visit at which it was"),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn what_can_only_be_seen_is_found() {
        let visit = |kind: &str, rest: &str| format!("visits: [{{on: 2026-11-27, kind: {kind}, {rest}}}]");
        for rest in ["toes: {L1: {wound: dry}}", "swab: {acts: us}", "dressing: pad", "taught: to her"] {
            assert_eq!(paths(&RULE, &visit("missed", rest)), ["visits[0].kind"], "{rest}");
            assert!(paths(&RULE, &visit("review", rest)).is_empty(), "{rest}");
        }
        assert!(paths(&RULE, &visit("missed", "note: rang twice")).is_empty());
    }
}
