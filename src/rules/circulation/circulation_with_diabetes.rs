//! Diabetes and an ABPI that looks well, with no toe pressure. Above 1.40 it is `abpi-high`, at 0.90 or
//! less it is `abpi-low`: neither is said here again.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "circulation-with-diabetes",
    topic: Topic::Circulation,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "in diabetes an unremarkable ABPI alone does not exclude arterial disease",
    why: "Diabetes stiffens the arteries at the ankle, so that the index reads too high and disease is \
          missed. A toe pressure is less affected.",
    cite: Cite::states(&sources::circulation::CG147, "recommendations 1.3.4 to 1.3.5"),
    limits: "Knows pressures and pulses only, not the sound or shape of the flow signal.",
    example: Example {
        bad: "{history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}, \
               vascular: {left: {toe: ~}}}",
        good: "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if !facts.has_diabetes() {
        return Vec::new();
    }
    let mut findings = Vec::new();
    for foot in feet::under_surgery(facts) {
        let word = foot.side.word();
        let Some(abpi) = facts.derived.circulation.get(foot.side).abpi.get() else { continue };
        let has_toe_pressure = feet::circulation(facts, foot.side).is_some_and(|found| found.toe.is_some());
        if has_toe_pressure || !matches!(abpi.band.as_str(), "normal" | "borderline") {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}"))
                .says(format!("{word} ABPI {}, {}, and no toe pressure", abpi.index, abpi.band))
                .see("history.diabetes", "diabetes")
                .fix(format!("a toe pressure under `vascular.{word}.toe` would settle it")),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    /// Both arms read 100 mmHg, so the index is the ankle pressure in hundredths.
    fn left(ankle: u16, toe: &str) -> String {
        format!(
            "{{history: {{diabetes: {{type: 2}}}}, vascular: {{brachial: {{right: 100, left: 100}}, \
             left: {{dorsalis_pedis: {ankle}, posterior_tibial: {ankle}, toe: {toe}}}}}}}"
        )
    }

    #[test]
    fn between_the_low_and_the_high_index_it_is_said() {
        assert!(paths(&RULE, &left(90, "~")).is_empty());
        assert_eq!(says(&RULE, &left(91, "~")), ["left ABPI 0.91, borderline, and no toe pressure"]);
        assert_eq!(says(&RULE, &left(140, "~")), ["left ABPI 1.40, normal, and no toe pressure"]);
        assert!(paths(&RULE, &left(141, "~")).is_empty());
    }

    #[test]
    fn a_toe_pressure_or_no_diabetes_silences_it() {
        assert!(paths(&RULE, &left(120, "60")).is_empty());
        assert!(paths(&RULE, "vascular: {left: {toe: ~}}").is_empty());
    }
}
