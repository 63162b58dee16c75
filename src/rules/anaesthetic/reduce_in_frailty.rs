//! A patient whose dose should be smaller, with no figure for how much.

use super::{Supplied, supplied};
use crate::clinical::tables::Agent;
use crate::clinical::thresholds::Threshold;
use crate::clinical::{Cite, sources};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "reduce-in-frailty",
    topic: Topic::Anaesthetic,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note", "consent-form"]),
    title: "the anaesthetic dose is reduced in this patient",
    why: "Frail, old and pregnant patients reach toxic levels at lower doses. The product texts ask for \
          a smaller dose, and none says how much smaller.",
    cite: Cite::adapts(
        &sources::anaesthetic::LIDOCAINE_SMPC,
        "section 4.2",
        "it reduces lidocaine over 60 years and in pregnancy; frailty, and the same age for mepivacaine and \
         prilocaine, whose texts say elderly without an age, are ours",
    ),
    limits: "No percentage is invented: how much less is for the practitioner. Frailty is a caution; age \
             over 60 with lidocaine, mepivacaine or prilocaine, and pregnancy with lidocaine, are notes.",
    example: Example { bad: "history: {frail: true}", good: "history: {frail: false}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let supplied = supplied(facts);
    if supplied.is_empty() {
        return Vec::new();
    }
    let share = facts.derived.anaesthetic_share.entry();
    let share = share.map_or_else(String::new, |share| format!(" ({} of the limit)", share.working));
    let finding = |path: &str, who: String, agents: Vec<&Supplied<'_>>| {
        let names = List::and(agents.iter().map(|agent| format!("{}{}", agent.name(), agent.usual())));
        let finding = Finding::at(path).says(format!("{who}, {names}{share}"));
        agents.iter().fold(finding, |finding, agent| agent.shown_in(finding))
    };
    if let Some(reason) = facts.derived.frailty.reasons.first() {
        let frail = finding(&reason.path.to_string(), reason.says.clone(), supplied.iter().collect());
        return vec![frail.fix("say under `accepted` how the dose was chosen for this patient")];
    }
    let of = |text: fn(&Agent) -> Option<Cite>| -> Vec<&Supplied<'_>> {
        supplied.iter().filter(|one| one.agent.and_then(text).is_some()).collect()
    };
    let mut notes = Vec::new();
    let old = of(|agent| agent.less_in_old_age);
    if let Some(age) = facts.derived.age.get().filter(|age| age.years > Threshold::DoseReducedOver.whole())
        && !old.is_empty()
    {
        notes.push(finding("patient.born", format!("aged {age}"), old));
    }
    let pregnant = of(|agent| agent.less_in_pregnancy);
    if let Some(reason) = facts.derived.pregnancy.reasons.first()
        && !pregnant.is_empty()
    {
        notes.push(finding(&reason.path.to_string(), "pregnant".to_owned(), pregnant));
    }
    notes.into_iter().map(|note| note.weighs(Severity::Note)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    #[test]
    fn frailty_is_a_caution_with_any_agent() {
        assert_eq!(weights(&RULE, "history: {frail: true}"), [Severity::Caution]);
        assert_eq!(
            says(&RULE, "history: {frail: true}"),
            ["frail, mepivacaine (66 mg ÷ 299 mg = 22.1 % of the limit)"]
        );
    }

    /// The day of surgery is 24 November 2026.
    #[test]
    fn over_sixty_is_a_note() {
        let born = |on: &str, agent: &str| {
            format!("{{patient: {{born: {on}}}, operation: {{anaesthetic: {{agent: {agent}}}}}}}")
        };
        assert!(paths(&RULE, &born("1965-11-25", "lidocaine")).is_empty(), "60 years");
        assert_eq!(weights(&RULE, &born("1965-11-24", "lidocaine")), [Severity::Note], "61 years");
        assert!(paths(&RULE, &born("1940-01-01", "bupivacaine")).is_empty());
    }

    #[test]
    fn pregnancy_is_a_note_with_lidocaine() {
        let pregnant = "{history: {pregnant: true}, operation: {anaesthetic: {agent: lidocaine}}}";
        assert_eq!(paths(&RULE, pregnant), ["history.pregnant"]);
        assert!(paths(&RULE, "history: {pregnant: true}").is_empty());
    }

    #[test]
    fn frailty_among_the_conditions_counts_as_the_field_does() {
        let listed = "history: {conditions: [asthma, severe frailty]}";
        assert_eq!(paths(&RULE, listed), ["history.conditions[1]"]);
        assert_eq!(weights(&RULE, listed), [Severity::Caution]);
        assert!(paths(&RULE, "history: {conditions: [asthma]}").is_empty());
    }

    #[test]
    fn what_is_planned_counts_before_the_usual_agent() {
        let own = "{operation: ~, planned_anaesthetic: {agent: bupivacaine, strength: 0.5 %}, history: {frail: true}}";
        assert_eq!(says(&RULE, own), ["frail, bupivacaine (planned)"]);
    }

    #[test]
    fn the_usual_agent_counts_while_planned() {
        assert_eq!(
            says(&RULE, "{operation: ~, history: {frail: true}}"),
            ["frail, mepivacaine (the clinic's usual agent)"]
        );
        assert!(paths(&RULE, "{operation: ~, plan: ~, history: {frail: true}}").is_empty());
    }
}
