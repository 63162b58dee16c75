//! What the patient takes and must not have, as it is recorded.

use serde::Serialize;

use super::{NOT_RECORDED, listed, without_stop};
use crate::derive::LookedUp;
use crate::facts::Facts;
use crate::words::capitalised;

/// What is taken, and the INR where there is one.
#[derive(Debug, Serialize)]
pub(in crate::documents) struct Medicines {
    /// `Metformin, apixaban 5 mg twice a day`; `None`; `Not recorded`.
    pub(in crate::documents) list: String,
    /// The same as typed, for the middle of a sentence.
    typed: String,
    inr: String,
    /// Why there is none, where that was written.
    inr_gap: String,
    inr_tested: String,
}

impl Medicines {
    pub(in crate::documents) fn of(facts: &Facts) -> Medicines {
        let history = facts.case.history.as_ref();
        let medicines = history.and_then(|history| history.medicines.as_ref());
        let inr = history.and_then(|history| history.inr.get());
        let inr_gap = history.and_then(|history| history.inr.gap());
        let typed =
            listed(medicines.map(|_| facts.derived.medicines.iter().map(LookedUp::in_full).collect()));
        Medicines {
            list: capitalised(&typed),
            typed,
            inr: inr.map_or_else(String::new, |inr| inr.value.to_string()),
            inr_gap: without_stop(inr_gap.unwrap_or_default()).to_owned(),
            inr_tested: inr.map_or_else(String::new, |inr| inr.tested.clinical()),
        }
    }
}

/// `latex (rash), iodine`; `none known`; `not recorded`.
pub(in crate::documents) fn allergies(facts: &Facts) -> String {
    let Some(entry) = facts.case.history.as_ref().and_then(|history| history.allergies.as_ref()) else {
        return NOT_RECORDED.into();
    };
    let each =
        entry.list().iter().zip(&facts.derived.allergies).map(|(allergy, found)| match &allergy.reaction {
            Some(reaction) => format!("{} ({reaction})", found.in_full()),
            None => found.in_full(),
        });
    let each: Vec<String> = each.collect();
    entry.none().map_or_else(|| each.join(", "), |none| none.in_full().into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn what_is_absent_is_not_what_is_none() {
        assert_eq!(allergies(&facts_of("")), "none known");
        assert_eq!(allergies(&facts_of("history: {allergies: ~}")), NOT_RECORDED);
        assert_eq!(
            allergies(&facts_of("history: {allergies: [{to: latex, reaction: rash}]}")),
            "latex (rash)"
        );
        assert_eq!(listed(None), NOT_RECORDED);
        assert_eq!(listed(Some(Vec::new())), "none");
    }
}
