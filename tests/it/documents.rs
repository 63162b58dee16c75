//! Every demo case and document: the words on the pages, as snapshots to be reviewed.
//!
//! To accept changed words: `INSTA_UPDATE=always cargo test --release`, then read `git diff`.

use unguis::demo;
use unguis::documents::{DOCUMENTS, ready_papers};
use unguis::pipeline::{Press, Version, check};

#[test]
fn the_words_of_every_demo_document() {
    let press = Press::built_in();
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    for (name, text) in demo::CASES {
        let checked = check(demo::source(name, text), &demo::clinic(), demo::today());
        let facts = checked.facts.as_ref().unwrap_or_else(|| panic!("{name} cannot be read"));
        for paper in ready_papers(facts) {
            // The leaflet is handed over on the day of surgery; the others are written up on a later one.
            let is_handed_over = paper.document.name == "aftercare-leaflet";
            let made_on = if is_handed_over { facts.day() } else { demo::today() };
            let edition = checked.edition(Version::Issue { version: 1, replaces: None }, made_on);
            let set = press
                .set(paper, facts, &edition)
                .unwrap_or_else(|problem| panic!("{name}: {}", unguis::cli::error::chain(&problem)));
            let stem = name.trim_end_matches(".yaml");
            settings.set_description(format!(
                "{} of cases/{name}, {} pages: read it as its reader would",
                paper.name(),
                set.pages
            ));
            settings.bind(|| insta::assert_snapshot!(format!("{stem}__{}", paper.file_stem()), set.text));
        }
        unguis::typeset::Typesetter::evict();
    }
}

/// A snapshot whose case or document is gone would be read by nobody.
#[test]
fn every_snapshot_has_its_case_and_document() {
    let folder = crate::support::root().join("tests/snapshots");
    for entry in std::fs::read_dir(folder).expect("the snapshots can be listed") {
        let name = entry.expect("an entry can be read").file_name().to_string_lossy().into_owned();
        let Some((case, document)) = name.trim_end_matches(".snap").split_once("__") else { continue };
        assert!(demo::CASES.iter().any(|(file, _)| file.trim_end_matches(".yaml") == case), "{name}");
        // `visit-note-2026-11-27` is of one visit.
        let is_of = |known: &str| {
            let rest = document.strip_prefix(known);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        };
        assert!(DOCUMENTS.iter().any(|known| is_of(known.name)), "{name}");
    }
}

/// Every file in `cases/` is embedded, and every embedded one is there: none can be forgotten.
#[test]
fn the_demo_list_is_the_folder() {
    let mut there: Vec<String> = std::fs::read_dir(crate::support::root().join("cases"))
        .expect("the cases can be listed")
        .map(|entry| entry.expect("an entry can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".yaml") && name != "clinic.yaml")
        .collect();
    let mut embedded: Vec<String> = demo::CASES.iter().map(|(name, _)| (*name).to_owned()).collect();
    there.sort();
    embedded.sort();
    assert_eq!(there, embedded);
}

#[test]
fn every_demo_case_opens_with_what_it_shows() {
    for (name, text) in demo::CASES {
        assert!(text.starts_with("# Shows: "), "{name}");
    }
}
