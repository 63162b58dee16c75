//! The register as a clinic meets it: issue, correct, compare, send, verify.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{Ran, root, scratch, unguis_in};

const NAMES: [&str; 3] = ["Hollis", "Imogen", "HOLLIS"];

/// A folder with the clinic file and a routine case.
fn clinic() -> tempfile::TempDir {
    let folder = scratch();
    for (from, to) in [("routine-adult.yaml", "case.yaml"), ("clinic.yaml", "clinic.yaml")] {
        fs::copy(root().join("cases").join(from), folder.path().join(to)).expect("scratch can be written");
    }
    folder
}

fn change(folder: &Path, from: &str, to: &str) {
    let file = folder.join("case.yaml");
    let text = fs::read_to_string(&file).expect("the case is there");
    assert!(text.contains(from), "the demo case no longer says {from}");
    fs::write(file, text.replace(from, to)).expect("scratch can be written");
}

fn issue(folder: &Path, today: &str, more: &[&str]) -> Ran {
    unguis_in(folder, ["issue", "case.yaml", "--today", today].iter().chain(more))
}

fn verify(folder: &Path) -> (i32, Value) {
    let ran = unguis_in(folder, ["verify", "--format", "json"]);
    (ran.code, serde_json::from_str(&ran.stdout).unwrap_or(Value::Null))
}

fn kinds(verdict: &Value) -> Vec<&str> {
    let mismatches = verdict["mismatches"].as_array().map(Vec::as_slice).unwrap_or_default();
    mismatches.iter().filter_map(|mismatch| mismatch["kind"].as_str()).collect()
}

/// What poppler reads in a PDF.
fn words(pdf: &Path) -> String {
    let text = crate::support::tool("pdftotext", &["-layout", &pdf.display().to_string(), "-"]);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_correction_makes_a_new_version_with_its_reason_and_nothing_else() {
    let folder = clinic();
    let first = issue(folder.path(), "2026-11-24", &[]);
    assert_eq!(first.code, 0, "{}", first.stderr);
    assert_eq!(first.stdout.lines().count(), 4, "{}", first.stdout);
    assert_eq!(first.stdout.lines().next(), Some("out/LFC-0117/operation-note-1.pdf"));

    // A comment and another day change no word.
    change(folder.path(), "# Shows:", "# Still shows:");
    let again = issue(folder.path(), "2026-11-26", &[]);
    assert_eq!((again.code, again.stdout.as_str()), (0, ""));
    assert!(
        again.stderr.contains("gp-letter is unchanged since version 1 of 24-Nov-2026"),
        "{}",
        again.stderr
    );
    assert!(again.stderr.ends_with("1 case: 1 unchanged\n"), "{}", again.stderr);

    change(folder.path(), "batch: M4417", "batch: M4471");
    let refused = issue(folder.path(), "2026-11-26", &[]);
    assert_eq!((refused.code, refused.stdout.as_str()), (1, ""));
    assert!(refused.stderr.contains("--because"), "{}", refused.stderr);

    let amended = issue(folder.path(), "2026-11-26", &["--because", "batch number mistyped"]);
    assert_eq!((amended.code, amended.stdout.as_str()), (0, "out/LFC-0117/operation-note-2.pdf\n"));
    let page = words(&folder.path().join("out/LFC-0117/operation-note-2.pdf"));
    for wanted in ["Amended: replaces version 1 of 24-Nov-2026", "batch number mistyped", "Was Is now"] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    assert_eq!(page.matches("M4417").count(), 1, "the old number stands in the table of changes: {page}");
    assert!(page.matches("M4471").count() >= 2, "the new one there and in its place: {page}");
    let (code, verdict) = verify(folder.path());
    assert_eq!((code, &verdict["clean"], &verdict["whole"]), (0, &true.into(), &10.into()), "{verdict}");
}

#[test]
fn compare_shows_the_words_and_warns_of_what_has_gone_out() {
    let folder = clinic();
    issue(folder.path(), "2026-11-24", &[]);
    let compare = |more: &[&str]| {
        let ran =
            unguis_in(folder.path(), ["compare", "case.yaml", "--today", "2026-11-26"].iter().chain(more));
        assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
        ran.stdout
    };
    assert_eq!(compare(&[]).matches("unchanged since version 1 of 24-Nov-2026").count(), 4);
    let sent =
        unguis_in(folder.path(), ["sent", "LFC-0117", "operation-note", "--to", "gp", "--on", "2026-11-25"]);
    assert_eq!(
        (sent.code, sent.stdout.as_str()),
        (0, "entered: version 1 of operation-note of LFC-0117 went to the GP on 25-Nov-2026\n")
    );
    change(folder.path(), "batch: M4417", "batch: M4471");
    let plain = compare(&[]);
    assert!(plain.contains("[-M4417") && plain.contains("{+M4471") && !plain.contains('\x1b'), "{plain}");
    assert!(plain.contains("has gone to the GP on 25-Nov-2026"), "{plain}");
    let colour = compare(&["--color", "always"]);
    assert!(colour.contains("\x1b[31m[-M4417") && colour.contains("\x1b[32m{+M4471"), "{colour:?}");
    let json: Value = serde_json::from_str(&compare(&["--format", "json"])).expect("compare prints JSON");
    let note = &json["documents"][0];
    assert_eq!(
        (&note["name"], &note["changed"], &note["version"]),
        (&"operation-note".into(), &true.into(), &1.into())
    );
    let word =
        |key: &str| note["changes"][0][key].as_str().unwrap_or_default().trim_end_matches(',').to_owned();
    assert_eq!((word("was"), word("is")), ("M4417".to_owned(), "M4471".to_owned()));
    assert_eq!(note["sent"][0], serde_json::json!({"to": "gp", "on": "2026-11-25"}));
    let issued = issue(folder.path(), "2026-11-26", &["--because", "mistyped"]);
    assert!(issued.stderr.contains("version 1 of operation-note has gone to the GP"), "{}", issued.stderr);
    assert!(compare(&[]).contains("operation-note: unchanged since version 2 of 26-Nov-2026"));
}

#[test]
fn verify_finds_every_kind_of_tampering_and_says_what_to_do() {
    let folder = clinic();
    let nothing = unguis_in(folder.path(), ["verify"]);
    assert_eq!(nothing.code, 2, "no folder, nothing issued: {}", nothing.stdout);
    issue(folder.path(), "2026-11-24", &[]);
    let out = folder.path().join("out");
    let pdf = out.join("LFC-0117/gp-letter-1.pdf");
    let register = out.join("register.jsonl");
    let (whole_pdf, whole_register) =
        (fs::read(&pdf).expect("issued"), fs::read(&register).expect("written"));
    let expect = |wanted: &str| {
        let (code, verdict) = verify(folder.path());
        assert_eq!((code, kinds(&verdict)), (1, vec![wanted]), "{verdict}");
        let help = verdict["mismatches"][0]["help"].as_str().unwrap_or_default();
        assert!(help.len() > 10, "{wanted}: {help}");
    };
    let mut changed = whole_pdf.clone();
    changed[100] ^= 1;
    fs::write(&pdf, changed).expect("written");
    expect("changed");
    fs::write(&pdf, &whole_pdf[..whole_pdf.len() - 1]).expect("written");
    expect("truncated");
    fs::remove_file(&pdf).expect("removed");
    expect("missing");
    fs::write(&pdf, &whole_pdf).expect("written");
    for (name, kind) in [
        ("LFC-0117/gp-letter-2.pdf", "unregistered"),
        ("LFC-0117/.unguis-issue-x.tmp", "leftover"),
        ("LFC-0117/scan.jpg", "extra"),
    ] {
        fs::write(out.join(name), "?").expect("written");
        expect(kind);
        fs::remove_file(out.join(name)).expect("removed");
    }
    let text = String::from_utf8(whole_register.clone()).expect("the register is text");
    fs::write(&register, text.replacen("Robin", "Robyn", 1)).expect("written");
    let (code, verdict) = verify(folder.path());
    assert_eq!((code, kinds(&verdict)[0]), (1, "register-damaged"), "{verdict}");
    let refused = issue(folder.path(), "2026-11-24", &[]);
    assert_eq!(refused.code, 2, "nothing is added to a damaged register");
    fs::write(&register, &whole_register[..whole_register.len() - 1]).expect("written");
    let (code, verdict) = verify(folder.path());
    assert_eq!((code, kinds(&verdict)[0]), (1, "line-cut-short"), "{verdict}");
    fs::remove_file(&register).expect("removed");
    expect("register-missing");
    fs::write(&register, &whole_register).expect("written");
    assert_eq!(verify(folder.path()).0, 0);
}

#[test]
fn no_name_of_the_patient_leaves_the_documents() {
    let folder = clinic();
    let ran = issue(folder.path(), "2026-11-24", &[]);
    let register = fs::read_to_string(folder.path().join("out/register.jsonl")).expect("written");
    let verdict = unguis_in(folder.path(), ["verify"]);
    let mut paths: Vec<PathBuf> = vec![folder.path().join("out")];
    let mut listed = String::new();
    while let Some(path) = paths.pop() {
        listed.push_str(&format!("{}\n", path.display()));
        if path.is_dir() {
            paths.extend(fs::read_dir(&path).expect("listed").map(|entry| entry.expect("an entry").path()));
        } else {
            #[cfg(unix)]
            {
                use std::os::unix::fs::PermissionsExt;
                let mode = fs::metadata(&path).expect("there").permissions().mode() & 0o777;
                assert_eq!(mode, 0o600, "{}", path.display());
            }
        }
    }
    for name in NAMES {
        for text in [&ran.stdout, &ran.stderr, &register, &verdict.stdout, &listed] {
            assert!(!text.contains(name), "{name}: {text}");
        }
    }
}

/// The same bytes twice, in two folders, with one thread and two, in another time zone, language
/// and home.
#[test]
fn the_same_case_gives_the_same_bytes_anywhere() {
    let mut seen = Vec::new();
    for (jobs, zone, language, home) in
        [("1", "UTC", "C", "/"), ("2", "Pacific/Kiritimati", "cy_GB.UTF-8", "/nonexistent")]
    {
        let folder = clinic();
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_unguis"))
            .args(["issue", "case.yaml", "--today", "2026-11-24", "--jobs", jobs])
            .current_dir(folder.path())
            .envs([("TZ", zone), ("LANG", language), ("LC_ALL", language), ("HOME", home)])
            .output()
            .expect("the program starts");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let bytes: Vec<Vec<u8>> = String::from_utf8(output.stdout)
            .expect("names are UTF-8")
            .lines()
            .map(|name| fs::read(folder.path().join(name)).expect("what was named is there"))
            .collect();
        assert_eq!(bytes.len(), 4);
        seen.push(bytes);
    }
    assert!(seen[0] == seen[1], "the bytes differ");
}
