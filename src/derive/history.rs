//! Medicines, allergies and conditions of the history, looked up in the tables.
//!
//! What is not in a table stays in the list without a name, so that a rule can say so.

use super::{Given, LookedUp};
use crate::case::History;
use crate::clinical::tables::{Names, allergens, conditions, medicines};

fn looked_up(names: &'static Names, typed: &str) -> LookedUp {
    let entry = names.find(typed);
    LookedUp {
        typed: typed.to_owned(),
        name: entry.map(|entry| entry.name),
        classes: entry.map_or(&[], |entry| entry.classes.as_slice()),
    }
}

fn history<'a>(given: Given<'a>) -> Option<&'a History> {
    given.case.history.as_ref()
}

/// Each medicine, in file order.
pub(super) fn medicines_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.medicines.as_deref()).unwrap_or_default();
    list.iter().map(|medicine| looked_up(medicines(), medicine.name())).collect()
}

/// Each allergy, in file order. A medicine that is not in the table of allergens has the classes
/// it has as a medicine.
pub(super) fn allergies_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.allergies.as_ref()).map(|entry| entry.list());
    let substance = |typed: &str| match looked_up(allergens(), typed) {
        LookedUp { name: None, .. } => looked_up(medicines(), typed),
        found => found,
    };
    list.unwrap_or_default().iter().map(|allergy| substance(&allergy.to)).collect()
}

/// Each condition, in file order.
pub(super) fn conditions_of(given: Given<'_>) -> Vec<LookedUp> {
    let list = history(given).and_then(|history| history.conditions.as_deref()).unwrap_or_default();
    list.iter().map(|condition| looked_up(conditions(), condition)).collect()
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    #[test]
    fn every_item_is_kept_known_or_not() {
        let facts = facts_of(
            "history: {medicines: [Warfarin, {name: grandmother's drops, dose: daily}], \
             allergies: [{to: lignocaine}, {to: moon dust}, {to: methotrexate}], conditions: [high blood pressure, odd knee]}",
        );
        let names =
            |list: &[crate::derive::LookedUp]| -> Vec<_> { list.iter().map(|item| item.name).collect() };
        assert_eq!(names(&facts.derived.medicines), [Some("warfarin"), None]);
        assert_eq!(names(&facts.derived.allergies), [Some("lidocaine"), None, Some("methotrexate")]);
        assert_eq!(names(&facts.derived.conditions), [Some("hypertension"), None]);
        assert_eq!(facts.derived.medicines[1].typed, "grandmother's drops");
        assert!(facts.takes("vitamin k antagonist") && facts.allergic_to("amide anaesthetic"));
    }

    #[test]
    fn nothing_asked_is_an_empty_list() {
        let facts = facts_of("history: ~");
        assert!(facts.derived.medicines.is_empty() && facts.derived.allergies.is_empty());
    }
}
