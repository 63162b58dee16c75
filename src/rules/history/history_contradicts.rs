//! Two entries of the history that cannot both be true. Which of them there are is derived.

use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "history-contradicts",
    topic: Topic::History,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "two entries of the history do not agree",
    why: "Rules, doses and pages read one of the two entries. If it is the wrong one, a known danger is passed \
          over, and the record says two things of one patient.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "records are full, clear and accurate",
        "what contradicts what is ours",
    ),
    limits: "A medicine for diabetes is taken for other reasons too: beside `diabetes: none` it is a caution, and \
             so are an INR without warfarin, gestational diabetes, which may be past, and frailty, which is judged. Knows the names in its tables.",
    example: Example {
        bad: "history: {diabetes: none, conditions: [type 2 diabetes]}",
        good: "history: {diabetes: {type: 2}, conditions: [type 2 diabetes]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let each = facts.derived.contradictions.iter().map(|one| {
        let finding = Finding::at(one.field.clone())
            .says(format!("{}, and elsewhere {}", one.field_says, one.word_says))
            .see(one.word.clone(), one.word_says.clone());
        if one.is_certain {
            finding.fix("correct the one that is wrong")
        } else {
            finding
                .fix("correct the one that is wrong, or say under `accepted` how both are true")
                .weighs(Severity::Caution)
        }
    });
    each.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn a_condition_stops_and_a_medicine_is_a_caution() {
        let both = "history: {diabetes: none, conditions: [type 2 diabetes], medicines: [metformin]}";
        assert_eq!(paths(&RULE, both), ["history.diabetes", "history.diabetes"]);
        assert_eq!(weights(&RULE, both), [Severity::Stop, Severity::Caution]);
        assert_eq!(says(&RULE, both)[0], "diabetes: none, and elsewhere type 2 diabetes");
        assert_eq!(weights(&RULE, "history: {pregnant: false, conditions: [pregnant]}"), [Severity::Stop]);
        assert_eq!(weights(&RULE, "history: {diabetes: none, medicines: [insulin]}"), [Severity::Caution]);
    }

    #[test]
    fn what_agrees_passes() {
        assert!(paths(&RULE, "history: {diabetes: {type: 2}, medicines: [metformin]}").is_empty());
        assert!(paths(&RULE, "history: ~").is_empty());
    }
}
