//! What the general practice is asked to do, worked out from what was found: the foot protection service,
//! an opinion on the circulation, the blood sugar. What the practitioner asks for stands beside it.

use super::{
    BySide, Circulation, Fact, FootHistory, FootRisk, Given, Hba1cAge, Hba1cBoth, Hba1cJudged, Urgency,
    Value, names_of,
};
use crate::anatomy::Side;
use crate::clinical::foot_risk::Tier;
use crate::clinical::pressure_bands::toe_pressure_grade;
use crate::clinical::thresholds::Threshold;
use crate::date::CivilDate;
use crate::derive::feet::toe_pressure;

/// The WIfI ischaemia grade of a limb in danger.
const WORST_GRADE: u8 = 3;

/// Something that the practice is asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum PracticeAction {
    /// Active foot disease.
    ActiveFoot {
        /// How soon.
        urgency: Urgency,
        /// What is there.
        because: String,
    },
    /// The foot protection service.
    FootProtection {
        /// `moderate` or `high`.
        risk: FootRisk,
        /// How soon the service first sees such a foot: `within 2 to 4 weeks`.
        first_seen: &'static str,
        /// What sets the tier.
        because: String,
    },
    /// An opinion on the circulation, with a look at what lowers the risk of the arteries.
    Circulation {
        /// What was found.
        because: String,
    },
    /// A blood sugar that was high.
    Hba1cHigh {
        /// The result.
        result: Hba1cBoth,
    },
    /// A blood sugar that is not known, or no longer.
    Hba1cWanted {
        /// When the last one was taken, if that is known.
        last: Option<CivilDate>,
    },
}

impl PracticeAction {}

/// What the actions rest on.
pub(super) struct Known<'a> {
    pub(super) given: Given<'a>,
    pub(super) diabetes: &'a Fact,
    pub(super) foot_risk: &'a Value<FootRisk>,
    pub(super) foot_history: &'a FootHistory,
    pub(super) poor_circulation: &'a BySide<Fact>,
    pub(super) circulation: &'a BySide<Circulation>,
    pub(super) hba1c: &'a Value<Hba1cBoth>,
    pub(super) hba1c_judged: Option<&'a Hba1cJudged>,
}

/// Everything the practice is asked for, the most urgent first.
pub(super) fn practice_actions_of(known: &Known<'_>) -> Vec<PracticeAction> {
    let actions = [active_foot(known), foot_protection(known), circulation(known), hba1c(known)];
    actions.into_iter().flatten().collect()
}

fn active_foot(known: &Known<'_>) -> Option<PracticeAction> {
    let urgency = known.foot_history.urgency?;
    let mut because: Vec<&str> =
        known.foot_history.active().map(|(_, reason)| reason.name.as_str()).collect();
    if known.foot_history.spreads_from_a_toe {
        because.push("spreading infection");
    }
    Some(PracticeAction::ActiveFoot { urgency, because: because.join(", ") })
}

fn foot_protection(known: &Known<'_>) -> Option<PracticeAction> {
    let tier = known.foot_risk.entry()?;
    let &Tier { first_seen, .. } = tier.value.tier();
    match tier.value {
        FootRisk::Moderate | FootRisk::High => Some(PracticeAction::FootProtection {
            risk: tier.value,
            first_seen: first_seen?,
            because: tier.working.clone(),
        }),
        FootRisk::Low | FootRisk::Active => None,
    }
}

/// What was measured counts; disease that is in the history is known to the practice, unless the limb is in
/// danger now.
fn circulation(known: &Known<'_>) -> Option<PracticeAction> {
    let mut because = Vec::new();
    for side in Side::BOTH {
        let reasons = &known.poor_circulation.get(side).reasons;
        let (told, found): (Vec<_>, Vec<_>) =
            reasons.iter().cloned().partition(|reason| reason.path.to_string().starts_with("history."));
        if !found.is_empty() && (told.is_empty() || is_in_danger(known, side)) {
            because.push(names_of(&found, ", "));
        }
    }
    (!because.is_empty()).then(|| PracticeAction::Circulation { because: because.join("; ") })
}

fn is_in_danger(known: &Known<'_>, side: Side) -> bool {
    let abpi = known.circulation.get(side).abpi.get();
    toe_pressure(known.given, side).is_some_and(|toe| toe_pressure_grade(toe).grade == WORST_GRADE)
        || abpi.is_some_and(|abpi| abpi.index < Threshold::AbpiInDangerBelow.number())
}

fn hba1c(known: &Known<'_>) -> Option<PracticeAction> {
    if !known.diabetes.holds() {
        return None;
    }
    match (known.hba1c.get(), known.hba1c_judged) {
        (Some(result), Some(judged)) if judged.is_high => Some(PracticeAction::Hba1cHigh { result: *result }),
        (Some(_), Some(judged)) if judged.age == Hba1cAge::Old => {
            Some(PracticeAction::Hba1cWanted { last: judged.tested })
        }
        (None, _) => Some(PracticeAction::Hba1cWanted { last: None }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn of(fragment: &str) -> Vec<PracticeAction> {
        facts_of(fragment).derived.practice_actions
    }

    const KNOWN: &str = "diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}, foot: []";

    #[test]
    fn the_base_case_asks_for_nothing() {
        assert_eq!(of(""), []);
        assert_eq!(of(&format!("history: {{{KNOWN}}}")), []);
    }

    #[test]
    fn a_foot_at_risk_goes_to_the_foot_protection_service() {
        let found = of(&format!("{{history: {{{KNOWN}}}, sensation: {{left: 8/10}}}}"));
        let [PracticeAction::FootProtection { risk, first_seen, because }] = found.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!((*risk, *first_seen), (FootRisk::Moderate, "within 6 to 8 weeks"));
        assert_eq!(because, "reduced sensation");
        assert!(of("sensation: {left: 8/10}").is_empty(), "the scheme is for diabetes");
    }

    #[test]
    fn what_was_measured_asks_for_an_opinion_and_what_was_known_does_not() {
        let toe = "vascular: {left: {toe: 45}}";
        let found = of(toe);
        let [PracticeAction::Circulation { because }] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!(because, "left TBPI 0.34, abnormal, left toe pressure 45 mmHg");
        let known = "history: {conditions: [PAD]}";
        assert!(of(known).is_empty());
        assert!(of(&format!("{{{known}, {toe}}}")).is_empty());
        assert_eq!(of(&format!("{{{known}, vascular: {{left: {{toe: 29}}}}}}")).len(), 1);
    }

    #[test]
    fn a_blood_sugar_is_high_or_not_known() {
        let of = |diabetes: &str| of(&format!("history: {{diabetes: {diabetes}, foot: []}}"));
        let high = of("{type: 2, hba1c: 75 mmol/mol, tested: 2026-10-02}");
        assert!(matches!(high.as_slice(), [PracticeAction::Hba1cHigh { .. }]), "{high:?}");
        let old = of("{type: 2, hba1c: 52 mmol/mol, tested: 2026-05-01}");
        assert!(matches!(old.as_slice(), [PracticeAction::Hba1cWanted { last: Some(_) }]), "{old:?}");
        let none = of("{type: 2}");
        assert!(matches!(none.as_slice(), [PracticeAction::Hba1cWanted { last: None }]), "{none:?}");
    }

    #[test]
    fn active_disease_comes_first() {
        let found = of("history: {foot: [gangrene]}");
        let [PracticeAction::ActiveFoot { urgency, because }] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!((*urgency, because.as_str()), (Urgency::AtOnce, "gangrene"));
    }
}
