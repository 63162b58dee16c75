//! A stroke, a stent or a clot in the history, without when it was.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, stage};

/// Of the table of conditions, with what is asked. A class behind another counts where that does not.
const BEFORE: [(Class, &str); 3] = [
    (Class::Stroke, "within 6 months surgery is better put off"),
    (Class::CoronaryStent, "within 4 weeks, or 3 months of an urgent one, surgery is better put off"),
    (Class::Thrombosis, "another clot is likelier"),
];

pub(super) static RULE: Rule = Rule {
    name: "clot-before",
    topic: Topic::AllergiesAndAdvice,
    severity: Severity::Note,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "preparation-leaflet"]),
    title: "a stroke, a stent or a clot before, without a date",
    why: "Soon after a stroke or a stent surgery that can wait is put off, and what thins the blood goes on. Who \
          had a clot in the leg may have another.",
    cite: Cite::adapts(
        &sources::advice::SURGERY_AFTER_STROKE,
        "within 6 months of a stroke or TIA, 4 weeks of elective and 3 months of urgent PCI",
        "written for surgery in hospital; a note before nail surgery, and the sentence on clots in veins, are ours",
    ),
    limits: "The file has no date of it: it is asked, and weighs nothing. The medicines are `anticoagulant` and \
             `antiplatelet`.",
    example: Example {
        bad: "history: {conditions: [previous stroke]}",
        good: "history: {conditions: [migraine]}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, label)) = stage::surgery(facts) else { return Vec::new() };
    let conditions = facts.derived.conditions.iter().enumerate();
    let found = conditions.filter_map(|(at, condition)| {
        let (_, says) = BEFORE.iter().find(|(class, _)| condition.is(*class))?;
        let finding = Finding::at(format!("history.conditions[{at}]"))
            .says(format!("{}: {says}", condition.typed))
            .see(path, label.clone());
        Some(finding.fix("ask when it was; tell the patient to go on with what thins the blood"))
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn each_has_its_own_words() {
        let says = |condition: &str| says(&RULE, &format!("history: {{conditions: [{condition}]}}"));
        assert_eq!(says("TIA"), ["TIA: within 6 months surgery is better put off"]);
        assert!(says("coronary stents")[0].contains("4 weeks"));
        assert_eq!(says("previous DVT"), ["previous DVT: another clot is likelier"]);
        assert_eq!(says("antiphospholipid syndrome").len(), 1);
        assert!(says("atrial fibrillation").is_empty());
        assert_eq!(weights(&RULE, "history: {conditions: [stroke]}"), [Severity::Note]);
        assert!(paths(&RULE, "{operation: ~, plan: ~, history: {conditions: [stroke]}}").is_empty());
    }
}
