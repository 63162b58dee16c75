//! When the toes may be expected to be healed: the widest range over all of them, as planned in weeks and
//! after surgery in days of the calendar. Both read the same table.

use super::next_visits::GIVEN_UP;
use super::{Given, Healing, HealingWeeks, Value};
use crate::anatomy::{Matrix, Nail, Toe};
use crate::clinical::Cite;
use crate::clinical::healing::{HealingTime, healing_time};

/// Of what is planned.
pub(super) fn planned_healing_of(given: Given<'_>) -> Value<HealingWeeks> {
    let Some(plan) = &given.case.plan else { return Value::missing("plan") };
    let toes = plan.iter().map(|(toe, planned)| (toe, planned.nail, planned.matrix == Matrix::Phenol));
    let Some((weeks, working, cite)) = weeks_of(toes) else { return Value::missing("plan") };
    Value::known(weeks, working, cite)
}

/// Of what was done.
pub(super) fn expected_healing_of(given: Given<'_>) -> Value<Healing> {
    let Some(operation) = &given.case.operation else { return Value::missing("operation") };
    if operation.is_given_up() {
        return Value::because(GIVEN_UP);
    }
    let toes = operation.operated().map(|(toe, done)| (toe, done.nail, done.phenol.is_some()));
    let Some((weeks, working, cite)) = weeks_of(toes) else { return Value::missing("operation.toes") };
    let HealingWeeks { weeks_from, weeks_to } = weeks;
    let after = |weeks: u32| operation.date.plus_days(u64::from(weeks) * 7);
    let healing = Healing { weeks_from, weeks_to, from: after(weeks_from), to: after(weeks_to) };
    Value::known(healing, format!("{working}; counted from {}", operation.date.clinical()), cite)
}

/// Of toes with their nail, and whether phenol is used.
fn weeks_of(toes: impl Iterator<Item = (Toe, Nail, bool)>) -> Option<(HealingWeeks, String, Cite)> {
    let times: Vec<(String, HealingTime)> = toes
        .map(|(toe, nail, with_phenol)| {
            let time = healing_time(nail == Nail::Total, with_phenol);
            let matrix = if with_phenol { "with" } else { "without" };
            let says = format!(
                "{toe}, {} nail {matrix} phenol: {} to {} weeks",
                nail.word(),
                time.weeks_from,
                time.weeks_to
            );
            (says, time)
        })
        .collect();
    let (weeks_from, weeks_to, cite) = widest(times.iter().map(|(_, time)| *time))?;
    let working = times.iter().map(|(says, _)| says.as_str()).collect::<Vec<_>>().join("; ");
    Some((HealingWeeks { weeks_from, weeks_to }, working, cite))
}

/// From the earliest start to the latest end, with the source of the latest end.
fn widest(times: impl Iterator<Item = HealingTime> + Clone) -> Option<(u32, u32, Cite)> {
    let earliest = times.clone().map(|time| time.weeks_from).min()?;
    let slowest = times.reduce(|slow, time| if time.weeks_to > slow.weeks_to { time } else { slow })?;
    Some((earliest, slowest.weeks_to, slowest.cite))
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn printed(fragment: &str) -> String {
        facts_of(fragment).derived.expected_healing.print(|healing| {
            let super::Healing { weeks_from, weeks_to, from, to } = healing;
            format!("{weeks_from} to {weeks_to} weeks, {from} to {to}")
        })
    }

    #[test]
    fn counted_from_the_day_of_surgery() {
        assert_eq!(printed(""), "4 to 8 weeks, 2026-12-22 to 2027-01-19");
        assert_eq!(
            printed("operation: {toes: {L1: {nail: total, edges: []}}}"),
            "8 to 12 weeks, 2027-01-19 to 2027-02-16"
        );
    }

    #[test]
    fn the_widest_range_of_several_toes() {
        let fragment = "operation: {toes: {R2: {nail: total, phenol: {applications: 3, each: 60 s}}}}";
        assert_eq!(printed(fragment), "4 to 12 weeks, 2026-12-22 to 2027-02-16");
        let facts = facts_of(fragment);
        let known = facts.derived.expected_healing.entry().expect("known");
        assert_eq!(
            known.working,
            "R2, total nail with phenol: 8 to 12 weeks; L1, partial nail with phenol: 4 to 8 weeks; \
             counted from 24-Nov-2026"
        );
        assert!(known.source.to_string().contains("NHS podiatry"), "{}", known.source);
    }

    #[test]
    fn without_an_operation_there_is_no_date() {
        assert_eq!(printed("operation: ~"), "not known: operation missing");
    }

    #[test]
    fn what_is_planned_has_weeks_and_no_day() {
        let planned = |fragment: &str| facts_of(fragment).derived.planned_healing.print(ToString::to_string);
        assert_eq!(planned(""), "4 to 8 weeks");
        assert_eq!(
            planned("operation: {toes: {L1: {nail: total, edges: []}}}"),
            "4 to 8 weeks",
            "as planned"
        );
        assert_eq!(planned("plan: {R2: {nail: total, matrix: phenol}}"), "4 to 12 weeks");
        assert_eq!(planned("plan: ~"), "not known: plan missing");
    }
}
