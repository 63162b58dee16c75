//! An infection of which nothing says what is done about it.

use super::{VISIT, seen_toes};
use crate::case::GpActions;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::derive::infection_by;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{is_blank, named};
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "infection-without-plan",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "an infection was found, and nothing says what is done about it",
    why: "An infected toe is treated, sent on or looked at again in a few days. The letter asks the practice for what stands here.",
    cite: Cite::adapts(
        &sources::procedure::CELLULITIS_PUBLIC,
        "see your doctor if you do not start to feel better in 2 to 3 days",
        "written for cellulitis and for the patient; that somebody looks again in that time is ours",
    ),
    limits: "Any antibiotic, referral or request to the practice counts, whatever it says, and so does a visit that is booked within 3 days. Whether it is the right one is not judged.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {infected: true, redness: 8 mm}}}]"#,
        good: r#"visits: [{on: 2026-12-01, kind: unplanned, toes: {L1: {infected: true, redness: 8 mm}}, next: {kind: redressing, on: 2026-12-04}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let days = i64::from(Threshold::InfectionSeenAgainWithin.whole());
    seen_toes(facts)
        .filter(|(_, visit, _, seen)| !infection_by(visit, seen).is_empty())
        .filter(|(_, visit, ..)| {
            let asks = visit.gp_actions.as_ref().is_some_and(|asked| !GpActions::list(asked).is_empty());
            let is_sent_on = !is_blank(visit.referred.as_deref());
            let is_seen_soon =
                visit.next.as_ref().is_some_and(|next| visit.on.days_until(next.on) <= days);
            visit.antibiotic.is_none() && !asks && !is_sent_on && !is_seen_soon
        })
        .map(|(at, _, toe, _)| {
            Finding::at(format!("visits[{at}].toes.{toe}"))
                .says(format!("{} is infected", named(toe)))
                .fix(format!(
                    "enter what is done: `antibiotic`, `referred`, `gp_actions`, or `next` within {days} days; \
                     if it needs nothing, say why under `accepted`"
                ))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn infected(rest: &str) -> Vec<String> {
        paths(
            &RULE,
            &format!("visits: [{{on: 2026-12-01, kind: unplanned, toes: {{L1: {{infected: true}}}}{rest}}}]"),
        )
    }

    #[test]
    fn anything_that_is_done_about_it_passes() {
        assert_eq!(infected(""), ["visits[0].toes.L1"]);
        for plan in [
            ", antibiotic: {medicine: flucloxacillin, from: gp}",
            ", referred: foot protection service",
            ", gp_actions: [please see her today]",
        ] {
            assert!(infected(plan).is_empty(), "{plan}");
        }
        assert_eq!(infected(", gp_actions: none").len(), 1);
        assert_eq!(infected(", referred: \" \"").len(), 1);
    }

    #[test]
    fn the_next_visit_is_soon_up_to_the_third_day() {
        assert!(infected(", next: {kind: redressing, on: 2026-12-04}").is_empty());
        assert_eq!(infected(", next: {kind: redressing, on: 2026-12-05}").len(), 1);
    }

    #[test]
    fn pus_is_an_infection_and_redness_alone_is_not() {
        let signs = |signs: &str| {
            paths(
                &RULE,
                &format!("visits: [{{on: 2026-12-01, kind: review, toes: {{L1: {{signs: [{signs}]}}}}}}]"),
            )
        };
        assert_eq!(signs("pus").len(), 1);
        assert!(signs("redness").is_empty());
    }
}
