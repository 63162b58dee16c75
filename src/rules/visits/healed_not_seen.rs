//! A toe that is recorded as healed, and that nobody of the clinic has seen so.

use super::{VISIT, seen_toes};
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "healed-not-seen",
    topic: Topic::Visits,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "a toe is recorded as healed, and nobody here has seen it healed",
    why: "The closing letter then says that the patient reports it. An audit counts it apart.",
    cite: Cite::project_default("what was reported and what was seen are told apart, and neither is doubted"),
    limits: "A visit at which the toe was seen and said to be healed is enough, whoever saw it.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-28, kind: telephone, toes: {L1: {healed: true}}}]"#,
        good: r#"visits: [{on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let healed = facts.derived.course.toes.iter().filter(|toe| toe.healed.is_some());
    healed
        .filter_map(|course| {
            let mut said = seen_toes(facts)
                .filter(|(_, _, toe, seen)| *toe == course.toe && seen.healed == Some(true))
                .collect::<Vec<_>>();
            if said.iter().any(|(_, visit, ..)| visit.kind.is_seen()) {
                return None;
            }
            let (at, visit, toe, _) = said.pop()?;
            Some(
                Finding::at(format!("visits[{at}].toes.{toe}.healed"))
                    .says(format!("{} healed, by {} alone", named(toe), visit.kind.word()))
                    .fix("nothing has to be done; look at the toe where there is a doubt"),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_call_alone_is_noted_and_a_look_is_not() {
        assert_eq!(paths(&RULE, RULE.example.bad), ["visits[0].toes.L1.healed"]);
        let both = "visits: [{on: 2026-12-28, kind: telephone, toes: {L1: {healed: true}}}, \
                    {on: 2027-01-05, kind: review, toes: {L1: {healed: true}}}]";
        assert!(paths(&RULE, both).is_empty());
        let open = "visits: [{on: 2026-12-28, kind: telephone, toes: {L1: {healed: true}}}, \
                    {on: 2027-01-05, kind: review, toes: {L1: {healed: false}}}]";
        assert!(paths(&RULE, open).is_empty(), "it is not healed");
    }
}
