//! The check of resuscitation kit or adrenaline was answered no.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "emergency-kit-not-ready",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "what an emergency needs was not to hand",
    why: "A local anaesthetic can cause anaphylaxis or a fit within minutes. The note says why it was given all the \
          same, and what was at hand instead.",
    cite: Cite::common_practice(),
    limits: "Knows the two answers alone, and says nothing where they are not given.",
    example: Example {
        bad: "operation: {checks: {adrenaline: false}}",
        good: "operation: {checks: {adrenaline: true}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let checks = facts.case.operation.as_ref().and_then(|operation| operation.checks.as_ref());
    let Some(checks) = checks else { return Vec::new() };
    [("resuscitation", checks.resuscitation), ("adrenaline", checks.adrenaline)]
        .into_iter()
        .filter(|(_, answer)| *answer == Some(false))
        .map(|(key, _)| {
            Finding::at(format!("operation.checks.{key}")).says("answered no").fix(
                "correct the answer, or say under `accepted` why surgery went ahead and what was at hand",
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_answer_of_no_is_found_and_silence_is_not() {
        let answered = |checks: &str| paths(&RULE, &format!("operation: {{checks: {{{checks}}}}}"));
        assert_eq!(answered("adrenaline: false"), ["operation.checks.adrenaline"]);
        assert_eq!(answered("adrenaline: false, resuscitation: false").len(), 2);
        assert!(answered("adrenaline: true, resuscitation: true").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
