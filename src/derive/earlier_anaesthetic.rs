//! A local anaesthetic that the patient had elsewhere before this one, at the dentist for example.
//!
//! Its dose counts together with today's until the interval of its agent has passed; where that is not
//! known, for 24 hours. A dose that is not known counts for nothing, and a rule says so.

use rust_decimal::Decimal;

use super::dose::{dose_of, limit_of, share_of};
use super::{Given, Value};
use crate::case::{OtherAnaesthetic, OtherAnaestheticEntry};
use crate::clinical::tables::{self, Agent};
use crate::clinical::thresholds::Threshold;
use crate::date::{CivilDate, TimeOfDay};
use crate::units::{Kilograms, Milligrams};

const MINUTES_IN_AN_HOUR: i64 = 60;
const MINUTES_IN_A_DAY: i64 = 24 * MINUTES_IN_AN_HOUR;

/// Another anaesthetic before this one.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierAnaesthetic {
    /// What it was for, as typed.
    pub what: String,
    /// The agent, by the table's own name or as typed.
    pub agent: Option<String>,
    /// Its dose.
    pub dose: Value<Milligrams>,
    /// Its share of the limit of its agent.
    pub share: Value<Decimal>,
    /// Minutes before the first injection of the operation; `None` if a day or a time is missing.
    pub minutes_before: Option<i64>,
    /// Hours until its dose no longer counts.
    pub interval_hours: u32,
}

impl EarlierAnaesthetic {
    /// Its dose still counts with today's.
    pub fn is_counted(&self) -> bool {
        let hours = i64::from(self.interval_hours);
        self.minutes_before.is_none_or(|minutes| minutes < hours * MINUTES_IN_AN_HOUR)
    }

    /// It was within 24 hours, or nobody knows.
    pub fn is_within_a_day(&self) -> bool {
        self.minutes_before.is_none_or(|minutes| minutes < MINUTES_IN_A_DAY)
    }
}

/// The other anaesthetic of the history, if there was one.
pub(super) fn earlier_of(given: Given<'_>, mass: &Value<Kilograms>) -> Option<EarlierAnaesthetic> {
    let entry = given.case.history.as_ref()?.other_anaesthetic_24h.as_ref()?;
    let OtherAnaestheticEntry::Some(other) = entry else { return None };
    let agent = other.agent.as_deref().and_then(tables::agent);
    let dose = dose(other);
    let limit = match agent {
        Some(agent) => limit_of(given, agent, other.adrenaline.is_some(), mass),
        None => Value::because("its agent is not known"),
    };
    Some(EarlierAnaesthetic {
        what: other.what.clone(),
        agent: other
            .agent
            .as_ref()
            .map(|typed| agent.map_or_else(|| typed.trim().to_owned(), |agent| agent.name.to_owned())),
        share: share_of(&dose, &limit),
        dose,
        minutes_before: minutes_before(given, other),
        interval_hours: interval(agent),
    })
}

fn interval(agent: Option<&Agent>) -> u32 {
    let known = agent.and_then(|agent| agent.interval_hours);
    known.map_or_else(|| Threshold::AnotherAnaestheticAfter.whole(), |interval| interval.number)
}

fn dose(other: &OtherAnaesthetic) -> Value<Milligrams> {
    match (other.volume, other.strength) {
        (Some(volume), Some(strength)) => {
            let dose = dose_of(volume, strength);
            Value::known(dose, format!("{volume} × {strength} × 10 = {dose}"), super::dose::ARITHMETIC)
        }
        (None, _) => Value::missing("history.other_anaesthetic_24h.volume"),
        (_, None) => Value::missing("history.other_anaesthetic_24h.strength"),
    }
}

/// From it to the first injection of the operation, or to its start.
fn minutes_before(given: Given<'_>, other: &OtherAnaesthetic) -> Option<i64> {
    let operation = given.case.operation.as_ref()?;
    let injections = operation.toes.iter().flat_map(|(_, toe)| toe.injections());
    let first =
        injections.filter_map(|(_, injection)| injection.at.value()).min().or(operation.start.value())?;
    let (on, at): (CivilDate, TimeOfDay) = (other.on?, other.at?);
    let minutes = on.days_until(operation.date) * MINUTES_IN_A_DAY + at.minutes_until(first);
    (minutes >= 0).then_some(minutes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn earlier(other: &str) -> EarlierAnaesthetic {
        let facts = facts_of(&format!("history: {{other_anaesthetic_24h: {{what: a filling, {other}}}}}"));
        facts.derived.earlier_anaesthetic.expect("it is recorded")
    }

    /// The first injection of the base case is at 09:35; lidocaine may be repeated after 4 hours.
    #[test]
    fn it_counts_until_its_interval_has_passed() {
        let at = |on: &str, at: &str| {
            earlier(&format!("on: {on}, at: \"{at}\", agent: lidocaine, strength: 2 %, volume: 2.2 ml"))
        };
        let morning = at("2026-11-24", "08:10");
        assert_eq!(morning.minutes_before, Some(85));
        assert!(morning.is_counted() && morning.is_within_a_day());
        assert!(at("2026-11-24", "05:36").is_counted());
        assert!(!at("2026-11-24", "05:35").is_counted(), "4 hours before");
        assert!(at("2026-11-23", "09:36").is_within_a_day());
        assert!(!at("2026-11-23", "09:35").is_within_a_day());
        assert_eq!(at("2026-11-24", "10:00").minutes_before, None, "later than the injection");
    }

    #[test]
    fn what_is_not_known_counts_for_a_day() {
        let unknown = earlier("on: 2026-11-24");
        assert_eq!((unknown.minutes_before, unknown.interval_hours), (None, 24));
        assert!(unknown.is_counted() && unknown.share.get().is_none());
        assert_eq!(earlier("agent: prilocaine").interval_hours, 24, "its interval is not in the table");
    }

    /// 2.2 ml of 2 % are 44 mg, 22 % of 200 mg; 2.2 ml of mepivacaine 3 % are 66 mg of 299 mg.
    #[test]
    fn its_share_counts_with_that_of_today() {
        let facts = facts_of(
            "history: {other_anaesthetic_24h: {what: a filling, on: 2026-11-24, at: \"08:10\", \
             agent: lidocaine, strength: 2 %, volume: 2.2 ml}}",
        );
        let share = facts.derived.anaesthetic_share.entry().expect("all is recorded");
        assert_eq!(
            share.working,
            "66 mg ÷ 299 mg = 22.1 %; lidocaine before, 44 mg ÷ 200 mg = 22 %; together 44.1 %"
        );
        let later = facts_of(
            "history: {other_anaesthetic_24h: {what: a filling, on: 2026-11-24, at: \"05:00\", \
             agent: lidocaine, strength: 2 %, volume: 2.2 ml}}",
        );
        assert!(
            later.derived.anaesthetic_share.entry().is_some_and(|share| !share.working.contains("before"))
        );
    }
}
