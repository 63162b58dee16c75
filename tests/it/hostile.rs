//! Text of a case is never code: a case whose every field holds Typst, Tera, quotation marks, an
//! emoji and combining accents comes out literally, in our own text and in the PDF's.

use unguis::case::{read_case, read_clinic};
use unguis::demo;
use unguis::diagnostic::SourceText;
use unguis::documents::{DOCUMENTS, Edition};
use unguis::facts::Facts;
use unguis::pipeline::Press;

use crate::support::{scratch, tool};

const HOSTILE: &str = include_str!("../fixtures/hostile.yaml");

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '\u{ad}' && *c != '-' && *c != '\u{2010}').collect()
}

#[test]
fn every_field_comes_out_literally() {
    let case = read_case(SourceText::new("hostile.yaml", HOSTILE).into());
    assert!(case.diagnostics.is_empty(), "{:?}", case.diagnostics);
    let clinic = read_clinic(demo::clinic());
    let facts = Facts::new(
        case.value.expect("it was read"),
        clinic.value.expect("the demo clinic reads"),
        demo::today(),
    );
    let edition = Edition {
        is_draft: true,
        version: 0,
        made_on: demo::today(),
        replaces: None,
        answered: Vec::new(),
        open: vec!["open #x {{ x }} $y$".into()],
    };
    let press = Press::built_in();
    let folder = scratch();
    let mut all = String::new();
    for document in DOCUMENTS {
        let set = press
            .set(document, &facts, &edition)
            .unwrap_or_else(|problem| panic!("{}", unguis::cli::error::chain(&problem)));
        let file = folder.path().join("x.pdf");
        std::fs::write(&file, &set.pdf).expect("scratch can be written");
        let outside = tool("pdftotext", &["-layout", &file.to_string_lossy(), "-"]);
        assert!(!outside.contains("#\""), "{}: an escape reached the page", document.name);
        all.push_str(&squeezed(&set.text));
        all.push_str(&squeezed(&tool("pdftotext", &["-raw", &file.to_string_lossy(), "-"])));
    }
    // Each field that the documents print, as typed.
    let case = &facts.case;
    let operation = case.operation.as_ref().expect("the fixture has one");
    let consent = case.consent.as_ref().expect("the fixture has one");
    let problem = case.problem.as_ref().expect("the fixture has one");
    let toe = operation.toes.iter().next().expect("the fixture has one").1;
    let printed = [
        Some(case.patient.given.clone()),
        Some(case.patient.family.clone()),
        case.patient.title.clone(),
        case.patient.language.clone(),
        problem.summary.clone(),
        consent.concerns.clone(),
        consent.interpreter.clone(),
        operation.assistant.clone(),
        operation.findings.clone(),
        operation.complications.clone(),
        operation.note.clone(),
        operation.dressing.clone(),
        operation.discharge.clone(),
        operation.phenol.as_ref().and_then(|phenol| phenol.batch.clone()),
        operation.instruments.as_ref().and_then(|instruments| instruments.tray.clone()),
        toe.lavage.clone(),
        toe.end_point.clone(),
        toe.findings.clone(),
        Some("open #x {{ x }} $y$".to_owned()),
    ];
    for text in printed.into_iter().flatten() {
        // The family name is printed in capitals in the clinician's banner and as typed elsewhere.
        let wanted = squeezed(&text);
        assert!(
            all.contains(&wanted) || all.to_uppercase().contains(&wanted.to_uppercase()),
            "{text:?} did not come out literally"
        );
    }
}
