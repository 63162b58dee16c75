//! The register as a clinic meets it: issue, correct, compare, send, verify.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{Ran, demo_file, root, scratch, unguis, unguis_in};

/// A note that goes to the GP.
const SENT: [&str; 7] = ["sent", "LFC-0117", "operation-note", "--to", "gp", "--on", "2026-11-25"];

const NAMES: [&str; 3] = ["Hollis", "Imogen", "HOLLIS"];

/// A folder with the clinic file and a routine case.
fn clinic() -> tempfile::TempDir {
    let folder = scratch();
    for (from, to) in [("routine-adult.yaml", "case.yaml"), ("clinic.yaml", "clinic.yaml")] {
        fs::copy(demo_file(from), folder.path().join(to)).expect("scratch can be written");
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
    assert_eq!(first.stdout.lines().next(), Some("out/LFC-0117/LFC-0117-operation-note-1.pdf"));

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

    change(folder.path(), "anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}");
    let refused = issue(folder.path(), "2026-11-26", &[]);
    assert_eq!((refused.code, refused.stdout.as_str()), (1, ""));
    assert!(refused.stderr.contains("--because"), "{}", refused.stderr);

    let amended = issue(folder.path(), "2026-11-26", &["--because", "batch number mistyped"]);
    assert_eq!((amended.code, amended.stdout.as_str()), (0, "out/LFC-0117/LFC-0117-operation-note-2.pdf\n"));
    let page = words(&folder.path().join("out/LFC-0117/LFC-0117-operation-note-2.pdf"));
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
    let sent = unguis_in(folder.path(), SENT.iter().chain(&["--today", "2026-11-26"]));
    assert_eq!(
        (sent.code, sent.stdout.as_str()),
        (0, "entered: version 1 of operation-note of LFC-0117 went to the GP on 25-Nov-2026\n")
    );
    change(folder.path(), "anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}");
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
    let pdf = out.join("LFC-0117/LFC-0117-gp-letter-1.pdf");
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
        ("LFC-0117/LFC-0117-gp-letter-2.pdf", "unregistered"),
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

/// The case of another patient, with the reference of the routine one: a copy in which it was forgotten.
fn put_another_patient(folder: &Path) {
    let other =
        fs::read_to_string(root().join("cases/older-diabetes-anticoagulant.yaml")).expect("a demo case");
    assert!(other.contains("reference: LFC-0124"), "the demo case has another reference");
    fs::write(folder.join("case.yaml"), other.replace("LFC-0124", "LFC-0117"))
        .expect("scratch can be written");
}

#[test]
fn a_reference_is_never_used_for_another_patient() {
    let folder = clinic();
    assert_eq!(issue(folder.path(), "2026-11-25", &[]).code, 0);
    let register = fs::read_to_string(folder.path().join("out/register.jsonl")).expect("written");
    put_another_patient(folder.path());
    let because: &[&str] = &["--because", "details corrected"];
    for more in [&[], because] {
        let ran = issue(folder.path(), "2026-11-26", more);
        assert_eq!((ran.code, ran.stdout.as_str()), (1, ""), "{}", ran.stderr);
        assert!(ran.stderr.contains("stop[another-patient]"), "{}", ran.stderr);
        assert!(ran.stderr.contains("give this case a reference of its own"), "{}", ran.stderr);
    }
    // Neither by a reason in the file nor by an answer.
    let case = folder.path().join("case.yaml");
    let text = fs::read_to_string(&case).expect("the case is there");
    fs::write(&case, format!("{text}amendment: details corrected\n")).expect("scratch can be written");
    let ran = issue(folder.path(), "2026-11-26", &[]);
    assert!(ran.code == 1 && ran.stderr.contains("another-patient"), "{}", ran.stderr);
    let answer = "accepted:\n  - {rule: another-patient, because: it is right, by: E. Ashby}";
    fs::write(&case, text.replacen("accepted:", answer, 1)).expect("scratch can be written");
    let ran = issue(folder.path(), "2026-11-26", because);
    assert!(ran.code == 1 && ran.stderr.contains("stop[another-patient]"), "{}", ran.stderr);
    fs::write(&case, text).expect("scratch can be written");

    let day = ["--today", "2026-11-26"];
    let check = unguis_in(folder.path(), ["check", "case.yaml", "--format", "json"].iter().chain(&day));
    let json: Value = serde_json::from_str(&check.stdout).expect("check prints JSON");
    let found = json["cases"][0]["findings"].as_array().expect("a list");
    let found = found.iter().find(|one| one["rule"] == "another-patient").expect("it is found");
    assert_eq!((check.code, &found["severity"], &found["path"]), (1, &"stop".into(), &"reference".into()));
    let all = Some(unguis::documents::DOCUMENTS.len());
    assert_eq!((found["line"].as_u64(), found["holds"].as_array().map(Vec::len)), (Some(3), all));
    let says = found["message"].as_str().unwrap_or_default();
    for detail in ["the family name", "the date of birth", "the NHS number"] {
        assert!(says.contains(detail), "{says}");
    }
    let elsewhere = unguis_in(folder.path(), ["check", "case.yaml", "--out", "elsewhere"].iter().chain(&day));
    assert_eq!(elsewhere.code, 0, "{}", elsewhere.stdout);

    let draft = unguis_in(folder.path(), ["draft", "case.yaml"].iter().chain(&day));
    assert_eq!((draft.code, draft.stdout.as_str()), (1, ""), "{}", draft.stderr);
    assert!(draft.stderr.contains("another-patient"), "{}", draft.stderr);
    let compare = unguis_in(folder.path(), ["compare", "case.yaml"].iter().chain(&day));
    assert_eq!((compare.code, compare.stdout.as_str()), (1, ""));
    let all = [&check.stdout, &draft.stderr, &compare.stderr].map(String::as_str).concat();
    assert!(!NAMES.iter().any(|name| all.contains(name)), "{all}");

    assert_eq!(fs::read_to_string(folder.path().join("out/register.jsonl")).expect("there"), register);
    let files: Vec<_> = fs::read_dir(folder.path().join("out/LFC-0117")).expect("there").collect();
    assert_eq!(files.len(), 8, "{files:?}");
    let page = unguis(["explain", "another-patient"]);
    assert!(page.code == 0 && page.stdout.contains("Two of them differ"), "{}", page.stdout);
    assert!(page.stdout.contains("cannot be answered under `accepted`"), "{}", page.stdout);
}

/// A corrected detail needs a reason, and neither the old nor the new value stands in a table of
/// changes of any document.
#[test]
fn a_corrected_detail_needs_a_reason_and_is_shown_in_no_table() {
    let folder = clinic();
    change(
        folder.path(),
        "[4 Tern Row, Larkmoor, XX4 2QD]",
        "[4 Tern Row, Larkmoor, XX4 2QD]\n  telephone: 01632 960 161",
    );
    assert_eq!(issue(folder.path(), "2026-11-25", &[]).code, 0);
    let form = ["--only", "consent-form", "--because", "married"];
    let others = ["--because", "married"];
    // Each step: what is changed, what may no longer be read anywhere, and whether a reason is wanted
    // for the patient's sake.
    for (at, (from, to, gone, is_detail)) in [
        ("family: Hollis", "family: Harding", &["Hollis", "HOLLIS"][..], true),
        ("born: 1984-02-09", "born: 1984-09-02", &["09-Feb-1984", "9 February 1984"][..], true),
        ("nhs_number: 999 000 0018", "nhs_number: 999 041 7318", &["999 000 0018"][..], true),
        ("given: Imogen", "given: Ingrid", &["Imogen"][..], false),
        ("  nhs_number: 999 041 7318\n", "", &["7318"][..], false),
        ("[4 Tern Row, Larkmoor, XX4 2QD]", "[9 Plover Way, Eastmere, XX9 1AA]", &["Tern", "2QD"][..], false),
        ("title: Ms", "title: Dr\n  preferred: Inga", &["Ms"][..], false),
        ("  preferred: Inga\n", "", &["Inga"][..], false),
    ]
    .into_iter()
    .enumerate()
    {
        change(folder.path(), from, to);
        let refused = issue(folder.path(), "2026-11-26", &[]);
        assert_eq!(refused.code, 1, "{to}: {}", refused.stderr);
        assert_eq!(refused.stderr.contains(" of the patient"), is_detail, "{to}: {}", refused.stderr);
        let issued = [issue(folder.path(), "2026-11-26", &others), issue(folder.path(), "2026-11-26", &form)];
        let mut seen = 0;
        for ran in &issued {
            assert_eq!(ran.code, 0, "{to}: {}", ran.stderr);
            for name in ran.stdout.lines() {
                let page = words(&folder.path().join(name));
                assert!(page.contains("the patient’s details"), "{to}: {name}: {page}");
                for value in gone {
                    assert!(!page.contains(value), "{to}: {name} still says {value}: {page}");
                }
                seen += 1;
            }
        }
        assert!(seen > 0, "step {at} changes nothing on paper");
    }
    assert_eq!(verify(folder.path()).0, 0);
}

#[test]
fn a_clinical_change_beside_a_corrected_detail_is_still_shown() {
    let folder = clinic();
    assert_eq!(issue(folder.path(), "2026-11-25", &[]).code, 0);
    change(folder.path(), "family: Hollis", "family: Harding");
    change(folder.path(), "anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}");
    let ran = issue(
        folder.path(),
        "2026-11-26",
        &["--because", "married; batch mistyped", "--only", "operation-note"],
    );
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let page = words(&folder.path().join("out/LFC-0117/LFC-0117-operation-note-2.pdf"));
    assert!(page.contains("M4417") && page.contains("M4471"), "{page}");
    assert!(page.contains("the patient’s details") && !page.to_lowercase().contains("hollis"), "{page}");
}

/// What stands before a heading of the case file, and so before anything after it.
fn until(text: &str, heading: &str) -> String {
    let at = text.find(&format!("\n{heading}:")).expect("the demo case has the heading");
    text[..=at].to_owned()
}

fn consent_forms(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder.join("out/LFC-0117"))
        .expect("issued")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with("LFC-0117-consent-form") && name.ends_with(".pdf"))
        .collect();
    names.sort();
    names
}

/// Issue the form, operate, record, issue the rest: no reason is wanted, and there is one form.
#[test]
fn the_form_is_issued_signed_and_left_alone() {
    let folder = clinic();
    let case = folder.path().join("case.yaml");
    let whole = fs::read_to_string(&case).expect("the case is there");
    fs::write(&case, until(&whole, "consent")).expect("scratch can be written");
    let first = issue(folder.path(), "2026-11-20", &["--by", "R. Quill"]);
    assert_eq!(
        (first.code, first.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-consent-form-1.pdf\nout/LFC-0117/LFC-0117-preparation-leaflet-1.pdf\n"),
        "{}",
        first.stderr
    );
    fs::write(&case, &whole).expect("scratch can be written");
    let rest = issue(folder.path(), "2026-11-24", &[]);
    assert_eq!(rest.code, 0, "{}", rest.stderr);
    let made: Vec<&str> = rest.stdout.lines().collect();
    assert!(!made.is_empty() && made.iter().all(|name| name.ends_with("-1.pdf")), "{made:?}");
    assert!(!rest.stdout.contains("consent-form"), "{}", rest.stdout);
    let says = "consent-form was signed on 20-Nov-2026, so version 1 of 20-Nov-2026 is left as it is";
    assert!(rest.stderr.contains(says), "{}", rest.stderr);
    assert_eq!(consent_forms(folder.path()), ["LFC-0117-consent-form-1.pdf"]);

    // A reason for something else does not make another one, nor does asking without a reason.
    change(folder.path(), "anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}");
    let amended = issue(folder.path(), "2026-11-26", &["--because", "batch mistyped"]);
    assert_eq!((amended.code, amended.stdout.as_str()), (0, "out/LFC-0117/LFC-0117-operation-note-2.pdf\n"));
    let asked = issue(folder.path(), "2026-11-26", &["--only", "consent-form"]);
    assert_eq!((asked.code, asked.stdout.as_str()), (0, ""));
    assert!(asked.stderr.contains("--only consent-form --because"), "{}", asked.stderr);
    let compare = unguis_in(folder.path(), ["compare", "case.yaml", "--today", "2026-11-26"]);
    let forms = compare.stdout.split_once("consent-form: ").map_or("", |(_, after)| after);
    assert!(
        forms.starts_with("unchanged") || forms.contains("signed on 20-Nov-2026: `issue` leaves it"),
        "{}",
        compare.stdout
    );
    assert_eq!(consent_forms(folder.path()), ["LFC-0117-consent-form-1.pdf"]);

    change(folder.path(), "patient:\n  title: Ms", "patient:\n  title: Dr");
    let another = issue(folder.path(), "2026-11-26", &["--only", "consent-form", "--because", "the title"]);
    assert_eq!(
        (another.code, another.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-consent-form-2.pdf\n"),
        "{}",
        another.stderr
    );
}

/// A plan that changed after the form was signed: a new form is asked for, and never made by the way.
#[test]
fn another_plan_needs_another_form() {
    let folder = clinic();
    let case = folder.path().join("case.yaml");
    let whole = fs::read_to_string(&case).expect("the case is there");
    fs::write(&case, until(&whole, "consent")).expect("scratch can be written");
    assert_eq!(issue(folder.path(), "2026-11-20", &["--by", "R. Quill"]).code, 0);
    fs::write(&case, whole.replace("[lateral]", "[medial]")).expect("scratch can be written");
    for more in [&[][..], &["--because", "medial after all"]] {
        let ran = issue(folder.path(), "2026-11-24", more);
        assert_eq!(ran.code, 1, "{}", ran.stderr);
        assert!(ran.stderr.contains("stop[consent-form-outdated]"), "{}", ran.stderr);
        assert!(ran.stderr.contains("--only consent-form --because"), "{}", ran.stderr);
        assert!(ran.stderr.contains("operation-note is held by consent-form-outdated"), "{}", ran.stderr);
        assert_eq!(consent_forms(folder.path()), ["LFC-0117-consent-form-1.pdf"]);
    }
    assert!(folder.path().join("out/LFC-0117/LFC-0117-aftercare-leaflet-1.pdf").exists());
    assert!(!folder.path().join("out/LFC-0117/LFC-0117-operation-note-1.pdf").exists());
    let because = ["--only", "consent-form", "--because", "medial edge, talked through on the day"];
    let form = issue(folder.path(), "2026-11-24", &because);
    assert_eq!(
        (form.code, form.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-consent-form-2.pdf\n"),
        "{}",
        form.stderr
    );
    let rest = issue(folder.path(), "2026-11-24", &[]);
    assert_eq!(
        (rest.code, rest.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-operation-note-1.pdf\n"),
        "{}",
        rest.stderr
    );
    // The other way of mending it: the plan was right before.
    let note = ["--only", "operation-note"];
    fs::write(&case, &whole).expect("scratch can be written");
    let held = issue(folder.path(), "2026-11-24", &note);
    assert!(held.code == 1 && held.stderr.contains("consent-form-outdated"), "{}", held.stderr);
    fs::write(&case, whole.replace("[lateral]", "[medial]")).expect("scratch can be written");
    let mended = issue(folder.path(), "2026-11-24", &note);
    assert_eq!((mended.code, mended.stdout.as_str()), (0, ""), "{}", mended.stderr);
}

/// A practice that is not in the address book holds the letter, and nothing else.
#[test]
fn what_no_finding_holds_is_issued() {
    let folder = clinic();
    change(folder.path(), "gp: birchgate", "gp: birchgat");
    let day = ["--today", "2026-11-25"];
    let check = |format: &str| {
        unguis_in(folder.path(), ["check", "case.yaml", "--format", format].iter().chain(&day)).stdout
    };
    let human = check("human");
    assert!(human.contains("= holds: gp-letter and visit-letter\n"), "{human}");
    assert!(human.contains("ready to issue: operation-note, consent-form, aftercare-leaflet"), "{human}");
    assert!(human.contains("; held: gp-letter\n"), "{human}");
    assert!(check("short").contains("(holds gp-letter and visit-letter)"), "{}", check("short"));
    let json: Value = serde_json::from_str(&check("json")).expect("check prints JSON");
    assert_eq!(json["cases"][0]["findings"][0]["holds"], serde_json::json!(["gp-letter", "visit-letter"]));
    for document in json["cases"][0]["documents"].as_array().expect("a list") {
        let is_letter = document["name"] == "gp-letter";
        let wanted = if is_letter { serde_json::json!(["gp-unknown"]) } else { serde_json::json!([]) };
        assert_eq!(document["held_by"], wanted, "{document}");
    }
    let leaflet = issue(folder.path(), "2026-11-25", &["--only", "aftercare-leaflet"]);
    assert_eq!(
        (leaflet.code, leaflet.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-aftercare-leaflet-1.pdf\n")
    );
    let letter = issue(folder.path(), "2026-11-25", &["--only", "gp-letter"]);
    assert_eq!((letter.code, letter.stdout.as_str()), (1, ""));
    assert!(letter.stderr.contains("nothing was issued"), "{}", letter.stderr);
    let rest = issue(folder.path(), "2026-11-25", &[]);
    assert_eq!(rest.code, 1, "{}", rest.stderr);
    let made: Vec<&str> = rest.stdout.lines().collect();
    assert_eq!(
        made,
        ["out/LFC-0117/LFC-0117-operation-note-1.pdf", "out/LFC-0117/LFC-0117-consent-form-1.pdf"]
    );
    assert!(rest.stderr.contains("stop[gp-unknown]"), "{}", rest.stderr);
    assert!(rest.stderr.contains("gp-letter is held by gp-unknown"), "{}", rest.stderr);
    assert!(rest.stderr.ends_with("1 case: 1 held in part\n"), "{}", rest.stderr);
    change(folder.path(), "gp: birchgat", "gp: birchgate");
    let mended = issue(folder.path(), "2026-11-25", &["--only", "gp-letter"]);
    assert_eq!(
        (mended.code, mended.stdout.as_str()),
        (0, "out/LFC-0117/LFC-0117-gp-letter-1.pdf\n"),
        "{}",
        mended.stderr
    );
}

#[test]
fn what_was_sent_is_entered_once_when_it_has_gone_and_by_somebody() {
    let folder = clinic();
    issue(folder.path(), "2026-11-24", &[]);
    let sent = |more: &[&str]| unguis_in(folder.path(), SENT.iter().chain(more));
    assert_eq!(sent(&["--today", "2026-11-25", "--by", "Alex Wren"]).code, 0);
    let again = sent(&["--today", "2026-11-25"]);
    assert_eq!((again.code, again.stdout.as_str()), (2, ""));
    assert!(
        again.stderr.contains("already entered: version 1 of operation-note of LFC-0117"),
        "{}",
        again.stderr
    );
    let early = unguis_in(
        folder.path(),
        ["sent", "LFC-0117", "gp-letter", "--to", "gp", "--on", "2026-12-20", "--today", "2026-11-27"],
    );
    assert!(early.code == 2 && early.stderr.contains("20-Dec-2026 lies in the future"), "{}", early.stderr);
    let nobody = sent(&["--by", " "]);
    assert!(nobody.code == 2 && nobody.stderr.contains("write a name"), "{}", nobody.stderr);
    let register = fs::read_to_string(folder.path().join("out/register.jsonl")).expect("written");
    assert_eq!(register.matches("\"event\":\"sent\"").count(), 1, "{register}");
    let never = unguis_in(folder.path(), ["sent", "LFC-0118", "gp-letter", "--to", "gp"]);
    assert!(
        never.code == 2 && never.stderr.contains("help: nothing was issued under this reference"),
        "{}",
        never.stderr
    );
}
