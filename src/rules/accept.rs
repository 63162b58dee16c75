//! The practitioner's answers: every finding with its weight and, where one was given, its answer: a
//! reason under `accepted`, or a complete entry under `incidents`.
//!
//! The answers themselves are judged by ordinary rules (`accepted-unmatched`,
//! `accepted-not-acceptable`, `accepted-without-reason`, and the topic of incidents), so that they can be
//! explained like any other.

use super::{AnsweredBy, Rule, Topic, check_all, incidents, words::is_blank};
use crate::case::Accepted;
use crate::diagnostic::{Answer, Finding, Path, Severity};
use crate::facts::Facts;

/// A finding with its rule, its weight here and the practitioner's answer.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The rule that found it.
    pub rule: &'static Rule,
    /// What was found.
    pub finding: Finding,
    /// How much it weighs here.
    pub severity: Severity,
    /// The answer under `accepted` or `incidents`; never there for a stop that cannot be answered so.
    pub answer: Option<Answer>,
}

/// Runs every rule and gives each finding its weight and its answer. One entry answers all findings of
/// its rule; of two entries for one rule the first counts, and the second is itself a finding.
pub fn judge(facts: &Facts) -> Vec<Judged> {
    check_all(facts)
        .into_iter()
        .map(|(rule, mut finding)| {
            let severity = weight(rule, &finding);
            if severity == Severity::Stop {
                finding.fix = remedy(rule, finding.fix);
            }
            let recorded = may_be_an_incident(rule, severity).then(|| incident_of(rule, facts)).flatten();
            let reason = || may_be_accepted(rule, severity).then(|| answer_to(rule, facts)).flatten();
            let answer = recorded.or_else(reason);
            Judged { rule, finding, severity, answer }
        })
        .collect()
}

/// What to do about a stop, with what else answers it where the finding does not say so itself.
fn remedy(rule: &Rule, fix: Option<String>) -> Option<String> {
    let (key, also) = match rule.answered_by {
        AnsweredBy::Never => return fix,
        AnsweredBy::Reason => ("`accepted`", "if it was right to go on, say why under `accepted`"),
        AnsweredBy::Incident => ("`incidents`", "if it really happened, record it under `incidents`"),
    };
    Some(match fix {
        Some(fix) if fix.contains(key) => fix,
        Some(fix) => format!("{fix}; {also}"),
        None => also.to_owned(),
    })
}

/// How much a finding weighs: its own weight, else that of its rule.
pub(super) fn weight(rule: &Rule, finding: &Finding) -> Severity {
    finding.severity.unwrap_or(rule.severity)
}

/// Cautions and notes always may be answered, a stop only if its rule says so.
pub(super) fn may_be_accepted(rule: &Rule, severity: Severity) -> bool {
    match severity {
        Severity::Unreadable => false,
        Severity::Stop => rule.answered_by == AnsweredBy::Reason,
        Severity::Caution | Severity::Note => true,
    }
}

/// What really happened answers whatever can be answered at all: that somebody decided it, and that nobody
/// did. Only the entries themselves are not answered by another of their kind.
pub(super) fn may_be_an_incident(rule: &Rule, severity: Severity) -> bool {
    let is_about_entries = rule.topic == Topic::Incidents || is_about_answers(rule);
    !is_about_entries
        && match severity {
            Severity::Unreadable => false,
            Severity::Stop => rule.answered_by != AnsweredBy::Never,
            Severity::Caution | Severity::Note => true,
        }
}

/// True if an entry says both why and who.
pub(super) fn is_complete(entry: &Accepted) -> bool {
    !is_blank(Some(&entry.because)) && !is_blank(Some(&entry.by))
}

/// True if a rule judges the answers themselves. Such a rule is never asked by another of its kind:
/// an entry that names one would make them ask each other for ever.
pub(super) fn is_about_answers(rule: &Rule) -> bool {
    [
        "accepted-unmatched",
        "accepted-not-acceptable",
        "accepted-without-reason",
        "incident-unmatched",
        "incident-not-answerable",
    ]
    .contains(&rule.name)
}

/// The position of the first entry for a rule.
pub(super) fn first_entry(facts: &Facts, rule: &str) -> Option<usize> {
    facts.case.accepted.iter().position(|entry| entry.rule == rule)
}

fn answer_to(rule: &Rule, facts: &Facts) -> Option<Answer> {
    let at = first_entry(facts, rule.name)?;
    let entry = facts.case.accepted.get(at)?;
    is_complete(entry).then(|| Answer {
        because: entry.because.clone(),
        by: entry.by.clone(),
        under: Path::from("accepted").index(at),
    })
}

/// The first complete incident that names a rule: what happened, and who found it.
fn incident_of(rule: &Rule, facts: &Facts) -> Option<Answer> {
    let incidents = facts.case.incidents.iter().enumerate();
    let mut named =
        incidents.filter(|(_, entry)| entry.answered_rules().iter().any(|name| name == rule.name));
    let (at, entry) = named.find(|(_, entry)| incidents::lacks(entry).is_empty())?;
    Some(Answer {
        because: entry.what_happened.clone()?,
        by: entry.found.as_ref()?.by.clone()?,
        under: Path::from("incidents").index(at),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    /// What stands in the way of issuing, as `rule severity answered`.
    fn judged(fragment: &str) -> Vec<(&'static str, Severity, bool)> {
        judge(&facts_of(fragment))
            .into_iter()
            .map(|judged| (judged.rule.name, judged.severity, judged.answer.is_some()))
            .collect()
    }

    const SLOW: &str = "operation: {toes: {L1: {refill: 4 s}}}";

    #[test]
    fn a_caution_is_answered_and_stays_in_the_list() {
        assert_eq!(judged(&format!("{{{SLOW}}}")), [("refill-slow", Severity::Caution, false)]);
        let answered = format!("{{{SLOW}, accepted: [{{rule: refill-slow, because: cold, by: R. Quill}}]}}");
        assert_eq!(judged(&answered), [("refill-slow", Severity::Caution, true)]);
    }

    #[test]
    fn an_answer_without_a_reason_answers_nothing() {
        let empty = format!("{{{SLOW}, accepted: [{{rule: refill-slow, because: \" \", by: R. Quill}}]}}");
        assert_eq!(
            judged(&empty),
            [("refill-slow", Severity::Caution, false), ("accepted-without-reason", Severity::Stop, false)]
        );
    }

    #[test]
    fn a_plain_stop_cannot_be_answered_and_one_with_a_star_can() {
        let plain = "{operation: {toes: {L1: {tourniquet: {off: ~}}}}, \
                      accepted: [{rule: tourniquet-not-removed, because: it did, by: R. Quill}]}";
        assert_eq!(
            judged(plain),
            [
                ("tourniquet-not-removed", Severity::Stop, false),
                ("accepted-not-acceptable", Severity::Stop, false)
            ]
        );
        let star = "{operation: {finish: \"10:30\", toes: {L1: {tourniquet: {off: \"10:21\"}}}}, \
                     accepted: [{rule: tourniquet-long, because: hard to free, by: R. Quill}]}";
        assert_eq!(judged(star), [("tourniquet-long", Severity::Stop, true)]);
    }

    const OTHER_FOOT: &str = "problem: {toes: {R1: {edges: [lateral]}}}, \
                              plan: {L1: ~, R1: {nail: partial, edges: [lateral], matrix: phenol}}";
    const TOLD: &str = "told: {on: 2026-11-24, by: R. Quill, apology: true}, reported: [{to: the manager}]";

    fn recorded(keys: &str) -> String {
        format!("{{{OTHER_FOOT}, incidents: [{{answers: [toe-not-planned], {keys}, {TOLD}}}]}}")
    }

    #[test]
    fn what_really_happened_is_answered_by_a_complete_incident() {
        let complete = recorded(
            "what_happened: the other toe, found: {on: 2026-11-24, by: R. Quill}, done_at_once: dressed, harm: low",
        );
        assert_eq!(judged(&complete), [("toe-not-planned", Severity::Stop, true)]);
        let answer = judge(&facts_of(&complete)).remove(0).answer.expect("it is answered");
        assert_eq!((answer.because.as_str(), answer.by.as_str()), ("the other toe", "R. Quill"));
        assert_eq!(answer.incident(), Some(0));
    }

    #[test]
    fn an_incomplete_incident_answers_nothing_and_names_what_it_lacks() {
        let incomplete = recorded("what_happened: the other toe, done_at_once: dressed, harm: low");
        assert_eq!(
            judged(&incomplete),
            [("toe-not-planned", Severity::Stop, false), ("incident-incomplete", Severity::Stop, false)]
        );
    }

    #[test]
    fn a_reason_does_not_answer_what_only_an_incident_does() {
        let reason =
            format!("{{{OTHER_FOOT}, accepted: [{{rule: toe-not-planned, because: so, by: R. Quill}}]}}");
        assert_eq!(
            judged(&reason),
            [("toe-not-planned", Severity::Stop, false), ("accepted-not-acceptable", Severity::Stop, false)]
        );
    }

    #[test]
    fn every_stop_that_can_be_answered_says_how() {
        for rule in super::super::rules() {
            let key = match rule.answered_by {
                AnsweredBy::Never => continue,
                AnsweredBy::Reason => "`accepted`",
                AnsweredBy::Incident => "`incidents`",
            };
            for judged in judge(&facts_of(rule.example.bad)) {
                if judged.rule.name == rule.name && judged.severity == Severity::Stop {
                    let fix = judged.finding.fix.unwrap_or_default();
                    assert_eq!(fix.matches(key).count(), 1, "{}: {fix}", rule.name);
                }
            }
        }
    }

    #[test]
    fn entries_about_answers_do_not_go_round_in_circles() {
        for rule in ["accepted-unmatched", "accepted-not-acceptable", "accepted-without-reason"] {
            let entry = format!("accepted: [{{rule: {rule}, because: so, by: R. Quill}}]");
            assert_eq!(judged(&entry), [("accepted-not-acceptable", Severity::Stop, false)], "{rule}");
        }
    }
}
