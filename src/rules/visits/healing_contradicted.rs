//! A toe that is healed and not healed at one visit, or healed on a day on which it cannot have been.

use super::{SEEN, seen_toes};
use crate::case::InfectionSign;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "healing-contradicted",
    topic: Topic::Visits,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: SEEN,
    title: "what is said of healing cannot all be true",
    why: "Days to healing are counted from it, and the closing letter tells patient and practice.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the entries is ours",
    ),
    limits: "A toe that was healed and is seen open at a later visit is no contradiction: it counts as open.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-01, kind: review, toes: {L1: {healed: true, healed_on: 2026-12-02}}}]"#,
        good: r#"visits: [{on: 2026-12-01, kind: review, toes: {L1: {healed: true, healed_on: 2026-12-01}}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let surgery = facts.case.operation.as_ref().map(|operation| operation.date);
    seen_toes(facts)
        .filter_map(|(at, visit, toe, seen)| {
            let path = format!("visits[{at}].toes.{toe}");
            if let Some(on) = seen.healed_on {
                let finding = Finding::at(format!("{path}.healed_on"))
                    .says(format!("healed on {}", on.clinical()))
                    .fix("correct the day, or take out what was not so");
                if seen.healed != Some(true) {
                    return Some(match seen.healed {
                        Some(_) => finding.see(format!("{path}.healed"), "not healed"),
                        None => finding.fix("write `healed: true` beside it, or take it out"),
                    });
                }
                if visit.on < on {
                    let seen = format!("seen on {}", visit.on.clinical());
                    return Some(finding.see(format!("visits[{at}].on"), seen));
                }
                if let Some(surgery) = surgery.filter(|surgery| on <= *surgery) {
                    let operated = format!("operated on {}", surgery.clinical());
                    return Some(finding.see("operation.date", operated));
                }
            }
            let is_pus = |sign: &InfectionSign| *sign == InfectionSign::Pus;
            let other = match () {
                () if seen.infected == Some(true) => "infected",
                () if seen.signs.as_ref().is_some_and(|signs| signs.iter().any(is_pus)) => "signs",
                () => return None,
            };
            (seen.healed == Some(true)).then(|| {
                Finding::at(format!("{path}.healed"))
                    .says("healed")
                    .see(format!("{path}.{other}"), "and infected at the same visit")
                    .fix("correct what was written wrongly")
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    fn toe(entry: &str) -> Vec<String> {
        paths(&RULE, &format!("visits: [{{on: 2026-12-01, kind: review, toes: {{L1: {{{entry}}}}}}}]"))
    }

    #[test]
    fn the_day_lies_after_surgery_and_not_after_the_visit() {
        let healed_on = ["visits[0].toes.L1.healed_on"];
        assert!(toe("healed: true, healed_on: 2026-12-01").is_empty());
        assert_eq!(toe("healed: true, healed_on: 2026-12-02"), healed_on);
        assert!(toe("healed: true, healed_on: 2026-11-25").is_empty());
        assert_eq!(toe("healed: true, healed_on: 2026-11-24"), healed_on, "the day of surgery");
    }

    #[test]
    fn a_day_needs_a_healed_toe() {
        let healed_on = ["visits[0].toes.L1.healed_on"];
        assert_eq!(toe("healed: false, healed_on: 2026-11-30"), healed_on);
        assert_eq!(toe("healed_on: 2026-11-30"), healed_on);
    }

    #[test]
    fn a_healed_toe_is_not_infected() {
        assert_eq!(toe("healed: true, infected: true"), ["visits[0].toes.L1.healed"]);
        assert_eq!(toe("healed: true, signs: [pus]"), ["visits[0].toes.L1.healed"]);
        assert!(toe("healed: true, infected: false, signs: [redness]").is_empty());
        assert!(toe("healed: false, infected: true").is_empty());
    }
}
