//! Text of a case is never code: a case in which every text field of the model holds Typst, Tera,
//! quotation marks, an emoji and combining accents comes out literally, in our own text and in the
//! PDF's. The case is made by walking the model, so a new field is under test as soon as it is there.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};
use unguis::case::{Clinic, case_schema, read_case, read_clinic};
use unguis::demo;
use unguis::diagnostic::SourceText;
use unguis::documents::{AnsweredCaution, Edition, Replaces, papers};
use unguis::facts::Facts;
use unguis::nation::Division;
use unguis::pipeline::Press;

use crate::support::{scratch, tool, unguis_in};

const HOSTILE: &str = include_str!("../fixtures/hostile.yaml");

/// Text fields that no document prints, each with the reason. A field that is printed all the same, or
/// that the model no longer has, must go from here.
const NOT_PRINTED: &[(&str, &str)] = &[
    ("accepted[0].rule", "the headline of the rule is printed instead"),
    ("incidents[0].answers[0]", "the headline of the rule is printed instead"),
    ("operation.operator", "a key of the clinic file: the name that it stands for is printed, or nobody's"),
    ("booked.room", "stands on the list of the day, which is tried with it"),
    ("gp.telephone", "the letter goes by post; the number is for whoever rings the practice"),
    ("operation.authority.title", "the anaesthetic has an authority of its own, which is printed instead"),
    ("operation.authority.by", "the anaesthetic has an authority of its own, which is printed instead"),
    (
        "operation.authority.profession",
        "the anaesthetic has an authority of its own, which is printed instead",
    ),
];

fn squeezed(text: &str) -> String {
    let is_break = |c: char| c.is_whitespace() || matches!(c, '\u{ad}' | '-' | '\u{2010}' | '\u{200b}');
    // Names stand in capitals in the banner, and a sentence begins with one.
    text.chars().filter(|c| !is_break(*c)).flat_map(char::to_lowercase).collect()
}

/// Fills in everything that a schema allows, and notes what went into each free text.
struct Filler {
    schema: Json,
    texts: BTreeMap<String, String>,
}

impl Filler {
    fn case() -> (Json, BTreeMap<String, String>) {
        let mut filler = Filler { schema: case_schema(), texts: BTreeMap::new() };
        let root = filler.schema.clone();
        let case = filler.fill(&root, "");
        (case, filler.texts)
    }

    /// The richest form of a value: a block before a list before a word.
    fn fill(&mut self, schema: &Json, path: &str) -> Json {
        if let Some(name) = schema["$ref"].as_str() {
            let target = self.schema.pointer(name.trim_start_matches('#')).cloned();
            return self.fill(&target.unwrap_or_else(|| panic!("{path}: no {name}")), path);
        }
        for several in ["anyOf", "oneOf", "allOf"] {
            if let Some(forms) = schema[several].as_array() {
                let filled = forms.iter().filter(|form| form["type"] != "null");
                let filled = filled.map(|form| self.richest(form, path));
                let best = filled.max_by_key(|(rank, _)| *rank).map(|(_, form)| form);
                return self.fill(&best.unwrap_or_else(|| panic!("{path}: no form")), path);
            }
        }
        if let Some(word) = schema["enum"].get(0).or(schema.get("const")) {
            return word.clone();
        }
        match kind(schema) {
            "object" => {
                let mut block = Map::new();
                for (key, entry) in schema["properties"].as_object().into_iter().flatten() {
                    // One toe stands for all ten.
                    if is_toe(key) && key != "L1" {
                        continue;
                    }
                    // A key of the clinic file, which is refused if it is no such key.
                    if key == "supply" {
                        continue;
                    }
                    let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                    block.insert(key.clone(), self.fill(entry, &below));
                }
                Json::Object(block)
            }
            "array" => json!([self.fill(&schema["items"].clone(), &format!("{path}[0]"))]),
            "boolean" => json!(true),
            "integer" => schema.get("minimum").cloned().unwrap_or(json!(1)),
            "number" => json!(2.5),
            "string" => match schema["examples"].get(0) {
                Some(example) => example.clone(),
                None => {
                    let at = self.texts.len();
                    let text = format!("T{at}q #x {{{{ y }}}} $z$ \"a\" é é 😀 T{at}z");
                    self.texts.insert(path.to_owned(), text.clone());
                    Json::String(text)
                }
            },
            other => panic!("{path}: a kind that the walk does not know: {other} {schema}"),
        }
    }

    /// How much a form can hold, and the form with its reference followed.
    fn richest(&self, form: &Json, path: &str) -> (usize, Json) {
        let followed = match form["$ref"].as_str() {
            Some(name) => self.schema.pointer(name.trim_start_matches('#')).cloned(),
            None => Some(form.clone()),
        };
        let followed = followed.unwrap_or_else(|| panic!("{path}: {form}"));
        // `{not_recorded: …}` stands in the place of a value: the value is the richer case.
        let is_gap = followed["properties"].get("not_recorded").is_some();
        let rank = match kind(&followed) {
            _ if is_gap => 1,
            "object" => 2 + followed["properties"].as_object().map_or(0, Map::len),
            "array" => 2,
            "string" if followed.get("examples").is_some() => 2,
            "string" if followed.get("enum").is_none() => 1,
            _ => 0,
        };
        (rank, followed)
    }
}

fn kind(schema: &Json) -> &str {
    match &schema["type"] {
        Json::String(kind) => kind,
        Json::Array(kinds) => {
            kinds.iter().filter_map(Json::as_str).find(|kind| *kind != "null").unwrap_or("")
        }
        _ if schema.get("properties").is_some() => "object",
        _ => "",
    }
}

fn is_toe(key: &str) -> bool {
    matches!(key.as_bytes(), [b'L' | b'R', b'1'..=b'5'])
}

/// The words of every document of a case, ours and those that poppler reads, without spaces.
fn all_words(case: &str, name: &str) -> String {
    all_words_in(Division::EnglandAndWales, case, name)
}

/// The same in another nation, whose law of consent asks for other words.
fn all_words_in(division: Division, case: &str, name: &str) -> String {
    let read = read_case(SourceText::new(name, case).into());
    assert!(read.diagnostics.is_empty(), "{name}: {:#?}", read.diagnostics);
    let clinic = read_clinic(demo::clinic());
    let clinic = clinic.value.map(std::sync::Arc::unwrap_or_clone).expect("the demo clinic reads");
    let clinic = Clinic { division, ..clinic };
    let facts = Facts::new(read.value.expect("it was read"), clinic, demo::today());
    let accepted = facts.case.accepted.iter().map(|entry| AnsweredCaution {
        title: "a caution".into(),
        says: "found".into(),
        because: entry.because.clone(),
        by: entry.by.clone(),
        incident: None,
        concerns_the_practice: true,
    });
    let edition = Edition {
        is_draft: true,
        version: 2,
        made_on: demo::today(),
        replaces: facts.case.amendment.clone().map(|because| Replaces {
            version: 1,
            issued_on: demo::today(),
            because,
            changes: Vec::new(),
        }),
        answered: accepted.collect(),
        open: vec!["open #x {{ x }} $y$".into()],
    };
    let press = Press::built_in();
    let folder = scratch();
    let mut all = String::new();
    for paper in papers(&facts) {
        let document = paper.document;
        let set = press
            .set(paper, &facts, &edition)
            .unwrap_or_else(|problem| panic!("{}", unguis::cli::error::chain(&problem)));
        let file = folder.path().join("x.pdf");
        std::fs::write(&file, &set.pdf).expect("scratch can be written");
        let outside = tool("pdftotext", &["-layout", &file.to_string_lossy(), "-"]);
        assert!(!outside.contains("#\""), "{}: an escape reached the page", document.name);
        all.push_str(&squeezed(&set.text));
        all.push_str(&squeezed(&tool("pdftotext", &["-raw", &file.to_string_lossy(), "-"])));
    }
    assert!(all.contains(&squeezed("open #x {{ x }} $y$")), "the open finding stands in a draft");
    all
}

#[test]
fn every_text_field_of_the_model_comes_out_literally() {
    let (case, texts) = Filler::case();
    assert!(texts.len() > 50, "the walk found only {} texts", texts.len());
    let mut all = all_words(&format!("{case:#}"), "walked.yaml");
    // A decision in the patient's best interests is another form than the patient's own consent.
    let mut decided = case.clone();
    decided["consent"]["by"] = json!("best interests");
    all.push_str(&all_words(&format!("{decided:#}"), "walked.yaml"));
    // So is that of an attorney, of a certificate in Scotland, and of a child there.
    for (division, born, by) in [
        (Division::EnglandAndWales, "1984-02-09", "attorney"),
        (Division::Scotland, "1984-02-09", "certificate"),
        (Division::Scotland, "2014-02-09", "patient"),
    ] {
        decided["patient"]["born"] = json!(born);
        decided["consent"]["by"] = json!(by);
        all.push_str(&all_words_in(division, &format!("{decided:#}"), "walked.yaml"));
    }
    let mut wrong = Vec::new();
    for (path, text) in &texts {
        let is_printed = all.contains(&squeezed(text));
        match NOT_PRINTED.iter().find(|(field, _)| field == path) {
            None if !is_printed => wrong.push(format!("{path}: {text:?} did not come out literally")),
            Some(_) if is_printed => wrong.push(format!("{path}: is printed; take it from the list")),
            _ => {}
        }
    }
    for (field, reason) in NOT_PRINTED {
        if !texts.contains_key(*field) || reason.is_empty() {
            wrong.push(format!("{field}: the model has no such text, or no reason is given"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Nothing that is about a patient, and nothing that was seen, asked, agreed, used or done, comes along with
/// `unguis new --like`: every text of the model is another one here.
#[test]
fn a_new_case_like_a_full_one_takes_over_none_of_its_texts() {
    let (case, texts) = Filler::case();
    let folder = scratch();
    let path = |name: &str| folder.path().join(name);
    std::fs::write(path("walked.yaml"), format!("{case:#}")).expect("scratch can be written");
    std::fs::write(path("clinic.yaml"), demo::CLINIC).expect("scratch can be written");
    let new = |args: &[&str]| {
        let ran = unguis_in(folder.path(), args);
        assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
        std::fs::read_to_string(path(ran.stdout.trim())).expect("it was written")
    };
    let like = new(&["new", "LFC-0300", "--like", "walked.yaml"]);
    let alone = new(&["new", "LFC-0301"]).replace("LFC-0301", "LFC-0300");
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let (like_lines, alone_lines) = (lines(&like), lines(&alone));
    assert_eq!(like_lines.len(), alone_lines.len());
    let added: Vec<_> = like_lines.iter().zip(&alone_lines).filter(|(one, other)| one != other).collect();
    // The operator is nobody of the clinic file, so only the room is left.
    assert_eq!(added.len(), 1, "{added:?}");
    assert!(added[0].0.trim_start().starts_with("room: "), "{added:?}");
    let room = &texts["booked.room"];
    for (field, text) in texts.iter().filter(|(field, _)| *field != "booked.room") {
        assert!(text == room || !like.contains(text.as_str()), "{field} came along");
        // Also as YAML writes it between quotation marks.
        let mark = text.split('q').next().unwrap_or_default();
        assert!(!like.contains(&format!("{mark}q")), "{field} came along");
    }
}

/// A case as a hand might write it: blocks and short forms mixed, long texts, words of the trade.
#[test]
fn a_hostile_case_comes_out_literally() {
    let all = all_words(HOSTILE, "hostile.yaml");
    let typed: serde_yaml::Value = serde_yaml::from_str(HOSTILE).expect("the fixture is YAML");
    let said = |path: &[&str]| {
        let found = path.iter().try_fold(&typed, |tree, key| tree.get(*key));
        found.and_then(serde_yaml::Value::as_str).unwrap_or_else(|| panic!("{path:?} is no text")).to_owned()
    };
    for path in [
        ["patient", "given"],
        ["patient", "family"],
        ["patient", "title"],
        ["patient", "language"],
        ["problem", "summary"],
        ["consent", "concerns"],
        ["consent", "interpreter"],
        ["operation", "findings"],
        ["operation", "complications"],
        ["operation", "note"],
        ["operation", "dressing"],
        ["operation", "discharge"],
    ] {
        let text = said(&path);
        assert!(all.contains(&squeezed(&text)), "{path:?}: {text:?} did not come out literally");
    }
    let read = read_case(SourceText::new("hostile.yaml", HOSTILE).into()).value.expect("it was read");
    let gaps = read.gaps();
    assert_eq!(gaps.len(), 8, "the fixture holds gaps that are printed each in its own way");
    for gap in gaps {
        assert!(all.contains(&squeezed(gap.reason)), "{}: {:?} did not come out", gap.path, gap.reason);
    }
}
