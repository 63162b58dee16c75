//! Another local anaesthetic in the 24 hours before.

use rust_decimal::Decimal;

use crate::clinical::{Cite, sources};
use crate::derive::EarlierAnaesthetic;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "anaesthetic-within-24-h",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Incident,
    holds: Holds::Only(&["operation-note"]),
    title: "another local anaesthetic in the 24 hours before",
    why: "What is left of an earlier dose adds to this one: at the dentist in the morning and here in the \
          afternoon, each may be within its limit and both together over it.",
    cite: Cite::adapts(
        &sources::procedure::LEAFLET_WORCESTERSHIRE,
        "local anaesthetic",
        "the leaflet allows no other procedure under local anaesthetic within 24 hours; a caution, and a stop \
         where both doses are known and together over the limit",
    ),
    limits: "Knows only what is recorded under `history.other_anaesthetic_24h`; a question that was not \
             asked is not seen. The earlier dose counts until the interval of its agent has passed, by the \
             table of agents, else for 24 hours.",
    example: Example {
        bad: "history: {other_anaesthetic_24h: {what: a filling}}",
        good: "history: {other_anaesthetic_24h: none}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(earlier) = facts.derived.earlier_anaesthetic.as_ref() else { return Vec::new() };
    if facts.case.operation.is_none() || !earlier.is_within_a_day() {
        return Vec::new();
    }
    let finding = Finding::at("history.other_anaesthetic_24h").see("operation.date", "operated on then");
    let total = facts.derived.anaesthetic_share.entry();
    if let Some(total) = total.filter(|total| is_over(facts, earlier, total.value)) {
        return vec![
            finding
                .says(format!("{}; {} of the limit", when(earlier), total.working))
                .fix(
                    "correct a dose or a time if one is wrong; if both were given, watch and treat the patient \
                     as after an overdose and record it as an incident",
                )
                .weighs(Severity::Stop),
        ];
    }
    let counted = match (earlier.share.get().is_some(), earlier.is_counted()) {
        (true, true) => "counted with the dose of today",
        (true, false) => "long enough ago for its agent",
        (false, _) => "its dose is not known and not counted",
    };
    vec![
        finding
            .says(format!("{}; {counted}", when(earlier)))
            .fix("say under `accepted` why it was right to inject again, and how the patient was"),
    ]
}

/// Over only together: what is over alone is `dose-over-limit`.
fn is_over(facts: &Facts, earlier: &EarlierAnaesthetic, total: Decimal) -> bool {
    let today: Decimal = facts.derived.agents.iter().filter_map(|agent| agent.share.get()).sum();
    earlier.is_counted() && earlier.share.get().is_some() && today <= Decimal::ONE && Decimal::ONE < total
}

fn when(earlier: &EarlierAnaesthetic) -> String {
    let agent = earlier.agent.as_ref().map_or_else(String::new, |agent| format!(", {agent}"));
    let ago = match earlier.minutes_before {
        Some(minutes) => format!(", {} h {} min before", minutes / 60, minutes % 60),
        None => String::new(),
    };
    format!("{}{agent}{ago}", earlier.what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    fn other(rest: &str) -> String {
        format!("history: {{other_anaesthetic_24h: {{what: a filling{rest}}}}}")
    }

    /// The first injection is at 09:35.
    #[test]
    fn a_day_later_it_no_longer_counts() {
        assert_eq!(says(&RULE, &other("")), ["a filling; its dose is not known and not counted"]);
        assert_eq!(
            says(&RULE, &other(", on: 2026-11-23, at: \"09:36\"")),
            ["a filling, 23 h 59 min before; its dose is not known and not counted"]
        );
        assert!(paths(&RULE, &other(", on: 2026-11-23, at: \"09:35\"")).is_empty());
        assert!(paths(&RULE, "history: {other_anaesthetic_24h: none}").is_empty());
        assert!(paths(&RULE, "").is_empty(), "not asked");
    }

    /// Mepivacaine 66 mg of 299 mg are 22.1 %: 7.7 ml of lidocaine 2 % are 77 % of its limit, 7.8 ml 78 %.
    #[test]
    fn together_over_the_limit_is_a_stop() {
        let lidocaine = |volume: &str, at: &str| {
            other(&format!(
                ", on: 2026-11-24, at: \"{at}\", agent: lidocaine, strength: 2 %, volume: {volume} ml"
            ))
        };
        assert_eq!(weights(&RULE, &lidocaine("7.7", "08:10")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &lidocaine("7.8", "08:10")), [Severity::Stop]);
        assert_eq!(weights(&RULE, &lidocaine("7.8", "05:35")), [Severity::Caution], "4 hours before");
        assert_eq!(
            says(&RULE, &lidocaine("7.8", "05:35")),
            ["a filling, lidocaine, 4 h 0 min before; long enough ago for its agent"]
        );
    }
}
