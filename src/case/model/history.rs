//! Conditions, medicines, allergies and what was asked.

use super::AdrenalineRatio;
use crate::case::measured::Measured;
use crate::case::nothing::none_or_list;
use crate::case::other_words::or_its_name;
use crate::date::{CivilDate, TimeOfDay};
use crate::units::{Hba1c, Millilitres, Percent};
use schemars::{JsonSchema, Schema};
use serde::Deserialize;
use std::fmt;

/// Conditions, medicines and allergies.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "history"))]
pub struct History {
    /// `none`, or the block.
    pub diabetes: Option<DiabetesEntry>,
    /// Conditions, as the trade writes them; `none` says that none is known.
    #[schemars(transform = none_or_list)]
    pub conditions: Option<Vec<String>>,
    /// Generic names or brands; `none` says that none is taken.
    #[schemars(transform = none_or_list)]
    pub medicines: Option<Vec<Medicine>>,
    /// `none known`, or a list.
    pub allergies: Option<AllergiesEntry>,
    /// The last INR of a patient on warfarin, and its date.
    #[serde(default)]
    pub inr: Measured<Inr>,
    /// Smokes now; `ex` for one who stopped.
    pub smoker: Option<Smoker>,
    /// Pregnant now.
    pub pregnant: Option<bool>,
    /// Breastfeeding now.
    pub breastfeeding: Option<bool>,
    /// Any other local anaesthetic in the 24 hours before surgery: `none`, or the block.
    pub other_anaesthetic_24h: Option<OtherAnaestheticEntry>,
    /// Frail, in the practitioner's judgement.
    pub frail: Option<bool>,
    /// Foot disease, now or earlier, that sets the foot risk; `none` says that there is none.
    #[schemars(transform = none_or_list)]
    pub foot: Option<Vec<FootFactor>>,
}

/// `none`, or the other anaesthetic.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum OtherAnaestheticEntry {
    /// Asked, and there was none.
    None(NoneWord),
    /// There was one.
    Some(OtherAnaesthetic),
}

/// Another local anaesthetic in the 24 hours before surgery, as far as it is known.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OtherAnaesthetic {
    /// What it was for: `a filling`.
    pub what: String,
    /// The day.
    pub on: Option<CivilDate>,
    /// The time.
    pub at: Option<TimeOfDay>,
    /// The generic name.
    pub agent: Option<String>,
    /// The strength.
    pub strength: Option<Percent>,
    /// Adrenaline in the solution, as on the label: `1:80000`.
    pub adrenaline: Option<AdrenalineRatio>,
    /// The volume.
    pub volume: Option<Millilitres>,
}

/// Findings that set the foot risk beside circulation and sensation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum FootFactor {
    #[serde(rename = "callus")]
    Callus,
    #[serde(rename = "deformity")]
    Deformity,
    #[serde(rename = "previous ulcer")]
    PreviousUlcer,
    #[serde(rename = "amputation")]
    Amputation,
    #[serde(rename = "renal replacement")]
    RenalReplacement,
    #[serde(rename = "ulcer now")]
    UlcerNow,
    #[serde(rename = "spreading infection")]
    SpreadingInfection,
    #[serde(rename = "gangrene")]
    Gangrene,
    #[serde(rename = "hot swollen foot")]
    HotSwollenFoot,
}

impl FootFactor {
    /// The words of the case file.
    pub fn word(self) -> &'static str {
        match self {
            FootFactor::Callus => "callus",
            FootFactor::Deformity => "deformity",
            FootFactor::PreviousUlcer => "previous ulcer",
            FootFactor::Amputation => "amputation",
            FootFactor::RenalReplacement => "renal replacement",
            FootFactor::UlcerNow => "ulcer now",
            FootFactor::SpreadingInfection => "spreading infection",
            FootFactor::Gangrene => "gangrene",
            FootFactor::HotSwollenFoot => "hot swollen foot",
        }
    }
}

/// Whether the patient smokes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(extend("x-short-form" = "smoker"))]
pub enum Smoker {
    /// Smokes now, or does not.
    Now(bool),
    /// Smoked, and stopped.
    Ex(ExWord),
}

impl Smoker {
    /// Smokes now.
    pub fn smokes(self) -> bool {
        self == Smoker::Now(true)
    }

    /// Smoked, and stopped.
    pub fn stopped(self) -> bool {
        self == Smoker::Ex(ExWord::Ex)
    }
}

/// The word `ex`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the word speaks for itself")]
pub enum ExWord {
    Ex,
}

/// `none`, or what is known of the diabetes: `type 2`, or the block.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(extend("x-short-form" = "diabetes"))]
pub enum DiabetesEntry {
    /// Asked, and there is none.
    None(NoneWord),
    /// There is.
    Some(Diabetes),
}

/// The word `none`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the word speaks for itself")]
pub enum NoneWord {
    None,
}

/// That no allergy is known: `none known`, or `NKDA` where only medicines were asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum NoneKnown {
    #[serde(rename = "none known")]
    NoneKnown,
    #[serde(rename = "NKDA")]
    NoDrugAllergies,
}

impl NoneKnown {
    /// As it is printed: no more than was asked.
    pub fn in_full(self) -> &'static str {
        match self {
            NoneKnown::NoneKnown => "none known",
            NoneKnown::NoDrugAllergies => "no known drug allergies",
        }
    }
}

/// What is known of the diabetes.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Diabetes {
    /// Type 1 or 2, or another kind in words.
    #[serde(rename = "type")]
    pub kind: DiabetesKind,
    /// The last HbA1c, in either unit.
    #[serde(default)]
    pub hba1c: Measured<Hba1c>,
    /// When it was taken.
    pub tested: Option<CivilDate>,
}

/// The kind of diabetes.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum DiabetesKind {
    /// 1 or 2.
    Number(#[schemars(range(min = 1, max = 2))] u8),
    /// Another kind, in words.
    Words(String),
}

/// A medicine: its generic name, or a block where there is more to say.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Medicine {
    /// The generic name or the brand, with its dose if you like: `Eliquis 5 mg twice a day`.
    Name(String),
    /// Name and dose.
    Block(MedicineBlock),
}

/// A medicine with its dose.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MedicineBlock {
    /// The generic name or the brand.
    pub name: String,
    /// Dose and frequency, in words.
    pub dose: Option<String>,
    /// When the last dose was taken, in words: `22 Nov 2026, evening`.
    pub last_taken: Option<String>,
    /// `no interaction`: a medicine that the tool does not know was looked up, and nothing speaks against
    /// the anaesthetic and the usual pain relief.
    pub checked: Option<Checked>,
}

/// What came of looking a medicine up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Checked {
    #[serde(rename = "no interaction")]
    NoInteraction,
}

impl Medicine {
    /// The generic name as typed.
    pub fn name(&self) -> &str {
        match self {
            Medicine::Name(name) => name,
            Medicine::Block(block) => &block.name,
        }
    }

    /// The dose of a block.
    pub fn dose(&self) -> Option<&str> {
        match self {
            Medicine::Name(_) => None,
            Medicine::Block(block) => block.dose.as_deref(),
        }
    }

    /// When its last dose was taken, in words.
    pub fn last_taken(&self) -> Option<&str> {
        match self {
            Medicine::Name(_) => None,
            Medicine::Block(block) => block.last_taken.as_deref(),
        }
    }

    /// What came of looking it up, if somebody did.
    pub fn checked(&self) -> Option<Checked> {
        match self {
            Medicine::Name(_) => None,
            Medicine::Block(block) => block.checked,
        }
    }
}

/// `none known`, or the list.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum AllergiesEntry {
    /// Asked, and none is known.
    NoneKnown(NoneKnown),
    /// The list.
    List(#[schemars(length(min = 1))] Vec<Allergy>),
}

impl AllergiesEntry {
    /// The words for none; `None` if there is a list.
    pub fn none(&self) -> Option<NoneKnown> {
        match self {
            AllergiesEntry::NoneKnown(none) => Some(*none),
            AllergiesEntry::List(_) => None,
        }
    }

    /// The allergies; empty if none is known.
    pub fn list(&self) -> &[Allergy] {
        match self {
            AllergiesEntry::NoneKnown(_) => &[],
            AllergiesEntry::List(list) => list,
        }
    }
}

/// One allergy: the substance, or a block that says what happened as well.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(transform = |schema: &mut Schema| or_its_name(schema, "to"))]
pub struct Allergy {
    /// The substance.
    pub to: String,
    /// What happened.
    pub reaction: Option<String>,
}

/// An INR and its date.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inr {
    /// The value, like `2.5`, in quotation marks or without.
    #[schemars(with = "f64", range(min = 0.5, max = 20.0))]
    #[serde(deserialize_with = "decimal_as_written")]
    pub value: rust_decimal::Decimal,
    /// When it was taken.
    pub tested: CivilDate,
}

/// Takes a number with quotation marks or without. The reader of YAML has already made a bare `2.5`
/// a float; its shortest spelling is what was written, and only that is read as a decimal.
fn decimal_as_written<'de, D: serde::Deserializer<'de>>(
    deserializer: D,
) -> Result<rust_decimal::Decimal, D::Error> {
    struct AsWritten;

    impl serde::de::Visitor<'_> for AsWritten {
        type Value = rust_decimal::Decimal;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a number like `2.5`")
        }

        fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Self::Value, E> {
            crate::units::plain_decimal(text).map_err(E::custom)
        }

        fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Self::Value, E> {
            self.visit_str(&number.to_string())
        }

        fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Self::Value, E> {
            self.visit_str(&number.to_string())
        }

        fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Self::Value, E> {
            self.visit_str(&number.to_string())
        }
    }

    deserializer.deserialize_any(AsWritten)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inr(value: &str) -> Option<String> {
        let text = format!("{{value: {value}, tested: 2026-11-23}}");
        serde_yaml::from_str::<Inr>(&text).ok().map(|inr| inr.value.to_string())
    }

    #[test]
    fn an_inr_is_read_with_quotation_marks_or_without() {
        for (typed, value) in [("2.5", "2.5"), ("\"2.5\"", "2.5"), ("3", "3"), ("4.1", "4.1")] {
            assert_eq!(inr(typed).as_deref(), Some(value), "{typed}");
        }
        for wrong in ["-2.5", ".nan", ".inf", "1e30", "high", "true", "\"2,5\"", "~"] {
            assert_eq!(inr(wrong), None, "{wrong}");
        }
    }
}
