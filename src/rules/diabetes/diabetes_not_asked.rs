//! Nothing is recorded on whether the patient has diabetes.

use crate::clinical::Cite;
use crate::clinical::tables::Class;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "diabetes-not-asked",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "dressing-leaflet",
        "visit-letter",
    ]),
    title: "whether the patient has diabetes is not recorded",
    why: "Diabetes changes the risk of infection and slow healing, and what the patient is told. An empty \
          entry does not say that there is none.",
    cite: Cite::common_practice(),
    limits: "Takes no other entry for the answer: diabetes among the conditions, or a medicine for it, is \
             pointed at but says nothing about type and control.",
    example: Example { bad: "history: {diabetes: ~}", good: "history: {diabetes: none}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let history = facts.case.history.as_ref();
    if history.is_some_and(|history| history.diabetes.is_some()) {
        return Vec::new();
    }
    let finding = Finding::at("history.diabetes")
        .says("not recorded")
        .fix("enter `none`, or the type, `hba1c` and `tested`");
    let condition = facts.derived.conditions.iter().position(|condition| condition.is(Class::Diabetes));
    let medicine = facts.derived.medicines.iter().position(|medicine| medicine.is(Class::Antidiabetic));
    vec![match (condition, medicine) {
        (Some(at), _) => finding.see(format!("history.conditions[{at}]"), "diabetes is written here"),
        (None, Some(at)) => finding.see(format!("history.medicines[{at}]"), "a medicine for diabetes"),
        (None, None) => finding,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn none_is_an_answer_and_silence_is_not() {
        assert!(paths(&RULE, "history: {diabetes: none}").is_empty());
        assert!(paths(&RULE, "history: {diabetes: {type: 1}}").is_empty());
        assert_eq!(paths(&RULE, "history: {diabetes: ~}"), ["history.diabetes"]);
        assert_eq!(paths(&RULE, "history: ~"), ["history.diabetes"]);
    }

    #[test]
    fn hints_elsewhere_are_pointed_at() {
        let seen = |history: &str| {
            let found = findings(&RULE, &format!("history: {{diabetes: ~, {history}}}"));
            found[0].see.iter().map(|(path, _)| path.to_string()).collect::<Vec<_>>()
        };
        assert_eq!(seen("conditions: [asthma, type 2 diabetes]"), ["history.conditions[1]"]);
        assert_eq!(seen("medicines: [metformin]"), ["history.medicines[0]"]);
        assert!(seen("medicines: [warfarin]").is_empty());
    }
}
