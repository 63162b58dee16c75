//! Rules on the incidents of a case: each entry says what it must, and answers what it can.

mod incident_fatal;
mod incident_incomplete;
mod incident_not_answerable;
mod incident_not_reported;
mod incident_not_told;
mod incident_unmatched;
mod incident_without_apology;

use super::Rule;
use crate::case::{Harm, Incident};
use crate::facts::Facts;
use crate::words::List;

pub(super) use incident_incomplete::lacks;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &incident_incomplete::RULE,
    &incident_not_told::RULE,
    &incident_without_apology::RULE,
    &incident_not_reported::RULE,
    &incident_fatal::RULE,
    &incident_unmatched::RULE,
    &incident_not_answerable::RULE,
];

/// Each entry with its place in the list.
fn entries(facts: &Facts) -> impl Iterator<Item = (usize, &Incident)> {
    facts.case.incidents.iter().enumerate()
}

/// The patient died: nobody can be told or written to.
fn is_fatal(incident: &Incident) -> bool {
    incident.harm == Some(Harm::Fatal)
}

/// An entry is called by what it answers, else by its number.
fn called(at: usize, incident: &Incident) -> String {
    match incident.answered_rules() {
        [] => format!("incident {}", at + 1),
        rules => format!("the incident for {}", List::and(rules.iter().map(|rule| format!("`{rule}`")))),
    }
}
