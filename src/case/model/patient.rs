//! Who the patient is, who speaks for them, and their family doctor.

use crate::case::measured::Measured;
use crate::date::CivilDate;
use crate::text_value;
use crate::units::{BodyHeight, BodyMass, Centimetres, Kilograms, TextValue};
use schemars::JsonSchema;
use serde::Deserialize;

/// Who the patient is.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "patient"))]
pub struct Patient {
    /// `Ms`, `Mr`, `Dr` …
    pub title: Option<String>,
    /// Given name or names.
    pub given: String,
    /// Family name.
    pub family: String,
    /// The name the patient likes to be called by, if another.
    pub preferred: Option<String>,
    /// The name in the script of the patient's language, as the patient writes it, beside the Latin one:
    /// `陳美玲`.
    pub name_as_written: Option<String>,
    /// Date of birth.
    pub born: CivilDate,
    /// Sex, for ideal body weight and the banner.
    pub sex: Option<Sex>,
    /// Ten digits; the check digit is tested.
    pub nhs_number: Option<NhsNumberText>,
    /// Scotland: the ten digits of the CHI number; the first six are the date of birth.
    pub chi_number: Option<ChiNumberText>,
    /// Northern Ireland: the ten digits of the health and care number.
    pub hc_number: Option<HcNumberText>,
    /// Address, a line an item; or in one line with commas.
    #[serde(default)]
    #[schemars(extend("x-short-form" = "address"))]
    pub address: Vec<String>,
    /// Telephone.
    pub telephone: Option<String>,
    /// Body mass, measured: `68 kg`, `10 st 7 lb`.
    #[serde(default)]
    pub weight: Measured<BodyMass>,
    /// Height: `171 cm`, `5 ft 7 in`.
    #[serde(default)]
    pub height: Measured<BodyHeight>,
    /// What the patient needs from written and spoken information.
    #[serde(default)]
    pub needs: Vec<Need>,
    /// The language of the interpreter, where one is needed.
    pub language: Option<String>,
    /// The adult who is responsible for a patient under 18.
    pub guardian: Option<Guardian>,
    /// Daily life that matters for healing: work, school, sport, who is at home.
    pub daily_life: Option<String>,
}

impl Patient {
    /// Every name by which the patient can be known, the family name first.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let others = [self.preferred.as_deref(), self.name_as_written.as_deref()];
        [self.family.as_str(), self.given.as_str()].into_iter().chain(others.into_iter().flatten())
    }

    /// Body mass in kg, exact.
    pub fn mass(&self) -> Option<Kilograms> {
        self.weight.value().map(|mass| mass.metric)
    }

    /// Height in cm, exact.
    pub fn stature(&self) -> Option<Centimetres> {
        self.height.value().map(|height| height.metric)
    }
}

/// Sex as recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Sex {
    Female,
    Male,
    Other,
}

impl Sex {
    /// The word that the case file has for it.
    pub fn word(self) -> &'static str {
        match self {
            Sex::Female => "female",
            Sex::Male => "male",
            Sex::Other => "other",
        }
    }
}

/// What the patient needs from written and spoken information.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Need {
    #[serde(rename = "large print")]
    LargePrint,
    #[serde(rename = "easy read")]
    EasyRead,
    #[serde(rename = "interpreter")]
    Interpreter,
    #[serde(rename = "hearing")]
    Hearing,
    #[serde(rename = "carer present")]
    CarerPresent,
}

impl Need {
    /// The words of the case file.
    pub fn word(self) -> &'static str {
        match self {
            Need::LargePrint => "large print",
            Need::EasyRead => "easy read",
            Need::Interpreter => "interpreter",
            Need::Hearing => "hearing",
            Need::CarerPresent => "carer present",
        }
    }
}

/// The adult who is responsible for a patient under 18.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Guardian {
    /// Full name.
    pub name: String,
    /// `mother`, `father`, `legal guardian` …
    pub relationship: String,
    /// Whether this person has parental responsibility in law.
    pub parental_responsibility: Option<bool>,
    /// Whether a patient who decides for themselves agrees that this person is told: by a copy of the
    /// letter, and on the consent form.
    pub may_be_told: Option<bool>,
}

/// An NHS number as typed: ten digits, with or without spaces. Its check digit is a rule's business.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct NhsNumberText(pub String);

impl TextValue for NhsNumberText {
    const FORMAT: &'static str = "NHS number";
    const EXAMPLE: &'static str = "999 000 0018";
    const PATTERN: &'static str = "^[ -]*(?:[0-9][ -]*){10}$";
    fn written(&self) -> Option<String> {
        let (first, rest) = self.0.split_at(3);
        let (second, third) = rest.split_at(3);
        Some(format!("{first} {second} {third}"))
    }
    fn parse(text: &str) -> Result<Self, String> {
        ten_digits(text, Self::EXAMPLE).map(NhsNumberText)
    }
}

text_value!(NhsNumberText, "NHS number");

/// A CHI number as typed: ten digits, with or without spaces. Its date and check digit are a rule's business.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ChiNumberText(pub String);

impl TextValue for ChiNumberText {
    const FORMAT: &'static str = "CHI number";
    const EXAMPLE: &'static str = "010101 1237";
    fn parse(text: &str) -> Result<Self, String> {
        ten_digits(text, Self::EXAMPLE).map(ChiNumberText).map_err(|problem| {
            // A table of numbers drops it without a word.
            let is_short = text.chars().filter(char::is_ascii_digit).count() == 9;
            if is_short { format!("{problem}; has a nought at the front been lost?") } else { problem }
        })
    }
}

text_value!(ChiNumberText, "CHI number");

/// A health and care number as typed: ten digits, with or without spaces. Its check digit is a rule's business.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct HcNumberText(pub String);

impl TextValue for HcNumberText {
    const FORMAT: &'static str = "health and care number";
    const EXAMPLE: &'static str = "320 000 0015";
    fn parse(text: &str) -> Result<Self, String> {
        ten_digits(text, Self::EXAMPLE).map(HcNumberText)
    }
}

text_value!(HcNumberText, "health and care number");

fn ten_digits(text: &str, example: &str) -> Result<String, String> {
    let digits: String = text.chars().filter(|c| !matches!(c, ' ' | '-')).collect();
    if digits.len() == 10 && digits.bytes().all(|byte| byte.is_ascii_digit()) {
        Ok(digits)
    } else {
        Err(format!("`{text}` is not ten digits: write it like `{example}`"))
    }
}

/// The family doctor.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum GpEntry {
    /// A key of the clinic's address book.
    Key(String),
    /// The block itself.
    Block(Gp),
}

/// A general practice.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gp {
    /// The doctor, where one is named.
    pub name: Option<String>,
    /// How a letter greets the doctor, behind `Dear`: `Dr Patel`. Without it only a title with a family name is
    /// greeted by name.
    pub greeting: Option<String>,
    /// The practice.
    pub practice: String,
    /// Address, a line an item; at most six lines fit the envelope window.
    #[schemars(extend("x-short-form" = "address"))]
    pub address: Vec<String>,
    /// Telephone.
    pub telephone: Option<String>,
}
