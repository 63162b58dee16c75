//! An antibiotic that does harm together with a medicine that the patient takes.

use super::VISIT;
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "antibiotic-interaction",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "the antibiotic interacts with a medicine of the patient",
    why: "A macrolide raises the level of a statin and of an anticoagulant: muscles break down, or the patient bleeds.",
    cite: Cite::states(&sources::advice::MACROLIDE_INTERACTIONS, "statins; warfarin; DOACs"),
    limits: "Knows macrolides with statins and with anticoagulants. All others are for whoever prescribes.",
    example: Example {
        bad: r#"{history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: clarithromycin, from: gp}}]}"#,
        good: r#"{history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: flucloxacillin, from: gp}}]}"#,
    },
    check,
};

/// What a macrolide does beside a medicine of a class.
const EFFECTS: [(Class, &str); 2] = [
    (Class::Statin, "the level of the statin rises, and muscles may break down"),
    (Class::Anticoagulant, "the patient may bleed"),
];

fn check(facts: &Facts) -> Vec<Finding> {
    let antibiotics = facts.case.visits.iter().enumerate().filter_map(|(at, visit)| {
        let medicine = LookedUp::medicine(&visit.antibiotic.as_ref()?.medicine);
        medicine.is(Class::Macrolide).then_some((at, medicine))
    });
    antibiotics
        .flat_map(|(at, antibiotic)| {
            let taken = facts.derived.medicines.iter().enumerate();
            taken
                .filter_map(|(of, taken)| {
                    let (_, effect) = EFFECTS.iter().find(|(class, _)| taken.is(*class))?;
                    Some(
                        Finding::at(format!("visits[{at}].antibiotic.medicine"))
                            .says(format!("{}: {effect}", antibiotic.typed))
                            .see(format!("history.medicines[{of}]"), format!("takes {}", taken.shown()))
                            .fix(
                                "ask for another, or tell the practice of both, and say under `accepted` what \
                                 was agreed",
                            ),
                    )
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_macrolide_beside_a_statin_or_an_anticoagulant_is_found() {
        let with = |taken: &str, given: &str| {
            paths(
                &RULE,
                &format!(
                    "{{history: {{medicines: [{taken}]}}, visits: [{{on: 2026-12-01, kind: unplanned, \
                     antibiotic: {{medicine: {given}, from: gp}}}}]}}"
                ),
            )
        };
        for taken in ["warfarin", "apixaban", "simvastatin", "atorvastatin 20 mg"] {
            assert_eq!(with(taken, "clarithromycin"), ["visits[0].antibiotic.medicine"], "{taken}");
            assert_eq!(with(taken, "erythromycin 500 mg").len(), 1, "{taken}");
            assert!(with(taken, "flucloxacillin").is_empty(), "{taken}");
        }
        assert!(with("amlodipine", "clarithromycin").is_empty());
    }
}
