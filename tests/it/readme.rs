//! README.md says what is so: its table of rules is made from the rules, its commands run.
//!
//! To write table and finding anew: `UPDATE=1 cargo test --release readme -- --test-threads 1`.

use crate::support::root;

const START: &str = "<!-- rules: made by a test, see DEVELOPERS.md -->\n";
const END: &str = "<!-- end of rules -->\n";

#[test]
fn readme_table_of_rules_is_up_to_date() {
    let path = root().join("README.md");
    let readme = std::fs::read_to_string(&path).expect("README.md is there");
    let (before, rest) = readme.split_once(START).expect("README.md marks where the table starts");
    let (table, after) = rest.split_once(END).expect("README.md marks where the table ends");
    let made = unguis::rules::explain::table_markdown();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, format!("{before}{START}{made}{END}{after}"))
            .expect("README.md can be written");
        return;
    }
    assert_eq!(table, made, "run `UPDATE=1 cargo test --release readme` and read the difference");
}

#[test]
fn readme_opens_with_one_paragraph_that_states_the_job() {
    let readme = std::fs::read_to_string(root().join("README.md")).expect("README.md is there");
    let mut blocks = readme.split("\n\n");
    assert_eq!(blocks.next(), Some("# unguis"));
    let job = blocks.next().unwrap_or_default();
    assert!(job.contains("toenail surgery") && job.contains("operation note"), "{job}");
}

/// The finding shown is what the program prints today.
#[test]
fn readme_shows_a_finding_as_it_is_printed() {
    let folder = crate::support::scratch();
    let case =
        std::fs::read_to_string(root().join("cases/routine-adult.yaml")).expect("a demo case can be read");
    let case = case.replace("injected: 2.2 ml", "injected: 10.2 ml");
    std::fs::write(folder.path().join("case.yaml"), case).expect("scratch can be written");
    std::fs::copy(root().join("cases/clinic.yaml"), folder.path().join("clinic.yaml"))
        .expect("scratch can be written");
    let ran = crate::support::unguis_in(folder.path(), ["check", "case.yaml", "--today", "2026-11-25"]);
    let first = ran.stdout.split("\n\n").next().unwrap_or_default().to_owned() + "\n";
    let path = root().join("README.md");
    let readme = std::fs::read_to_string(&path).expect("README.md is there");
    let (before, rest) = readme.split_once("```text\n").expect("README.md shows a finding");
    let (shown, after) = rest.split_once("```").expect("the block ends");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, format!("{before}```text\n{first}```{after}"))
            .expect("README.md can be written");
        return;
    }
    assert_eq!(shown, first, "run `UPDATE=1 cargo test --release readme -- --test-threads 1`");
}

/// Every `unguis …` and `cargo run …` line of a shell block names a command that exists.
#[test]
fn readme_commands_exist() {
    let readme = std::fs::read_to_string(root().join("README.md")).expect("README.md is there");
    let mut seen = 0;
    let blocks = readme.split("```sh\n").skip(1).filter_map(|rest| rest.split("```").next());
    for line in blocks.flat_map(str::lines) {
        let Some(words) = line.strip_prefix("unguis ") else { continue };
        let command = words.split_whitespace().next().unwrap_or_default();
        let ran = crate::support::unguis([command, "--help"]);
        assert_eq!(ran.code, 0, "{line}");
        seen += 1;
    }
    assert!(seen >= 5, "only {seen} commands were found");
}
