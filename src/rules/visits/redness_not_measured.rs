//! An infected toe of which nobody measured how far the redness reaches.

use super::{VISIT, seen_toes};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "redness-not-measured",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "how far the redness of an infected toe reaches is not recorded",
    why: "Whoever looks next can only say that it spreads, or does not, if the first measure is there.",
    cite: Cite::adapts(
        &sources::procedure::CELLULITIS_SUMMARY,
        "consider drawing around the extent of the infection before treating",
        "a measure in mm is asked for in place of the line; `not_recorded` with its reason is enough",
    ),
    limits: "Redness is harder to see on brown and black skin: the reason then says how the spread was judged.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {infected: true}}}]"#,
        good: r#"visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {infected: true, redness: 8 mm}}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    seen_toes(facts)
        .filter(|(_, visit, _, seen)| {
            visit.kind.is_seen() && seen.infected == Some(true) && seen.redness.is_missing()
        })
        .map(|(at, _, toe, _)| {
            let path = format!("visits[{at}].toes.{toe}");
            Finding::at(format!("{path}.redness"))
                .says("not recorded")
                .see(format!("{path}.infected"), format!("{} is infected", named(toe)))
                .fix("enter it: `redness: 8 mm`, or why not: `redness: {not_recorded: …}`")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_measure_or_a_reason_passes() {
        let toe = |kind: &str, toe: &str| {
            paths(&RULE, &format!("visits: [{{on: 2026-12-01, kind: {kind}, toes: {{L1: {{{toe}}}}}}}]"))
        };
        assert_eq!(toe("unplanned", "infected: true"), ["visits[0].toes.L1.redness"]);
        assert!(toe("unplanned", "infected: true, redness: 0 mm").is_empty());
        assert!(
            toe("unplanned", "infected: true, redness: {not_recorded: felt warm up to the knuckle}")
                .is_empty()
        );
        assert!(toe("unplanned", "infected: false").is_empty());
        assert!(toe("telephone", "infected: true").is_empty(), "nobody saw it");
    }
}
