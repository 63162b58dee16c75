//! The demo cases, embedded: what changed templates are tried on. Everyone in them is invented.

mod invent;

use std::sync::Arc;

pub use invent::{invent, invent_year};

use crate::date::CivilDate;
use crate::diagnostic::SourceText;

/// File name and text of each demo case.
pub const CASES: &[(&str, &str)] = &[
    ("routine-adult.yaml", include_str!("../../cases/routine-adult.yaml")),
    ("young-person-guardian.yaml", include_str!("../../cases/young-person-guardian.yaml")),
    ("young-person-17.yaml", include_str!("../../cases/young-person-17.yaml")),
    ("older-diabetes-anticoagulant.yaml", include_str!("../../cases/older-diabetes-anticoagulant.yaml")),
    ("planned-pregnant.yaml", include_str!("../../cases/planned-pregnant.yaml")),
    ("best-interests.yaml", include_str!("../../cases/best-interests.yaml")),
    ("interpreter-three-toes.yaml", include_str!("../../cases/interpreter-three-toes.yaml")),
    ("immunosuppressed-no-phenol.yaml", include_str!("../../cases/immunosuppressed-no-phenol.yaml")),
    ("wrong-toe.yaml", include_str!("../../cases/wrong-toe.yaml")),
    ("overdose.yaml", include_str!("../../cases/overdose.yaml")),
    ("healed.yaml", include_str!("../../cases/healed.yaml")),
    ("infected-after-surgery.yaml", include_str!("../../cases/infected-after-surgery.yaml")),
    ("lost-to-follow-up.yaml", include_str!("../../cases/lost-to-follow-up.yaml")),
    ("regrowth.yaml", include_str!("../../cases/regrowth.yaml")),
    ("regrowth-again.yaml", include_str!("../../cases/regrowth-again.yaml")),
    ("given-up-after-injection.yaml", include_str!("../../cases/given-up-after-injection.yaml")),
];

/// Cases of which hardly anything was written down, before, during and after the course of care: drafts in
/// which nearly all is not recorded. Between them every document can be drafted.
const SPARSE: &[(&str, &str)] = &[
    (
        "hardly-anything-planned.yaml",
        "# An invented case; nobody in it exists.
reference: LFC-0101
patient: {given: Tamsin, family: Penrose, born: 1990-03-14}
plan:
  R1: {nail: partial, edges: [medial], matrix: phenol}
",
    ),
    (
        "hardly-anything-recorded.yaml",
        "# An invented case; nobody in it exists.
reference: LFC-0100
patient: {given: Tamsin, family: Penrose, born: 2010-03-14}
gp: birchgate
plan:
  R1: {nail: partial, edges: [medial], matrix: phenol}
operation:
  date: 2026-11-24
  toes:
    R1: {nail: partial, edges: [medial]}
incidents: [{}]
visits:
  - {on: 2026-11-24, kind: redressing}
  - {on: 2026-11-24, kind: unplanned, toes: {R1: {infected: true}}}
  - {on: 2026-11-25, kind: telephone}
  - {on: 2026-11-25, kind: missed}
",
    ),
    (
        "hardly-anything-closed.yaml",
        "# An invented case; nobody in it exists.
reference: LFC-0102
patient: {given: Tamsin, family: Penrose, born: 1990-03-14}
gp: birchgate
plan:
  R1: {nail: partial, edges: [medial], matrix: phenol}
operation:
  date: 2026-11-24
  toes:
    R1: {nail: partial, edges: [medial]}
closed: {on: 2026-11-25, because: lost}
",
    ),
];

/// The cases that templates are tried on: file name and text.
pub fn variants() -> Vec<(&'static str, &'static str)> {
    CASES.iter().chain(SPARSE).copied().collect()
}

/// The clinic file of the demo cases.
pub const CLINIC: &str = include_str!("../../cases/clinic.yaml");

/// One demo case as the reader wants it.
pub fn source(name: &str, text: &str) -> Arc<SourceText> {
    Arc::new(SourceText::new(format!("cases/{name}"), text))
}

/// The clinic file as the reader wants it.
pub fn clinic() -> Arc<SourceText> {
    Arc::new(SourceText::new("cases/clinic.yaml", CLINIC))
}

/// The day by which the demo cases are judged, so that they never grow stale.
///
/// # Panics
/// Never: the date is a literal.
pub fn today() -> CivilDate {
    CivilDate::of(2026, 11, 25).expect("a literal date")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::documents::{DOCUMENTS, can_be_made};
    use crate::pipeline::check;

    #[test]
    fn hardly_anything_is_enough_for_a_draft_of_every_document() {
        let checked = |(name, text): &(&str, &str)| check(source(name, text), &clinic(), today());
        let all: Vec<_> = SPARSE.iter().map(checked).collect();
        assert!(all.iter().all(|one| one.facts.is_some()), "one cannot be read");
        assert!(all[1].blocking() > 5, "{:?}", all[1].diagnostics);
        let facts = || all.iter().filter_map(|one| one.facts.as_ref());
        for document in DOCUMENTS {
            assert!(facts().any(|facts| can_be_made(document, facts)), "{}", document.name);
        }
    }
}
