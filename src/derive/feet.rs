//! What was recorded of one foot: the one place that reads it side by side.

use super::Given;
use crate::case::{FootCirculation, Pulses, Side};
use crate::units::{Mmhg, SitesFelt};

/// What was recorded of the circulation of a foot.
fn circulation<'a>(given: Given<'a>, side: Side) -> Option<&'a FootCirculation> {
    let vascular = given.case.vascular.as_ref()?;
    match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    }
}

/// The pulses of a foot.
pub(super) fn pulses(given: Given<'_>, side: Side) -> Option<Pulses> {
    circulation(given, side)?.pulses
}

/// The toe pressure of a foot.
pub(super) fn toe_pressure(given: Given<'_>, side: Side) -> Option<Mmhg> {
    circulation(given, side)?.toe
}

/// The monofilament sites of a foot.
pub(super) fn sites(given: Given<'_>, side: Side) -> Option<SitesFelt> {
    let sensation = given.case.sensation.as_ref()?;
    match side {
        Side::Right => sensation.right,
        Side::Left => sensation.left,
    }
}
