//! The foot-risk tier of the England pathway, for people with diabetes: the pathway was made for them.
//!
//! Reduced feeling and poor circulation are facts of their own, of either foot. Ulcers, amputation, dialysis
//! and the rest are read from the field and from the conditions. A spreading infection recorded at a toe
//! counts like one recorded in the history. What the pathway says of each tier stands in the table of
//! tiers, not here.

use super::fact::conditions;
use super::feet::{pulses, sites};
use super::{Answer, BySide, Fact, FootRisk, Given, LookedUp, Reason, Unknown, Value};
use crate::anatomy::Side;
use crate::case::FootFactor;
use crate::clinical::Cite;
use crate::clinical::sources::diabetes::{ACTIVE_FOOT, NG19};
use crate::clinical::tables::Class;
use crate::diagnostic::Path;
use crate::words::List;

/// Conditions that say what the field `foot` says.
const WORDS: &[(Class, FootFactor)] = &[
    (Class::FootUlcer, FootFactor::UlcerNow),
    (Class::Gangrene, FootFactor::Gangrene),
    (Class::CharcotFoot, FootFactor::HotSwollenFoot),
    (Class::Osteomyelitis, FootFactor::SpreadingInfection),
    (Class::PreviousFootUlcer, FootFactor::PreviousUlcer),
    (Class::FootAmputation, FootFactor::Amputation),
    (Class::RenalReplacement, FootFactor::RenalReplacement),
    (Class::HalluxValgus, FootFactor::Deformity),
];

const FACTOR: Cite =
    Cite::adapts(&NG19, "foot risk", "the factors are named there; their usual names are ours");

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

/// What is recorded of the feet, from the field and from the conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct FootHistory {
    /// Each factor with where it is written.
    pub factors: Vec<(FootFactor, Reason)>,
    /// Infection spreading from a toe is recorded with that toe.
    pub spreads_from_a_toe: bool,
    /// How soon active disease is to be seen; `None` if there is none.
    pub urgency: Option<Urgency>,
}

/// How soon active disease of a foot is to be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Immediately, by acute services.
    AtOnce,
    /// By the multidisciplinary foot care service or the foot protection service.
    WithinAWorkingDay,
}

impl Urgency {
    /// Where it comes from.
    pub const SOURCE: Cite = Cite::states(&ACTIVE_FOOT, "referral for active diabetic foot problems");
}

impl FootHistory {
    /// What makes a foot active, each with where it is written.
    pub fn active(&self) -> impl Iterator<Item = &(FootFactor, Reason)> {
        self.factors.iter().filter(|(factor, _)| is_active(*factor))
    }

    fn has(&self, wanted: FootFactor) -> bool {
        self.factors.iter().any(|(factor, _)| *factor == wanted)
    }
}

fn is_active(factor: FootFactor) -> bool {
    matches!(
        factor,
        FootFactor::UlcerNow
            | FootFactor::SpreadingInfection
            | FootFactor::Gangrene
            | FootFactor::HotSwollenFoot
    )
}

/// What is recorded of the feet.
pub(super) fn foot_history_of(given: Given<'_>, list: &[LookedUp], poor: &BySide<Fact>) -> FootHistory {
    let recorded =
        given.case.history.as_ref().and_then(|history| history.foot.as_deref()).unwrap_or_default();
    let field = recorded.iter().enumerate().map(|(at, factor)| {
        (*factor, Reason::new(Path::from("history.foot").index(at), factor.word(), FACTOR))
    });
    let words = WORDS.iter().flat_map(|(class, factor)| {
        conditions(list, *class, FACTOR).into_iter().map(move |reason| (*factor, reason))
    });
    let mut feet = FootHistory {
        factors: field.chain(words).collect(),
        spreads_from_a_toe: has_cellulitis(given),
        urgency: None,
    };
    feet.urgency = urgency(&feet, Side::BOTH.into_iter().any(|side| poor.get(side).holds()));
    feet
}

/// An ulcer is seen at once where too little blood flows; gangrene and spreading infection always are.
fn urgency(feet: &FootHistory, has_poor_circulation: bool) -> Option<Urgency> {
    let has = |factor| feet.has(factor);
    let spreads = has(FootFactor::SpreadingInfection) || feet.spreads_from_a_toe;
    if has(FootFactor::Gangrene) || spreads || (has(FootFactor::UlcerNow) && has_poor_circulation) {
        Some(Urgency::AtOnce)
    } else if feet.active().next().is_some() {
        Some(Urgency::WithinAWorkingDay)
    } else {
        None
    }
}

/// The tier of a patient with diabetes.
pub(super) fn foot_risk_of(
    given: Given<'_>,
    diabetes: &Fact,
    feet: &FootHistory,
    poor: &BySide<Fact>,
    numb: &BySide<Fact>,
) -> Value<FootRisk> {
    match diabetes.answer {
        Answer::Yes => {}
        Answer::No => return Value::because("no diabetes, and the scheme is for people who have it"),
        Answer::NotKnown => return Value::missing("history.diabetes"),
    }
    let factors = Factors {
        active: feet.urgency.is_some(),
        earlier: [FootFactor::PreviousUlcer, FootFactor::Amputation, FootFactor::RenalReplacement]
            .into_iter()
            .any(|factor| feet.has(factor)),
        neuropathy: Side::BOTH.into_iter().any(|side| numb.get(side).holds()),
        poor_circulation: Side::BOTH.into_iter().any(|side| poor.get(side).holds()),
        callus: feet.has(FootFactor::Callus),
        deformity: feet.has(FootFactor::Deformity),
    };
    let tier = tier(factors);
    // What was not examined could only raise the tier, and above `high` only what is recorded counts.
    let unexamined = unexamined(given);
    if tier < FootRisk::High && unexamined != Unknown::default() {
        let at_least =
            (tier > FootRisk::Low).then(|| format!("at least {}: {}", tier.word(), working(factors)));
        return Value::Unknown(Unknown { because: at_least, ..unexamined });
    }
    Value::known(tier, working(factors), tier.tier().cite)
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

/// What the tier rests on and is not recorded.
fn unexamined(given: Given<'_>) -> Unknown {
    let mut unknown = Unknown::default();
    for side in Side::BOTH {
        unknown.lacks(Path::from("sensation").key(side.word()), &sites(given, side));
        unknown.lacks(Path::from("vascular").key(side.word()).key("pulses"), &pulses(given, side));
    }
    if given.case.history.as_ref().is_none_or(|history| history.foot.is_none()) {
        unknown.missing.push("history.foot".into());
    }
    unknown
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn printed(fragment: &str) -> String {
        let diabetes = "{history: {diabetes: {type: 2}, foot: []}}";
        let facts = facts_of(&merged(&[diabetes, fragment]));
        facts.derived.foot_risk.print(|risk| risk.word().to_owned())
    }

    /// Two fragments as one.
    fn merged(fragments: &[&str]) -> String {
        use serde_yaml::Value;
        fn lay(base: &mut Value, over: Value) {
            match (base, over) {
                (Value::Mapping(base), Value::Mapping(over)) => {
                    for (key, value) in over {
                        lay(base.entry(key).or_insert(Value::Null), value);
                    }
                }
                (base, over) => *base = over,
            }
        }
        let mut all = Value::Mapping(serde_yaml::Mapping::new());
        for fragment in fragments.iter().filter(|fragment| !fragment.is_empty()) {
            lay(&mut all, serde_yaml::from_str(fragment).expect("a fragment is YAML"));
        }
        serde_yaml::to_string(&all).expect("YAML can be written")
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
        assert_eq!(printed("sensation: {left: 8/10}"), "moderate");
        assert_eq!(printed("vascular: {right: {pulses: absent, toe: ~}}"), "moderate");
        assert_eq!(printed("vascular: {right: {pulses: weak}}"), "low");
        assert_eq!(printed("{sensation: {left: 8/10}, vascular: {right: {pulses: absent, toe: ~}}}"), "high");
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
    fn conditions_count_like_the_field() {
        for (condition, tier) in [
            ("PAD", "moderate"),
            ("peripheral neuropathy", "moderate"),
            ("bunion", "moderate"),
            ("previous foot ulcer", "high"),
            ("amputation", "high"),
            ("dialysis", "high"),
            ("foot ulcer", "active"),
            ("gangrene", "active"),
        ] {
            assert_eq!(printed(&format!("history: {{conditions: [{condition}]}}")), tier, "{condition}");
        }
        assert_eq!(printed("history: {conditions: [PVD, neuropathy]}"), "high");
    }

    #[test]
    fn poor_circulation_is_the_one_that_everybody_reads() {
        let toe = |pressure: u16| {
            printed(&format!("vascular: {{brachial: {{right: ~, left: ~}}, left: {{toe: {pressure}}}}}"))
        };
        assert_eq!(toe(25), "moderate");
        assert_eq!(toe(59), "moderate");
        assert_eq!(toe(60), "low");
    }

    #[test]
    fn low_is_said_only_where_every_factor_was_answered() {
        assert_eq!(printed("sensation: ~"), "not known: sensation.right and sensation.left missing");
        assert_eq!(printed("vascular: {left: {pulses: ~}}"), "not known: vascular.left.pulses missing");
        assert_eq!(printed("history: {foot: ~}"), "not known: history.foot missing");
        assert_eq!(
            printed("{history: {foot: ~}, sensation: {left: 0/10}}"),
            "not known: history.foot missing; at least moderate: reduced sensation"
        );
        assert_eq!(printed("{sensation: ~, history: {foot: [amputation]}}"), "high");
    }

    #[test]
    fn without_diabetes_there_is_no_tier() {
        let printed =
            |fragment: &str| facts_of(fragment).derived.foot_risk.print(|risk| risk.word().to_owned());
        assert_eq!(printed(""), "not known: no diabetes, and the scheme is for people who have it");
        assert_eq!(printed("history: {diabetes: ~}"), "not known: history.diabetes missing");
        assert_eq!(printed("history: ~"), "not known: history.diabetes missing");
    }

    #[test]
    fn what_cannot_wait_goes_at_once_and_the_rest_within_a_day() {
        let urgency = |fragment: &str| facts_of(fragment).derived.foot_history.urgency;
        assert_eq!(urgency(""), None);
        assert_eq!(urgency("history: {foot: [previous ulcer]}"), None);
        assert_eq!(urgency("history: {foot: [ulcer now]}"), Some(Urgency::WithinAWorkingDay));
        assert_eq!(urgency("history: {foot: [hot swollen foot]}"), Some(Urgency::WithinAWorkingDay));
        for at_once in
            ["foot: [gangrene]", "foot: [spreading infection]", "foot: [ulcer now], conditions: [PAD]"]
        {
            assert_eq!(urgency(&format!("history: {{{at_once}}}")), Some(Urgency::AtOnce), "{at_once}");
        }
        assert_eq!(urgency("problem: {toes: {L1: {cellulitis: true}}}"), Some(Urgency::AtOnce));
    }
}
