//! Anaesthetics whose product text does not name a block of a toe. It is said, and never judged: brands
//! differ, and use outside the licence can be right.

use super::Given;
use super::age::months_of_age;
use crate::clinical::Cite;
use crate::clinical::tables::{self, OutsideLicence};
use crate::units::Percent;

/// One anaesthetic outside its product text.
#[derive(Debug, Clone, PartialEq)]
pub struct OffLabel {
    /// Generic name.
    pub agent: &'static str,
    /// The strength.
    pub strength: Percent,
    /// What the text names instead: `the product text names dental surgery only`.
    pub says: &'static str,
    /// Where that stands.
    pub source: Cite,
}

/// Of the anaesthetics that were given.
pub(super) fn off_label_given(given: Given<'_>) -> Vec<OffLabel> {
    let operation = given.case.operation.as_ref();
    let entries = operation.and_then(|operation| operation.anaesthetic.as_ref());
    let entries = entries.map(|all| all.all()).unwrap_or_default();
    let mut found: Vec<OffLabel> = Vec::new();
    for (_, entry) in entries {
        let one = off_label(given, &entry.agent, entry.strength);
        found.extend(one.filter(|one| !found.contains(one)));
    }
    found
}

/// Of the anaesthetic that is planned, or that the clinic usually gives: what can be said before surgery.
pub(super) fn off_label_planned(given: Given<'_>) -> Option<OffLabel> {
    let usual = given.planned_anaesthetic()?;
    off_label(given, &usual.agent, usual.strength)
}

fn off_label(given: Given<'_>, typed: &str, strength: Percent) -> Option<OffLabel> {
    let agent = tables::agent(typed)?;
    let OutsideLicence { says, source, .. } = agent.outside_licence_at(strength, months_of_age(given))?;
    Some(OffLabel { agent: agent.name, strength, says, source: *source })
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    #[test]
    fn a_dental_text_is_named_and_another_is_not() {
        let given = |fragment: &str| -> Vec<&str> {
            facts_of(fragment).derived.off_label_given.iter().map(|one| one.agent).collect()
        };
        assert_eq!(given(""), ["mepivacaine"]);
        assert!(given("operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}").is_empty());
        let two = "operation: {anaesthetic: [{agent: mepivacaine, strength: 3 %}, {agent: Mepivicaine, strength: 3 %}]}";
        assert_eq!(given(two), ["mepivacaine"], "said once");
    }

    #[test]
    fn before_surgery_the_usual_agent_counts() {
        let planned = |fragment: &str| facts_of(fragment).derived.off_label_planned.map(|one| one.agent);
        assert_eq!(
            planned("operation: {anaesthetic: {agent: lidocaine, strength: 1 %}}"),
            Some("mepivacaine")
        );
        assert_eq!(planned("planned_anaesthetic: {agent: lidocaine, strength: 1 %}"), None);
        assert_eq!(planned("clinic: {protocol: {anaesthetic: {agent: lidocaine, strength: 1 %}}}"), None);
    }
}
