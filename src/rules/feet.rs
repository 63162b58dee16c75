//! The feet of a case for several rules: which are under surgery, and what was recorded of each.
//! Nothing here judges.

use super::words::named;
use crate::anatomy::{Side, Toe};
use crate::case::{FootCirculation, Measured};
use crate::facts::Facts;
use crate::units::{Mmhg, SitesFelt};

/// A foot with a toe under surgery.
pub(super) struct UnderSurgery {
    /// The side.
    pub(super) side: Side,
    /// Its first toe under surgery.
    toe: Toe,
    /// There was an operation; otherwise it is planned.
    is_done: bool,
}

impl UnderSurgery {
    /// Where the surgery is written.
    pub(super) fn path(&self) -> String {
        let block = if self.is_done { "operation.toes" } else { "plan" };
        format!("{block}.{}", self.toe)
    }

    /// `L1 (left hallux) was operated on`, for the other end of a finding.
    pub(super) fn label(&self) -> String {
        let verb = if self.is_done { "was operated on" } else { "is to be operated on" };
        format!("{} {verb}", named(self.toe))
    }
}

/// The feet with a toe that was injected, tied or operated on or, where there has been no operation, with a
/// planned one.
pub(super) fn under_surgery(facts: &Facts) -> Vec<UnderSurgery> {
    let is_done = facts.case.operation.is_some();
    let toes: Vec<Toe> = if is_done {
        facts.treated().into_iter().map(|(toe, _)| toe).collect()
    } else {
        facts.planned().into_iter().map(|(toe, _)| toe).collect()
    };
    Side::BOTH
        .into_iter()
        .filter_map(|side| {
            let toe = toes.iter().copied().find(|toe| toe.side() == side)?;
            Some(UnderSurgery { side, toe, is_done })
        })
        .collect()
}

/// Toes that were infected at assessment and are operated on or, before an operation, to be operated on.
pub(super) fn infected_under_surgery(facts: &Facts) -> Vec<Toe> {
    let toes: Vec<Toe> = match &facts.case.operation {
        Some(_) => facts.treated().into_iter().map(|(toe, _)| toe).collect(),
        None => facts.planned().into_iter().map(|(toe, _)| toe).collect(),
    };
    let affected = facts.case.affected();
    let infected = |toe: Toe| affected.and_then(|all| all.get(toe)).and_then(|found| found.infected);
    toes.into_iter().filter(|toe| infected(*toe) == Some(true)).collect()
}

/// The feet under surgery whose toe pressure is recorded, each with it.
pub(super) fn with_toe_pressure(facts: &Facts) -> impl Iterator<Item = (UnderSurgery, Mmhg)> {
    under_surgery(facts).into_iter().filter_map(|foot| {
        let pressure = circulation(facts, foot.side)?.toe.value()?;
        Some((foot, pressure))
    })
}

/// What was recorded of the circulation of one foot.
pub(super) fn circulation(facts: &Facts, side: Side) -> Option<&FootCirculation> {
    let vascular = facts.case.vascular.as_ref()?;
    match side {
        Side::Right => vascular.right.as_ref(),
        Side::Left => vascular.left.as_ref(),
    }
}

/// What was recorded of the sensation of one foot: the sites, or why they were not tested.
pub(super) fn sensation(facts: &Facts, side: Side) -> Option<&Measured<SitesFelt>> {
    let sensation = facts.case.sensation.as_ref()?;
    Some(match side {
        Side::Right => &sensation.right,
        Side::Left => &sensation.left,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn feet(fragment: &str) -> Vec<(String, String)> {
        under_surgery(&facts_of(fragment)).iter().map(|foot| (foot.path(), foot.label())).collect()
    }

    #[test]
    fn only_an_infected_toe_under_surgery_counts() {
        let infected = |fragment: &str| infected_under_surgery(&facts_of(fragment));
        let left = "problem: {toes: {L1: {infected: true}}}";
        assert_eq!(infected(left), [Toe::L1]);
        assert_eq!(infected(&format!("{{operation: ~, {left}}}")), [Toe::L1]);
        assert_eq!(infected(&format!("{{operation: ~, plan: ~, {left}}}")), []);
        assert_eq!(infected("problem: {toes: {R1: {infected: true}}}"), []);
        assert_eq!(infected(""), []);
    }

    #[test]
    fn the_operation_counts_before_the_plan() {
        let right_too = "plan: {R1: {nail: total, matrix: none}}";
        let left = ("operation.toes.L1".into(), "L1 (left hallux) was operated on".into());
        assert_eq!(feet(&format!("{{{right_too}}}")), [left]);
        assert_eq!(
            feet(&format!("{{operation: ~, {right_too}}}")),
            [
                ("plan.R1".into(), "R1 (right hallux) is to be operated on".into()),
                ("plan.L1".into(), "L1 (left hallux) is to be operated on".into())
            ]
        );
        assert_eq!(feet("{operation: ~, plan: ~}"), []);
    }
}
