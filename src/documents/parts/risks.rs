//! What makes this operation riskier for this patient, for colleagues: each a derived fact with what it is
//! known from. The sentences stand in `templates/clinician/risks.typ`.

use serde::Serialize;

use crate::derive::{BySide, Fact, Reason, names_of};
use crate::facts::Facts;

/// Each is empty where it does not hold, or is not known to.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub(in crate::documents) struct Risks {
    /// At least one of the others.
    any: bool,
    /// `apixaban, clopidogrel`.
    thinners: String,
    /// `haemophilia`.
    bleeding_disorder: String,
    /// `methotrexate`.
    weak_immunity: String,
    /// `right TBPI 0.45, abnormal; left toe pressure 58 mmHg`.
    poor_circulation: String,
    /// `Raynaud's`.
    vasospasm: String,
    /// `left foot: 8 of 10 monofilament sites felt`.
    reduced_feeling: String,
}

impl Risks {
    pub(in crate::documents) fn of(facts: &Facts) -> Risks {
        let derived = &facts.derived;
        let risk = &derived.bleeding_risk;
        let thinners: Vec<Reason> = risk.anticoagulants.iter().chain(&risk.antiplatelets).cloned().collect();
        let mut risks = Risks {
            any: false,
            thinners: names_of(&thinners, ", "),
            bleeding_disorder: names_of(&risk.disorders, ", "),
            weak_immunity: names_of(&derived.weak_immunity.reasons, ", "),
            poor_circulation: of_both_feet(&derived.poor_circulation),
            vasospasm: names_of(&derived.vasospasm.reasons, ", "),
            reduced_feeling: of_both_feet(&derived.reduced_feeling),
        };
        risks.any = risks != Risks::default();
        risks
    }
}

/// The reasons of both feet; what holds for both is named once.
fn of_both_feet(fact: &BySide<Fact>) -> String {
    let reasons: Vec<Reason> = fact.right.reasons.iter().chain(&fact.left.reasons).cloned().collect();
    names_of(&reasons, "; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn nothing_is_said_of_the_base_case() {
        assert_eq!(Risks::of(&facts_of("")), Risks::default());
    }

    #[test]
    fn each_risk_is_said_with_what_it_is_known_from() {
        let risks = Risks::of(&facts_of(
            "{history: {medicines: [Apixaban 5 mg bd, methotrexate], conditions: [PAD, haemophilia]}, \
              vascular: {left: {toe: 58}}, sensation: {left: 8/10}}",
        ));
        assert!(risks.any);
        assert_eq!(risks.thinners, "apixaban");
        assert_eq!(risks.bleeding_disorder, "haemophilia");
        assert_eq!(risks.weak_immunity, "methotrexate");
        assert_eq!(risks.poor_circulation, "PAD; left TBPI 0.43, abnormal; left toe pressure 58 mmHg");
        assert_eq!(risks.reduced_feeling, "left foot: 8 of 10 monofilament sites felt");
    }
}
