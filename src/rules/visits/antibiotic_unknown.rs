//! An antibiotic that the tables do not know, and so cannot be held against the allergies of the patient.

use super::VISIT;
use crate::clinical::Cite;
use crate::clinical::tables::medicines;
use crate::derive::LookedUp;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::meant;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "antibiotic-unknown",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "an antibiotic is not known, so that allergies are not compared",
    why: "A name that is spelt otherwise would pass beside an allergy to that very medicine.",
    cite: Cite::project_default("what cannot be compared is said, never passed over"),
    limits: "Asks only where an allergy is recorded.",
    example: Example {
        bad: r#"{history: {allergies: [{to: penicillin}]}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: moonicillin, from: gp}}]}"#,
        good: r#"{history: {allergies: [{to: penicillin}]}, visits: [{on: 2026-12-01, kind: unplanned, antibiotic: {medicine: doxycycline, from: gp}}]}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.derived.allergies.is_empty() {
        return Vec::new();
    }
    let visits = facts.case.visits.iter().enumerate();
    visits
        .filter_map(|(at, visit)| Some((at, visit.antibiotic.as_ref()?)))
        .filter(|(_, antibiotic)| LookedUp::medicine(&antibiotic.medicine).parts.is_empty())
        .map(|(at, antibiotic)| {
            let fix = match meant(&antibiotic.medicine, &[medicines()]) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write its generic name; if it stands, say under `accepted` that it was compared"
                    .to_owned(),
            };
            Finding::at(format!("visits[{at}].antibiotic.medicine"))
                .says(format!("`{}` is not in the table of medicines", antibiotic.medicine))
                .see("history.allergies", "an allergy is recorded")
                .fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_name_that_nobody_knows_counts_only_beside_an_allergy() {
        let with = |allergies: &str, medicine: &str| {
            paths(
                &RULE,
                &format!(
                    "{{history: {{allergies: {allergies}}}, visits: [{{on: 2026-12-01, kind: unplanned, \
                     antibiotic: {{medicine: {medicine}, from: gp}}}}]}}"
                ),
            )
        };
        assert_eq!(with("[{to: latex}]", "moonicillin"), ["visits[0].antibiotic.medicine"]);
        assert!(with("none known", "moonicillin").is_empty());
        assert!(with("[{to: latex}]", "flucloxacillin 500 mg").is_empty());
    }
}
