//! Redness around the wound of a patient with diabetes that reaches further than a mild sign of healing.

use super::{VISIT, seen_toes};
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{is_blank, named};
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "redness-in-diabetes",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "spreading redness in diabetes, and nothing says how urgent it is",
    why: "In diabetes redness that wide counts as a sign of infection, and a wide one as a moderate infection. Whoever decides needs to know how soon the foot is to be seen, and by whom.",
    cite: Cite::adapts(
        &sources::diabetes::FOOT_INFECTION_TABLE,
        "Table 1: redness over 5 mm is a sign, over 20 mm a moderate infection",
        "written for ulcers of the foot; a toe treated with phenol is red at its base, so that the mm are \
         printed and no class is",
    ),
    limits: "Phenol alone makes redness. A referral, an antibiotic or a request to the practice is enough, and is not judged.",
    example: Example {
        bad: r#"{history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}, visits: [{on: 2026-12-01, kind: review, toes: {L1: {redness: 6 mm}}}]}"#,
        good: r#"{history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}, visits: [{on: 2026-12-01, kind: review, toes: {L1: {redness: 5 mm}}}]}"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if !facts.has_diabetes() {
        return Vec::new();
    }
    let (sign, wide) =
        (Threshold::RednessInDiabetesOver.number(), Threshold::WideRednessInDiabetesOver.number());
    seen_toes(facts)
        .filter(|(_, visit, ..)| {
            let asks = visit.gp_actions.as_ref().is_some_and(|asked| !asked.list().is_empty());
            visit.antibiotic.is_none() && is_blank(visit.referred.as_deref()) && !asks
        })
        .filter_map(|(at, _, toe, seen)| {
            let redness = seen.redness.value()?;
            let width = redness.number();
            let class = match () {
                () if wide < width => format!("over {wide} mm, as in a moderate infection"),
                () if sign < width => format!("over {sign} mm, a sign of infection"),
                () => return None,
            };
            Some(
                Finding::at(format!("visits[{at}].toes.{toe}.redness"))
                    .says(format!("{redness} at {}: {class}", named(toe)))
                    .see("history.diabetes", "has diabetes")
                    .fix(
                        "write to whom the patient was referred, and how soon, under `referred`; if it is the \
                         redness of phenol, say so under `accepted`",
                    ),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::says;

    fn red(mm: &str, rest: &str) -> Vec<String> {
        let diabetes = "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}";
        let visit =
            format!("visits: [{{on: 2026-12-01, kind: review, toes: {{L1: {{redness: {mm} mm}}}}{rest}}}]");
        says(&RULE, &format!("{{{diabetes}, {visit}}}"))
    }

    #[test]
    fn the_bands_begin_above_5_and_20_mm() {
        assert!(red("5", "").is_empty());
        assert_eq!(red("6", ""), ["6 mm at L1 (left hallux): over 5 mm, a sign of infection"]);
        assert_eq!(red("20", ""), ["20 mm at L1 (left hallux): over 5 mm, a sign of infection"]);
        assert_eq!(red("21", ""), ["21 mm at L1 (left hallux): over 20 mm, as in a moderate infection"]);
        assert!(red("21", ", referred: \"foot protection service, today\"").is_empty());
    }

    #[test]
    fn without_diabetes_it_is_not_asked() {
        assert!(
            says(&RULE, "visits: [{on: 2026-12-01, kind: review, toes: {L1: {redness: 21 mm}}}]").is_empty()
        );
    }
}
