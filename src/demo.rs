//! The demo cases, embedded: what changed templates are tried on. Everyone in them is invented.

use std::sync::Arc;

use crate::date::CivilDate;
use crate::diagnostic::SourceText;

/// File name and text of each demo case.
pub const CASES: &[(&str, &str)] = &[
    ("routine-adult.yaml", include_str!("../cases/routine-adult.yaml")),
    ("young-person-guardian.yaml", include_str!("../cases/young-person-guardian.yaml")),
    ("young-person-17.yaml", include_str!("../cases/young-person-17.yaml")),
    ("older-diabetes-anticoagulant.yaml", include_str!("../cases/older-diabetes-anticoagulant.yaml")),
    ("planned-pregnant.yaml", include_str!("../cases/planned-pregnant.yaml")),
    ("best-interests.yaml", include_str!("../cases/best-interests.yaml")),
    ("interpreter-three-toes.yaml", include_str!("../cases/interpreter-three-toes.yaml")),
    ("immunosuppressed-no-phenol.yaml", include_str!("../cases/immunosuppressed-no-phenol.yaml")),
    ("wrong-toe.yaml", include_str!("../cases/wrong-toe.yaml")),
    ("overdose.yaml", include_str!("../cases/overdose.yaml")),
    ("healed.yaml", include_str!("../cases/healed.yaml")),
    ("infected-after-surgery.yaml", include_str!("../cases/infected-after-surgery.yaml")),
    ("lost-to-follow-up.yaml", include_str!("../cases/lost-to-follow-up.yaml")),
    ("regrowth.yaml", include_str!("../cases/regrowth.yaml")),
    ("regrowth-again.yaml", include_str!("../cases/regrowth-again.yaml")),
    ("given-up-after-injection.yaml", include_str!("../cases/given-up-after-injection.yaml")),
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
pub const CLINIC: &str = include_str!("../cases/clinic.yaml");

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

/// Varied, invented, routine cases: file name and text. The same seed gives the same cases.
pub fn invent(count: u32, seed: u64) -> Vec<(String, String)> {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    (1..=count).map(|number| (format!("TRY-{number:05}.yaml"), invent_one(number, &mut dice))).collect()
}

/// xorshift64: repeatable, and good enough to vary demo text.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % sides
    }

    fn pick<'a>(&mut self, from: &[&'a str]) -> &'a str {
        let sides = from.len() as u64;
        from[usize::try_from(self.roll(sides)).unwrap_or(0)]
    }
}

fn invent_one(number: u32, dice: &mut Dice) -> String {
    let given =
        dice.pick(&["Alder", "Brin", "Cosima", "Dara", "Eluned", "Fenn", "Gwil", "Hester", "Ines", "Jory"]);
    let family =
        dice.pick(&["Amberley", "Bracken", "Culver", "Dunnock", "Elvers", "Fallow", "Garnet", "Harrow"]);
    let sex = dice.pick(&["female", "male"]);
    let height = 155 + dice.roll(35);
    let weight = height - 105 + dice.roll(30);
    let year = 1962 + dice.roll(40);
    let toe = dice.pick(&["R1", "L1", "L1", "R1", "R2", "L3"]);
    let edges = dice.pick(&["[lateral]", "[medial]", "[medial, lateral]"]);
    let on = if edges.contains(',') { ", on: each edge" } else { "" };
    let medicine = dice.pick(&["", "salbutamol", "levothyroxine", "amlodipine", "sertraline"]);
    let volume = dice.pick(&["1.8", "2", "2.2"]);
    let tray = dice.roll(9000) + 1000;
    let summary = dice.pick(&[
        "eight months of pain, two courses of antibiotics",
        "three months of pain in shoes, not helped by packing",
        "returns every winter, now sore at night",
        "pain after long walks; tried cutting the corner away",
    ]);
    format!(
        r#"# An invented case for trials of speed; nobody in it exists.
reference: TRY-{number:05}
patient:
  given: {given}
  family: {family}
  born: {year}-05-17
  sex: {sex}
  weight: {weight} kg
  height: {height} cm
  address: [{number} Trial Street, Larkmoor, XX4 9ZZ]
gp: birchgate
history:
  diabetes: none
  conditions: []
  medicines: [{medicine}]
  allergies: none known
  smoker: false
  pregnant: false
problem:
  summary: {summary}
  toes:
    {toe}: {{edges: {edges}, stage: 2, infected: false}}
vascular:
  right: {{pulses: palpable}}
  left: {{pulses: palpable}}
sensation: {{right: 10/10, left: 10/10}}
plan:
  {toe}: {{nail: partial, edges: {edges}, matrix: phenol}}
consent:
  signed: 2026-11-24
  by: patient
  alternatives: [no treatment, conservative care]
  taken_by: quill
operation:
  date: 2026-11-24
  start: "09:30"
  finish: "10:20"
  operator: quill
  authority: exemption
  anaesthetic: {{agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}}
  phenol: {{strength: 89 %, batch: P203, expires: 2027-03}}
  instruments: {{tray: T-{tray}, cycle: "2231"}}
  checks: {{identity: true, site_marked: true, allergies: true, counted: true, tourniquet_off: true}}
  toes:
    {toe}:
      nail: partial
      edges: {edges}
      injected: {volume} ml
      at: "09:35"
      tourniquet: {{on: "09:50", off: "10:01"}}
      phenol: {{applications: 3, each: 60 s{on}}}
      end_point: tissue grey
      overspill: none
      lavage: saline
      refill: 2 s
      groove_clear: true
  complications: none
  urgency: elective
  blood_loss: minimal
  antibiotics: none
  vte_prophylaxis: none
  discharge: well, walked out
"#
    )
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
