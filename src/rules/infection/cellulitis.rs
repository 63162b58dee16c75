//! Infection that spreads beyond the nail fold, and surgery planned or done all the same.

use crate::clinical::Cite;
use crate::clinical::tables::Class;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "cellulitis",
    topic: Topic::Infection,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
    ]),
    title: "spreading infection is recorded",
    why: "Infection that spreads beyond the nail fold is treated first. An injection, a tourniquet and \
          phenol in inflamed tissue can carry it further and destroy tissue.",
    cite: Cite::common_practice(),
    limits: "Of one that stands among the conditions it does not know when it was, nor where: a caution. It says \
             nothing about treatment. Spreading infection that is entered under `history.foot` is reported among \
             the rules on diabetes.",
    example: Example {
        bad: "problem: {toes: {L1: {cellulitis: true}}}",
        good: "problem: {toes: {L1: {cellulitis: false}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let surgery = match (&facts.case.operation, &facts.case.plan) {
        (Some(operation), _) => ("operation.date", format!("operated on {}", operation.date.clinical())),
        (None, Some(_)) => ("plan", "surgery is planned".to_owned()),
        (None, None) => return Vec::new(),
    };
    let affected = facts.case.affected();
    let toes = affected.iter().flat_map(|toes| toes.iter());
    let at_toes = toes.filter(|(_, found)| found.cellulitis == Some(true)).map(|(toe, _)| {
        Finding::at(format!("problem.toes.{toe}.cellulitis"))
            .says(format!("infection spreading from {}", named(toe)))
            .see(surgery.0, surgery.1.clone())
            .fix("treat or refer first; if it had settled by the day of surgery, correct the entry")
    });
    let at_toes: Vec<Finding> = at_toes.collect();
    if at_toes.is_empty() { among_conditions(facts, &surgery) } else { at_toes }
}

/// `conditions: [cellulitis]` does not say whether it is there now.
fn among_conditions(facts: &Facts, surgery: &(&str, String)) -> Vec<Finding> {
    let conditions = facts.derived.conditions.iter().enumerate();
    let spreading = conditions.filter(|(_, condition)| condition.is(Class::SpreadingInfection));
    let findings = spreading.map(|(at, condition)| {
        Finding::at(format!("history.conditions[{at}]"))
            .says(format!("{}: is it there now, and where?", condition.typed))
            .see(surgery.0, surgery.1.clone())
            .fix("if it is there now, write `cellulitis: true` at its toe; if not, write under `accepted` when it was")
            .weighs(Severity::Caution)
    });
    findings.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    #[test]
    fn any_toe_counts_once_surgery_is_planned() {
        assert_eq!(paths(&RULE, "problem: {toes: {L1: {cellulitis: true}}}"), ["problem.toes.L1.cellulitis"]);
        assert_eq!(paths(&RULE, "problem: {toes: {R1: {cellulitis: true}}}"), ["problem.toes.R1.cellulitis"]);
        assert!(paths(&RULE, "").is_empty());
    }

    #[test]
    fn among_the_conditions_it_is_asked_about_unless_a_toe_says_so() {
        let listed = |condition: &str| format!("{{history: {{conditions: [{condition}]}}}}");
        assert_eq!(paths(&RULE, &listed("cellulitis")), ["history.conditions[0]"]);
        assert_eq!(weights(&RULE, &listed("sepsis")), [Severity::Caution]);
        assert!(paths(&RULE, &listed("asthma")).is_empty());
        let both = "{history: {conditions: [cellulitis]}, problem: {toes: {L1: {cellulitis: true}}}}";
        assert_eq!(paths(&RULE, both), ["problem.toes.L1.cellulitis"]);
    }

    #[test]
    fn an_assessment_alone_may_record_it() {
        let assessment = "{plan: ~, consent: ~, operation: ~, problem: {toes: {L1: {cellulitis: true}}}}";
        assert!(paths(&RULE, assessment).is_empty());
    }
}
