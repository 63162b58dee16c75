//! Nail that came back and hurts, and nothing says what is done about it.

use super::{VISIT, seen_toes};
use crate::case::ClosedBecause;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{is_blank, named};
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "regrowth-painful-without-plan",
    topic: Topic::Visits,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "nail that came back hurts, and nothing says what is done about it",
    why: "The operation has failed for this patient, who needs to know what can be done.",
    cite: Cite::common_practice(),
    limits: "Any next visit, referral, request to the practice, advice or new case is enough.",
    example: Example {
        bad: r#"visits: [{on: 2027-08-24, kind: unplanned, toes: {L1: {regrowth: spike, regrowth_hurts: true}}}]"#,
        good: r#"visits: [{on: 2027-08-24, kind: unplanned, toes: {L1: {regrowth: spike, regrowth_hurts: true}}, next: {kind: review, on: 2027-09-07}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let goes_on = facts.case.closed.as_ref().map(|closed| &closed.because);
    if matches!(goes_on, Some(ClosedBecause::NewCase(_))) {
        return Vec::new();
    }
    seen_toes(facts)
        .filter(|(_, visit, _, seen)| {
            let is_silent = [&visit.referred, &visit.told].iter().all(|text| is_blank(text.as_deref()));
            let asks = visit.gp_actions.as_ref().is_some_and(|asked| !asked.list().is_empty());
            seen.regrowth_hurts == Some(true) && is_silent && !asks && visit.next.is_none()
        })
        .map(|(at, _, toe, _)| {
            Finding::at(format!("visits[{at}].toes.{toe}.regrowth_hurts"))
                .says(format!("nail at {} hurts", named(toe)))
                .fix("enter `next`, `referred` or `told`; a new operation is a new case that `follows` this one")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_plan_or_a_new_case_passes_and_a_spike_that_does_not_hurt_does_too() {
        let toe = |hurts: &str, rest: &str| {
            let visit = format!(
                "visits: [{{on: 2026-11-25, kind: review, toes: {{L1: {{regrowth: spike, \
                 regrowth_hurts: {hurts}}}}}}}]"
            );
            paths(&RULE, &format!("{{{visit}{rest}}}"))
        };
        assert_eq!(toe("true", ""), ["visits[0].toes.L1.regrowth_hurts"]);
        assert!(toe("false", "").is_empty());
        assert!(toe("true", ", closed: {on: 2026-11-25, because: new case LFC-0312}").is_empty());
        assert_eq!(toe("true", ", closed: {on: 2026-11-25, because: moved away}").len(), 1);
    }
}
