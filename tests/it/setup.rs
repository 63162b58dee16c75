//! From nothing to the first case: `setup`, the clinic file alone, `new`.

use std::fs;

use crate::support::{Ran, root, scratch, unguis_in};

fn short(ran: &Ran) -> Vec<&str> {
    ran.stdout.lines().collect()
}

#[test]
fn without_a_clinic_file_the_way_to_one_is_named() {
    let folder = scratch();
    for args in [
        &["new", "LFC-0200"][..],
        &["check", "case.yaml"],
        &["new", "LFC-0200", "--clinic", "north/clinic.yaml"],
    ] {
        fs::write(folder.path().join("case.yaml"), "reference: LFC-0200\n").expect("scratch can be written");
        let ran = unguis_in(folder.path(), args);
        assert_eq!(ran.code, 2, "{args:?}");
        assert!(ran.stderr.contains("there is no clinic file"), "{args:?}: {}", ran.stderr);
        assert!(ran.stderr.contains("`unguis setup"), "{args:?}: {}", ran.stderr);
    }
}

#[test]
fn setup_writes_questions_never_over_a_file_and_each_open_one_is_listed() {
    let folder = scratch();
    let ran = unguis_in(folder.path(), ["setup"]);
    assert_eq!((ran.code, ran.stdout.as_str()), (0, "clinic.yaml\n"), "{}", ran.stderr);
    let written = fs::read_to_string(folder.path().join("clinic.yaml")).expect("it was written");
    let ran = unguis_in(folder.path(), ["setup"]);
    assert_eq!(ran.code, 2);
    assert_eq!(fs::read_to_string(folder.path().join("clinic.yaml")).ok(), Some(written));

    let ran = unguis_in(folder.path(), ["check", "clinic.yaml", "--format", "short"]);
    assert_eq!(ran.code, 1);
    let lines = short(&ran);
    assert!(
        lines.len() > 15 && lines.iter().all(|line| line.contains("unreadable[empty-value]")),
        "{}",
        ran.stdout
    );
    // No case can be begun with it, and it is the clinic file that is said to be open.
    let ran = unguis_in(folder.path(), ["new", "LFC-0200"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("clinic.yaml:"), "{}", ran.stderr);
}

#[test]
fn a_clinic_file_is_checked_alone() {
    let folder = scratch();
    let clinic = fs::read_to_string(root().join("cases/clinic.yaml")).expect("the demo clinic is there");
    let check = |text: &str, format: &str| {
        fs::write(folder.path().join("clinic.yaml"), text).expect("scratch can be written");
        unguis_in(folder.path(), ["check", "clinic.yaml", "--format", format])
    };
    let ran = check(&clinic, "human");
    assert_eq!(
        (ran.code, ran.stdout.as_str()),
        (0, "clinic.yaml: no findings; it can be used\n"),
        "{}",
        ran.stderr
    );

    let changed = clinic
        .replace("anaesthetic: {agent: mepivacaine", "anaesthetic: {agent: Novacaine")
        .replace("  technique: digital block, two-sided\n", "")
        .replace("  first_redressing_days: 3\n", "");
    let ran = check(&changed, "short");
    assert_eq!(ran.code, 1, "an agent that is not known is to be looked at");
    let lines = short(&ran);
    assert!(lines[0].contains("caution[agent-unknown]"), "{}", ran.stdout);
    assert_eq!(
        lines.iter().filter(|line| line.contains("note[protocol-incomplete]")).count(),
        2,
        "{}",
        ran.stdout
    );
    let ran = check(&changed, "json");
    let json: serde_json::Value = serde_json::from_str(&ran.stdout).expect("it is JSON");
    let found = json["cases"][0]["findings"].as_array().expect("a list");
    assert!(found.iter().all(|found| found["help"].is_string() && found["line"].is_number()), "{json:#}");
    assert_eq!(json["cases"][0]["reference"], serde_json::Value::Null);
    // Notes alone do not make it unusable.
    let ran = check(&clinic.replace("  technique: digital block, two-sided\n", ""), "human");
    assert!(
        ran.code == 0 && ran.stdout.ends_with("clinic.yaml: 1 note; it can be used\n\n"),
        "{}",
        ran.stdout
    );
    // Beside its cases it is not taken for one.
    fs::copy(root().join("cases/routine-adult.yaml"), folder.path().join("a.yaml")).expect("scratch");
    let ran = unguis_in(folder.path(), ["check", ".", "--format", "short", "--today", "2026-11-25"]);
    assert!(!ran.stdout.contains("unreadable"), "{}", ran.stdout);
}
