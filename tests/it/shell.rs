//! What shells and `man` get: completions as bash asks for them, and manual pages.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::support::{root, scratch, tool, unguis, unguis_in};

/// What bash offers after these words, the last of which is being typed, in a folder. The script is the one that
/// `completions` prints; the program is found by its name, as where it is installed.
fn offered(folder: &Path, words: &[&str]) -> Vec<String> {
    let typed = words.last().expect("something is typed");
    let quoted = words.iter().map(|word| format!("'{word}'")).collect::<Vec<_>>().join(" ");
    let script = format!(
        "set -eu\nsource <(unguis completions bash)\nCOMP_WORDS=(unguis {quoted})\nCOMP_CWORD={}\nCOMP_TYPE=9\n\
         {} unguis '{typed}' ''\nprintf '%s\\n' \"${{COMPREPLY[@]}}\"\n",
        words.len(),
        // The function that bash was told to call.
        "$(complete -p unguis | sed 's/.*-F \\([^ ]*\\).*/\\1/')",
    );
    let program = Path::new(env!("CARGO_BIN_EXE_unguis")).parent().expect("it lies in a folder");
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap_or_default());
    let ran = Command::new("bash")
        .args(["--norc", "-c", &script])
        .current_dir(folder)
        .env("PATH", path)
        .output()
        .expect("bash is there");
    assert!(ran.status.success(), "{words:?}: {}", String::from_utf8_lossy(&ran.stderr));
    String::from_utf8(ran.stdout).expect("it is text").lines().map(str::to_owned).collect()
}

fn has(offered: &[String], name: &str) -> bool {
    offered.iter().any(|one| one == name)
}

#[test]
fn bash_completes_commands_options_and_words() {
    let folder = scratch();
    let commands = offered(folder.path(), &[""]);
    for name in ["check", "issue", "explain", "completions", "day"] {
        assert!(has(&commands, name), "{name}: {commands:?}");
    }
    assert!(!has(&commands, "dev"), "what is hidden is not offered: {commands:?}");
    assert_eq!(offered(folder.path(), &["comp"]), ["compare", "completions"]);
    assert_eq!(offered(folder.path(), &["check", "--form"]), ["--format"]);
    assert_eq!(offered(folder.path(), &["check", "--format", "s"]), ["short"]);
    assert_eq!(offered(folder.path(), &["schema", "c"]), ["case", "clinic"]);
}

#[test]
fn bash_completes_rules_pages_and_documents() {
    let folder = scratch();
    let rules = offered(folder.path(), &["explain", "tourniquet-"]);
    assert!(has(&rules, "tourniquet-long") && has(&rules, "tourniquet-not-removed"), "{rules:?}");
    assert_eq!(offered(folder.path(), &["explain", "saf"]), ["safety"]);
    assert_eq!(offered(folder.path(), &["explain", "another-p"]), ["another-patient"]);
    assert_eq!(offered(folder.path(), &["draft", "--only", "gp-"]), ["gp-letter"]);
}

#[test]
fn bash_completes_cases_and_references_and_no_name_of_a_patient() {
    let folder = scratch();
    let here = folder.path();
    for (from, to) in [("clinic.yaml", "clinic.yaml"), ("routine-adult.yaml", "LFC-0117.yaml")] {
        fs::copy(root().join("cases").join(from), here.join(to)).expect("scratch can be written");
    }
    fs::write(here.join("notes.txt"), "").expect("scratch can be written");
    fs::write(here.join("LFC-0300.yaml"), "").expect("scratch can be written");
    let ran = unguis_in(here, ["issue", "LFC-0117.yaml", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    fs::create_dir(here.join("out/LFC-0299")).expect("scratch can be written");

    let cases = offered(here, &["check", "LFC-"]);
    assert_eq!(cases, ["LFC-0117.yaml", "LFC-0300.yaml"]);
    assert!(!has(&offered(here, &["check", "no"]), "notes.txt"));
    // Issued, or a case file that lies here; each once.
    assert_eq!(offered(here, &["sent", "LFC-"]), ["LFC-0117", "LFC-0299", "LFC-0300"]);
    assert_eq!(offered(here, &["sent", "LFC-0117", "gp-"]), ["gp-letter"]);
    for words in [&["sent", ""][..], &["find", "H"], &["check", ""], &["explain", ""]] {
        assert!(offered(here, words).iter().all(|one| !one.contains("Hollis")), "{words:?}");
    }
}

#[test]
fn every_shell_has_its_script() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let ran = unguis(["completions", shell]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        assert!(ran.stdout.contains("UNGUIS_COMPLETE") && ran.stdout.contains("unguis"), "{shell}");
        // Of this computer it names nothing: the script is the same wherever it is made.
        assert!(!ran.stdout.contains('/') || !ran.stdout.contains("target/"), "{shell}: {}", ran.stdout);
    }
    assert_eq!(unguis(["completions", "tcsh"]).code, 2);
}

fn is_at_hand(program: &str) -> bool {
    Command::new(program).arg("-V").output().is_ok()
}

#[test]
fn there_is_a_manual_page_for_every_command() {
    let folder = scratch();
    let pages = folder.path().join("man1");
    let ran = unguis_in(folder.path(), ["manual", "man1"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let written: Vec<String> = ran.stdout.lines().map(str::to_owned).collect();
    for page in ["unguis.1", "unguis-issue.1", "unguis-manual.1", "unguis-check-templates.1"] {
        assert!(written.iter().any(|path| path.ends_with(page)), "{page}: {written:?}");
    }
    assert!(!written.iter().any(|path| path.contains("-dev")), "{written:?}");
    let help = unguis(["--help"]).stdout;
    let commands = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let commands = commands
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    assert_eq!(written.len(), commands.filter(|line| !line.trim().starts_with("help")).count() + 1);
    for page in &written {
        let text = fs::read_to_string(folder.path().join(page)).expect("it was written");
        assert!(text.contains(".SH NAME") && text.contains(".TH unguis"), "{page}");
        let file = folder.path().join(page);
        let file = file.to_str().expect("a path that is text");
        if is_at_hand("mandoc") {
            // It gives its findings on standard output, and fails if there are any of this weight.
            tool("mandoc", &["-T", "lint", "-W", "error", file]);
        }
        if is_at_hand("man") {
            let shown = tool("man", &["-l", file]);
            assert!(shown.contains("SYNOPSIS"), "{page}: {shown}");
        }
    }
    // Never over what is there.
    assert_eq!(unguis_in(folder.path(), ["manual", pages.to_str().expect("text")]).code, 2);
}
