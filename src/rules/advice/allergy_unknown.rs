//! An allergy that is not in the tables, so that hardly any rule knows it.

use crate::clinical::Cite;
use crate::clinical::tables::{allergens, medicines};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::meant;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "allergy-unknown",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "visit-letter",
        "dressing-leaflet",
    ]),
    title: "an allergy is not in the table",
    why: "Nothing can say whether it bears on the anaesthetic, the phenol or pain relief: that is for the \
          practitioner to judge.",
    cite: Cite::project_default("a name is never guessed from how it is built, nor passed over in silence"),
    limits: "The table holds substances and many brands, and is not complete. A dressing that no table knows is \
             a finding of its own beside such an allergy.",
    example: Example {
        bad: "history: {allergies: [{to: penicillni}]}",
        good: "history: {allergies: [{to: penicillin}]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let unknown = facts.derived.allergies.iter().enumerate().filter(|(_, allergy)| allergy.name.is_none());
    unknown
        .map(|(at, allergy)| {
            let typed = &allergy.typed;
            let fix = match meant(typed, &[allergens(), medicines()]) {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    "write the substance; if it is written rightly, say under `accepted` why it does not bear on \
                     the anaesthetic, the phenol, the dressing or pain relief"
                        .to_owned()
                }
            };
            Finding::at(format!("history.allergies[{at}].to"))
                .says(format!("`{typed}` is not in the table of allergies"))
                .fix(fix)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths};

    #[test]
    fn a_slip_is_answered_with_the_substance_that_was_meant() {
        let found = findings(&RULE, "history: {allergies: [{to: latex}, {to: lidocaien}]}");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path.to_string(), "history.allergies[1].to");
        assert_eq!(found[0].fix.as_deref(), Some("did you mean `lidocaine`?"));
    }

    #[test]
    fn known_substances_and_medicines_raise_nothing() {
        assert!(paths(&RULE, "history: {allergies: [{to: Latex allergy}, {to: methotrexate}]}").is_empty());
        assert!(paths(&RULE, "").is_empty());
    }
}
