//! What was found: the toes, the circulation and the feeling of both feet.

use crate::anatomy::{ByToe, Edge};
use crate::case::measured::Measured;
use crate::text_value;
use crate::units::{Mmhg, SitesFelt, TextValue};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Deserialize;
use std::fmt;

/// What the patient came with.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "problem"))]
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
#[schemars(extend("x-line" = "affected toe"))]
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
#[schemars(extend("x-line" = "circulation"))]
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
#[schemars(extend("x-line" = "arms"))]
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
#[schemars(extend("x-line" = "foot"))]
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
    /// The ankle-brachial index where it was measured elsewhere, as it was told: `1.05`. Pressures that stand beside
    /// it count before it.
    #[serde(default)]
    pub abpi: Measured<PressureIndex>,
    /// Pedal pulses: `palpable`, `weak`, `absent`; or of each artery, `DP palpable + PT weak`.
    #[serde(default)]
    pub pulses: Measured<FoundPulses>,
    /// Doppler sounds: `triphasic`, `biphasic`, `monophasic`, `absent`; or of each artery, `DP triphasic + PT biphasic`.
    #[serde(default)]
    pub doppler: Measured<DopplerSounds>,
}

/// A pressure index, with two decimals at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PressureIndex(pub Decimal);

impl TextValue for PressureIndex {
    const FORMAT: &'static str = "pressure index";
    const EXAMPLE: &'static str = "1.05";
    const PATTERN: &'static str = "^ *[0-2](?:[.][0-9]{1,2})? *$";
    fn parse(text: &str) -> Result<Self, String> {
        let is_plain = text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        text.parse::<Decimal>()
            .ok()
            .filter(|index| is_plain && index.scale() <= 2 && *index < Decimal::from(3))
            .map(PressureIndex)
            .ok_or_else(|| format!("`{text}` is not a pressure index: write it like `1.05`"))
    }
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
}

/// With two decimals.
impl fmt::Display for PressureIndex {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2}", self.0)
    }
}

text_value!(PressureIndex, "pressure index");

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

/// What a Doppler probe lets hear over an artery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Doppler {
    Triphasic,
    Biphasic,
    Monophasic,
    Absent,
}

/// A word for what was found at an artery.
pub trait OfArtery: Copy + Eq + 'static {
    /// All of them.
    const ALL: &'static [Self];
    /// The word of the case file.
    fn word(self) -> &'static str;
}

impl OfArtery for Pulses {
    const ALL: &'static [Self] = &[Pulses::Palpable, Pulses::Weak, Pulses::Absent];
    fn word(self) -> &'static str {
        Pulses::word(self)
    }
}

impl OfArtery for Doppler {
    const ALL: &'static [Self] =
        &[Doppler::Triphasic, Doppler::Biphasic, Doppler::Monophasic, Doppler::Absent];
    fn word(self) -> &'static str {
        match self {
            Doppler::Triphasic => "triphasic",
            Doppler::Biphasic => "biphasic",
            Doppler::Monophasic => "monophasic",
            Doppler::Absent => "absent",
        }
    }
}

/// What was found at a foot, or at each of its two arteries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AtFoot<W> {
    /// In one word for the foot.
    Foot(W),
    /// Dorsalis pedis and posterior tibial, as far as they were looked for; one of them at least.
    Each(Option<W>, Option<W>),
}

/// The pulses of a foot, or of each of its arteries.
pub type FoundPulses = AtFoot<Pulses>;

/// Doppler sounds of a foot, or of each of its arteries. What they mean is judged by nobody here.
pub type DopplerSounds = AtFoot<Doppler>;

impl FoundPulses {
    /// In one word: absent if no pulse was felt, and weak if that is so of one of the two.
    pub fn foot(self) -> Pulses {
        match self {
            AtFoot::Foot(pulses) => pulses,
            AtFoot::Each(Some(one), None) | AtFoot::Each(None, Some(one)) => one,
            AtFoot::Each(Some(one), Some(other)) if one == other => one,
            AtFoot::Each(..) => Pulses::Weak,
        }
    }
}

impl<W: OfArtery> AtFoot<W> {
    /// `palpable`; `DP palpable + PT weak`; `DP + PT palpable`, one word for both.
    fn read(text: &str) -> Option<Self> {
        let word = |word: &str| W::ALL.iter().copied().find(|one| one.word() == word);
        let small = text.trim().to_lowercase();
        if let Some(found) = word(&small) {
            return Some(AtFoot::Foot(found));
        }
        let mut found: [Option<W>; 2] = [None, None];
        let mut open: Vec<usize> = Vec::new();
        for part in small.split(['+', '&', ',']).flat_map(|part| part.split(" and ")) {
            let (artery, says) = part.trim().split_at_checked(2)?;
            let artery = ["dp", "pt"].iter().position(|name| *name == artery)?;
            if found[artery].is_some() || open.contains(&artery) {
                return None;
            }
            open.push(artery);
            if !says.trim().is_empty() {
                let says = word(says.trim())?;
                open.drain(..).for_each(|artery| found[artery] = Some(says));
            }
        }
        open.is_empty().then(|| AtFoot::Each(found[0], found[1]))
    }
}

impl<W: OfArtery> fmt::Display for AtFoot<W> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (dp, pt) = match self {
            AtFoot::Foot(found) => return f.write_str(found.word()),
            AtFoot::Each(dp, pt) => (dp, pt),
        };
        let of = |name: &str, found: &Option<W>| found.map(|found| format!("{name} {}", found.word()));
        let each: Vec<String> = [of("DP", dp), of("PT", pt)].into_iter().flatten().collect();
        f.write_str(&each.join(" + "))
    }
}

impl TextValue for FoundPulses {
    const FORMAT: &'static str = "pulses";
    const EXAMPLE: &'static str = "palpable";
    const PATTERN: &'static str = "^ *(?:[pP]alpable|[wW]eak|[aA]bsent|(?:[dDpP][pPtT] *(?:palpable|weak|absent)?(?: *(?:[+&]|and) *)?){1,2}) *$";
    fn parse(text: &str) -> Result<Self, String> {
        AtFoot::read(text).ok_or_else(|| {
            format!(
                "`{text}` says nothing of pulses: write `palpable`, `weak` or `absent`, or of each artery \
                 `DP palpable + PT weak`"
            )
        })
    }
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
}

text_value!(FoundPulses, "pulses");

impl TextValue for DopplerSounds {
    const FORMAT: &'static str = "Doppler sounds";
    const EXAMPLE: &'static str = "triphasic";
    const PATTERN: &'static str = "^ *(?:[tT]riphasic|[bB]iphasic|[mM]onophasic|[aA]bsent|(?:[dDpP][pPtT] *(?:triphasic|biphasic|monophasic|absent)?(?: *(?:[+&]|and) *)?){1,2}) *$";
    fn parse(text: &str) -> Result<Self, String> {
        AtFoot::read(text).ok_or_else(|| {
            format!(
                "`{text}` names no Doppler sound: write `triphasic`, `biphasic`, `monophasic` or `absent`, or of \
                 each artery `DP triphasic + PT biphasic`"
            )
        })
    }
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
}

text_value!(DopplerSounds, "Doppler sounds");

/// Monofilament sites of both feet.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "sensation"))]
pub struct Sensation {
    /// The right foot.
    #[serde(default)]
    pub right: Measured<SitesFelt>,
    /// The left foot.
    #[serde(default)]
    pub left: Measured<SitesFelt>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_arteries_make_one_word_for_the_foot() {
        let foot = |text: &str| FoundPulses::parse(text).map(FoundPulses::foot);
        assert_eq!(foot("DP + PT palpable"), Ok(Pulses::Palpable));
        assert_eq!(foot("DP absent + PT absent"), Ok(Pulses::Absent));
        assert_eq!(foot("DP absent + PT palpable"), Ok(Pulses::Weak));
        assert_eq!(foot("PT absent"), Ok(Pulses::Absent));
        assert_eq!(foot("weak"), Ok(Pulses::Weak));
        for wrong in ["", "DP", "DP palpable + PT", "DP + PT", "PT palpable + PT weak", "é", "both palpable"]
        {
            assert!(FoundPulses::parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn doppler_sounds_are_named_of_the_foot_or_of_each_artery() {
        let written = |text: &str| DopplerSounds::parse(text).map(|sounds| sounds.to_string());
        assert_eq!(written("Triphasic").as_deref(), Ok("triphasic"));
        assert_eq!(written("PT mono-phasic").ok(), None);
        assert_eq!(written("dp + pt biphasic").as_deref(), Ok("DP biphasic + PT biphasic"));
        assert_eq!(written("PT absent and DP monophasic").as_deref(), Ok("DP monophasic + PT absent"));
        for wrong in ["", "palpable", "DP weak", "DP triphasic + DP absent", "DP"] {
            assert!(written(wrong).is_err(), "{wrong}");
        }
    }
}
