//! House rules as tests: which module may use which, where the outside world may be touched, and
//! what may not stand in the tree.

use std::fs;
use std::path::{Path, PathBuf};

/// Each module with the modules it may use: only ones further down the pipeline's start.
/// Adding an arrow here is a decision of its own; the commit says why.
const MAY_USE: &[(&str, &[&str])] = &[
    ("hash", &[]),
    ("words", &[]),
    ("anatomy", &[]),
    ("nation", &[]),
    ("diagnostic", &["words"]),
    ("units", &[]),
    ("date", &["units"]),
    ("statistics", &[]),
    ("clinical", &["words", "anatomy", "nation", "units", "date", "diagnostic"]),
    ("case", &["words", "anatomy", "nation", "diagnostic", "units", "date"]),
    // It reads what it wrote with the scan of a case file; of the model it knows nothing.
    ("edit", &["diagnostic", "case"]),
    ("derive", &["words", "anatomy", "nation", "diagnostic", "units", "date", "clinical", "case"]),
    ("facts", &["anatomy", "units", "date", "clinical", "case", "derive"]),
    (
        "rules",
        &["words", "anatomy", "nation", "diagnostic", "units", "date", "clinical", "case", "derive", "facts"],
    ),
    ("audit", &["anatomy", "date", "clinical", "case", "facts", "statistics"]),
    (
        "documents",
        &[
            "words",
            "anatomy",
            "nation",
            "diagnostic",
            "units",
            "date",
            "statistics",
            "clinical",
            "case",
            "derive",
            "facts",
            "audit",
        ],
    ),
    // Its pages are files; what is made of them comes from the model's schema and from the rules.
    ("handbook", &["words", "case", "rules"]),
    // What is found in several cases, or in a case and the register: of them only who they are about.
    ("identity", &["hash", "words", "diagnostic", "date", "case"]),
    ("render", &["hash", "words", "diagnostic"]),
    ("typeset", &["words", "date", "render"]),
    (
        "pipeline",
        &[
            "words",
            "diagnostic",
            "units",
            "date",
            "case",
            "derive",
            "facts",
            "identity",
            "rules",
            "documents",
            "render",
            "typeset",
        ],
    ),
    ("demo", &["nation", "diagnostic", "date", "clinical"]),
    (
        "trial",
        &[
            "words",
            "anatomy",
            "diagnostic",
            "date",
            "case",
            "facts",
            "documents",
            "render",
            "typeset",
            "pipeline",
            "demo",
        ],
    ),
    // Hashes of whose documents it lists, and counts in words.
    ("register", &["hash", "words", "diagnostic", "units", "date", "identity"]),
    // Copies in another form of what a case says and what was issued of it; it reads no file.
    (
        "export",
        &[
            "hash",
            "words",
            "anatomy",
            "units",
            "date",
            "clinical",
            "case",
            "derive",
            "facts",
            "documents",
            "register",
        ],
    ),
    // The outside. What is written is made elsewhere and comes in by a closure.
    ("store", &["hash", "words", "date", "identity", "documents", "typeset", "pipeline", "register"]),
    // It shows what the others know and works nothing out: the tables to choose words from, the rules to say
    // which finding takes a reason, the documents to name them. The commands come in by a closure.
    (
        "desk",
        &[
            "hash",
            "anatomy",
            "diagnostic",
            "units",
            "date",
            "clinical",
            "case",
            "edit",
            "derive",
            "facts",
            "rules",
            "documents",
            "typeset",
            "pipeline",
            "register",
            "store",
        ],
    ),
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

/// A file that no `mod` names is compiled by nothing and tested by nothing, yet reads like the real one.
#[test]
fn every_source_file_is_compiled() {
    let sources = files_below(&root().join("src"), ".rs");
    let text_of = |path: &Path| fs::read_to_string(path).unwrap_or_default();
    let mut orphans = Vec::new();
    for path in &sources {
        let stem = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        let folder = path.parent().expect("a file stands in a folder");
        if folder == root().join("src") && ["lib", "main", "build"].contains(&stem.as_str()) {
            continue;
        }
        // `a/mod.rs` is declared beside the folder `a`; every other file within its folder or by `a.rs`.
        let (name, within) = match stem.as_str() {
            "mod" => {
                let name = folder.file_name().expect("below src").to_string_lossy().into_owned();
                (name, folder.parent().expect("below src"))
            }
            _ => (stem, folder),
        };
        let declared = [format!("mod {name};"), format!("#[path = \"{name}.rs\"]")];
        let beside = sources.iter().filter(|other| {
            *other != path && (other.parent() == Some(within) || **other == within.with_extension("rs"))
        });
        if !beside.map(|other| text_of(other)).any(|text| declared.iter().any(|line| text.contains(line))) {
            orphans.push(path.strip_prefix(root()).expect("below the root").display().to_string());
        }
    }
    assert_eq!(orphans, Vec::<String>::new(), "declared by no `mod`");
}

/// The map names every module once, and each stands below those that it uses.
#[test]
fn the_map_is_true() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).expect("there is a guide");
    let rows = guide.lines().skip_while(|line| !line.starts_with("| module |")).skip(2);
    let rows: Vec<Vec<String>> = rows
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let first = line.split('|').nth(1).unwrap_or_default();
            let named = first.split('`').skip(1).step_by(2);
            named.map(|name| name.split(['/', '.']).next().unwrap_or_default().to_owned()).collect()
        })
        .collect();
    let row_of = |module: &str| rows.iter().position(|row| row.iter().any(|name| name == module));
    let modules = fs::read_dir(root().join("src")).expect("the source can be listed");
    let names = modules.map(|entry| {
        let path = entry.expect("an entry can be read").path();
        path.file_stem().expect("a file has a name").to_string_lossy().into_owned()
    });
    let missing: Vec<String> = names
        .filter(|name| !["lib", "main", "build"].contains(&name.as_str()) && row_of(name).is_none())
        .collect();
    assert_eq!(missing, Vec::<String>::new(), "not on the map");
    let mut wrong = Vec::new();
    for (module, used) in MAY_USE {
        for below in used.iter().filter(|below| row_of(below) > row_of(module)) {
            wrong.push(format!("`{below}` stands below `{module}`, which uses it"));
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// A topic may use what stands beside the topics, never another topic: what two need is a fact and
/// belongs to `derive`, or a phrase and belongs to `rules::words`.
#[test]
fn rules_do_not_import_each_other() {
    let rules = root().join("src/rules");
    let topics: Vec<String> = fs::read_dir(&rules)
        .expect("the rules can be listed")
        .map(|entry| entry.expect("an entry can be read").path())
        .filter(|path| path.is_dir())
        .map(|path| path.file_name().expect("a folder has a name").to_string_lossy().into_owned())
        .collect();
    assert!(topics.len() > 10, "{topics:?}");
    let mut crossing = Vec::new();
    // Circulation asks phenol where poor circulation was reported: to go when both read a derived value.
    let known = [("circulation", "phenol")];
    for topic in &topics {
        for path in files_below(&rules.join(topic), ".rs") {
            // Whatever the way to it: `crate::rules::phenol::`, `super::phenol::`, `rules::{phenol::x}`.
            let code: String = code(&path).split_whitespace().collect();
            for other in topics.iter().filter(|other| *other != topic) {
                if !known.contains(&(topic.as_str(), other.as_str())) && names_module(&code, other) {
                    crossing.push(format!("{}: uses `{other}`", path.display()));
                }
            }
        }
    }
    assert_eq!(crossing, Vec::<String>::new());
}

/// True if a module of this name is stepped into, as `::name::`, `super::name::` or within braces, and
/// the step starts at `rules` or above the own topic.
fn names_module(code: &str, name: &str) -> bool {
    let step = format!("{name}::");
    code.match_indices(&step).any(|(at, _)| {
        let before = &code[..at];
        let is_whole_word = !before.ends_with(|c: char| c.is_alphanumeric() || c == '_');
        // The word that the path began with: sources and tables have modules of the same names.
        let start = before.rfind([';', '=', '(', '}', '&', '!', '|']).map_or(0, |at| at + 1);
        let path = &before[start..];
        let is_of_rules = path.contains("rules::") || path.contains("super::");
        is_whole_word && is_of_rules && !path.contains("clinical") && !path.contains("sources")
    })
}

#[test]
fn a_step_into_another_topic_is_seen() {
    for crossing in
        ["usecrate::rules::phenol::x;", "letx=super::phenol::y(facts);", "usecrate::rules::{Rule,phenol::x};"]
    {
        assert!(names_module(crossing, "phenol"), "{crossing}");
    }
    for own in ["usecrate::clinical::sources::phenol::X;", "letphenol=facts.phenol();", "Topic::phenol::x"] {
        assert!(!names_module(own, "phenol"), "{own}");
    }
}

#[test]
fn the_outside_world_is_touched_in_one_file() {
    let mut wrong = Vec::new();
    for path in files_below(&root().join("src"), ".rs") {
        // The build script runs before there is a program.
        if path.ends_with("store/io.rs") || path.ends_with("src/build.rs") {
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

/// The name of a file may hold anything: in a message it is shown by `words::Shown`, which lets nothing of it act,
/// and for programs it is written exactly.
#[test]
fn paths_are_shown_in_one_way() {
    let mut wrong = Vec::new();
    for folder in ["src/cli", "src/store"] {
        for path in files_below(&root().join(folder), ".rs") {
            let code = code(&path);
            if code.contains(".display()") {
                wrong.push(path.display().to_string());
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
        "build.rs",
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

/// Phrases that still stand in `src/documents`, by file: what the screen, the table and the JSON of a list say in
/// the same words as its page, and keys to which the page's template has words of its own. The numbers may only
/// fall: words of a page stand in its template.
const PHRASES_IN_DOCUMENTS: &[(&str, usize)] =
    &[("of_caseload/day_list.rs", 4), ("of_caseload/lot_list.rs", 2), ("of_caseload/outstanding.rs", 2)];

/// The texts between quotation marks in a file.
fn literals(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = code;
    while let Some(from) = rest.find('"') {
        let mut text = String::new();
        let mut chars = rest[from + 1..].char_indices();
        let end = loop {
            match chars.next() {
                Some((_, '\\')) => text.extend(chars.next().map(|(_, c)| c)),
                Some((at, '"')) => break from + 1 + at + 1,
                Some((_, c)) => text.push(c),
                None => break rest.len(),
            }
        };
        found.push(text);
        rest = &rest[end..];
    }
    found
}

/// A label or a sentence begins with a capital; three words in a row are a phrase.
fn is_for_paper(literal: &str) -> bool {
    let mut chars = literal.chars();
    let begins = chars.next().is_some_and(char::is_uppercase) && chars.next().is_some_and(char::is_lowercase);
    let without_values = literal.split('{').map(|part| part.split_once('}').map_or(part, |(_, after)| after));
    let text = without_values.collect::<Vec<_>>().join(" ");
    let is_word = |word: &&str| {
        let word = word.trim_matches([',', '.', ':', ';', '(', ')']);
        word.len() > 1 && word.chars().all(char::is_alphabetic)
    };
    begins || text.split_whitespace().filter(is_word).count() >= 3
}

#[test]
fn words_of_pages_stand_in_templates() {
    assert!(is_for_paper("Born") && is_for_paper("the part taken away: {}"));
    assert!(!is_for_paper("lateral") && !is_for_paper("{} mg") && !is_for_paper("operation.toes.{toe}"));
    let documents = root().join("src/documents");
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    // What is missing of a page is said on the screen.
    let files = files_below(&documents, ".rs").into_iter().filter(|path| !path.ends_with("must_say.rs"));
    for path in files {
        // Titles are in metadata and messages too; a reason or an invariant is for whoever reads the code.
        let is_of_code = |line: &&str| {
            !["title:", ".expect(", "unreachable!(", "reason =", "#[path"]
                .iter()
                .any(|mark| line.contains(mark))
        };
        let code = code(&path).lines().filter(is_of_code).collect::<Vec<_>>().join("\n");
        let phrases: Vec<String> = literals(&code).into_iter().filter(|one| is_for_paper(one)).collect();
        if !phrases.is_empty() {
            let name = path.strip_prefix(&documents).expect("below it").to_string_lossy().into_owned();
            found.push((name, phrases));
        }
    }
    let counted: Vec<(&str, usize)> =
        found.iter().map(|(name, phrases)| (name.as_str(), phrases.len())).collect();
    assert_eq!(counted, PHRASES_IN_DOCUMENTS, "words of a page belong into its template: {found:#?}");
}

/// What was written from memory is marked so and waits for its source. The number may only fall: a new
/// row needs a source, or the mark that practitioners do so.
const MOST_FROM_MEMORY: usize = 115;

#[test]
fn rows_from_memory_only_become_fewer() {
    let tables = files_below(&root().join("src/clinical/tables"), ".yaml");
    let rows: usize = tables
        .iter()
        .map(|path| fs::read_to_string(path).expect("a table is text"))
        .map(|text| text.matches("relation: from memory").count())
        .sum();
    let cites: usize = files_below(&root().join("src"), ".rs")
        .iter()
        .map(|path| code(path).matches("Cite::from_memory(").count())
        .sum();
    assert_eq!(rows + cites, MOST_FROM_MEMORY, "{rows} rows and {cites} cites; fewer: lower the number");
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
