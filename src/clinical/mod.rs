//! Clinical knowledge: sources, tables (one row, one source) and pure arithmetic on units.
//!
//! Numbers with a clinical meaning live here or beside a [`Cite`], nowhere else. Nothing here has
//! seen a case file.

/// The text of a table as it is built in: in JSON, which `src/build.rs` makes of the YAML in which it is written.
macro_rules! built_table {
    ($name:literal) => {
        include_str!(concat!(env!("OUT_DIR"), "/", $name, ".json"))
    };
}
pub(crate) use built_table;

pub mod body_size;
pub mod chi_number;
pub mod child_medians;
pub mod foot_risk;
pub mod hba1c;
pub mod hc_number;
pub mod healing;
pub mod incidents;
pub mod nhs_number;
mod outcomes;
pub mod paracetamol;
pub mod pressure_bands;
mod source;
pub mod sources;
pub mod tables;
pub mod thresholds;
pub mod working_days;

pub use outcomes::{Outcome, Study, outcome, outcomes};
pub use source::{Cite, Relation, Seen, Source};

/// The rows of a table: one that is built in, or as it is written.
fn table_of<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_str(text)
        .or_else(|_| serde_yaml::from_str(text).map_err(|problem: serde_yaml::Error| problem.to_string()))
}

#[cfg(test)]
mod tests {
    /// Numbers too, digit for digit.
    #[test]
    fn what_is_built_in_is_what_is_written() {
        macro_rules! same {
            ($($name:literal)*) => {$(
                let written: serde_yaml::Value =
                    serde_yaml::from_str(include_str!(concat!("tables/", $name, ".yaml"))).expect("a table is YAML");
                let built: serde_yaml::Value = serde_json::from_str(built_table!($name)).expect("built as JSON");
                assert_eq!(built, written, $name);
            )*};
        }
        same!("adrenaline" "agents" "allergens" "bank_holidays" "body_size" "child_medians" "conditions" "foot_risk");
        same!("healing" "incidents" "medicines" "outcomes" "paracetamol" "pressure_bands" "thresholds" "trade_names");
    }
}
