//! What follows surgery: what is booked, and later visits.

use schemars::JsonSchema;
use serde::Deserialize;

use super::NoneWord;
use crate::date::{CivilDate, TimeOfDay};

/// Follow-up, where it differs from the clinic's protocol.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FollowUp {
    /// The first redressing.
    pub first_redressing: Option<CivilDate>,
    /// At what time, if it is booked.
    pub at: Option<TimeOfDay>,
    /// Later visits that are booked.
    #[serde(default)]
    pub visits: Vec<CivilDate>,
    /// What the practice is asked to do, or `none`; without it the letter says that none is stated. What
    /// follows from the findings is asked for all the same.
    pub gp_actions: Option<GpActions>,
}

/// `none`, or what the practice is asked to do.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum GpActions {
    /// Nothing is asked for.
    None(NoneWord),
    /// A line an item.
    List(Vec<String>),
}

impl GpActions {
    /// What is asked for; empty if nothing is.
    pub fn list(&self) -> &[String] {
        match self {
            GpActions::None(_) => &[],
            GpActions::List(list) => list,
        }
    }
}

/// A later visit.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Review {
    /// The day.
    pub date: CivilDate,
    /// What was seen and done.
    pub note: String,
    /// Who saw the patient.
    pub by: Option<String>,
    /// Healed on this day.
    pub healed: Option<bool>,
}
