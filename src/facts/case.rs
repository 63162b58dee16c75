//! All that rules and documents may look at: the case, the clinic, what was worked out, and today.

use std::sync::Arc;

use crate::anatomy::{Edge, Nail, Toe};
use crate::case::{
    Case, Clinic, ConsentedToe, Gp, GpEntry, Operated, OperatedToe, PlannedToe, Practitioner, UsualAgent,
};
use crate::clinical::tables::Class;
use crate::date::CivilDate;
use crate::derive::{Derived, Given, derive};

/// A toe as it was planned and as it was done.
#[derive(Debug, Clone, Copy)]
pub struct PlanAndDone<'a> {
    /// The toe.
    pub toe: Toe,
    /// The plan for it; `None` if there is none.
    pub plan: Option<&'a PlannedToe>,
    /// All that is recorded of it at the operation: it was injected, tied or operated on.
    pub treated: Option<&'a OperatedToe>,
    /// The same where nail was removed.
    pub operated: Option<Operated<'a>>,
    /// Why something that was planned for it was not done; empty where nothing is written.
    pub not_done: &'a str,
}

/// The facts of one case.
#[derive(Debug, Clone)]
pub struct Facts {
    /// The case as written.
    pub case: Arc<Case>,
    /// The clinic as written: one for all its cases.
    pub clinic: Arc<Clinic>,
    /// Today, from the edge.
    pub today: CivilDate,
    /// What was worked out.
    pub derived: Derived,
}

impl Facts {
    /// Works everything out.
    pub fn new(case: impl Into<Arc<Case>>, clinic: impl Into<Arc<Clinic>>, today: CivilDate) -> Facts {
        let (case, clinic) = (case.into(), clinic.into());
        let derived = derive(Given { case: &case, clinic: &clinic, today });
        Facts { case, clinic, today, derived }
    }

    /// The day of surgery; before it the day for which it is booked, or today if it is not.
    pub fn day(&self) -> CivilDate {
        Given { case: &self.case, clinic: &self.clinic, today: self.today }.day()
    }

    /// The anaesthetic that is planned in the case, else the one that the clinic always uses.
    pub fn planned_anaesthetic(&self) -> Option<&UsualAgent> {
        self.case.planned_anaesthetic.as_ref().or(self.clinic.protocol.anaesthetic.as_ref())
    }

    /// The practitioner who operated: the one named in the operation; before surgery the one who
    /// took consent, if the clinic knows that key; else the clinic's only one.
    pub fn operator(&self) -> Option<&Practitioner> {
        let people = &self.clinic.practitioners;
        if let Some(key) = self.case.operation.as_ref().and_then(|operation| operation.operator.as_ref()) {
            return people.get(key);
        }
        let before = || self.case.consent.as_ref()?.taken_by.as_ref();
        let is_planned = self.case.operation.is_none();
        let taken_by = is_planned.then(before).flatten().and_then(|key| people.get(key));
        taken_by.or_else(|| if people.len() == 1 { people.values().next() } else { None })
    }

    /// The day of a visit and the how manieth of that day it is, from 1; `None` if there is no such visit.
    pub fn visit_named(&self, at: usize) -> Option<(CivilDate, usize)> {
        let visits = &self.case.visits;
        let on = visits.get(at)?.on;
        let nth = visits.iter().take(at + 1).filter(|visit| visit.on == on).count();
        Some((on, nth))
    }

    /// The family doctor, from the case or from the clinic's address book.
    pub fn gp(&self) -> Option<&Gp> {
        match self.case.gp.as_ref()? {
            GpEntry::Key(key) => self.clinic.gps.get(key),
            GpEntry::Block(gp) => Some(gp),
        }
    }

    /// The planned toes, right first.
    pub fn planned(&self) -> Vec<(Toe, &PlannedToe)> {
        self.case.plan.as_ref().map_or_else(Vec::new, |plan| plan.iter().collect())
    }

    /// The toes of which nail was removed, right first.
    pub fn operated(&self) -> Vec<(Toe, Operated<'_>)> {
        self.case.operation.as_ref().map_or_else(Vec::new, |operation| operation.operated().collect())
    }

    /// Every toe that was planned or treated, right first, with the plan for it and what was done.
    pub fn operated_with_plan(&self) -> Vec<PlanAndDone<'_>> {
        let operation = self.case.operation.as_ref();
        let all = Toe::ALL.into_iter().map(|toe| PlanAndDone {
            toe,
            plan: self.case.plan.as_ref().and_then(|plan| plan.get(toe)),
            treated: operation.and_then(|operation| operation.toes.get(toe)),
            operated: operation
                .and_then(|operation| operation.operated().find(|(other, _)| *other == toe))
                .map(|(_, done)| done),
            not_done: operation
                .and_then(|operation| operation.not_done.as_ref()?.get(toe))
                .map_or("", |reason| reason.trim()),
        });
        all.filter(|one| one.plan.is_some() || one.treated.is_some()).collect()
    }

    /// The toes that were injected, tied or operated on, right first.
    pub fn treated(&self) -> Vec<(Toe, &OperatedToe)> {
        self.case.operation.as_ref().map_or_else(Vec::new, |operation| operation.toes.iter().collect())
    }

    /// There was an operation, and nothing was removed from any toe.
    pub fn is_given_up(&self) -> bool {
        self.case.operation.as_ref().is_some_and(|operation| operation.is_given_up())
    }

    /// The toes that an operation which was given up was about: those that were prepared, else those that were
    /// planned; none if it was not given up.
    pub fn given_up_toes(&self) -> Vec<Toe> {
        if !self.is_given_up() {
            return Vec::new();
        }
        let treated: Vec<Toe> = self.treated().into_iter().map(|(toe, _)| toe).collect();
        if treated.is_empty() { self.planned().into_iter().map(|(toe, _)| toe).collect() } else { treated }
    }

    /// The toes on the signed form: as recorded, else the plan.
    pub fn consented(&self) -> Vec<(Toe, ConsentedToe)> {
        match self.case.consent.as_ref().and_then(|consent| consent.toes.as_ref()) {
            Some(toes) => toes.iter().map(|(toe, entry)| (toe, entry.clone())).collect(),
            None => self
                .planned()
                .into_iter()
                .map(|(toe, entry)| (toe, ConsentedToe { nail: entry.nail, edges: entry.edges.clone() }))
                .collect(),
        }
    }

    /// There is an allergy to something of this class.
    pub fn allergic_to(&self, class: Class) -> bool {
        self.derived.allergies.iter().any(|allergy| allergy.is(class))
    }

    /// Diabetes is recorded.
    pub fn has_diabetes(&self) -> bool {
        self.derived.diabetes.holds()
    }
}

/// `total` removes every edge.
pub fn covers(nail: Nail, edges: &[Edge], edge: Edge) -> bool {
    nail == Nail::Total || edges.contains(&edge)
}
