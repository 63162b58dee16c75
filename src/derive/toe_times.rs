//! Times of one operated toe: when it was numb, the tourniquet, the phenol.
//!
//! Whether a time is too long or in the wrong order is a rule's business.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::dose::{entries_of, toe_path};
use super::{Given, ToeTimes, Unknown, Value};
use crate::anatomy::Toe;
use crate::case::{OperatedToe, PhenolOn, Removed};
use crate::clinical::Cite;
use crate::clinical::tables::{self, Agent};
use crate::date::TimeOfDay;

const AS_RECORDED: Cite = Cite::project_default("the recorded times and counts, without allowance");

/// Times of each operated toe.
pub(super) fn times(given: Given<'_>) -> BTreeMap<Toe, ToeTimes> {
    let Some(operation) = &given.case.operation else { return BTreeMap::new() };
    let of = |toe: Toe, operated: &OperatedToe| {
        let injections = injections(given, toe, operated);
        ToeTimes {
            numb_from: numb_from(&injections),
            tourniquet_minutes: tourniquet_minutes(toe, operated),
            phenol_seconds: phenol_seconds(toe, operated),
        }
    };
    operation.toes.iter().map(|(toe, operated)| (toe, of(toe, operated))).collect()
}

/// One injection, with its agent.
struct Timed {
    at: TimeOfDay,
    agent: &'static Agent,
}

/// The injections of a toe; unknown if one of them has no time or no agent that is known.
fn injections(given: Given<'_>, toe: Toe, operated: &OperatedToe) -> Value<Vec<Timed>> {
    let path = toe_path(toe);
    let injections = operated.injections();
    if injections.is_empty() {
        return Value::missing(path.key("injected"));
    }
    let mut timed = Vec::new();
    for (index, (_, injection)) in injections.iter().enumerate() {
        let Some(at) = injection.at.value() else { return Value::lacking(path.key("at"), &injection.at) };
        let entries = entries_of(given, injection.agent.as_deref());
        let typed = injection.agent.clone().or_else(|| entries.first().map(|entry| entry.agent.clone()));
        let Some(typed) = typed else { return Value::missing("operation.anaesthetic") };
        let Some(agent) = tables::agent(&typed) else {
            return Value::because(format!("`{typed}` is not in the table of agents"));
        };
        let is_one =
            entries.iter().all(|entry| tables::agent(&entry.agent).is_some_and(|found| found == agent));
        if injection.agent.is_none() && !is_one {
            return Value::missing(path.key("injected").index(index).key("agent"));
        }
        timed.push(Timed { at, agent });
    }
    Value::known(timed, "", AS_RECORDED)
}

/// The first injection and the onset of its agent.
fn numb_from(injections: &Value<Vec<Timed>>) -> Value<TimeOfDay> {
    let timed = match injections {
        Value::Unknown(why) => return Value::Unknown(why.clone()),
        Value::Known(timed) => &timed.value,
    };
    let Some(first) = timed.iter().min_by_key(|injection| injection.at) else {
        return Value::because("nothing was injected");
    };
    let onset = first.agent.onset_minutes;
    let (from, _) = first.at.plus_minutes(i64::from(onset.number));
    let working = format!("{} + {} min ({})", first.at, onset.number, first.agent.name);
    Value::known(from, working, onset.source)
}

/// Whole minutes from on to off.
fn tourniquet_minutes(toe: Toe, operated: &OperatedToe) -> Value<i64> {
    let Some(tourniquet) = &operated.tourniquet else { return Value::because("no tourniquet is recorded") };
    let path = toe_path(toe).key("tourniquet");
    let (Some(on), Some(off)) = (tourniquet.on.value(), tourniquet.off.value()) else {
        let mut unknown = Unknown::default();
        unknown.lacks(path.key("on"), &tourniquet.on);
        unknown.lacks(path.key("off"), &tourniquet.off);
        return Value::Unknown(unknown);
    };
    let minutes = on.minutes_until(off);
    if minutes < 0 {
        return Value::because(format!("the tourniquet came off at {off}, before it went on at {on}"));
    }
    Value::known(minutes, format!("{on} to {off} = {minutes} min"), AS_RECORDED)
}

/// Seconds of phenol on an edge. Where both edges were treated, the record must say whether the
/// applications went to each of them or to both together.
fn phenol_seconds(toe: Toe, operated: &OperatedToe) -> Value<Decimal> {
    let Some(phenol) = &operated.phenol else { return Value::because("no phenol is recorded") };
    let (Some(applications), Some(each)) = (phenol.applications.value(), phenol.each.value()) else {
        let path = toe_path(toe).key("phenol");
        let mut unknown = Unknown::default();
        unknown.lacks(path.key("applications"), &phenol.applications);
        unknown.lacks(path.key("each"), &phenol.each);
        return Value::Unknown(unknown);
    };
    let all = Decimal::from(applications.0) * each.0;
    let sum = format!("{} × {each} = {} s", applications.0, all.normalize());
    if !treats_both_edges(operated) {
        return Value::known(all, sum, AS_RECORDED);
    }
    match phenol.on {
        Some(PhenolOn::EachEdge) => Value::known(all, format!("{sum} on each edge"), AS_RECORDED),
        Some(PhenolOn::BothTogether) => {
            let half = all / Decimal::TWO;
            let working = format!("{sum} on both edges, {} s on each", half.normalize());
            Value::known(half, working, AS_RECORDED)
        }
        None => Value::because("the record does not say whether the phenol went so often to each edge"),
    }
}

/// Part of the nail was removed at both edges.
pub fn treats_both_edges(operated: &OperatedToe) -> bool {
    operated.nail == Removed::Partial && operated.edges.len() > 1
}

#[cfg(test)]
mod tests {
    use crate::anatomy::Toe;
    use crate::derive::{ToeTimes, Value};
    use crate::rules::example::facts_of;

    fn of(toe: &str, operation: &str) -> ToeTimes {
        let facts = facts_of(&format!("operation: {{toes: {{L1: {{{toe}}}}}{operation}}}"));
        facts.derived.toes.get(&Toe::L1).expect("L1 was operated on").clone()
    }

    fn print<T: ToString>(value: &Value<T>) -> String {
        value.print(ToString::to_string)
    }

    #[test]
    fn a_routine_toe() {
        let times = of("", "");
        assert_eq!(print(&times.numb_from), "09:43");
        assert_eq!(print(&times.tourniquet_minutes), "11");
        assert_eq!(print(&times.phenol_seconds), "180");
    }

    #[test]
    fn numbness_begins_with_the_first_injection() {
        let two = ", anaesthetic: [{agent: lidocaine, strength: 2 %}, {agent: bupivacaine, strength: 0.5 %}]";
        let times = of(
            "injected: [{agent: bupivacaine, volume: 1 ml, at: \"13:00\"}, \
             {agent: lidocaine, volume: 1 ml, at: \"12:55\"}]",
            two,
        );
        assert_eq!(print(&times.numb_from), "12:59");
        assert_eq!(
            print(&of("injected: 2 ml", two).numb_from),
            "not known: operation.toes.L1.injected[0].agent missing"
        );
    }

    #[test]
    fn what_is_missing_is_named() {
        assert_eq!(print(&of("at: ~", "").numb_from), "not known: operation.toes.L1.at missing");
        assert_eq!(print(&of("injected: ~", "").numb_from), "not known: operation.toes.L1.injected missing");
        assert_eq!(print(&of("", ", anaesthetic: ~").numb_from), "not known: operation.anaesthetic missing");
        assert!(print(&of("", ", anaesthetic: {agent: xyzcaine}").numb_from).contains("`xyzcaine`"));
        assert_eq!(
            print(&of("tourniquet: {off: ~}", "").tourniquet_minutes),
            "not known: operation.toes.L1.tourniquet.off missing"
        );
        assert_eq!(
            print(&of("tourniquet: ~, phenol: ~", "").phenol_seconds),
            "not known: no phenol is recorded"
        );
    }

    #[test]
    fn nothing_is_worked_out_from_a_gap() {
        let gap = "{not_recorded: clock stopped}";
        assert_eq!(
            print(&of(&format!("at: {gap}"), "").numb_from),
            "not known: operation.toes.L1.at not recorded: clock stopped"
        );
        assert_eq!(
            print(&of(&format!("injected: {gap}"), "").numb_from),
            "09:43",
            "the time and the agent of the injection are known, only its volume is not"
        );
        assert_eq!(
            print(&of(&format!("tourniquet: {{on: {gap}, off: ~}}"), "").tourniquet_minutes),
            "not known: operation.toes.L1.tourniquet.off missing; \
             operation.toes.L1.tourniquet.on not recorded: clock stopped"
        );
        assert_eq!(
            print(&of(&format!("phenol: {{each: {gap}}}"), "").phenol_seconds),
            "not known: operation.toes.L1.phenol.each not recorded: clock stopped"
        );
    }

    #[test]
    fn phenol_on_both_edges_is_counted_for_one() {
        let both = |on: &str| {
            let toe = format!("edges: [medial, lateral], phenol: {{applications: 4, each: 60 s, on: {on}}}");
            print(&of(&toe, "").phenol_seconds)
        };
        assert_eq!(both("each edge"), "240");
        assert_eq!(both("both edges together"), "120");
        assert_eq!(
            both("~"),
            "not known: the record does not say whether the phenol went so often to each edge"
        );
        assert_eq!(print(&of("nail: total", "").phenol_seconds), "180", "a whole nail has no edges");
    }

    #[test]
    fn a_tourniquet_off_before_on_has_no_minutes() {
        assert_eq!(print(&of("tourniquet: {off: \"09:50\"}", "").tourniquet_minutes), "0");
        let before = print(&of("tourniquet: {off: \"09:49\"}", "").tourniquet_minutes);
        assert!(before.contains("before it went on at 09:50"), "{before}");
    }
}
