//! The case file as typed data. Plain: what was written, nothing worked out, nothing defaulted.
//!
//! The JSON Schema made from these types is also what the reader checks a file against, so a doc
//! comment here is what an editor shows and a key that is not here is an unknown key.

use std::fmt;

use schemars::{JsonSchema, Schema};
use serde::Deserialize;

use crate::case::clinic::UsualAgent;
use crate::case::incident::Incident;
use crate::case::measured::Measured;
use crate::case::nothing::none_or_list;
use crate::case::other_words::or_its_name;
use crate::case::toe::{ByToe, Edge};
use crate::date::{CivilDate, Expiry, TimeOfDay};
use crate::text_value;
use crate::units::{
    Centimetres, Hba1c, Kilograms, Millilitres, Mmhg, Percent, Seconds, SitesFelt, TextValue,
};

/// One patient's nail surgery, from assessment to follow-up.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// The clinic's reference for this case: capitals, digits and hyphens. Names the output folder.
    pub reference: Reference,
    /// Who the patient is.
    pub patient: Patient,
    /// The family doctor: a key of the clinic's address book, or the block itself.
    pub gp: Option<GpEntry>,
    /// Conditions, medicines and allergies.
    pub history: Option<History>,
    /// What the patient came with.
    pub problem: Option<Problem>,
    /// Circulation of both feet.
    pub vascular: Option<Vascular>,
    /// 10 g monofilament sites felt / tested.
    pub sensation: Option<Sensation>,
    /// What is planned, toe by toe.
    pub plan: Option<ByToe<PlannedToe>>,
    /// The anaesthetic that is planned, where it differs from the clinic's protocol.
    pub planned_anaesthetic: Option<UsualAgent>,
    /// The patient's consent.
    pub consent: Option<Consent>,
    /// What was done.
    pub operation: Option<Operation>,
    /// Cautions answered, each with a reason and a name.
    #[serde(default)]
    pub accepted: Vec<Accepted>,
    /// What went wrong, each as it really happened.
    #[serde(default)]
    pub incidents: Vec<Incident>,
    /// Visits and dressing after surgery, where they differ from the clinic's protocol.
    pub follow_up: Option<FollowUp>,
    /// Later visits.
    #[serde(default)]
    pub reviews: Vec<Review>,
    /// Why the documents are issued again.
    pub amendment: Option<String>,
}

impl Case {
    /// The toes that are affected, as assessed; `None` if nobody wrote it down.
    pub fn affected(&self) -> Option<&ByToe<AffectedToe>> {
        self.problem.as_ref()?.toes.as_ref()
    }
}

/// The clinic's reference for a case. Safe as a folder name on every system.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reference(String);

impl Reference {
    /// The reference as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Reference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl TextValue for Reference {
    const FORMAT: &'static str = "case reference";
    const EXAMPLE: &'static str = "LFC-0117";
    fn parse(text: &str) -> Result<Self, String> {
        let is_allowed = |byte: u8| byte.is_ascii_uppercase() || byte.is_ascii_digit() || byte == b'-';
        if (2..=32).contains(&text.len())
            && text.bytes().all(is_allowed)
            && !text.starts_with('-')
            && !text.ends_with('-')
        {
            Ok(Reference(text.to_owned()))
        } else {
            Err(format!(
                "`{text}` cannot be a reference: write 2 to 32 capitals, digits and hyphens, like `LFC-0117`"
            ))
        }
    }
}

text_value!(Reference, "case reference");

/// Who the patient is.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Patient {
    /// `Ms`, `Mr`, `Dr` …
    pub title: Option<String>,
    /// Given name or names.
    pub given: String,
    /// Family name.
    pub family: String,
    /// The name the patient likes to be called by, if another.
    pub preferred: Option<String>,
    /// Date of birth.
    pub born: CivilDate,
    /// Sex, for ideal body weight and the banner.
    pub sex: Option<Sex>,
    /// Ten digits; the check digit is tested.
    pub nhs_number: Option<NhsNumberText>,
    /// Address, a line an item.
    #[serde(default)]
    pub address: Vec<String>,
    /// Telephone.
    pub telephone: Option<String>,
    /// Body mass, measured.
    #[serde(default)]
    pub weight: Measured<Kilograms>,
    /// Height.
    #[serde(default)]
    pub height: Measured<Centimetres>,
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

/// Sex as recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Sex {
    Female,
    Male,
    Other,
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
    fn parse(text: &str) -> Result<Self, String> {
        let digits: String = text.chars().filter(|c| !matches!(c, ' ' | '-')).collect();
        if digits.len() == 10 && digits.bytes().all(|byte| byte.is_ascii_digit()) {
            Ok(NhsNumberText(digits))
        } else {
            Err(format!("`{text}` is not ten digits: write it like `999 000 0018`"))
        }
    }
}

text_value!(NhsNumberText, "NHS number");

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
    /// The practice.
    pub practice: String,
    /// Address, a line an item; at most six lines fit the envelope window.
    pub address: Vec<String>,
    /// Telephone.
    pub telephone: Option<String>,
}

/// Conditions, medicines and allergies.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
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
    /// Smokes now.
    pub smoker: Option<bool>,
    /// Pregnant now.
    pub pregnant: Option<bool>,
    /// Breastfeeding now.
    pub breastfeeding: Option<bool>,
    /// Any other local anaesthetic in the 24 hours before surgery: `none`, or the block.
    pub other_anaesthetic_24h: Option<OtherAnaestheticEntry>,
    /// Frail, in the practitioner's judgement.
    pub frail: Option<bool>,
    /// Foot disease, now or earlier, that sets the foot risk; an empty list says that there is none.
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

/// `none`, or what is known of the diabetes.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
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

/// The words `none known`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum NoneKnown {
    #[serde(rename = "none known")]
    NoneKnown,
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

/// How much of the nail is removed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Nail {
    Partial,
    Total,
}

impl Nail {
    /// `partial` or `total`.
    pub fn word(self) -> &'static str {
        match self {
            Nail::Partial => "partial",
            Nail::Total => "total",
        }
    }
}

/// What is done to the matrix so that the nail does not grow back there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Matrix {
    Phenol,
    None,
}

/// What is planned for one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedToe {
    /// Partial or total avulsion.
    pub nail: Nail,
    /// The edges, for a partial avulsion.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// Phenol, or none.
    pub matrix: Matrix,
}

/// The patient's consent.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
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
    /// The leaflet that was given.
    pub leaflet: Option<String>,
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

/// One or several of something.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum OneOrMany<T> {
    /// A single block.
    One(T),
    /// A list of blocks.
    Many(Vec<T>),
}

impl<T> OneOrMany<T> {
    /// All of them, with the path step from the key: `""` for a single block, `[1]` in a list.
    pub fn all(&self) -> Vec<(String, &T)> {
        match self {
            OneOrMany::One(one) => vec![(String::new(), one)],
            OneOrMany::Many(many) => {
                many.iter().enumerate().map(|(at, one)| (format!("[{at}]"), one)).collect()
            }
        }
    }
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Operation {
    /// The day of surgery.
    pub date: CivilDate,
    /// When it began.
    #[serde(default)]
    pub start: Measured<TimeOfDay>,
    /// When it ended.
    #[serde(default)]
    pub finish: Measured<TimeOfDay>,
    /// Who operated: a key of the clinic's practitioners; otherwise the clinic's only one.
    pub operator: Option<String>,
    /// Who assisted.
    pub assistant: Option<String>,
    /// The local anaesthetic, or several.
    pub anaesthetic: Option<OneOrMany<Anaesthetic>>,
    /// By what authority the anaesthetic was given: `exemption`, `own prescription`, or a direction.
    pub authority: Option<AuthorityEntry>,
    /// The phenol.
    pub phenol: Option<PhenolSupply>,
    /// The instruments.
    #[serde(default)]
    pub instruments: Measured<Instruments>,
    /// Checks before the start.
    pub checks: Option<Checks>,
    /// What was done, toe by toe.
    pub toes: ByToe<OperatedToe>,
    /// Planned toes that were not operated on, each with the reason.
    pub not_done: Option<ByToe<String>>,
    /// Findings at operation.
    pub findings: Option<String>,
    /// `none`, or what happened.
    pub complications: Option<String>,
    /// Elective or emergency.
    pub urgency: Option<Urgency>,
    /// Blood loss, in words or ml.
    pub blood_loss: Option<String>,
    /// Antibiotic prophylaxis given, or `none`.
    pub antibiotics: Option<String>,
    /// Prophylaxis against venous thrombosis, or `none`.
    pub vte_prophylaxis: Option<String>,
    /// Specimens sent, or `none`.
    pub specimens: Option<String>,
    /// The dressing, where it differs from the protocol.
    pub dressing: Option<String>,
    /// How the patient was at the end, and who went home with them.
    pub discharge: Option<String>,
    /// Where the note was not written on the day: when, why and from what.
    pub late_entry: Option<LateEntry>,
    /// Anything else, in words.
    pub note: Option<String>,
}

/// An entry that was written after the event.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LateEntry {
    /// The day on which it was written.
    pub written: CivilDate,
    /// At what time.
    pub at: Option<TimeOfDay>,
    /// Who wrote it.
    pub by: String,
    /// Why it was not written at once.
    pub because: String,
    /// What it was written from: `notes on paper`, `memory`.
    pub from: Option<String>,
}

/// Elective or emergency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Urgency {
    Elective,
    Emergency,
}

/// A local anaesthetic, as supplied.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Anaesthetic {
    /// The generic name.
    pub agent: String,
    /// The strength on the label.
    pub strength: Percent,
    /// Adrenaline in the solution, as on the label: `1:200000`.
    pub adrenaline: Option<AdrenalineRatio>,
    /// Batch or lot number.
    #[serde(default)]
    pub batch: Measured<String>,
    /// Expiry.
    #[serde(default)]
    pub expires: Measured<Expiry>,
    /// Technique, where it differs from the protocol.
    pub technique: Option<String>,
    /// Who injected, if not the operator.
    pub given_by: Option<String>,
    /// By what authority, where it is not that of the operation.
    pub authority: Option<AuthorityEntry>,
}

/// By what authority a prescription-only medicine was given: in one line, or as a block.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum AuthorityEntry {
    /// In one line.
    Short(AuthorityText),
    /// As a block.
    Block(AuthorityBlock),
}

/// The authority and what makes it one.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AuthorityBlock {
    /// Which.
    pub under: AuthorityKind,
    /// Title, version or number of a patient group direction.
    pub title: Option<String>,
    /// Who directed, or the doctor of the clinical management plan.
    pub by: Option<String>,
    /// The profession of the one who directed.
    pub profession: Option<String>,
    /// The day of the direction or of the plan.
    pub on: Option<CivilDate>,
    /// The last day of a patient group direction.
    pub until: Option<CivilDate>,
}

/// By what authority.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum AuthorityKind {
    #[serde(rename = "exemption")]
    Exemption,
    #[serde(rename = "own prescription")]
    OwnPrescription,
    #[serde(rename = "patient group direction")]
    PatientGroupDirection,
    #[serde(rename = "patient-specific direction")]
    PatientSpecificDirection,
    #[serde(rename = "supplementary prescribing")]
    SupplementaryPrescribing,
}

/// An authority in one line: `exemption`, `own prescription`, `patient group direction NS-3, until
/// 2027-03-31`, `patient-specific direction by Dr A. Fenwright, 2026-11-20`, `supplementary prescribing
/// with Dr A. Fenwright, 2026-10-01`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AuthorityText(pub AuthorityBlock);

impl TextValue for AuthorityText {
    const FORMAT: &'static str = "authority";
    const EXAMPLE: &'static str = "exemption";
    fn parse(text: &str) -> Result<Self, String> {
        use AuthorityKind as Kind;
        const FORMS: [(&str, AuthorityKind); 5] = [
            ("exemption", Kind::Exemption),
            ("own prescription", Kind::OwnPrescription),
            ("patient group direction", Kind::PatientGroupDirection),
            ("patient-specific direction by", Kind::PatientSpecificDirection),
            ("supplementary prescribing with", Kind::SupplementaryPrescribing),
        ];
        let refused = || {
            format!(
                "`{text}` is not an authority: write `exemption`, `own prescription`, `patient group direction \
                 NS-3, until 2027-03-31`, `patient-specific direction by Dr A. Fenwright, 2026-11-20` or \
                 `supplementary prescribing with Dr A. Fenwright, 2026-10-01`"
            )
        };
        let typed = text.trim();
        let (under, rest) = FORMS
            .iter()
            .find_map(|(form, kind)| Some((*kind, typed.strip_prefix(form)?)))
            .filter(|(_, rest)| rest.is_empty() || rest.starts_with([' ', ',']))
            .ok_or_else(refused)?;
        let (words, day) = match rest.rsplit_once(',') {
            Some((words, day)) => (words.trim(), Some(day.trim())),
            None => (rest.trim(), None),
        };
        let words = (!words.is_empty()).then(|| words.to_owned());
        let mut block =
            AuthorityBlock { under, title: None, by: None, profession: None, on: None, until: None };
        match under {
            Kind::Exemption | Kind::OwnPrescription if words.is_none() && day.is_none() => {}
            Kind::Exemption | Kind::OwnPrescription => return Err(refused()),
            Kind::PatientGroupDirection => {
                block.title = words;
                let until = day.map(|day| day.strip_prefix("until ").ok_or_else(refused));
                block.until = until.transpose()?.map(|day| CivilDate::parse(day.trim())).transpose()?;
            }
            Kind::PatientSpecificDirection | Kind::SupplementaryPrescribing => {
                block.by = words;
                block.on = day.map(CivilDate::parse).transpose()?;
            }
        }
        Ok(AuthorityText(block))
    }
}

text_value!(AuthorityText, "authority");

/// One part of adrenaline in so many: `1:200000`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct AdrenalineRatio(pub u32);

impl TextValue for AdrenalineRatio {
    const FORMAT: &'static str = "adrenaline ratio";
    const EXAMPLE: &'static str = "1:200000";
    fn parse(text: &str) -> Result<Self, String> {
        let digits: String = text.chars().filter(|c| !c.is_whitespace() && *c != ',').collect();
        digits
            .strip_prefix("1:")
            // A number of Rust may have a sign in front, a strength of adrenaline not.
            .filter(|parts| parts.bytes().all(|byte| byte.is_ascii_digit()))
            .and_then(|parts| parts.parse().ok())
            .filter(|parts| (10_000..=1_000_000).contains(parts))
            .map(AdrenalineRatio)
            .ok_or_else(|| {
                format!(
                    "`{text}` is not a strength of adrenaline: write it like `1:200000`, in quotation marks"
                )
            })
    }
}

text_value!(AdrenalineRatio, "adrenaline ratio");

/// What the phenol came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum PhenolForm {
    #[serde(rename = "single-use applicator")]
    SingleUseApplicator,
    #[serde(rename = "single-use swab")]
    SingleUseSwab,
    #[serde(rename = "bottle")]
    Bottle,
}

impl PhenolForm {
    /// The words of the case file.
    pub fn word(self) -> &'static str {
        match self {
            PhenolForm::SingleUseApplicator => "single-use applicator",
            PhenolForm::SingleUseSwab => "single-use swab",
            PhenolForm::Bottle => "bottle",
        }
    }
}

/// The phenol, as supplied.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PhenolSupply {
    /// The strength on the label.
    pub strength: Percent,
    /// What it came in.
    pub form: Option<PhenolForm>,
    /// Batch or lot number.
    #[serde(default)]
    pub batch: Measured<String>,
    /// Expiry.
    #[serde(default)]
    pub expires: Measured<Expiry>,
}

/// The instruments.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instruments {
    /// Tray or pack number.
    pub tray: Option<String>,
    /// Steriliser cycle.
    pub cycle: Option<String>,
    /// Single-use pack: its lot.
    pub single_use_lot: Option<String>,
}

/// Checks before and after.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Checks {
    /// Identity, procedure and consent confirmed with the patient.
    pub identity: Option<bool>,
    /// Toe marked and confirmed with the patient.
    pub site_marked: Option<bool>,
    /// Allergies asked again.
    pub allergies: Option<bool>,
    /// Instruments, sharps and swabs counted complete.
    pub counted: Option<bool>,
    /// Tourniquet seen off the toe before dressing.
    pub tourniquet_off: Option<bool>,
}

/// What was done to one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OperatedToe {
    /// Partial or total avulsion.
    pub nail: Nail,
    /// The edges, for a partial avulsion.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// The patient's agreement on the day, where more was done than planned.
    pub agreed_on_day: Option<String>,
    /// Two agents were mixed in one syringe; `false` where they were given one after the other.
    pub mixed: Option<bool>,
    /// Volume injected; a list for several agents or top-ups.
    #[serde(default)]
    pub injected: Measured<Injected>,
    /// The needle went through skin that was infected.
    pub through_infected_skin: Option<bool>,
    /// When it was injected.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
    /// The tourniquet.
    pub tourniquet: Option<Tourniquet>,
    /// The phenol.
    pub phenol: Option<PhenolUse>,
    /// What the groove was washed with.
    pub lavage: Option<String>,
    /// The visible end point of the phenol, as seen.
    pub end_point: Option<String>,
    /// Phenol beyond the groove: `none`, or what was done.
    pub overspill: Option<String>,
    /// The groove was looked at and no nail was left.
    pub groove_clear: Option<bool>,
    /// Capillary refill after the tourniquet came off.
    #[serde(default)]
    pub refill: Measured<Seconds>,
    /// Findings at this toe.
    pub findings: Option<String>,
}

/// A volume, or a list of injections.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Injected {
    /// One injection.
    Volume(Millilitres),
    /// Several.
    Each(Vec<Injection>),
}

/// One injection.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Injection {
    /// The agent, where the operation used several.
    pub agent: Option<String>,
    /// Volume.
    pub volume: Measured<Millilitres>,
    /// When.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
}

impl OperatedToe {
    /// Every injection into this toe, with the path step below the toe. A volume that is said not to be
    /// recorded is an injection too: nobody may take the toe for one that was not injected.
    pub fn injections(&self) -> Vec<(String, Injection)> {
        let one =
            |volume| vec![("injected".to_owned(), Injection { agent: None, volume, at: self.at.clone() })];
        match &self.injected {
            Measured::Missing => Vec::new(),
            Measured::NotRecorded(reason) => one(Measured::NotRecorded(reason.clone())),
            Measured::Value(Injected::Volume(volume)) => one(Measured::Value(*volume)),
            Measured::Value(Injected::Each(each)) => each
                .iter()
                .enumerate()
                .map(|(at, injection)| {
                    let injection = Injection { at: injection.at.or(&self.at), ..injection.clone() };
                    (format!("injected[{at}]"), injection)
                })
                .collect(),
        }
    }
}

/// A tourniquet on one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tourniquet {
    /// When it went on.
    pub on: Measured<TimeOfDay>,
    /// When it came off.
    #[serde(default)]
    pub off: Measured<TimeOfDay>,
    /// What it was.
    #[serde(rename = "type")]
    pub kind: Option<String>,
}

/// Where the applications went, in a toe of which both edges were treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum PhenolOn {
    #[serde(rename = "each edge")]
    EachEdge,
    #[serde(rename = "both edges together")]
    BothTogether,
}

/// Phenol on one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PhenolUse {
    /// How many applications.
    pub applications: Measured<Applications>,
    /// How long each.
    pub each: Measured<Seconds>,
    /// On each edge so many, or on both edges together; where both edges were treated.
    pub on: Option<PhenolOn>,
}

/// A number of applications.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
pub struct Applications(#[schemars(range(min = 1, max = 20))] pub u8);

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
    /// What was agreed with the patient for pain, in words that the patient reads: `codeine, as your GP said`.
    pub pain_relief: Option<String>,
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

#[cfg(test)]
mod tests {
    use super::*;

    fn inr(value: &str) -> Option<String> {
        let text = format!("{{value: {value}, tested: 2026-11-23}}");
        serde_yaml::from_str::<Inr>(&text).ok().map(|inr| inr.value.to_string())
    }

    #[test]
    fn a_strength_of_adrenaline_has_no_sign() {
        assert_eq!(AdrenalineRatio::parse("1:200,000"), Ok(AdrenalineRatio(200_000)));
        assert!(AdrenalineRatio::parse("1:+200000").is_err());
    }

    #[test]
    fn an_authority_is_read_in_one_line() {
        let read = |text: &str| AuthorityText::parse(text).map(|authority| authority.0);
        assert_eq!(read("exemption").map(|block| block.under), Ok(AuthorityKind::Exemption));
        let direction =
            read("patient group direction NS-3, version 2, until 2027-03-31").expect("a direction");
        assert_eq!(direction.title.as_deref(), Some("NS-3, version 2"));
        assert_eq!(direction.until.map(|until| until.to_string()).as_deref(), Some("2027-03-31"));
        let direction = read("patient-specific direction by Dr A. Fenwright").expect("a direction");
        assert_eq!((direction.by.as_deref(), direction.on), (Some("Dr A. Fenwright"), None));
        let plan = read("supplementary prescribing with Dr A. Fenwright, 2026-10-01").expect("a plan");
        assert_eq!(plan.on.map(|on| on.to_string()).as_deref(), Some("2026-10-01"));
        for wrong in [
            "none",
            "exemptions",
            "exemption by me",
            "own prescription, 2026-10-01",
            "patient group direction NS-3, 2027-03-31",
            "patient-specific direction by Dr A. Fenwright, last week",
        ] {
            assert!(AuthorityText::parse(wrong).is_err(), "{wrong}");
        }
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
