//! Clinical knowledge: sources, tables (one row, one source) and pure arithmetic on units.
//!
//! Numbers with a clinical meaning live here or beside a [`Cite`], nowhere else. Nothing here has
//! seen a case file.

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
