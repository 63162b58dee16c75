//! What an audit of operation notes would find empty, all of it in one finding. An answer that is
//! written but bad is the business of its own rule, and so is a value that a stop asks for.

use crate::case::{Checks, OperatedToe, Operation, Removed};
use crate::clinical::{Cite, sources};
use crate::derive::Answer;
use crate::diagnostic::{Finding, Path, Severity};
use crate::facts::Facts;
use crate::rules::words::is_blank;
use crate::rules::{AnsweredBy, Example, Holds, Rule, Topic};
use crate::words::List;

pub(super) static RULE: Rule = Rule {
    name: "record-incomplete",
    topic: Topic::Records,
    severity: Severity::Caution,
    answered_by: AnsweredBy::Never,
    holds: Holds::Only(&["operation-note"]),
    title: "the record of the operation is not complete",
    why: "What is not written down was not done, for whoever reads the note later: a colleague, an auditor, \
          a court. \"None\" is an answer; silence is not.",
    cite: Cite::adapts(
        &sources::records::OPERATION_NOTE_2014,
        "list of items",
        "the checks are those of the surgical safety checklist; what nail surgery adds is common practice",
    ),
    limits: "Sees that something is written, not whether it is true or enough. Most operations need every \
             item once; where one does not apply, write so in a word, like `none`.",
    example: Example {
        bad: "operation: {complications: ~, blood_loss: ~}",
        good: "operation: {complications: none, blood_loss: minimal}",
    },
    check,
};

/// An item of the record list: what it is called, where it stands, who asks for it, and whether it is
/// silent. A value that is said not to be recorded is not silent.
struct Item<Of> {
    name: &'static str,
    key: &'static str,
    cite: Cite,
    is_silent: fn(&Of) -> bool,
}

const NOTE: Cite = Cite::states(&sources::records::OPERATION_NOTE_2014, "list of items");
const CHECKLIST: Cite = Cite::states(&sources::records::SAFETY_CHECKLIST, "sign in and sign out");
const RECORDS: Cite = Cite::adapts(
    &sources::records::HCPC_RECORDS,
    "10.1",
    "the source asks for full, clear and accurate records; naming this item is ours",
);

/// Of the whole case.
const CASE: &[Item<Facts>] = &[
    Item {
        name: "who took consent",
        key: "consent.taken_by",
        cite: RECORDS,
        is_silent: |facts| {
            facts.case.consent.as_ref().is_some_and(|consent| is_blank(consent.taken_by.as_deref()))
        },
    },
    Item {
        name: "smoking",
        key: "history.smoker",
        cite: Cite::common_practice(),
        is_silent: |facts| facts.case.history.is_some() && facts.derived.smoking.answer == Answer::NotKnown,
    },
];

/// Of the operation.
const OPERATION: &[Item<Operation>] = &[
    Item { name: "start", key: "start", cite: NOTE, is_silent: |done| done.start.is_missing() },
    Item { name: "finish", key: "finish", cite: NOTE, is_silent: |done| done.finish.is_missing() },
    Item { name: "urgency", key: "urgency", cite: NOTE, is_silent: |done| done.urgency.is_none() },
    Item {
        name: "complications",
        key: "complications",
        cite: NOTE,
        is_silent: |done| is_blank(done.complications.as_deref()),
    },
    Item {
        name: "blood loss",
        key: "blood_loss",
        cite: NOTE,
        is_silent: |done| is_blank(done.blood_loss.as_deref()),
    },
    Item {
        name: "antibiotics",
        key: "antibiotics",
        cite: NOTE,
        is_silent: |done| is_blank(done.antibiotics.as_deref()),
    },
    Item {
        name: "VTE prophylaxis",
        key: "vte_prophylaxis",
        cite: NOTE,
        is_silent: |done| is_blank(done.vte_prophylaxis.as_deref()),
    },
    Item {
        name: "discharge",
        key: "discharge",
        cite: Cite::common_practice(),
        is_silent: |done| is_blank(done.discharge.as_deref()),
    },
    Item {
        name: "what happens after it was given up",
        key: "abandoned.next",
        cite: Cite::common_practice(),
        is_silent: |done| done.abandoned.as_ref().is_some_and(|given_up| is_blank(given_up.next.as_deref())),
    },
    Item {
        name: "identity check",
        key: "checks.identity",
        cite: CHECKLIST,
        is_silent: |done| is_unanswered(done, |checks| checks.identity),
    },
    Item {
        name: "toe marked",
        key: "checks.site_marked",
        cite: CHECKLIST,
        is_silent: |done| is_unanswered(done, |checks| checks.site_marked),
    },
    Item {
        name: "allergies asked again",
        key: "checks.allergies",
        cite: CHECKLIST,
        is_silent: |done| is_unanswered(done, |checks| checks.allergies),
    },
    Item {
        name: "count",
        key: "checks.counted",
        cite: CHECKLIST,
        is_silent: |done| is_unanswered(done, |checks| checks.counted),
    },
    Item {
        name: "tourniquet seen off",
        key: "checks.tourniquet_off",
        cite: Cite::adapts(
            &sources::procedure::TOURNIQUET_INCIDENTS,
            "whole text",
            "the source reports tourniquets left on; asking for the look at the toe is ours",
        ),
        is_silent: |done| {
            let was_used = done.toes.iter().any(|(_, toe)| toe.tourniquet.is_some());
            was_used && is_unanswered(done, |checks| checks.tourniquet_off)
        },
    },
];

/// Of each toe that was operated on, or prepared for it.
const TOE: &[Item<OperatedToe>] = &[
    Item {
        name: "time of the injection",
        key: "at",
        cite: Cite::common_practice(),
        is_silent: |toe| toe.injections().iter().any(|(_, injection)| injection.at.is_missing()),
    },
    Item {
        name: "end point of the phenol",
        key: "end_point",
        cite: Cite::common_practice(),
        is_silent: |toe| toe.phenol.is_some() && is_blank(toe.end_point.as_deref()),
    },
    Item {
        name: "overspill of the phenol",
        key: "overspill",
        cite: Cite::common_practice(),
        is_silent: |toe| toe.phenol.is_some() && is_blank(toe.overspill.as_deref()),
    },
    Item {
        name: "groove looked at",
        key: "groove_clear",
        cite: Cite::common_practice(),
        is_silent: |toe| toe.nail != Removed::None && toe.groove_clear.is_none(),
    },
];

fn is_unanswered(done: &Operation, check: fn(&Checks) -> Option<bool>) -> bool {
    done.checks.as_ref().and_then(check).is_none()
}

/// An item that is silent: its name, its place and who asks for it.
struct Silent {
    name: String,
    path: Path,
    cite: Cite,
}

fn check(facts: &Facts) -> Vec<Finding> {
    let Some(operation) = &facts.case.operation else { return Vec::new() };
    let silent = silent(facts, operation);
    let Some(first) = silent.first() else { return Vec::new() };
    let names = List::and(silent.iter().map(|item| &item.name));
    let keys = List::and(silent.iter().map(|item| format!("`{}`", item.path)));
    let place = if silent.len() == 1 { first.path.clone() } else { Path::from("operation") };
    vec![
        Finding::at(place)
            .at_key()
            .says(format!("not recorded: {names}"))
            .see("operation.date", format!("asked for by {}", asked_for_by(&silent)))
            .fix(format!("fill in {keys}; what nobody knows any more is said under `accepted`")),
    ]
}

/// The sources that ask for these items, each once.
fn asked_for_by(silent: &[Silent]) -> String {
    let mut sources: Vec<&str> = Vec::new();
    for item in silent {
        let source = item.cite.source.map_or("common practice, no source", |source| source.title);
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    sources.join("; ")
}

/// The items that are silent, in the order of the list.
fn silent(facts: &Facts, operation: &Operation) -> Vec<Silent> {
    let of = |name: &str, path: String, cite: Cite| Silent { name: name.to_owned(), path: path.into(), cite };
    let case = CASE.iter().filter(|item| (item.is_silent)(facts));
    let case = case.map(|item| of(item.name, item.key.to_owned(), item.cite));
    let routine = &facts.derived.routine;
    let whole = OPERATION.iter().filter(|item| (item.is_silent)(operation) && !routine.answers(item.key));
    let whole = whole.map(|item| of(item.name, format!("operation.{}", item.key), item.cite));
    let several = operation.toes.iter().count() > 1;
    let toes = operation.toes.iter().flat_map(|(toe, done)| {
        let silent = TOE.iter().filter(move |item| (item.is_silent)(done));
        silent.map(move |item| {
            let name = if several { format!("{} ({toe})", item.name) } else { item.name.to_owned() };
            of(&name, format!("operation.toes.{toe}.{}", item.key), item.cite)
        })
    });
    whole.chain(toes).chain(case).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::testing::{findings, paths, says};

    /// Without any of it, the whole list is one finding.
    const NOTHING: &str = "{history: {smoker: ~}, operation: {start: ~, finish: ~, urgency: ~, complications: ~, \
        blood_loss: ~, antibiotics: ~, vte_prophylaxis: ~, discharge: ~, checks: ~, \
        toes: {L1: {at: ~, end_point: ~, overspill: ~, groove_clear: ~}}}, consent: {taken_by: ~}}";

    #[test]
    fn every_gap_is_named_at_once() {
        let found = findings(&RULE, NOTHING);
        assert_eq!(found.len(), 1);
        assert_eq!(
            found[0].says,
            "not recorded: start, finish, urgency, complications, blood loss, antibiotics, VTE prophylaxis, \
             discharge, identity check, toe marked, allergies asked again, count, tourniquet seen off, time of \
             the injection, end point of the phenol, overspill of the phenol, groove looked at, who took \
             consent and smoking"
        );
        let fix = found[0].fix.as_deref().unwrap_or_default();
        // One of them belongs to an operation that was given up.
        for item in OPERATION.iter().filter(|item| item.key != "abandoned.next") {
            assert!(fix.contains(&format!("`operation.{}`", item.key)), "{fix}");
        }
    }

    #[test]
    fn one_gap_is_pointed_at_and_none_is_none() {
        assert!(paths(&RULE, "").is_empty());
        assert_eq!(paths(&RULE, "operation: {blood_loss: ~}"), ["operation.blood_loss"]);
        assert_eq!(paths(&RULE, "operation: {blood_loss: \" \"}"), ["operation.blood_loss"]);
        assert!(paths(&RULE, "operation: {blood_loss: none}").is_empty());
        assert!(paths(&RULE, "{operation: ~, consent: {taken_by: ~}}").is_empty(), "nothing was done yet");
    }

    #[test]
    fn the_protocol_answers_where_the_case_says_so() {
        let usual = |routine: &str| {
            format!(
                "{{clinic: {{protocol: {{urgency: elective, antibiotics: none, vte_prophylaxis: none}}}}, operation: \
                 {{{routine}urgency: ~, antibiotics: ~, vte_prophylaxis: ~, complications: ~}}}}"
            )
        };
        assert_eq!(says(&RULE, &usual("routine: as protocol, ")), ["not recorded: complications"]);
        assert_eq!(
            says(&RULE, &usual("")),
            ["not recorded: urgency, complications, antibiotics and VTE prophylaxis"]
        );
    }

    #[test]
    fn an_answer_is_an_answer_whatever_it_says() {
        let answered = "operation: {start: {not_recorded: clock stopped}, \
                        checks: {identity: false, site_marked: false, allergies: false, counted: false, \
                        tourniquet_off: false}, toes: {L1: {groove_clear: false}}}";
        assert!(paths(&RULE, answered).is_empty());
    }

    #[test]
    fn what_happens_after_it_was_given_up_is_asked_for() {
        let given_up = |rest: &str| {
            says(
                &RULE,
                &format!(
                    "operation: {{abandoned: {{because: fainted{rest}}}, \
                     toes: {{L1: {{nail: none, edges: ~, phenol: ~, groove_clear: ~}}}}}}"
                ),
            )
        };
        assert_eq!(given_up(""), ["not recorded: what happens after it was given up"]);
        assert!(given_up(", next: another date").is_empty());
    }

    #[test]
    fn what_was_not_used_is_not_asked_for() {
        let plain = "{plan: {L1: {matrix: none}}, operation: {checks: {tourniquet_off: ~}, \
                     toes: {L1: {phenol: ~, tourniquet: ~, end_point: ~, overspill: ~, injected: ~, at: ~}}}}";
        assert!(paths(&RULE, plain).is_empty());
        assert_eq!(
            says(&RULE, "operation: {checks: {tourniquet_off: ~}}"),
            ["not recorded: tourniquet seen off"]
        );
    }

    #[test]
    fn of_several_toes_each_is_named() {
        let two = "operation: {toes: {L1: {end_point: ~}, R1: {nail: total, groove_clear: true}, \
                   L2: {nail: total}}}";
        assert_eq!(
            says(&RULE, two),
            ["not recorded: end point of the phenol (L1) and groove looked at (L2)"]
        );
    }

    #[test]
    fn the_finding_says_who_asks() {
        let see = |fragment: &str| findings(&RULE, fragment)[0].see[0].1.clone();
        assert_eq!(
            see("operation: {blood_loss: ~, toes: {L1: {end_point: ~}}}"),
            "asked for by Audits against the operation-note list of Good Surgical Practice 2014; \
             common practice, no source"
        );
    }
}
