//! What was recorded of one foot: the one place that reads it side by side.

use super::Given;
use crate::anatomy::Side;
use crate::case::{FootCirculation, Measured, Pulses};
use crate::units::{Mmhg, SitesFelt};

/// What was recorded of the circulation of a foot.
fn circulation<'a>(given: Given<'a>, side: Side) -> Option<&'a FootCirculation> {
    let vascular = given.case.vascular.as_ref()?;
    match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    }
}

/// The pulses of a foot, in one word.
pub(super) fn pulses(given: Given<'_>, side: Side) -> Measured<Pulses> {
    circulation(given, side).map_or(Measured::Missing, |foot| foot.pulses.map(|found| found.foot()))
}

/// The toe pressure of a foot.
pub(super) fn toe_pressure(given: Given<'_>, side: Side) -> Option<Mmhg> {
    circulation(given, side)?.toe.value()
}

/// The monofilament sites of a foot.
pub(super) fn sites(given: Given<'_>, side: Side) -> Measured<SitesFelt> {
    let Some(sensation) = given.case.sensation.as_ref() else { return Measured::Missing };
    match side {
        Side::Right => sensation.right.clone(),
        Side::Left => sensation.left.clone(),
    }
}
