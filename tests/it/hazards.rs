//! The hazard table of DEVELOPERS.md: every control it names has a test, and that test is there.
//!
//! Below it, the tests of controls that no single part of the code can show alone.

use std::fs;

use unguis::demo;
use unguis::diagnostic::SourceText;
use unguis::diagnostic::render::{Style, json_finding, render};
use unguis::documents::{Audience, DOCUMENTS, Paper, Toes, document, papers, ready_papers};
use unguis::facts::Facts;
use unguis::pipeline::{Press, Version, check};
use unguis::rules::example::facts_of;

use crate::support::{demo_file, first_edition, root};

/// Fewer would mean that somebody has shortened the table instead of the list of hazards.
const LEAST_HAZARDS: usize = 20;

/// The rows of the table: its cells without the bars.
fn rows() -> Vec<Vec<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md is there");
    let (_, section) = text.split_once("\n## Hazards\n").expect("DEVELOPERS.md has the section");
    let section = section.split("\n## ").next().unwrap_or_default();
    let rows = section.lines().filter_map(|line| line.strip_prefix('|')?.strip_suffix('|'));
    // The first two lines are the heading and the rule below it.
    rows.skip(2).map(|row| row.split('|').map(|cell| cell.trim().to_owned()).collect()).collect()
}

/// The file of `a::b::test` in `src/`, or of `it::file::test` in `tests/it/`; and the name of the test.
fn place(named: &str) -> Option<(String, &str)> {
    let (module, test) = named.rsplit_once("::")?;
    let inside = module.replace("::", "/");
    let candidates = match inside.strip_prefix("it/") {
        Some(file) => vec![format!("tests/it/{file}.rs")],
        None => vec![format!("src/{inside}.rs"), format!("src/{inside}/mod.rs")],
    };
    candidates.into_iter().find(|path| root().join(path).is_file()).map(|path| (path, test))
}

/// For each last digit that is wrong, everything that is printed is the same but for the number as it was typed:
/// so nothing says which digit would fit.
#[test]
fn the_check_digit_is_never_handed_out() {
    let base = unguis::rules::example::BASE_CASE;
    let clinic = unguis::rules::example::BASE_CLINIC;
    let said = |number: &str| {
        let text = base.replace("999 000 0018", number);
        assert!(text.contains(number));
        let case = std::sync::Arc::new(SourceText::new("case.yaml", text));
        let clinic = std::sync::Arc::new(SourceText::new("clinic.yaml", clinic));
        let checked = check(case, &clinic, demo::today());
        let found = &checked.diagnostics;
        let mut all = render(found, Style::Human { colour: false });
        all.push_str(&render(found, Style::Short));
        all.extend(found.iter().map(|found| json_finding(found).to_string()));
        let facts = checked.facts.expect("it was read");
        for shown in unguis::derive::shown(&facts.derived) {
            all.push_str(&serde_json::to_string(&shown).expect("it is plain data"));
        }
        for paper in papers(&facts) {
            all.push_str(&paper.view(&facts, &first_edition()).to_string());
        }
        all.replace(number, "NUMBER").replace(&number.replace(' ', ""), "NUMBER")
    };
    let wrong: Vec<String> =
        (0..=9).filter(|digit| *digit != 8).map(|digit| format!("999 000 001{digit}")).collect();
    let first = said(&wrong[0]);
    assert!(first.contains("nhs-number-check"), "{first}");
    for number in &wrong[1..] {
        assert_eq!(said(number), first, "{number}");
    }
    let rule = unguis::rules::rule("nhs-number-check").expect("a rule");
    let page = unguis::rules::explain::page(rule);
    assert!(!page.contains("999 000 0018"), "the page answers its own example");
}

/// The attribute of a test stands in the lines above its `fn`.
fn is_test(text: &str, test: &str) -> bool {
    let Some((before, _)) = text.split_once(&format!("fn {test}(")) else { return false };
    let above = before.trim_end_matches(' ').lines().rev().take_while(|line| !line.trim().is_empty());
    above.take(6).any(|line| line.trim() == "#[test]")
}

#[test]
fn every_hazard_names_a_test_that_exists() {
    let rows = rows();
    assert!(rows.len() >= LEAST_HAZARDS, "only {} hazards", rows.len());
    let mut missing = Vec::new();
    for row in &rows {
        assert_eq!(row.len(), 4, "{row:?}");
        assert!(row.iter().all(|cell| cell.len() > 3), "an empty cell: {row:?}");
        let named: Vec<&str> = row[3].split('`').skip(1).step_by(2).collect();
        assert!(!named.is_empty(), "{} names no test", row[0]);
        for name in named {
            let found = place(name).is_some_and(|(path, test)| {
                is_test(&fs::read_to_string(root().join(path)).expect("a source file is text"), test)
            });
            if !found {
                missing.push(format!("{}: {name}", row[0]));
            }
        }
    }
    assert!(missing.is_empty(), "no such test:\n{}", missing.join("\n"));
}

#[test]
fn a_name_that_is_no_test_would_be_seen() {
    assert!(place("it::nowhere::a_test").is_none() && place("loose").is_none());
    assert!(is_test("    #[test]\n    fn shown() {}\n", "shown"));
    assert!(!is_test("#[test]\nfn shown() {}\n\nfn helper() {}\n", "helper"));
}

fn text_of(press: &Press, paper: impl Into<Paper>, facts: &Facts) -> String {
    let (edition, paper) = (first_edition(), paper.into());
    let set = press
        .set(paper, facts, &edition)
        .unwrap_or_else(|problem| panic!("{}: {}", paper.name(), unguis::cli::error::chain(&problem)));
    set.text
}

/// Words as a reader sees them, however the lines break: no spaces, no hyphens, small letters.
fn squeezed(text: &str) -> String {
    let is_break = |c: char| c.is_whitespace() || matches!(c, '-' | '\u{2010}' | '\u{ad}');
    text.chars().filter(|c| !is_break(*c)).flat_map(char::to_lowercase).collect()
}

/// The routine case on each big toe and each edge: every document names that one and no other.
#[test]
fn documents_name_the_toe_and_edge_and_no_other() {
    let press = Press::built_in();
    let routine = std::fs::read_to_string(demo_file("routine-adult.yaml")).expect("it is there");
    let sides = [("L1", "left"), ("R1", "right")];
    let edges = [("lateral", "outer"), ("medial", "inner")];
    for (side, edge) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
        let ((toe, side), (other_toe, other_side)) = (sides[side], sides[1 - side]);
        let ((edge, plain), (other_edge, other_plain)) = (edges[edge], edges[1 - edge]);
        let text = routine.replace("L1", toe).replace("[lateral]", &format!("[{edge}]"));
        let source = SourceText::new("case.yaml", text.clone());
        let checked = check(source.into(), &demo::clinic(), demo::today());
        let facts = checked.facts.expect("it is the routine case");
        assert!(checked.diagnostics.is_empty(), "{:?}", checked.diagnostics);
        // The same case with a visit that concerns the practice, and its end: pages that tell of them.
        let after = format!(
            "{text}visits: [{{on: 2026-11-25, kind: redressing, toes: {{{toe}: {{infected: true}}}}}}]
closed: {{on: 2026-11-25, because: moved away}}
"
        );
        let after = check(SourceText::new("case.yaml", after).into(), &demo::clinic(), demo::today());
        let after = after.facts.expect("it is the routine case");
        for document in DOCUMENTS.iter().filter(|document| document.toes != Toes::NotShown) {
            let name = document.name;
            let paper = Paper::all_of(document, &after)[0];
            let facts =
                if paper.missing(&facts).is_empty() && paper.visit.is_none() { &facts } else { &after };
            let text = text_of(&press, paper, facts);
            let words = squeezed(&text);
            let is_named = |parts: [&str; 2]| parts.into_iter().any(|part| words.contains(part));
            let toe_in_words = |side: &str| [format!("{side}hallux"), format!("{side}bigtoe")];
            let [hallux, big_toe] = toe_in_words(side);
            assert!(is_named([&hallux, &big_toe]), "{name}: no {side} big toe in\n{text}");
            let [hallux, big_toe] = toe_in_words(other_side);
            assert!(!is_named([&hallux, &big_toe]), "{name}: {other_side} big toe in\n{text}");
            // Elsewhere the code is a letter of the picture, which the text tells in words.
            assert!(
                !["operation-note", "visit-note"].contains(&name)
                    || words.contains(&format!("({})", toe.to_lowercase())),
                "{name}"
            );
            assert!(
                !text.split_whitespace().any(|word| word.trim_matches(['(', ')', ',', ':']) == other_toe),
                "{name}: {other_toe} in\n{text}"
            );
            let edge_in_words = |edge: &str| [format!("{edge}edge"), format!("{edge})edge")];
            let (professional, own) = (edge_in_words(edge), edge_in_words(plain));
            assert!(
                [professional, own].iter().flatten().any(|part| words.contains(part.as_str())),
                "{name}: no {edge} edge in\n{text}"
            );
            for part in [edge_in_words(other_edge), edge_in_words(other_plain)].iter().flatten() {
                assert!(!words.contains(part.as_str()), "{name}: {part} in\n{text}");
            }
        }
    }
}

/// One press sets the documents of many patients: nothing of one may stay for the next.
#[test]
fn no_document_carries_another_patient() {
    let press = Press::built_in();
    let all: Vec<Facts> = demo::CASES
        .iter()
        .map(|(name, text)| {
            let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
            checked.facts.expect("the demo cases read")
        })
        .collect();
    let marks = |facts: &Facts| {
        let number = facts.case.patient.nhs_number.as_ref().expect("the demo cases have one");
        [facts.case.patient.family.clone(), facts.case.reference.to_string(), number.0.clone()]
            .map(|mark| squeezed(&mark))
    };
    for facts in &all {
        for paper in ready_papers(facts) {
            let words = squeezed(&text_of(&press, paper, facts));
            let document = paper.document;
            let [family, reference, _] = marks(facts);
            assert!(words.contains(&family) && words.contains(&reference), "{}: {family}", document.name);
            // One patient may have two cases, the second after the first.
            let is_another = |other: &&Facts| other.case.patient.nhs_number != facts.case.patient.nhs_number;
            for other in all.iter().filter(is_another) {
                for mark in marks(other) {
                    assert!(!words.contains(&mark), "{} of {reference} holds {mark}", document.name);
                }
            }
        }
    }
}

/// What this patient takes, must not have and weighs changes what the leaflet says.
#[test]
fn the_leaflet_fits_medicines_allergies_and_age() {
    let press = Press::built_in();
    let leaflet = document("aftercare-leaflet").expect("there is a leaflet");
    let words = |fragment: &str| squeezed(&text_of(&press, leaflet, &facts_of(fragment)));
    let plain = words("");
    assert!(plain.contains("paracetamol:500mgto1g") && plain.contains("donottakeibuprofen"), "{plain}");
    assert!(!plain.contains("bloodthinner") && !plain.contains("allergicto"), "{plain}");

    let thinner = words("history: {medicines: [apixaban]}");
    assert!(thinner.contains("bloodthinner") && thinner.contains("apixaban"), "{thinner}");
    assert!(thinner.contains("donotstoptakingit"), "{thinner}");

    let allergic = words("history: {allergies: [{to: paracetamol}]}");
    assert!(allergic.contains("donottakeparacetamol:youareallergictoit"), "{allergic}");
    assert!(!allergic.contains("500mg"), "no dose of what must not be taken: {allergic}");

    let child = words("patient: {born: 2017-06-01, weight: 28 kg, height: ~}");
    assert!(child.contains("7.5ml") && !child.contains("500mgto1g"), "{child}");

    let light = words("patient: {weight: 45 kg}");
    assert!(light.contains("is2g,or4tablets,atmost") && !light.contains("is4g"), "{light}");
}

/// Without a body mass there is no limit, no share and no room: not of 70 kg, not of nought.
#[test]
fn an_unknown_mass_stays_unknown_in_every_document() {
    let press = Press::built_in();
    let facts =
        facts_of("patient: {weight: ~}\nvisits: [{on: 2026-11-25, kind: review, referred: elsewhere}]");
    let derived = &facts.derived;
    let agent = &derived.agents[0];
    for unknown in [
        derived.dosing_weight.unknown().map(ToString::to_string),
        agent.limit.unknown().map(ToString::to_string),
        derived.anaesthetic_share.unknown().map(ToString::to_string),
        agent.room.unknown().map(ToString::to_string),
    ] {
        assert_eq!(unknown.as_deref(), Some("patient.weight missing"));
    }
    // Whatever its size, a limit would stand as so many mg. What was given is 66 mg, and no other mass of
    // a medicine stands on the clinicians' pages.
    for paper in papers(&facts).into_iter().filter(|paper| paper.document.audience == Audience::Clinician) {
        let text = text_of(&press, paper, &facts);
        let masses = numbers_before(&text, "mg");
        assert!(masses.iter().all(|mass| mass == "66"), "{}: {masses:?}", paper.name());
    }
    let note = document("operation-note").expect("it is one of the documents");
    assert!(!numbers_before(&text_of(&press, note, &facts), "mg").is_empty(), "the dose given is printed");
    assert!(
        numbers_before(&text_of(&press, note, &facts_of("")), "mg").len() > 1,
        "with a mass, the limit too"
    );
}

/// The numbers that stand before a unit: `66` of `66 mg`, `4.4` of `4.4 mg/kg`.
fn numbers_before(text: &str, unit: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_number = |word: &str| !word.is_empty() && word.chars().all(|c| c.is_ascii_digit() || c == '.');
    words
        .windows(2)
        .filter(|pair| pair[1].starts_with(unit) && is_number(pair[0].trim_start_matches('(')))
        .map(|pair| pair[0].trim_start_matches('(').to_owned())
        .collect()
}

/// What went wrong stands in the note, in the letter to the practice and in the letter to the patient; the
/// patient is told what to watch for and hears that we are sorry, without an "if" and without small print.
#[test]
fn an_incident_stands_on_every_page_that_must_tell_it() {
    let press = Press::built_in();
    let mut letters = 0;
    for (name, text) in demo::CASES {
        let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
        let edition = checked.edition(Version::Issue { version: 1, replaces: None }, demo::today());
        let facts = checked.facts.expect("the demo cases read");
        for paper in ready_papers(&facts) {
            let set = press.set(paper, &facts, &edition);
            let document = paper.document;
            let set = set.unwrap_or_else(|problem| panic!("{}", unguis::cli::error::chain(&problem)));
            let words = squeezed(&set.text);
            for incident in facts.case.incidents.iter().filter(|_| document.tells_incidents) {
                let account = incident.what_happened.as_deref().expect("the demo cases are complete");
                let done = incident.done_at_once.as_deref().expect("the demo cases are complete");
                for said in [account, done] {
                    let said = squeezed(said);
                    assert!(words.contains(said.trim_end_matches('.')), "{name}, {}: {said}", document.name);
                }
            }
            if facts.case.incidents.is_empty() {
                assert!(!words.contains("incident"), "{name}, {}", document.name);
            } else if document.name == "gp-letter" {
                assert!(!words.contains("noactionneeded"), "{name}: the practice is asked to take note");
            } else if document.name == "candour-letter" {
                letters += 1;
                assert!(words.contains("wearesorrythatthishappenedtoyou"), "{name}\n{}", set.text);
                for never in
                    ["ifyoufeel", "liab", "neglig", "fault", "statutory", "dutyof", "prejudice", "admi"]
                {
                    assert!(!words.contains(never), "{name}: {never}\n{}", set.text);
                }
            }
        }
    }
    assert_eq!(letters, 2, "a wrong toe and an overdose");
}

/// An overdose may show late, so the leaflet says what to watch for, and so does the one in easy read.
#[test]
fn the_leaflet_says_what_to_watch_for_after_an_incident() {
    let press = Press::built_in();
    let leaflet = unguis::documents::document("aftercare-leaflet").expect("there is a leaflet");
    for needs in ["", "patient: {needs: [easy read]}, "] {
        let words = |rule: &str| {
            let fragment = format!("{{{needs}incidents: [{{answers: [{rule}]}}]}}");
            squeezed(&text_of(&press, leaflet, &facts_of(&fragment)))
        };
        assert!(words("dose-over-limit").contains("lipstingle"), "{needs}");
        assert!(words("agent-allergy").contains("allergic"), "{needs}");
        assert!(words("tourniquet-not-removed").contains("everyhour"), "{needs}");
        assert!(!words("toe-not-planned").contains("lipstingle"), "{needs}");
    }
}
