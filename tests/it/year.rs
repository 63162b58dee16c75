//! The year of the demo: invented operations with what became of each.

use unguis::demo;

use crate::support::root;

/// Written by `unguis dev invent cases/year --count 72 --seed 3 --year`.
#[test]
fn the_cases_of_the_year_are_as_they_were_invented() {
    let folder = root().join("cases/year");
    let invented = demo::invent_year(72, 3);
    for (name, text) in &invented {
        let written =
            std::fs::read_to_string(folder.join(name)).unwrap_or_else(|problem| panic!("{name}: {problem}"));
        assert!(written == *text, "{name} is not as invented");
    }
    let there = std::fs::read_dir(&folder).expect("the folder can be listed").count();
    assert_eq!(there, invented.len() + 1, "and the clinic file");
    let clinic = std::fs::read_to_string(folder.join("clinic.yaml")).expect("there is one");
    assert!(clinic == demo::CLINIC);
}

#[test]
fn no_case_of_the_year_has_anything_open() {
    for (name, text) in demo::invent_year(72, 3) {
        let checked = unguis::pipeline::check(demo::source(&name, &text), &demo::clinic(), demo::today());
        let open: Vec<String> = checked
            .diagnostics
            .iter()
            .filter(|found| found.blocks_issue())
            .map(|found| format!("{name}: {}: {}", found.rule, found.primary.text))
            .collect();
        assert_eq!(open, Vec::<String>::new());
    }
}
