//! What is planned, toe by toe.

use crate::anatomy::{Edge, Matrix, Nail};
use crate::date::{CivilDate, TimeOfDay};
use schemars::JsonSchema;
use serde::Deserialize;

/// What is planned for one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedToe {
    /// Partial or total avulsion.
    pub nail: Nail,
    /// The edges, for a partial avulsion.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// Phenol, or none.
    pub matrix: Matrix,
}

/// The appointment for surgery, before it has been.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BookedSurgery {
    /// The day.
    pub on: CivilDate,
    /// At what time.
    pub at: Option<TimeOfDay>,
}
