//! The local anaesthetic dose in words and as a bar: what was given, what may be given, how that was
//! worked out and by whose limit. It compares nothing: shares and limits are derived values.

use rust_decimal::Decimal;
use serde::Serialize;

use super::view::NOT_RECORDED;
use crate::case::Operation;
use crate::derive::{AgentDose, Value};
use crate::diagnostic::english::capitalised;
use crate::facts::Facts;
use crate::units::round_half_up;

/// All agents.
#[derive(Debug, Serialize)]
pub(super) struct DoseView {
    agents: Vec<AgentView>,
    /// The sum over several agents; empty for one.
    together: String,
    /// The mass the limits use, with its working.
    weight: String,
}

#[derive(Debug, Serialize)]
struct AgentView {
    /// `Mepivacaine 3 %, digital block, two-sided; given by the operator`.
    product: String,
    dose: String,
    dose_working: String,
    limit: String,
    limit_working: String,
    limit_source: String,
    /// `22.1 % of the limit`.
    share: String,
    room: String,
    bar: Bar,
    /// The clinic's own limit replaces the tool's.
    replaced: Replaced,
}

#[derive(Debug, Serialize)]
struct Bar {
    is_drawn: bool,
    /// The share as a decimal number for the drawing; 1 is the limit.
    length: String,
    alt: String,
}

#[derive(Debug, Serialize)]
struct Replaced {
    is_there: bool,
    default: String,
    because: String,
}

impl DoseView {
    pub(super) fn of(facts: &Facts) -> DoseView {
        let operation = facts.case.operation.as_ref();
        let agents: Vec<AgentView> =
            facts.derived.agents.iter().map(|agent| AgentView::of(facts, operation, agent)).collect();
        let together = if agents.len() > 1 {
            match facts.derived.anaesthetic_share.entry() {
                Some(sum) => sum.working.clone(),
                None => facts.derived.anaesthetic_share.print(|_| String::new()),
            }
        } else {
            String::new()
        };
        let weight = match facts.derived.dosing_weight.entry() {
            Some(mass) => mass.working.clone(),
            None => facts.derived.dosing_weight.print(ToString::to_string),
        };
        let weight = capitalised(&weight);
        DoseView { agents, together, weight }
    }
}

impl AgentView {
    fn of(facts: &Facts, operation: Option<&Operation>, agent: &AgentDose) -> AgentView {
        let dose = agent.dose.print(ToString::to_string);
        let limit = agent.limit.print(ToString::to_string);
        let share = agent.share.print(|share| format!("{} of the limit", percent(*share)));
        let alt = format!("{}: {dose} given, limit {limit}, which is {share}.", capitalised(&agent.agent));
        AgentView {
            product: product(facts, operation, agent),
            dose_working: working(&agent.dose),
            limit_working: working(&agent.limit),
            limit_source: agent.limit.entry().map_or_else(String::new, |known| known.source.to_string()),
            bar: Bar {
                is_drawn: agent.share.get().is_some(),
                length: agent
                    .share
                    .get()
                    .map_or_else(String::new, |share| round_half_up(*share, 4).to_string()),
                alt,
            },
            room: agent.room.print(ToString::to_string),
            replaced: match &agent.replaced_limit {
                Some((default, because)) => Replaced {
                    is_there: true,
                    default: default.print(ToString::to_string),
                    because: because.clone(),
                },
                None => Replaced { is_there: false, default: String::new(), because: String::new() },
            },
            dose,
            limit,
            share,
        }
    }
}

fn working<T>(value: &Value<T>) -> String {
    value.entry().map_or_else(|| value.print(|_| String::new()), |known| known.working.clone())
}

/// `22.1 %`, rounded up as in the workings: a share of a limit is never printed too small.
fn percent(share: Decimal) -> String {
    let up = rust_decimal::RoundingStrategy::AwayFromZero;
    format!("{} %", (share * Decimal::ONE_HUNDRED).round_dp_with_strategy(1, up).normalize())
}

fn product(facts: &Facts, operation: Option<&Operation>, agent: &AgentDose) -> String {
    let supplied = operation.and_then(|operation| operation.anaesthetic.as_ref());
    let supplied = supplied.map_or_else(Vec::new, crate::case::OneOrMany::all);
    let own = supplied.iter().filter(|(step, _)| agent.entries.contains(step)).map(|(_, entry)| *entry);
    let each = own.map(|entry| {
        let adrenaline =
            entry.adrenaline.map_or_else(String::new, |ratio| format!(" with adrenaline 1 in {}", ratio.0));
        let technique = match (&entry.technique, &facts.clinic.protocol.technique) {
            (Some(technique), _) => technique.clone(),
            (None, Some(technique)) => format!("{technique} (clinic protocol)"),
            (None, None) => format!("technique {NOT_RECORDED}"),
        };
        let by = entry.given_by.as_deref().unwrap_or("the operator");
        format!("{} {}{adrenaline}; {technique}; given by {by}", agent.agent, entry.strength)
    });
    let each: Vec<String> = each.collect();
    capitalised(&if each.is_empty() { agent.agent.clone() } else { each.join("\n") })
}
