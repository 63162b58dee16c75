//! A retinoid taken by mouth: proud flesh at the nail may come from it.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::derive::stays_where_it_is;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, stage};

/// Of the table of medicines.
const CLASS: Class = Class::Retinoid;

pub(super) static RULE: Rule = Rule {
    name: "retinoid",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form"]),
    title: "a medicine with which granulation tissue grows at the nail",
    why: "Isotretinoin and its kin can bring on inflamed nail folds with granulation tissue, which went back when \
          the medicine was stopped. It may be why the patient came, and it may come again after surgery.",
    cite: Cite::adapts(
        &sources::advice::ISOTRETINOIN_GRANULATION,
        "abstract and review of the literature",
        "cases with isotretinoin; the other retinoids are grouped with it, and that surgery is thought over is ours",
    ),
    limits: "Knows the names in its table, not the dose or how long it was taken. What is put on the skin does not \
             count. No medicine is stopped by the clinic.",
    example: Example {
        bad: "history: {medicines: [isotretinoin]}",
        good: "history: {medicines: [doxycycline]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, label)) = stage::surgery(facts) else { return Vec::new() };
    let medicines = facts.derived.medicines.iter().enumerate();
    let taken = medicines.filter(|(_, medicine)| medicine.is(CLASS));
    taken
        .filter(|(_, medicine)| !stays_where_it_is(&format!("{} {}", medicine.typed, medicine.dose)))
        .map(|(at, medicine)| {
            Finding::at(format!("history.medicines[{at}]"))
                .says(format!("takes {}: granulation tissue may come from it", medicine.typed))
                .see(path, label.clone())
                .fix("ask when the toe began and until when the medicine goes on; whoever prescribes it can be asked")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn by_mouth_and_not_on_the_skin() {
        let takes =
            |medicine: &str| paths(&RULE, &format!("history: {{medicines: [metformin, {medicine}]}}"));
        for medicine in ["isotretinoin 20 mg", "acitretin", "alitretinoin", "Roaccutane"] {
            assert_eq!(takes(medicine), ["history.medicines[1]"], "{medicine}");
        }
        for medicine in ["isotretinoin gel", "doxycycline"] {
            assert!(takes(medicine).is_empty(), "{medicine}");
        }
        let says = says(&RULE, "history: {medicines: [acitretin]}");
        assert_eq!(says, ["takes acitretin: granulation tissue may come from it"]);
    }

    #[test]
    fn nothing_before_surgery_is_planned() {
        let takes = "operation: ~, history: {medicines: [isotretinoin]}";
        assert_eq!(paths(&RULE, &format!("{{{takes}}}")).len(), 1);
        assert!(paths(&RULE, &format!("{{{takes}, plan: ~}}")).is_empty());
    }
}
