//! A patient whose heart could be infected from elsewhere: no routine antibiotic, and no infection left alone.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet, stage};
use crate::words::List;

/// Of the table of conditions.
const AT_RISK: [Class; 3] = [Class::ValveDisease, Class::Endocarditis, Class::CongenitalHeartDisease];

pub(super) static RULE: Rule = Rule {
    name: "endocarditis-risk",
    topic: Topic::Infection,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter"]),
    title: "surgery in somebody at risk of endocarditis",
    why: "A valve that was replaced or is diseased, endocarditis before and some congenital heart disease put the \
          heart at risk of infection. Antibiotics to prevent it are not recommended routinely for the procedures \
          that the guideline names; an infected toe is another matter.",
    cite: Cite::adapts(
        &sources::procedure::CG64,
        "1.1.1 and 1.1.3",
        "who is at risk is stated, and no routine prophylaxis for dental and other procedures; nail surgery is not \
         among them, and that it is taken so too, and that an infected toe is asked about, are ours",
    ),
    limits: "Advises no antibiotic. A note, and a caution where the toe under surgery was infected. Knows the \
             names in its table, not what was repaired: an isolated septal defect in the atria, and others that \
             were fully repaired, are no risk.",
    example: Example {
        bad: "{history: {conditions: [heart valve replacement]}, problem: {toes: {L1: {infected: true}}}}",
        good: "{history: {conditions: [pacemaker]}, problem: {toes: {L1: {infected: true}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, label)) = stage::surgery(facts) else { return Vec::new() };
    let infected = feet::infected_under_surgery(facts);
    let conditions = facts.derived.conditions.iter().enumerate();
    let at_risk = conditions.filter(|(_, condition)| AT_RISK.into_iter().any(|class| condition.is(class)));
    let found = at_risk.map(|(at, condition)| {
        let finding = Finding::at(format!("history.conditions[{at}]"));
        if infected.is_empty() {
            let says = format!("{}: antibiotics to prevent endocarditis are not routine", condition.typed);
            return finding
                .says(says)
                .see(path, label.clone())
                .fix("tell the patient which signs of infection to call about; ask cardiology in doubt")
                .weighs(Severity::Note);
        }
        let toes = List::and(infected.iter().map(|toe| named(*toe)));
        let finding = finding.says(format!("{}, and {toes} was infected", condition.typed));
        let finding = infected
            .iter()
            .fold(finding, |finding, toe| finding.see(format!("problem.toes.{toe}.infected"), "infected"));
        finding.fix("say under `accepted` how the infection is treated, and whether cardiology was asked")
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, weights};

    fn with(condition: &str, infected: bool) -> String {
        format!(
            "{{history: {{conditions: [{condition}]}}, problem: {{toes: {{L1: {{infected: {infected}}}}}}}}}"
        )
    }

    /// CG64, 1.1.1: valve disease and replacement, previous endocarditis, structural congenital heart disease.
    #[test]
    fn who_is_at_risk_is_a_note_and_with_an_infected_toe_a_caution() {
        for condition in ["mitral regurgitation", "TAVI", "previous endocarditis", "congenital heart disease"]
        {
            assert_eq!(weights(&RULE, &with(condition, false)), [Severity::Note], "{condition}");
            assert_eq!(weights(&RULE, &with(condition, true)), [Severity::Caution], "{condition}");
        }
        for condition in ["pacemaker", "coronary stent", "atrial fibrillation"] {
            assert!(paths(&RULE, &with(condition, true)).is_empty(), "{condition}");
        }
    }

    #[test]
    fn both_places_are_shown_and_nothing_before_surgery_is_planned() {
        let found = findings(&RULE, &with("TAVI", true));
        assert_eq!(found[0].path.to_string(), "history.conditions[0]");
        assert_eq!(found[0].see[0].0.to_string(), "problem.toes.L1.infected");
        let none = "{operation: ~, plan: ~, history: {conditions: [TAVI]}}";
        assert!(paths(&RULE, none).is_empty());
    }
}
