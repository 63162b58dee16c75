//! A medicine that is not in the table, so that no rule knows it.

use crate::clinical::Cite;
use crate::clinical::tables::medicines;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::meant;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "medicine-unknown",
    topic: Topic::Bleeding,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
        "visit-letter",
    ]),
    title: "a medicine is not in the table",
    why: "No rule looks at a medicine that it does not know: whether it makes bleeding longer, slows healing \
          or contains paracetamol is for the practitioner to look up.",
    cite: Cite::project_default("a name is never guessed from how it is built, nor passed over in silence"),
    limits: "The tables hold generic names, common misspellings and many brands, and are not complete. That a \
             medicine was looked up it takes from `checked: no interaction`.",
    example: Example { bad: "history: {medicines: [warfarni]}", good: "history: {medicines: [warfarin]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let unknown = facts.derived.medicines.iter().enumerate();
    let unknown = unknown.filter(|(_, medicine)| medicine.name.is_none() && !medicine.is_checked);
    unknown
        .map(|(at, medicine)| {
            let typed = &medicine.typed;
            let fix = match meant(typed, &[medicines()]) {
                Some(near) => format!("did you mean `{near}`?"),
                None if !medicine.parts.is_empty() => {
                    format!(
                        "of this only {} is known: write one medicine an item",
                        List::and(&medicine.parts)
                    )
                }
                None => {
                    "write the generic name; if it is written rightly, look it up and write it as `{name: …, \
                     checked: no interaction}`"
                        .to_owned()
                }
            };
            Finding::at(format!("history.medicines[{at}]"))
                .says(format!("`{typed}` is not in the table of medicines"))
                .fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_slip_is_answered_with_the_medicine_that_was_meant() {
        let found = findings(&RULE, "history: {medicines: [metformin, apixabn]}");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.to_string(), "history.medicines[1]");
        assert_eq!(found[0].fix.as_deref(), Some("did you mean `apixaban`?"));
    }

    #[test]
    fn what_is_near_nothing_is_asked_for_by_its_generic_name() {
        let found = findings(&RULE, "history: {medicines: [\"grandmother's green drops\"]}");
        assert!(found[0].fix.as_deref().is_some_and(|fix| fix.starts_with("write the generic name")));
    }

    #[test]
    fn what_was_looked_up_is_not_asked_for_again() {
        let checked = "history: {medicines: [{name: moonmilk, checked: no interaction}]}";
        assert!(paths(&RULE, checked).is_empty());
        let found = findings(&RULE, "history: {medicines: [warfarin and moonmilk]}");
        assert_eq!(
            found[0].fix.as_deref(),
            Some("of this only warfarin is known: write one medicine an item")
        );
    }

    #[test]
    fn known_medicines_and_none_raise_nothing() {
        assert!(
            paths(&RULE, "history: {medicines: [Warfarin 3 mg, salbutamol inhaler, Eliquis 5mg bd]}")
                .is_empty()
        );
        assert!(paths(&RULE, "history: {medicines: []}").is_empty());
    }
}
