//! A planned or done operation without a list of conditions.

use crate::clinical::Cite;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::stage::surgery;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "conditions-not-asked",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "it is not recorded that conditions were asked about",
    why: "An empty list says that none is known; a list that is not there says nothing. What speaks \
          against the anaesthetic or against paracetamol would not be seen.",
    cite: Cite::common_practice(),
    limits: "Does not know whether the patient told everything.",
    example: Example { bad: "history: {conditions: ~}", good: "history: {conditions: [asthma]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    if facts.case.history.as_ref().is_some_and(|history| history.conditions.is_some()) {
        return Vec::new();
    }
    let Some((path, label)) = surgery(facts) else { return Vec::new() };
    vec![
        Finding::at("history.conditions")
            .says("no list of conditions")
            .see(path, label)
            .fix("list them; `[]` if the patient was asked and has none"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn an_empty_list_is_an_answer() {
        assert!(paths(&RULE, "history: {conditions: []}").is_empty());
        assert_eq!(paths(&RULE, "history: {conditions: ~}"), ["history.conditions"]);
        assert_eq!(paths(&RULE, "history: ~"), ["history.conditions"]);
    }

    #[test]
    fn an_assessment_alone_need_not_have_it() {
        assert!(paths(&RULE, "{history: ~, plan: ~, operation: ~}").is_empty());
        assert_eq!(paths(&RULE, "{history: ~, operation: ~}").len(), 1);
    }
}
