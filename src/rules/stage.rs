//! How far a case has come, and whether a foot has poor circulation: what several topics ask.
//!
//! An assessment without a plan may record anything. Once surgery is planned, gaps and risks count.

use super::feet::circulation;
use crate::case::{Pulses, Side};
use crate::facts::Facts;
use crate::units::Mmhg;

/// Toe pressure in mmHg from which absent pulses alone do not count: WIfI ischaemia grade 0, below it
/// grades 1 to 3 (Medicina 2024;60:1179, Table 2).
const SOUND_TOE_PRESSURE: Mmhg = Mmhg(60);

/// Where surgery is written, with a phrase: the operation if there was one, else the plan.
pub(super) fn surgery(facts: &Facts) -> Option<(&'static str, String)> {
    match (&facts.case.operation, &facts.case.plan) {
        (Some(operation), _) => {
            Some(("operation.date", format!("operated on {}", operation.date.clinical())))
        }
        (None, Some(_)) => Some(("plan", "surgery is planned".to_owned())),
        (None, None) => None,
    }
}

/// What is recorded of poor circulation on one side, with its place: an abnormal ankle-brachial index, or
/// absent pulses without a sound toe pressure.
pub(super) fn poor_circulation(facts: &Facts, side: Side) -> Option<(String, String)> {
    let word = side.word();
    let path = format!("vascular.{word}");
    if let Some(abpi) = facts.derived.circulation.get(side).abpi.get()
        && abpi.band == "abnormal"
    {
        return Some((path, format!("{word} ABPI {}, abnormal", abpi.index)));
    }
    let foot = circulation(facts, side)?;
    if foot.pulses != Some(Pulses::Absent) {
        return None;
    }
    match foot.toe {
        Some(pressure) if SOUND_TOE_PRESSURE <= pressure => None,
        Some(pressure) => {
            Some((format!("{path}.pulses"), format!("{word} pulses absent, toe pressure {pressure}")))
        }
        None => Some((format!("{path}.pulses"), format!("{word} pulses absent, no toe pressure recorded"))),
    }
}

/// A toe pressure below WIfI grade 0 on one side, with its place: enough to speak against a
/// vasoconstrictor, whatever the pulses.
pub(super) fn low_toe_pressure(facts: &Facts, side: Side) -> Option<(String, String)> {
    let word = side.word();
    let pressure = circulation(facts, side)?.toe.filter(|pressure| *pressure < SOUND_TOE_PRESSURE)?;
    Some((format!("vascular.{word}.toe"), format!("{word} toe pressure {pressure}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn the_operation_counts_before_the_plan() {
        let place =
            |fragment: &str| surgery(&facts_of(fragment)).map(|(path, label)| format!("{path}: {label}"));
        assert_eq!(place("").as_deref(), Some("operation.date: operated on 24-Nov-2026"));
        assert_eq!(place("operation: ~").as_deref(), Some("plan: surgery is planned"));
        assert_eq!(place("{operation: ~, plan: ~}"), None);
    }
}
