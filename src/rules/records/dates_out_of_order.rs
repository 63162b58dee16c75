//! Dates of the case that cannot all be true. Consent after the operation, an operation in the future and
//! a birth in the future have rules of their own.

use std::borrow::Cow;

use crate::case::DiabetesEntry;
use crate::clinical::{Cite, sources};
use crate::date::CivilDate;
use crate::diagnostic::{Finding, Severity};
use crate::facts::Facts;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};

pub(super) static RULE: Rule = Rule {
    name: "dates-out-of-order",
    topic: Topic::Records,
    severity: Severity::Stop,
    answered_by: AnsweredBy::Never,
    holds: Holds::All,
    title: "the dates of the case do not agree",
    why: "Ages, intervals and visits are worked out from these dates, and the documents print them side by \
          side.",
    cite: Cite::adapts(
        &sources::records::HCPC_RECORDS,
        "10.1",
        "the source asks for clear and accurate records; comparing the dates is ours",
    ),
    limits: "A blood test dated after surgery is only a caution: it may be a later one. Dates that are \
             wrong but possible are not seen.",
    example: Example {
        bad: "follow_up: {first_redressing: 2026-11-20}",
        good: "follow_up: {first_redressing: 2026-11-27}",
    },
    check,
};

/// A date and where it stands.
struct Dated {
    /// The path, as a text: it is taken apart only for a finding.
    path: Cow<'static, str>,
    what: &'static str,
    date: CivilDate,
}

impl Dated {
    fn new(path: impl Into<Cow<'static, str>>, what: &'static str, date: CivilDate) -> Dated {
        Dated { path: path.into(), what, date }
    }

    /// The finding if this date comes before another that it must not precede.
    fn not_before(&self, other: &Dated) -> Option<Finding> {
        (self.date < other.date).then(|| {
            Finding::at(&*self.path)
                .says(format!("{} on {}", self.what, self.date.clinical()))
                .see(&*other.path, format!("{} on {}", other.what, other.date.clinical()))
                .fix("correct the date that was written wrongly")
        })
    }

    /// The finding if this date, of something that has happened, lies after today.
    fn not_after_today(&self, today: CivilDate) -> Option<Finding> {
        (today < self.date).then(|| {
            Finding::at(&*self.path)
                .says(format!("{} on {}, after today, {}", self.what, self.date.clinical(), today.clinical()))
                .fix("correct the date, or leave it out until it has happened")
        })
    }
}

fn check(facts: &Facts) -> Vec<Finding> {
    let case = &facts.case;
    let born = Dated::new("patient.born", "born", case.patient.born);
    let consent = case.consent.as_ref();
    let signed =
        consent.and_then(|consent| consent.signed).map(|day| Dated::new("consent.signed", "signed", day));
    let confirmed = consent
        .and_then(|consent| consent.confirmed)
        .map(|day| Dated::new("consent.confirmed", "consent confirmed", day));
    let operated =
        case.operation.as_ref().map(|operation| Dated::new("operation.date", "operated", operation.date));

    let mut findings: Vec<Finding> = Vec::new();
    // A birth in the future would come before nothing: `born-in-future` says it once.
    if born.date <= facts.today {
        let earliest = operated.iter().chain(&signed).min_by_key(|dated| dated.date);
        findings.extend(earliest.and_then(|dated| dated.not_before(&born)));
    }
    // A form signed after the operation is `consent-after-operation`.
    let is_late = |signed: &Dated| operated.as_ref().is_some_and(|operated| operated.date < signed.date);
    if let (Some(confirmed), Some(signed)) = (&confirmed, signed.as_ref().filter(|signed| !is_late(signed))) {
        findings.extend(confirmed.not_before(signed));
    }
    for dated in signed.iter().chain(&confirmed).filter(|_| operated.is_none()) {
        findings.extend(dated.not_after_today(facts.today));
    }
    for test in blood_tests(facts) {
        let late = match &operated {
            // The operation is the date that was already judged; the test is the one to look at.
            Some(operated) if operated.date < test.date => Some(
                Finding::at(&*test.path)
                    .says(format!("{} on {}, after the operation", test.what, test.date.clinical()))
                    .see(&*operated.path, format!("operated on {}", operated.date.clinical()))
                    .fix("enter the last result before surgery, or say under `accepted` why this one stands"),
            ),
            _ => test.not_after_today(facts.today),
        };
        findings.extend(late.map(|finding| finding.weighs(Severity::Caution)));
    }
    if let (Some(operated), Some(late)) = (&operated, late_entry(facts)) {
        findings.extend(late.not_before(operated).or_else(|| late.not_after_today(facts.today)));
    }
    for (at, visit) in case.visits.iter().enumerate() {
        let seen = Dated::new(format!("visits[{at}].on"), "seen", visit.on);
        let early = operated.as_ref().and_then(|operated| seen.not_before(operated));
        findings.extend(early.or_else(|| seen.not_after_today(facts.today)));
        let next = visit.next.as_ref();
        let next = next.map(|next| Dated::new(format!("visits[{at}].next.on"), "next visit", next.on));
        findings.extend(next.and_then(|next| next.not_before(&seen)));
    }
    if let Some(closed) = &case.closed {
        let closed = Dated::new("closed.on", "closed", closed.on);
        let early = operated.as_ref().and_then(|operated| closed.not_before(operated));
        findings.extend(early.or_else(|| closed.not_after_today(facts.today)));
    }
    for (at, incident) in case.incidents.iter().enumerate() {
        let dated = |key: &str, what, day: Option<CivilDate>| {
            day.map(|day| Dated::new(format!("incidents[{at}].{key}.on"), what, day))
        };
        let found = dated("found", "found", incident.found.as_ref().and_then(|found| found.on));
        let told = dated("told", "told", incident.told.as_ref().and_then(|told| told.on));
        // What answers a rule about the operation is found after it; anything else can happen before.
        let is_of_the_operation = !incident.answered_rules().is_empty();
        let early = |found: &Dated| {
            operated.as_ref().filter(|_| is_of_the_operation).and_then(|day| found.not_before(day))
        };
        if let Some(found) = &found {
            findings.extend(early(found).or_else(|| found.not_after_today(facts.today)));
        }
        if let Some(told) = &told {
            let early = found.as_ref().and_then(|found| told.not_before(found));
            findings.extend(early.or_else(|| told.not_after_today(facts.today)));
        }
    }
    let earlier = case.follows.as_ref().and_then(|earlier| earlier.operated);
    if let Some(earlier) = earlier.map(|day| Dated::new("follows", "operated before", day)) {
        findings.extend(earlier.not_before(&born));
        findings.extend(match &operated {
            Some(operated) => operated.not_before(&earlier),
            None => earlier.not_after_today(facts.today),
        });
    }
    if let Some(operated) = &operated {
        findings.extend(visits(facts).iter().filter_map(|visit| visit.not_before(operated)));
    }
    findings
}

/// A note that was written after the day of surgery.
fn late_entry(facts: &Facts) -> Option<Dated> {
    let late = facts.case.operation.as_ref()?.late_entry.as_ref()?;
    Some(Dated::new("operation.late_entry.written", "note written", late.written))
}

/// Blood tests before surgery.
fn blood_tests(facts: &Facts) -> Vec<Dated> {
    let Some(history) = &facts.case.history else { return Vec::new() };
    let mut tests = Vec::new();
    if let Some(DiabetesEntry::Some(diabetes)) = &history.diabetes {
        tests.extend(diabetes.tested.map(|day| Dated::new("history.diabetes.tested", "HbA1c tested", day)));
    }
    tests.extend(history.inr.get().map(|inr| Dated::new("history.inr.tested", "INR tested", inr.tested)));
    tests
}

/// Visits that are booked after surgery.
fn visits(facts: &Facts) -> Vec<Dated> {
    let Some(follow_up) = &facts.case.follow_up else { return Vec::new() };
    let first = follow_up.first_redressing;
    first.map(|day| Dated::new("follow_up.first_redressing", "first redressing", day)).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{paths, says, weights};

    /// Surgery in the base case: 24 November 2026; today: 25 November 2026.
    #[test]
    fn visits_on_the_day_pass_and_before_it_do_not() {
        assert!(paths(&RULE, "follow_up: {first_redressing: 2026-11-24}").is_empty());
        assert_eq!(paths(&RULE, "follow_up: {first_redressing: 2026-11-23}"), ["follow_up.first_redressing"]);
        let next = "visits: [{on: 2026-11-25, kind: redressing, next: {kind: review, on: 2026-11-24}}]";
        assert_eq!(paths(&RULE, next), ["visits[0].next.on"]);
    }

    #[test]
    fn visits_lie_between_surgery_and_today() {
        let on = |day: &str| format!("visits: [{{on: {day}, kind: redressing}}]");
        assert!(paths(&RULE, &on("2026-11-24")).is_empty());
        assert!(paths(&RULE, &on("2026-11-25")).is_empty());
        assert_eq!(paths(&RULE, &on("2026-11-23")), ["visits[0].on"]);
        assert_eq!(says(&RULE, &on("2026-11-26")), ["seen on 26-Nov-2026, after today, 25-Nov-2026"]);
    }

    #[test]
    fn an_incident_is_found_after_surgery_and_told_after_it_was_found() {
        let on = |answers: &str, found: &str, told: &str| {
            format!("incidents: [{{answers: [{answers}], found: {{on: {found}}}, told: {{on: {told}}}}}]")
        };
        assert!(paths(&RULE, &on("toe-not-planned", "2026-11-24", "2026-11-24")).is_empty());
        assert_eq!(
            paths(&RULE, &on("toe-not-planned", "2026-11-23", "2026-11-25")),
            ["incidents[0].found.on"]
        );
        assert!(paths(&RULE, &on("", "2026-11-20", "2026-11-20")).is_empty(), "a fall at the first visit");
        assert_eq!(paths(&RULE, &on("", "2026-11-24", "2026-11-23")), ["incidents[0].told.on"]);
        assert_eq!(
            paths(&RULE, &on("", "2026-11-26", "2026-11-27")),
            ["incidents[0].found.on", "incidents[0].told.on"]
        );
    }

    #[test]
    fn a_test_after_surgery_is_a_caution() {
        let on = |day: &str| {
            format!(
                "history: {{diabetes: {{type: 2, tested: {day}}}, inr: {{value: \"2.5\", tested: {day}}}}}"
            )
        };
        assert!(paths(&RULE, &on("2026-11-24")).is_empty());
        assert_eq!(paths(&RULE, &on("2026-11-25")), ["history.diabetes.tested", "history.inr.tested"]);
        assert_eq!(weights(&RULE, &on("2026-11-25")), [Severity::Caution, Severity::Caution]);
    }

    #[test]
    fn birth_comes_first_and_is_reported_once() {
        assert!(paths(&RULE, "patient: {born: 2026-11-20}").is_empty());
        assert_eq!(paths(&RULE, "patient: {born: 2026-11-21}"), ["consent.signed"]);
        assert!(paths(&RULE, "patient: {born: 2027-11-21}").is_empty(), "born-in-future says it");
    }

    #[test]
    fn a_late_entry_is_written_after_surgery_and_not_after_today() {
        let written = |day: &str| {
            format!("operation: {{late_entry: {{written: {day}, by: R. Quill, because: no power}}}}")
        };
        assert!(
            paths(&RULE, &written("2026-11-24")).is_empty()
                && paths(&RULE, &written("2026-11-25")).is_empty()
        );
        assert_eq!(paths(&RULE, &written("2026-11-23")), ["operation.late_entry.written"]);
        assert_eq!(paths(&RULE, &written("2026-11-26")), ["operation.late_entry.written"]);
    }

    #[test]
    fn consent_is_confirmed_after_it_was_signed_and_never_tomorrow() {
        assert!(paths(&RULE, "consent: {confirmed: 2026-11-20}").is_empty());
        assert_eq!(paths(&RULE, "consent: {confirmed: 2026-11-19}"), ["consent.confirmed"]);
        let planned = |day: &str| format!("{{operation: ~, consent: {{signed: {day}, confirmed: ~}}}}");
        assert!(paths(&RULE, &planned("2026-11-25")).is_empty());
        assert_eq!(paths(&RULE, &planned("2026-11-26")), ["consent.signed"]);
    }
}
