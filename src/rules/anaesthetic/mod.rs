//! Rules on the local anaesthetic: what it was, how much, and whether it suits the patient.

mod adrenaline_in_digit;
mod agent_allergy;
mod agent_authority_expired;
mod agent_authority_incomplete;
mod agent_authority_missing;
mod agent_authority_not_held;
mod agent_condition;
mod agent_expired;
mod agent_medicine;
mod agent_outside_exemption;
mod agent_strength_unusual;
mod agent_under_age;
mod agent_under_weight;
mod agent_unknown;
mod agents_combined_over_limit;
mod agents_mixed;
mod anaesthetic_missing;
mod anaesthetic_within_24_h;
mod conditions_not_asked;
mod dose_near_limit;
mod dose_over_limit;
mod height_missing;
mod injection_into_infection;
mod local_limit_refused;
mod reduce_in_frailty;
mod second_agent_unclear;
mod volume_missing;
mod volume_per_toe;
mod weight_missing;

use super::Rule;
use crate::anatomy::Toe;
use crate::case::{AdrenalineRatio, Anaesthetic, Clinic};
use crate::clinical::Cite;
use crate::clinical::tables::{self, Agent, NotWith, Weight, folded};
use crate::derive::AgentDose;
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::units::Millilitres;

/// The rules of this topic, in the order of the table.
pub(super) static RULES: &[&Rule] = &[
    &anaesthetic_missing::RULE,
    &agent_unknown::RULE,
    &agent_strength_unusual::RULE,
    &weight_missing::RULE,
    &height_missing::RULE,
    &volume_missing::RULE,
    &second_agent_unclear::RULE,
    &dose_over_limit::RULE,
    &dose_near_limit::RULE,
    &agents_combined_over_limit::RULE,
    &anaesthetic_within_24_h::RULE,
    &local_limit_refused::RULE,
    &agent_allergy::RULE,
    &agent_under_age::RULE,
    &agent_under_weight::RULE,
    &agent_expired::RULE,
    &agent_condition::RULE,
    &agent_medicine::RULE,
    &conditions_not_asked::RULE,
    &adrenaline_in_digit::RULE,
    &injection_into_infection::RULE,
    &reduce_in_frailty::RULE,
    &volume_per_toe::RULE,
    &agent_authority_missing::RULE,
    &agent_outside_exemption::RULE,
    &agents_mixed::RULE,
    &agent_authority_not_held::RULE,
    &agent_authority_expired::RULE,
    &agent_authority_incomplete::RULE,
];

/// What the rules of this topic find in a clinic file alone.
pub(super) fn of_clinic(clinic: &Clinic) -> Vec<(&'static Rule, Finding)> {
    let unknown = agent_unknown::of_clinic(clinic).into_iter().map(|found| (&agent_unknown::RULE, found));
    let limits = local_limit_refused::of_clinic(clinic);
    unknown.chain(limits.into_iter().map(|found| (&local_limit_refused::RULE, found))).collect()
}

/// An anaesthetic that was given; while surgery is only planned, the one that is planned for this patient,
/// else the clinic's usual one.
struct Supplied<'a> {
    /// Its name as typed.
    typed: &'a str,
    /// Its row of the table.
    agent: Option<&'static Agent>,
    /// Adrenaline in the solution.
    adrenaline: Option<AdrenalineRatio>,
    /// Where it is named.
    origin: Origin,
}

/// Where an anaesthetic is named.
enum Origin {
    /// It was given: its entry in the case file.
    Given(Path),
    /// `planned_anaesthetic` of the case: chosen for this patient, and not given yet.
    Planned,
    /// The protocol of the clinic: nobody chose it for this patient.
    Usual,
}

/// The key of the anaesthetic that is planned in a case.
const PLANNED: &str = "planned_anaesthetic";

impl Supplied<'_> {
    /// The table's own name, else what was typed.
    fn name(&self) -> &str {
        self.agent.map_or(self.typed, |agent| agent.name)
    }

    /// Words behind the name of an agent that was not given yet.
    fn usual(&self) -> &'static str {
        match self.origin {
            Origin::Given(_) => "",
            Origin::Planned => " (planned)",
            Origin::Usual => " (the clinic's usual agent)",
        }
    }

    /// The most that a finding about it may weigh. What was chosen for this patient weighs as if it had been
    /// given: changing the plan answers it. What is only usual is not known to be meant for this patient.
    fn weight(&self) -> Severity {
        match self.origin {
            Origin::Given(_) | Origin::Planned => Severity::Stop,
            Origin::Usual => Severity::Caution,
        }
    }

    /// Shows its entry beside a finding.
    fn shown_in(&self, finding: Finding) -> Finding {
        self.shown_with_source(finding, None)
    }

    /// The same, with the source of what is said about it.
    fn shown_with_source(&self, finding: Finding, source: Option<Cite>) -> Finding {
        let source = source.map_or_else(String::new, |source| format!("; {source}"));
        match &self.origin {
            Origin::Given(entry) => {
                finding.see(entry.key("agent"), format!("{} was given{source}", self.name()))
            }
            Origin::Planned => {
                finding.see(Path::from(PLANNED).key("agent"), format!("{} is planned{source}", self.name()))
            }
            Origin::Usual => finding.see("plan", format!("surgery is planned{source}")),
        }
    }
}

/// Each entry of `operation.anaesthetic` with its place.
fn entries(facts: &Facts) -> Vec<(Path, &Anaesthetic)> {
    let all = facts.case.operation.as_ref().and_then(|operation| operation.anaesthetic.as_ref());
    all.map(|agents| agents.all())
        .unwrap_or_default()
        .into_iter()
        .map(|(step, entry)| (Path::from(format!("operation.anaesthetic{step}")), entry))
        .collect()
}

/// The anaesthetics of the operation, each once; while surgery is only planned, the one that is planned for
/// this patient, else the clinic's usual one.
fn supplied(facts: &Facts) -> Vec<Supplied<'_>> {
    if facts.case.operation.is_some() {
        let mut all: Vec<Supplied<'_>> = Vec::new();
        for (path, entry) in entries(facts) {
            let is_there = |other: &Supplied<'_>| {
                is_same(other.typed, &entry.agent) && other.adrenaline == entry.adrenaline
            };
            if !all.iter().any(is_there) {
                all.push(Supplied {
                    typed: &entry.agent,
                    agent: tables::agent(&entry.agent),
                    adrenaline: entry.adrenaline,
                    origin: Origin::Given(path),
                });
            }
        }
        return all;
    }
    let own = facts.case.planned_anaesthetic.as_ref().map(|own| (own, Origin::Planned));
    let usual = || {
        let usual = facts.case.plan.as_ref().and(facts.clinic.protocol.anaesthetic.as_ref());
        usual.map(|usual| (usual, Origin::Usual))
    };
    let supplied = own.or_else(usual).map(|(planned, origin)| Supplied {
        typed: &planned.agent,
        agent: tables::agent(&planned.agent),
        adrenaline: planned.adrenaline,
        origin,
    });
    supplied.into_iter().collect()
}

/// How much a row of a table weighs as a finding.
fn severity_of(weight: Weight) -> Severity {
    match weight {
        Weight::Stop => Severity::Stop,
        Weight::Caution => Severity::Caution,
        Weight::Note => Severity::Note,
    }
}

/// A finding about something of the patient against which a table speaks, as heavy as the table has it.
fn weighed(finding: Finding, who: &str, supplied: &Supplied<'_>, row: &NotWith) -> Finding {
    let finding = finding.says(format!("{who}: {}", row.reason));
    let finding =
        match row.weight {
            Weight::Stop => finding
                .fix("use another solution; if the entry is wrong, correct it; if it was given, report it"),
            Weight::Caution => finding
                .fix("use another solution, or say under `accepted` why this one and this dose are right"),
            Weight::Note => finding,
        };
    let finding = finding.weighs(severity_of(row.weight).max(supplied.weight()));
    supplied.shown_with_source(finding, Some(row.source))
}

/// Two names of one agent.
fn is_same(one: &str, other: &str) -> bool {
    match (tables::agent(one), tables::agent(other)) {
        (Some(one), Some(other)) => one.name == other.name,
        (None, None) => folded(one) == folded(other),
        _ => false,
    }
}

/// An injection of more than nothing, with its place.
struct Injected {
    toe: Toe,
    path: Path,
    agent: Option<String>,
    /// `None` if it is said not to be recorded.
    volume: Option<Millilitres>,
}

impl Injected {
    /// `2.2 ml`, for a phrase.
    fn amount(&self) -> String {
        self.volume.map_or_else(|| "an unrecorded volume".to_owned(), |volume| volume.to_string())
    }
}

/// Every injection of more than nothing; one whose volume is not recorded is an injection too.
fn injections(facts: &Facts) -> Vec<Injected> {
    let mut all = Vec::new();
    for (toe, done) in facts.treated() {
        for (step, injection) in done.injections() {
            let volume = injection.volume.value();
            if volume.is_none_or(|volume| !volume.number().is_zero()) {
                all.push(Injected {
                    toe,
                    path: format!("operation.toes.{toe}.{step}").into(),
                    agent: injection.agent,
                    volume,
                });
            }
        }
    }
    all
}

/// A finding at the first injection of these agents, which shows the others, the strengths and the mass.
fn pointed_at_dose(facts: &Facts, agents: &[&AgentDose]) -> Finding {
    let is_meant = |injection: &Injected| match &injection.agent {
        Some(name) => agents.iter().any(|agent| is_same(name, &agent.agent)),
        None => true,
    };
    let mut injections = injections(facts).into_iter().filter(is_meant);
    let first = injections.next().map_or_else(|| "operation.anaesthetic".into(), |injection| injection.path);
    let mut finding = injections.fold(Finding::at(first), |finding, injection| {
        let label = format!("another {}", injection.amount().trim_start_matches("an "));
        finding.see(injection.path, label)
    });
    for (path, entry) in entries(facts) {
        if agents.iter().any(|agent| is_same(&entry.agent, &agent.agent)) {
            finding = finding.see(path.key("strength"), format!("{} {}", entry.agent, entry.strength));
        }
    }
    match facts.derived.dosing_weight.entry() {
        Some(mass) => finding.see("patient.weight", mass.working.clone()),
        None => finding,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    /// A dose that could not be compared with its limit must never pass in silence.
    #[test]
    fn an_unknown_share_is_always_a_stop() {
        for fragment in [
            "patient: {weight: ~}",
            "operation: {anaesthetic: ~}",
            "operation: {anaesthetic: []}",
            "operation: {anaesthetic: {agent: water}}",
            "operation: {toes: {L1: {injected: ~}}}",
            "operation: {toes: {L1: {injected: [{agent: lidocaine, volume: 1 ml}]}}}",
            "operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: lidocaine, strength: 2 %}]}",
            "operation: {anaesthetic: [{agent: lidocaine, strength: 1 %}, {agent: prilocaine, strength: 1 %}]}",
            "{patient: {born: 2024-01-01}, operation: {anaesthetic: {agent: mepivacaine}}}",
            "{patient: {born: 2012-01-01}, operation: {anaesthetic: {agent: levobupivacaine, strength: 0.5 %}}}",
            "clinic: {limits: {anaesthetic: {mepivacaine: {per_kg: 44 mg/kg, max: 300 mg, because: slip}}}}",
            "clinic: {limits: {anaesthetic: {mepivacaine: {per_kg: 0 mg/kg, max: 300 mg, because: slip}}}}",
        ] {
            let facts = facts_of(fragment);
            assert_eq!(facts.derived.anaesthetic_share.get(), None, "{fragment}");
            let weighs_stop = |rule: &&&Rule| {
                (rule.check)(&facts)
                    .iter()
                    .any(|finding| finding.severity.unwrap_or(rule.severity) == Severity::Stop)
            };
            assert!(RULES.iter().any(|rule| weighs_stop(&rule)), "{fragment}");
        }
    }
}
