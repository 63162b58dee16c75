//! `clinic.yaml`: what the clinic always does, its people and its address book.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::case::aftercare_options::AftercareOptions;
use crate::case::model::{AdrenalineRatio, Gp, PhenolForm, Urgency};
use crate::date::{CivilDate, Expiry, TimeOfDay};
use crate::nation::Division;
use crate::units::{Milligrams, MilligramsPerKilogram, Percent};

/// A clinic.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Clinic {
    /// Its name.
    pub name: String,
    /// Address, a line an item; or in one line with commas.
    #[schemars(extend("x-short-form" = "address"))]
    pub address: Vec<String>,
    /// Telephone in opening hours.
    pub telephone: String,
    /// Opening hours in words: `Monday to Friday, 8:30am to 5pm`.
    pub hours: Option<String>,
    /// Telephone out of hours.
    pub out_of_hours: Option<String>,
    /// E-mail address.
    pub email: Option<String>,
    /// Which bank holidays hold here.
    pub division: Division,
    /// Practitioners, by a short key.
    pub practitioners: BTreeMap<String, Practitioner>,
    /// General practices, by a short key.
    #[serde(default)]
    pub gps: BTreeMap<String, Gp>,
    /// What the clinic always does.
    pub protocol: Protocol,
    /// The boxes in use, by a short key that a case may name instead of all that stands on the label.
    #[serde(default)]
    pub supplies: BTreeMap<String, Supply>,
    /// The clinic's leaflets by a short key, which a case may name: `before: Nail surgery, before you decide`.
    #[serde(default)]
    pub leaflets: BTreeMap<String, String>,
    /// Alternatives by a short key, each one by itself: `conservative: conservative care`. A case still names every
    /// one that was discussed.
    #[serde(default)]
    pub alternatives: BTreeMap<String, String>,
    /// Limits that replace a default of the tool, each with its reason.
    #[serde(default)]
    pub limits: Limits,
}

/// A box in use: an anaesthetic, phenol, or a dressing.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// The generic name of an anaesthetic, or `phenol`.
    pub agent: Option<String>,
    /// The strength on the label.
    pub strength: Option<Percent>,
    /// Adrenaline in the solution, as on the label: `1:200000`.
    pub adrenaline: Option<AdrenalineRatio>,
    /// What phenol came in.
    pub form: Option<PhenolForm>,
    /// Of a dressing: what it is.
    pub dressing: Option<String>,
    /// Batch or lot number.
    pub batch: String,
    /// Expiry.
    pub expires: Expiry,
    /// The day on which it was opened; on a day before it nothing was taken from it.
    pub opened: Option<CivilDate>,
    /// The last day on which something was taken from it.
    pub finished: Option<CivilDate>,
}

/// What is in a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupplyKind {
    /// A local anaesthetic.
    Anaesthetic,
    /// Phenol.
    Phenol,
    /// A dressing.
    Dressing,
}

impl SupplyKind {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            SupplyKind::Anaesthetic => "an anaesthetic",
            SupplyKind::Phenol => "phenol",
            SupplyKind::Dressing => "a dressing",
        }
    }
}

impl Supply {
    /// What is in it; `None` if nothing of it is said, or both.
    pub fn kind(&self) -> Option<SupplyKind> {
        match (self.agent.as_deref().map(str::trim), &self.dressing) {
            (Some(agent), None) if agent.eq_ignore_ascii_case("phenol") => Some(SupplyKind::Phenol),
            (Some(_), None) => Some(SupplyKind::Anaesthetic),
            (None, Some(_)) => Some(SupplyKind::Dressing),
            _ => None,
        }
    }

    /// What a case would say of it, key by key.
    pub fn parts(&self) -> Vec<(&'static str, String)> {
        let agent = self.agent.clone().filter(|_| self.kind() == Some(SupplyKind::Anaesthetic));
        let parts = [
            ("agent", agent),
            ("strength", self.strength.map(|strength| strength.to_string())),
            ("adrenaline", self.adrenaline.map(|ratio| format!("1:{}", ratio.0))),
            ("form", self.form.map(|form| form.word().to_owned())),
            ("batch", Some(self.batch.clone())),
            ("expires", Some(self.expires.to_string())),
        ];
        parts.into_iter().filter_map(|(key, text)| Some((key, text?))).collect()
    }

    /// What a case would say of a pack of this dressing, key by key.
    pub fn parts_of_pack(&self, item: &str) -> Vec<(&'static str, String)> {
        vec![("item", item.to_owned()), ("batch", self.batch.clone()), ("expires", self.expires.to_string())]
    }

    /// On this day something could be taken from it: it was open, not finished, and had not expired.
    pub fn is_in_use_on(&self, day: CivilDate) -> bool {
        self.opened.is_none_or(|opened| opened <= day)
            && self.finished.is_none_or(|finished| day <= finished)
            && day <= self.expires.last_day
    }
}

/// A practitioner.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Practitioner {
    /// Full name.
    pub name: String,
    /// Registration, as it is printed: `HCPC CH00000`.
    pub registration: String,
    /// `Podiatrist`, `Podiatry assistant` …
    pub role: String,
    /// The annotations of the entry in the register, as stated by the practitioner.
    pub annotations: Option<Vec<Annotation>>,
}

/// An annotation of an entry in the register of the HCPC: which medicines its holder may handle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Annotation {
    #[serde(rename = "administration")]
    Administration,
    #[serde(rename = "sale and supply")]
    SaleAndSupply,
    #[serde(rename = "independent prescriber")]
    IndependentPrescriber,
    #[serde(rename = "supplementary prescriber")]
    SupplementaryPrescriber,
}

impl Annotation {
    /// The words of the clinic file.
    pub fn word(self) -> &'static str {
        match self {
            Annotation::Administration => "administration",
            Annotation::SaleAndSupply => "sale and supply",
            Annotation::IndependentPrescriber => "independent prescriber",
            Annotation::SupplementaryPrescriber => "supplementary prescriber",
        }
    }
}

/// What the clinic always does.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Protocol {
    /// The usual anaesthetic, for new case files and for consent forms.
    pub anaesthetic: Option<UsualAgent>,
    /// The usual strength of phenol, for new case files.
    pub phenol: Option<Percent>,
    /// Injection technique: `digital block, two-sided`.
    pub technique: Option<String>,
    /// Skin preparation.
    pub skin_preparation: Option<String>,
    /// What the groove is washed with after phenol.
    pub lavage: Option<String>,
    /// Elective or emergency, where a case says `routine: as protocol`; so for the two below.
    pub urgency: Option<Urgency>,
    /// Antibiotic prophylaxis that is given, or `none`.
    pub antibiotics: Option<String>,
    /// Prophylaxis against venous thrombosis, or `none`.
    pub vte_prophylaxis: Option<String>,
    /// The kind of tourniquet.
    pub tourniquet: Option<String>,
    /// The dressing, a layer an item.
    #[serde(default)]
    pub dressing: Vec<String>,
    /// Days from surgery to the first redressing, about; the date is moved to an open day.
    #[schemars(range(min = 1, max = 14))]
    pub first_redressing_days: Option<u8>,
    /// Days from surgery to the review visit, about.
    #[schemars(range(min = 7, max = 365))]
    pub review_days: Option<u16>,
    /// Days on which the clinic is open.
    pub opening_days: Vec<Day>,
    /// Days on which the clinic is closed besides bank holidays.
    #[serde(default)]
    pub closed: Vec<CivilDate>,
    /// Months after which consent must be taken again.
    #[schemars(range(min = 1, max = 24))]
    pub consent_months: Option<u32>,
    /// What clinics do differently in the care at home.
    #[serde(default)]
    pub aftercare: AftercareOptions,
    /// Last time of day at which the clinic answers the telephone.
    pub telephone_until: Option<TimeOfDay>,
}

/// The usual anaesthetic, or the one that is planned.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UsualAgent {
    /// The generic name.
    pub agent: String,
    /// The strength.
    pub strength: Percent,
    /// Adrenaline in the solution, as on the label: `1:200000`.
    pub adrenaline: Option<AdrenalineRatio>,
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Day {
    Monday,
    Tuesday,
    Wednesday,
    Thursday,
    Friday,
    Saturday,
    Sunday,
}

impl Day {
    /// The same day in the date library.
    pub fn weekday(self) -> chrono::Weekday {
        use chrono::Weekday as W;
        [W::Mon, W::Tue, W::Wed, W::Thu, W::Fri, W::Sat, W::Sun][self as usize]
    }
}

/// Limits that replace a default of the tool.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Dose limits, by generic name of the agent.
    #[serde(default)]
    pub anaesthetic: BTreeMap<String, LocalDoseLimit>,
    /// HbA1c from which surgery needs a second look, mmol/mol.
    pub hba1c: Option<LocalNumber>,
    /// Minutes of tourniquet from which to look.
    pub tourniquet_minutes: Option<LocalNumber>,
}

/// A local dose limit.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalDoseLimit {
    /// Limit for body mass.
    pub per_kg: MilligramsPerKilogram,
    /// Limit whatever the mass.
    pub max: Milligrams,
    /// Why this clinic differs.
    pub because: String,
}

/// A local limit that is a whole number.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LocalNumber {
    /// The number, in the unit of the limit.
    #[schemars(range(min = 1, max = 500))]
    pub limit: u16,
    /// Why this clinic differs.
    pub because: String,
}
