//! Copies for other programs: what stands in a FHIR document and in the table, and what is refused.
//!
//! Whether a document is FHIR is asked of others, in `tests/outside/fhir.py`.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::{Ran, demo_file, root, scratch, unguis, unguis_in};

const TODAY: &str = "2026-11-25";

/// A folder with the clinic file and a demo case, with some of its words replaced.
fn clinic(case: &str, changes: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = scratch();
    let text = fs::read_to_string(demo_file(case)).expect("the demo case is there");
    fs::write(folder.path().join("case.yaml"), text).expect("scratch can be written");
    fs::copy(root().join("cases/clinic.yaml"), folder.path().join("clinic.yaml"))
        .expect("scratch can be written");
    change(folder.path(), changes);
    folder
}

fn change(folder: &Path, changes: &[(&str, &str)]) {
    let file = folder.join("case.yaml");
    let mut text = fs::read_to_string(&file).expect("the case is there");
    for (from, to) in changes {
        assert!(text.contains(from), "the demo case no longer says {from}");
        text = text.replace(from, to);
    }
    fs::write(file, text).expect("scratch can be written");
}

fn issue(folder: &Path, more: &[&str]) -> Ran {
    let ran = unguis_in(folder, ["issue", "case.yaml", "--today", TODAY].iter().chain(more));
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    ran
}

fn export(folder: &Path, more: &[&str]) -> Ran {
    unguis_in(folder, ["export", "case.yaml", "--as", "fhir", "--today", TODAY].iter().chain(more))
}

/// The document of a demo case that was issued.
fn exported(case: &str, changes: &[(&str, &str)]) -> (String, Value) {
    let folder = clinic(case, changes);
    issue(folder.path(), &[]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""), "{case}");
    let document = serde_json::from_str(&ran.stdout).expect("it is JSON");
    (ran.stdout, document)
}

fn of_kind<'a>(document: &'a Value, kind: &str) -> Vec<&'a Value> {
    let entries = document["entry"].as_array().expect("a list");
    entries
        .iter()
        .map(|entry| &entry["resource"])
        .filter(|resource| resource["resourceType"] == kind)
        .collect()
}

fn observation<'a>(document: &'a Value, words: &str) -> Vec<&'a Value> {
    let all = of_kind(document, "Observation");
    all.into_iter().filter(|one| one["code"]["text"] == words).collect()
}

/// The words of the section under a heading, without the tags; empty if it is not there.
fn section(document: &Value, title: &str) -> String {
    let frame = of_kind(document, "Composition")[0];
    let all = frame["section"].as_array().expect("sections");
    let found = all.iter().find(|section| section["title"] == title);
    found.map_or_else(String::new, |found| found["text"]["div"].as_str().unwrap_or_default().to_owned())
}

/// Every object below, and itself.
fn objects<'a>(value: &'a Value, found: &mut Vec<&'a serde_json::Map<String, Value>>) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| objects(item, found)),
        Value::Object(keys) => {
            found.push(keys);
            keys.values().for_each(|inner| objects(inner, found));
        }
        _ => {}
    }
}

/// What lies in a folder, with the contents.
fn everything(folder: &Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            all.extend(everything(&path));
        } else {
            let bytes = fs::read(&path).expect("a file");
            all.push((path, bytes));
        }
    }
    all.sort();
    all
}

#[test]
fn the_same_case_and_folder_give_the_same_bytes_on_any_day_and_write_nothing() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &[]);
    let before = everything(folder.path());
    let first = export(folder.path(), &[]);
    assert_eq!(first.code, 0, "{}", first.stderr);
    assert_eq!(first.stdout.matches('\n').count(), 1, "a document is a line");
    assert_eq!(export(folder.path(), &[]).stdout, first.stdout);
    let later = unguis_in(folder.path(), ["export", "case.yaml", "--as", "fhir", "--today", "2027-02-01"]);
    assert_eq!(later.stdout, first.stdout);
    assert!(everything(folder.path()) == before, "a file was written or changed");
    // A comment changes no word, another word changes the document's name.
    change(folder.path(), &[("reference: LFC-0117\n", "# Still the same.\nreference: LFC-0117\n")]);
    assert_eq!(export(folder.path(), &[]).stdout, first.stdout);
    change(folder.path(), &[("tray: T-0412", "tray: T-0413")]);
    issue(folder.path(), &["--because", "tray mistyped"]);
    let second = export(folder.path(), &[]);
    let name = |text: &str| -> Value {
        serde_json::from_str::<Value>(text).expect("it is JSON")["identifier"].clone()
    };
    assert_ne!(name(&second.stdout), name(&first.stdout));
    assert!(second.stdout.contains("issued again: tray mistyped") && second.stdout.contains("\"amended\""));
}

#[test]
fn several_cases_are_several_lines_and_one_that_is_refused_does_not_stop_the_others() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &[]);
    fs::copy(root().join("cases/overdose.yaml"), folder.path().join("b.yaml"))
        .expect("scratch can be written");
    let both = unguis_in(folder.path(), ["export", "b.yaml", "case.yaml", "--as", "fhir", "--today", TODAY]);
    assert_eq!((both.code, both.stdout.lines().count()), (2, 1), "{}", both.stderr);
    assert!(both.stderr.starts_with("b.yaml: error: no document of"), "{}", both.stderr);
    let ran = unguis_in(folder.path(), ["issue", "b.yaml", "--today", TODAY]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let both = unguis_in(folder.path(), ["export", "b.yaml", "case.yaml", "--as", "fhir", "--today", TODAY]);
    assert_eq!((both.code, both.stdout.lines().count()), (0, 2), "{}", both.stderr);
    for line in both.stdout.lines() {
        assert_eq!(serde_json::from_str::<Value>(line).expect("JSON")["type"], "document");
    }
    // On however many threads, in the order of the cases.
    for jobs in ["1", "2"] {
        let args = ["export", "b.yaml", "case.yaml", "--as", "fhir", "--today", TODAY, "--jobs", jobs];
        let ran = unguis_in(folder.path(), args);
        assert_eq!(
            (ran.code, ran.stdout == both.stdout, ran.stderr == both.stderr),
            (0, true, true),
            "{jobs}"
        );
    }
}

#[test]
fn what_was_never_issued_is_refused_with_the_remedy() {
    let folder = clinic("routine-adult.yaml", &[]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""));
    assert_eq!(
        ran.stderr,
        "error: no document of LFC-0117 was issued, and only what was issued is exported\n  help: issue it first with \
         `unguis issue`; if it was issued into another folder, name that with `--out`\n"
    );
    assert!(!folder.path().join("out").exists());
    issue(folder.path(), &["--only", "gp-letter"]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""));
    assert!(ran.stderr.starts_with("error: no operation-note of LFC-0117 was issued"), "{}", ran.stderr);
    issue(folder.path(), &["--only", "operation-note"]);
    let ran = export(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let document: Value = serde_json::from_str(&ran.stdout).expect("it is JSON");
    let documents = section(&document, "Documents (including correspondence, audio and images)");
    assert!(
        documents.contains("<b>Never issued, so not here</b>: consent-form and aftercare-leaflet"),
        "{documents}"
    );
}

#[test]
fn a_case_whose_words_have_changed_is_refused_with_the_remedy() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &[]);
    change(folder.path(), &[("injected: 2.2 ml", "injected: 2.4 ml")]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""));
    assert!(
        ran.stderr.starts_with("case.yaml: changed since it was issued: ")
            && ran.stderr.contains("operation-note (version 1 of 25-Nov-2026)")
            && ran
                .stderr
                .contains("help: see what changed with `unguis compare`, issue it again with `unguis issue`"),
        "{}",
        ran.stderr
    );
    issue(folder.path(), &["--because", "volume mistyped"]);
    let ran = export(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("\"value\":2.4,\"unit\":\"ml\""));
    // What can no longer be made has changed too.
    change(folder.path(), &[("gp: birchgate\n", "")]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""));
    assert!(ran.stderr.contains("gp-letter (version 2"), "{}", ran.stderr);
}

#[test]
fn a_form_for_another_plan_is_refused() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &["--only", "consent-form"]);
    issue(folder.path(), &["--only", "operation-note"]);
    change(folder.path(), &[("matrix: phenol", "matrix: none")]);
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""), "{}", ran.stderr);
    assert!(ran.stderr.contains("consent-form (version 1"), "{}", ran.stderr);
}

#[test]
fn a_file_that_is_not_as_it_was_issued_is_refused() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &[]);
    let pdf = folder.path().join("out/LFC-0117/LFC-0117-gp-letter-1.pdf");
    let bytes = fs::read(&pdf).expect("it was issued");
    let refused = |says: &str| {
        let ran = export(folder.path(), &[]);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{says}");
        assert_eq!(
            ran.stderr,
            "error: `out/LFC-0117/LFC-0117-gp-letter-1.pdf` is not there as it was issued; nothing was exported\n  help: \
             `unguis verify` says what changed. Bring the file back from a backup\n"
        );
    };
    fs::remove_file(&pdf).expect("removed");
    refused("missing");
    let mut other = bytes.clone();
    let last = other.len() - 1;
    other[last] ^= 1;
    fs::write(&pdf, &other).expect("written");
    refused("changed");
    fs::write(&pdf, &bytes).expect("written");
    assert_eq!(export(folder.path(), &[]).code, 0);
    // A register that does not hold together vouches for nothing.
    let register = folder.path().join("out/register.jsonl");
    let text = fs::read_to_string(&register).expect("a register");
    fs::write(&register, text.replacen("Robin Quill", "Robin Quell", 1)).expect("written");
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""));
    assert!(ran.stderr.starts_with("error: the register `out/register.jsonl` is damaged"), "{}", ran.stderr);
}

#[test]
fn documents_of_another_patient_are_not_exported() {
    let folder = clinic("routine-adult.yaml", &[]);
    issue(folder.path(), &[]);
    change(
        folder.path(),
        &[
            ("family: Hollis", "family: Orrell"),
            ("born: 1984-02-09", "born: 1990-07-01"),
            ("nhs_number: 999 000 0018", "nhs_number: 999 041 7318"),
        ],
    );
    let ran = export(folder.path(), &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""));
    assert!(ran.stderr.contains("another patient") && !ran.stderr.contains("Hollis"), "{}", ran.stderr);
}

#[test]
fn what_does_not_go_together_is_refused() {
    for wrong in ["--names", "--dictionary"] {
        let ran = unguis(["export", "cases/routine-adult.yaml", "--as", "fhir", wrong]);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""));
        assert!(ran.stderr.contains("go with `--as csv`"), "{}", ran.stderr);
    }
    assert_eq!(unguis(["export", "--as", "fhir"]).code, 2);
    assert_eq!(unguis(["export", "cases/routine-adult.yaml"]).code, 2);
}

#[test]
fn decimals_are_numbers_with_their_own_digits() {
    let (text, document) = exported(
        "routine-adult.yaml",
        &[("weight: 68 kg", "weight: 10 st 7 lb"), ("injected: 2.2 ml", "injected: 2.1 ml + 0.3 ml at 9.40")],
    );
    // 10 st 7 lb = 147 lb = 66.67808439 kg exactly (0.45359237 kg a pound), to three decimals.
    for number in [
        "\"value\":66.678,\"unit\":\"kilogram\"",
        "\"value\":2.1,\"unit\":\"ml\"",
        "\"value\":0.3,\"unit\":\"ml\"",
    ] {
        assert!(text.contains(number), "{number}");
    }
    // 138 / 134 and 108 / 134, half up.
    let index = |words: &str, value: &str| {
        assert!(!observation(&document, words).is_empty(), "{words}");
        assert!(text.contains(&format!("\"valueQuantity\":{{\"value\":{value}}}")), "{words} {value}");
    };
    index("Ankle-brachial pressure index (ABPI)", "1.03");
    index("Toe-brachial pressure index (TBPI)", "0.81");
    let weight = observation(&document, "Body weight")[0];
    assert_eq!(weight["note"][0]["text"], "as recorded: 66.7 kg (10 st 7 lb)");
}

#[test]
fn what_was_not_recorded_is_absent_with_its_reason() {
    let (_, document) = exported(
        "routine-adult.yaml",
        &[
            ("  height: 171 cm\n", ""),
            ("  sex: female\n", ""),
            ("posterior_tibial: 140, toe: 110", "posterior_tibial: 140, toe: {not_recorded: cuff too large}"),
        ],
    );
    let height = observation(&document, "Body height")[0];
    assert!(height.get("valueQuantity").is_none());
    assert_eq!(height["dataAbsentReason"]["text"], "not recorded");
    assert_eq!(height["dataAbsentReason"]["coding"][0]["code"], "unknown");
    let toes = observation(&document, "Systolic pressure of the toe");
    let right = toes.iter().find(|toe| toe["bodySite"]["text"] == "right foot").expect("a right foot");
    assert_eq!(right["dataAbsentReason"]["text"], "not recorded: cuff too large");
    let tbpi = observation(&document, "Toe-brachial pressure index (TBPI)");
    let right = tbpi.iter().find(|toe| toe["bodySite"]["text"] == "right leg").expect("a right leg");
    assert_eq!(right["dataAbsentReason"]["text"], "right toe pressure not recorded: cuff too large");
    let patient = of_kind(&document, "Patient")[0];
    assert!(patient.get("gender").is_none());
    assert_eq!(patient["_gender"]["extension"][0]["valueCode"], "unknown");
    // The day of a weighing is nowhere in a case.
    let weight = observation(&document, "Body weight")[0];
    assert_eq!(weight["_effectiveDateTime"]["extension"][0]["valueCode"], "unknown");
    // No diabetes: nothing is said of an HbA1c, and the words say why.
    assert!(observation(&document, "HbA1c").is_empty());
    assert!(section(&document, "History").contains("<b>Diabetes</b>: none"));
}

#[test]
fn none_known_is_said_only_where_it_is_recorded() {
    let allergy = |changes: &[(&str, &str)]| -> Vec<Value> {
        let (_, document) = exported("routine-adult.yaml", changes);
        of_kind(&document, "AllergyIntolerance").into_iter().cloned().collect()
    };
    let none = allergy(&[]);
    assert_eq!(none.len(), 1);
    assert_eq!(none[0]["code"]["coding"][0]["code"], "716186003");
    assert_eq!(none[0]["code"]["text"], "No known allergy");
    let drugs = allergy(&[("allergies: none known", "allergies: NKDA")]);
    assert_eq!(drugs[0]["code"]["coding"][0]["code"], "409137002");
    let list = allergy(&[("allergies: none known", "allergies: [{to: strawberries, reaction: rash}]")]);
    assert_eq!(list[0]["code"]["text"], "strawberries");
    assert_eq!(list[0]["reaction"][0]["manifestation"][0]["text"], "rash");
}

#[test]
fn an_injection_and_phenol_are_given_with_dose_toe_and_batch() {
    let (_, document) = exported("routine-adult.yaml", &[]);
    let given = of_kind(&document, "MedicationAdministration");
    let texts: Vec<&str> = given.iter().filter_map(|one| one["dosage"]["text"].as_str()).collect();
    assert_eq!(
        texts,
        ["2.2 ml of mepivacaine 3 % = 66 mg", "3 applications, each 60 s, in all 180 s an edge"]
    );
    assert_eq!(given[0]["effectiveDateTime"], "2026-11-24T09:35:00+00:00");
    assert_eq!(given[0]["dosage"]["site"]["text"], "left hallux (L1)");
    assert_eq!(given[0]["performer"][0]["actor"]["display"], "Robin Quill");
    let products = of_kind(&document, "Medication");
    assert_eq!(products[0]["batch"]["lotNumber"], "M4417");
    assert_eq!(products[0]["batch"]["expirationDate"], "2027-08");
    let procedures = of_kind(&document, "Procedure");
    assert_eq!(procedures[0]["bodySite"][0]["text"], "left hallux (L1), lateral edge");
    assert_eq!(procedures[0]["code"]["coding"][0]["code"], "S70.1");
    assert_eq!(procedures[0]["performedPeriod"]["end"], "2026-11-24T10:20:00+00:00");
}

#[test]
fn an_incident_stands_in_the_composition() {
    let (_, document) = exported("overdose.yaml", &[]);
    let incident = section(&document, "Incident details");
    for says in [
        "Neither toe was numb at first",
        "<b>Physical harm</b>: none",
        "24-Nov-2026 by T. Ashdown, with an apology",
        "lead for safety (I-0032)",
        "<b>Found</b>: ",
    ] {
        assert!(incident.contains(says), "{says}: {incident}");
    }
    let (_, without) = exported("routine-adult.yaml", &[]);
    assert_eq!(section(&without, "Incident details"), "");
}

#[test]
fn a_toe_that_was_left_says_how_far_it_came() {
    let (_, document) = exported("given-up-after-injection.yaml", &[]);
    let procedures = of_kind(&document, "Procedure");
    let stopped: Vec<&&Value> = procedures.iter().filter(|one| one["status"] == "stopped").collect();
    assert!(
        !stopped.is_empty() && procedures.iter().all(|one| one["status"] != "completed"),
        "{procedures:?}"
    );
    assert!(stopped[0]["statusReason"]["text"].as_str().is_some_and(|why| !why.is_empty()));
    let (_, document) = exported("planned-pregnant.yaml", &[]);
    let procedures = of_kind(&document, "Procedure");
    assert!(!procedures.is_empty() && procedures.iter().all(|one| one["status"] == "preparation"));
    assert!(of_kind(&document, "MedicationAdministration").is_empty());
}

/// Every code with the place where it was read. A further one needs its line here.
const CODES: &[(&str, &str, &str)] = &[
    ("http://loinc.org", "11504-8", "FHIR R4, value set of document types"),
    ("http://loinc.org", "29463-7", "FHIR R4, profile of vital signs; UK Core"),
    ("http://snomed.info/sct", "27113001", "UK Core, body weight"),
    ("http://snomed.info/sct", "716186003", "FHIR R4, value set of allergies; UK Core"),
    ("http://snomed.info/sct", "409137002", "UK Core"),
    ("http://snomed.info/sct", "6064005", "UK Core, value set of routes"),
    ("https://fhir.hl7.org.uk/Id/opcs-4", "S70.1", "records::CODE_USAGE"),
    ("https://fhir.hl7.org.uk/Id/opcs-4", "S64.2", "records::CODE_USAGE"),
    ("http://hl7.org/fhir/sid/icd-10", "L60.0", "records::CODE_USAGE"),
    ("http://terminology.hl7.org/CodeSystem/allergyintolerance-clinical", "active", "FHIR R4"),
    ("http://terminology.hl7.org/CodeSystem/observation-category", "vital-signs", "FHIR R4"),
    ("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown", "FHIR R4"),
];

#[test]
fn every_code_has_its_source_and_words_beside_it() {
    let mut seen = BTreeSet::new();
    for case in
        ["routine-adult.yaml", "overdose.yaml", "planned-pregnant.yaml", "older-diabetes-anticoagulant.yaml"]
    {
        let (_, document) = exported(case, &[]);
        let mut all = Vec::new();
        objects(&document, &mut all);
        for object in all {
            let Some(codings) = object.get("coding").and_then(Value::as_array) else { continue };
            let text = object.get("text").and_then(Value::as_str).unwrap_or_default();
            assert!(!text.is_empty(), "{case}: a code without words: {object:?}");
            for coding in codings {
                let part = |key: &str| coding[key].as_str().unwrap_or_default();
                let (system, code) = (part("system"), part("code"));
                assert!(!part("display").is_empty(), "{coding}");
                let is_heading = system == "https://fhir.hl7.org.uk/CodeSystem/UKCore-RecordStandardHeadings";
                let is_known = CODES.iter().any(|(own, known, _)| *own == system && *known == code);
                assert!(is_heading || is_known, "{case}: no source is named for {coding}");
                seen.insert(code.to_owned());
            }
        }
    }
    assert!(seen.len() > 20, "{seen:?}");
}

#[test]
fn the_text_of_a_case_never_acts_in_the_narrative() {
    let hostile = r#"summary: '<script>alert(1)</script> & "b" </p></div>'"#;
    let (_, document) = exported(
        "routine-adult.yaml",
        &[("summary: eight months of pain, two courses of antibiotics", hostile)],
    );
    let diagnoses = section(&document, "Diagnoses");
    assert!(
        diagnoses
            .contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;b&quot; &lt;/p&gt;&lt;/div&gt;"),
        "{diagnoses}"
    );
    assert_eq!((diagnoses.matches("<div").count(), diagnoses.matches("</div>").count()), (1, 1));
}

/// It is a copy, and neither the document nor a page says that it goes anywhere.
#[test]
fn nothing_claims_to_reach_a_system() {
    let (text, document) = exported("routine-adult.yaml", &[]);
    assert!(!text.contains("\"profile\""), "no profile is claimed");
    let says = of_kind(&document, "Composition")[0]["text"]["div"].as_str().unwrap_or_default();
    assert!(says.contains("A structured copy"), "{says}");
    let page = fs::read_to_string(root().join("templates/handbook/export.md")).expect("a page");
    assert!(page.contains("unguis sends nothing"), "{page}");
}

#[test]
fn the_table_has_a_row_a_toe_and_no_name_unless_asked() {
    let ran = unguis(["export", "cases", "--as", "csv", "--today", TODAY, "--out", "/nonexistent"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let head: Vec<&str> = ran.stdout.lines().next().unwrap_or_default().split(',').collect();
    let dictionary = unguis(["export", "--as", "csv", "--dictionary"]);
    assert_eq!(dictionary.code, 0, "{}", dictionary.stderr);
    let plain: Vec<&str> = dictionary
        .stdout
        .lines()
        .skip(1)
        .filter(|line| line.contains(",no,"))
        .filter_map(|line| line.split(',').next())
        .collect();
    assert_eq!(head, plain, "the dictionary is of this table");
    let demo: Vec<String> = fs::read_dir(root().join("cases"))
        .expect("the demo cases")
        .filter_map(|entry| fs::read_to_string(entry.expect("an entry").path()).ok())
        .collect();
    let names: BTreeSet<&str> = demo
        .iter()
        .flat_map(|text| text.lines())
        .flat_map(|line| match line.strip_prefix("patient: ") {
            // `Ms Imogen Hollis, F, 1984-02-09, …`
            Some(said) => said.split(", ").take(3).filter_map(|one| one.split(' ').next_back()).collect(),
            None => [line.strip_prefix("  family: "), line.strip_prefix("  born: ")]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>(),
        })
        .filter(|name| name.len() > 3)
        .collect();
    assert!(names.len() > 20, "{names:?}");
    for name in &names {
        assert!(!ran.stdout.contains(name), "{name}");
    }
    let named =
        unguis(["export", "cases/routine-adult.yaml", "--as", "csv", "--today", TODAY, "--with-names"]);
    assert!(named.stdout.contains("Hollis") && named.stdout.contains("999 000 0018"), "{}", named.stdout);
    let toes = ran.stdout.lines().filter(|line| line.starts_with("LFC-0124,")).count();
    assert_eq!(toes, 2, "two toes, two rows");
}

#[test]
fn a_cell_is_no_formula_and_an_unreadable_case_is_named() {
    let folder = clinic("routine-adult.yaml", &[("family: Hollis", "family: '=HYPERLINK(1)'")]);
    fs::write(folder.path().join("broken.yaml"), "reference: [").expect("scratch can be written");
    let ran = unguis_in(
        folder.path(),
        ["export", "case.yaml", "broken.yaml", "--as", "csv", "--names", "--today", TODAY],
    );
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains(",'=HYPERLINK(1),"), "{}", ran.stdout);
    assert!(ran.stderr.contains("not on the list: broken.yaml: "), "{}", ran.stderr);
}
