//! How often an ordinary case is interrupted. Whoever is asked about everything answers nothing: a
//! warning only helps where it is rare.

use std::collections::BTreeSet;

use unguis::demo;
use unguis::diagnostic::Severity;
use unguis::pipeline::check;
use unguis::rules::check_all;
use unguis::rules::example::facts_of;

/// More than so many rules must not ask for an answer in an ordinary case.
const MOST: usize = 2;

/// The rules that ask for an answer, each once: one entry under `accepted` answers all that a rule finds.
fn asking(fragment: &str) -> BTreeSet<&'static str> {
    let found = check_all(&facts_of(fragment));
    let asks =
        found.iter().filter(|(rule, finding)| finding.severity.unwrap_or(rule.severity) < Severity::Note);
    asks.map(|(rule, _)| rule.name).collect()
}

/// What walks in on an ordinary morning, laid over the routine adult, with the rules that ask about it.
const ORDINARY: &[(&str, &str, &[&str])] = &[
    ("the routine adult", "", &[]),
    ("infected, which is why she came", "problem: {toes: {L1: {infected: true, stage: 3}}}", &[]),
    ("asthma and an inhaler", "history: {conditions: [asthma], medicines: [salbutamol]}", &[]),
    ("speaks English", "patient: {language: English}", &[]),
    ("smokes", "history: {smoker: true}", &[]),
    ("breastfeeds", "history: {breastfeeding: true}", &[]),
    ("takes aspirin", "history: {medicines: [aspirin]}", &[]),
    ("takes clopidogrel", "history: {medicines: [clopidogrel]}", &[]),
    ("takes sertraline", "history: {medicines: [sertraline]}", &[]),
    ("takes apixaban", "history: {medicines: [apixaban]}", &["anticoagulant"]),
    (
        "takes warfarin, INR of yesterday",
        "history: {medicines: [warfarin], inr: {value: 2.5, tested: 2026-11-23}}",
        &["anticoagulant"],
    ),
    (
        "type 2 diabetes, well controlled",
        "history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}, medicines: [metformin]}",
        &[],
    ),
    ("blood pressure treated", "history: {conditions: [hypertension], medicines: [ramipril]}", &[]),
    (
        "an SGLT2 inhibitor among the medicines for diabetes, and a toe that is infected",
        "{history: {diabetes: {type: 2, hba1c: 52 mmol/mol, tested: 2026-10-02}, \
           medicines: [metformin, dapagliflozin]}, problem: {toes: {L1: {infected: true}}}}",
        &[],
    ),
    ("isotretinoin for acne", "history: {medicines: [isotretinoin]}", &[]),
    (
        "a stroke some years ago",
        "history: {conditions: [previous stroke], medicines: [clopidogrel, atorvastatin]}",
        &[],
    ),
    ("a murmur of a valve", "history: {conditions: [mitral regurgitation]}", &[]),
    ("allergic to bananas", "history: {allergies: [{to: banana}]}", &[]),
    ("allergic to penicillin", "history: {allergies: [{to: penicillin}]}", &[]),
    (
        "whole nail",
        "{plan: {L1: {nail: total, edges: []}}, operation: {toes: {L1: {nail: total, edges: []}}}}",
        &[],
    ),
    ("no phenol", "{plan: {L1: {matrix: none}}, operation: {phenol: ~, toes: {L1: {phenol: ~}}}}", &[]),
    (
        "both edges",
        "{plan: {L1: {edges: [medial, lateral]}}, problem: {toes: {L1: {edges: [medial, lateral]}}}, \
          operation: {toes: {L1: {edges: [medial, lateral]}}}}",
        &[],
    ),
    (
        "the refill was seen and not timed",
        "operation: {toes: {L1: {refill: {not_recorded: \"pink and warm at once, not timed\"}}}}",
        &["record-gap"],
    ),
    (
        "no scale in the room",
        "patient: {weight: {not_recorded: no scale at the home visit}}",
        &["record-gap"],
    ),
    (
        "the label was torn",
        "operation: {anaesthetic: {batch: {not_recorded: label torn}, expires: {not_recorded: label torn}}}",
        &["record-gap"],
    ),
    (
        "batch and expiry forgotten",
        "operation: {anaesthetic: {batch: ~, expires: ~}, phenol: {batch: ~, expires: ~}}",
        &["batch-missing"],
    ),
    (
        "half of the record list forgotten",
        "{consent: {taken_by: ~}, operation: {checks: ~, complications: ~, urgency: ~, blood_loss: ~, \
          antibiotics: ~, vte_prophylaxis: ~, discharge: ~, toes: {L1: {end_point: ~, overspill: ~, \
          groove_clear: ~}}}}",
        &["record-incomplete"],
    ),
    (
        "everything of this morning's box and the record list forgotten",
        "{consent: {taken_by: ~}, operation: {complications: ~, discharge: ~, \
          anaesthetic: {batch: ~, expires: ~}, phenol: {batch: ~, expires: ~}}}",
        &["batch-missing", "record-incomplete"],
    ),
];

#[test]
fn an_ordinary_case_is_asked_about_at_most_twice() {
    let mut wrong = Vec::new();
    for (name, fragment, wanted) in ORDINARY {
        let asked = asking(fragment);
        let wanted: BTreeSet<&str> = wanted.iter().copied().collect();
        if asked != wanted || asked.len() > MOST {
            wrong.push(format!("{name}: asks {asked:?}, wanted {wanted:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The invented cases that speed is measured with are routine in every way.
#[test]
fn generated_routine_cases_are_not_asked_about_at_all() {
    for (name, text) in demo::invent(120, 7) {
        let checked = check(demo::source(&name, &text), &demo::clinic(), demo::today());
        let asks = checked.diagnostics.iter().filter(|one| one.severity < Severity::Note);
        let asks: Vec<_> = asks.map(|one| (one.rule, one.primary.text.clone())).collect();
        assert!(asks.is_empty(), "{name}: {asks:?}\n{text}");
    }
}

/// Ordinary courses after the surgery of the invented cases, on 24 November 2026; `TOE` is the toe of the case.
const COURSES: &[&str] = &[
    "visits:
  - {on: 2026-11-27, at: \"10:15\", by: ashdown, kind: redressing, dressing: alginate, taught: \"dressing changes\",
     toes: {TOE: {wound: weeping clear, redness: 3 mm, pain: 2/10, signs: [], infected: false, healed: false}},
     next: {kind: review, on: 2027-01-05, at: \"09:00\"}}
  - {on: 2027-01-05, at: \"09:00\", by: ashdown, kind: review,
     toes: {TOE: {wound: dry, infected: false, healed: true, healed_on: 2026-12-29, regrowth: none}}}
closed: {on: 2027-01-05, by: ashdown, because: healed}
",
    "visits:
  - {on: 2026-11-27, by: T. Marsh, kind: redressing}
  - {on: 2026-12-02, kind: telephone, told: it may weep for some weeks, toes: {TOE: {healed: false}}}
  - {on: 2027-01-05, by: quill, kind: review, toes: {TOE: {redness: 6 mm, healed: false}},
     next: {kind: review, on: 2027-02-02}}
",
    "visits:
  - {on: 2026-11-27, by: quill, kind: redressing, toes: {TOE: {wound: weeping clear}}}
  - {on: 2027-01-05, kind: missed, note: a letter with another date was sent, next: {kind: review, on: 2027-01-12}}
  - {on: 2027-01-12, by: quill, kind: review, toes: {TOE: {healed: true, regrowth: spike, regrowth_hurts: false}}}
closed: {on: 2027-01-12, by: quill, because: own wish}
",
];

#[test]
fn an_ordinary_course_after_surgery_is_not_asked_about_at_all() {
    let today = unguis::date::CivilDate::of(2027, 2, 1).expect("a literal date");
    for (at, (name, text)) in demo::invent(60, 11).into_iter().enumerate() {
        let toe =
            ["R1", "L1", "R2", "L3"].into_iter().find(|toe| text.contains(&format!("    {toe}: {{edges")));
        let course = COURSES[at % COURSES.len()].replace("TOE", toe.expect("one toe is planned"));
        let checked = check(demo::source(&name, &format!("{text}{course}")), &demo::clinic(), today);
        let asks = checked.diagnostics.iter().filter(|one| one.severity < Severity::Note);
        let asks: Vec<_> = asks.map(|one| (one.rule, one.primary.text.clone())).collect();
        assert!(asks.is_empty() && checked.facts.is_some(), "{name}: {asks:?}\n{course}");
    }
}
