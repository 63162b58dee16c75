//! Whether the patient has epilepsy: then not every fit is a reason to call for an ambulance.

use super::fact::conditions;
use super::{Fact, Given, LookedUp};
use crate::clinical::Cite;
use crate::clinical::tables::Class;

/// The classes of the table of conditions, by whether control is recorded.
const CLASSES: [Class; 2] = [Class::Epilepsy, Class::WellControlledEpilepsy];

/// Whether the patient has epilepsy. A medicine against fits is no sign of it: many are taken for pain.
pub(super) fn epilepsy_of(given: Given<'_>, list: &[LookedUp]) -> Fact {
    let reasons =
        CLASSES.into_iter().flat_map(|class| conditions(list, class, Cite::common_practice())).collect();
    let history = given.case.history.as_ref();
    Fact::of(reasons, history.is_some_and(|history| history.conditions.is_some()))
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    #[test]
    fn under_each_of_its_names_and_not_by_a_medicine() {
        let answer = |history: &str| facts_of(&format!("history: {{{history}}}")).derived.epilepsy.answer;
        for name in ["epilepsy", "epileptic", "poorly controlled epilepsy", "epilepsy well controlled"] {
            assert_eq!(answer(&format!("conditions: [{name}]")), Answer::Yes, "{name}");
        }
        assert_eq!(answer("conditions: [asthma], medicines: [carbamazepine]"), Answer::No);
        assert_eq!(answer("conditions: ~"), Answer::NotKnown);
    }
}
