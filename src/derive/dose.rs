//! Doses of local anaesthetic: given, allowed, the share of the limit, and the room that is left.
//!
//! All sums are exact decimals. A volume that cannot be put down to one agent and one strength
//! makes the dose unknown; it is never put down to the likeliest one.

use rust_decimal::{Decimal, RoundingStrategy};

use super::age::months_of_age;
use super::earlier_anaesthetic::{EarlierAnaesthetic, earlier_of};
use super::{AgentDose, Given, Unknown, Value};
use crate::anatomy::Toe;
use crate::case::{Anaesthetic, Clinic, LocalDoseLimit};
use crate::clinical::sources::anaesthetic::ADDITIVE_TOXICITY;
use crate::clinical::tables::{self, Agent, DoseLimit, adult_from_months, folded};
use crate::clinical::{Cite, Relation};
use crate::date::Age;
use crate::diagnostic::Path;
use crate::units::{Kilograms, Milligrams, Millilitres, Percent, round_down, round_half_up};

/// 1 % is 1 g in 100 ml, 10 mg in 1 ml: what the word means.
pub(super) const ARITHMETIC: Cite = Cite::project_default("1 % is 1 g in 100 ml, so 10 mg in 1 ml");
const SUM_RULE: Cite = Cite::states(&ADDITIVE_TOXICITY, "toxicity of mixed agents");

/// A local limit may be at most so many times the published one; beyond that it is taken for a slip.
pub const MOST_TIMES_PUBLISHED: Decimal = Decimal::TWO;

/// Decimals that shares are compared at: a third and two thirds are 1, not a hair more.
const SHARE_DECIMALS: u32 = 12;

/// Decimals of the mg that are left: coarser than [`SHARE_DECIMALS`] times any limit.
const LEFT_DECIMALS: u32 = 6;

/// Dose in mg: volume in ml × strength in % × 10.
pub fn dose_of(volume: Millilitres, strength: Percent) -> Milligrams {
    Milligrams(volume.0 * strength.0 * Decimal::TEN)
}

/// Volume in ml that holds a dose, exact; `None` for a strength of zero.
fn volume_of(dose: Milligrams, strength: Percent) -> Option<Decimal> {
    dose.0.checked_div(strength.0 * Decimal::TEN).map(|volume| round_half_up(volume, SHARE_DECIMALS))
}

/// Volume in ml that holds a dose, rounded down to 0.1 ml; `None` for a strength of zero.
pub fn room_of(dose: Milligrams, strength: Percent) -> Option<Millilitres> {
    volume_of(dose, strength).map(|volume| Millilitres(round_down(volume.max(Decimal::ZERO), 1)))
}

/// Cartridges that stay within a dose, rounded down to the half; `None` for a strength of zero.
///
/// Down, though the product table says "nearest": its own numbers are rounded down
/// (Mepivacaine 3 %, dose table by weight).
pub fn cartridges_of(dose: Milligrams, strength: Percent, cartridge: Millilitres) -> Option<Decimal> {
    let volume = volume_of(dose, strength)?.max(Decimal::ZERO);
    let halves = volume.checked_div(cartridge.0)? * Decimal::TWO;
    Some((round_down(halves, 0) / Decimal::TWO).normalize())
}

/// A share as `24.1 %`, rounded up at one decimal: what passes the limit never prints as `100 %`.
pub fn share_in_percent(share: Decimal) -> String {
    let percent = (share * Decimal::ONE_HUNDRED).round_dp_with_strategy(1, RoundingStrategy::AwayFromZero);
    format!("{} %", percent.normalize())
}

/// Limit for a mass: mg/kg × kg, at most the cap; rounded down to whole mg, since nothing is given more
/// exactly than that, so that what is compared is what is printed. With its working, and the source of
/// the figure that decides: that of the cap only where the cap cuts.
pub fn limit_for(limit: &DoseLimit, mass: Kilograms) -> (Milligrams, String, Cite) {
    let DoseLimit { per_kg, most, per_kg_source, most_source } = *limit;
    let exact = per_kg.0 * mass.0;
    let by_mass = Milligrams(round_down(exact, 0));
    let is_rounded = by_mass.0 != exact;
    let sum = format!("{per_kg} × {mass} = {by_mass}");
    let rounded = if is_rounded { ", rounded down" } else { "" };
    match exact.cmp(&most.0) {
        std::cmp::Ordering::Less => {
            (by_mass, format!("{sum}{rounded}, below the maximum of {most}"), per_kg_source)
        }
        std::cmp::Ordering::Equal => (by_mass, format!("{sum}, which is the most"), per_kg_source),
        std::cmp::Ordering::Greater => (most, format!("{sum}, cut to the maximum of {most}"), most_source),
    }
}

/// The clinic's own limit of an agent, under any spelling of its name.
fn local_limits<'a>(clinic: &'a Clinic, agent: &Agent) -> Vec<(&'a str, &'a LocalDoseLimit)> {
    let all = clinic.limits.anaesthetic.iter();
    all.filter(|(key, _)| tables::agent(key).is_some_and(|found| found.name == agent.name))
        .map(|(key, limit)| (key.as_str(), limit))
        .collect()
}

/// Why the clinic's limit under this key of `limits.anaesthetic` cannot be used, if so.
pub fn local_limit_problem(clinic: &Clinic, key: &str) -> Option<String> {
    let local = clinic.limits.anaesthetic.get(key)?;
    let Some(agent) = tables::agent(key) else {
        return Some(format!("`{key}` is not in the table of agents"));
    };
    if local_limits(clinic, agent).len() > 1 {
        return Some(format!("the clinic's limit for {} stands twice", agent.name));
    }
    if local.because.trim().is_empty() {
        return Some(format!("the clinic's limit for {} has no reason", agent.name));
    }
    if local.per_kg.0.is_zero() || local.max.0.is_zero() {
        return Some(format!("the clinic's limit for {} is zero", agent.name));
    }
    let DoseLimit { per_kg, most, .. } = agent.adult;
    let is_too_high =
        local.per_kg.0 > per_kg.0 * MOST_TIMES_PUBLISHED || local.max.0 > most.0 * MOST_TIMES_PUBLISHED;
    is_too_high.then(|| {
        format!(
            "the clinic's limit for {} ({} and {}) is more than double the published {per_kg} and {most}",
            agent.name, local.per_kg, local.max
        )
    })
}

/// The limit in use and, where the clinic's replaces it, the tool's own with the clinic's reason.
type Limits = (Value<Milligrams>, Option<(Value<Milligrams>, String)>);

fn limits(given: Given<'_>, agent: &Agent, is_with_adrenaline: bool, mass: &Value<Kilograms>) -> Limits {
    let Some(months) = months_of_age(given) else {
        return (Value::because("the age is not known"), None);
    };
    let Some(own) = agent.limit_at(months, is_with_adrenaline) else {
        let age = Age::on(given.case.patient.born, given.day()).map(Age::clinical).unwrap_or_default();
        return (Value::because(format!("no limit of {} is known at an age of {age}", agent.name)), None);
    };
    let mass = match mass {
        Value::Known(mass) => mass.value,
        Value::Unknown(why) => return (Value::Unknown(why.clone()), None),
    };
    let (own_limit, own_working, own_source) = limit_for(own, mass);
    let own_value = Value::known(own_limit, own_working, own_source);
    let Some((key, local)) = local_limits(given.clinic, agent).into_iter().next() else {
        return (own_value, None);
    };
    if let Some(problem) = local_limit_problem(given.clinic, key) {
        return (Value::because(problem), None);
    }
    let relation = Relation::Adapts("the clinic's own limit is used instead, for the reason it gives");
    let source = Cite { relation, ..own_source };
    let (limit, working, _) = limit_for(&DoseLimit::of_one_source(local.per_kg, local.max, source), mass);
    // A clinic's limit has no ages: it may tighten a child's limit, not loosen it.
    if months < adult_from_months() && limit >= own_limit {
        return (own_value, None);
    }
    let working = format!("{working}; the clinic's own limit");
    (Value::known(limit, working, source), Some((own_value, local.because.clone())))
}

/// The limit of an agent that was given elsewhere.
pub(super) fn limit_of(
    given: Given<'_>,
    agent: &Agent,
    is_with_adrenaline: bool,
    mass: &Value<Kilograms>,
) -> Value<Milligrams> {
    limits(given, agent, is_with_adrenaline, mass).0
}

/// An agent of the operation while its injections are collected.
struct Collected<'a> {
    printed: String,
    entries: Vec<(String, &'a Anaesthetic)>,
    volumes: Vec<Millilitres>,
}

/// The name that entries and injections are matched by.
pub fn canonical(typed: &str) -> String {
    tables::agent(typed).map_or_else(|| folded(typed), |agent| agent.name.to_owned())
}

fn printed(typed: &str) -> String {
    tables::agent(typed).map_or_else(|| typed.trim().to_owned(), |agent| agent.name.to_owned())
}

/// The agents in file order with what was injected of each, and why some volume belongs to none.
fn collect(given: Given<'_>) -> (Vec<Collected<'_>>, Option<Unknown>) {
    let Some(operation) = &given.case.operation else { return (Vec::new(), None) };
    let mut agents: Vec<Collected<'_>> = Vec::new();
    let at = |agents: &mut Vec<Collected<'_>>, typed: &str| {
        let name = canonical(typed);
        agents.iter().position(|agent| canonical(&agent.printed) == name).unwrap_or_else(|| {
            agents.push(Collected { printed: printed(typed), entries: Vec::new(), volumes: Vec::new() });
            agents.len() - 1
        })
    };
    for (step, entry) in operation.anaesthetic.iter().flat_map(|all| all.all()) {
        let index = at(&mut agents, &entry.agent);
        agents[index].entries.push((step, entry));
    }
    let supplied = agents.len();
    let mut unclear = Unknown::default();
    for (toe, operated) in operation.toes.iter() {
        let base = toe_path(toe);
        if operated.injections().is_empty() {
            unclear.missing.push(base.key("injected"));
        }
        for (index, (step, injection)) in operated.injections().into_iter().enumerate() {
            unclear.lacks(volume_path(&base, &step), &injection.volume);
            let index = match &injection.agent {
                Some(typed) => Some(at(&mut agents, typed)),
                None if supplied == 1 => Some(0),
                None if supplied == 0 => None,
                None => {
                    unclear.missing.push(base.key("injected").index(index).key("agent"));
                    None
                }
            };
            if let (Some(index), Some(volume)) = (index, injection.volume.value()) {
                agents[index].volumes.push(volume);
            }
        }
    }
    let unknown = (unclear != Unknown::default()).then_some(unclear);
    (agents, unknown)
}

impl Collected<'_> {
    fn volume(&self, unclear: Option<&Unknown>) -> Value<Millilitres> {
        if let Some(unclear) = unclear {
            return Value::Unknown(unclear.clone());
        }
        let total = Millilitres(self.volumes.iter().map(|volume| volume.0).sum());
        let working = match self.volumes.as_slice() {
            [] => "none injected".to_owned(),
            [one] => one.to_string(),
            several => format!("{} = {total}", sum_in_words(several)),
        };
        Value::known(total, working, ARITHMETIC)
    }

    /// The one strength of the agent.
    fn strength(&self) -> Value<Percent> {
        let Some((_, first)) = self.entries.first() else {
            return Value::because(format!(
                "{} was injected but does not stand under `operation.anaesthetic`",
                self.printed
            ));
        };
        if self.entries.iter().any(|(_, entry)| entry.strength != first.strength) {
            return Value::because(format!(
                "{} stands in more than one strength, and an injection does not say which",
                self.printed
            ));
        }
        Value::known(first.strength, "", ARITHMETIC)
    }

    /// Everything supplied of the agent has adrenaline in it.
    fn is_with_adrenaline(&self) -> bool {
        !self.entries.is_empty() && self.entries.iter().all(|(_, entry)| entry.adrenaline.is_some())
    }

    fn dose(&self, volume: &Value<Millilitres>, strength: &Value<Percent>) -> Value<Milligrams> {
        match (volume, strength) {
            (Value::Unknown(why), _) | (_, Value::Unknown(why)) => Value::Unknown(why.clone()),
            (Value::Known(volume), Value::Known(strength)) => {
                let dose = dose_of(volume.value, strength.value);
                let volumes = match self.volumes.as_slice() {
                    several @ [_, _, ..] => format!("({})", sum_in_words(several)),
                    _ => volume.value.to_string(),
                };
                Value::known(dose, format!("{volumes} × {} × 10 = {dose}", strength.value), ARITHMETIC)
            }
        }
    }
}

fn sum_in_words(volumes: &[Millilitres]) -> String {
    volumes.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ")
}

pub(super) fn share_of(dose: &Value<Milligrams>, limit: &Value<Milligrams>) -> Value<Decimal> {
    match (dose, limit) {
        (Value::Unknown(why), _) | (_, Value::Unknown(why)) => Value::Unknown(why.clone()),
        (Value::Known(dose), Value::Known(limit)) => match dose.value.0.checked_div(limit.value.0) {
            None => Value::because("the limit is zero"),
            Some(share) => {
                let working = format!("{} ÷ {} = {}", dose.value, limit.value, share_in_percent(share));
                Value::known(share, working, limit.source)
            }
        },
    }
}

/// Each agent of the operation, and the sum of their shares of the limit.
pub(super) fn doses(given: Given<'_>, mass: &Value<Kilograms>) -> (Vec<AgentDose>, Value<Decimal>) {
    let (collected, unclear) = collect(given);
    let mut strengths = Vec::new();
    let mut agents = Vec::new();
    for agent in &collected {
        let volume = agent.volume(unclear.as_ref());
        let strength = agent.strength();
        let dose = agent.dose(&volume, &strength);
        let (limit, replaced_limit) = match tables::agent(&agent.printed) {
            Some(row) => limits(given, row, agent.is_with_adrenaline(), mass),
            None => (Value::because(format!("`{}` is not in the table of agents", agent.printed)), None),
        };
        agents.push(AgentDose {
            agent: agent.printed.clone(),
            entries: agent.entries.iter().map(|(step, _)| step.clone()).collect(),
            share: share_of(&dose, &limit),
            room: Value::because("not worked out before the shares of all agents"),
            volume,
            dose,
            limit,
            replaced_limit,
        });
        strengths.push(strength);
    }
    let earlier = earlier_of(given, mass).filter(EarlierAnaesthetic::is_counted);
    let total = total_share(given, &agents, earlier.as_ref(), unclear);
    for (agent, strength) in agents.iter_mut().zip(&strengths) {
        agent.room = room(agent, strength, &total);
    }
    (agents, total)
}

/// The sum of the shares, with an earlier dose that still counts; unknown if one of them is, with all that is missing for any.
fn total_share(
    given: Given<'_>,
    agents: &[AgentDose],
    earlier: Option<&EarlierAnaesthetic>,
    unclear: Option<Unknown>,
) -> Value<Decimal> {
    if given.case.operation.is_none() {
        return Value::missing("operation");
    }
    if agents.is_empty() || agents.iter().all(|agent| agent.entries.is_empty()) {
        return Value::missing("operation.anaesthetic");
    }
    let mut unknown = unclear.unwrap_or_default();
    let mut total = Decimal::ZERO;
    let mut parts = Vec::new();
    for agent in agents {
        match &agent.share {
            Value::Known(share) => {
                total += share.value;
                parts.push(share.working.clone());
            }
            Value::Unknown(why) => unknown.add(why),
        }
    }
    if unknown != Unknown::default() {
        return Value::Unknown(unknown);
    }
    if let Some(earlier) = earlier
        && let Value::Known(share) = &earlier.share
    {
        total += share.value;
        parts.push(format!("{} before, {}", earlier.agent.as_deref().unwrap_or("another"), share.working));
    }
    let total = round_half_up(total, SHARE_DECIMALS);
    let mut working = parts.join("; ");
    if parts.len() > 1 {
        working = format!("{working}; together {}", share_in_percent(total));
    }
    Value::known(total, working, SUM_RULE)
}

fn room(agent: &AgentDose, strength: &Value<Percent>, total: &Value<Decimal>) -> Value<Millilitres> {
    let (strength, limit, total) = match (strength, &agent.limit, total) {
        (Value::Unknown(why), ..) | (_, Value::Unknown(why), _) | (.., Value::Unknown(why)) => {
            return Value::Unknown(why.clone());
        }
        (Value::Known(strength), Value::Known(limit), Value::Known(total)) => (strength, limit, total),
    };
    // A share like 132/420 has no end; rounding what is left of it to 6 decimals gives 288 mg again.
    let left = (Decimal::ONE - total.value).max(Decimal::ZERO) * limit.value.0;
    let left = Milligrams(round_half_up(left, LEFT_DECIMALS));
    let Some(room) = room_of(left, strength.value) else {
        return Value::because("a strength of zero");
    };
    let mut working = format!(
        "(100 % − {}) × {} ÷ ({} × 10) = {room}, rounded down",
        share_in_percent(total.value),
        limit.value,
        strength.value
    );
    let sizes = tables::agent(&agent.agent).map_or(&[][..], |row| row.cartridges.as_slice());
    let cartridges: Vec<String> = sizes
        .iter()
        .filter_map(|size| {
            cartridges_of(left, strength.value, *size).map(|count| format!("{count} cartridges of {size}"))
        })
        .collect();
    if !cartridges.is_empty() {
        working = format!("{working}; {}", cartridges.join(" or "));
    }
    Value::known(room, working, SUM_RULE)
}

/// The entries of `operation.anaesthetic` that an injection without or with a name can mean.
pub(super) fn entries_of<'a>(given: Given<'a>, agent: Option<&str>) -> Vec<&'a Anaesthetic> {
    let all = given.case.operation.as_ref().and_then(|operation| operation.anaesthetic.as_ref());
    let all = all.map(|entries| entries.all()).unwrap_or_default();
    let name = agent.map(canonical);
    all.into_iter()
        .map(|(_, entry)| entry)
        .filter(|entry| name.as_ref().is_none_or(|name| canonical(&entry.agent) == *name))
        .collect()
}

/// The path of one toe's block.
/// Where the volume of an injection stands, from the step of [`crate::case::OperatedToe::injections`].
fn volume_path(toe: &Path, step: &str) -> Path {
    let path = Path::from(format!("{toe}.{step}"));
    // Of one injection the volume is the entry itself.
    if step.ends_with(']') { path.key("volume") } else { path }
}

pub(super) fn toe_path(toe: Toe) -> Path {
    Path::from("operation.toes").key(toe.code())
}

#[cfg(test)]
#[path = "dose_tests.rs"]
mod tests;
