//! The foot-risk tier of the England pathway.
//!
//! Neuropathy: at least one site tested was not felt, on either foot. Poor circulation: absent pulses,
//! an abnormal ankle-brachial or toe-brachial index, or a toe pressure below 30 mmHg, on either foot.
//! A low toe pressure alone is not taken for critical ischaemia, which also needs pain or tissue loss.
//! A spreading infection recorded at a toe counts like one recorded in the history.
//! What the pathway says of each tier stands in the table of tiers, not here.

use super::{BySide, Circulation, FootRisk, Given, Unknown, Value};
use crate::case::{DiabetesEntry, FootCirculation, FootFactor, Pulses, Side};
use crate::clinical::pressure_bands::toe_pressure_grade;
use crate::diagnostic::english::List;

/// The toe pressure grade that is a sign of poor circulation whatever the arm reads: below 30 mmHg.
const SEVERE_GRADE: u8 = 3;

/// What sets the tier.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Factors {
    /// Ulcer, spreading infection, gangrene or a hot swollen foot now.
    pub active: bool,
    /// Previous ulcer, amputation or renal replacement.
    pub earlier: bool,
    /// Protective sensation lost at a site or more.
    pub neuropathy: bool,
    /// A sign of poor circulation.
    pub poor_circulation: bool,
    /// Callus.
    pub callus: bool,
    /// Deformity.
    pub deformity: bool,
}

/// The tier of the England pathway.
pub fn tier(factors: Factors) -> FootRisk {
    let Factors { active, earlier, neuropathy, poor_circulation, callus, deformity } = factors;
    let limb = neuropathy || poor_circulation;
    let both = neuropathy && poor_circulation;
    if active {
        FootRisk::Active
    } else if earlier || both || (limb && (callus || deformity)) {
        FootRisk::High
    } else if limb || deformity {
        FootRisk::Moderate
    } else {
        FootRisk::Low
    }
}

pub(super) fn foot_risk_of(given: Given<'_>, circulation: &BySide<Circulation>) -> Value<FootRisk> {
    let Some(history) = &given.case.history else { return Value::missing("history") };
    let has = |factor: FootFactor| history.foot.contains(&factor);
    let any = |factors: &[FootFactor]| factors.iter().any(|factor| has(*factor));
    let factors = Factors {
        active: any(&[
            FootFactor::UlcerNow,
            FootFactor::SpreadingInfection,
            FootFactor::Gangrene,
            FootFactor::HotSwollenFoot,
        ]) || has_cellulitis(given),
        earlier: any(&[FootFactor::PreviousUlcer, FootFactor::Amputation, FootFactor::RenalReplacement]),
        neuropathy: Side::BOTH.into_iter().any(|side| has_lost_sensation(given, side)),
        poor_circulation: Side::BOTH.into_iter().any(|side| has_poor_circulation(given, circulation, side)),
        callus: has(FootFactor::Callus),
        deformity: has(FootFactor::Deformity),
    };
    let tier = tier(factors);
    // What was not examined could only raise the tier, and above `high` only what is recorded counts.
    let missing = unexamined(given);
    if tier < FootRisk::High && !missing.is_empty() {
        return Value::Unknown(Unknown {
            missing: missing.iter().map(|path| path.as_str().into()).collect(),
            because: None,
        });
    }
    let has_diabetes = matches!(history.diabetes, Some(DiabetesEntry::Some(_)));
    let row = tier.tier();
    let cite = if has_diabetes { row.cite } else { row.cite_without_diabetes };
    Value::known(tier, working(factors), cite)
}

fn working(factors: Factors) -> String {
    let words: Vec<&str> = [
        (factors.active, "active foot disease"),
        (factors.earlier, "earlier ulcer, amputation or renal replacement"),
        (factors.neuropathy, "reduced sensation"),
        (factors.poor_circulation, "poor circulation"),
        (factors.deformity, "deformity"),
        (factors.callus, "callus"),
    ]
    .into_iter()
    .filter_map(|(is_there, word)| is_there.then_some(word))
    .collect();
    if words.is_empty() { "no risk factor recorded".to_owned() } else { List::and(words).to_string() }
}

fn has_cellulitis(given: Given<'_>) -> bool {
    let toes = given.case.affected();
    toes.is_some_and(|toes| toes.iter().any(|(_, toe)| toe.cellulitis == Some(true)))
}

fn sites(given: Given<'_>, side: Side) -> Option<crate::units::SitesFelt> {
    let sensation = given.case.sensation.as_ref()?;
    match side {
        Side::Right => sensation.right,
        Side::Left => sensation.left,
    }
}

fn has_lost_sensation(given: Given<'_>, side: Side) -> bool {
    sites(given, side).is_some_and(|sites| sites.felt < sites.tested)
}

fn foot<'a>(given: Given<'a>, side: Side) -> Option<&'a FootCirculation> {
    let vascular = given.case.vascular.as_ref()?;
    match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    }
}

fn has_poor_circulation(given: Given<'_>, circulation: &BySide<Circulation>, side: Side) -> bool {
    let indices = circulation.get(side);
    let is_abnormal = |index: Option<&super::Banded>| index.is_some_and(|index| index.band == "abnormal");
    let foot = foot(given, side);
    let toe_is_low =
        foot.and_then(|foot| foot.toe).is_some_and(|toe| toe_pressure_grade(toe).grade == SEVERE_GRADE);
    let pulses_are_absent = foot.and_then(|foot| foot.pulses) == Some(Pulses::Absent);
    pulses_are_absent || toe_is_low || is_abnormal(indices.abpi.get()) || is_abnormal(indices.tbpi.get())
}

/// What the tier rests on and is not recorded.
fn unexamined(given: Given<'_>) -> Vec<String> {
    let mut missing = Vec::new();
    for side in Side::BOTH {
        if sites(given, side).is_none() {
            missing.push(format!("sensation.{}", side.word()));
        }
        if foot(given, side).and_then(|foot| foot.pulses).is_none() {
            missing.push(format!("vascular.{}.pulses", side.word()));
        }
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn printed(fragment: &str) -> String {
        facts_of(fragment).derived.foot_risk.print(|risk| risk.word().to_owned())
    }

    #[test]
    fn one_factor_is_moderate_and_two_are_high() {
        let none = Factors::default();
        let neuropathy = Factors { neuropathy: true, ..none };
        let circulation = Factors { poor_circulation: true, ..none };
        let deformity = Factors { deformity: true, ..none };
        assert_eq!(tier(none), FootRisk::Low);
        assert_eq!(tier(Factors { callus: true, ..none }), FootRisk::Low);
        for one in [neuropathy, circulation, deformity] {
            assert_eq!(tier(one), FootRisk::Moderate, "{one:?}");
        }
        assert_eq!(tier(Factors { callus: true, ..deformity }), FootRisk::Moderate);
        for limb in [neuropathy, circulation] {
            assert_eq!(tier(Factors { callus: true, ..limb }), FootRisk::High, "{limb:?}");
            assert_eq!(tier(Factors { deformity: true, ..limb }), FootRisk::High, "{limb:?}");
        }
        assert_eq!(tier(Factors { poor_circulation: true, ..neuropathy }), FootRisk::High);
        assert_eq!(tier(Factors { earlier: true, ..none }), FootRisk::High);
        assert_eq!(tier(Factors { active: true, earlier: true, ..neuropathy }), FootRisk::Active);
    }

    #[test]
    fn each_sign_is_read_from_the_case() {
        assert_eq!(printed(""), "low");
        assert_eq!(printed("sensation: {left: 9/10}"), "moderate");
        assert_eq!(printed("vascular: {right: {pulses: absent}}"), "moderate");
        assert_eq!(printed("vascular: {right: {pulses: weak}}"), "low");
        assert_eq!(printed("{sensation: {left: 9/10}, vascular: {right: {pulses: absent}}}"), "high");
        assert_eq!(printed("history: {foot: [callus]}"), "low");
        assert_eq!(printed("{history: {foot: [callus]}, sensation: {right: 0/3}}"), "high");
        assert_eq!(printed("history: {foot: [deformity]}"), "moderate");
        for earlier in ["previous ulcer", "amputation", "renal replacement"] {
            assert_eq!(printed(&format!("history: {{foot: [{earlier}]}}")), "high", "{earlier}");
        }
        for now in ["ulcer now", "spreading infection", "gangrene", "hot swollen foot"] {
            assert_eq!(printed(&format!("history: {{foot: [{now}]}}")), "active", "{now}");
        }
        assert_eq!(printed("problem: {toes: {L1: {cellulitis: true}}}"), "active");
    }

    #[test]
    fn pressures_count_at_their_limits() {
        let toe = |pressure: u16| {
            let arms = "brachial: {right: ~, left: ~}";
            printed(&format!("vascular: {{{arms}, left: {{toe: {pressure}}}}}"))
        };
        assert_eq!(toe(29), "moderate");
        assert_eq!(toe(30), "low");
        let ankle = |pressure: u16| {
            printed(&format!(
                "vascular: {{brachial: {{right: 200, left: 200}}, right: {{toe: ~, dorsalis_pedis: {pressure}, \
                 posterior_tibial: {pressure}}}, left: ~, }}"
            ))
        };
        assert_eq!(ankle(180), "not known: vascular.left.pulses missing");
        let both = |pressure: u16| {
            let foot = format!("{{dorsalis_pedis: {pressure}, posterior_tibial: {pressure}, toe: ~}}");
            printed(&format!(
                "vascular: {{brachial: {{right: 200, left: 200}}, right: {foot}, left: {foot}}}"
            ))
        };
        assert_eq!(both(180), "moderate");
        assert_eq!(both(181), "low");
    }

    #[test]
    fn what_was_not_examined_is_named_unless_it_cannot_matter() {
        assert_eq!(printed("sensation: ~"), "not known: sensation.right and sensation.left missing");
        assert_eq!(printed("vascular: {left: {pulses: ~}}"), "not known: vascular.left.pulses missing");
        assert_eq!(printed("{sensation: ~, history: {foot: [amputation]}}"), "high");
        assert_eq!(printed("history: ~"), "not known: history missing");
    }

    #[test]
    fn without_diabetes_the_source_says_that_it_is_stretched() {
        let source = |fragment: &str| {
            let facts = facts_of(fragment);
            facts.derived.foot_risk.entry().expect("known").source.to_string()
        };
        assert!(source("").contains("another patient"));
        assert!(!source("history: {diabetes: {type: 2}}").contains("another patient"));
    }
}
