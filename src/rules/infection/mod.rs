//! Rules on infection at assessment. Infection and the injection is the anaesthetic's topic.

mod cellulitis;
mod endocarditis_risk;
mod infected_toe;

use super::Rule;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[&infected_toe::RULE, &cellulitis::RULE, &endocarditis_risk::RULE];
