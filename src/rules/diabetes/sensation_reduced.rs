//! Less feeling than there should be: in a foot under surgery, and in diabetes in either foot. What counts is
//! decided where the fact is derived.

use crate::anatomy::Side;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "sensation-reduced",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet", "dressing-leaflet"]),
    title: "sensation of a foot is reduced",
    why: "A foot that does not feel does not warn of a tight dressing, a tourniquet left on, a burn or an \
          infection. The patient has to look instead.",
    cite: Cite::adapts(
        &sources::diabetes::MONOFILAMENT,
        "protective sensation at a site",
        "the source judges each site; one site of up to 5 is enough here, and two of 10, which is from memory",
    ),
    limits: "Sources differ on the number of sites. Neuropathy among the conditions counts for both feet, \
             whatever was felt. Thick skin can hide what the nerve feels.",
    example: Example { bad: "sensation: {left: 8/10}", good: "sensation: {left: 9/10}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let under_surgery = feet::under_surgery(facts);
    let mut findings: Vec<Finding> = Vec::new();
    for side in Side::BOTH {
        let (path, label) = match under_surgery.iter().find(|foot| foot.side == side) {
            Some(foot) => (foot.path(), foot.label()),
            None if facts.has_diabetes() => ("history.diabetes".to_owned(), "diabetes".to_owned()),
            None => continue,
        };
        // What was felt is said of each foot; a condition that tells the same is not said again.
        let Some(reason) = facts.derived.reduced_feeling.get(side).reasons.first() else { continue };
        if findings.iter().any(|finding| finding.path == reason.path) {
            continue;
        }
        findings.push(Finding::at(reason.path.clone()).says(reason.says.clone()).see(path, label).fix(
            "say under `accepted` how the foot will be watched and what the patient was told, or correct \
                 the entry",
        ));
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn two_of_ten_sites_or_one_of_few_are_reported() {
        assert!(paths(&RULE, "sensation: {left: 9/10}").is_empty());
        assert_eq!(says(&RULE, "sensation: {left: 8/10}"), ["left foot: 8 of 10 monofilament sites felt"]);
        assert!(paths(&RULE, "sensation: {left: 3/3}").is_empty());
        assert_eq!(says(&RULE, "sensation: {left: 2/3}"), ["left foot: 2 of 3 monofilament sites felt"]);
    }

    #[test]
    fn the_other_foot_counts_only_in_diabetes() {
        assert!(paths(&RULE, "sensation: {right: 8/10}").is_empty());
        let diabetes = "{sensation: {right: 8/10}, history: {diabetes: {type: 2}}}";
        assert_eq!(paths(&RULE, diabetes), ["sensation.right"]);
    }

    #[test]
    fn known_neuropathy_is_said_once() {
        let known = "history: {diabetes: {type: 2}, conditions: [neuropathy]}";
        assert_eq!(paths(&RULE, known), ["history.conditions[0]"]);
        let both = format!("{{{known}, sensation: {{left: 5/10}}}}");
        assert_eq!(paths(&RULE, &both), ["history.conditions[0]", "sensation.left"]);
    }
}
