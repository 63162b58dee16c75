//! A dressing used after its expiry.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "dressing-expired",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "the dressing had expired",
    why: "Nobody vouches that an expired pack is still sterile. Most often the date was copied wrongly; if not, it \
          is an incident.",
    cite: Cite::common_practice(),
    limits: "An expiry that names only a month is good to the last day of it. A pack without its expiry raises \
             nothing. How it was stored is not known.",
    example: Example {
        bad: "operation: {dressing_packs: [{item: alginate, batch: D77, expires: 2026-10}]}",
        good: "operation: {dressing_packs: [{item: alginate, batch: D77, expires: 2026-11}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let packs = operation.dressing_packs.iter().enumerate();
    let expired = packs.filter_map(|(at, pack)| {
        let expires = pack.expires.value().filter(|expires| expires.last_day < operation.date)?;
        Some(
            Finding::at(format!("operation.dressing_packs[{at}].expires"))
                .says(format!("{} expired {}", pack.item, expires.clinical()))
                .see("operation.date", format!("used on {}", operation.date.clinical()))
                .fix("check the date on the pack"),
        )
    });
    expired.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn expires(on: &str) -> String {
        format!("operation: {{dressing_packs: [{{item: gauze}}, {{item: alginate, expires: {on}}}]}}")
    }

    #[test]
    fn the_last_day_passes_and_the_day_before_surgery_does_not() {
        assert!(paths(&RULE, &expires("2026-11-24")).is_empty());
        assert_eq!(paths(&RULE, &expires("2026-11-23")), ["operation.dressing_packs[1].expires"]);
        assert!(paths(&RULE, &expires("2026-11")).is_empty());
        assert_eq!(says(&RULE, &expires("2026-10")), ["alginate expired Oct-2026"]);
        assert!(paths(&RULE, &expires("{not_recorded: pack thrown away}")).is_empty());
    }
}
