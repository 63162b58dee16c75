//! What follows surgery: what is booked, each visit as it was, and the end of the course of care.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{NoneWord, Reference};
use crate::anatomy::ByToe;
use crate::case::measured::Measured;
use crate::date::{CivilDate, TimeOfDay};
use crate::text_value;
use crate::units::{Millimetres, PainScore, TextValue};

/// Follow-up, where it differs from the clinic's protocol.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "follow-up"))]
pub struct FollowUp {
    /// The first redressing.
    pub first_redressing: Option<CivilDate>,
    /// At what time, if it is booked.
    pub at: Option<TimeOfDay>,
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

/// A visit after surgery, as it was.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "visit"))]
pub struct Visit {
    /// The day.
    pub on: CivilDate,
    /// At what time.
    pub at: Option<TimeOfDay>,
    /// Who saw the patient: a key of the clinic's practitioners, or a name.
    pub by: Option<String>,
    /// What kind of visit it was: redressing, review, unplanned, telephone or missed.
    pub kind: VisitKind,
    /// What was seen, toe by toe.
    pub toes: Option<ByToe<SeenToe>>,
    /// The patient was hot, shivery or otherwise unwell.
    pub unwell: Option<bool>,
    /// A swab that was sent, and who acts on its result.
    pub swab: Option<Swab>,
    /// An antibiotic that was started or asked for.
    pub antibiotic: Option<Antibiotic>,
    /// The dressing that was put on.
    pub dressing: Option<String>,
    /// What was taught, and to whom.
    pub taught: Option<String>,
    /// What the patient was told to do and to look out for.
    pub told: Option<String>,
    /// To whom the patient was referred, and why.
    pub referred: Option<String>,
    /// What the practice is asked to do, or `none`.
    pub gp_actions: Option<GpActions>,
    /// Anything else.
    pub note: Option<String>,
    /// The next visit, as booked.
    pub next: Option<NextVisit>,
}

/// What kind of visit it was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum VisitKind {
    /// The dressing was changed.
    Redressing,
    /// A planned look at the toe.
    Review,
    /// The patient came without an appointment, or was asked in.
    Unplanned,
    /// On the telephone: nothing was seen.
    Telephone,
    /// The patient did not come.
    Missed,
}

impl VisitKind {
    /// `redressing`, `review`, `unplanned`, `telephone`, `missed`.
    pub fn word(self) -> &'static str {
        match self {
            VisitKind::Redressing => "redressing",
            VisitKind::Review => "review",
            VisitKind::Unplanned => "unplanned",
            VisitKind::Telephone => "telephone",
            VisitKind::Missed => "missed",
        }
    }

    /// True if somebody of the clinic looked at the toe.
    pub fn is_seen(self) -> bool {
        matches!(self, VisitKind::Redressing | VisitKind::Review | VisitKind::Unplanned)
    }
}

/// What was seen of one toe.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "seen toe"))]
pub struct SeenToe {
    /// The wound in a few words: dry, weeping clear, pus.
    pub wound: Option<String>,
    /// How far redness reaches from the edge of the wound.
    #[serde(default)]
    pub redness: Measured<Millimetres>,
    /// The edge of the redness was drawn round.
    pub drawn_round: Option<bool>,
    /// Pain as the patient says it, of ten: `2/10`.
    #[serde(default)]
    pub pain: Measured<PainScore>,
    /// Signs of infection that were seen; `[]` if they were looked for and there were none.
    pub signs: Option<Vec<InfectionSign>>,
    /// Infected, in the judgement of whoever saw it.
    pub infected: Option<bool>,
    /// The skin around was burnt by phenol.
    pub burn: Option<bool>,
    /// Healed: dry, closed, no dressing needed.
    pub healed: Option<bool>,
    /// The day on which it was healed, as the patient reports it, where that is earlier than this visit.
    pub healed_on: Option<CivilDate>,
    /// Nail that has come back at the treated edge or root: none, a spike, or nail.
    pub regrowth: Option<Regrowth>,
    /// What has come back hurts, or has been inflamed.
    pub regrowth_hurts: Option<bool>,
    /// Anything else about this toe.
    pub note: Option<String>,
}

/// A sign of infection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum InfectionSign {
    Pus,
    Pain,
    Swelling,
    Redness,
    Heat,
    Smell,
}

impl InfectionSign {
    /// `pus`, `pain`, `swelling` …
    pub fn word(self) -> &'static str {
        match self {
            InfectionSign::Pus => "pus",
            InfectionSign::Pain => "pain",
            InfectionSign::Swelling => "swelling",
            InfectionSign::Redness => "redness",
            InfectionSign::Heat => "heat",
            InfectionSign::Smell => "smell",
        }
    }
}

/// Nail that has come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Regrowth {
    /// Looked for and not there.
    None,
    /// A spike at the treated edge.
    Spike,
    /// Nail along the treated edge, or of the whole plate.
    Nail,
}

impl Regrowth {
    /// `none`, `spike`, `nail`.
    pub fn word(self) -> &'static str {
        match self {
            Regrowth::None => "none",
            Regrowth::Spike => "spike",
            Regrowth::Nail => "nail",
        }
    }
}

/// A swab that was sent.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Swab {
    /// The laboratory's number, or where it was sent.
    pub lab: Option<String>,
    /// Who acts on the result.
    pub acts: Option<String>,
    /// The result, once it is there.
    pub result: Option<String>,
}

/// An antibiotic.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Antibiotic {
    /// The medicine.
    pub medicine: String,
    /// Dose, how often and how long.
    pub dose: Option<String>,
    /// Who prescribes or supplies it: the practice is asked, the clinic did, or it was started elsewhere.
    pub from: AntibioticFrom,
}

/// Who prescribes or supplies an antibiotic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum AntibioticFrom {
    /// The practice is asked to prescribe it.
    Gp,
    /// Whoever saw the patient here, under an authority of their own.
    Clinic,
    /// It was started elsewhere before the visit.
    Elsewhere,
}

/// A visit that is booked.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(extend("x-line" = "next visit"))]
pub struct NextVisit {
    /// Redressing or review.
    pub kind: BookedKind,
    /// The day.
    pub on: CivilDate,
    /// At what time.
    pub at: Option<TimeOfDay>,
}

/// What a visit is booked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum BookedKind {
    Redressing,
    Review,
    Telephone,
}

impl BookedKind {
    /// `redressing`, `review`, `telephone call`.
    pub fn word(self) -> &'static str {
        match self {
            BookedKind::Redressing => "redressing",
            BookedKind::Review => "review",
            BookedKind::Telephone => "telephone call",
        }
    }
}

/// The end of the course of care.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Closed {
    /// The day.
    pub on: CivilDate,
    /// Who closed it: a key of the clinic's practitioners, or a name.
    pub by: Option<String>,
    /// Why: `healed`, `moved away`, `lost`, `own wish`, `died`, `not operated` or `new case REFERENCE`.
    pub because: ClosedBecause,
    /// Anything that patient and practice should know.
    pub note: Option<String>,
}

/// Why a case was closed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum ClosedBecause {
    /// Every toe is healed.
    Healed,
    /// Care goes on elsewhere.
    MovedAway,
    /// The patient came no more and could not be reached.
    Lost,
    /// The patient wanted no more visits.
    OwnWish,
    /// The patient died.
    Died,
    /// There was no operation, and there will be none under this reference.
    NotOperated,
    /// The same toe goes on under another reference.
    NewCase(Reference),
}

/// Each reason that is one word, with the word.
const CLOSED_WORDS: &[(&str, ClosedBecause)] = &[
    ("healed", ClosedBecause::Healed),
    ("moved away", ClosedBecause::MovedAway),
    ("lost", ClosedBecause::Lost),
    ("own wish", ClosedBecause::OwnWish),
    ("died", ClosedBecause::Died),
    ("not operated", ClosedBecause::NotOperated),
];

impl TextValue for ClosedBecause {
    const FORMAT: &'static str = "reason for closing";
    const EXAMPLE: &'static str = "healed";
    fn written(&self) -> Option<String> {
        Some(self.word())
    }
    fn parse(text: &str) -> Result<Self, String> {
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some((_, reason)) = CLOSED_WORDS.iter().find(|(word, _)| *word == words.to_lowercase()) {
            return Ok(reason.clone());
        }
        if let Some(reference) = words.strip_prefix("new case ") {
            return Reference::parse(reference).map(ClosedBecause::NewCase);
        }
        let known: Vec<String> = CLOSED_WORDS.iter().map(|(word, _)| format!("`{word}`")).collect();
        Err(format!(
            "`{text}` is no reason for closing: write one of {} or `new case` and its reference",
            known.join(", ")
        ))
    }
}
text_value!(ClosedBecause, "reason for closing");

impl ClosedBecause {
    /// As it is typed: `healed`, `new case LFC-0312`.
    pub fn word(&self) -> String {
        match self {
            ClosedBecause::NewCase(reference) => format!("new case {reference}"),
            other => CLOSED_WORDS
                .iter()
                .find(|(_, reason)| reason == other)
                .map_or_else(String::new, |(word, _)| (*word).to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_reason_for_closing_reads_as_it_is_written() {
        for (word, reason) in CLOSED_WORDS {
            assert_eq!(ClosedBecause::parse(word).as_ref(), Ok(reason));
            assert_eq!(reason.word(), *word);
        }
        let new = ClosedBecause::parse("new case LFC-0312").expect("a reference");
        assert_eq!(new.word(), "new case LFC-0312");
        for wrong in ["", "new case", "new case lfc", "better", "healed well"] {
            assert!(ClosedBecause::parse(wrong).is_err(), "{wrong}");
        }
    }
}
