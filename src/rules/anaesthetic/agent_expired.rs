//! Anaesthetic used after its expiry. A missing expiry is `expiry-missing`.

use super::entries;
use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::boxes::expiry_of_the_box;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "agent-expired",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note", "gp-letter", "candour-letter"]),
    title: "the anaesthetic had expired",
    why: "Nobody vouches for the strength of an expired solution. Most often the date was copied \
          wrongly; if not, it is an incident.",
    cite: Cite::common_practice(),
    limits: "An expiry that names only a month is good to the last day of it. How it was stored is not \
             known.",
    example: Example {
        bad: "operation: {anaesthetic: {expires: 2026-10}}",
        good: "operation: {anaesthetic: {expires: 2026-11}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let day = facts.day();
    let expired = entries(facts).into_iter().filter_map(|(path, entry)| {
        let expires = entry.expires.value().filter(|expires| expires.last_day < day)?;
        let found = Finding::at(path.key("expires"))
            .says(format!("{} expired {}", entry.agent, expires.clinical()))
            .see("operation.date", format!("used on {}", day.clinical()))
            .fix("check the date on the pack");
        Some(expiry_of_the_box(facts, entry.supply.as_deref(), expires, found))
    });
    expired.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    fn expires(on: &str) -> String {
        format!("operation: {{anaesthetic: {{expires: {on}}}}}")
    }

    #[test]
    fn the_last_day_passes_and_the_day_before_surgery_does_not() {
        assert!(paths(&RULE, &expires("2026-11-24")).is_empty());
        assert_eq!(paths(&RULE, &expires("2026-11-23")), ["operation.anaesthetic.expires"]);
        assert!(paths(&RULE, &expires("2026-11")).is_empty());
        assert_eq!(says(&RULE, &expires("2026-10")), ["mepivacaine expired Oct-2026"]);
        assert!(paths(&RULE, &expires("~")).is_empty());
    }
}
