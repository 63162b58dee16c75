//! Phrases that several rules need, so that a toe and an edge read the same in every message.

use crate::anatomy::{Edge, Nail, Toe};
use crate::clinical::tables::{Class, Names};
use crate::clinical::{Cite, sources};
use crate::derive::{LookedUp, edges_in_words};
use crate::diagnostic::Finding;
use crate::facts::Facts;
use crate::words::nearest;

/// Nothing was written, or only spaces.
pub(super) fn is_blank(text: Option<&str>) -> bool {
    text.is_none_or(|text| text.trim().is_empty())
}

/// `L1 (left hallux)`.
pub(super) fn named(toe: Toe) -> String {
    format!("{toe} ({})", toe.clinical())
}

/// `total avulsion`, `partial avulsion, lateral edge`.
pub(super) fn removal(nail: Nail, edges: &[Edge]) -> String {
    match nail {
        Nail::Total => "total avulsion".into(),
        Nail::Partial => format!("partial avulsion, {}", edges_in_words(edges)),
    }
}

/// The name that may have been meant: the nearest word of the tables, in the table's own spelling, since
/// the nearest word may itself be a misspelling that the table knows.
pub(super) fn meant(typed: &str, tables: &[&'static Names]) -> Option<&'static str> {
    let words = tables.iter().flat_map(|table| table.words());
    let near = nearest(typed, words)?;
    let found = tables.iter().find_map(|table| table.look_up(near))?;
    Some(found.brand.map_or(found.entry.name, |brand| brand.name))
}

/// `45 s`, `3 min`, `3 min 1 s`: a time in seconds as it is said aloud.
pub(super) fn minutes_and_seconds(seconds: rust_decimal::Decimal) -> String {
    let sixty = rust_decimal::Decimal::from(60);
    let (minutes, rest) = ((seconds / sixty).trunc(), seconds % sixty);
    match (minutes.is_zero(), rest.is_zero()) {
        (true, _) => format!("{} s", rest.normalize()),
        (false, true) => format!("{} min", minutes.normalize()),
        (false, false) => format!("{} min {} s", minutes.normalize(), rest.normalize()),
    }
}

/// `allergic to rubber gloves`, at each recorded allergy of a class.
pub(super) fn allergic_to(facts: &Facts, class: Class) -> impl Iterator<Item = Finding> {
    let allergies = facts.derived.allergies.iter().enumerate();
    allergies.filter(move |(_, allergy)| allergy.is(class)).map(|(at, allergy)| {
        Finding::at(format!("history.allergies[{at}].to")).says(format!("allergic to {}", allergy.shown()))
    })
}

/// Classes within which one medicine is as bad as another for whoever is allergic to one of them.
const ALLERGY_CLASSES: [Class; 2] = [Class::Penicillin, Class::Macrolide];

/// The first recorded allergy that speaks against a medicine, by its position: to the same substance, or to
/// another of one of the classes.
pub(super) fn allergy_against(facts: &Facts, medicine: &LookedUp) -> Option<usize> {
    facts.derived.allergies.iter().position(|allergy| {
        let is_same = allergy.parts.iter().any(|part| medicine.parts.contains(part));
        is_same || ALLERGY_CLASSES.into_iter().any(|class| allergy.is(class) && medicine.is(class))
    })
}

/// A medicine that was asked for or given at a place, beside the allergy that speaks against it.
pub(super) fn beside_allergy(facts: &Facts, place: String, medicine: &str, allergy: usize) -> Finding {
    let shown = facts.derived.allergies[allergy].shown();
    Finding::at(place)
        .says(medicine.to_owned())
        .see(format!("history.allergies[{allergy}].to"), format!("allergic to {shown}"))
}

/// What to do where it was given.
pub(super) const GIVEN_AGAINST_ALLERGY: &str = "correct the medicine or the allergy where it was written wrongly; if it was given, call the patient now and \
     record it under `incidents`";

/// By whom a result is to be read, for the rules that ask for the name.
pub(super) const RESULT_OWNER: Cite = Cite::adapts(
    &sources::records::RESULTS_RESPONSIBILITY,
    "whoever orders a test is responsible for its result",
    "asking that the name be written down is ours",
);

/// What was sent at a place: a finding if there is neither a result nor anybody who acts on it.
pub(super) fn without_owner(
    place: String,
    acts: &Option<String>,
    result: &Option<String>,
) -> Option<Finding> {
    (is_blank(acts.as_deref()) && is_blank(result.as_deref())).then(|| {
        Finding::at(place)
            .says("neither `acts` nor `result` is there")
            .fix("write who acts on the result: `acts: R. Quill`, or the result once it is there")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spaces_alone_are_blank() {
        assert!(is_blank(None) && is_blank(Some("  ")) && !is_blank(Some("none")));
    }

    #[test]
    fn a_misspelling_is_never_suggested() {
        use crate::clinical::tables::{allergens, medicines};
        assert_eq!(meant("lidocaien", &[allergens()]), Some("lidocaine"));
        assert_eq!(meant("metotrexate", &[allergens(), medicines()]), Some("methotrexate"));
        assert_eq!(meant("Eliqius", &[medicines()]), Some("Eliquis"));
        assert_eq!(meant("grandmother's green drops", &[medicines()]), None);
    }

    #[test]
    fn removals_and_times_read_well() {
        assert_eq!(named(Toe::L1), "L1 (left hallux)");
        assert_eq!(removal(Nail::Total, &[Edge::Medial]), "total avulsion");
        assert_eq!(removal(Nail::Partial, &[Edge::Lateral]), "partial avulsion, lateral edge");
        for (seconds, words) in [(45, "45 s"), (60, "1 min"), (181, "3 min 1 s"), (0, "0 s")] {
            assert_eq!(minutes_and_seconds(seconds.into()), words);
        }
    }
}
