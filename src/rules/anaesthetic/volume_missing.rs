//! An operated toe without its volume, although an anaesthetic is listed.

use super::entries;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "volume-missing",
    topic: Topic::Anaesthetic,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "aftercare-leaflet"]),
    title: "the volume of anaesthetic is not recorded for a toe",
    why: "The dose is the sum over all toes. With one volume missing it is not known, and it cannot be \
          compared with its limit.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for full and accurate records; stopping without a volume is ours",
    ),
    limits: "Does not know whether a toe needed an injection of its own: `0 ml` says that it had none.",
    example: Example {
        bad: "operation: {toes: {L1: {injected: ~}}}",
        good: "operation: {toes: {L1: {injected: 2.2 ml}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, entry)) = entries(facts).into_iter().next() else { return Vec::new() };
    facts
        .treated()
        .into_iter()
        .filter(|(_, done)| done.injections().is_empty())
        .map(|(toe, _)| {
            Finding::at(format!("operation.toes.{toe}.injected"))
                .says(format!("no volume for {}", named(toe)))
                .see(path.clone(), format!("{} is listed", entry.agent))
                .fix("enter the volume, like `2.2 ml`; `0 ml` if this toe had no injection")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_volume_of_nothing_is_an_answer() {
        let injected = |volume: &str| format!("operation: {{toes: {{L1: {{injected: {volume}}}}}}}");
        assert_eq!(paths(&RULE, &injected("~")), ["operation.toes.L1.injected"]);
        assert!(paths(&RULE, &injected("0 ml")).is_empty());
    }

    #[test]
    fn a_reason_why_there_is_none_is_an_answer() {
        let injected = |entry: &str| format!("operation: {{toes: {{L1: {{injected: {entry}}}}}}}");
        assert!(paths(&RULE, &injected("{not_recorded: syringe thrown away}")).is_empty());
        assert!(paths(&RULE, &injected("[{volume: {not_recorded: syringe thrown away}}]")).is_empty());
    }

    #[test]
    fn without_an_anaesthetic_there_is_another_rule() {
        assert!(paths(&RULE, "operation: {anaesthetic: ~, toes: {L1: {injected: ~}}}").is_empty());
    }
}
