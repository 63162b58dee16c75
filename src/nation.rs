//! The parts of the United Kingdom, each with bank holidays and a law of consent of its own.

use schemars::JsonSchema;
use serde::Deserialize;

/// A part of the United Kingdom: whose bank holidays and whose law hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Division {
    EnglandAndWales,
    Scotland,
    NorthernIreland,
}
