//! The patient's consent, and whoever decides for a patient.

use crate::anatomy::{ByToe, Edge, Nail};
use crate::date::CivilDate;
use schemars::JsonSchema;
use serde::Deserialize;

/// The patient's consent.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "consent"))]
pub struct Consent {
    /// The day the form was signed.
    pub signed: Option<CivilDate>,
    /// The version of the form that was signed, as it stands at its foot.
    #[schemars(range(min = 1, max = 99))]
    pub form: Option<u8>,
    /// Who gave consent, or on what ground the decision was made.
    pub by: Option<ConsentBy>,
    /// The toes and edges on the signed form, where they differ from the plan.
    pub toes: Option<ByToe<ConsentedToe>>,
    /// The day consent was confirmed again, usually the day of surgery.
    pub confirmed: Option<CivilDate>,
    /// The patient's own concerns.
    pub concerns: Option<String>,
    /// The alternatives that were discussed.
    pub alternatives: Option<Vec<String>>,
    /// The risks that were discussed beside those on the form, or those that matter most to this patient.
    pub risks: Option<Vec<String>>,
    /// How capacity was judged: required for best interests and for a young person's own consent.
    pub capacity: Option<String>,
    /// Who judged that a child under 16 understands: asked for in Scotland.
    pub capacity_by: Option<JudgedBy>,
    /// For best interests: who was consulted and why it is in the patient's interest.
    pub best_interests: Option<String>,
    /// Scotland, with a certificate: how the patient benefits, what they wish, and who was consulted.
    pub benefit: Option<String>,
    /// The people who were consulted, each with a place to sign on the form.
    pub consulted: Option<Vec<Consulted>>,
    /// The power of the attorney, deputy or welfare guardian who consents.
    pub authority: Option<Authority>,
    /// Scotland: the certificate under section 47 of the Adults with Incapacity Act.
    pub certificate: Option<Certificate>,
    /// The interpreter who took part.
    pub interpreter: Option<String>,
    /// How the interpreter took part.
    pub interpreted: Option<Interpreted>,
    /// What the patient said about the letter to the family doctor.
    pub letter_to_gp: Option<LetterToGp>,
    /// The leaflet that was given: its title, or a key of the clinic's `leaflets`.
    pub leaflet: Option<String>,
    /// Where the patient pays: what they were told that it costs, as they read it on the form.
    pub fee: Option<String>,
    /// Who takes consent: a key of the clinic's practitioners, or a name; otherwise the operator.
    pub taken_by: Option<String>,
}

/// Who gave consent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum ConsentBy {
    #[serde(rename = "patient")]
    Patient,
    #[serde(rename = "guardian")]
    Guardian,
    #[serde(rename = "best interests")]
    BestInterests,
    #[serde(rename = "attorney")]
    Attorney,
    #[serde(rename = "deputy")]
    Deputy,
    #[serde(rename = "welfare guardian")]
    WelfareGuardian,
    #[serde(rename = "certificate")]
    Certificate,
}

impl ConsentBy {
    /// The words of the case file.
    pub fn word(self) -> &'static str {
        match self {
            ConsentBy::Patient => "patient",
            ConsentBy::Guardian => "guardian",
            ConsentBy::BestInterests => "best interests",
            ConsentBy::Attorney => "attorney",
            ConsentBy::Deputy => "deputy",
            ConsentBy::WelfareGuardian => "welfare guardian",
            ConsentBy::Certificate => "certificate",
        }
    }
}

/// Somebody who judged whether the patient understands.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JudgedBy {
    /// Full name.
    pub name: String,
    /// Profession.
    pub profession: Profession,
}

/// A profession, as far as the law of consent tells them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Profession {
    Doctor,
    Dentist,
    Optician,
    Nurse,
    Podiatrist,
    Other,
}

impl Profession {
    /// The word of the case file.
    pub fn word(self) -> &'static str {
        match self {
            Profession::Doctor => "doctor",
            Profession::Dentist => "dentist",
            Profession::Optician => "optician",
            Profession::Nurse => "nurse",
            Profession::Podiatrist => "podiatrist",
            Profession::Other => "other",
        }
    }
}

/// Somebody who was consulted about a patient who cannot decide.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Consulted {
    /// Full name.
    pub name: String,
    /// `sister`, `key worker` …
    pub relationship: Option<String>,
    /// The day on which they were asked.
    pub on: Option<CivilDate>,
}

/// The power of an attorney, deputy or welfare guardian.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Authority {
    /// Full name of the person who decides.
    pub name: String,
    /// `daughter`, `solicitor` …
    pub relationship: Option<String>,
    /// The document, in words: `lasting power of attorney, health and welfare, registered`.
    pub document: Option<String>,
    /// The day on which the document was seen.
    pub seen: Option<CivilDate>,
    /// Whether it covers decisions about health.
    pub covers_health: Option<bool>,
}

/// A certificate of incapacity under section 47 of the Adults with Incapacity (Scotland) Act 2000.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Certificate {
    /// Who signed it.
    pub signed_by: String,
    /// Their profession.
    pub profession: Profession,
    /// The day from which it holds: that of the examination.
    pub from: CivilDate,
    /// The last day on which it holds.
    pub until: CivilDate,
    /// The treatment that it covers, in its words.
    pub covers: Option<String>,
}

/// How an interpreter took part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Interpreted {
    #[serde(rename = "in the room")]
    InTheRoom,
    #[serde(rename = "by telephone")]
    ByTelephone,
    #[serde(rename = "by video")]
    ByVideo,
}

impl Interpreted {
    /// The words of the case file.
    pub fn word(self) -> &'static str {
        match self {
            Interpreted::InTheRoom => "in the room",
            Interpreted::ByTelephone => "by telephone",
            Interpreted::ByVideo => "by video",
        }
    }
}

/// What the patient said about the letter to the family doctor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum LetterToGp {
    #[serde(rename = "told")]
    Told,
    #[serde(rename = "does not object")]
    DoesNotObject,
    #[serde(rename = "objects")]
    Objects,
}

/// A toe as it stands on the signed form.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConsentedToe {
    /// Partial or total avulsion.
    pub nail: Nail,
    /// The edges.
    #[serde(default)]
    pub edges: Vec<Edge>,
}
