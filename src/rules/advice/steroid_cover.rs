//! A patient whose adrenal glands cannot answer an operation by themselves.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::derive::stays_where_it_is;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, stage};

/// Of the table of conditions.
const CONDITION: Class = Class::SteroidDependence;
/// Of the table of medicines.
const MEDICINE: Class = Class::Steroid;

pub(super) static RULE: Rule = Rule {
    name: "steroid-cover",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "preparation-leaflet"]),
    title: "whether extra steroid is needed is not said",
    why: "With adrenal insufficiency even a small operation can ask for more steroid than the usual dose. For a \
          minor procedure one NHS guideline has an extra dose by mouth an hour before and after it.",
    cite: Cite::adapts(
        &sources::advice::STEROID_COVER,
        "minor procedure: an extra oral dose an hour before and after",
        "nail surgery is taken for a minor procedure; a note for any steroid by mouth is ours, since how long it \
         was taken is not recorded",
    ),
    limits: "Advises no dose. Adrenal insufficiency is a caution; a steroid by mouth a note, since the dose and the \
             weeks that it was taken decide. Creams, inhalers and drops do not count.",
    example: Example {
        bad: "history: {conditions: [Addison's disease]}",
        good: "history: {conditions: [hypothyroidism]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, label)) = stage::surgery(facts) else { return Vec::new() };
    let conditions = facts.derived.conditions.iter().enumerate();
    let mut found: Vec<Finding> = conditions
        .filter(|(_, condition)| condition.is(CONDITION))
        .map(|(at, condition)| {
            Finding::at(format!("history.conditions[{at}]"))
                .says(format!("{}: extra steroid is not spoken of", condition.typed))
                .see(path, label.clone())
                .fix("say under `accepted` who decided on an extra dose, and that the emergency kit was to hand")
        })
        .collect();
    if found.is_empty() {
        let medicines = facts.derived.medicines.iter().enumerate();
        let taken = medicines.filter(|(_, medicine)| {
            medicine.is(MEDICINE) && !stays_where_it_is(&format!("{} {}", medicine.typed, medicine.dose))
        });
        found.extend(taken.map(|(at, medicine)| {
            Finding::at(format!("history.medicines[{at}]"))
                .says(format!("takes {}: after some weeks extra steroid may be needed", medicine.typed))
                .see(path, label.clone())
                .fix("ask for how long, how much, and whether the patient has a steroid emergency card")
                .weighs(Severity::Note)
        }));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn insufficiency_is_a_caution_and_a_steroid_a_note() {
        let history = |part: &str| format!("history: {{{part}}}");
        assert_eq!(weights(&RULE, &history("conditions: [adrenal insufficiency]")), [Severity::Caution]);
        assert_eq!(weights(&RULE, &history("medicines: [prednisolone 5 mg]")), [Severity::Note]);
        assert!(paths(&RULE, &history("medicines: [hydrocortisone cream]")).is_empty());
        let both = history("conditions: [Addison's disease], medicines: [hydrocortisone]");
        assert_eq!(paths(&RULE, &both), ["history.conditions[0]"], "said once");
        let early = "{operation: ~, plan: ~, history: {conditions: [Addison's disease]}}";
        assert!(paths(&RULE, early).is_empty());
    }
}
