//! Active foot disease in the history. Infection that spreads from a toe is `cellulitis`.

use crate::case::FootFactor;
use crate::clinical::{Cite, sources};
use crate::derive::FootRisk;
use crate::diagnostic::english::List;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic, feet};

pub(super) static RULE: Rule = Rule {
    name: "foot-active",
    topic: Topic::Diabetes,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Reason,
    holds: Holds::Only(&["operation-note", "gp-letter", "consent-form", "aftercare-leaflet"]),
    title: "the foot has active disease",
    why: "An ulcer, gangrene, spreading infection or a hot swollen foot goes to the foot protection team \
          within a day. Elective nail surgery waits.",
    cite: Cite::from_memory(&sources::diabetes::NG19, "active diabetic foot problem, referral"),
    limits: "The history does not say which foot it is. The tier is made for people with diabetes and is used \
             for everyone. Infection spreading from a toe is reported by `cellulitis`.",
    example: Example { bad: "history: {foot: [ulcer now]}", good: "history: {foot: [previous ulcer]}" },
    check,
};

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(foot) = feet::under_surgery(facts).into_iter().next() else { return Vec::new() };
    if facts.derived.foot_risk.get() != Some(&FootRisk::Active) {
        return Vec::new();
    }
    let recorded = facts.case.history.as_ref().map_or(&[][..], |history| history.foot.as_slice());
    let active: Vec<(usize, &str)> =
        recorded.iter().enumerate().filter_map(|(at, factor)| Some((at, active_words(*factor)?))).collect();
    let Some((first, _)) = active.first() else { return Vec::new() };
    let words = List::and(active.iter().map(|(_, words)| words));
    vec![
        Finding::at(format!("history.foot[{first}]"))
            .says(format!("{words} recorded: active foot disease"))
            .see(foot.path(), foot.label())
            .fix("refer to the foot protection team; if it had healed by the day of surgery, correct the entry"),
    ]
}

/// The words of the case file for what makes a foot active.
fn active_words(factor: FootFactor) -> Option<&'static str> {
    match factor {
        FootFactor::UlcerNow => Some("ulcer now"),
        FootFactor::SpreadingInfection => Some("spreading infection"),
        FootFactor::Gangrene => Some("gangrene"),
        FootFactor::HotSwollenFoot => Some("hot swollen foot"),
        FootFactor::Callus
        | FootFactor::Deformity
        | FootFactor::PreviousUlcer
        | FootFactor::Amputation
        | FootFactor::RenalReplacement => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says};

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
