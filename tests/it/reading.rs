//! Reading: every fault at its line, in one run, in plain words; and no input that makes it fall over.
//!
//! A file in `tests/fixtures/reading` says with a comment what is found on the line:
//! `# unreadable[unknown-key]`, several on one line if need be. The set must be exact. Files that
//! begin with `clinic-` are read as clinic files. What a comment would disturb is built here.

use std::collections::BTreeSet;
use std::sync::Arc;

use unguis::case::{READING_RULES, Spans, read_case, read_clinic, read_text, scan};
use unguis::diagnostic::render::{Style, json_finding, render, summary};
use unguis::diagnostic::{Diagnostic, Path, SourceText};

use crate::support::{self, Random, inputs};

/// Line and rule, sorted; the same rule can be found twice on a line.
type Found = Vec<(usize, String)>;

const BASE_CASE: &str = unguis::rules::example::BASE_CASE;
const BASE_CLINIC: &str = unguis::rules::example::BASE_CLINIC;

fn fixtures() -> Vec<(String, String)> {
    support::fixtures("reading")
}

fn source(text: &str) -> Arc<SourceText> {
    Arc::new(SourceText::new("case.yaml", text))
}

/// Everything found in a file, and whether data came out.
fn read(name: &str, text: &str) -> (Vec<Diagnostic>, bool) {
    let source = Arc::new(SourceText::new(name, text));
    if name.starts_with("clinic") {
        let read = read_clinic(source);
        (read.diagnostics, read.value.is_some())
    } else {
        let read = read_case(source);
        (read.diagnostics, read.value.is_some())
    }
}

fn found(diagnostics: &[Diagnostic]) -> Found {
    let mut found: Found = diagnostics
        .iter()
        .map(|one| (one.primary.source.line_column(one.primary.span.start).0, one.rule.to_owned()))
        .collect();
    found.sort();
    found
}

fn expected(text: &str) -> Found {
    let mut expected: Found = text
        .lines()
        .enumerate()
        .flat_map(|(at, line)| {
            let marks = line.split_once("# unreadable[").map_or("", |(_, marks)| marks);
            marks
                .split("unreadable[")
                .filter_map(|mark| mark.split_once(']'))
                .map(move |(rule, _)| (at + 1, rule.to_owned()))
                .collect::<Vec<_>>()
        })
        .collect();
    expected.sort();
    expected
}

/// The rules found in a text, by line; for files that are built here.
fn rules(text: &str) -> Found {
    let (diagnostics, is_data) = read("case.yaml", text);
    assert_eq!(is_data, diagnostics.is_empty(), "data exactly if nothing was found");
    found(&diagnostics)
}

fn one(line: usize, rule: &str) -> Found {
    vec![(line, rule.to_owned())]
}

#[test]
fn fixtures_are_found_faulty_exactly_where_they_say() {
    for (name, text) in fixtures() {
        let (diagnostics, is_data) = read(&name, &text);
        assert_eq!(found(&diagnostics), expected(&text), "{name}:\n{}", render(&diagnostics, Style::Short));
        assert_eq!(is_data, diagnostics.is_empty(), "{name}: data exactly if nothing was found");
    }
}

#[test]
fn every_kind_of_fault_is_shown_by_some_file() {
    let mut seen: BTreeSet<String> =
        fixtures().iter().flat_map(|(_, text)| expected(text)).map(|(_, rule)| rule).collect();
    // These cannot be shown by a fixture with comments; the tests below have them.
    let built = [
        "empty-file",
        "file-too-large",
        "too-deep",
        "several-documents",
        "not-plain-text",
        "not-utf8",
        "too-many-findings",
        "list-too-long",
    ];
    seen.extend(built.map(str::to_owned));
    let all: BTreeSet<String> = READING_RULES.iter().map(|rule| rule.name.to_owned()).collect();
    assert_eq!(seen, all);
}

/// What a remedy tells the reader to do, at its beginning or behind a colon or semicolon.
const TO_DO: [&str; 22] = [
    "add", "begin", "break", "check", "choose", "close", "correct", "delete", "double", "fill", "give",
    "indent", "keep", "put", "remove", "save", "shorten", "split", "take", "type", "use", "write",
];

/// A sentence that tells what to do, or names what was meant or may stand there.
fn is_remedy(text: &str) -> bool {
    let starts_with_deed = |part: &str| {
        let first = part.split_whitespace().next().unwrap_or_default();
        TO_DO.contains(&first.trim_end_matches(','))
    };
    text.split([':', ';']).any(starts_with_deed)
        || ["did you mean `", "` may hold `", "a correct one is `", "the top level may hold `"]
            .iter()
            .any(|offer| text.contains(offer))
}

/// Faults of the layout belong to no key.
const OF_THE_LAYOUT: [&str; 2] = ["yaml-syntax", "pasted-character"];

/// Faults of one value or key: the path leads to the line that is shown.
const OF_A_VALUE: [&str; 10] = [
    "unknown-key",
    "retired-key",
    "missing-key",
    "wrong-type",
    "bad-value",
    "empty-value",
    "nothing-as-item",
    "split-text",
    "tag",
    "hidden-character",
];

#[test]
fn every_finding_has_a_path_a_place_and_a_remedy() {
    for (name, text) in fixtures() {
        let tree = scan(&source(&text)).0;
        for diagnostic in read(&name, &text).0 {
            let (rule, path, span) = (diagnostic.rule, &diagnostic.path, diagnostic.primary.span);
            let place = text.get(span.start..span.end).unwrap_or_else(|| panic!("{name}: {rule}: {span:?}"));
            // A key that the whole file lacks has no place but the start of the file.
            let is_of_the_file = rule == "missing-key" && path.segments().len() == 1;
            assert!(!place.is_empty() || is_of_the_file, "{name}: {rule} at {path} shows nothing");
            assert!(!place.contains('\n'), "{name}: {rule} at {path}: {place:?}");

            assert!(*path != Path::root() || OF_THE_LAYOUT.contains(&rule), "{name}: {rule} has no path");
            if let Some(tree) = tree.as_ref().filter(|_| OF_A_VALUE.contains(&rule)) {
                let spans = Spans::of(tree.clone());
                let exists = |path: &Path| spans.value(path).is_some();
                let leads_to = match rule {
                    "missing-key" => path.parent().unwrap_or_default(),
                    _ => path.clone(),
                };
                assert!(exists(&leads_to), "{name}: {rule}: nothing stands at {path}");
                let line = |at: usize| diagnostic.primary.source.line_column(at).0;
                let near =
                    [spans.nearest(path, false), spans.nearest(path, true)].map(|span| line(span.start));
                let shown = line(span.start);
                assert!(near.contains(&shown), "{name}: {rule}: {path} is on {near:?}, not on {shown}");
            }
            let remedy = diagnostic.help.clone().unwrap_or_else(|| diagnostic.primary.text.clone());
            assert!(is_remedy(&remedy), "{name}: {rule}: {remedy:?} is no remedy");
        }
    }
}

#[test]
fn what_is_no_remedy_is_not_taken_for_one() {
    for not in ["the output is wrong", "like a key", "the type is not known", "this cannot be read"] {
        assert!(!is_remedy(not), "{not}");
    }
}

/// What a message offers is what helps: typed in its place, the fault is gone.
#[test]
fn what_a_message_offers_is_read() {
    let mut tried = 0;
    for (name, text) in fixtures() {
        for diagnostic in read(&name, &text).0 {
            let offer = diagnostic.help.as_ref().and_then(|help| help.strip_prefix("did you mean `"));
            let Some((offer, _)) = offer.and_then(|rest| rest.split_once('`')) else { continue };
            if offer.contains('.') {
                continue;
            }
            let span = diagnostic.primary.span;
            let mended = format!("{}{offer}{}", &text[..span.start], &text[span.end..]);
            let is_left =
                |one: &Diagnostic| one.rule == diagnostic.rule && one.primary.span.start == span.start;
            assert!(!read(&name, &mended).0.iter().any(is_left), "{name}: `{offer}` does not help");
            tried += 1;
        }
    }
    assert!(tried >= 8, "{tried} offers were tried");
}

/// The help of the only finding in a small case, with these lines added.
fn help(lines: &str) -> String {
    let text = format!(
        "reference: LFC-0001\npatient: {{given: Imogen, family: Hollis, born: 1984-02-09}}\n{lines}\n"
    );
    let (found, _) = read("case.yaml", &text);
    assert_eq!(found.len(), 1, "{lines}\n{}", render(&found, Style::Short));
    found[0].help.clone().unwrap_or_else(|| found[0].primary.text.clone())
}

#[test]
fn messages_lead_to_what_was_meant() {
    for (lines, part) in [
        ("history: {conditions: \"asthma, gout\"}", "`conditions: [asthma, gout]` if they are several"),
        ("history: {allergies: \"latex, iodine\"}", "if it is one, or `none known`"),
        (
            "history: {allergies: []}",
            "write `none known` if that is the answer; if nobody asked, remove the line",
        ),
        ("history: {allergies: none}", "write `none known` if it was asked"),
        ("history: {allergies: [nil]}", "write `allergies: none known` if it was asked"),
        ("history: {conditions: [asthma, none]}", "take it out of the list"),
        ("history: {diabetes: diet}", "`diabetes: {type: …}`"),
        ("DOB: 1984-02-09", "did you mean `patient.born`?"),
        ("history: {meds: [salbutamol]}", "did you mean `medicines`?"),
        ("problem: {summary: “pain” in the “nail”}", "type straight quotation marks, or none"),
        ("problem: {summary: # of 5th met\n}", "a text that begins with `#` needs quotation marks"),
        ("problem:\n  summary: > 2 cm of redness", "put the value in quotation marks"),
        ("consent:\n\u{2003} by: patient", "delete it and all like it on this line, and type blanks"),
        ("consent: {by: “patient}", "delete it and type `patient`"),
    ] {
        let help = help(lines);
        assert!(help.contains(part), "{lines}\n{help}");
    }
}

#[test]
fn a_clinic_file_in_words_of_ones_own_is_answered_key_by_key() {
    let text = "\
Clinic: Larkmoor Foot Clinic
Address: [2 Quay Street]
Phone: 01632 960 100
division: scotland
People:
  quill: Robin Quill
GP: {}
Opening days: [monday]
protocol: {redressing: 3, opening_days: [monday]}
";
    let (found, _) = read("clinic.yaml", text);
    let helps: Vec<&str> = found.iter().filter_map(|one| one.help.as_deref()).collect();
    assert_eq!(
        helps,
        [
            "did you mean `name`?",
            "did you mean `address`?",
            "did you mean `telephone`?",
            "did you mean `practitioners`?",
            "did you mean `gps`?",
            "did you mean `protocol.opening_days`?",
            "did you mean `first_redressing_days`?",
        ]
    );
    let (block, _) = BASE_CLINIC.split_once("{name: Robin Quill").expect("he is in the clinic file");
    let line = BASE_CLINIC[block.len()..].lines().next().expect("a line");
    let text = BASE_CLINIC.replace(line, "Robin");
    let (found, _) = read("clinic.yaml", &text);
    let said = found[0].help.as_deref();
    assert_eq!(
        said,
        Some("put its keys on the lines below, indented by two blanks: `name: …, registration: …, role: …`")
    );
}

#[test]
fn words_with_one_meaning_are_taken_for_it() {
    let history = |text: &str| {
        let text = BASE_CASE.replace("  conditions: []\n  medicines: []\n  allergies: none known\n", text);
        let read = read_case(source(&text));
        assert_eq!(found(&read.diagnostics), [], "{text}");
        read.value.and_then(|case| case.history.clone()).expect("there is a history")
    };
    for none in ["none", "None", "nil", "[none]", "[nil known]", "[]"] {
        let history = history(&format!("  conditions: {none}\n  medicines: {none}\n"));
        assert_eq!((history.conditions, history.medicines), (Some(Vec::new()), Some(Vec::new())), "{none}");
    }
    let history = history("  allergies: [penicillin, {to: latex, reaction: rash}]\n");
    let list = history.allergies.expect("a list");
    let to: Vec<&str> = list.list().iter().map(|allergy| allergy.to.as_str()).collect();
    assert_eq!(to, ["penicillin", "latex"]);
}

#[test]
fn files_of_a_word_processor_are_named() {
    for bytes in
        [&b"{\\rtf1\\ansi reference: LFC-0001}"[..], b"PK\x03\x04 word", b"\xd0\xcf\x11\xe0", b"%PDF-1.7"]
    {
        let problem = read_text("case.yaml", bytes).expect_err("no plain text");
        assert_eq!(problem.rule, "not-plain-text");
        assert!(problem.help.is_some_and(|help| help.contains("save it as plain text")));
    }
}

/// The letters and digits of a text in their order: what must never be lost.
fn letters(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Free text in all the places where one can stand.
fn places(text: &str) -> [String; 5] {
    [
        format!("problem:\n  summary: {text}\n  tried: packing\n"),
        format!("problem: {{summary: {text}, tried: packing}}\n"),
        format!("consent: {{alternatives: [no treatment, {text}]}}\n"),
        format!("consent:\n  alternatives:\n    - {text}\n    - no treatment\n"),
        format!("problem:\n  summary:\n    {text}\n  tried: packing\n"),
    ]
}

/// What was read of the free text of such a file, without what was not part of it; `None` if anything was
/// found, so that the practitioner has been told.
fn read_back(text: &str) -> Option<String> {
    let file =
        format!("reference: LFC-0001\npatient: {{given: Imogen, family: Hollis, born: 1984-02-09}}\n{text}");
    let read = read_case(source(&file));
    let case = read.value.map(std::sync::Arc::unwrap_or_clone)?;
    let problem = case.problem.and_then(|problem| problem.summary);
    let items = case.consent.and_then(|consent| consent.alternatives).unwrap_or_default();
    let items = items.into_iter().filter(|item| item != "no treatment");
    Some(problem.into_iter().chain(items).collect::<Vec<_>>().join("|"))
}

/// Whatever is typed as a free text: it is read letter by letter, or something is said.
#[test]
fn nothing_of_a_free_text_is_lost() {
    let pieces: Vec<&str> = "a|old|5th met|toe| |  |\t|#|# | # |, |,|: |:|(|)|[|]|{|}|\"|'|“|”|’|\u{a0}|\u{202f}|\\|/|- |-|*|&|!|%|@|`|~|\
         null|none|é|😀|½|=|?|? |<<|>|1 site|no|\n      # |\n      more|…"
        .split('|')
        .chain(["|"])
        .collect();
    let mut random = Random(0x2545_f491_4f6c_dd1d);
    let (mut kept, mut said) = (0, 0);
    for _ in 0..inputs(20_000) {
        let text: String = (0..=random.below(7)).map(|_| random.pick(&pieces)).collect();
        // In quotation marks: literally.
        if !text.trim().is_empty() && !text.contains('\n') {
            let quoted = serde_json::to_string(&text).expect("a text");
            for file in places(&quoted) {
                let back = read_back(&file);
                assert_eq!(back.as_deref(), Some(text.as_str()), "{file}");
            }
        }
        // Without: all of it, or a finding. Not compared is what is certainly a comment: behind quotation
        // marks or a closing bracket, or on a line of its own between brackets or above a text.
        let has = |signs: &[char]| text.contains(signs);
        if text.contains('#') && has(&['"', '\'', ']', '}']) || text.contains('"') && text.contains('\\') {
            continue;
        }
        let is_on_its_own = |at: usize| match at {
            1 | 2 => text.contains("\n      #"),
            4 => text.trim_start().starts_with('#'),
            _ => {
                text.trim_start().starts_with('#') && text.find('\n') < text.find('#') && text.contains('\n')
            }
        };
        for (at, file) in places(&text).into_iter().enumerate() {
            if is_on_its_own(at) {
                continue;
            }
            match read_back(&file) {
                Some(back) => {
                    kept += 1;
                    assert_eq!(letters(&back), letters(&text), "{file}");
                }
                None => said += 1,
            }
        }
    }
    assert!(kept > 5_000 && said > 5_000, "{kept} were kept, of {said} something was said");
}

#[test]
fn empty_files() {
    for text in ["", "\n\n", "# nothing yet\n", "---\n", "---\n...\n", "\u{feff}"] {
        let (diagnostics, _) = read("case.yaml", text);
        assert_eq!(diagnostics.iter().map(|one| one.rule).collect::<Vec<_>>(), ["empty-file"], "{text:?}");
    }
}

#[test]
fn the_top_level_is_a_block_of_keys() {
    assert_eq!(rules("- reference\n"), one(1, "wrong-type"));
    assert_eq!(rules("# a comment\nreference\n"), one(2, "wrong-type"));
    assert_eq!(rules("~\n"), one(1, "empty-value"));
}

#[test]
fn a_second_document_is_refused_and_not_read() {
    let text = format!("{BASE_CASE}---\nreference: lower-case\n");
    assert_eq!(rules(&text), one(BASE_CASE.lines().count() + 1, "several-documents"));
    assert_eq!(rules(&format!("---\n{BASE_CASE}...\n")), []);
}

#[test]
fn hidden_and_control_characters() {
    let line = BASE_CASE.lines().position(|line| line.contains("Hollis")).expect("her name") + 1;
    let with = |inside: &str| BASE_CASE.replace("Hollis", &format!("Hol{inside}lis"));
    for hidden in
        ['\u{202a}', '\u{202e}', '\u{2066}', '\u{2069}', '\u{200e}', '\u{61c}', '\u{200b}', '\u{200d}']
    {
        assert_eq!(rules(&with(&hidden.to_string())), one(line, "hidden-character"), "{hidden:?}");
    }
    for control in ['\0', '\u{1b}', '\u{7f}', '\u{85}', '\u{9f}', '\u{feff}', '\u{2028}'] {
        assert_eq!(rules(&with(&control.to_string())), one(line, "control-character"), "{control:?}");
    }
    for fine in ["é", "ü", "’", "\u{a0}", "😀", "e\u{301}"] {
        assert_eq!(rules(&with(fine)), [], "{fine:?}");
    }
    // In a comment, in a key and in front of a key they are refused as well, and nothing else is said.
    assert_eq!(rules(&format!("# a \u{202e} b\n{BASE_CASE}")), one(1, "hidden-character"));
    assert_eq!(rules(&BASE_CASE.replace("family", "fam\u{200b}ily")), one(line, "hidden-character"));
    assert_eq!(rules(&BASE_CASE.replace("  family", "  \u{200b}family")), one(line, "hidden-character"));
}

#[test]
fn line_breaks_of_other_systems() {
    assert_eq!(rules(&BASE_CASE.replace('\n', "\r\n")), []);
    assert_eq!(rules(&format!("\u{feff}{BASE_CASE}")), []);
    // A lone carriage return ends a comment for the parser but for few editors.
    assert_eq!(rules(&format!("# note \ramendment: hidden\n{BASE_CASE}")), one(1, "control-character"));
}

#[test]
fn places_are_right_after_characters_of_several_bytes() {
    let text = BASE_CASE.replace("Imogen", "Ímogén 😀").replace("weight: 68 kg", "weight: 10.5 st");
    let (diagnostics, _) = read("case.yaml", &text);
    let span = diagnostics[0].primary.span;
    assert_eq!(&text[span.start..span.end], "10.5 st");
    assert_eq!(diagnostics[0].path, Path::from("patient.weight"));
}

#[test]
fn both_places_of_a_key_given_twice() {
    let text = BASE_CASE.replace("  height: 171 cm", "  weight: 86 kg");
    let (diagnostics, _) = read("case.yaml", &text);
    let line = |label: &unguis::diagnostic::Label| label.source.line_column(label.span.start).0;
    assert_eq!(diagnostics.len(), 1);
    assert_eq!((line(&diagnostics[0].primary), line(&diagnostics[0].others[0])), (12, 11));
    assert_eq!(diagnostics[0].path, Path::from("patient.weight"));
}

#[test]
fn bytes_that_are_not_utf8_or_too_many() {
    let utf16: Vec<u8> =
        [0xff, 0xfe].into_iter().chain(BASE_CASE.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let problem = read_text("case.yaml", &utf16).expect_err("UTF-16");
    assert_eq!((problem.rule, problem.help.is_some_and(|help| help.contains("UTF-16"))), ("not-utf8", true));
    let latin =
        read_text("case.yaml", b"reference: LFC-0001\npatient: {given: Ren\xe9}\n").expect_err("Latin-1");
    assert_eq!(
        render(&[latin], Style::Short),
        "case.yaml:2:21: unreadable[not-utf8]: the file is not UTF-8 text: line 2, column 21 holds bytes that are \
         no character\n"
    );
    let large = read_text("case.yaml", &vec![b' '; (1 << 20) + 1]).expect_err("one byte too many");
    assert_eq!(large.rule, "file-too-large");
}

#[test]
fn depth_is_bounded_at_forty() {
    let nested = |levels: usize| format!("x: {}1{}\n", "[".repeat(levels - 1), "]".repeat(levels - 1));
    assert!(!rules(&nested(40)).contains(&(1, "too-deep".into())));
    assert_eq!(rules(&nested(41)), one(1, "too-deep"));
}

/// Files at the size limit, of the shapes that are dear: each gets an answer, and not an endless one.
#[test]
fn large_and_deep_files_are_answered() {
    const SIZE: usize = 1 << 20;
    let fill = |unit: &str| unit.repeat(SIZE / unit.len());
    let units = [
        "[", "{", "- ", "? ", "a", "\"", "'", "&a ", "*a ", "!a ", "<<: ", "a: ", "{a: ", "- a\n", "a: 1\n",
        "\n", " ", "\t", "#", "|\n", "[a: b, ", "a, ", "\u{202e}", "\0", "\r", "é", "---\n", "a:\n ",
        "- - a\n", "%", "\\",
    ];
    let mut files: Vec<String> = units.iter().map(|unit| fill(unit)).collect();
    files.push(format!("x: [{}]\n", fill("a: b, ")));
    files.push(format!("patient: {{given: \"{}\"}}\n", fill("é").split_at(SIZE - 64).0));
    files.push((0..70_000).map(|at| format!("k{at}: 1\n")).collect());
    files.push((0..19_000).map(|at| format!("patient_{at}: x\n")).collect());
    files.push((0..39).map(|at| format!("{}{}:\n", " ".repeat(at), "k".repeat(60))).collect());
    files.push(format!("medicines: [{}]", fill("{a: [1, 2]}, ")));
    for text in files {
        let (diagnostics, is_data) = read("case.yaml", &text);
        assert!(!diagnostics.is_empty() && !is_data, "{:?}…", text.chars().take(20).collect::<String>());
        assert!(diagnostics.len() <= 201);
        assert!(!render(&diagnostics, Style::Human { colour: true }).is_empty());
    }
}

#[test]
fn a_file_of_nothing_but_faults_says_how_many_more() {
    let text: String = (0..300).map(|at| format!("unknown_{at}: x\n")).collect();
    let (diagnostics, _) = read("case.yaml", &text);
    let last = diagnostics.last().expect("findings");
    assert_eq!((diagnostics.len(), last.rule), (201, "too-many-findings"));
    assert_eq!(last.primary.text, "102 more were found in this file", "and two keys are missing");
}

#[test]
fn a_file_with_several_faults_as_it_is_printed() {
    let text = "\
reference: LFC-0001
patient:
  given: Imogen
  famly: Hollis
  born: 9/2/84
  weight:
  given: Jane
consent: {signed: 2026-11-20, by: pateint}
";
    let (diagnostics, _) = read("cases/hollis.yaml", text);
    insta::assert_snapshot!(render(&diagnostics, Style::Human { colour: false }), @r"
    unreadable[unknown-key]: a key is not known here
     --> cases/hollis.yaml:4:3
      |
    4 |   famly: Hollis
      |   ^^^^^ `famly` does not belong to `patient`
      |
    help: did you mean `family`?

    unreadable[bad-value]: a value cannot be used
     --> cases/hollis.yaml:5:9
      |
    5 |   born: 9/2/84
      |         ^^^^^^ `9/2/84` has a year of two digits: write it in full, like `9 Feb 1984`

    unreadable[empty-value]: a key has no value
     --> cases/hollis.yaml:6:3
      |
    6 |   weight:
      |   ^^^^^^ `weight` has no value
      |
    help: fill it in or remove the line

    unreadable[duplicate-key]: a key is given twice
     --> cases/hollis.yaml:7:3
      |
    3 |   given: Imogen
      |   ----- it is given here first
    ...
    7 |   given: Jane
      |   ^^^^^ `given` again
      |
      = why: Only one of the two values could be used, and which one cannot be seen in the documents.
    help: keep the right one and remove the other

    unreadable[bad-value]: a value cannot be used
     --> cases/hollis.yaml:8:35
      |
    8 | consent: {signed: 2026-11-20, by: pateint}
      |                                   ^^^^^^^ `pateint` is not a known word for `by`
      |
    help: did you mean `patient`?
    ");
    let short = render(&diagnostics, Style::Short);
    assert_eq!(
        short.lines().next(),
        Some(
            "cases/hollis.yaml:4:3: unreadable[unknown-key]: a key is not known here: `famly` does not belong \
             to `patient`"
        )
    );
    assert_eq!((short.lines().count(), summary(&diagnostics).as_str()), (5, "5 unreadable places"));
    assert_eq!(
        json_finding(&diagnostics[0]),
        serde_json::json!({
            "rule": "unknown-key", "severity": "unreadable", "path": "patient.famly", "line": 4, "column": 3,
            "message": "a key is not known here: `famly` does not belong to `patient`",
            "help": "did you mean `family`?", "source": null, "accepted": null,
            "holds": [],
        })
    );
}

/// Damages good files at random, from a fixed seed, and reads what comes out.
#[test]
fn no_damage_makes_reading_fall_over() {
    let seeds = [
        (BASE_CASE.to_owned(), "case.yaml"),
        (BASE_CLINIC.to_owned(), "clinic.yaml"),
        (fixtures().into_iter().map(|(_, text)| text).collect(), "case.yaml"),
    ];
    let pieces: Vec<&str> = "\n| |\t|  |:|: |- |? |#| #|{|}|[|]|,|, |\"|'|\\|&a |*a|!x |!!str |<<: |---\n|...\n|%|@|>|~|null|true\
         |0|-1|1e9|é|😀|\u{202e}|\u{200b}|\u{feff}|\u{301}|\0|\r|\r\n|R1: |toes:|2026-02-30|68 kg|\"\\u0000\"|\"\\x"
        .split('|')
        .chain(["|", ">"])
        .collect();
    let mut random = Random(0x9e37_79b9_7f4a_7c15);
    let mut clean = 0;
    for round in 0..inputs(20_000) {
        let (seed, name) = &seeds[if round % 50 == 0 { 2 } else { round % 2 }];
        let mut text: Vec<char> = seed.chars().collect();
        // A part of the file is enough and keeps it fast.
        let from = random.below(text.len());
        if round % 4 != 0 {
            text = text.into_iter().skip(from).take(400).collect();
        }
        for _ in 0..=random.below(4) {
            let at = random.below(text.len() + 1);
            let end = (at + random.below(12)).min(text.len());
            let piece = pieces[random.below(pieces.len())].chars();
            match random.below(4) {
                0 => text.splice(at..end, std::iter::empty()).for_each(drop),
                1 => text.splice(at..at, piece).for_each(drop),
                2 => text.splice(at..end, piece).for_each(drop),
                _ => {
                    let copy: Vec<char> = text[at..end].to_vec();
                    let to = random.below(text.len() + 1);
                    text.splice(to..to, copy).for_each(drop);
                }
            }
        }
        let text: String = text.into_iter().collect();
        let (diagnostics, is_data) = read(name, &text);
        assert_eq!(is_data, diagnostics.is_empty(), "{text}");
        for diagnostic in &diagnostics {
            let span = diagnostic.primary.span;
            assert!(text.get(span.start..span.end).is_some(), "{} in\n{text}", diagnostic.rule);
        }
        clean += usize::from(is_data);
        if round % 10 == 0 {
            assert_eq!(render(&diagnostics, Style::Human { colour: false }).is_empty(), is_data);
        }
    }
    assert!(clean > 100, "some damage is harmless, or the seeds are not read at all: {clean}");
}

/// The tree holds what another reader of the same text sees: no value moves and none is lost.
#[test]
fn the_tree_agrees_with_a_second_reader() {
    let good = fixtures().into_iter().filter(|(_, text)| expected(text).is_empty()).map(|(_, text)| text);
    for text in good.chain([BASE_CASE.to_owned(), BASE_CLINIC.to_owned()]) {
        let (tree, diagnostics) = scan(&source(&text));
        assert_eq!(found(&diagnostics), []);
        let tree = tree.expect("a good file");
        let other: serde_yaml::Value = serde_yaml::from_str(&text).expect("a good file");
        let spans = Spans::of(tree);
        let mut leaves = 0;
        compare(&Path::root(), &other, &spans, &text, &mut leaves);
        assert!(leaves >= 5, "{text}");
    }
}

fn compare(path: &Path, value: &serde_yaml::Value, spans: &Spans, text: &str, leaves: &mut usize) {
    let span = spans.value(path).unwrap_or_else(|| panic!("`{path}` is lost"));
    match value {
        serde_yaml::Value::Mapping(entries) => {
            for (key, value) in entries {
                let key = key.as_str().expect("keys are text");
                let place = spans.key(&path.key(key)).expect("the key of a value that is there");
                assert_eq!(&text[place.start..place.end], key);
                compare(&path.key(key), value, spans, text, leaves);
            }
        }
        serde_yaml::Value::Sequence(items) => {
            for (at, item) in items.iter().enumerate() {
                compare(&path.index(at), item, spans, text, leaves);
            }
        }
        serde_yaml::Value::String(value) if !value.contains('\n') => {
            *leaves += 1;
            assert_eq!(text[span.start..span.end].trim_matches(['"', '\'']), value);
        }
        _ => *leaves += 1,
    }
}
