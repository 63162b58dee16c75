//! What was found: the toes, the circulation and the feeling of both feet.

use crate::anatomy::{ByToe, Edge};
use crate::case::measured::Measured;
use crate::units::{Mmhg, SitesFelt};
use schemars::JsonSchema;
use serde::Deserialize;

/// What the patient came with.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Problem {
    /// The story in a line.
    pub summary: Option<String>,
    /// The affected toes.
    pub toes: Option<ByToe<AffectedToe>>,
    /// What was tried before.
    pub tried: Option<String>,
}

/// One affected toe.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AffectedToe {
    /// The edges that are ingrown.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// Stage 1 inflammation, 2 discharge, 3 granulation.
    #[schemars(range(min = 1, max = 3))]
    pub stage: Option<u8>,
    /// Infected now.
    pub infected: Option<bool>,
    /// Infection spreading beyond the nail fold.
    pub cellulitis: Option<bool>,
    /// Nail plate curved across.
    pub involuted: Option<bool>,
    /// Thickened nail.
    pub thickened: Option<bool>,
    /// The diagnosis in words, where it is another than edges and findings say: `lifted nail after an injury`.
    pub diagnosis: Option<String>,
    /// Had nail surgery before.
    pub previous_surgery: Option<bool>,
    /// Anything else, in words.
    pub note: Option<String>,
}

/// Circulation of both feet.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Vascular {
    /// Systolic pressure in both arms.
    pub brachial: Option<Brachial>,
    /// The right foot.
    pub right: Option<FootCirculation>,
    /// The left foot.
    pub left: Option<FootCirculation>,
}

/// Systolic pressure in the arms, mmHg.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Brachial {
    /// Right arm.
    #[serde(default)]
    pub right: Measured<Mmhg>,
    /// Left arm.
    #[serde(default)]
    pub left: Measured<Mmhg>,
}

/// Circulation of one foot; pressures in mmHg systolic.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FootCirculation {
    /// Dorsalis pedis pressure.
    #[serde(default)]
    pub dorsalis_pedis: Measured<Mmhg>,
    /// Posterior tibial pressure.
    #[serde(default)]
    pub posterior_tibial: Measured<Mmhg>,
    /// Toe pressure.
    #[serde(default)]
    pub toe: Measured<Mmhg>,
    /// Pedal pulses.
    #[serde(default)]
    pub pulses: Measured<Pulses>,
}

/// Pedal pulses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Pulses {
    Palpable,
    Weak,
    Absent,
}

impl Pulses {
    /// The word of the case file.
    pub fn word(self) -> &'static str {
        match self {
            Pulses::Palpable => "palpable",
            Pulses::Weak => "weak",
            Pulses::Absent => "absent",
        }
    }
}

/// Monofilament sites of both feet.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sensation {
    /// The right foot.
    #[serde(default)]
    pub right: Measured<SitesFelt>,
    /// The left foot.
    #[serde(default)]
    pub left: Measured<SitesFelt>,
}
