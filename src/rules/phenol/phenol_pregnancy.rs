//! Phenol in a patient who is recorded as pregnant.

use super::{phenol_label, phenol_toes};
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "phenol-pregnancy",
    topic: Topic::Phenol,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "phenol in pregnancy",
    why: "Phenol is absorbed through skin and wound, and what the small amount of a nail operation does to \
          the unborn is not known. The operation can be done without phenol, or wait.",
    cite: Cite::adapts(
        &sources::procedure::PHENOL_TOXICOLOGY,
        "absorption through skin",
        "the source tells that phenol is absorbed; no statement on nail surgery in pregnancy was found, and \
         the stop is ours",
    ),
    limits: "Knows only what is recorded under `history.pregnant`; a question that was not asked is not \
             seen.",
    example: Example { bad: "history: {pregnant: true}", good: "history: {pregnant: false}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let pregnant = facts.case.history.as_ref().and_then(|history| history.pregnant) == Some(true);
    let toes = phenol_toes(facts);
    if !pregnant || toes.is_empty() {
        return Vec::new();
    }
    let finding = Finding::at("history.pregnant")
        .says("the patient is pregnant")
        .fix("plan without phenol or after the pregnancy; if phenol is justified, say why under `accepted`");
    vec![toes.into_iter().fold(finding, |finding, (_, path)| finding.see(path, phenol_label(facts)))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::paths;

    #[test]
    fn phenol_used_or_planned_counts() {
        assert_eq!(paths(&RULE, "history: {pregnant: true}"), ["history.pregnant"]);
        assert_eq!(paths(&RULE, "{operation: ~, history: {pregnant: true}}"), ["history.pregnant"]);
        assert!(paths(&RULE, "history: {pregnant: ~}").is_empty());
    }

    #[test]
    fn without_phenol_there_is_nothing_to_say() {
        assert!(
            paths(&RULE, "{history: {pregnant: true}, operation: {toes: {L1: {phenol: ~}}}}").is_empty(),
            "planned, and left out in the end"
        );
        assert!(
            paths(&RULE, "{operation: ~, history: {pregnant: true}, plan: {L1: {matrix: none}}}").is_empty()
        );
    }
}
