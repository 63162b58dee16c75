//! Monofilament sites that were not felt: in a foot under surgery, and in diabetes in either foot.

use crate::case::Side;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "sensation-reduced",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form", "aftercare-leaflet"]),
    title: "sensation of a foot is reduced",
    why: "A foot that does not feel does not warn of a tight dressing, a tourniquet left on, a burn or an \
          infection. The patient has to look instead.",
    cite: Cite::adapts(
        &sources::diabetes::MONOFILAMENT,
        "protective sensation at a site",
        "the source judges each site; one site not felt on a foot is enough here",
    ),
    limits: "Sources differ on the number of sites; any site that was tested and not felt counts. Thick skin \
             can hide what the nerve feels.",
    example: Example { bad: "sensation: {left: 9/10}", good: "sensation: {left: 10/10}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let under_surgery = feet::under_surgery(facts);
    let mut findings = Vec::new();
    for side in Side::BOTH {
        let Some(sites) = feet::sites(facts, side).filter(|sites| sites.felt < sites.tested) else {
            continue;
        };
        let (path, label) = match under_surgery.iter().find(|foot| foot.side == side) {
            Some(foot) => (foot.path(), foot.label()),
            None if facts.has_diabetes() => ("history.diabetes".to_owned(), "diabetes".to_owned()),
            None => continue,
        };
        let word = side.word();
        findings.push(
            Finding::at(format!("sensation.{word}"))
                .says(format!("{word} foot: {} of {} monofilament sites felt", sites.felt, sites.tested))
                .see(path, label)
                .fix(
                    "say under `accepted` how the foot will be watched and what the patient was told, or \
                     correct the entry",
                ),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

    #[test]
    fn one_site_not_felt_is_reported() {
        assert!(paths(&RULE, "sensation: {left: 10/10}").is_empty());
        assert_eq!(says(&RULE, "sensation: {left: 9/10}"), ["left foot: 9 of 10 monofilament sites felt"]);
    }

    #[test]
    fn the_other_foot_counts_only_in_diabetes() {
        assert!(paths(&RULE, "sensation: {right: 9/10}").is_empty());
        let diabetes = "{sensation: {right: 9/10}, history: {diabetes: {type: 2}}}";
        assert_eq!(paths(&RULE, diabetes), ["sensation.right"]);
    }
}
