//! Active foot disease in the history. Infection that spreads from a toe is `cellulitis`.

use crate::derive::{Reason, Urgency};
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "foot-active",
    topic: Topic::Diabetes,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&[
        "operation-note",
        "gp-letter",
        "consent-form",
        "aftercare-leaflet",
        "preparation-leaflet",
        "dressing-leaflet",
    ]),
    title: "the foot has active disease",
    why: "Gangrene, spreading infection, and an ulcer where too little blood flows or with fever go to acute \
          services immediately; any other ulcer and a hot swollen foot within 1 working day. Elective nail \
          surgery waits.",
    cite: Urgency::SOURCE,
    limits: "The history does not say which foot it is, and fever is not asked for. The urgencies are made for \
             people with diabetes and are used for everyone. Infection spreading from a toe is reported by \
             `cellulitis`.",
    example: Example { bad: "history: {foot: [ulcer now]}", good: "history: {foot: [previous ulcer]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(foot) = feet::under_surgery(facts).into_iter().next() else { return Vec::new() };
    let active: Vec<&Reason> = facts.derived.foot_history.active().map(|(_, reason)| reason).collect();
    let Some((first, rest)) = active.split_first() else { return Vec::new() };
    let words = List::and(active.iter().map(|reason| &reason.name));
    let referral = match facts.derived.foot_history.urgency {
        Some(Urgency::AtOnce) => {
            "send the patient to acute services immediately, and tell the multidisciplinary foot care service"
        }
        _ => "refer to the multidisciplinary foot care or the foot protection service within 1 working day",
    };
    let finding = Finding::at(first.path.clone())
        .says(format!("{words} recorded: active foot disease"))
        .see(foot.path(), foot.label())
        .fix(format!("{referral}; if it had healed by the day of surgery, correct the entry"));
    vec![rest.iter().fold(finding, |finding, more| finding.see(more.path.clone(), &more.says))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    #[test]
    fn the_fix_says_how_soon() {
        let fix = |history: &str| {
            let found = findings(&RULE, &format!("history: {{{history}}}"));
            found[0].fix.clone().unwrap_or_default()
        };
        assert!(fix("foot: [gangrene]").contains("immediately"));
        assert!(fix("foot: [ulcer now], conditions: [PAD]").contains("immediately"));
        assert!(fix("foot: [ulcer now]").contains("within 1 working day"));
        assert_eq!(paths(&RULE, "history: {conditions: [foot ulcer]}"), ["history.conditions[0]"]);
    }

    #[test]
    fn high_risk_passes_and_active_disease_does_not() {
        assert!(paths(&RULE, "history: {foot: [previous ulcer, amputation, renal replacement]}").is_empty());
        let both = "history: {foot: [callus, ulcer now, gangrene]}";
        assert_eq!(paths(&RULE, both), ["history.foot[1]"]);
        assert_eq!(says(&RULE, both), ["ulcer now and gangrene recorded: active foot disease"]);
        for factor in ["spreading infection", "hot swollen foot"] {
            assert_eq!(paths(&RULE, &format!("history: {{foot: [{factor}]}}")).len(), 1, "{factor}");
        }
    }

    #[test]
    fn infection_from_a_toe_is_left_to_its_own_rule() {
        assert!(paths(&RULE, "problem: {toes: {L1: {cellulitis: true}}}").is_empty());
    }

    #[test]
    fn an_assessment_alone_may_record_it() {
        assert!(paths(&RULE, "{operation: ~, plan: ~, history: {foot: [ulcer now]}}").is_empty());
    }
}
