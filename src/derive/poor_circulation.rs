//! Whether less blood flows to a foot than it should, and whether its small arteries shut in the cold.
//!
//! The one definition, read by the rules on circulation, phenol and adrenaline, by the foot-risk tier and by
//! every document. It holds for a foot if one of these is recorded:
//!
//! - an ankle-brachial or a toe-brachial index in its abnormal band;
//! - a toe pressure below 60 mmHg, WIfI ischaemia grades 1 to 3;
//! - absent pulses, unless a toe pressure of 60 mmHg or more answers them: a measured pressure counts more
//!   than a finger;
//! - known arterial disease among the conditions, which do not say of which leg: it counts for both.
//!
//! Weak pulses are no sign of it by themselves: no source grades them, and examiners differ. Without any
//! pressure they leave the question open, and a rule asks for one. An index above 1.40 says nothing.

use super::fact::conditions;
use super::feet::{pulses, toe_pressure};
use super::{Banded, BySide, Circulation, Fact, Given, LookedUp, Reason, Value};
use crate::anatomy::Side;
use crate::case::Pulses;
use crate::clinical::pressure_bands::{Band, toe_pressure_grade};
use crate::clinical::sources::{anaesthetic, procedure};
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources::circulation::LIMB_THREAT_TABLE};

/// Narrowed arteries, in the table of conditions.
const ARTERIAL_DISEASE: Class = Class::ArterialDisease;
/// Arteries that shut in the cold or in inflammation.
const VASOSPASM: Class = Class::Vasospasm;

/// The WIfI ischaemia grade of a sound toe pressure: from 60 mmHg.
const SOUND: u8 = 0;

const PULSES: Cite = Cite::adapts(
    &LIMB_THREAT_TABLE,
    "table 2: toe pressure below 60 mmHg",
    "absent pulses are taken for poor circulation unless a toe pressure above these grades answers them",
);
const KNOWN: Cite = Cite::adapts(
    &procedure::NAIL_SURGERY_AAFP,
    "contraindications",
    "the source names peripheral vascular disease; its other names, and that it counts for both feet, are ours",
);
const SPASM: Cite = Cite::adapts(
    &anaesthetic::ADRENALINE_RAYNAUD,
    "case",
    "Raynaud's is the case reported; the conditions like it are grouped with it",
);

/// Poor circulation of each foot.
pub(super) fn poor_circulation_of(
    given: Given<'_>,
    indices: &BySide<Circulation>,
    conditions: &[LookedUp],
) -> BySide<Fact> {
    let of = |side| of_side(given, indices.get(side), conditions, side);
    BySide { right: of(Side::Right), left: of(Side::Left) }
}

/// Arteries of the toes that shut in the cold: of both feet, as the history says it.
pub(super) fn vasospasm_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let history = given.case.history.as_ref();
    let is_answered = history.is_some_and(|history| history.conditions.is_some());
    Fact::of(conditions(list, VASOSPASM, SPASM), is_answered)
}

fn of_side(given: Given<'_>, indices: &Circulation, list: &[LookedUp], side: Side) -> Fact {
    let word = side.word();
    let pulses = pulses(given, side).value();
    let toe = toe_pressure(given, side);
    let mut reasons = Vec::new();
    for (index, what, path) in [
        (&indices.abpi, "ABPI", format!("vascular.{word}")),
        (&indices.tbpi, "TBPI", format!("vascular.{word}.toe")),
    ] {
        if let Value::Known(known) = index
            && known.value.band == Band::Abnormal
        {
            let says = format!("{word} {what} {}, abnormal", known.value.index);
            reasons.push(Reason::new(path, says, known.source));
        }
    }
    let grade = toe.map(toe_pressure_grade);
    if let (Some(pressure), Some(grade)) = (toe, grade)
        && grade.grade != SOUND
    {
        let says = format!("{word} toe pressure {pressure}");
        reasons.push(Reason::new(format!("vascular.{word}.toe"), says, grade.cite));
    }
    if pulses == Some(Pulses::Absent) && grade.is_none_or(|grade| grade.grade != SOUND) {
        let without = if toe.is_none() { ", no toe pressure recorded" } else { "" };
        let says = format!("{word} pulses absent{without}");
        reasons.push(Reason::new(format!("vascular.{word}.pulses"), says, PULSES));
    }
    reasons.extend(conditions(list, ARTERIAL_DISEASE, KNOWN));
    let speaks = |index: &Value<Banded>| index.get().is_some_and(|index| index.band != Band::NonCompressible);
    let is_measured = toe.is_some() || speaks(&indices.abpi);
    Fact::of(reasons, is_measured || pulses == Some(Pulses::Palpable))
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    const NO_PRESSURES: &str = "dorsalis_pedis: ~, posterior_tibial: ~, toe: ~";

    fn left(fragment: &str) -> (Answer, String) {
        let facts = facts_of(fragment);
        let fact = &facts.derived.poor_circulation.left;
        (fact.answer, fact.because())
    }

    fn yes(because: &str) -> (Answer, String) {
        (Answer::Yes, because.to_owned())
    }

    fn no() -> (Answer, String) {
        (Answer::No, String::new())
    }

    /// Both arms read 100 mmHg, so that an index is the pressure below in hundredths.
    fn measured(ankle: u16, toe: &str) -> String {
        format!(
            "vascular: {{brachial: {{right: 100, left: 100}}, \
             left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}, toe: {toe}}}}}"
        )
    }

    #[test]
    fn each_index_counts_from_its_abnormal_band() {
        assert_eq!(left(&measured(91, "~")), no());
        assert_eq!(left(&measured(90, "~")), yes("left ABPI 0.90, abnormal"));
        assert_eq!(left(&measured(100, "71")), no());
        assert_eq!(left(&measured(100, "70")), yes("left TBPI 0.70, abnormal"));
    }

    #[test]
    fn a_toe_pressure_counts_below_sixty() {
        let toe = |mmhg: u16| {
            left(&format!(
                "vascular: {{brachial: ~, left: {{dorsalis_pedis: ~, posterior_tibial: ~, toe: {mmhg}}}}}"
            ))
        };
        assert_eq!(toe(60), no());
        assert_eq!(toe(59), yes("left toe pressure 59 mmHg"));
        assert_eq!(toe(25), yes("left toe pressure 25 mmHg"));
    }

    #[test]
    fn absent_pulses_count_unless_a_sound_toe_pressure_answers_them() {
        let pulses = |word: &str, toe: &str| {
            left(&format!(
                "vascular: {{brachial: ~, left: {{dorsalis_pedis: ~, posterior_tibial: ~, toe: {toe}, pulses: {word}}}}}"
            ))
        };
        assert_eq!(pulses("absent", "~"), yes("left pulses absent, no toe pressure recorded"));
        assert_eq!(pulses("absent", "59"), yes("left toe pressure 59 mmHg; left pulses absent"));
        assert_eq!(pulses("absent", "60"), no());
        assert_eq!(pulses("palpable", "~"), no());
    }

    #[test]
    fn weak_pulses_alone_leave_it_open() {
        let weak = format!("vascular: {{left: {{pulses: weak, {NO_PRESSURES}}}}}");
        assert_eq!(left(&weak), (Answer::NotKnown, String::new()));
        assert_eq!(left("vascular: {left: {pulses: weak}}"), no());
        assert_eq!(left("vascular: {left: ~}"), (Answer::NotKnown, String::new()));
    }

    #[test]
    fn an_index_that_cannot_be_believed_answers_nothing() {
        let stiff = measured(141, "~").replace("toe: ~", "toe: ~, pulses: ~");
        assert_eq!(left(&stiff), (Answer::NotKnown, String::new()));
    }

    #[test]
    fn known_disease_counts_for_both_feet_and_spasm_is_another_matter() {
        let facts = facts_of("history: {conditions: [asthma, PVD]}");
        for fact in [&facts.derived.poor_circulation.right, &facts.derived.poor_circulation.left] {
            assert!(fact.holds());
            assert_eq!(fact.reasons[0].path.to_string(), "history.conditions[1]");
        }
        let raynaud = facts_of("history: {conditions: [Raynaud's]}");
        assert!(!raynaud.derived.poor_circulation.left.holds() && raynaud.derived.vasospasm.holds());
        assert_eq!(facts_of("history: {conditions: ~}").derived.vasospasm.answer, Answer::NotKnown);
    }
}
