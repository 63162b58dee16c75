//! A swab was sent, and nobody is named who acts on its result.

use super::VISIT;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "swab-without-owner",
    topic: Topic::Visits,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: VISIT,
    title: "a swab was sent, and nothing says who acts on the result",
    why: "Practice and clinic each take the other for the one who looks, and a result that asks for another antibiotic stays unread.",
    cite: Cite::adapts(
        &sources::records::RESULTS_RESPONSIBILITY,
        "whoever orders a test is responsible for its result",
        "asking that the name be written down is ours",
    ),
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
        .filter(|(_, swab)| is_blank(swab.acts.as_deref()) && is_blank(swab.result.as_deref()))
        .map(|(at, _)| {
            Finding::at(format!("visits[{at}].swab"))
                .at_key()
                .says("neither `acts` nor `result` is there")
                .fix("write who acts on the result: `acts: R. Quill`, or the result once it is there")
        })
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
