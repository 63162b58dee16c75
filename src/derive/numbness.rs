//! How long the toes stay numb: what is planned, for the consent form, and what was given, for the
//! leaflet. Both come from the same rows of the table of agents.
//!
//! Where an agent, or its mixture with adrenaline, is not in the table, it may be hours up to a day.
//! Nothing is made shorter because less is known.

use std::fmt;

use super::dose::{entries_of, toe_path};
use super::{Given, Value};
use crate::anatomy::Toe;
use crate::case::{Anaesthetic, OperatedToe, UsualAgent};
use crate::clinical::Cite;
use crate::clinical::tables::{self, Agent, Numb, UNKNOWN_NUMB_HOURS};
use crate::date::{CivilDate, TimeOfDay};

/// How long numbness usually lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Usual {
    /// Between these hours.
    Between {
        /// Not before, usually.
        from: u32,
        /// Usually by.
        to: u32,
    },
    /// A few hours; no study says how many.
    AFewHours,
    /// Up to so many hours; at the lower end nothing is known.
    UpTo(u32),
}

impl Usual {
    /// The longest that is usual; of a few hours nobody knows.
    fn to(self) -> Option<u32> {
        match self {
            Usual::Between { to, .. } | Usual::UpTo(to) => Some(to),
            Usual::AFewHours => None,
        }
    }

    /// Of two, with `from` choosing the lower end: the later for two injections into one toe, the earlier
    /// for two toes.
    fn joined(self, other: Usual, from: fn(u32, u32) -> u32) -> Usual {
        match (self, other) {
            (Usual::Between { from: a, to: b }, Usual::Between { from: c, to: d }) => {
                Usual::Between { from: from(a, c), to: b.max(d) }
            }
            (one, two) => one.to().max(two.to()).map_or(Usual::AFewHours, Usual::UpTo),
        }
    }
}

/// `usually 1 to 6 hours`.
impl fmt::Display for Usual {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Usual::Between { from, to } => write!(f, "usually {from} to {to} hours"),
            Usual::AFewHours => f.write_str("usually a few hours"),
            Usual::UpTo(hours) => write!(f, "up to {hours} hours"),
        }
    }
}

/// A day and a time of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// The day.
    pub day: CivilDate,
    /// The time.
    pub time: TimeOfDay,
}

impl Moment {
    fn after(day: CivilDate, time: TimeOfDay, hours: u32) -> Moment {
        let (time, midnights) = time.plus_minutes(i64::from(hours) * 60);
        Moment { day: day.plus_days(u64::try_from(midnights).unwrap_or(0)), time }
    }
}

/// `24-Nov-2026 13:35`.
impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.day.clinical(), self.time)
    }
}

/// How long the toes stay numb, and when that is too long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbness {
    /// Over all toes.
    pub usual: Usual,
    /// Hours after the injection at which a toe that is still numb is to be asked about.
    pub ring_after_hours: u32,
    /// When feeling usually comes back; only where every range and every time is known.
    pub back: Option<(Moment, Moment)>,
    /// When a toe that is still numb is to be asked about; only where every time is known.
    pub ring_at: Option<Moment>,
}

impl fmt::Display for Numbness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.usual)?;
        if let Some((from, to)) = self.back {
            write!(f, ", {from} to {to}")?;
        }
        write!(f, "; still numb after {} hours: ask", self.ring_after_hours)
    }
}

/// One solution, or several joined.
#[derive(Debug, Clone, Copy)]
struct Band {
    usual: Usual,
    ring_after_hours: u32,
    /// Of the one that lasts longest.
    source: Cite,
}

impl Band {
    const UNKNOWN: Band = Band {
        usual: Usual::UpTo(UNKNOWN_NUMB_HOURS.number),
        ring_after_hours: UNKNOWN_NUMB_HOURS.number,
        source: UNKNOWN_NUMB_HOURS.source,
    };

    fn of_row(numb: Numb) -> Band {
        let usual = numb.hours.map_or(Usual::AFewHours, |(from, to)| Usual::Between { from, to });
        Band { usual, ring_after_hours: numb.ring_after_hours, source: numb.source }
    }

    /// Of one solution.
    fn of(agent: Option<&Agent>, with_adrenaline: bool) -> Band {
        let plain = agent.and_then(|agent| agent.numb).map_or(Band::UNKNOWN, Band::of_row);
        if !with_adrenaline {
            return plain;
        }
        match agent.and_then(|agent| agent.numb_with_adrenaline) {
            Some(row) => Band::of_row(row),
            // Adrenaline makes it longer: never less than the plain solution, nor than what is not known.
            None => {
                let to = plain.usual.to().unwrap_or(0).max(UNKNOWN_NUMB_HOURS.number);
                Band { usual: Usual::UpTo(to), ..plain.joined(Band::UNKNOWN, u32::min) }
            }
        }
    }

    fn joined(self, other: Band, from: fn(u32, u32) -> u32) -> Band {
        let longer = if other.ring_after_hours > self.ring_after_hours { other } else { self };
        Band { usual: self.usual.joined(other.usual, from), ..longer }
    }
}

/// What is planned.
pub(super) fn planned_of(given: Given<'_>) -> Value<Numbness> {
    if given.case.plan.is_none() {
        return Value::missing("plan");
    }
    let planned = given.planned_anaesthetic();
    let band = planned.map_or(Band::UNKNOWN, |planned: &UsualAgent| {
        Band::of(tables::agent(&planned.agent), planned.adrenaline.is_some())
    });
    let working = match planned {
        None => "no anaesthetic is planned in the case or in the clinic's protocol".to_owned(),
        Some(planned) => solution(&planned.agent, planned.adrenaline.is_some()),
    };
    let Band { usual, ring_after_hours, source } = band;
    Value::known(Numbness { usual, ring_after_hours, back: None, ring_at: None }, working, source)
}

fn solution(agent: &str, with_adrenaline: bool) -> String {
    let name = tables::agent(agent)
        .map_or_else(|| format!("`{agent}`, not in the table"), |agent| agent.name.to_owned());
    if with_adrenaline { format!("{name} with adrenaline") } else { name }
}

/// One toe.
struct ToeNumbness {
    band: Band,
    back: Option<(Moment, Moment)>,
    ring_at: Option<Moment>,
    says: String,
}

/// What was given, over all operated toes.
pub(super) fn given_of(given: Given<'_>) -> Value<Numbness> {
    let Some(operation) = &given.case.operation else { return Value::missing("operation") };
    if operation.toes.is_empty() && operation.abandoned.is_some() {
        return Value::because("the operation was given up before an injection");
    }
    let toes: Vec<ToeNumbness> =
        operation.toes.iter().map(|(toe, done)| of_toe(given, operation.date, toe, done)).collect();
    let says: Vec<&str> = toes.iter().map(|toe| toe.says.as_str()).collect();
    let working = says.join("; ");
    let Some(band) = toes.iter().map(|toe| toe.band).reduce(|one, two| one.joined(two, u32::min)) else {
        return Value::missing("operation.toes");
    };
    // One toe of which the time is not known makes it unknown for all.
    let back: Option<Vec<(Moment, Moment)>> = toes.iter().map(|toe| toe.back).collect();
    let back = back.and_then(|back| {
        let from = back.iter().map(|(from, _)| *from).min()?;
        Some((from, back.iter().map(|(_, to)| *to).max()?))
    });
    let ring_at: Option<Vec<Moment>> = toes.iter().map(|toe| toe.ring_at).collect();
    let ring_at = ring_at.and_then(|all| all.into_iter().max());
    let Band { usual, ring_after_hours, source } = band;
    Value::known(Numbness { usual, ring_after_hours, back, ring_at }, working, source)
}

/// An injection that is not written down still numbed the toe: by any of the agents of the operation.
fn of_toe(given: Given<'_>, day: CivilDate, toe: Toe, done: &OperatedToe) -> ToeNumbness {
    let injections = done.injections();
    let mut each: Vec<(Band, Option<TimeOfDay>, String)> = injections
        .iter()
        .map(|(_, injection)| {
            let (band, says) = of_entries(&entries_of(given, injection.agent.as_deref()));
            (band, injection.at.value(), says)
        })
        .collect();
    if each.is_empty() {
        let (band, says) = of_entries(&entries_of(given, None));
        each.push((band, done.at.value(), says));
    }
    let band = each.iter().map(|(band, ..)| *band).reduce(|one, two| one.joined(two, u32::max));
    let band = band.unwrap_or(Band::UNKNOWN);
    let back: Option<Vec<(Moment, Moment)>> = each
        .iter()
        .map(|(band, at, _)| match (band.usual, at) {
            (Usual::Between { from, to }, Some(at)) => {
                Some((Moment::after(day, *at, from), Moment::after(day, *at, to)))
            }
            _ => None,
        })
        .collect();
    let back = back.and_then(|back| {
        let from = back.iter().map(|(from, _)| *from).max()?;
        Some((from, back.iter().map(|(_, to)| *to).max()?))
    });
    let ring_at: Option<Vec<Moment>> =
        each.iter().map(|(band, at, _)| Some(Moment::after(day, (*at)?, band.ring_after_hours))).collect();
    let says: Vec<String> = each
        .iter()
        .map(|(band, at, says)| match at {
            Some(at) => format!("{says} at {at}, {}", band.usual),
            None => format!("{says}, {} ({} missing)", band.usual, toe_path(toe).key("at")),
        })
        .collect();
    ToeNumbness {
        band,
        back,
        ring_at: ring_at.and_then(|all| all.into_iter().max()),
        says: format!("{toe}: {}", says.join(", then ")),
    }
}

/// Which of several it was is not known: the widest.
fn of_entries(entries: &[&Anaesthetic]) -> (Band, String) {
    let each = entries.iter().map(|entry| Band::of(tables::agent(&entry.agent), entry.adrenaline.is_some()));
    let band = each.reduce(|one, two| one.joined(two, u32::min)).unwrap_or(Band::UNKNOWN);
    let names: Vec<String> =
        entries.iter().map(|entry| solution(&entry.agent, entry.adrenaline.is_some())).collect();
    (band, if names.is_empty() { "an anaesthetic that is not recorded".into() } else { names.join(" or ") })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::tables::agents;
    use crate::rules::example::facts_of;

    fn planned(fragment: &str) -> String {
        facts_of(fragment).derived.numb_planned.print(ToString::to_string)
    }

    fn given(fragment: &str) -> String {
        facts_of(fragment).derived.numb_given.print(ToString::to_string)
    }

    fn with(agent: &str) -> String {
        format!("operation: {{anaesthetic: {agent}}}")
    }

    #[test]
    fn what_is_planned_comes_from_the_case_else_from_the_protocol() {
        assert_eq!(planned(""), "usually a few hours; still numb after 12 hours: ask");
        let own = "{planned_anaesthetic: {agent: ropivacaine, strength: 0.75 %}}";
        assert_eq!(planned(own), "usually 19 to 24 hours; still numb after 36 hours: ask");
        let adrenaline =
            r#"{planned_anaesthetic: {agent: lidocaine, strength: 1 %, adrenaline: "1:200000"}}"#;
        assert_eq!(planned(adrenaline), "usually 4 to 12 hours; still numb after 24 hours: ask");
        assert_eq!(planned("plan: ~"), "not known: plan missing");
    }

    /// A form made after surgery says what the patient read before it.
    #[test]
    fn what_was_given_does_not_change_what_was_planned() {
        assert_eq!(planned(&with("{agent: bupivacaine, strength: 0.5 %}")), planned(""));
        assert_eq!(planned("operation: ~"), planned(""));
    }

    #[test]
    fn what_is_not_known_is_up_to_a_day_and_never_four_hours() {
        let unknown = "up to 24 hours; still numb after 24 hours: ask";
        assert_eq!(planned("{clinic: {protocol: {anaesthetic: ~}}}"), unknown);
        assert_eq!(given(&with("{agent: articaine}")), unknown);
        assert_eq!(given("operation: {anaesthetic: {agent: moonshine}, toes: {L1: {at: ~}}}"), unknown);
        assert_eq!(given("operation: {anaesthetic: ~, toes: {L1: {injected: ~, at: ~}}}"), unknown);
    }

    /// Adrenaline makes numbness longer, whatever is known of it.
    #[test]
    fn adrenaline_never_makes_it_shorter() {
        for agent in agents() {
            let (plain, mixed) = (Band::of(Some(agent), false), Band::of(Some(agent), true));
            assert!(plain.usual.to() <= mixed.usual.to(), "{}", agent.name);
            assert!(plain.ring_after_hours <= mixed.ring_after_hours, "{}", agent.name);
        }
    }

    #[test]
    fn with_times_there_is_a_clock() {
        assert_eq!(
            given(&with("{agent: lidocaine, strength: 2 %}")),
            "usually 1 to 6 hours, 24-Nov-2026 10:35 to 24-Nov-2026 15:35; still numb after 12 hours: ask"
        );
        let late =
            "operation: {anaesthetic: {agent: bupivacaine, strength: 0.5 %}, toes: {L1: {at: \"21:30\"}}}";
        assert_eq!(
            given(late),
            "usually 4 to 30 hours, 25-Nov-2026 01:30 to 26-Nov-2026 03:30; still numb after 36 hours: ask"
        );
        let ring_at = |fragment: &str| {
            facts_of(fragment).derived.numb_given.get().and_then(|numb| numb.ring_at).map(|at| at.to_string())
        };
        assert_eq!(ring_at("").as_deref(), Some("24-Nov-2026 21:35"), "known, though the range is not");
        assert_eq!(ring_at(late).as_deref(), Some("26-Nov-2026 09:30"));
        assert_eq!(ring_at("operation: {toes: {L1: {at: ~}}}"), None);
    }

    #[test]
    fn without_a_time_the_hours_of_the_agent_remain() {
        let fragment = "operation: {anaesthetic: {agent: lidocaine, strength: 2 %}, toes: {L1: {at: ~}}}";
        assert_eq!(given(fragment), "usually 1 to 6 hours; still numb after 12 hours: ask");
    }

    #[test]
    fn one_toe_is_numb_until_its_last_injection_wears_off_and_several_until_the_last_toe() {
        let both = "anaesthetic: [{agent: lidocaine, strength: 2 %}, {agent: bupivacaine, strength: 0.5 %}]";
        let one_toe = format!(
            "operation: {{{both}, toes: {{L1: {{injected: [{{agent: bupivacaine, volume: 1 ml, at: \"13:00\"}}, \
             {{agent: lidocaine, volume: 1 ml, at: \"12:55\"}}]}}}}}}"
        );
        assert_eq!(
            given(&one_toe),
            "usually 4 to 30 hours, 24-Nov-2026 17:00 to 25-Nov-2026 19:00; still numb after 36 hours: ask"
        );
        let two_toes = format!(
            "operation: {{{both}, toes: {{L1: {{injected: [{{agent: bupivacaine, volume: 1 ml, at: \"13:00\"}}]}}, \
             R1: {{nail: partial, edges: [medial], injected: [{{agent: lidocaine, volume: 1 ml, at: \"12:55\"}}]}}}}}}"
        );
        assert_eq!(
            given(&two_toes),
            "usually 1 to 30 hours, 24-Nov-2026 13:55 to 25-Nov-2026 19:00; still numb after 36 hours: ask"
        );
        let few_and_more = "operation: {anaesthetic: [{agent: mepivacaine, strength: 3 %}, {agent: lidocaine, \
                            strength: 1 %}], toes: {L1: {injected: [{agent: mepivacaine, volume: 1 ml}, \
                            {agent: lidocaine, volume: 1 ml}]}}}";
        assert_eq!(given(few_and_more), "up to 6 hours; still numb after 12 hours: ask");
    }

    #[test]
    fn where_it_is_not_known_which_agent_it_was_the_widest_holds() {
        let fragment = "operation: {anaesthetic: [{agent: lidocaine, strength: 2 %}, {agent: bupivacaine, \
                        strength: 0.5 %}], toes: {L1: {injected: 2 ml}}}";
        assert!(given(fragment).starts_with("usually 1 to 30 hours"), "{}", given(fragment));
    }

    #[test]
    fn the_working_says_which_agent_and_when() {
        let facts = facts_of("");
        let known = facts.derived.numb_given.entry().expect("known");
        assert_eq!(known.working, "L1: mepivacaine at 09:35, usually a few hours");
    }
}
