//! The most local anaesthetic that may be drawn up before anything is given, in ml of the agent that is
//! planned: for whoever prepares the room.
//!
//! An earlier anaesthetic that may still count takes its share; where its dose is not known, neither is
//! what is left.

use rust_decimal::Decimal;

use super::dose::{limit_of, room_of, share_in_percent};
use super::earlier_anaesthetic::EarlierAnaesthetic;
use super::{Given, Value};
use crate::clinical::tables;
use crate::units::{Kilograms, Milligrams, Millilitres, Percent};

/// What may be drawn up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Allowance {
    /// The agent, by the table's own name.
    pub agent: String,
    /// Its strength.
    pub strength: Percent,
    /// The most, rounded down to 0.1 ml.
    pub volume: Millilitres,
    /// The most, in mg.
    pub limit: Milligrams,
}

pub(super) fn allowance_of(
    given: Given<'_>,
    mass: &Value<Kilograms>,
    earlier: Option<&EarlierAnaesthetic>,
) -> Value<Allowance> {
    let Some(planned) = given.planned_anaesthetic() else { return Value::missing("planned_anaesthetic") };
    let Some(agent) = tables::agent(&planned.agent) else {
        return Value::because(format!("`{}` is not in the table of agents", planned.agent.trim()));
    };
    let limit = limit_of(given, agent, planned.adrenaline.is_some(), mass);
    let known = match limit {
        Value::Known(known) => known,
        Value::Unknown(why) => return Value::Unknown(why),
    };
    let (mut left, mut working) = (known.value, known.working);
    if let Some(earlier) = earlier.filter(|earlier| earlier.is_counted()) {
        let Some(share) = earlier.share.get() else {
            return Value::because(format!("how much was given before ({}) is not recorded", earlier.what));
        };
        left = Milligrams((Decimal::ONE - *share).max(Decimal::ZERO) * left.0);
        working = format!("{working}; less {} given before", share_in_percent(*share));
    }
    let Some(volume) = room_of(left, planned.strength) else { return Value::because("a strength of zero") };
    let allowance =
        Allowance { agent: agent.name.to_owned(), strength: planned.strength, volume, limit: known.value };
    let working = format!("{working}; of {} this is {volume}, rounded down", planned.strength);
    Value::known(allowance, working, known.source)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn allowance(fragment: &str) -> Value<Allowance> {
        facts_of(fragment).derived.anaesthetic_allowance
    }

    fn volume(fragment: &str) -> Option<String> {
        allowance(fragment).get().map(|allowance| allowance.volume.to_string())
    }

    /// The base case: 68 kg, mepivacaine 3 %, 4.4 mg/kg (its product text): 299 mg, and 30 mg in 1 ml.
    #[test]
    fn it_is_the_limit_in_ml_before_anything_is_given() {
        assert_eq!(volume("").as_deref(), Some("9.9 ml"));
        let planned = "planned_anaesthetic: {agent: lidocaine, strength: 1 %}";
        assert_eq!(volume(planned).as_deref(), Some("20 ml"), "200 mg at most, 10 mg in 1 ml");
    }

    #[test]
    fn without_a_mass_or_an_agent_it_is_not_known() {
        let why = allowance("patient: {weight: ~}").unknown().map(ToString::to_string);
        assert!(why.is_some_and(|why| why.contains("weight")));
        assert!(volume("clinic: {protocol: {anaesthetic: ~}}").is_none());
        assert!(volume("planned_anaesthetic: {agent: unobtainium, strength: 1 %}").is_none());
    }

    /// 2.2 ml of 2 % lidocaine are 44 mg, 22 % of 200 mg: 78 % of 299 mg are 233 mg, 7.7 ml.
    #[test]
    fn an_earlier_dose_takes_its_share_and_an_unknown_one_leaves_it_unknown() {
        let other = |dose: &str| {
            format!(
                "{{operation: ~, history: {{other_anaesthetic_24h: {{what: a filling, agent: lidocaine{dose}}}}}}}"
            )
        };
        assert_eq!(volume(&other(", strength: 2 %, volume: 2.2 ml")).as_deref(), Some("7.7 ml"));
        assert!(volume(&other("")).is_none());
    }
}
