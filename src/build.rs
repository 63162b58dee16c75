//! Turns the tables, which are written in YAML for people, into JSON, which the program reads ten times as fast.

use std::path::{Path, PathBuf};
use std::{env, fs};

/// The folder of the clinical tables, and a table of words.
const TABLES: &str = "src/clinical/tables";
const WORDS: &str = "src/documents/parts/key_names.yaml";

fn main() {
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo names the folder"));
    for watched in [TABLES, WORDS, "src/build.rs"] {
        println!("cargo::rerun-if-changed={watched}");
    }
    let folder = fs::read_dir(TABLES).expect("the folder of the tables is there");
    let tables = folder.map(|file| file.expect("the folder can be read").path());
    let is_table = |file: &PathBuf| file.extension().is_some_and(|ending| ending == "yaml");
    for file in tables.filter(is_table).chain([PathBuf::from(WORDS)]) {
        fs::write(out.join(file.with_extension("json").file_name().expect("a file has a name")), json(&file))
            .expect("cargo's folder can be written");
    }
}

fn json(file: &Path) -> String {
    let text = fs::read_to_string(file).expect("a table is text");
    let table: serde_yaml::Value =
        serde_yaml::from_str(&text).unwrap_or_else(|problem| panic!("{}: {problem}", file.display()));
    serde_json::to_string(&table).unwrap_or_else(|problem| panic!("{}: {problem}", file.display()))
}
