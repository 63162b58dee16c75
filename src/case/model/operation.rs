//! What was done, given and checked on the day of surgery.

use crate::anatomy::{ByToe, Edge, Nail, Toe};
use crate::case::measured::Measured;
use crate::case::other_words::or_its_name;
use crate::date::{CivilDate, Expiry, TimeOfDay};
use crate::text_value;
use crate::units::{BloodPressure, Glucose, Millilitres, Needle, Percent, Pulse, Refill, Seconds, TextValue};
use schemars::{JsonSchema, Schema};
use serde::Deserialize;

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
#[schemars(extend("x-line" = "operation"))]
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
    /// Who supervised an operator in training: a key of the clinic's practitioners, or a name.
    pub supervised_by: Option<String>,
    /// Who answered the checks as a second person: a key of the clinic's practitioners, or a name.
    pub second_checker: Option<String>,
    /// A chaperone: whether one was offered, and who was there.
    pub chaperone: Option<Chaperone>,
    /// Blood pressure, pulse and capillary glucose, once or several times.
    pub observations: Option<OneOrMany<Observation>>,
    /// A sedative that was taken before, or `none`.
    pub sedative: Option<String>,
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
    /// `as protocol`: technique, skin preparation, lavage, dressing, urgency, antibiotics and VTE prophylaxis were
    /// those of the clinic's protocol. What is typed beside it counts instead.
    pub routine: Option<Routine>,
    /// Skin preparation, where it differs from the protocol.
    pub skin_preparation: Option<String>,
    /// What was done, toe by toe. A toe that was only injected or tied stands here with `nail: none`.
    #[serde(default)]
    pub toes: ByToe<OperatedToe>,
    /// Given up before it was done: why, and what happens now.
    pub abandoned: Option<Abandoned>,
    /// Planned toes that were not operated on, each with the reason.
    pub not_done: Option<ByToe<String>>,
    /// Aspiration before injecting: `negative each time`.
    pub aspiration: Option<String>,
    /// How it was seen that the toe is numb: `pinprick, no pain`.
    pub block_test: Option<String>,
    /// Who counted: a key of the clinic's practitioners, or a name.
    pub counted_by: Option<String>,
    /// That and how bleeding had stopped: `dry after 5 min of pressure`.
    pub haemostasis: Option<String>,
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
    /// A swab or tissue that was sent, who acts on the result, and the result once it is there.
    #[serde(default)]
    pub samples: Vec<Sample>,
    /// Photographs that were taken: `before and after, L1`, or `none`.
    pub photographs: Option<String>,
    /// The dressing, where it differs from the protocol: words, or a key of the clinic's `supplies`.
    pub dressing: Option<String>,
    /// The packs of the dressing, each with its batch and expiry.
    #[serde(default)]
    pub dressing_packs: Vec<DressingPack>,
    /// How the patient was at the end, and who went home with them.
    pub discharge: Option<String>,
    /// When the patient left, with whom, and what they were told and given.
    pub leaving: Option<Leaving>,
    /// Where the note was not written on the day: when, why and from what.
    pub late_entry: Option<LateEntry>,
    /// Times that were taken from the clock and corrected by hand, each with both times. The desk writes them.
    #[serde(default)]
    pub times_corrected: Vec<String>,
    /// Anything else, in words.
    pub note: Option<String>,
}

impl Operation {
    /// The toes of which nail was removed, right first.
    pub fn operated(&self) -> impl Iterator<Item = (Toe, Operated<'_>)> {
        self.toes
            .iter()
            .filter_map(|(toe, done)| Some((toe, Operated { nail: done.nail.nail()?, toe: done })))
    }

    /// Nothing was removed from any toe.
    pub fn is_given_up(&self) -> bool {
        self.operated().next().is_none()
    }
}

/// A toe of which nail was removed: how much, and all else that is recorded of it.
#[derive(Debug, Clone, Copy)]
pub struct Operated<'a> {
    /// How much of the nail.
    pub nail: Nail,
    toe: &'a OperatedToe,
}

impl<'a> Operated<'a> {
    /// The edges of a partial avulsion, for as long as the case is there.
    pub fn edges(self) -> &'a [Edge] {
        &self.toe.edges
    }
}

impl std::ops::Deref for Operated<'_> {
    type Target = OperatedToe;
    fn deref(&self) -> &OperatedToe {
        self.toe
    }
}

/// Whether a chaperone was offered, and who was there.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Chaperone {
    /// One was offered.
    pub offered: Option<bool>,
    /// The patient wanted none.
    pub declined: Option<bool>,
    /// Who it was: a key of the clinic's practitioners, or a name with what they are: `M. Reed, assistant`.
    pub who: Option<String>,
}

/// What was measured on the day, at one time.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Observation {
    /// When.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
    /// Systolic / diastolic, in mmHg.
    #[serde(default)]
    pub blood_pressure: Measured<BloodPressure>,
    /// Beats a minute.
    #[serde(default)]
    pub pulse: Measured<Pulse>,
    /// Glucose of capillary blood.
    #[serde(default)]
    pub glucose: Measured<Glucose>,
    /// Anything else that was seen: `pale, lay down for ten minutes`.
    pub note: Option<String>,
}

/// A swab or tissue that was sent.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sample {
    /// What it is, of which toe and for what: `nail bed of L1, for histology`.
    pub what: String,
    /// The laboratory's number, or where it was sent.
    pub lab: Option<String>,
    /// Who acts on the result: a key of the clinic's practitioners, or a name.
    pub acts: Option<String>,
    /// The result, once it is there.
    pub result: Option<String>,
}

/// A pack of which the dressing was made.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DressingPack {
    /// The key of the box in the clinic's `supplies`.
    pub supply: Option<String>,
    /// What it is: `calcium alginate`.
    pub item: String,
    /// Batch or lot number.
    #[serde(default)]
    pub batch: Measured<String>,
    /// Expiry.
    #[serde(default)]
    pub expires: Measured<Expiry>,
}

/// How the patient left; in what state is said under `discharge`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leaving {
    /// When.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
    /// Who went with them: `her sister`, `nobody`.
    pub with: Option<String>,
    /// What they were told by word of mouth.
    pub told: Option<String>,
    /// The leaflet that was handed over.
    pub leaflet: Option<String>,
    /// Who handed it over: a key of the clinic's practitioners, or a name.
    pub leaflet_by: Option<String>,
}

/// An operation that was given up.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Abandoned {
    /// Why.
    pub because: String,
    /// When.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
    /// What happens now, as it was agreed with the patient, in words for both the patient and the practice.
    pub next: Option<String>,
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

/// The one word for what the clinic does the same way with everybody. It is never more than that: no
/// observation, time, volume, edge, check, consent or complication.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
pub enum Routine {
    /// As the protocol of the clinic file says.
    #[serde(rename = "as protocol")]
    AsProtocol,
}

/// A local anaesthetic, as supplied: a block, or a key of the clinic's `supplies`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(transform = |schema: &mut Schema| or_its_name(schema, "supply"))]
pub struct Anaesthetic {
    /// A key of the clinic's `supplies`: what is not typed here comes from there.
    pub supply: Option<String>,
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
    /// The needle: gauge, and length in mm.
    #[serde(default)]
    pub needle: Measured<Needle>,
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

impl AdrenalineRatio {
    /// `1 in 200,000`, for paper.
    pub fn in_words(self) -> String {
        let digits = self.0.to_string();
        let mut out = String::from("1 in ");
        for (at, digit) in digits.chars().enumerate() {
            if at > 0 && (digits.len() - at).is_multiple_of(3) {
                out.push(',');
            }
            out.push(digit);
        }
        out
    }
}

impl TextValue for AdrenalineRatio {
    const FORMAT: &'static str = "adrenaline ratio";
    const EXAMPLE: &'static str = "1:200000";
    const PATTERN: &'static str = "^ *1 *: *[0-9 ,]+$";
    const IS_QUOTED: bool = true;
    fn written(&self) -> Option<String> {
        Some(format!("1:{}", self.0))
    }
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

/// The phenol, as supplied: a block, or a key of the clinic's `supplies`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(transform = |schema: &mut Schema| or_its_name(schema, "supply"))]
pub struct PhenolSupply {
    /// A key of the clinic's `supplies`: what is not typed here comes from there.
    pub supply: Option<String>,
    /// The strength on the label.
    pub strength: Percent,
    /// What it came in.
    pub form: Option<PhenolForm>,
    /// The product, as its label names it.
    pub product: Option<String>,
    /// Who made it.
    pub manufacturer: Option<String>,
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
#[schemars(extend("x-line" = "instruments"))]
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
#[schemars(extend("x-line" = "checks"))]
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
    /// Just before the needle: side and toe said aloud and looked at once more.
    pub stop_before_block: Option<bool>,
    /// Resuscitation kit and oxygen to hand and looked at.
    pub resuscitation: Option<bool>,
    /// Adrenaline for anaphylaxis to hand and in date.
    pub adrenaline: Option<bool>,
}

/// How much of a nail was removed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Removed {
    /// Part of it.
    Partial,
    /// All of it.
    Total,
    /// Nothing: the operation was given up before.
    None,
}

impl Removed {
    /// The part that was removed; `None` if nothing was.
    pub fn nail(self) -> Option<Nail> {
        match self {
            Removed::Partial => Some(Nail::Partial),
            Removed::Total => Some(Nail::Total),
            Removed::None => None,
        }
    }
}

/// What was done to one toe.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "operated toe"))]
pub struct OperatedToe {
    /// Partial or total avulsion; `none` if the operation was given up before.
    pub nail: Removed,
    /// The edges, for a partial avulsion.
    #[serde(default)]
    pub edges: Vec<Edge>,
    /// The patient's agreement on the day, where more was done than planned.
    pub agreed_on_day: Option<String>,
    /// Two agents were mixed in one syringe; `false` where they were given one after the other.
    pub mixed: Option<bool>,
    /// Volume injected; a list for several agents or top-ups, or `2.2 ml at 9.35 + 0.6 ml at 10.05`.
    #[serde(default)]
    #[schemars(extend("x-short-form" = "injected"))]
    pub injected: Measured<Injected>,
    /// The needle went through skin that was infected.
    pub through_infected_skin: Option<bool>,
    /// When it was injected.
    #[serde(default)]
    pub at: Measured<TimeOfDay>,
    /// Where the needle went in, side by side: `base, medial and lateral, from the back of the toe`.
    pub injection_site: Option<String>,
    /// When the toe was tested and numb.
    #[serde(default)]
    pub numb_at: Measured<TimeOfDay>,
    /// When feeling was back, as the patient reports it.
    pub feeling_back: Option<FeelingBack>,
    /// What the skin was protected with against phenol, or `none`.
    pub skin_protection: Option<String>,
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
    /// Capillary refill after the tourniquet came off: `2 s`, `<3 s`.
    #[serde(default)]
    pub refill: Measured<Refill>,
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
    /// Where: `lateral side of the base`.
    pub site: Option<String>,
}

/// When feeling was back.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FeelingBack {
    /// The day, where it is not that of surgery.
    pub on: Option<CivilDate>,
    /// At what time.
    pub at: Measured<TimeOfDay>,
}

impl OperatedToe {
    /// Every injection into this toe, with the path step below the toe. A volume that is said not to be
    /// recorded is an injection too: nobody may take the toe for one that was not injected.
    pub fn injections(&self) -> Vec<(String, Injection)> {
        let one = |volume| {
            vec![("injected".to_owned(), Injection { agent: None, volume, at: self.at.clone(), site: None })]
        };
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

/// A tourniquet on one toe, or `9.50 to 10.01`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[schemars(extend("x-short-form" = "tourniquet"))]
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

/// Phenol on one toe, or `3 x 60 s`.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[schemars(extend("x-short-form" = "phenol"))]
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strength_of_adrenaline_has_no_sign() {
        assert_eq!(AdrenalineRatio::parse("1:200,000"), Ok(AdrenalineRatio(200_000)));
        for (parts, words) in
            [(80_000, "1 in 80,000"), (200_000, "1 in 200,000"), (1_000_000, "1 in 1,000,000")]
        {
            assert_eq!(AdrenalineRatio(parts).in_words(), words);
        }
        assert!(AdrenalineRatio::parse("1:+200000").is_err());
    }

    /// What stands for seven answers is not to be had by a slip of the pen.
    #[test]
    fn the_routine_is_typed_in_its_own_words_or_refused() {
        let reads = |typed: &str| {
            let line = format!("  routine: {typed}\n  complications: none\n");
            let text = crate::rules::example::BASE_CASE.replace("  complications: none\n", &line);
            let source = crate::diagnostic::SourceText::new("case.yaml", text);
            crate::case::read_case(source.into()).value.is_some()
        };
        assert!(reads("as protocol") && reads("As protocol"));
        for wrong in ["as the protocol", "protocol", "yes", "true", "[as protocol]"] {
            assert!(!reads(wrong), "{wrong}");
        }
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
}
