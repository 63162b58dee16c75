//! The lists about many cases as a clinic meets them: on the screen, for programs and on paper.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{Ran, demo_file, scratch, tool, unguis_in};

const DAY: &str = "2026-12-01";

/// A clinic with so many cases that are planned for one day.
fn planned(count: usize) -> tempfile::TempDir {
    let folder = scratch();
    fs::create_dir(folder.path().join("cases")).expect("scratch can be written");
    copy("clinic.yaml", folder.path());
    for at in 0..count {
        write(folder.path(), at, &plan(at));
    }
    folder
}

fn copy(name: &str, folder: &Path) {
    let (from, to) = (demo_file(name), folder.join("cases").join(name));
    fs::copy(from, to).expect("scratch can be written");
}

fn write(folder: &Path, at: usize, text: &str) {
    fs::write(folder.join(format!("cases/{at:03}.yaml")), text).expect("scratch can be written");
}

/// An invented case, planned for the day; later numbers come earlier in the day.
fn plan(at: usize) -> String {
    let (hour, minute) = (17 - at / 6, 50 - at % 6 * 10);
    format!(
        "reference: PLN-{at:03}
patient: {{given: Test, family: Invented{at:03}, born: 1980-01-{:02}, weight: {} kg, height: 170 cm}}
gp: birchgate
history: {{diabetes: none, conditions: [], medicines: [], allergies: none known}}
plan: {{L1: {{nail: partial, edges: [lateral], matrix: phenol}}}}
booked: {{on: {DAY}, at: \"{hour:02}:{minute:02}\", minutes: 10, room: Room 2}}
",
        at % 28 + 1,
        60 + at % 30
    )
}

fn day(folder: &Path, more: &[&str]) -> Ran {
    unguis_in(folder, ["day", DAY, "cases", "--today", "2026-11-27", "--at", "16:05"].iter().chain(more))
}

fn page(ran: &Ran, folder: &Path) -> PathBuf {
    folder.join(ran.stdout.lines().last().expect("the place of the page is printed"))
}

fn pages_of(pdf: &Path) -> Vec<String> {
    let text = tool("pdftotext", &["-layout", &pdf.display().to_string(), "-"]);
    let mut pages: Vec<String> = text.split('\u{c}').map(str::to_owned).collect();
    pages.pop();
    pages
}

fn json(ran: &Ran) -> Value {
    serde_json::from_str(&ran.stdout).unwrap_or_else(|_| panic!("{}{}", ran.stdout, ran.stderr))
}

#[test]
fn a_day_of_one_six_and_forty_operations_has_all_of_them_under_a_head_on_every_page() {
    for count in [1, 6, 40] {
        let folder = planned(count);
        let ran = day(folder.path(), &[]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let pages = pages_of(&page(&ran, folder.path()));
        for at in 0..count {
            let on = pages.iter().filter(|page| page.contains(&format!("PLN-{at:03}"))).count();
            assert_eq!(on, 1, "{at} of {count}");
        }
        for (at, page) in pages.iter().enumerate() {
            let head = format!("Page {} of {}", at + 1, pages.len());
            assert!(page.contains(&head) && page.contains("keep locked away"), "{page}");
            assert!(!page.contains("PLN-") || page.contains("Look out for"), "a head stands over every part");
        }
        assert!(count != 1 || pages.len() == 1);
        assert!(count != 6 || pages.len() <= 2, "{}", pages.len());
        let all = pages.concat();
        let order: Vec<usize> = (0..count).rev().filter_map(|at| all.find(&format!("PLN-{at:03}"))).collect();
        assert!(order.is_sorted(), "in the order of the times");
    }
}

#[test]
fn a_list_that_is_made_again_says_what_it_replaces_and_takes_its_place() {
    let folder = planned(1);
    let first = page(&day(folder.path(), &[]), folder.path());
    let again = unguis_in(folder.path(), ["day", DAY, "cases", "--today", "2026-11-27", "--at", "17:30"]);
    let second = page(&again, folder.path());
    assert!(pages_of(&second)[0].contains("version 2, replaces version 1 of 27-Nov-2026 16:05"));
    assert!(second.exists() && !first.exists());
    let verified = unguis_in(folder.path(), ["verify"]);
    assert!(verified.stderr.contains("nothing was issued there"), "{}{}", verified.stdout, verified.stderr);
}

#[test]
fn what_cannot_be_read_stands_on_the_page_and_on_the_screen() {
    let folder = planned(2);
    write(folder.path(), 7, "reference: PLN-007\npatient: [\n");
    fs::write(folder.path().join("cases/008.yaml"), [0xff, 0xfe]).expect("scratch can be written");
    let ran = day(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let all = pages_of(&page(&ran, folder.path())).concat();
    for file in ["cases/007.yaml", "cases/008.yaml"] {
        assert!(all.contains(file) && ran.stderr.contains(file), "{all}{}", ran.stderr);
    }
    assert!(ran.stderr.contains("2 cases read, 2 could not be"), "{}", ran.stderr);
    let found = json(&day(folder.path(), &["--format", "json"]));
    assert_eq!(found["left_out"].as_array().map(Vec::len), Some(2));
    // Nothing at all is no list.
    for at in [0, 1] {
        write(folder.path(), at, "patient: [\n");
    }
    let none = day(folder.path(), &[]);
    assert!(none.code == 1 && none.stderr.contains("not one case could be read"), "{}", none.stderr);
}

#[test]
fn an_empty_day_is_said_in_words() {
    let folder = planned(1);
    let ran = unguis_in(folder.path(), ["day", "2026-12-02", "cases", "--today", "2026-11-27"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let says = "o operation is booked or recorded for Wednesday 2 December 2026";
    assert!(ran.stdout.contains(says), "{}", ran.stdout);
    assert!(pages_of(&page(&ran, folder.path()))[0].contains(says));
}

#[test]
fn a_list_that_nobody_could_read_on_paper_is_made_for_the_screen_alone() {
    let folder = scratch();
    let here = folder.path();
    let invented = unguis_in(here, ["dev", "invent", "cases", "--count", "1001"]);
    assert_eq!(invented.code, 0, "{}", invented.stderr);
    let ran = unguis_in(here, ["outstanding", "cases", "--today", "2026-11-27"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.lines().count() > 1_000, "every line stands on the screen");
    for said in ["no page was made", "at most 1000 lines", "--format csv"] {
        assert!(ran.stderr.contains(said), "{said}: {}", ran.stderr);
    }
    assert!(!here.join("out").exists(), "nothing is written");
}

#[test]
fn what_is_planned_is_judged_by_its_own_day() {
    let folder = planned(0);
    // 17 today, 18 on the day of surgery.
    let born = plan(0).replace("born: 1980-01-01", "born: 2008-11-30");
    write(folder.path(), 0, &born);
    let rows = json(&day(folder.path(), &["--format", "json"]));
    let row = &rows["rows"][0];
    assert_eq!((row["age"].as_str(), row["order_reasons"].as_array().map(Vec::len)), (Some("18y"), Some(0)));
    // Mepivacaine 3 %, 4.4 mg/kg up to 300 mg (its product text): 60 kg are 264 mg, 8.8 ml.
    assert_eq!(row["allowance"], "8.8 ml");
    write(folder.path(), 0, &plan(0).replace("weight: 60 kg, ", ""));
    let unknown = json(&day(folder.path(), &["--format", "json"]));
    assert_eq!(unknown["rows"][0]["allowance"], "");
    assert!(unknown["rows"][0]["allowance_unknown"].as_str().is_some_and(|why| why.contains("weight")));
}

#[test]
fn a_table_names_nobody_unless_it_is_asked_to() {
    let folder = planned(2);
    let table = day(folder.path(), &["--format", "csv"]).stdout;
    assert!(!table.contains("INVENTED") && table.lines().count() == 3, "{table}");
    assert!(table.lines().skip(1).all(|line| line.contains("PLN-")) && table.contains("\r\n"));
    let named = day(folder.path(), &["--format", "csv", "--names"]).stdout;
    assert!(named.contains("\"INVENTED001, Test\""), "{named}");
    assert_eq!(table, day(folder.path(), &["--format", "csv", "--jobs", "1"]).stdout);
    assert!(!folder.path().join("out").exists(), "for programs no page is made");
}

/// A row that is longer than a page runs on to the next ones and is not cut at the foot.
#[test]
fn a_long_text_is_not_cut() {
    let folder = planned(3);
    let story = |from: &str, to: &str| format!("{from} {} {to}", "what was found and said ".repeat(70));
    let long = plan(1).replace(
        "conditions: []",
        &format!("conditions: [\"{}\", \"{}\"]", story("A1", "A2"), story("A3", "A4")),
    );
    write(folder.path(), 1, &long.replace("family: Invented001", &format!("family: {}", story("B1", "B2"))));
    let pdf = page(&day(folder.path(), &[]), folder.path());
    // Only what lies within the margins of the sheet, which is 297 by 210 mm.
    let inside = ["-x", "0", "-y", "0", "-W", "842", "-H", "565", "-r", "72", "-layout"];
    let words = tool("pdftotext", &[&inside[..], &[&pdf.display().to_string(), "-"]].concat());
    for mark in ["A1", "A2", "A3", "A4", "B1", "B2"] {
        assert!(words.contains(mark), "{mark} is cut");
    }
}

/// So on the lists about cases that were operated on.
#[test]
fn a_long_text_is_not_cut_on_any_list() {
    let folder = scratch();
    let here = folder.path();
    fs::create_dir(here.join("cases")).expect("scratch can be written");
    copy("clinic.yaml", here);
    let story = |from: &str, to: &str| format!("{from} {} {to}", "what was found and said ".repeat(70));
    let case = fs::read_to_string(demo_file("routine-adult.yaml")).expect("a demo case is there");
    let case = case.replace("family: Hollis", &format!("family: {}", story("A1", "A2"))).replace(
        "allergies: none known",
        &format!("allergies: [{{to: latex, reaction: \"{}\"}}]", story("B1", "B2")),
    );
    fs::write(here.join("cases/routine-adult.yaml"), case).expect("scratch can be written");
    let inside = |width: &str, height: &str, pdf: &Path| {
        let sheet = ["-x", "0", "-y", "0", "-W", width, "-H", height, "-r", "72", "-layout"];
        tool("pdftotext", &[&sheet[..], &[&pdf.display().to_string(), "-"]].concat())
    };
    let outstanding = list(here, &["outstanding"], &[]);
    let lot = list(here, &["trace", "M4417"], &[]);
    for (ran, marks) in [(&outstanding, &["A1", "A2"][..]), (&lot, &["A1", "A2", "B1", "B2"])] {
        // Only what lies within the margins of the sheet, which is 297 by 210 mm.
        let words = inside("842", "565", &page(ran, here));
        for mark in marks {
            assert!(words.contains(mark), "{mark} is cut");
        }
    }
}

/// A date is read at one glance: on no list does it go on in the next line.
#[test]
fn no_date_of_a_list_is_broken() {
    let folder = issued();
    let made = |command: &[&str]| {
        let ran = unguis_in(folder.path(), command.iter().chain(&["cases", "--today", "2026-11-27"]));
        page(&ran, folder.path())
    };
    let pages = [made(&["outstanding"]), made(&["trace", "M4417"]), made(&["day", "2026-11-24"])];
    for pdf in pages {
        // Each line of a cell by itself.
        let text = tool("pdftotext", &["-raw", &pdf.display().to_string(), "-"]);
        assert!(text.contains("-2026"), "{text}");
        let is_broken = |line: &&str| {
            let last = line.split_whitespace().last().unwrap_or_default();
            last.ends_with('-') && last.starts_with(|c: char| c.is_ascii_digit())
        };
        let broken: Vec<&str> = text.lines().filter(is_broken).collect();
        assert_eq!(broken, Vec::<&str>::new(), "{}", pdf.display());
    }
}

/// Text that would act in Typst or in Tera if it were code.
const HOSTILE: &str = "#x {{ y }} $z$ *b* _c_ @d <e> [f] // g";

#[test]
fn text_of_a_case_never_acts_on_a_list() {
    let folder = planned(0);
    for at in 0..3 {
        let case = plan(at)
            .replace("given: Test", &format!("given: \"Test {HOSTILE}\""))
            .replace("room: Room 2", &format!("room: \"{HOSTILE}\""))
            .replace("conditions: []", &format!("conditions: [\"{HOSTILE}\"]"));
        write(folder.path(), at, &case);
    }
    let ran = day(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let squeezed = |text: &str| text.split_whitespace().collect::<String>();
    let raw = tool("pdftotext", &["-raw", &page(&ran, folder.path()).display().to_string(), "-"]);
    assert!(squeezed(&raw).matches(&squeezed(HOSTILE)).count() >= 9, "{raw}");
}

// ------------------------------------------------------------------------ outstanding, print, sent

/// The demo cases with everything issued that can be.
fn issued() -> tempfile::TempDir {
    let folder = scratch();
    fs::create_dir(folder.path().join("cases")).expect("scratch can be written");
    for name in ["clinic.yaml", "routine-adult.yaml", "older-diabetes-anticoagulant.yaml", "overdose.yaml"] {
        copy(name, folder.path());
    }
    let ran = unguis_in(folder.path(), ["issue", "cases", "--today", "2026-11-25"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    folder
}

fn list(folder: &Path, command: &[&str], more: &[&str]) -> Ran {
    let all = command.iter().chain(&["cases", "--today", "2026-12-08", "--at", "09:00"]).chain(more);
    unguis_in(folder, all)
}

fn to_practices(folder: &Path) -> Vec<String> {
    let all = json(&list(folder, &["outstanding"], &["--format", "json"]));
    let rows = all["rows"]["to_send"].as_array().cloned().unwrap_or_default();
    let letters = rows.iter().filter(|row| row["to"] == "gp");
    letters.filter_map(|row| row["reference"].as_str().map(str::to_owned)).collect()
}

fn sent(folder: &Path, args: &[&str]) -> Ran {
    unguis_in(folder, ["sent"].iter().chain(args).chain(&["--today", "2026-12-08"]))
}

#[test]
fn what_has_not_gone_is_outstanding_until_it_is_entered_and_again_when_that_is_taken_back() {
    let folder = issued();
    let here = folder.path();
    assert_eq!(to_practices(here), ["LFC-0117", "LFC-0132", "LFC-0124"], "by practice, then by reference");
    let ran = sent(here, &["LFC-0117", "LFC-0132", "gp", "letter", "--to", "GP", "--how", "post"]);
    assert_eq!((ran.code, ran.stdout.lines().count()), (0, 2), "{}", ran.stderr);
    assert_eq!(to_practices(here), ["LFC-0124"]);
    let again = sent(here, &["LFC-0117", "LFC-0124", "gp-letter", "--to", "doctor"]);
    assert!(again.code == 2 && again.stderr.contains("already entered"), "{}", again.stderr);
    assert!(again.stdout.contains("LFC-0124"), "the other one is entered all the same: {}", again.stdout);
    let undone = sent(here, &["LFC-0132", "gp-letter", "--to", "gp", "--undo", "--because", "wrong case"]);
    assert!(undone.code == 0 && undone.stdout.starts_with("taken back: version 1"), "{}", undone.stderr);
    assert_eq!(to_practices(here), ["LFC-0132"]);
    let register = fs::read_to_string(here.join("out/register.jsonl")).expect("written");
    assert_eq!(register.matches("\"event\":\"sent\"").count(), 3, "nothing is removed");
    assert!(register.contains("\"how\":\"post\"") && register.contains("\"because\":\"wrong case\""));
    assert_eq!(unguis_in(here, ["verify"]).code, 0);
    let nothing = sent(here, &["LFC-0132", "gp-letter", "--to", "gp", "--undo", "--because", "again"]);
    assert!(nothing.code == 2 && nothing.stderr.contains("nothing to take back"), "{}", nothing.stderr);
    let all = sent(here, &["--letters"]);
    assert_eq!((all.code, to_practices(here).len()), (0, 0), "{}", all.stderr);
}

/// A case file that is lost or cannot be read takes its letter off no list unsaid.
#[test]
fn a_letter_whose_case_cannot_be_read_is_said_to_wait() {
    let folder = issued();
    let here = folder.path();
    fs::write(here.join("cases/routine-adult.yaml"), "reference: LFC-0117\npatient: [\n").expect("scratch");
    fs::remove_file(here.join("cases/overdose.yaml")).expect("scratch");
    let says = "letters have not gone of cases that were not read: LFC-0117 and LFC-0132";
    for command in [&["outstanding"][..], &["print", "--letters"]] {
        let ran = list(here, command, &[]);
        assert!(ran.code == 0 && ran.stderr.contains(says), "{}", ran.stderr);
        let paper = pages_of(&page(&ran, here)).concat();
        assert!(paper.split_whitespace().collect::<Vec<_>>().join(" ").contains(says), "{paper}");
    }
}

/// A file copied from another patient with its reference: neither is printed under the other's name.
#[test]
fn documents_of_one_patient_never_stand_beside_the_name_of_another() {
    let folder = issued();
    let here = folder.path();
    let other = fs::read_to_string(here.join("cases/overdose.yaml")).expect("copied");
    fs::write(here.join("cases/routine-adult.yaml"), other.replace("LFC-0132", "LFC-0117")).expect("scratch");
    let ran = list(here, &["print", "--letters"], &[]);
    assert!(ran.code == 0 && ran.stderr.contains("unguis explain another-patient"), "{}", ran.stderr);
    assert!(!pages_of(&page(&ran, here)).iter().any(|page| page.contains("HOLLIS")));
    assert!(!to_practices(here).contains(&"LFC-0117".to_owned()));
}

#[test]
fn somebody_is_found_on_the_screen_alone() {
    let folder = issued();
    let here = folder.path();
    for words in ["999 000 0018", "hollis", "9 Feb 1984", "lfc-0117"] {
        let ran = unguis_in(here, ["find", words, "cases"]);
        assert!(
            ran.code == 0 && ran.stdout.starts_with("LFC-0117  HOLLIS, Imogen"),
            "{words}: {}",
            ran.stdout
        );
        assert_eq!(ran.stdout.lines().count(), 1, "{words}");
    }
    let nobody = unguis_in(here, ["find", "999 000 0026", "cases"]);
    assert_eq!((nobody.code, nobody.stdout.as_str()), (0, "nobody answers to that\n"));
    let table = unguis_in(here, ["find", "hollis", "cases", "--format", "csv"]).stdout;
    assert!(table.contains("LFC-0117") && !table.contains("HOLLIS"), "{table}");
    assert!(!here.join("out/lists").exists());
}

#[test]
fn the_letters_are_bound_as_they_were_issued_each_on_a_right_hand_page() {
    let folder = issued();
    let here = folder.path();
    // A version that was replaced is not printed.
    let case = here.join("cases/routine-adult.yaml");
    let text = fs::read_to_string(&case).expect("copied").replace("injected: 2.2 ml", "injected: 2.3 ml");
    fs::write(&case, text).expect("scratch can be written");
    let because =
        ["issue", "cases/routine-adult.yaml", "--today", "2026-11-26", "--because", "volume mistyped"];
    assert_eq!(unguis_in(here, because).code, 0);
    let ran = list(here, &["print", "--letters"], &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let bound = here.join(ran.stdout.trim());
    let _ = tool("qpdf", &["--check", &bound.display().to_string()]);
    let pages = pages_of(&bound);
    let whole = |reference: &str, version: u32| {
        pages_of(&here.join(format!("out/{reference}/{reference}-gp-letter-{version}.pdf")))
    };
    let mut printed = 0;
    for (reference, version) in [("LFC-0117", 2), ("LFC-0132", 1), ("LFC-0124", 1)] {
        let letter = whole(reference, version);
        let begins = pages.iter().position(|page| *page == letter[0]).expect("the first page is there");
        assert!(begins % 2 == 0, "{reference} begins on page {}", begins + 1);
        assert_eq!(pages[begins..begins + letter.len()], letter[..], "its pages are as they were");
        assert!(pages[0].contains(&format!("{}", begins + 1)), "the cover says where it begins");
        printed += 1;
    }
    let blank = pages.iter().filter(|page| page.trim().is_empty()).count();
    let letters: usize = [("LFC-0117", 2), ("LFC-0132", 1), ("LFC-0124", 1)]
        .iter()
        .map(|(one, at)| whole(one, *at).len())
        .sum();
    assert_eq!(pages.len(), 1 + letters + blank);
    let info = tool("pdfinfo", &[&bound.display().to_string()]);
    assert!(info.contains(&format!("Pages:           {}", pages.len())), "{info}");
    // Who listens to it hears each letter as it was issued.
    let spoken = |pdf: &Path| -> Vec<String> {
        let tags = tool("pdfinfo", &["-struct-text", &pdf.display().to_string()]);
        tags.lines().map(str::trim).filter(|line| line.starts_with('"')).map(str::to_owned).collect()
    };
    let heard = spoken(&bound);
    for (reference, version) in [("LFC-0117", 2), ("LFC-0132", 1), ("LFC-0124", 1)] {
        let letter = spoken(&here.join(format!("out/{reference}/{reference}-gp-letter-{version}.pdf")));
        assert!(letter.len() > 50, "{reference}: {letter:?}");
        assert!(heard.windows(letter.len()).any(|part| part == letter), "{reference} is not read out whole");
    }
    assert_eq!(printed, to_practices(here).len());
    let entered = sent(here, &["--printed"]);
    assert_eq!((entered.code, entered.stdout.lines().count()), (0, 3), "{}", entered.stderr);
    assert!(to_practices(here).is_empty());
    let twice = sent(here, &["--printed"]);
    assert!(twice.code == 2 && twice.stderr.contains("no printing run waits"), "{}", twice.stderr);
    let none = list(here, &["print", "--letters"], &[]);
    assert_eq!((none.code, none.stdout.as_str()), (0, "no letter waits to be sent\n"));
}

#[test]
fn a_letter_that_is_not_as_it_was_issued_is_not_printed_and_one_issued_since_is_not_entered() {
    let folder = issued();
    let here = folder.path();
    let spoilt = here.join("out/LFC-0124/LFC-0124-gp-letter-1.pdf");
    fs::write(&spoilt, b"%PDF-1.7 not this").expect("scratch can be written");
    let ran = list(here, &["print", "--letters"], &[]);
    assert!(ran.code == 0 && ran.stderr.contains("not as it was issued"), "{}", ran.stderr);
    assert!(pages_of(&here.join(ran.stdout.trim()))[0].contains("LFC-0124-gp-letter-1.pdf"));
    let case = here.join("cases/routine-adult.yaml");
    let text = fs::read_to_string(&case).expect("copied").replace("injected: 2.2 ml", "injected: 2.3 ml");
    fs::write(&case, text).expect("scratch can be written");
    let because =
        ["issue", "cases/routine-adult.yaml", "--today", "2026-12-08", "--because", "volume mistyped"];
    let issued = unguis_in(here, because);
    assert_eq!(issued.code, 0, "{}", issued.stderr);
    let entered = sent(here, &["--printed"]);
    assert!(entered.code == 2 && entered.stderr.contains("print it again"), "{}", entered.stderr);
    assert!(entered.stdout.contains("LFC-0132"), "the others went: {}", entered.stdout);
}

#[test]
fn an_older_register_without_references_in_its_file_names_verifies() {
    let folder = issued();
    let here = folder.path();
    let register = here.join("out/register.jsonl");
    let text = fs::read_to_string(&register).expect("written");
    assert!(text.contains("\"file\":\"LFC-0117/LFC-0117-gp-letter-1.pdf\""), "{text}");
    // As an older version of the tool would have written it, line by line.
    let (mut older, mut last) = (unguis::register::chain::Register::default(), String::new());
    for line in text.lines() {
        let (mut event, _) = unguis::register::entry::parse(line).expect("a line of the register");
        if let unguis::register::entry::Event::Issued(issued) = &mut event {
            let short = issued.file.replacen(&format!("/{}-", issued.reference), "/", 1);
            for ending in ["pdf", "txt"] {
                let file = |name: &str| here.join("out").join(name.replace("pdf", ending));
                fs::rename(file(&issued.file), file(&short)).expect("scratch can be written");
            }
            issued.file = short;
        }
        last.push_str(&older.append(event));
    }
    fs::write(&register, &last).expect("scratch can be written");
    let end = fs::read_dir(here.join("out")).expect("it is there").filter_map(Result::ok);
    for file in end.filter(|file| file.file_name().to_string_lossy().contains("end")) {
        fs::remove_file(file.path()).expect("scratch can be written");
    }
    let verified = unguis_in(here, ["verify", "--format", "json"]);
    let verdict = json(&verified);
    let kinds: Vec<&str> = verdict["mismatches"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|one| one["kind"].as_str())
        .collect();
    assert_eq!(kinds, ["end-not-marked"], "{}", verified.stdout);
}

// ------------------------------------------------------------------------------------------- trace

#[test]
fn a_lot_is_traced_with_what_is_possible_and_what_is_not_excluded() {
    let folder = issued();
    let here = folder.path();
    let with = |from: &str, to: &str| {
        let case = here.join("cases/overdose.yaml");
        let text = fs::read_to_string(&case).expect("copied");
        assert!(text.contains(from), "the demo case no longer says {from}");
        fs::write(&case, text.replace(from, to)).expect("scratch can be written");
    };
    let found = |lot: &str, more: &[&str]| {
        let all = json(&list(here, &["trace", lot], &[&["--format", "json"], more].concat()));
        let rows = all["rows"].as_array().cloned().unwrap_or_default();
        rows.iter()
            .map(|row| format!("{} {}", row["reference"], row["found"]).replace('"', ""))
            .collect::<Vec<_>>()
    };
    with("anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M44I7}");
    assert_eq!(
        found("m 44-17", &["--of", "anaesthetic"]),
        ["LFC-0117 had", "LFC-0124 had", "LFC-0132 possible"].map(str::to_owned)
    );
    with("{supply: mepi, batch: M44I7}", "{agent: mepivacaine, strength: 3 %, expires: 2027-08}");
    assert_eq!(
        found("M4417", &["--of", "anaesthetic"]),
        ["LFC-0117 had", "LFC-0124 had", "LFC-0132 not-excluded"].map(str::to_owned)
    );
    assert!(found("P203", &["--of", "phenol"]).iter().all(|row| row.ends_with(" had")));
    let nobody = list(here, &["trace", "ZZ-TOP-9"], &["--of", "phenol"]);
    assert_eq!(nobody.code, 0);
    assert!(nobody.stdout.starts_with("nobody is recorded with lot ZZ-TOP-9\n"), "{}", nobody.stdout);
    // How somebody is reached stands on paper alone.
    let ran = list(here, &["trace", "M4417"], &[]);
    let paper = pages_of(&page(&ran, here)).concat();
    assert!(paper.contains("01632 960 144") && paper.contains("Lamplighter"), "{paper}");
    for more in [&[][..], &["--format", "json"], &["--format", "csv", "--names"]] {
        let screen = list(here, &["trace", "M4417"], more).stdout;
        assert!(!screen.contains("01632 960 144") && !screen.contains("Lamplighter"), "{screen}");
    }
}

#[test]
fn a_recall_of_one_six_and_forty_patients_has_all_of_them_under_a_head_on_every_page() {
    for count in [1, 6, 40] {
        let folder = scratch();
        let invented = unguis_in(folder.path(), ["dev", "invent", "cases", "--count", &count.to_string()]);
        assert_eq!(invented.code, 0, "{}", invented.stderr);
        let ran = list(folder.path(), &["trace", "M4417"], &[]);
        let pages = pages_of(&page(&ran, folder.path()));
        for at in 1..=count {
            let on = pages.iter().filter(|page| page.contains(&format!("TRY-{at:05}"))).count();
            assert_eq!(on, 1, "{at} of {count}");
        }
        assert!(
            pages.iter().all(|page| page.contains("Telephone, address")),
            "a head stands over every part"
        );
        assert!(ran.stdout.contains(&format!("{count} patient")), "{}", ran.stdout);
    }
}

#[test]
fn the_letters_of_one_six_and_forty_patients_all_stand_under_a_head_on_every_page() {
    for count in [1, 6, 40] {
        let folder = scratch();
        let here = folder.path();
        let invented = unguis_in(here, ["dev", "invent", "cases", "--count", &count.to_string()]);
        assert_eq!(invented.code, 0, "{}", invented.stderr);
        let issued = unguis_in(here, ["issue", "cases", "--only", "gp-letter", "--today", "2026-12-08"]);
        assert!(issued.code < 2, "{}", issued.stderr);
        let letters = to_practices(here).len();
        assert!(letters * 2 > count, "{letters} of {count}: {}", issued.stderr);
        let pages = pages_of(&page(&list(here, &["outstanding"], &[]), here));
        for at in 1..=count {
            let reference = format!("TRY-{at:05}");
            assert!(pages.iter().any(|page| page.contains(&reference)), "{at} of {count}");
        }
        for (at, page) in pages.iter().enumerate() {
            assert!(page.contains(&format!("Page {} of {}", at + 1, pages.len())), "{page}");
            assert!(page.contains("keep locked away"), "{page}");
            assert!(!page.contains("TRY-") || page.contains("Born"), "a head stands over every part: {page}");
        }
        let bound = list(here, &["print", "--letters"], &[]);
        assert_eq!(bound.code, 0, "{}", bound.stderr);
        let bound = pages_of(&here.join(bound.stdout.trim()));
        let is_cover = |page: &&String| page.contains("Letters to send") && page.contains("keep locked away");
        let cover: Vec<&String> =
            bound.iter().take_while(|page| is_cover(page) || page.trim().is_empty()).collect();
        let lines: usize = cover.iter().map(|page| page.matches("TRY-").count()).sum();
        assert_eq!(lines, letters, "each letter has its line on the cover");
        let head = |page: &&&String| !page.contains("TRY-") || page.contains("About");
        assert!(cover.iter().all(|page| head(&page)), "a head stands over every part");
    }
}

#[test]
fn several_cases_are_compared_and_several_registers_verified() {
    let folder = issued();
    let here = folder.path();
    let quiet = unguis_in(here, ["compare", "cases", "--today", "2026-11-25"]);
    assert_eq!((quiet.code, quiet.stdout.lines().count()), (0, 3), "{}{}", quiet.stdout, quiet.stderr);
    let case = here.join("cases/routine-adult.yaml");
    let text = fs::read_to_string(&case)
        .expect("copied")
        .replace("anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}");
    fs::write(&case, text).expect("scratch can be written");
    let changed = unguis_in(here, ["compare", "cases", "--today", "2026-11-25"]).stdout;
    assert!(changed.contains("LFC-0117:\noperation-note: 1 change since version 1"), "{changed}");
    let all = json(&unguis_in(here, ["compare", "cases", "--today", "2026-11-25", "--format", "json"]));
    assert_eq!(all["cases"].as_array().map(Vec::len), Some(3));
    let other = unguis_in(here, ["issue", "cases/overdose.yaml", "--today", "2026-11-25", "--out", "other"]);
    assert_eq!(other.code, 0, "{}", other.stderr);
    let both = unguis_in(here, ["verify", "out", "other"]);
    assert_eq!(both.code, 0, "{}", both.stdout);
    assert!(both.stdout.contains("out: ") && both.stdout.contains("other: "), "{}", both.stdout);
}
