//! A medicine for diabetes with which toes are lost more often, or may be.

use crate::clinical::tables::Class;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::words::named;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet, stage};
use crate::words::List;

/// Of the table of medicines.
const CLASS: Class = Class::Sglt2Inhibitor;
/// The one of them with which more amputations were seen.
const SEEN_WITH: Class = Class::Canagliflozin;

pub(super) static RULE: Rule = Rule {
    name: "sglt2-inhibitor",
    topic: Topic::Diabetes,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "gp-letter"]),
    title: "a medicine with which toes are lost more often",
    why: "With canagliflozin more feet, mainly toes, were amputated; it may hold for the others of its class. \
          Whoever prescribes it considers stopping it when a foot is infected or ulcerated.",
    cite: Cite::adapts(
        &sources::diabetes::SGLT2_AMPUTATION,
        "advice for healthcare professionals",
        "it names canagliflozin and complications of the foot such as infection; a note for the others, and for a \
         foot without any, is ours",
    ),
    limits: "A caution with canagliflozin where a toe under surgery was infected, else a note. No medicine is \
             stopped by the clinic. An ulcer and other active disease of the foot are `foot-active`.",
    example: Example {
        bad: "{history: {medicines: [canagliflozin]}, problem: {toes: {L1: {infected: true}}}}",
        good: "{history: {medicines: [metformin]}, problem: {toes: {L1: {infected: true}}}}",
    },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some((path, label)) = stage::surgery(facts) else { return Vec::new() };
    let infected = feet::infected_under_surgery(facts);
    let medicines = facts.derived.medicines.iter().enumerate();
    let found = medicines.filter(|(_, medicine)| medicine.is(CLASS)).map(|(at, medicine)| {
        let finding = Finding::at(format!("history.medicines[{at}]"));
        if infected.is_empty() || !medicine.is(SEEN_WITH) {
            return finding
                .says(format!("takes {}: the feet are looked after with special care", medicine.typed))
                .see(path, label.clone())
                .fix("tell the patient to call early about the toe, and to go on eating and drinking")
                .weighs(Severity::Note);
        }
        let toes = List::and(infected.iter().map(|toe| named(*toe)));
        finding
            .says(format!("takes {}, and {toes} was infected", medicine.typed))
            .see(format!("problem.toes.{}.infected", infected[0]), "infected")
            .fix("say under `accepted` that whoever prescribes it was asked whether to stop it")
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, weights};

    fn with(medicine: &str, infected: bool) -> String {
        format!(
            "{{history: {{medicines: [{medicine}]}}, problem: {{toes: {{L1: {{infected: {infected}}}}}}}}}"
        )
    }

    #[test]
    fn only_canagliflozin_with_an_infected_toe_is_a_caution() {
        assert_eq!(weights(&RULE, &with("canagliflozin", true)), [Severity::Caution]);
        assert_eq!(weights(&RULE, &with("canagliflozin", false)), [Severity::Note]);
        assert_eq!(weights(&RULE, &with("dapagliflozin", true)), [Severity::Note]);
        assert!(paths(&RULE, &with("gliclazide", true)).is_empty());
        assert!(paths(&RULE, "{operation: ~, plan: ~, history: {medicines: [canagliflozin]}}").is_empty());
    }
}
