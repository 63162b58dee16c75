//! Instruments that cannot be traced.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "tray-missing",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the instruments cannot be traced",
    why: "If a steriliser cycle turns out to have failed, tray and cycle lead to the patients; for \
          single-use packs it is the lot.",
    cite: Cite::from_memory(&sources::records::HTM_01_01, "traceability"),
    limits: "Does not know how the clinic numbers its trays, nor whether the cycle passed.",
    example: Example {
        bad: "operation: {instruments: ~}",
        good: "operation: {instruments: {tray: ~, cycle: ~, single_use_lot: SU-1187}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let Some(instruments) = &operation.instruments else {
        return vec![
            Finding::at("operation.instruments")
                .says("no instruments are recorded")
                .fix("enter tray and cycle, or the lot of a single-use pack"),
        ];
    };
    if !is_blank(instruments.single_use_lot.as_deref()) {
        return Vec::new();
    }
    [
        ("tray", &instruments.tray, "no tray number and no single-use lot"),
        ("cycle", &instruments.cycle, "no steriliser cycle for the tray"),
    ]
    .into_iter()
    .find(|(_, text, _)| is_blank(text.as_deref()))
    .map(|(key, _, says)| {
        Finding::at(format!("operation.instruments.{key}"))
            .says(says)
            .fix("enter tray and cycle, or the lot of a single-use pack")
    })
    .into_iter()
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn tray_and_cycle_or_a_lot() {
        let with = |words: &str| format!("operation: {{instruments: {{{words}}}}}");
        assert!(paths(&RULE, "").is_empty());
        assert_eq!(paths(&RULE, &with("tray: ~")), ["operation.instruments.tray"]);
        assert_eq!(paths(&RULE, &with("cycle: ~")), ["operation.instruments.cycle"]);
        assert_eq!(paths(&RULE, &with("tray: ~, cycle: ~")).len(), 1, "one cause, one message");
        assert!(paths(&RULE, &with("tray: ~, cycle: ~, single_use_lot: SU-1")).is_empty());
        assert_eq!(paths(&RULE, "operation: {instruments: ~}"), ["operation.instruments"]);
    }
}
