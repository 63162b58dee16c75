//! The commands as a newcomer meets them: exit statuses, what is printed where, nothing half done.

use std::ffi::{OsStr, OsString};
use std::path::Path;

use crate::support::{Ran, demo_file, root, scratch, unguis, unguis_in};

const ROUTINE: &str = "cases/routine-adult.yaml";

/// Copies the clinic and a demo case, changed, into a folder of its own.
fn changed_case(folder: &Path, from: &str, to: &str) {
    let text = std::fs::read_to_string(demo_file("routine-adult.yaml")).expect("a demo case can be read");
    assert!(text.contains(from), "the demo case no longer says {from}");
    std::fs::write(folder.join("case.yaml"), text.replace(from, to)).expect("scratch can be written");
    std::fs::copy(root().join("cases/clinic.yaml"), folder.join("clinic.yaml"))
        .expect("scratch can be written");
}

#[test]
fn a_clear_case_exits_0_and_says_what_is_ready() {
    let ran = unguis(["check", ROUTINE, "--today", "2026-11-25"]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert!(
        ran.stdout.contains("ready to issue: operation-note, gp-letter, consent-form, aftercare-leaflet"),
        "{}",
        ran.stdout
    );
    assert_eq!(ran.stderr, "");
}

#[test]
fn an_overdose_exits_1_and_writes_no_page_that_it_makes_untrue() {
    let folder = scratch();
    changed_case(folder.path(), "injected: 2.2 ml", "injected: 22 ml");
    let ran = unguis_in(folder.path(), ["issue", "case.yaml", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 1, "{}{}", ran.stdout, ran.stderr);
    assert!(ran.stderr.contains("dose-over-limit"), "{}", ran.stderr);
    // The form is about the plan: it stands whatever was given.
    let out = folder.path().join("out/LFC-0117");
    for held in ["operation-note", "gp-letter", "aftercare-leaflet"] {
        assert!(!out.join(format!("LFC-0117-{held}-1.pdf")).exists(), "{held} was written");
        assert!(ran.stderr.contains(held), "{held} is not said to be held: {}", ran.stderr);
    }
    assert!(out.join("LFC-0117-consent-form-1.pdf").exists(), "{}{}", ran.stdout, ran.stderr);
}

#[test]
fn an_open_case_can_be_drafted() {
    let folder = scratch();
    changed_case(folder.path(), "injected: 2.2 ml", "injected: 22 ml");
    let ran = unguis_in(folder.path(), ["draft", "case.yaml", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert!(folder.path().join("out/LFC-0117/LFC-0117-operation-note-draft.pdf").exists());
    assert!(ran.stderr.contains("1 stop"), "{}", ran.stderr);
}

#[test]
fn an_unreadable_case_cannot_even_be_drafted() {
    let folder = scratch();
    changed_case(folder.path(), "weight: 68 kg", "wieght: 68 kg");
    let ran = unguis_in(folder.path(), ["draft", "case.yaml", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 1, "{}{}", ran.stdout, ran.stderr);
    assert!(ran.stderr.contains("case.yaml:11:3") && ran.stderr.contains("weight"), "{}", ran.stderr);
    assert!(!folder.path().join("out/LFC-0117").exists(), "something was written");
}

#[test]
fn wrong_usage_exits_2_with_a_hint() {
    let ran = unguis(["draft", ROUTINE, "--only", "gp-leter"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("did you mean `gp-letter`?"), "{}", ran.stderr);
    let ran = unguis(["check", "cases/no-such-case.yaml"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("cases/no-such-case.yaml"), "{}", ran.stderr);
    let ran = unguis(["check", ROUTINE, "--today", "25-11-26"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("2026"), "the hint shows the form: {}", ran.stderr);
}

#[test]
fn json_has_the_agreed_keys() {
    let folder = scratch();
    changed_case(folder.path(), "injected: 2.2 ml", "injected: 22 ml");
    let ran = unguis_in(folder.path(), ["check", "case.yaml", "--format", "json", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 1);
    let json: serde_json::Value = serde_json::from_str(&ran.stdout).expect("check prints JSON");
    let case = &json["cases"][0];
    assert_eq!(case["file"], "case.yaml");
    assert_eq!(case["reference"], "LFC-0117");
    let finding = case["findings"]
        .as_array()
        .and_then(|findings| findings.iter().find(|finding| finding["rule"] == "dose-over-limit"))
        .expect("the overdose is found");
    for key in ["rule", "severity", "path", "line", "column", "message", "help", "source"] {
        assert!(finding.get(key).is_some(), "{key} is missing: {finding}");
    }
    assert_eq!(finding["severity"], "stop");
    assert_eq!(case["documents"][0]["name"], "operation-note");
    assert_eq!(case["documents"][0]["ready"], true);
    let ran = unguis(["show", ROUTINE, "--format", "json", "--today", "2026-11-25"]);
    let json: serde_json::Value = serde_json::from_str(&ran.stdout).expect("show prints JSON");
    let dose = json["values"]
        .as_array()
        .and_then(|values| values.iter().find(|value| value["name"] == "anaesthetic_dose.mepivacaine"))
        .expect("the dose is shown");
    assert_eq!((dose["value"].as_str(), dose["unit"].as_str()), (Some("66"), Some("mg")));
    assert!(dose["working"].as_str().is_some_and(|working| working.contains("2.2 ml × 3 % × 10")), "{dose}");
}

#[test]
fn explain_answers_and_suggests() {
    let ran = unguis(["explain", "dose-over-limit"]);
    assert_eq!(ran.code, 0);
    assert!(ran.stdout.contains("dose-over-limit"), "{}", ran.stdout);
    let ran = unguis(["explain", "duplicate-key"]);
    assert_eq!(ran.code, 0, "what is found while reading has a page too: {}", ran.stderr);
    assert!(ran.stdout.starts_with("duplicate-key: "), "{}", ran.stdout);
    let ran = unguis(["explain", "character-not-printable"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("no clinical rule") && ran.stdout.contains("What to do: "), "{}", ran.stdout);
    let ran = unguis(["explain", "dose-over-limits"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("did you mean `dose-over-limit`?"), "{}", ran.stderr);
}

#[test]
fn a_new_case_file_asks_for_what_is_missing_and_is_never_overwritten() {
    let folder = scratch();
    std::fs::copy(root().join("cases/clinic.yaml"), folder.path().join("clinic.yaml"))
        .expect("scratch can be written");
    let ran = unguis_in(folder.path(), ["new", "LFC-0200"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let ran = unguis_in(folder.path(), ["check", "LFC-0200.yaml", "--format", "short"]);
    assert_eq!(ran.code, 1, "nothing is filled in");
    assert!(ran.stdout.contains("`born` has no value"), "{}", ran.stdout);
    let ran = unguis_in(folder.path(), ["new", "LFC-0200"]);
    assert_eq!(ran.code, 2, "a file that is there is kept");
}

/// Else the day is another one around midnight, and nobody would know why.
#[cfg(unix)]
#[test]
fn a_time_zone_that_nobody_knows_is_said() {
    let said = |zone: &str| {
        let ran = std::process::Command::new(env!("CARGO_BIN_EXE_unguis"))
            .args(["check", ROUTINE])
            .current_dir(root())
            .env("TZ", zone)
            .output()
            .expect("the program starts");
        String::from_utf8_lossy(&ran.stderr).contains("names no time zone")
    };
    assert!(said("Europe/Lundon") && said(&"x".repeat(100_000)));
    assert!(!said("GMT0BST,M3.5.0/1,M10.5.0") && !said("UTC0") && !said(""));
}

/// Nothing but the case and clinic files, the templates and the day decides the bytes.
#[test]
fn surroundings_do_not_change_the_bytes() {
    let draft = |zone: &str, locale: &str| {
        let folder = scratch();
        let status = std::process::Command::new(env!("CARGO_BIN_EXE_unguis"))
            .args(["draft", ROUTINE, "--today", "2026-11-25", "--out"])
            .arg(folder.path())
            .current_dir(root())
            .envs([("TZ", zone), ("LANG", locale), ("LC_ALL", locale), ("HOME", "/nonexistent")])
            .output()
            .expect("the program starts")
            .status;
        assert!(status.success());
        std::fs::read(folder.path().join("LFC-0117/LFC-0117-operation-note-draft.pdf"))
            .expect("the draft was made")
    };
    assert!(
        draft("UTC", "C") == draft("Pacific/Auckland", "tr_TR.UTF-8"),
        "the surroundings changed the bytes"
    );
}

/// What no typeface here has is found before anything is set: where, which character, what to do.
#[test]
fn a_character_that_cannot_be_printed_is_named_and_nothing_is_written() {
    let folder = scratch();
    changed_case(folder.path(), "given: Imogen", "given: \"Imሰgen\"");
    let day = ["--today", "2026-11-25"];
    let ran = unguis_in(folder.path(), ["check", "case.yaml", "--format", "json"].iter().chain(&day));
    assert_eq!(ran.code, 1, "{}{}", ran.stdout, ran.stderr);
    let json: serde_json::Value = serde_json::from_str(&ran.stdout).expect("check prints JSON");
    let found = &json["cases"][0]["findings"][0];
    assert_eq!(
        (found["rule"].as_str(), found["severity"].as_str(), found["path"].as_str()),
        (Some("character-not-printable"), Some("stop"), Some("patient.given")),
        "{found}"
    );
    let text = std::fs::read_to_string(folder.path().join("case.yaml")).expect("it was written");
    let (line, column) = text
        .lines()
        .enumerate()
        .find_map(|(at, line)| Some((at + 1, line.chars().position(|c| c == 'ሰ')? + 1)))
        .expect("it was put there");
    assert_eq!((found["line"].as_u64(), found["column"].as_u64()), (Some(line as u64), Some(column as u64)));
    assert!(found["message"].as_str().is_some_and(|says| says.contains("`ሰ` (U+1230)")), "{found}");
    assert!(found["help"].as_str().is_some_and(|help| help.contains("write it another way")), "{found}");
    assert_eq!(json["cases"][0]["documents"][0]["ready"], false);
    for command in ["issue", "draft", "compare"] {
        let ran = unguis_in(folder.path(), [command, "case.yaml"].iter().chain(&day));
        // Nothing was issued, so there is nothing to compare; that is no fault.
        assert_eq!(ran.code, i32::from(command != "compare"), "{command}: {}{}", ran.stdout, ran.stderr);
        assert!(command == "compare" || ran.stderr.contains("(U+1230)"), "{command}: {}", ran.stderr);
        assert!(!folder.path().join("out/LFC-0117").exists(), "{command} wrote something");
    }
}

/// As an escape, over several lines, and in the clinic file; accents in either spelling pass.
#[test]
fn characters_are_judged_as_they_would_be_printed() {
    let found = |from: &str, to: &str| {
        let folder = scratch();
        changed_case(folder.path(), from, to);
        let clinic = root().join("cases/clinic.yaml");
        let clinic = std::fs::read_to_string(clinic).expect("a demo file can be read").replace(from, to);
        std::fs::write(folder.path().join("clinic.yaml"), clinic).expect("scratch can be written");
        let day = ["--today", "2026-11-25"];
        let ran = unguis_in(folder.path(), ["check", "case.yaml", "--format", "short"].iter().chain(&day));
        let stopped: Vec<String> =
            ran.stdout.lines().filter(|line| line.contains("not-printable")).map(str::to_owned).collect();
        (ran.code, stopped)
    };
    let (code, stopped) = found("given: Imogen", r#"given: "Im\u1230""#);
    assert!(code == 1 && stopped.len() == 1 && stopped[0].contains("U+1230"), "{stopped:?}");
    let (code, stopped) = found("  complications: none", "  complications: |\n    plain\n    ሰ and ላ");
    assert!(code == 1 && stopped.len() == 1 && stopped[0].contains("`ሰ` (U+1230) or `ላ`"), "{stopped:?}");
    let (code, stopped) = found("given: Imogen", "given: \"Ime\u{301} Łučka Ệ Жанна\"");
    assert_eq!((code, stopped), (0, vec![]));
}

/// One line of error, a status of 2 and no panic.
fn refused(ran: &Ran, says: &str) {
    assert_eq!(ran.code, 2, "{says}: {}{}", ran.stdout, ran.stderr);
    assert!(ran.stderr.contains(says), "{says}: {}", ran.stderr);
    assert!(!ran.stderr.contains("panicked") && !ran.stderr.contains("unguis broke"), "{}", ran.stderr);
}

#[test]
fn folders_and_missing_files_are_told_from_cases() {
    let folder = scratch();
    let here = folder.path();
    changed_case(here, "reference: LFC-0117", "reference: LFC-0117");
    for name in ["empty", "folder.yaml", "only-clinic"] {
        std::fs::create_dir(here.join(name)).expect("scratch can be written");
    }
    std::fs::copy(here.join("clinic.yaml"), here.join("only-clinic/clinic.yaml")).expect("scratch");
    for command in ["check", "draft", "issue", "compare"] {
        refused(&unguis_in(here, [command, "empty"]), "there is no case file in `empty`");
        refused(&unguis_in(here, [command, "folder.yaml"]), "there is no case file in `folder.yaml`");
        refused(&unguis_in(here, [command, "only-clinic"]), "there is no case file in `only-clinic`");
        refused(&unguis_in(here, [command, "nowhere.yaml"]), "could not read `nowhere.yaml`");
        refused(&unguis_in(here, [command, "case.yaml/inside"]), "could not read `case.yaml/inside`");
        refused(&unguis_in(here, [command, ""]), "a value is required");
        refused(&unguis_in(here, [command, "case.yaml", "--clinic", "empty"]), "could not read `empty`");
        refused(&unguis_in(here, [command]), "CASE");
    }
    // One case at a time: a folder is none.
    refused(&unguis_in(here, ["show", "empty"]), "could not read `empty`");
    refused(&unguis_in(here, ["compare", "empty"]), "there is no case file in `empty`");
    for output in [["--out", "case.yaml"], ["--templates", "case.yaml"], ["--templates", "nowhere"]] {
        refused(
            &unguis_in(here, ["issue", "case.yaml", "--today", "2026-11-25"].iter().chain(&output)),
            output[1],
        );
    }
    refused(&unguis_in(here, ["new", "LFC-0300", "--to", "empty"]), "empty");
    refused(&unguis_in(here, ["new", "../LFC-0300"]), "cannot be a reference");
    refused(&unguis_in(here, ["explain", "\u{1b}[31m"]), "there is no rule");
    refused(&unguis_in(here, ["check", "case.yaml", "--today", "2026-13-01"]), "2026-13-01");
}

#[test]
fn a_case_named_twice_is_one_case() {
    let folder = scratch();
    changed_case(folder.path(), "reference: LFC-0117", "reference: LFC-0117");
    let spelled = ["issue", "case.yaml", "./case.yaml", ".", "case.yaml", "--today", "2026-11-25"];
    let ran = unguis_in(folder.path(), spelled);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert_eq!(ran.stdout.lines().count(), 4, "{}", ran.stdout);
    // Two files with one reference are two cases: which of them is right cannot be told.
    std::fs::copy(folder.path().join("case.yaml"), folder.path().join("copy.yaml")).expect("scratch");
    for command in ["check", "draft", "issue"] {
        let ran = unguis_in(folder.path(), [command, ".", "--out", "other", "--today", "2026-11-25"]);
        assert_eq!(ran.code, 1, "{command}: {}{}", ran.stdout, ran.stderr);
        let said = ran.stdout + &ran.stderr;
        assert_eq!(said.matches("stop[reference-twice]").count(), 2, "{command}: {said}");
        assert!(said.contains("give each case its own reference"), "{command}: {said}");
        assert!(!folder.path().join("other/LFC-0117").exists(), "{command} wrote something");
    }
}

/// A folder as a slip of the copying hand leaves it; each finding has a place and a remedy.
#[test]
fn the_cases_of_a_run_are_compared() {
    let folder = scratch();
    let here = folder.path();
    changed_case(here, "reference: LFC-0117", "reference: LFC-0117");
    let text = std::fs::read_to_string(here.join("case.yaml")).expect("it was written");
    let put = |name: &str, changes: &[(&str, &str)]| {
        let text = changes.iter().fold(text.clone(), |text, (from, to)| text.replace(from, to));
        std::fs::write(here.join(name), text).expect("scratch can be written");
    };
    let alone = unguis_in(here, ["check", ".", "--format", "short", "--today", "2026-11-25"]);
    assert_eq!((alone.code, alone.stdout.as_str()), (0, ""));
    let twin = ("reference: LFC-0117", "reference: LFC-0125");
    let found = || {
        let ran = unguis_in(here, ["check", ".", "--format", "short", "--today", "2026-11-25"]);
        let lines: Vec<String> =
            ran.stdout.lines().map(|line| line.split(": ").take(2).collect::<Vec<_>>().join(" ")).collect();
        (ran.code, lines)
    };
    // The same patient again, for the other foot.
    put("second.yaml", &[twin]);
    assert_eq!(found(), (0, vec![]));
    put("second.yaml", &[twin, ("born: 1984-02-09", "born: 1985-02-09")]);
    let twice = ["./case.yaml:9:15 stop[nhs-number-twice]", "./second.yaml:9:15 stop[nhs-number-twice]"];
    assert_eq!(found(), (1, twice.map(str::to_owned).to_vec()));
    put("second.yaml", &[twin, ("family: Hollis", "family: Harding")]);
    let note = twice.map(|line| line.replace("stop", "note"));
    assert_eq!(found(), (0, note.to_vec()));
    std::fs::remove_file(here.join("second.yaml")).expect("removed");
    std::fs::remove_file(here.join("case.yaml")).expect("removed");
    put("lfc-0118.yaml", &[]);
    assert_eq!(found(), (1, vec!["./lfc-0118.yaml:2:12 stop[file-name-differs]".to_owned()]));
    let json = unguis_in(here, ["check", ".", "--format", "json", "--today", "2026-11-25"]);
    let json: serde_json::Value = serde_json::from_str(&json.stdout).expect("check prints JSON");
    let finding = &json["cases"][0]["findings"][0];
    assert_eq!((&finding["rule"], &finding["path"]), (&"file-name-differs".into(), &"reference".into()));
    assert!(finding["help"].as_str().is_some_and(|help| help.contains("rename the file")), "{finding}");
    let ran = unguis_in(here, ["issue", ".", "--today", "2026-11-25"]);
    assert!(ran.code == 1 && !here.join("out/LFC-0117").exists(), "{}", ran.stderr);
    for name in [
        "another-patient",
        "reference-twice",
        "nhs-number-twice",
        "file-name-differs",
        "consent-form-outdated",
    ] {
        let page = unguis(["explain", name]);
        assert!(page.code == 0 && page.stdout.contains("What to do: "), "{name}: {}", page.stdout);
        assert!(page.stdout.lines().all(|line| line.chars().count() <= 80), "{}", page.stdout);
    }
}

/// The names of the drafts in the folder of the routine case, with their endings.
fn drafts(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder.join("out/LFC-0117")) else { return Vec::new() };
    let names = entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|name| name.contains("-draft.")).collect();
    names.sort();
    names
}

const ALL_DRAFTS: [&str; 4] = [
    "LFC-0117-aftercare-leaflet-draft.pdf",
    "LFC-0117-consent-form-draft.pdf",
    "LFC-0117-gp-letter-draft.pdf",
    "LFC-0117-operation-note-draft.pdf",
];

/// An old draft opens as if it were new: it goes when it is no longer true, and nothing else goes.
#[test]
fn stale_drafts_do_not_stay() {
    let folder = scratch();
    let here = folder.path();
    let draft =
        |more: &[&str]| unguis_in(here, ["draft", "case.yaml", "--today", "2026-11-25"].iter().chain(more));
    changed_case(here, "reference: LFC-0117", "reference: LFC-0117");
    assert_eq!(draft(&["--text"]).code, 0);
    assert_eq!(drafts(here).len(), 8);
    let issued = unguis_in(here, ["issue", "case.yaml", "--today", "2026-11-25"]);
    assert_eq!(issued.code, 0, "{}", issued.stderr);
    std::fs::write(here.join("out/LFC-0117/my-draft.pdf"), "mine").expect("scratch can be written");
    let verify = unguis_in(here, ["verify"]);
    assert_eq!(verify.code, 0, "{}", verify.stdout);

    // Without the texts this time; one document alone leaves the others as they are.
    let ran = draft(&[]);
    assert_eq!(ran.stderr.matches("-draft.txt`: an older draft").count(), 4, "{}", ran.stderr);
    assert_eq!(draft(&["--only", "gp-letter"]).code, 0);
    let with_mine = |own: &[&str]| -> Vec<String> {
        let mut names: Vec<String> = own.iter().copied().chain(["my-draft.pdf"]).map(str::to_owned).collect();
        names.sort();
        names
    };
    assert_eq!(drafts(here), with_mine(&ALL_DRAFTS));

    // Before surgery there are only the form and the leaflet before it to draft.
    let whole = std::fs::read_to_string(here.join("case.yaml")).expect("there");
    let (planned, _) = whole.split_once("\nconsent:").expect("the demo case has the section");
    std::fs::write(here.join("case.yaml"), format!("{planned}\n")).expect("scratch can be written");
    let ran = draft(&[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(
        ran.stderr.contains("removed `out/LFC-0117/LFC-0117-operation-note-draft.pdf`"),
        "{}",
        ran.stderr
    );
    let before_surgery = ["LFC-0117-consent-form-draft.pdf", "LFC-0117-preparation-leaflet-draft.pdf"];
    assert_eq!(drafts(here), with_mine(&before_surgery));

    // Refused, unreadable: nothing of before is left.
    for broken in [whole.replace("given: Imogen", "given: \"Imሰgen\""), whole.replace("weight:", "wieght:")]
    {
        std::fs::write(here.join("case.yaml"), &whole).expect("scratch can be written");
        assert_eq!(draft(&[]).code, 0);
        std::fs::write(here.join("case.yaml"), broken).expect("scratch can be written");
        let ran = draft(&[]);
        assert_eq!(ran.code, 1, "{}", ran.stderr);
        assert_eq!(drafts(here), with_mine(&[]), "{}", ran.stderr);
        assert!(ran.stderr.contains("removed `out/LFC-0117/LFC-0117-gp-letter-draft.pdf`"), "{}", ran.stderr);
    }
    let files: Vec<_> = std::fs::read_dir(here.join("out/LFC-0117")).expect("there").collect();
    assert!(files.len() >= 9, "what was issued is still there: {files:?}");
}

/// Where nothing was issued, the drafts of another patient go even when only one is made.
#[test]
fn drafts_of_another_patient_never_stay() {
    let folder = scratch();
    let here = folder.path();
    changed_case(here, "reference: LFC-0117", "reference: LFC-0117");
    let draft =
        |more: &[&str]| unguis_in(here, ["draft", "case.yaml", "--today", "2026-11-25"].iter().chain(more));
    assert_eq!(draft(&[]).code, 0);
    assert_eq!(drafts(here), ALL_DRAFTS);
    let mark = std::fs::read_to_string(here.join("out/LFC-0117/.drafts")).expect("written");
    assert!(!mark.to_lowercase().contains("hollis") && !mark.contains("1984"), "{mark}");
    let other = root().join("cases/older-diabetes-anticoagulant.yaml");
    let other =
        std::fs::read_to_string(other).expect("a demo case can be read").replace("LFC-0124", "LFC-0117");
    std::fs::write(here.join("case.yaml"), other).expect("scratch can be written");
    let ran = draft(&["--only", "gp-letter"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert_eq!(drafts(here), ["LFC-0117-gp-letter-draft.pdf"]);
    // Drafts of an older version do not say whose they are.
    std::fs::remove_file(here.join("out/LFC-0117/.drafts")).expect("removed");
    std::fs::write(here.join("out/LFC-0117/LFC-0117-operation-note-draft.pdf"), "old")
        .expect("scratch can be written");
    assert_eq!(draft(&["--only", "gp-letter"]).code, 0);
    assert_eq!(drafts(here), ["LFC-0117-gp-letter-draft.pdf"]);
}

/// Names of files are bytes, not text.
#[cfg(target_os = "linux")]
#[test]
fn file_names_need_not_be_text() {
    use std::os::unix::ffi::{OsStrExt as _, OsStringExt as _};

    let folder = scratch();
    let here = folder.path();
    changed_case(here, "reference: LFC-0117", "reference: LFC-0117");
    let odd = |bytes: &[u8]| OsString::from_vec(bytes.to_vec());
    let (case, out) = (odd(b"c\xff\xfe.yaml"), odd(b"o\xff"));
    std::fs::rename(here.join("case.yaml"), here.join(&case)).expect("scratch can be written");
    let run = |args: &[&OsStr]| unguis_in(here, args);
    let (day, date) = (OsStr::new("--today"), OsStr::new("2026-11-25"));
    let ran = run(&[OsStr::new("check"), &case, day, date]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let ran = run(&[OsStr::new("issue"), &case, day, date, OsStr::new("--out"), &out]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    assert!(here.join(&out).join("LFC-0117/LFC-0117-gp-letter-1.pdf").exists());
    let ran = run(&[OsStr::new("verify"), OsStr::new("--out"), &out]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let missing = OsStr::from_bytes(b"m\xff.yaml");
    refused(&run(&[OsStr::new("check"), missing]), "could not read `m\u{fffd}.yaml`");
    refused(&run(&[OsStr::new("show"), missing]), "could not read");
    // Where a text is wanted, clap says so.
    for args in [["explain", ""], ["check", "--format"], ["issue", "--only"], ["new", ""]] {
        let args: Vec<&OsStr> = args
            .iter()
            .filter(|arg| !arg.is_empty())
            .map(OsStr::new)
            .chain([missing, &case])
            .take(4)
            .collect();
        assert_eq!(run(&args).code, 2, "{args:?}");
    }
}
