//! A low toe-brachial index in a foot under surgery. With phenol it is `phenol-poor-circulation`; where the
//! toe pressure itself is below 60 mmHg the rules on toe pressure speak. Neither is said here again.

use super::is_said_with_phenol;
use crate::clinical::pressure_bands::toe_pressure_grade;
use crate::derive::{Band, TBPI};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

/// The WIfI ischaemia grade of a sound toe pressure: from 60 mmHg.
const SOUND: u8 = 0;

pub(super) static RULE: Rule = Rule {
    name: "tbpi-low",
    topic: Topic::Circulation,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "the toe-brachial index of a foot under surgery is low",
    why: "The arteries of the toe stay soft where those at the ankle have stiffened. A TBPI of 0.70 or less \
          means arterial disease even where the ABPI looks well.",
    cite: TBPI,
    limits: "No cut-off made for nail surgery was found. Silent where the toe pressure is below 60 mmHg, or \
             where phenol is used: other rules say more.",
    example: Example {
        bad: "{operation: {toes: {L1: {phenol: ~}}}, vascular: {left: {toe: 90}}}",
        good: "{operation: {toes: {L1: {phenol: ~}}}, vascular: {left: {toe: 100}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (foot, pressure) in feet::with_toe_pressure(facts) {
        let word = foot.side.word();
        let Some(tbpi) = facts.derived.circulation.get(foot.side).tbpi.get() else { continue };
        let is_said = is_said_with_phenol(facts, foot.side) || toe_pressure_grade(pressure).grade != SOUND;
        if tbpi.band != Band::Abnormal || is_said {
            continue;
        }
        findings.push(
            Finding::at(format!("vascular.{word}.toe"))
                .says(format!("{word} TBPI {}, abnormal", tbpi.index))
                .see(foot.path(), foot.label())
                .fix("say under `accepted` who judged the circulation and how, or correct the pressures"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::super::WITHOUT_PHENOL;
    use super::*;
    use crate::rules::testing::{paths, says};

    /// Arms 134 mmHg: 94 gives 0.70 and 95 gives 0.71.
    #[test]
    fn the_bound_lies_at_seventy() {
        let toe = |mmhg: u16| format!("{{{WITHOUT_PHENOL}, vascular: {{left: {{toe: {mmhg}}}}}}}");
        assert_eq!(says(&RULE, &toe(94)), ["left TBPI 0.70, abnormal"]);
        assert!(paths(&RULE, &toe(95)).is_empty());
        assert!(paths(&RULE, &toe(59)).is_empty(), "the toe pressure is judged by its own rules");
    }

    #[test]
    fn with_phenol_and_on_the_other_foot_it_is_silent() {
        assert!(paths(&RULE, "vascular: {left: {toe: 90}}").is_empty());
        assert!(paths(&RULE, &format!("{{{WITHOUT_PHENOL}, vascular: {{right: {{toe: 90}}}}}}")).is_empty());
    }
}
