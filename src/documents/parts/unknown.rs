//! What is not known, in the words of the reader: no path of the case file stands on paper.
//!
//! Only wording: whether something is known, the derived value says.

use std::sync::OnceLock;

use crate::anatomy::Toe;
use crate::clinical::built_table;
use crate::derive::{Unknown, Value};
use crate::diagnostic::{Path, Segment};
use crate::documents::page::without_stop;
use crate::words::List;

/// What keys of the case are called on paper: the path, and the name.
fn names() -> &'static [(String, String)] {
    static NAMES: OnceLock<Vec<(String, String)>> = OnceLock::new();
    NAMES.get_or_init(|| {
        serde_json::from_str(built_table!("key_names")).expect("a unit test reads this table")
    })
}

/// The printed value, or `not known (weight not recorded)`.
pub(in crate::documents) fn print<T>(value: &Value<T>, show: impl Fn(&T) -> String) -> String {
    match value {
        Value::Known(known) => show(&known.value),
        Value::Unknown(unknown) => format!("not known ({})", reason(unknown)),
    }
}

/// `weight not recorded`; `weight not recorded: scale broken`; `no limit of articaine is known at an age
/// of 2y`.
pub(crate) fn reason(unknown: &Unknown) -> String {
    let missing = missing(unknown);
    let recorded = (!missing.is_empty()).then(|| format!("{} not recorded", List::and(missing)));
    let mut gaps: Vec<String> = Vec::new();
    for (path, reason) in &unknown.not_recorded {
        let gap = format!("{} not recorded: {}", name_of(path), without_stop(reason));
        if !gaps.contains(&gap) {
            gaps.push(gap);
        }
    }
    let because = unknown.because.as_deref().map(without_keys);
    recorded.into_iter().chain(gaps).chain(because).collect::<Vec<_>>().join("; ")
}

/// The names of what is missing, each once.
pub(in crate::documents) fn missing(unknown: &Unknown) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in unknown.missing.iter().map(name_of) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// `weight`, `right toe pressure`; a key without an entry by its own words.
fn name_of(path: &Path) -> String {
    let keys = path.segments().iter().filter_map(|segment| match segment {
        Segment::Key(key) => Some(key.as_str()),
        Segment::Index(_) => None,
    });
    let keys: Vec<&str> = keys.collect();
    let fits = |pattern: &str| {
        let steps = pattern.split('.');
        steps.clone().count() == keys.len()
            && steps.zip(&keys).all(|(wanted, key)| wanted == *key || wanted == "{}")
    };
    match names().iter().find(|(pattern, _)| fits(pattern)) {
        Some((pattern, name)) => {
            let place = pattern.split('.').position(|step| step == "{}").map_or("", |at| keys[at]);
            name.replace("{}", &place_in_words(place))
        }
        None => keys.last().map_or_else(|| "something".into(), |key| key.replace('_', " ")),
    }
}

/// `left hallux (L1)`; `right` stays as it is.
fn place_in_words(key: &str) -> String {
    match Toe::ALL.into_iter().find(|toe| toe.code() == key) {
        Some(toe) => format!("{} ({toe})", toe.clinical()),
        None => key.to_owned(),
    }
}

/// A reason of a derived value, without the marks and the spelling of keys.
fn without_keys(reason: &str) -> String {
    let parts = reason.split('`').enumerate().map(|(at, part)| {
        let is_key = at % 2 == 1 && part.contains(['_', '.']);
        if is_key { name_of(&Path::from(part)) } else { part.to_owned() }
    });
    parts.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn what_is_missing_has_a_name_and_no_path() {
        for (path, wanted) in [
            ("patient.weight", "weight"),
            ("vascular.right.toe", "right toe pressure"),
            ("vascular.left.posterior_tibial", "left ankle pressures"),
            ("vascular.brachial", "arm pressures"),
            ("sensation.left", "sensation of the left foot"),
            ("operation.toes.L1.injected", "volume injected, left hallux (L1)"),
            ("operation.toes.L1.injected[1].agent", "which anaesthetic was injected, left hallux (L1)"),
            ("something.new_here", "new here"),
        ] {
            assert_eq!(name_of(&Path::from(path)), wanted);
        }
    }

    #[test]
    fn two_keys_of_one_name_are_said_once() {
        let facts = facts_of("vascular: {right: {dorsalis_pedis: ~, posterior_tibial: ~}}");
        let index = &facts.derived.circulation.right.abpi;
        assert_eq!(print(index, |_| String::new()), "not known (right ankle pressures not recorded)");
    }

    #[test]
    fn a_gap_is_printed_with_its_reason() {
        let facts = facts_of("patient: {weight: {not_recorded: scale broken.}}");
        assert_eq!(
            print(&facts.derived.dosing_weight, ToString::to_string),
            "not known (weight not recorded: scale broken)"
        );
        let gap = "{not_recorded: leg in plaster}";
        let both = facts_of(&format!(
            "vascular: {{brachial: ~, right: {{dorsalis_pedis: {gap}, posterior_tibial: {gap}}}}}"
        ));
        assert_eq!(
            print(&both.derived.circulation.right.abpi, |_| String::new()),
            "not known (arm pressures not recorded; right ankle pressures not recorded: leg in plaster)"
        );
    }

    #[test]
    fn a_reason_carries_no_key_of_a_file() {
        let said = without_keys("the clinic's protocol gives no `first_redressing_days` either");
        assert_eq!(said, "the clinic's protocol gives no first redressing days either");
        assert_eq!(without_keys("`lidocain` is not in the table"), "lidocain is not in the table");
    }

    #[test]
    fn every_unknown_of_an_empty_case_is_in_words() {
        let facts = facts_of(
            "patient: {weight: ~, height: ~, sex: ~, nhs_number: ~}\nhistory: ~\nvascular: ~\nsensation: ~
operation: {start: ~, finish: ~, anaesthetic: ~, toes: {L1: {injected: ~, at: ~, tourniquet: {off: ~}}}}",
        );
        let derived = &facts.derived;
        let unknown = [
            derived.ideal_body_weight.unknown(),
            derived.dosing_weight.unknown(),
            derived.anaesthetic_share.unknown(),
            derived.foot_risk.unknown(),
            derived.hba1c.unknown(),
            derived.operation_minutes.unknown(),
            derived.nhs_number.unknown(),
            derived.circulation.left.tbpi.unknown(),
        ];
        for unknown in unknown.into_iter().map(|unknown| unknown.expect("nothing is recorded")) {
            let said = reason(unknown);
            assert!(!said.contains(['_', '`', '.']), "{said}");
        }
    }
}
