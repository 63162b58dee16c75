//! Ankle-brachial and toe-brachial pressure index of each side, with their bands.
//!
//! The ankle counts with its better artery and the arms with the higher pressure of both. Where only
//! one artery or one arm was measured, that one is used and the working says so: one artery can only
//! make the index too low, which is the safe side, but one arm can make it too high.

use super::{Banded, BySide, Circulation, Given, Unknown, Value};
use crate::anatomy::Side;
use crate::case::{Brachial, FootCirculation, Vascular};
use crate::clinical::pressure_bands::{Band, abpi_band, pressure_index, tbpi_band};
use crate::clinical::{Cite, sources::circulation};
use crate::diagnostic::Path;
use crate::units::Mmhg;

const ABPI: Cite = Cite::states(
    &circulation::ABI_GUIDELINE_2016,
    "recommendations for resting ABI: higher ankle pressure over higher arm pressure, 2 decimals, and bands",
);
const ABPI_INCOMPLETE: Cite = Cite::adapts(
    &circulation::ABI_GUIDELINE_2016,
    "recommendations for resting ABI: higher ankle pressure over higher arm pressure, 2 decimals, and bands",
    "it takes both arteries and both arms; one was not recorded, and the other is used alone",
);
const ABPI_TOLD: Cite = Cite::adapts(
    &circulation::ABI_GUIDELINE_2016,
    "recommendations for resting ABI: higher ankle pressure over higher arm pressure, 2 decimals, and bands",
    "only its bands are used: the index was measured elsewhere and is taken as recorded",
);
/// Where the toe-brachial index and its bands come from.
pub const TBPI: Cite = Cite::from_memory(
    &circulation::TBI_GUIDELINE,
    "toe-brachial index: toe over higher arm pressure, and bands",
);

pub(super) fn circulation_of(given: Given<'_>) -> BySide<Circulation> {
    let nothing = Vascular::default();
    let vascular = given.case.vascular.as_ref().unwrap_or(&nothing);
    BySide { right: of_side(vascular, Side::Right), left: of_side(vascular, Side::Left) }
}

fn of_side(vascular: &Vascular, side: Side) -> Circulation {
    let foot = match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    };
    let nothing = FootCirculation::default();
    let foot = foot.unwrap_or(&nothing);
    let brachial = vascular.brachial.as_ref();
    let arm = higher_arm(brachial);
    Circulation {
        abpi: abpi(foot, arm.as_ref(), brachial, side),
        tbpi: tbpi(foot, arm.as_ref(), brachial, side),
    }
}

/// A pressure, and what is to be said about how it was chosen.
struct Chosen {
    pressure: Mmhg,
    is_alone: bool,
    says: String,
}

/// The higher of two pressures, or the only one.
fn higher(
    first: (Option<Mmhg>, &str),
    second: (Option<Mmhg>, &str),
    of_two: &str,
    if_alone: &str,
) -> Option<Chosen> {
    let alone = |pressure: Mmhg, name: &str| Chosen {
        pressure,
        is_alone: true,
        says: format!("{name}, the only one measured{if_alone}"),
    };
    match (first, second) {
        ((None, _), (None, _)) => None,
        ((Some(only), name), (None, _)) | ((None, _), (Some(only), name)) => Some(alone(only, name)),
        ((Some(one), one_name), (Some(other), other_name)) => {
            let (pressure, name) = if one >= other { (one, one_name) } else { (other, other_name) };
            Some(Chosen { pressure, is_alone: false, says: format!("{name}, {of_two}") })
        }
    }
}

fn higher_arm(brachial: Option<&Brachial>) -> Option<Chosen> {
    let brachial = brachial?;
    higher(
        (brachial.right.value(), "right arm"),
        (brachial.left.value(), "left arm"),
        "the higher",
        ": the index may read too high",
    )
}

fn higher_ankle(foot: &FootCirculation) -> Option<Chosen> {
    higher(
        (foot.posterior_tibial.value(), "posterior tibial"),
        (foot.dorsalis_pedis.value(), "dorsalis pedis"),
        "the higher",
        ": the index may read too low",
    )
}

fn abpi(
    foot: &FootCirculation,
    arm: Option<&Chosen>,
    brachial: Option<&Brachial>,
    side: Side,
) -> Value<Banded> {
    let ankle = higher_ankle(foot);
    let (Some(ankle), Some(arm)) = (&ankle, arm) else {
        if let Some(told) = foot.abpi.value() {
            let mut index = told.0;
            index.rescale(2);
            return Value::known(
                Banded { index, band: abpi_band(index), is_told: true },
                "as recorded, not worked out here".to_owned(),
                ABPI_TOLD,
            );
        }
        let mut unknown = Unknown::default();
        if ankle.is_none() {
            let foot_path = Path::from("vascular").key(side.word());
            unknown.lacks(foot_path.key("dorsalis_pedis"), &foot.dorsalis_pedis);
            unknown.lacks(foot_path.key("posterior_tibial"), &foot.posterior_tibial);
        }
        return without_arm(unknown, arm, brachial);
    };
    let cite = if ankle.is_alone || arm.is_alone { ABPI_INCOMPLETE } else { ABPI };
    banded(ankle, arm, abpi_band, cite)
}

fn tbpi(
    foot: &FootCirculation,
    arm: Option<&Chosen>,
    brachial: Option<&Brachial>,
    side: Side,
) -> Value<Banded> {
    let toe = foot.toe.value().map(|pressure| Chosen { pressure, is_alone: false, says: "toe".to_owned() });
    let (Some(toe), Some(arm)) = (&toe, arm) else {
        let mut unknown = Unknown::default();
        unknown.lacks(Path::from("vascular").key(side.word()).key("toe"), &foot.toe);
        return without_arm(unknown, arm, brachial);
    };
    banded(toe, arm, tbpi_band, TBPI)
}

/// Adds what is lacking of the arms: the gaps with their reasons, else the whole block.
fn without_arm(mut unknown: Unknown, arm: Option<&Chosen>, brachial: Option<&Brachial>) -> Value<Banded> {
    if arm.is_none() {
        let arms = [brachial.map(|arms| (&arms.right, "right")), brachial.map(|arms| (&arms.left, "left"))];
        let gaps: Vec<_> = arms.into_iter().flatten().filter(|(arm, _)| arm.gap().is_some()).collect();
        for (arm, side) in &gaps {
            unknown.lacks(Path::from("vascular.brachial").key(*side), arm);
        }
        if gaps.is_empty() {
            unknown.missing.push("vascular.brachial".into());
        }
    }
    Value::Unknown(unknown)
}

fn banded(
    below: &Chosen,
    arm: &Chosen,
    band_of: fn(rust_decimal::Decimal) -> Band,
    cite: Cite,
) -> Value<Banded> {
    let Some(index) = pressure_index(below.pressure, arm.pressure) else {
        return Value::because("a brachial pressure of 0 mmHg cannot be");
    };
    let working = format!(
        "{} mmHg ({}) / {} mmHg ({}) = {index}",
        below.pressure.0, below.says, arm.pressure.0, arm.says
    );
    Value::known(Banded { index, band: band_of(index), is_told: false }, working, cite)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clinical::Relation;
    use crate::rules::example::facts_of;

    fn of(fragment: &str) -> BySide<Circulation> {
        facts_of(&format!("vascular: {{{fragment}}}")).derived.circulation
    }

    fn printed(value: &Value<Banded>) -> String {
        value.print(|index| format!("{} {}", index.index, index.band.word()))
    }

    #[test]
    fn the_higher_ankle_over_the_higher_arm() {
        let circulation = of(
            "brachial: {right: 128, left: 130}, right: {dorsalis_pedis: 120, posterior_tibial: 110}, left: {dorsalis_pedis: 125, posterior_tibial: 118}",
        );
        assert_eq!(printed(&circulation.right.abpi), "0.92 borderline");
        assert_eq!(printed(&circulation.left.abpi), "0.96 borderline");
        let known = circulation.left.abpi.entry().expect("known");
        assert_eq!(
            known.working,
            "125 mmHg (dorsalis pedis, the higher) / 130 mmHg (left arm, the higher) = 0.96"
        );
        assert_eq!(known.source.relation, Relation::States);
    }

    #[test]
    fn an_index_that_was_measured_elsewhere_counts_as_recorded() {
        let circulation = of("brachial: ~, right: {abpi: \"0.9\"}, left: {abpi: \"1.05\"}");
        assert_eq!(printed(&circulation.right.abpi), "0.90 abnormal");
        assert_eq!(printed(&circulation.left.abpi), "1.05 normal");
        assert_eq!(
            circulation.left.abpi.entry().map(|known| known.working.as_str()),
            Some("as recorded, not worked out here")
        );
        // What was measured here counts before what was told.
        let beside = of(
            "brachial: {right: 130, left: 130}, left: {abpi: \"1.05\", dorsalis_pedis: 80, posterior_tibial: 80}",
        );
        assert_eq!(printed(&beside.left.abpi), "0.62 abnormal");
    }

    #[test]
    fn the_band_is_that_of_the_rounded_index() {
        let band = |ankle: u16| {
            let fragment = format!(
                "brachial: {{right: 200, left: 200}}, right: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}}}"
            );
            printed(&of(&fragment).right.abpi)
        };
        assert_eq!(band(180), "0.90 abnormal");
        assert_eq!(band(181), "0.91 borderline");
        assert_eq!(band(198), "0.99 borderline");
        assert_eq!(band(199), "1.00 normal");
        assert_eq!(band(280), "1.40 normal");
        assert_eq!(band(281), "1.41 non-compressible");
        assert_eq!(band(0), "0.00 abnormal");
    }

    #[test]
    fn a_single_artery_or_arm_is_used_and_said() {
        let circulation =
            of("brachial: {right: 130, left: ~}, left: {dorsalis_pedis: 117, posterior_tibial: ~, toe: 91}");
        let known = circulation.left.abpi.entry().expect("known");
        assert_eq!(
            known.working,
            "117 mmHg (dorsalis pedis, the only one measured: the index may read too low) / 130 mmHg \
             (right arm, the only one measured: the index may read too high) = 0.90"
        );
        assert!(matches!(known.source.relation, Relation::Adapts(_)));
        assert_eq!(printed(&circulation.left.tbpi), "0.70 abnormal");
    }

    #[test]
    fn toe_over_the_higher_arm() {
        let band = |toe: u16| {
            printed(&of(&format!("brachial: {{right: 100, left: 90}}, right: {{toe: {toe}}}")).right.tbpi)
        };
        assert_eq!(band(70), "0.70 abnormal");
        assert_eq!(band(71), "0.71 normal");
    }

    #[test]
    fn what_is_missing_is_named() {
        let gap =
            of("right: {dorsalis_pedis: {not_recorded: ulcer}, posterior_tibial: {not_recorded: ulcer}}, \
                      brachial: {right: {not_recorded: lymphoedema}, left: ~}");
        assert_eq!(
            printed(&gap.right.abpi),
            "not known: vascular.right.dorsalis_pedis not recorded: ulcer; \
             vascular.right.posterior_tibial not recorded: ulcer; \
             vascular.brachial.right not recorded: lymphoedema"
        );
        let circulation = of("right: ~, left: {dorsalis_pedis: ~}, brachial: ~");
        assert_eq!(
            printed(&circulation.right.abpi),
            "not known: vascular.right.dorsalis_pedis, vascular.right.posterior_tibial and vascular.brachial missing"
        );
        assert_eq!(printed(&circulation.left.abpi), "not known: vascular.brachial missing");
        assert_eq!(
            printed(&circulation.right.tbpi),
            "not known: vascular.right.toe and vascular.brachial missing"
        );
        let circulation = of("brachial: {right: 0, left: 0}");
        assert_eq!(printed(&circulation.right.abpi), "not known: a brachial pressure of 0 mmHg cannot be");
    }
}
