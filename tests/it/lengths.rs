//! What is very long, and what is written in other letters: nothing leaves the page, nothing is a fault of the
//! program, and names can be set as they are written.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use unguis::demo;
use unguis::documents::DOCUMENTS;
use unguis::pipeline::{Press, Version, check};

use crate::support::{Ran, demo_file, root, scratch, tool, unguis_in};

/// The routine case with changes, and its clinic, drafted in a folder of their own.
fn drafted(changes: &[(&str, &str)]) -> (tempfile::TempDir, Ran) {
    let folder = scratch();
    let case = demo_file("routine-adult.yaml");
    let mut text = fs::read_to_string(case).expect("a demo case");
    for (from, to) in changes {
        assert!(text.contains(from), "the case no longer says {from}");
        text = text.replacen(from, to, 1);
    }
    fs::write(folder.path().join("case.yaml"), text).expect("scratch can be written");
    fs::copy(root().join("cases/clinic.yaml"), folder.path().join("clinic.yaml")).expect("scratch");
    let ran = unguis_in(folder.path(), ["draft", "case.yaml", "--today", "2026-11-25"]);
    (folder, ran)
}

fn pdfs(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder.join("out/LFC-0117")).expect("something was drafted");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    paths.filter(|path| path.extension().is_some_and(|ending| ending == "pdf")).collect()
}

const LONG: &str = "Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch";

#[test]
fn a_list_has_a_limit_and_many_dates_are_no_fault() {
    let items = |count: usize, item: &str| {
        let items = (0..count).map(|at| format!("\"drug{at}{item}\""));
        format!("medicines: [{}]", items.collect::<Vec<_>>().join(", "))
    };
    let (_, ran) = drafted(&[("medicines: [salbutamol]", &items(201, ""))]);
    assert_eq!(ran.code, 1, "{}", ran.stderr);
    let said = ran.stdout + &ran.stderr;
    assert!(said.contains("list-too-long") && said.contains("201 entries, and 200 are the most"), "{said}");
    let line = format!("  {}", items(201, ""));
    let at = line.find("\"drug200\"").expect("the first that is too many") + 1;
    assert!(said.contains(&format!("case.yaml:18:{at}")), "at the first that is too many: {said}");
    let dates = " 01-Jan-2020 01-Feb-2020 01-Mar-2020 01-Apr-2020";
    let (folder, ran) = drafted(&[("medicines: [salbutamol]", &items(200, dates))]);
    assert!(ran.code <= 1, "{}{}", ran.stdout, ran.stderr);
    assert!(!pdfs(folder.path()).is_empty());
}

/// A word with its place: left, top, right, bottom, in points.
struct Word {
    at: [f32; 4],
    text: String,
}

fn words(pdf: &Path) -> Vec<Vec<Word>> {
    let html = tool("pdftotext", &["-bbox", &pdf.to_string_lossy(), "-"]);
    let mut pages = Vec::new();
    for line in html.lines().map(str::trim) {
        if line.starts_with("<page") {
            pages.push(Vec::new());
        }
        let Some(word) = line.strip_prefix("<word ") else { continue };
        let number = |key: &str| {
            let from = word.split(&format!("{key}=\"")).nth(1).expect("a word has a place");
            from.split('"').next().and_then(|number| number.parse().ok()).expect("a number")
        };
        let at = ["xMin", "yMin", "xMax", "yMax"].map(number);
        let text = word.split('>').nth(1).and_then(|rest| rest.split('<').next()).unwrap_or("").to_owned();
        pages.last_mut().expect("a word stands on a page").push(Word { at, text });
    }
    pages
}

/// In the table of three toes, in the address of a letter, in names, lists and sentences.
#[test]
fn a_long_word_stays_in_its_column_and_on_the_page() {
    let folder = scratch();
    let press = Press::built_in();
    let mut looked_at = 0;
    let mut broken = 0;
    for (name, text) in demo::CASES {
        let text = text
            .replace("4 Tern Row", &format!("at {LONG}"))
            .replace("salbutamol", &LONG[..50])
            .replace("end_point: tissue grey", &format!("end_point: {}", &LONG[..55]))
            .replace("until tissue grey", &format!("end point {}", &LONG[..55]));
        let checked = check(demo::source(name, &text), &demo::clinic(), demo::today());
        let edition = checked.edition(Version::Issue { version: 1, replaces: None }, demo::today());
        let facts = checked.facts.as_ref().expect("it can be read");
        for paper in checked.ready(&[]) {
            let set = press.set(paper, facts, &edition).expect("it is set");
            let file = folder.path().join("x.pdf");
            fs::write(&file, &set.pdf).expect("scratch can be written");
            looked_at += 1;
            broken += usize::from(set.text.contains(&LONG[..50]));
            let raw = tool("pdftotext", &["-raw", &file.to_string_lossy(), "-"]);
            assert!(!raw.contains('\u{200b}'), "{name}: a break is left in the text");
            for page in words(&file) {
                for word in &page {
                    let [left, top, right, bottom] = word.at;
                    let is_on_page = left > 40.0 && right < 555.5 && top > 30.0 && bottom < 812.0;
                    assert!(is_on_page, "{name}: {} at {:?}", word.text, word.at);
                }
                // Words of one line stand beside each other.
                for (at, one) in page.iter().enumerate() {
                    for other in &page[at + 1..] {
                        let [left, top, right, bottom] = [
                            one.at[0].max(other.at[0]),
                            one.at[1].max(other.at[1]),
                            one.at[2].min(other.at[2]),
                            one.at[3].min(other.at[3]),
                        ];
                        let height = (one.at[3] - one.at[1]).min(other.at[3] - other.at[1]);
                        let is_over = right - left > 2.0 && bottom - top > 0.6 * height;
                        let is_long = one.text.len().max(other.text.len()) >= 10;
                        assert!(!(is_over && is_long), "{name}: {} over {}", one.text, other.text);
                    }
                }
            }
        }
    }
    assert!(looked_at > DOCUMENTS.len() && broken > 3, "{looked_at} documents, {broken} with a long word");
}

/// The large languages of Britain beside English, as the census of 2021 counts them, so far as they have
/// letters of their own: names from memory.
const NAMES: [(&str, &str); 8] = [
    ("Urdu", "عائشہ"),
    ("Panjabi", "ਗੁਰਪ੍ਰੀਤ"),
    ("Bengali", "আয়েশা"),
    ("Gujarati", "પ્રિયંકા"),
    ("Tamil", "தமிழ்ச்செல்வி"),
    ("Hindi", "प्रियंका"),
    ("Arabic", "عائشة"),
    ("Chinese", "陳美玲"),
];

#[test]
fn a_name_is_set_as_it_is_written() {
    for (language, name) in NAMES {
        let (folder, ran) =
            drafted(&[("given: Imogen", &format!("given: Imogen\n  name_as_written: \"{name}\""))]);
        assert_eq!(ran.code, 0, "{language}: {}{}", ran.stdout, ran.stderr);
        let faces: BTreeMap<bool, usize> =
            pdfs(folder.path()).iter().fold(BTreeMap::new(), |mut all, pdf| {
                let fonts = tool("pdffonts", &[&pdf.to_string_lossy()]);
                let has_more = fonts.lines().skip(2).any(|font| {
                    font.contains("NotoSans") && !font.contains("NotoSans-") && !font.contains("DejaVu")
                });
                *all.entry(has_more).or_default() += 1;
                all
            });
        assert!(faces.get(&true).is_some_and(|count| *count > 0), "{language}: nothing is set in it");
    }
}

/// The letter of the name stands in the text once, with both its accents.
#[test]
fn an_accent_upon_an_accent_does_not_double_its_letter() {
    let (folder, ran) = drafted(&[("family: Hollis", "family: \"Ẹ̀gbẹ́-Adéṣọlá\"")]);
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let mut found = 0;
    for pdf in pdfs(folder.path()) {
        let text = tool("pdftotext", &["-raw", &pdf.to_string_lossy(), "-"]);
        assert!(!text.contains("Ẹ̀Ẹ") && !text.contains("ẸẸ") && !text.contains("ẹ́ẹ"), "{text}");
        found += usize::from(text.contains("Ẹ̀gbẹ́-Adéṣọlá"));
    }
    assert!(found > 0, "the name is not found in the PDF");
}

/// The pages that do not print it are made; the file is still said to have it.
#[test]
fn one_character_holds_only_the_pages_that_print_it() {
    let text = |text: &str| demo::source("case", text);
    let case = demo::CASES.iter().find(|(name, _)| *name == "routine-adult.yaml").expect("a demo case").1;
    let changed = case.replacen("salbutamol", "salbutamol ሰ", 1);
    let checked = check(text(&changed), &demo::clinic(), demo::today());
    let all = check(text(case), &demo::clinic(), demo::today()).ready(&[]).len();
    let ready = checked.ready(&[]);
    assert!(!ready.is_empty() && ready.len() < all, "{} of {all}", ready.len());
    assert!(ready.iter().all(|paper| paper.document.name != "operation-note"));
    let finding = checked.diagnostics.iter().find(|one| one.rule == "character-not-printable");
    let finding = finding.expect("it is said");
    assert!(finding.holds.contains(&"operation-note") && !finding.holds_all, "{:?}", finding.holds);
    let facts = checked.facts.as_ref().expect("it can be read");
    let edition = checked.edition(Version::Draft, demo::today());
    for paper in ready {
        Press::built_in().set(paper, facts, &edition).expect("it can be set");
    }
}
