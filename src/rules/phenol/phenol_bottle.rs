//! Phenol out of a bottle, which a national alert asked to do away with.

use crate::case::PhenolForm;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-bottle",
    topic: Topic::Phenol,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "phenol from a bottle",
    why: "Bottles of liquefied phenol have been mistaken for other liquids and spilt, with burns. The \
          national alert asks for single-use applicators or swabs instead.",
    cite: Cite::states(&sources::procedure::PHENOL_BOTTLES_ALERT, "actions"),
    limits: "Speaks only where `form: bottle` is recorded. The alert is about liquefied phenol 80 %; any \
             strength in a bottle is taken for it.",
    example: Example {
        bad: "operation: {phenol: {form: bottle}}",
        good: "operation: {phenol: {form: single-use swab}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let phenol = facts.case.operation.as_ref().and_then(|operation| operation.phenol.as_ref());
    let Some(phenol) = phenol.filter(|phenol| phenol.form == Some(PhenolForm::Bottle)) else {
        return Vec::new();
    };
    vec![
        Finding::at("operation.phenol.form")
            .says(format!("phenol {} from a bottle", phenol.strength))
            .fix("use single-use applicators or swabs; say under `accepted` why a bottle was used"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn only_a_bottle_is_found() {
        let form = |form: &str| format!("operation: {{phenol: {{form: {form}}}}}");
        assert_eq!(says(&RULE, &form("bottle")), ["phenol 89 % from a bottle"]);
        for safe in ["single-use applicator", "single-use swab", "~"] {
            assert!(paths(&RULE, &form(safe)).is_empty(), "{safe}");
        }
        assert!(paths(&RULE, "operation: {phenol: ~}").is_empty());
    }
}
