//! Whether a foot feels less than it should.
//!
//! The one definition. It holds for a foot if monofilament sites were not felt, or if a condition is
//! recorded that takes feeling from the feet: the filament alone misses some of it. How many sites decide
//! depends on how many were tested: up to five, as both national procedures test, each site counts by
//! itself; of ten, two have to be missed.

use super::fact::conditions;
use super::feet::sites;
use super::{BySide, Fact, Given, LookedUp, Reason};
use crate::anatomy::Side;
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources::diabetes::NG19};
use crate::units::SitesFelt;

/// Conditions that take feeling from the feet, in the table of conditions.
const CLASS: Class = Class::ReducedFeeling;

const KNOWN: Cite = Cite::adapts(
    &NG19,
    "foot risk: neuropathy",
    "neuropathy is named there; its names, and that it counts for both feet, are ours",
);

/// Reduced feeling of each foot.
pub(super) fn reduced_feeling_of(given: Given<'_>, conditions: &[LookedUp]) -> BySide<Fact> {
    let of = |side| of_side(given, conditions, side);
    BySide { right: of(Side::Right), left: of(Side::Left) }
}

fn of_side(given: Given<'_>, list: &[LookedUp], side: Side) -> Fact {
    let sites = sites(given, side).value();
    let mut reasons = Vec::new();
    if let Some(sites) = sites
        && let Some(source) = too_few(sites)
    {
        let word = side.word();
        let says = format!("{word} foot: {} of {} monofilament sites felt", sites.felt, sites.tested);
        reasons.push(Reason::new(format!("sensation.{word}"), says, source));
    }
    reasons.extend(conditions(list, CLASS, KNOWN));
    Fact::of(reasons, sites.is_some())
}

/// Why so many missed sites count; `None` if they do not.
fn too_few(sites: SitesFelt) -> Option<Cite> {
    let (felt, tested) = (u32::from(sites.felt), u32::from(sites.tested));
    let missed = tested.saturating_sub(felt);
    let limit = if tested <= Threshold::FewSites.whole() {
        Threshold::MissedOfFewSites
    } else {
        Threshold::MissedOfManySites
    };
    (missed >= limit.whole()).then(|| limit.cite())
}

#[cfg(test)]
mod tests {
    use super::super::Answer;
    use crate::rules::example::facts_of;

    fn left(fragment: &str) -> Answer {
        facts_of(fragment).derived.reduced_feeling.left.answer
    }

    #[test]
    fn of_ten_sites_two_have_to_be_missed_and_of_few_one() {
        for (sites, answer) in [
            ("10/10", Answer::No),
            ("9/10", Answer::No),
            ("8/10", Answer::Yes),
            ("5/6", Answer::No),
            ("4/6", Answer::Yes),
            ("5/5", Answer::No),
            ("4/5", Answer::Yes),
            ("3/3", Answer::No),
            ("2/3", Answer::Yes),
        ] {
            assert_eq!(left(&format!("sensation: {{left: {sites}}}")), answer, "{sites}");
        }
        assert_eq!(left("sensation: {left: ~}"), Answer::NotKnown);
        assert_eq!(left("sensation: {right: 0/10}"), Answer::No);
    }

    #[test]
    fn known_neuropathy_counts_for_both_feet_whatever_was_felt() {
        let facts = facts_of("history: {conditions: [peripheral neuropathy]}");
        for fact in [&facts.derived.reduced_feeling.right, &facts.derived.reduced_feeling.left] {
            assert!(fact.holds());
            assert_eq!(fact.because(), "peripheral neuropathy");
        }
    }
}
