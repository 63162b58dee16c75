//! For how long after this operation no other local anaesthetic is given, at the dentist for example.
//!
//! What an NHS leaflet asks of everybody, and longer where the table asks for a longer interval of an agent
//! that was given. Never shorter: what a patient takes home does not fall behind what patients elsewhere read,
//! and this clinic asks about the same hours before it injects.

use super::{Given, Value};
use crate::clinical::tables;
use crate::clinical::thresholds::Threshold;

/// In whole hours, for the agents of the operation.
pub(super) fn next_anaesthetic_of(given: Given<'_>) -> Value<u32> {
    let Some(operation) = given.case.operation.as_ref() else { return Value::missing("operation") };
    let usual = Threshold::AnotherAnaestheticAfter;
    let entries = operation.anaesthetic.as_ref().map(|agents| agents.all()).unwrap_or_default();
    let intervals = entries.into_iter().filter_map(|(_, entry)| {
        let agent = tables::agent(&entry.agent)?;
        Some((agent.name, agent.interval_hours?))
    });
    match intervals.max_by_key(|(_, interval)| interval.number) {
        Some((name, interval)) if interval.number > usual.whole() => {
            Value::known(interval.number, format!("the interval of {name}"), interval.source)
        }
        _ => Value::known(usual.whole(), "what leaflets ask of everybody", usual.cite()),
    }
}

#[cfg(test)]
mod tests {
    use crate::clinical::tables::agents;
    use crate::rules::example::facts_of;

    fn hours(fragment: &str) -> Option<u32> {
        facts_of(fragment).derived.next_anaesthetic_hours.get().copied()
    }

    /// Worcestershire Health and Care NHS Trust, Nail surgery: no other local anaesthetic within 24 hours.
    #[test]
    fn a_day_for_every_agent_and_for_one_that_nobody_knows() {
        for agent in ["lidocaine", "mepivacaine", "bupivacaine", "moonshine"] {
            let fragment = format!("operation: {{anaesthetic: {{agent: {agent}, strength: 1 %}}}}");
            assert_eq!(hours(&fragment), Some(24), "{agent}");
        }
        assert_eq!(hours("operation: {anaesthetic: ~}"), Some(24));
        assert_eq!(hours("operation: ~"), None);
    }

    /// No row asks for more today; one that did would lengthen the advice.
    #[test]
    fn no_interval_of_the_table_is_longer_than_what_is_printed() {
        for interval in agents().iter().filter_map(|agent| agent.interval_hours) {
            assert!(interval.number <= 24);
        }
    }
}
