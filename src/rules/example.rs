//! The base case that the examples of all rules are laid over. Everyone in it is invented.

use serde_yaml::Value;

use crate::case::{Case, Clinic, NOT_RECORDED_KEY};
use crate::date::CivilDate;
use crate::facts::Facts;
use crate::units::TextValue;

/// A routine adult in whom no rule finds anything.
pub const BASE_CASE: &str = include_str!("example_case.yaml");

/// Her clinic.
pub const BASE_CLINIC: &str = include_str!("example_clinic.yaml");

/// The day on which the examples are judged.
pub const TODAY: &str = "2026-11-25";

/// The facts of the base case with a fragment laid over it. A key of the fragment that starts with
/// `clinic` at the top level (`clinic: {limits: …}`) is laid over the clinic file instead.
///
/// For examples and tests: a fragment that does not read is a mistake of ours.
pub fn facts_of(fragment: &str) -> Facts {
    let mut case: Value = serde_yaml::from_str(BASE_CASE).expect("the base case is YAML");
    let mut clinic: Value = serde_yaml::from_str(BASE_CLINIC).expect("the base clinic is YAML");
    let mut over: Value =
        serde_yaml::from_str(fragment).unwrap_or_else(|problem| panic!("example: {problem}\n{fragment}"));
    if let Some(part) = over.as_mapping_mut().and_then(|keys| keys.remove("clinic")) {
        lay_over(&mut clinic, part);
    }
    if !over.is_null() {
        lay_over(&mut case, over);
    }
    let case: Case =
        serde_yaml::from_value(case).unwrap_or_else(|problem| panic!("example: {problem}\n{fragment}"));
    let clinic: Clinic =
        serde_yaml::from_value(clinic).unwrap_or_else(|problem| panic!("example: {problem}\n{fragment}"));
    Facts::new(case.with_keys_of(&clinic), clinic, CivilDate::parse(TODAY).expect("a literal date"))
}

/// Keys of `over` replace those of `base`, block by block; `~` removes a key; a list replaces a list, and
/// a gap replaces the block that it stands for.
pub fn lay_over(base: &mut Value, over: Value) {
    match (base, over) {
        (Value::Mapping(base), Value::Mapping(over)) if !over.contains_key(NOT_RECORDED_KEY) => {
            for (key, value) in over {
                if value.is_null() {
                    base.remove(&key);
                } else {
                    lay_over(base.entry(key).or_insert(Value::Null), value);
                }
            }
        }
        (base, over) => *base = over,
    }
}
