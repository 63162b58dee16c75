//! Classes of the tables of names against what asks for them. A class that nothing reads looks like a danger
//! that is watched: each such class stands below with the reason, and the list may not hold one that is read.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::support::root;

const TABLES: &[&str] = &["conditions", "medicines", "allergens"];

/// Tables whose rows name a class: what speaks against an anaesthetic or adrenaline.
const NAMING: &[(&str, &[&str])] = &[
    ("agents", &["condition: ", "medicine: ", "substance: "]),
    ("adrenaline", &["condition: ", "medicine: "]),
];

/// Classes that no rule and no derivation names.
const NOT_READ: &[(&str, &[&str])] = &[
    (
        "with paracetamol a danger in kidney disease, sepsis, malnutrition and harmful drinking: in those no dose of \
         paracetamol is advised, whatever is taken with it",
        &["flucloxacillin"],
    ),
    (
        "one name of it is read: severe low blood pressure, myasthenia gravis",
        &["low blood pressure", "neuromuscular"],
    ),
    ("the mass and height that were measured are read in its place", &["weight"]),
    (
        "everybody is injected lying down, goes home with an adult, and is judged able to decide on the day",
        &["faints", "sedative", "sleep apnoea"],
    ),
    (
        "may bear on healing, and no publication says how after nail surgery: printed as named in the record; the \
         pulses, medicines and wounds that it could act through are looked at by themselves",
        &["aneurysm", "lymph or vein", "cancer"],
    ),
    (
        "each of its names has another class that is read, or is read by itself; kept for whoever reads the table",
        &[
            "active foot disease",
            "local anaesthetic",
            "poor circulation",
            "direct oral anticoagulant",
            "heparin",
            "biologic",
            "chemotherapy",
            "insulin",
            "severe ischaemia",
            "severe renal impairment",
            "foot disease",
            "heart disease",
            "immune-mediated",
            "neurological",
            "learning or development",
            "disease-modifying antirheumatic",
            "rate-limiting calcium-channel blocker",
        ],
    ),
    (
        "what an anaesthetic, a bottle or a dressing holds is compared with the allergy by its name",
        &[
            "ester anaesthetic",
            "preservative",
            "sympathomimetic",
            "honey",
            "iodine",
            "silver",
            "sulfonamides",
            "plain material",
            "metal",
            "codeine",
            "analgesic",
        ],
    ),
    (
        "says what it is for, so that the name is known; without a bearing that was found",
        &[
            "acid reducer",
            "allergy",
            "anticonvulsant",
            "antibiotic",
            "antidepressant",
            "antiemetic",
            "antifungal",
            "antihistamine",
            "antihypertensive",
            "antipsychotic",
            "antiviral",
            "benzodiazepine",
            "bone",
            "bowel",
            "bowel medicine",
            "cardiac glycoside",
            "cold remedy",
            "contraceptive",
            "dementia",
            "diuretic",
            "endocrine",
            "environmental",
            "erectile dysfunction medicine",
            "eye medicine",
            "eye or ear",
            "food",
            "glucose",
            "gout",
            "hormone",
            "indigestion",
            "inhaled steroid",
            "joint or bone",
            "laxative",
            "lipid-lowering",
            "mental health",
            "migraine",
            "mood stabiliser",
            "myasthenia treatment",
            "opioid",
            "other antidepressant",
            "other medicine",
            "parkinson",
            "prostate",
            "respiratory",
            "skin or nail",
            "stimulant",
            "supplement",
            "thyroid",
            "topical immunomodulator",
            "topical nsaid",
            "topical steroid",
            "urinary",
            "weight loss medicine",
        ],
    ),
];

fn table(name: &str) -> String {
    let path = root().join("src/clinical/tables").join(format!("{name}.yaml"));
    fs::read_to_string(&path).unwrap_or_else(|problem| panic!("{}: {problem}", path.display()))
}

/// Every class that a group of a table of names gives.
fn given() -> BTreeSet<String> {
    let mut classes = BTreeSet::new();
    for name in TABLES {
        let groups: serde_yaml::Value = serde_yaml::from_str(&table(name)).expect("a table is YAML");
        let groups = groups.as_sequence().expect("a table is a list of groups");
        let each = groups.iter().flat_map(|group| group["classes"].as_sequence().into_iter().flatten());
        classes.extend(each.map(|class| class.as_str().expect("a class is a word").to_owned()));
    }
    classes
}

/// Source files below a folder.
fn sources(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(dir).expect("the folder is there") {
        let path = entry.expect("a file").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// Every class by its variant, as `class.rs` writes them: `Anticoagulant = "anticoagulant",`.
fn variants() -> BTreeMap<String, String> {
    let path = root().join("src/clinical/tables/class.rs");
    let text = fs::read_to_string(path).expect("source is text");
    let lines = text.lines().filter_map(|line| line.trim().strip_suffix("\",")?.split_once(" = \""));
    lines.map(|(variant, word)| (variant.to_owned(), word.to_owned())).collect()
}

/// Every class that what derives, judges and writes names, without comments and tests, and every class that
/// a row about an anaesthetic names.
fn named() -> BTreeSet<String> {
    let src = root().join("src");
    let mut files = Vec::new();
    for dir in ["facts", "derive", "rules", "documents"] {
        sources(&src.join(dir), &mut files);
    }
    let variants = variants();
    let mut named = BTreeSet::new();
    for path in files {
        let text = fs::read_to_string(&path).expect("source is text");
        let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
        for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
            for after in line.split("Class::").skip(1) {
                let variant = after.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap_or(after);
                named.extend(variants.get(variant).cloned());
            }
        }
    }
    for (name, keys) in NAMING {
        for line in table(name).lines().filter(|line| !line.starts_with('#')) {
            for key in *keys {
                let after = line.split(key).skip(1);
                named.extend(
                    after.map(|rest| rest.split([',', '}']).next().unwrap_or(rest).trim().to_owned()),
                );
            }
        }
    }
    // The kind of an anaesthetic is half of the name of its class.
    let kinds = table("agents");
    let kinds = kinds.lines().filter_map(|line| line.trim().strip_prefix("kind: "));
    named.extend(kinds.map(|kind| format!("{kind} anaesthetic")));
    named
}

#[test]
fn every_class_is_read_or_stands_in_the_list_with_a_reason() {
    let (given, named) = (given(), named());
    assert!(given.len() > 100 && named.contains("anticoagulant") && named.contains("porphyria"));
    let listed: Vec<&str> = NOT_READ.iter().flat_map(|(_, classes)| *classes).copied().collect();
    let mut wrong = Vec::new();
    for class in &given {
        match (named.contains(class), listed.iter().filter(|listed| *listed == class).count()) {
            (true, 0) | (false, 1) => {}
            (true, _) => wrong.push(format!("`{class}` is read: take it from the list")),
            (false, 0) => wrong.push(format!("nothing reads `{class}`: say why in the list")),
            (false, _) => wrong.push(format!("`{class}` stands in the list twice")),
        }
    }
    let names = variants().into_values().filter(|word| !given.contains(word) && !named.contains(word));
    wrong.extend(names.map(|word| format!("nothing reads `{word}`, which is a name alone")));
    let unknown = listed.iter().filter(|listed| !given.contains(**listed));
    wrong.extend(unknown.map(|listed| format!("no table has `{listed}`")));
    assert_eq!(wrong, Vec::<String>::new());
}
