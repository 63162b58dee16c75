//! A condition that may affect the capacity to consent, and consent by the patient without a word on it.

use crate::case::ConsentBy;
use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

/// Conditions that may affect capacity, in the table of conditions.
const CLASS: Class = Class::Capacity;

pub(super) static RULE: Rule = Rule {
    name: "capacity-not-judged",
    topic: Topic::History,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "nothing on capacity beside a condition",
    why: "Everyone is presumed able to decide, and a condition takes that from nobody. Where there is a reason to \
          doubt it, the record shows that it was thought of.",
    cite: Cite::adapts(
        &sources::consent::MENTAL_CAPACITY,
        "sections 1 to 3",
        "presumption and test are stated there; asking for a word where a condition may affect capacity is ours",
    ),
    limits: "Knows the names in its table, not how far the condition goes. A decision in best interests has a rule of \
             its own.",
    example: Example {
        bad: "history: {conditions: [dementia]}",
        good: "{history: {conditions: [dementia]}, \
                consent: {capacity: retains and weighs what the operation means}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(consent) = facts.case.consent.as_ref() else { return Vec::new() };
    if consent.by != Some(ConsentBy::Patient) || consent.capacity.is_some() {
        return Vec::new();
    }
    let of_class = facts.derived.conditions.iter().enumerate().filter(|(_, condition)| condition.is(CLASS));
    let Some((at, condition)) = of_class.into_iter().next() else { return Vec::new() };
    vec![
        Finding::at("consent.capacity")
            .says(format!("{} is recorded, and the patient consented", condition.typed))
            .see(format!("history.conditions[{at}]"), condition.typed.clone())
            .fix("write under `consent.capacity` how capacity for this decision was judged"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn only_the_patients_own_consent_without_a_word_is_reported() {
        let with = |consent: &str| format!("{{history: {{conditions: [dementia]}}, consent: {{{consent}}}}}");
        assert_eq!(paths(&RULE, &with("by: patient")), ["consent.capacity"]);
        assert!(paths(&RULE, &with("by: patient, capacity: weighs it up")).is_empty());
        assert!(paths(&RULE, &with("by: best interests")).is_empty());
        assert!(paths(&RULE, "history: {conditions: [asthma]}").is_empty());
    }
}
