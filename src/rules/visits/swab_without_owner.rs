//! A swab was sent, and nobody is named who acts on its result.

use super::VISIT;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::{RESULT_OWNER, without_owner};
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "swab-without-owner",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "a swab was sent, and nothing says who acts on the result",
    why: "Practice and clinic each take the other for the one who looks, and a result that asks for another antibiotic stays unread.",
    cite: RESULT_OWNER,
    limits: "A result that stands there already is enough.",
    example: Example {
        bad: r#"visits: [{on: 2026-12-01, kind: unplanned, swab: {lab: "26-118822"}}]"#,
        good: r#"visits: [{on: 2026-12-01, kind: unplanned, swab: {lab: "26-118822", acts: R. Quill}}]"#,
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let swabs =
        facts.case.visits.iter().enumerate().filter_map(|(at, visit)| Some((at, visit.swab.as_ref()?)));
    swabs
        .filter_map(|(at, swab)| without_owner(format!("visits[{at}].swab"), &swab.acts, &swab.result))
        .map(Finding::at_key)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn a_name_or_a_result_passes() {
        let swab = |swab: &str| {
            paths(&RULE, &format!("visits: [{{on: 2026-12-01, kind: unplanned, swab: {{{swab}}}}}]"))
        };
        assert_eq!(swab("lab: \"26-118822\""), ["visits[0].swab"]);
        assert_eq!(swab("acts: \" \"").len(), 1);
        assert!(swab("acts: R. Quill").is_empty());
        assert!(swab("result: no growth").is_empty());
    }
}
