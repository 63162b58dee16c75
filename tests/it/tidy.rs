//! House rules as tests: which module may use which, where the outside world may be touched, and
//! what may not stand in the tree.

use std::fs;
use std::path::{Path, PathBuf};

/// Each module with the modules it may use: only ones further down the pipeline's start.
/// Adding an arrow here is a decision of its own; the commit says why.
const MAY_USE: &[(&str, &[&str])] = &[
    ("diagnostic", &[]),
    ("units", &[]),
    ("date", &["units"]),
    ("clinical", &["units", "date", "diagnostic"]),
    ("case", &["diagnostic", "units", "date"]),
    ("derive", &["diagnostic", "units", "date", "clinical", "case"]),
    ("facts", &["units", "date", "clinical", "case", "derive"]),
    ("rules", &["diagnostic", "units", "date", "clinical", "case", "derive", "facts"]),
    ("documents", &["diagnostic", "units", "date", "clinical", "case", "derive", "facts"]),
    ("render", &["diagnostic"]),
    ("typeset", &["date", "render"]),
    (
        "pipeline",
        &["diagnostic", "date", "case", "derive", "facts", "rules", "documents", "render", "typeset"],
    ),
    ("demo", &["diagnostic", "date"]),
    ("trial", &["diagnostic", "date", "case", "facts", "documents", "render", "typeset", "pipeline", "demo"]),
    ("register", &["units", "date"]),
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files_below(dir: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut entries: Vec<PathBuf> = fs::read_dir(dir)
        .unwrap_or_else(|problem| panic!("{}: {problem}", dir.display()))
        .map(|entry| entry.expect("a folder of the checkout can be listed").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            found.extend(files_below(&path, ending));
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
    found
}

/// The code of a file without its comments and its unit tests, which may use what they like.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("a source file is text");
    let body = text.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    body.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// `src/derive/age.rs` belongs to `derive`, `src/units.rs` to `units`.
fn module(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).expect("below src");
    let first = inside.components().next().expect("a file has a name");
    first.as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned()
}

/// Every `crate::name` of a text.
fn used_modules(code: &str) -> Vec<String> {
    code.match_indices("crate::")
        .map(|(at, found)| {
            code[at + found.len()..].chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect()
        })
        .filter(|name: &String| !name.is_empty())
        .collect()
}

#[test]
fn imports_go_downward_only() {
    let mut wrong = Vec::new();
    for path in files_below(&root().join("src"), ".rs") {
        if path.to_string_lossy().ends_with("_tests.rs") {
            continue;
        }
        let own = module(&path);
        let Some((_, allowed)) = MAY_USE.iter().find(|(name, _)| *name == own) else { continue };
        for used in used_modules(&code(&path)) {
            let is_module = MAY_USE.iter().any(|(name, _)| *name == used) || used == "cli";
            if is_module && used != own && !allowed.contains(&used.as_str()) {
                wrong.push(format!("{}: `{own}` may not use `{used}`", path.display()));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn rules_do_not_import_each_other() {
    for path in files_below(&root().join("src/rules"), ".rs") {
        let depth = path.strip_prefix(root().join("src/rules")).expect("below rules").components().count();
        if depth == 2 && !path.ends_with("mod.rs") {
            let code = code(&path);
            let crossing = code.lines().find(|line| {
                line.contains("rules::")
                    && line.starts_with("use")
                    && [
                        "identity::",
                        "consent::",
                        "anaesthetic::",
                        "circulation::",
                        "diabetes::",
                        "bleeding::",
                        "infection::",
                        "phenol::",
                        "tourniquet::",
                        "records::",
                        "advice::",
                        "right_toe::",
                    ]
                    .iter()
                    .any(|topic| line.contains(topic) && line.contains("crate::rules::"))
            });
            assert_eq!(crossing, None, "{}", path.display());
        }
    }
}

#[test]
fn the_outside_world_is_touched_in_one_file() {
    let mut wrong = Vec::new();
    for path in files_below(&root().join("src"), ".rs") {
        if path.ends_with("cli/io.rs") {
            continue;
        }
        let code = code(&path);
        for touch in [
            "std::fs",
            "std::env",
            "SystemTime",
            "Utc::now",
            "Local::now",
            "println!",
            "eprintln!",
            "process::exit",
        ] {
            if code.contains(touch) {
                wrong.push(format!("{}: {touch}", path.display()));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn templates_hold_no_escape_hatch() {
    for path in files_below(&root().join("templates"), ".typ") {
        let text = fs::read_to_string(&path).expect("a template is text");
        for hatch in ["| safe", "|safe", "datetime.today", "eval(", "#import \"@", "read(\""] {
            assert!(!text.contains(hatch), "{}: {hatch}", path.display());
        }
    }
}

#[test]
fn nothing_unfinished_is_shipped() {
    let mut wrong = Vec::new();
    for folder in ["src", "templates", "cases"] {
        for path in files_below(&root().join(folder), "") {
            let Ok(text) = fs::read_to_string(&path) else { continue };
            for (number, line) in text.lines().enumerate() {
                for word in ["TODO", "FIXME", "XXX-", "TBD", "todo!(", "unimplemented!(", "dbg!("] {
                    if line.contains(word) {
                        wrong.push(format!("{}:{}: {word}", path.display(), number + 1));
                    }
                }
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    let agreed = [
        "Cargo.toml",
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "templates",
        "cases",
        "tests",
        "out",
        "target",
    ];
    let extra: Vec<String> = fs::read_dir(root())
        .expect("the checkout can be listed")
        .map(|entry| entry.expect("an entry can be read").file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.') && !agreed.contains(&name.as_str()))
        .collect();
    assert_eq!(extra, Vec::<String>::new());
}

/// Telephone numbers come from the range kept free for drama, NHS numbers from the test range.
#[test]
fn numbers_are_invented() {
    for folder in ["cases", "tests/fixtures", "src/rules"] {
        for path in files_below(&root().join(folder), ".yaml") {
            let Ok(text) = fs::read_to_string(&path) else { continue };
            for line in text.lines().filter(|line| !line.trim_start().starts_with('#')) {
                if let Some((_, number)) = line.split_once("nhs_number: ") {
                    assert!(number.trim_start_matches('"').starts_with("999"), "{}: {line}", path.display());
                }
                for key in ["telephone: ", "out_of_hours: "] {
                    let Some((_, number)) = line.split_once(key) else { continue };
                    let digits: String = number.chars().filter(char::is_ascii_digit).collect();
                    let national =
                        digits.strip_prefix("44").map_or(digits.clone(), |rest| format!("0{rest}"));
                    // A fixture may leave the number blank to show that a blank is refused.
                    assert!(
                        national.is_empty() || national.starts_with("01632960"),
                        "{}: {line}",
                        path.display()
                    );
                }
            }
        }
    }
}
