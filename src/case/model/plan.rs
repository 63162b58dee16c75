//! What is planned, toe by toe.

use crate::anatomy::{Edge, Matrix, Nail};
use crate::date::{CivilDate, TimeOfDay};
use schemars::JsonSchema;
use serde::Deserialize;

/// The appointment for surgery.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "booked"))]
pub struct Booked {
    /// The day.
    pub on: CivilDate,
    /// The time.
    pub at: Option<TimeOfDay>,
    /// How many minutes are kept for it.
    #[schemars(range(min = 5, max = 480))]
    pub minutes: Option<u16>,
    /// The room.
    pub room: Option<String>,
}

/// What is planned for one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "planned toe"))]
pub struct PlannedToe {
    /// Partial or total avulsion.
    pub nail: Nail,
    /// The edges, for a partial avulsion.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// Phenol, or none.
    pub matrix: Matrix,
}
