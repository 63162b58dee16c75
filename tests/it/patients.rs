//! The patients' two documents in every variant: who decides, what is operated on, what this patient's
//! history changes, large print and easy read. What is asserted here holds for all of them.

use unguis::documents::{can_be_made, document};
use unguis::pipeline::Press;
use unguis::rules::example::facts_of;
use unguis::typeset::{Mark, MarkKind, Typeset, Typesetter};

use crate::support::first_edition;

/// Who decides.
const WHO: &[(&str, &str)] = &[
    ("adult", "{}"),
    ("young person", "{patient: {born: 2009-04-11}}"),
    (
        "child who decides",
        "{patient: {born: 2011-06-30, guardian: {name: Helen Brightwater, relationship: mother}}}",
    ),
    (
        "guardian",
        "{patient: {born: 2017-06-30, weight: 28 kg, height: ~, preferred: Immy,
           guardian: {name: Helen Brightwater, relationship: mother, parental_responsibility: true}},
          consent: {by: guardian}}",
    ),
    (
        "best interests",
        "{patient: {needs: [carer present]},
          consent: {by: best interests, capacity: could not retain or weigh what the operation involves,
            best_interests: pain stops her from walking; her sister and her key worker agree}}",
    ),
    ("best interests, nothing written yet", "{consent: {by: best interests, concerns: ~, leaflet: ~}}"),
    (
        "interpreter",
        "{patient: {needs: [interpreter], language: Polish}, consent: {interpreter: A. Lisowska, by telephone}}",
    ),
    (
        "guardian and interpreter, nothing written yet",
        "{patient: {born: 2017-06-30, weight: 28 kg, height: ~, needs: [interpreter], language: Polish,
           guardian: {name: Helen Brightwater, relationship: mother, parental_responsibility: true}},
          consent: ~}",
    ),
    (
        "interpreter in the room",
        "{patient: {needs: [interpreter], language: Polish}, consent: {interpreter: A. Lisowska, interpreted: in the room}}",
    ),
    (
        "child who decides, Scotland, parent may be told",
        "{clinic: {division: scotland}, patient: {born: 2011-06-30,
           guardian: {name: Helen Brightwater, relationship: mother, may_be_told: true}}}",
    ),
    (
        "attorney",
        "{patient: {needs: [carer present]}, consent: {by: attorney, capacity: could not retain what was said,
           authority: {name: Ada Hollis, relationship: daughter, document: lasting power of attorney for health and welfare,
             seen: 2026-11-20, covers_health: true}}}",
    ),
    (
        "welfare guardian, Scotland, nothing written yet",
        "{clinic: {division: scotland}, consent: {by: welfare guardian, authority: {name: Ada Hollis}}}",
    ),
    (
        "certificate, Scotland",
        "{clinic: {division: scotland}, consent: {by: certificate,
           benefit: pain stops her from walking and she asks for help; her sister and her key worker agree,
           consulted: [{name: Ada Hollis, relationship: sister, on: 2026-11-18}, {name: Marcus Oduya}],
           certificate: {signed_by: Dr A. Vane, profession: doctor, from: 2026-11-01, until: 2027-10-31,
             covers: nail surgery under local anaesthetic}}}",
    ),
    ("best interests, Northern Ireland", "{clinic: {division: northern-ireland}, consent: {by: best interests}}"),
    (
        "young person who cannot decide",
        "{patient: {born: 2009-04-11, guardian: {name: Helen Brightwater, relationship: mother, parental_responsibility: true}},
          consent: {by: guardian, capacity: could not retain what was said}}",
    ),
    (
        "long names",
        "{patient: {given: Wilhelmina Bartholomea, family: Featherstonehaugh-Cholmondeley, title: Professor}}",
    ),
];

/// What is planned and done.
const WHAT: &[(&str, &str)] = &[
    ("one edge", "{}"),
    (
        "three toes",
        "{plan: {L1: {edges: [medial, lateral]}, R1: {nail: partial, edges: [medial, lateral], matrix: phenol},
           L2: {nail: total, matrix: none}},
          operation: {toes: {L1: {edges: [medial, lateral]},
            R1: {nail: partial, edges: [medial, lateral], phenol: {applications: 2, each: 60 s}},
            L2: {nail: total}}}}",
    ),
    (
        "whole nail, no phenol, late in the day",
        "{plan: {L1: {nail: total, edges: ~, matrix: none}},
          operation: {phenol: ~, toes: {L1: {nail: total, edges: ~, phenol: ~, at: \"21:30\"}}},
          follow_up: {first_redressing: 2026-11-27, at: \"14:05\"}}",
    ),
];

/// What the history changes.
const HISTORY: &[(&str, &str)] = &[
    ("nothing", "{}"),
    ("pregnant", "{history: {pregnant: true}, plan: {L1: {matrix: none}}}"),
    ("breastfeeding", "{history: {breastfeeding: true}}"),
    ("not asked", "{history: ~, patient: {weight: ~}}"),
    ("paracetamol unsuitable", "{history: {allergies: [{to: paracetamol}], medicines: [methotrexate]}}"),
    (
        "everything",
        "{patient: {born: 1950-01-01},
          history: {diabetes: {type: 2, hba1c: 58 mmol/mol, tested: 2026-10-02}, smoker: true,
            medicines: [apixaban, aspirin, methotrexate, sertraline, naproxen, co-codamol],
            conditions: [asthma, stomach ulcer, heart failure],
            allergies: [{to: NSAIDs}]},
          vascular: {left: {pulses: weak}, right: {pulses: weak}},
          sensation: {left: 7/10, right: 7/10}}",
    ),
];

/// The patient's documents, and what has been recorded when each is made.
const STAGES: &[(&str, &str)] = &[
    ("consent-form", ""),
    ("aftercare-leaflet", ""),
    ("preparation-leaflet", "{operation: ~, follow_up: ~, booked: {on: 2026-12-08, at: \"09:30\"}}"),
    (
        "dressing-leaflet",
        "{visits: [{on: 2026-11-25, kind: redressing, dressing: \"alginate, gauze and tubular bandage\",
           taught: \"how to change the dressing, to her and her sister\",
           next: {kind: review, on: 2027-01-05, at: \"09:00\"}}]}",
    ),
    (
        "closing-letter",
        "{visits: [{on: 2026-11-25, kind: redressing, toes: {L1: {infected: true, burn: true, healed: false}}}],
          closed: {on: 2027-01-05, by: quill, because: moved away, note: The new clinic has a copy of the record}}",
    ),
];

const PRINT: &[(&str, &[&str])] = &[
    ("standard", &[]),
    ("large print", &["large print"]),
    ("easy read", &["easy read"]),
    ("large print and easy read", &["large print", "easy read"]),
];

/// Pages at most, by document and print: issue of the project for standard print, ours for the rest.
fn most_pages(document: &str, print: &str) -> usize {
    match (document, print) {
        ("aftercare-leaflet", "standard") => 2,
        ("aftercare-leaflet", "large print") => 6,
        ("aftercare-leaflet", "easy read") => 7,
        ("aftercare-leaflet", _) => 9,
        ("preparation-leaflet" | "dressing-leaflet", "standard") => 1,
        ("preparation-leaflet" | "dressing-leaflet", "large print") => 4,
        ("preparation-leaflet" | "dressing-leaflet", "easy read") => 5,
        ("preparation-leaflet" | "dressing-leaflet", _) => 7,
        ("closing-letter", "standard") => 1,
        ("closing-letter", "large print and easy read") => 4,
        ("closing-letter", _) => 3,
        (_, "standard" | "easy read") => 3,
        _ => 8,
    }
}

/// The least letter size of what is read, in points, by document and print.
fn least_size(document: &str, print: &str) -> f64 {
    match (document, print) {
        (_, "large print" | "large print and easy read") => 18.0,
        (
            "aftercare-leaflet" | "preparation-leaflet" | "dressing-leaflet" | "closing-letter",
            "easy read",
        ) => 16.0,
        // UKAAF: clear print from 12 points.
        ("preparation-leaflet" | "dressing-leaflet" | "closing-letter", _) => 12.0,
        // 14 points, and 13 where very much is said.
        ("aftercare-leaflet", _) => 13.0,
        // 12 points, and 11 where very much is different for this patient.
        _ => 11.0,
    }
}

struct Variant {
    name: String,
    document: &'static str,
    print: &'static str,
    typeset: Typeset,
}

fn merged(fragments: &[&str]) -> String {
    use serde_yaml::Value;
    fn lay(base: &mut Value, over: Value) {
        match (base, over) {
            (Value::Mapping(base), Value::Mapping(over)) => {
                for (key, value) in over {
                    lay(base.entry(key).or_insert(Value::Null), value);
                }
            }
            (base, over) => *base = over,
        }
    }
    let mut all: Value = Value::Mapping(serde_yaml::Mapping::new());
    for fragment in fragments {
        let over: Value = serde_yaml::from_str(fragment).expect("a fragment is YAML");
        // An empty fragment changes nothing; it would else take all that was laid before it.
        if !over.is_null() {
            lay(&mut all, over);
        }
    }
    serde_yaml::to_string(&all).expect("YAML can be written")
}

/// Who with what, who with which history, what with which history; not all three together, except for
/// the longest of each.
fn variants() -> Vec<Variant> {
    let mut cases: Vec<(String, Vec<&str>, bool)> = Vec::new();
    let mut add = |parts: [&(&str, &'static str); 3]| {
        let name = parts.iter().map(|part| part.0).collect::<Vec<_>>().join(", ");
        let is_mixed = parts[0].0 != WHO[0].0 && (parts[1].0 != WHAT[0].0 || parts[2].0 != HISTORY[0].0);
        cases.push((name, parts.iter().map(|part| part.1).collect(), is_mixed));
    };
    for who in WHO {
        for what in WHAT {
            add([who, what, &HISTORY[0]]);
        }
        for history in &HISTORY[1..] {
            add([who, &WHAT[0], history]);
        }
    }
    for history in &HISTORY[1..] {
        add([&WHO[0], &WHAT[1], history]);
    }
    let press = Press::built_in();
    let edition = first_edition();
    let mut all = Vec::new();
    for (name, fragments, is_mixed) in &cases {
        for (print, needs) in PRINT {
            let own = merged(fragments);
            let mut over: serde_yaml::Value = serde_yaml::from_str(&own).expect("just written");
            let mut wanted: Vec<String> = needs.iter().map(|need| (*need).to_owned()).collect();
            let before = over.get("patient").and_then(|patient| patient.get("needs")).cloned();
            for need in before.iter().filter_map(|list| list.as_sequence()).flatten() {
                wanted.extend(need.as_str().map(str::to_owned));
            }
            let patient: serde_yaml::Value =
                serde_yaml::to_value(std::collections::BTreeMap::from([("needs", wanted)])).expect("a list");
            let keys = over.as_mapping_mut().expect("a mapping");
            match keys.get_mut("patient").and_then(|patient| patient.as_mapping_mut()) {
                Some(own) => own.extend(patient.as_mapping().expect("a mapping").clone()),
                None => {
                    keys.insert("patient".into(), patient);
                }
            }
            let own = serde_yaml::to_string(&over).expect("YAML can be written");
            let facts_with = |more: &str| facts_of(&merged(&[own.as_str(), more]));
            for (name_of, more) in STAGES {
                // Not every person with everything that can be done: that would be the same twice.
                if !more.is_empty() && *is_mixed {
                    continue;
                }
                let document = document(name_of).expect("known");
                let facts = facts_with(more);
                let is_same_in_easy_read = document.name == "consent-form" && print.contains("easy read");
                if is_same_in_easy_read || !can_be_made(document, &facts) {
                    continue;
                }
                let typeset = press.set(document, &facts, &edition).unwrap_or_else(|problem| {
                    panic!("{name}, {print}: {}", unguis::cli::error::chain(&problem))
                });
                all.push(Variant {
                    name: format!("{} of {name}, {print}", document.name),
                    document: document.name,
                    print,
                    typeset,
                });
            }
        }
        Typesetter::evict();
    }
    all
}

fn text_of(mark: &Mark) -> Option<&str> {
    match &mark.kind {
        MarkKind::Text(text) => Some(text),
        _ => None,
    }
}

/// The banner ends above, the footer begins below; nothing is printed nearer to an edge.
const BODY: (f64, f64) = (29.5, 297.0 - 22.5);
const EDGE: f64 = 15.0;
/// What hangs below the last line of 18 points: its letters reach 0.293 of their size down.
const BELOW_BASELINE: f64 = 1.9;

#[test]
fn every_variant_keeps_to_its_pages_and_its_lines() {
    let all = variants();
    assert!(all.len() > 400, "{}", all.len());
    let mut wrong = Vec::new();
    for variant in &all {
        let pages = variant.typeset.marks();
        let most = most_pages(variant.document, variant.print);
        if pages.len() > most {
            wrong.push(format!("{}: {} pages, {most} allowed", variant.name, pages.len()));
        }
        for (at, page) in pages.iter().enumerate() {
            let at = at + 1;
            for mark in page {
                let is_inside = mark.left >= EDGE && mark.right <= 210.0 - EDGE;
                if !is_inside || (mark.top < BODY.1 && mark.bottom > BODY.1 + BELOW_BASELINE) {
                    wrong.push(format!("{}, page {at}: {mark:?}", variant.name));
                }
            }
            let body: Vec<&Mark> =
                page.iter().filter(|mark| mark.top > BODY.0 - 1.0 && mark.bottom < BODY.1).collect();
            let lowest = body.iter().map(|mark| mark.bottom).fold(BODY.0, f64::max);
            if (lowest - BODY.0) / (BODY.1 - BODY.0) < 0.12 {
                wrong.push(format!("{}, page {at}: nearly empty, ends at {lowest:.0} mm", variant.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));
}

/// The longest phrase for a toe, three times over: the sentences of the last letter stay short.
#[test]
fn no_sentence_of_the_last_letter_is_long_whatever_the_toes() {
    let both = "nail: partial, edges: [medial, lateral]";
    let toe = |more: &str| format!("{{{both}, {more}}}");
    let seen = "{infected: true, burn: true, healed: false, regrowth: spike, regrowth_hurts: true}";
    let case = |needs: &str| {
        format!(
            "{{patient: {{needs: [{needs}]}},
              plan: {{R2: {}, L2: {}, L1: {}}},
              operation: {{toes: {{R2: {}, L2: {}, L1: {{{both}}}}}}},
              visits: [{{on: 2026-12-15, kind: review, toes: {{R2: {seen}, L1: {seen}}}}}],
              closed: {{on: 2027-01-05, by: quill, because: own wish}}}}",
            toe("matrix: none"),
            toe("matrix: phenol"),
            toe("matrix: phenol"),
            toe("injected: 1 ml"),
            toe("injected: 1 ml, phenol: {applications: 3, each: 60 s}"),
        )
    };
    let headings = [
        "What became of your toes",
        "What may still happen",
        "When to come back",
        "The end of your nail surgery care",
    ];
    for (needs, most) in [("", 20), ("easy read", 15)] {
        let document = document("closing-letter").expect("known");
        let typeset = Press::built_in().set(document, &facts_of(&case(needs)), &first_edition());
        let text = typeset.unwrap_or_else(|problem| panic!("{problem}")).text;
        let (_, body) = text.split_once("Dear ").expect("it greets");
        let mut body = body.split("Yours sincerely").next().unwrap_or_default().replace('\n', " ");
        for heading in headings {
            body = body.replace(heading, &format!("{heading}."));
        }
        // What a picture shows stands in brackets and is no sentence of the letter.
        while let Some((before, rest)) = body.split_once('[') {
            body = format!("{before}.{}", rest.split_once(']').map_or("", |(_, after)| after));
        }
        // A paragraph of its own after a list.
        body = body.replace(" When we are closed", ". When we are closed");
        assert!(body.contains("inner and outer edges of the nail of your left second toe"), "{body}");
        for sentence in body.split(['.', '?', ':', '•', '[', ']']) {
            let words = sentence.split_whitespace().count();
            assert!(words <= most, "{needs}: {words} words: {sentence}");
        }
    }
    Typesetter::evict();
}

/// Whom to call, and when, is found without turning the page: in each print, for each patient.
#[test]
fn the_first_page_of_the_leaflet_says_whom_to_call_and_when() {
    for variant in variants().iter().filter(|variant| variant.document == "aftercare-leaflet") {
        let first = variant.typeset.text.split('\u{c}').next().unwrap_or_default();
        let words = first.split_whitespace().collect::<Vec<_>>().join(" ");
        for wanted in
            ["01632 960 100", "01632 960 111", "NHS 111", "pus", "white, blue or cold", "breathe", "stop it"]
        {
            assert!(words.contains(wanted), "{}: no `{wanted}` on the first page:\n{first}", variant.name);
        }
        let place = |said: &str| words.find(said).unwrap_or(usize::MAX);
        assert!(
            place("01632 960 100") < place("took away") && place("999") < place("took away"),
            "{}",
            variant.name
        );
    }
}

/// A heading at the foot of a page, or a line to sign on without the words that are signed.
#[test]
fn no_heading_stands_alone_and_no_signature_is_split_from_its_words() {
    for variant in variants() {
        for page in variant.typeset.text.split('\u{c}') {
            let lines: Vec<&str> = page.lines().collect();
            let last = lines.iter().rev().find(|line| !line.contains("Page ")).copied().unwrap_or_default();
            let is_heading = HEADINGS.contains(&last);
            assert!(!is_heading, "{}: `{last}` at the foot of a page", variant.name);
            let first = lines.iter().position(|line| line.starts_with("Signature of"));
            let statement = lines.iter().position(|line| STATEMENTS.iter().any(|words| line.contains(words)));
            if let Some(first) = first {
                assert!(statement.is_some_and(|at| at < first), "{}:\n{page}", variant.name);
            }
        }
    }
}

const HEADINGS: &[&str] = &[
    "Today",
    "If it hurts",
    "If it bleeds",
    "Just for you",
    "Until it is healed",
    "What to expect",
    "Call us if",
    "What we plan",
    "Call us before you come if",
    "On the day",
    "Who comes with you",
    "Going home",
    "How to change your dressing",
    "How often, and for how long",
    "What is usual",
    "What may still happen",
    "When to come back",
    "Call 999 if",
    "What did we do?",
    "What if it hurts?",
    "What if it bleeds?",
    "What is usual?",
    "When should you call us?",
    "When should you call 999?",
    "What we plan to do",
    "How it should help",
    "Other choices",
    "What can go wrong",
    "What is different for you",
    "What else you should know",
    "Agreement",
    "Record of the decision",
    "Your statement",
];

const STATEMENTS: &[&str] = &[
    "I have explained",
    "I agree",
    "I have parental responsibility",
    "cannot make this decision",
    "Your signature shows",
    "I have interpreted",
    "still want the operation",
    "The decision still stands",
    "I know of this decision",
    "I have power to decide",
    "I still agree",
    "I know what will happen",
];

/// From the top of a capital to the foot of a `y`: 0.95 of the letter size, or a little more, in Noto Sans.
const TALL: f64 = 0.95;

#[test]
fn letters_are_as_large_as_promised() {
    for variant in variants() {
        let least = least_size(variant.document, variant.print);
        let read = [
            "You had nail",
            "We took away",
            "If we told",
            "If you",
            "You stay",
            "You can",
            "Your toe",
            "Healing takes",
            "Most people",
        ];
        let sizes = variant.typeset.marks().into_iter().flatten().filter_map(|mark| {
            let text = text_of(&mark)?.to_owned();
            let is_read = read.iter().any(|words| text.starts_with(words)) && text.contains(['g', 'p', 'y']);
            is_read.then(|| ((mark.bottom - mark.top) * 72.0 / 25.4, text))
        });
        let smallest = sizes.min_by(|one, other| one.0.total_cmp(&other.0));
        let (tall, text) = smallest.unwrap_or_else(|| panic!("{}: nothing to measure", variant.name));
        assert!(tall > least * TALL, "{}: {tall:.1} points tall, {least} wanted: {text}", variant.name);
    }
}
