//! README and the pages of the handbook say what is so: what is made in them is up to date, and every
//! example in them runs.
//!
//! To write what is made anew: `UPDATE=1 cargo test --release handbook -- --test-threads 1`.
//!
//! An example is fenced as `sh`: it is run by bash, all those of a page in one folder, in order; or as `yaml`
//! with what is done with it:
//!
//! - `yaml NAME.yaml`: the file is written, and what follows uses it;
//! - `yaml case`: laid over the routine demo case, which must then have nothing open; `yaml case finds RULE`: that
//!   is found in it; `yaml case later`: judged when its visits are past;
//! - `yaml clinic`: laid over the clinic of the demo cases, with the routine case beside it.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use clap::CommandFactory;
use serde_yaml::Value;
use unguis::cli::args::Cli;
use unguis::handbook::{self, PAGES};
use unguis::rules::example::lay_over;

use crate::support::{Ran, demo_file, root, scratch, unguis, unguis_in};

const TODAY: &str = "2026-11-25";
const LATER: &str = "2027-01-06";

/// README, and the files of the handbook.
fn pages() -> Vec<PathBuf> {
    let folder = fs::read_dir(root().join("templates/handbook")).expect("the handbook is there");
    let mut files: Vec<PathBuf> = folder.map(|entry| entry.expect("an entry can be read").path()).collect();
    files.push(root().join("README.md"));
    files.sort();
    files
}

fn text_of(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|problem| panic!("{}: {problem}", path.display()))
}

fn readme() -> String {
    text_of(&root().join("README.md"))
}

/// What stands between the marks of README and of the pages.
fn made(name: &str) -> Option<String> {
    match name {
        "commands" => Some(commands()),
        "finding" => Some(finding()),
        _ => handbook::part(name),
    }
}

/// The commands with what they need, from the command line itself.
fn commands() -> String {
    let mut table = "| command | what it does |\n|---|---|\n".to_owned();
    let mut program = Cli::command();
    program.build();
    for command in
        program.get_subcommands().filter(|command| !command.is_hide_set() && command.get_name() != "help")
    {
        let mut words = vec!["unguis".to_owned(), command.get_name().to_owned()];
        for argument in command.get_positionals() {
            let names = argument.get_value_names().into_iter().flatten().map(ToString::to_string);
            let name = names.collect::<Vec<_>>().join(" ");
            let many =
                if argument.get_num_args().is_some_and(|count| count.max_values() > 1) { "…" } else { "" };
            let name = if name.contains('…') { name } else { format!("{name}{many}") };
            words.push(if argument.is_required_set() { name } else { format!("[{name}]") });
        }
        let about = command.get_about().map(ToString::to_string).unwrap_or_default();
        table.push_str(&format!("| `{}` | {} |\n", words.join(" "), about.replace('|', "\\|")));
    }
    table
}

/// A finding as it is printed today.
fn finding() -> String {
    let folder = scratch();
    let case = text_of(&demo_file("routine-adult.yaml"));
    let case = case.replace("injected: 2.2 ml", "injected: 10.2 ml");
    fs::write(folder.path().join("case.yaml"), case).expect("scratch can be written");
    fs::copy(root().join("cases/clinic.yaml"), folder.path().join("clinic.yaml"))
        .expect("scratch can be written");
    let ran = unguis_in(folder.path(), ["check", "case.yaml", "--today", TODAY]);
    format!("```text\n{}\n```\n", ran.stdout.split("\n\n").next().unwrap_or_default())
}

#[test]
fn what_is_made_in_readme_and_handbook_is_up_to_date() {
    for path in pages() {
        let text = text_of(&path);
        let fresh = handbook::made_anew(&text, made).unwrap_or_else(|| {
            panic!("{}: a mark without its end, or of something not known", path.display())
        });
        if std::env::var_os("UPDATE").is_some() {
            fs::write(&path, fresh).expect("the page can be written");
        } else {
            assert!(
                text == fresh,
                "{} is stale: run `UPDATE=1 cargo test --release handbook -- --test-threads 1`",
                path.display()
            );
        }
    }
}

#[test]
fn every_page_is_built_in() {
    for path in pages() {
        let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        assert!(
            name == "README" || handbook::page(&name).is_some(),
            "{name}: no line in src/handbook/mod.rs"
        );
    }
}

#[test]
fn readme_is_short_and_opens_with_one_paragraph_that_states_the_job_and_a_picture() {
    let readme = readme();
    assert!(readme.lines().count() <= 120, "{} lines", readme.lines().count());
    let mut blocks = readme.split("\n\n");
    assert_eq!(blocks.next(), Some("# unguis"));
    let job = blocks.next().unwrap_or_default();
    assert!(job.contains("toenail surgery") && job.contains("operation note"), "{job}");
    let picture = blocks.next().and_then(|block| block.split_once("](")?.1.strip_suffix(')'));
    assert!(picture.is_some_and(|file| root().join(file).is_file()), "{picture:?}");
    for caution in ["product characteristics", "local policy", "registered practitioner"] {
        assert!(readme.contains(caution), "{caution}");
    }
}

/// README's two commands are those that are run on a new machine.
#[test]
fn readme_and_the_checks_use_the_same_commands() {
    let (readme, run) = (readme(), text_of(&root().join(".ci/run")));
    for command in ["cargo run --release -- issue cases/routine-adult.yaml", "cargo test --release"] {
        assert!(readme.contains(command), "{command}");
        let parts: Vec<&str> = command.split(" -- ").collect();
        assert!(run.lines().any(|line| parts.iter().all(|part| line.contains(part))), "{command}");
    }
}

#[test]
fn a_page_is_printed_plainly_and_near_misses_are_told() {
    for page in PAGES {
        let ran = unguis(["explain", page.name]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        assert!(ran.stdout.starts_with(page.title()), "{}", ran.stdout);
        for mark in ["**", "<!--", "```", "|---", "]("] {
            assert!(!ran.stdout.contains(mark), "{}: {mark}", page.name);
        }
        // An example and a word that cannot be broken may be longer.
        let long = |line: &&str| line.chars().count() > 80 && !line.starts_with("    ");
        assert_eq!(ran.stdout.lines().find(long), None, "{}", page.name);
    }
    let all = unguis(["explain"]).stdout;
    assert!(PAGES.iter().all(|page| all.contains(&format!("  {}", page.name))), "{all}");
    for (typed, meant) in [("incident", "incidents"), ("saftey", "safety"), ("Case-Keys", "case-keys")] {
        let ran = unguis(["explain", typed]);
        assert_eq!(ran.code, 2, "{}", ran.stdout);
        assert!(ran.stderr.contains(&format!("did you mean `{meant}`?")), "{}", ran.stderr);
    }
}

/// A page that is named in a text is there.
#[test]
fn pages_and_rules_that_are_named_are_there() {
    for path in pages() {
        let text = text_of(&path).replace('\n', " ");
        for named in text.split("`unguis explain ").skip(1).filter_map(|rest| rest.split('`').next()) {
            if !named.contains(|c: char| c.is_ascii_uppercase()) {
                assert_eq!(unguis(["explain", named]).code, 0, "{}: {named}", path.display());
            }
        }
    }
}

/// A fenced example: what stands behind the fence, and its lines.
struct Example {
    kind: String,
    text: String,
}

fn examples(text: &str) -> Vec<Example> {
    let mut found = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some(kind) = line.strip_prefix("```") else { continue };
        let text = lines.by_ref().take_while(|line| *line != "```").map(|line| format!("{line}\n")).collect();
        found.push(Example { kind: kind.to_owned(), text });
    }
    found
}

#[test]
fn every_example_runs() {
    let mut seen = 0;
    for path in pages() {
        let name = path.file_name().expect("a file has a name").to_string_lossy().into_owned();
        let folder = scratch();
        let bin = scratch();
        begin(folder.path(), bin.path(), name == "README.md");
        for example in examples(&text_of(&path)) {
            let at = format!("{name}:\n{}", example.text);
            match example.kind.split(' ').collect::<Vec<_>>().as_slice() {
                ["sh"] => run(folder.path(), bin.path(), &example.text, &at),
                ["yaml", file] if file.ends_with(".yaml") => {
                    fs::write(folder.path().join(file), &example.text).expect("scratch can be written");
                }
                ["yaml", "clinic"] => laid_over("clinic", &example.text, &[], &at),
                ["yaml", "case", how @ ..] => laid_over("case", &example.text, how, &at),
                // Nothing to run: what the program printed, and lines for a shell that is not here.
                ["text" | "powershell"] => {}
                other => panic!("{name}: no example is fenced as {other:?}"),
            }
            seen += 1;
        }
    }
    assert!(seen > 30, "only {seen} examples were found");
}

/// The folder in which the examples of a page are run: for README a checkout, for the handbook a clinic's
/// folder with one case; and programs that stand for what is not run here.
fn begin(folder: &Path, bin: &Path, is_readme: bool) {
    let copy = |from: &str, to: &str| {
        let to = folder.join(to);
        fs::create_dir_all(to.parent().expect("below the folder")).expect("scratch can be written");
        fs::copy(root().join(from), to).expect("scratch can be written");
    };
    if is_readme {
        copy("cases/clinic.yaml", "cases/clinic.yaml");
        copy("cases/routine-adult.yaml", "cases/routine-adult.yaml");
    } else {
        copy("cases/clinic.yaml", "clinic.yaml");
        copy("cases/routine-adult.yaml", "LFC-0117.yaml");
    }
    let unguis = format!(
        "#!/bin/sh\ncase \"$1\" in check|show|draft|issue|compare|sent|day|audit|outstanding|print|trace|find)\n\
         set -- \"$@\" --today {TODAY};; esac\nexec '{}' \"$@\"\n",
        env!("CARGO_BIN_EXE_unguis")
    );
    let cargo = "#!/bin/sh\ncase \"$1 $2\" in \"run --release\") shift 3; exec unguis \"$@\";; \
                 \"test --release\") exit 0;; *) exit 9;; esac\n";
    for (name, text) in [("unguis", unguis.as_str()), ("cargo", cargo)] {
        let path = bin.join(name);
        fs::write(&path, text).expect("scratch can be written");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).expect("scratch can be written");
    }
}

fn run(folder: &Path, bin: &Path, script: &str, at: &str) {
    let path = format!("{}:{}", bin.display(), std::env::var("PATH").unwrap_or_default());
    let ran = Command::new("bash")
        .args(["-euo", "pipefail", "-c", script])
        .current_dir(folder)
        .env("PATH", path)
        .stdin(std::process::Stdio::null())
        .output()
        .expect("bash is there");
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(ran.status.success(), "{at}\n{}{}", said(&ran.stdout), said(&ran.stderr));
}

/// The demo case, or its clinic, with the example laid over it, as `check` finds it.
fn laid_over(file: &str, example: &str, how: &[&str], at: &str) {
    let read = |path: &str| -> Value {
        serde_yaml::from_str(&text_of(&root().join(path))).expect("the demo cases are YAML")
    };
    let (mut case, mut clinic) = (read("tests/fixtures/routine-long.yaml"), read("cases/clinic.yaml"));
    let over: Value = serde_yaml::from_str(example).unwrap_or_else(|problem| panic!("{at}\n{problem}"));
    lay_over(if file == "case" { &mut case } else { &mut clinic }, over);
    let folder = scratch();
    for (name, value) in [("LFC-0117.yaml", &case), ("clinic.yaml", &clinic)] {
        // JSON is YAML in which every text stands in quotation marks, as the reader asks of times.
        let text = serde_json::to_string_pretty(value).expect("a value is JSON");
        fs::write(folder.path().join(name), text).expect("scratch can be written");
    }
    let (later, how) = match how {
        ["later", rest @ ..] => (true, rest),
        rest => (false, rest),
    };
    let today = if later { LATER } else { TODAY };
    let Ran { stdout, stderr, code } =
        unguis_in(folder.path(), ["check", "LFC-0117.yaml", "--format", "short", "--today", today]);
    match how {
        [] => assert_eq!(code, 0, "{at}\n{stdout}{stderr}"),
        ["finds", rule] => {
            assert!(
                stdout.contains(&format!("[{rule}]")) && !stdout.contains("unreadable"),
                "{at}\n{stdout}"
            );
        }
        other => panic!("{at}: {other:?}"),
    }
}
