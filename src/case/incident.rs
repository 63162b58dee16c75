//! The incidents of a case: what really happened where something went wrong.
//!
//! Every key may be missing while the file is read, so that a rule can name all that an entry still
//! lacks at once.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::date::{CivilDate, TimeOfDay};

/// Something that went wrong, as it really happened.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Incident {
    /// The rules whose finding this entry answers; `[]` for what no rule finds, such as a reaction or a burn.
    pub answers: Option<Vec<String>>,
    /// What happened: facts only, in plain words, since the patient reads them too.
    pub what_happened: Option<String>,
    /// When it was found, and by whom.
    pub found: Option<Found>,
    /// What was done at once for the patient, in plain words.
    pub done_at_once: Option<String>,
    /// Physical harm, as far as it is known.
    pub harm: Option<Harm>,
    /// Psychological harm, where there is any.
    pub psychological_harm: Option<PsychologicalHarm>,
    /// Who told the patient and when, or why not yet.
    pub told: Option<Told>,
    /// To whom it was reported.
    #[serde(default)]
    pub reported: Vec<Report>,
}

impl Incident {
    /// The rules that it answers; none if nothing is written.
    pub fn answered_rules(&self) -> &[String] {
        self.answers.as_deref().unwrap_or_default()
    }
}

/// When an incident was found, and by whom.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// The day.
    pub on: Option<CivilDate>,
    /// The time.
    pub at: Option<TimeOfDay>,
    /// Who found it.
    pub by: Option<String>,
}

/// Physical harm, in the words of the national record of patient safety events.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Harm {
    None,
    Low,
    Moderate,
    Severe,
    Fatal,
}

impl Harm {
    /// The word of the case file.
    pub fn word(self) -> &'static str {
        match self {
            Harm::None => "none",
            Harm::Low => "low",
            Harm::Moderate => "moderate",
            Harm::Severe => "severe",
            Harm::Fatal => "fatal",
        }
    }
}

/// Psychological harm, in the same words; it is never fatal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum PsychologicalHarm {
    None,
    Low,
    Moderate,
    Severe,
}

impl PsychologicalHarm {
    /// The word of the case file.
    pub fn word(self) -> &'static str {
        match self {
            PsychologicalHarm::None => "none",
            PsychologicalHarm::Low => "low",
            PsychologicalHarm::Moderate => "moderate",
            PsychologicalHarm::Severe => "severe",
        }
    }
}

/// Who told the patient and when, or `not_yet` with the reason.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Told {
    /// The day.
    pub on: Option<CivilDate>,
    /// Who told the patient, or the person who decides.
    pub by: Option<String>,
    /// Whether an apology was made.
    pub apology: Option<bool>,
    /// Why the patient has not been told yet.
    pub not_yet: Option<String>,
}

/// To whom an incident was reported.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// Whom: the employer, a national scheme, the insurer.
    pub to: String,
    /// The number that it was given there.
    pub reference: Option<String>,
}
