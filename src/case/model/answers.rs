//! Answers to cautions.

use schemars::JsonSchema;
use serde::Deserialize;

/// A caution answered.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    /// The rule's name.
    pub rule: String,
    /// Why it was right to go on.
    pub because: String,
    /// Who decided.
    pub by: String,
}
