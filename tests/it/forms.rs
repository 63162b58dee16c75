//! What people type: each natural way to say a thing is read as that thing, or refused with what to write.
//!
//! The forms themselves are tried with their examples in `src/case/forms/`; here they stand in whole cases.

use std::fmt::Debug;
use std::sync::Arc;

use unguis::case::{Shelf, read_case_with, read_clinic, shortened, tidied, unfolded};
use unguis::demo;
use unguis::diagnostic::{Diagnostic, Severity, SourceText};
use unguis::pipeline::{Checked, check};

use crate::support::{Random, demo_file, inputs, root, scratch, tool, unguis_in};

/// The routine demo case with a piece of it typed in another way.
fn routine(edits: &[(&str, &str)]) -> String {
    // What it takes from the boxes of the clinic, written out: forms stand in those values too.
    let mut text = demo_case("routine-adult.yaml")
        .replace(
            "anaesthetic: mepi\n",
            "anaesthetic: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}\n",
        )
        .replace("phenol: ph\n", "phenol: {strength: 89 %, batch: P203, expires: 2027-03}\n");
    for (from, to) in edits {
        assert!(text.contains(from), "the routine case has no {from:?}");
        text = text.replacen(from, to, 1);
    }
    text
}

fn demo_case(name: &str) -> String {
    std::fs::read_to_string(demo_file(name)).expect("a demo case")
}

fn checked(text: &str) -> Checked {
    check(Arc::new(SourceText::new("LFC-0117.yaml", text)), &demo::clinic(), demo::today())
}

/// Rule, label and help of everything that was found.
fn says(found: &[Diagnostic]) -> Vec<String> {
    let line = |one: &Diagnostic| {
        format!("{}: {}; {}", one.rule, one.primary.text, one.help.as_deref().unwrap_or_default())
    };
    found.iter().map(line).collect()
}

fn data<T: Debug>(value: Option<T>) -> String {
    format!("{:?}", value.expect("it reads"))
}

fn model(text: &str) -> String {
    let clinic = read_clinic(demo::clinic()).value.expect("the demo's clinic reads");
    let read =
        read_case_with(Arc::new(SourceText::new("LFC-0117.yaml", text)), Shelf::Known(&clinic.supplies));
    assert!(read.diagnostics.is_empty(), "{:?}\n{text}", says(&read.diagnostics));
    data(read.value)
}

/// Where in the routine case, what stands there, what is typed in its place, and what it is in full.
const READ: &[(&str, &str, &str)] = &[
    ("  date: 2026-11-24", "  date: 24/11/2026", ""),
    ("  date: 2026-11-24", "  date: 24 Nov 2026", ""),
    ("  date: 2026-11-24", "  date: 24-11-2026", ""),
    ("      at: \"09:35\"", "      at: 9.35", ""),
    ("      at: \"09:35\"", "      at: 9:35", ""),
    ("      at: \"09:35\"", "      at: 0935", ""),
    ("      at: \"09:35\"", "      at: 9.35am", ""),
    ("      at: \"09:35\"", "      at: \"09.35\"", ""),
    ("      at: \"09:35\"", "      at: 09:35", ""),
    ("      at: \"09:35\"", "      at: “09:35”", ""),
    ("smoker: false", "smoker:\u{a0}false", ""),
    ("  smoker: false", "\u{a0}\u{a0}smoker: false", ""),
    ("68 kg", "68kg", ""),
    ("68 kg", "68 KG", ""),
    ("68 kg", "68 Kg", ""),
    ("68 kg", "68 kgs", ""),
    ("68 kg", "10 st 7", "10 st 7 lb"),
    ("68 kg", "150 lb", "150 lb"),
    ("171 cm", "5'11\"", "5 ft 11 in"),
    ("171 cm", "1.8 m", "180 cm"),
    ("2.2 ml", "2.2mls", ""),
    ("2.2 ml", "2.2 ML", ""),
    ("each: 60 s", "each: 60 secs", ""),
    ("each: 60 s", "each: 60secs", ""),
    (
        "eight months of pain, two courses of antibiotics",
        "pain in the toe: 6 months",
        "\"pain in the toe: 6 months\"",
    ),
    ("    L1: {edges", "    Left big toe: {edges", ""),
    ("    L1: {edges", "    L hallux: {edges", ""),
    ("    L1: {edges", "    Lt hallux: {edges", ""),
    ("    L1: {edges", "    l1: {edges", ""),
    ("edges: [lateral], stage", "edges: lateral, stage", ""),
    ("edges: [lateral], stage", "edges: both, stage", "edges: [medial, lateral], stage"),
    ("nail: partial, edges", "nail: PNA, edges", ""),
    ("nail: partial, edges", "nail: TNA, edges", "nail: total, edges"),
    ("matrix: phenol", "matrix: Phenol", ""),
    ("sex: female", "sex: Male", "sex: male"),
    ("by: patient", "by: Patient", ""),
    ("smoker: false", "smoker: yes", "smoker: true"),
    ("smoker: false", "smoker: no", ""),
    ("smoker: false", "smoker: ex", "smoker: ex"),
    ("none known", "NKDA", "NKDA"),
    ("none known", "nil known", ""),
    ("none known", "penicillin", "[penicillin]"),
    (
        "toe: 110, pulses: palpable",
        "toe: 110, pulses: DP + PT palpable",
        "toe: 110, pulses: DP palpable + PT palpable",
    ),
    ("diabetes: none", "diabetes: type 2", "diabetes: {type: 2}"),
    ("diabetes: none", "diabetes: {type: 2, hba1c: 54}", "diabetes: {type: 2, hba1c: 54 mmol/mol}"),
    ("diabetes: none", "diabetes: no", ""),
    ("refill: 2 s", "refill: <3s", "refill: <3 s"),
    ("refill: 2 s", "refill: <3 s", "refill: <3 s"),
    ("phenol: {applications: 3, each: 60 s}", "phenol: 3 x 60s", ""),
    ("tourniquet: {on: \"09:50\", off: \"10:01\"}", "tourniquet: 9.50 to 10.01", ""),
    (
        "injected: 2.2 ml",
        "injected: 2.2 ml at 9.35 + 0.6 ml at 10.05",
        "injected: [{volume: 2.2 ml, at: \"09:35\"}, {volume: 0.6 ml, at: \"10:05\"}]",
    ),
    (
        "injected: 2.2 ml",
        "injected: 2.2 ml + 0.6 ml top up at 10:55",
        "injected: [{volume: 2.2 ml}, {volume: 0.6 ml, at: \"10:55\"}]",
    ),
    ("conditions: [asthma]", "conditions: asthma", ""),
    ("conditions: [asthma]", "conditions: nil", "conditions: none"),
    ("conditions: [asthma]", "conditions: [nil]", "conditions: none"),
    ("address: [4 Tern Row, Larkmoor, XX4 2QD]", "address: 4 Tern Row, Larkmoor, XX4 2QD", ""),
    ("expires: 2027-08", "expires: 08/27", ""),
    ("expires: 2027-08", "expires: Aug 2027", ""),
    ("right: 134", "right: 134 mmHg", ""),
];

#[test]
fn what_has_one_meaning_is_read_and_written_in_full() {
    for (from, typed, full) in READ {
        let full = if full.is_empty() { from } else { full };
        let (typed_case, full_case) = (routine(&[(from, typed)]), routine(&[(from, full)]));
        assert_eq!(model(&typed_case), model(&full_case), "{typed}");
        let written = tidied(&SourceText::new("LFC-0117.yaml", typed_case.clone()));
        let written = written.unwrap_or(typed_case);
        // A time without quotation marks and in full stays as it is.
        if *typed != "      at: 09:35" {
            assert_eq!(written, full_case, "{typed}");
        }
    }
}

/// Where in the routine case, what is typed there, the rule that finds it, and what the message says.
const REFUSED: &[(&str, &str, &str, &str)] = &[
    ("  date: 2026-11-24", "  date: 24/11/26", "bad-value", "`24 Nov 2026` or `26 Nov 2024`"),
    ("2.2 ml", "2.2 cc", "bad-value", "write `2.2 ml`"),
    ("68 kg", "68", "bad-value", "the unit is missing"),
    ("68 kg", "10.5 st", "bad-value", "`10 st 7 lb` or `10 st 5 lb`"),
    ("      at: \"09:35\"", "      at: 2.15", "bad-value", "`02:15` or `14:15`"),
    ("      at: \"09:35\"", "      at: 9.3", "bad-value", "`09:03` or `09:30`"),
    ("  smoker: false", "\tsmoker: false", "yaml-syntax", "indent with blanks"),
    ("eight months of pain", "old # of 5th met", "comment-in-text", "the whole text in quotation marks"),
    ("eight months of pain", "“bad” and “worse”", "", ""),
    (
        "follow_up: {gp_actions: none}",
        "accepted: [{rule: x, because: 1 site missing, advised to check foot daily, by: SO}]",
        "split-text",
        "put the whole text of `because` in quotation marks",
    ),
    (
        "[leave, conservative, no phenol]",
        "[conservative care (footwear, packing)]",
        "split-text",
        "a comma ends an item",
    ),
    ("edges: [lateral], stage", "edges: outer, stage", "bad-value", "outer is lateral: write `lateral`"),
    ("edges: [lateral], stage", "edges: [tibial], stage", "bad-value", "tibial is medial: write `medial`"),
    ("    L1: {edges", "    big toe: {edges", "unknown-key", "write its side as well: left or right"),
    ("none known", "None", "bad-value", "write `none known` if it was asked"),
    (
        "[salbutamol]",
        "salbutamol, ramipril",
        "wrong-type",
        "`medicines: [salbutamol, ramipril]` if they are several",
    ),
    ("diabetes: none", "diabetes: yes", "bad-value", "write `type 1` or `type 2`"),
    ("diabetes: none", "diabetes: {type: 2, hba1c: 12}", "bad-value", "`12 %` or `12 mmol/mol`"),
    ("refill: 2 s", "refill: quick", "bad-value", "`2 s`"),
    ("expires: 2027-08", "expires: 09/10", "bad-value", "`2010-09` or `2009-10`"),
    ("999 000 0018", "999 000 0017", "nhs-number-check", "copy the number again"),
];

#[test]
fn what_has_two_meanings_is_refused_with_what_to_write() {
    for (from, typed, rule, part) in REFUSED {
        let found = says(&checked(&routine(&[(from, typed)])).diagnostics);
        let is_said = found.iter().any(|says| says.starts_with(&format!("{rule}: ")) && says.contains(part));
        assert!(rule.is_empty() || is_said, "{typed}: {found:?}");
    }
}

#[test]
fn the_digit_that_would_make_a_wrong_nhs_number_pass_is_not_handed_out() {
    let found = checked(&routine(&[("999 000 0018", "999 000 0017")])).diagnostics;
    let text = says(&found).join("\n");
    assert!(text.contains("nhs-number-check") && !text.contains('8'), "{text}");
}

/// What a rule makes of the names that people type: the weight of the gravest finding, and a rule that is among
/// them.
#[test]
fn names_are_known_by_what_they_stand_for() {
    type Row = (&'static [(&'static str, &'static str)], Severity, &'static str);
    let rows: &[Row] = &[
        (&[("allergies: none known", "allergies: [Scandonest]")], Severity::Stop, "agent-allergy"),
        (
            &[
                ("allergies: none known", "allergies: iodine"),
                ("  complications: none", "  dressing: Inadine\n  complications: none"),
            ],
            Severity::Caution,
            "dressing-allergy",
        ),
        (&[("[salbutamol]", "Eliquis")], Severity::Caution, "anticoagulant"),
        (&[("[salbutamol]", "metformin")], Severity::Caution, "history-contradicts"),
        (&[("[asthma]", "PAD")], Severity::Stop, "phenol-poor-circulation"),
        (&[("[asthma]", "T1DM")], Severity::Stop, "history-contradicts"),
        (&[("[asthma]", "pregnant")], Severity::Stop, "history-contradicts"),
        (
            &[("weight: 68 kg", "weight: 171 kg"), ("height: 171 cm", "height: 68 cm")],
            Severity::Stop,
            "mass-and-height-swapped",
        ),
        (
            &[("gp_actions: none", "gp_actions: none, first_redressing: 25/12/2026")],
            Severity::Caution,
            "visit-on-closed-day",
        ),
        (&[("reference: LFC-0117", "reference: HOLLIS-IMOGEN")], Severity::Caution, "reference-form"),
    ];
    for (edits, weight, rule) in rows {
        let found = checked(&routine(edits)).diagnostics;
        let is_found = found.iter().any(|one| one.rule == *rule && one.severity == *weight);
        assert!(is_found, "{edits:?}: {:?}", says(&found));
    }
}

#[test]
fn people_and_practices_are_known_by_name() {
    let rows: &[&[(&str, &str)]] = &[
        &[("gp: birchgate", "gp: Birchgate Surgery")],
        &[("gp: birchgate", "gp: Dr. A. Fenwright")],
        &[("operator: quill", "operator: Robin Quill")],
        &[("operator: quill", "operator: robin quill"), ("taken_by: quill", "taken_by: Robin Quill")],
    ];
    for edits in rows {
        let found = checked(&routine(edits));
        assert!(found.diagnostics.is_empty(), "{edits:?}: {:?}", says(&found.diagnostics));
        let facts = found.facts.expect("it reads");
        assert_eq!(facts.operator().map(|operator| operator.name.as_str()), Some("Robin Quill"));
        assert_eq!(facts.gp().map(|gp| gp.practice.as_str()), Some("Birchgate Surgery"));
    }
}

// --------------------------------------------------------------------------------- written in full

/// The value behind `key: ` at a byte: up to the comma, bracket or end of line that ends it.
fn value_at(text: &str, from: usize) -> &str {
    let rest = &text[from..];
    let end = match rest.starts_with('"') {
        true => rest[1..].find('"').map_or(rest.len(), |end| end + 2),
        false => rest.find([',', '}', ']', '\n']).unwrap_or(rest.len()),
    };
    &rest[..end]
}

/// Another way to type a value in full; `None` if this has none.
fn typed(value: &str, random: &mut Random) -> Option<String> {
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let parts: Vec<&str> = value.split('-').collect();
    if let [year, month, day] = parts.as_slice()
        && (year.len(), month.len(), day.len()) == (4, 2, 2)
        && [year, month, day].iter().all(|part| digits(part))
    {
        let names = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let name = names[month.parse::<usize>().expect("a month") - 1];
        return Some(match random.below(4) {
            0 => format!("{day}/{month}/{year}"),
            1 => format!("{} {name} {year}", day.trim_start_matches('0')),
            2 => format!("{day}.{month}.{year}"),
            _ => format!("{day}-{name}-{year}"),
        });
    }
    if let Some((hours, minutes)) =
        value.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')?.split_once(':'))
        && hours.len() == 2
        && minutes.len() == 2
        && digits(hours)
        && digits(minutes)
    {
        let hour: u32 = hours.parse().expect("hours");
        return Some(match random.below(4) {
            0 if hour >= 8 => format!("{hour}.{minutes}"),
            1 => format!("{hours}{minutes}"),
            2 => format!("{hours}.{minutes}"),
            _ => format!("“{hours}:{minutes}”"),
        });
    }
    let (number, unit) = value.split_once(' ').unwrap_or(("", ""));
    if !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.') {
        return match unit {
            "kg" => Some(format!("{number}{}", random.pick(&["kg", " KG", " kgs", "\u{a0}kg"]))),
            "ml" => Some(format!("{number}{}", random.pick(&["ml", " mls", " mL", "mls"]))),
            "s" => Some(format!("{number}{}", random.pick(&["s", " secs", " sec"]))),
            "cm" => Some(format!("{number}{}", random.pick(&["cm", " CM"]))),
            _ => None,
        };
    }
    let other = match value {
        "true" => ["yes", "Yes", "True"],
        "false" => ["no", "No", "FALSE"],
        "partial" => ["PNA", "Partial", "“partial”"],
        "total" => ["TNA", "Total", "TOTAL"],
        "female" => ["Female", "F", "f"],
        "male" => ["Male", "M", "m"],
        "none known" => ["nil known", "None known", "NKA"],
        "palpable" => ["Palpable", "PALPABLE", "palpable"],
        "elective" => ["Elective", "ELECTIVE", "elective"],
        _ => return None,
    };
    Some(random.pick(&other).to_owned())
}

/// Pieces of a file in full, and what is typed for them.
const PIECES: &[(&str, &str)] = &[
    ("edges: [lateral]", "edges: lateral"),
    ("edges: [medial]", "edges: Medial"),
    ("edges: [medial, lateral]", "edges: both"),
    ("L1: ", "Left big toe: "),
    ("R1: ", "Rt hallux: "),
    ("L2: ", "left second toe: "),
    ("R2: ", "R 2nd: "),
    ("phenol: {applications: 3, each: 60 s}", "phenol: 3 x 60 s"),
    ("tourniquet: {on: \"09:50\", off: \"10:01\"}", "tourniquet: 9.50 to 10.01"),
    ("diabetes: {type: 2}", "diabetes: type 2"),
    ("diabetes: none", "diabetes: no"),
    ("conditions: none", "conditions: nil"),
    ("medicines: none", "medicines: [none]"),
    ("conditions: [asthma]", "conditions: asthma"),
];

/// A case with some of its values typed as people type them.
fn as_typed(full: &str, random: &mut Random) -> String {
    let mut text = String::new();
    let mut from = 0;
    let mut is_comment = false;
    while from < full.len() {
        let rest = &full[from..];
        let starts_line = from == 0 || full[..from].ends_with('\n');
        if starts_line {
            is_comment = rest.trim_start().starts_with('#');
        }
        if !is_comment && rest.starts_with(": ") {
            let value = value_at(full, from + 2);
            if let Some(other) = typed(value, random).filter(|_| random.once_in(2)) {
                text.push_str(": ");
                text.push_str(&other);
                from += 2 + value.len();
                continue;
            }
        }
        let c = rest.chars().next().expect("there is one");
        text.push(c);
        from += c.len_utf8();
    }
    for (from, to) in PIECES {
        if random.once_in(2) {
            text = text.replacen(from, to, 1 + random.below(3));
        }
    }
    text
}

#[test]
fn demo_cases_typed_in_other_ways_are_written_as_they_were() {
    let mut random = Random(0x5eed_0f0a);
    let cases: Vec<(&str, &str)> = demo::variants();
    let mut changed = 0;
    for turn in 0..inputs(60) {
        let (name, text) = cases[turn % cases.len()];
        let source = |text: &str| SourceText::new(name, text);
        // Lines say each value in words of their own.
        let full = unfolded(text, None).into_owned();
        let full = tidied(&source(&full)).unwrap_or(full);
        let other = as_typed(&full, &mut random);
        changed += usize::from(other != full);
        let comments = |text: &str| text.lines().filter(|line| line.contains('#')).count();
        assert_eq!(model(&other), model(&full), "{name}");
        let written = tidied(&source(&other)).unwrap_or_else(|| other.clone());
        assert_eq!(written, full, "{name}\n{other}");
        assert_eq!(comments(&written), comments(&full), "{name}");
    }
    assert!(changed > 50, "{changed} cases were typed in other ways");
}

// -------------------------------------------------------------------------------------- the command

/// The shortest way to write a case says the same as the longest.
#[test]
fn the_routine_case_is_short_and_says_the_same_as_with_a_line_for_each_value() {
    let short = std::fs::read_to_string(root().join("cases/routine-adult.yaml")).expect("a demo case");
    let long = demo_case("routine-adult.yaml");
    assert_eq!(model(&short), model(&long));
    let body = |text: &str| text.split_once('\n').expect("a comment comes first").1.to_owned();
    let typed = body(&short);
    let (lines, keys) = (typed.lines().count(), typed.chars().count());
    assert!(lines <= 35 && keys <= 1_100, "{lines} lines, {keys} characters");
    let written = shortened(&SourceText::new("LFC-0117.yaml", long.as_str())).expect("it can be shorter");
    assert_eq!(body(&written), body(&short));
    assert_eq!(shortened(&SourceText::new("LFC-0117.yaml", short.as_str())), None);
}

/// Every finding of a case in lines points at the words that it is about.
#[test]
fn a_finding_points_into_a_line() {
    let short = std::fs::read_to_string(root().join("cases/routine-adult.yaml")).expect("a demo case");
    let text = short.replace("2.2 ml at", "10.2 ml at");
    assert_ne!(text, short);
    let found = checked(&text).diagnostics;
    let pointed: Vec<&str> = found
        .iter()
        .map(|one| &one.primary.source.text()[one.primary.span.start..one.primary.span.end])
        .collect();
    assert!(pointed.contains(&"10.2 ml"), "{pointed:?}");
}

#[test]
fn tidy_writes_in_full_and_check_only_says_so() {
    let dir = scratch();
    let typed = routine(&[("68 kg", "68 KGS"), ("  smoker: false", "  smoker: No # asked twice")]);
    let full = routine(&[("  smoker: false", "  smoker: false # asked twice")]);
    let path = dir.path().join("LFC-0117.yaml");
    let bad = dir.path().join("bad.yaml");
    std::fs::write(&path, &typed).expect("written");
    std::fs::write(&bad, "reference: LFC-0001\nhistory: {smoker: perhaps}\n").expect("written");
    #[cfg(unix)]
    std::fs::set_permissions(&path, std::os::unix::fs::PermissionsExt::from_mode(0o640)).expect("set");

    let looked = unguis_in(dir.path(), ["tidy", "LFC-0117.yaml", "--check"]);
    assert_eq!((looked.stdout.as_str(), looked.code), ("LFC-0117.yaml: not tidy\n", 1));
    assert_eq!(std::fs::read_to_string(&path).expect("there"), typed, "nothing was written");

    let done = unguis_in(dir.path(), ["tidy", "LFC-0117.yaml", "bad.yaml"]);
    assert!(done.stdout.starts_with("LFC-0117.yaml: written in full\n"), "{}", done.stdout);
    assert!(done.stdout.contains("bad.yaml: left as it is until this is mended"), "{}", done.stdout);
    assert_eq!(done.code, 1);
    assert_eq!(std::fs::read_to_string(&path).expect("there"), full);
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        assert_eq!(std::fs::metadata(&path).expect("there").mode() & 0o777, 0o640, "the owner's rights stay");
    }

    let again = unguis_in(dir.path(), ["tidy", "LFC-0117.yaml", "--check"]);
    assert_eq!((again.stdout.as_str(), again.code), ("", 0));
    let left: Vec<_> = std::fs::read_dir(dir.path()).expect("a folder").collect();
    assert_eq!(left.len(), 2, "nothing is left beside");
}

#[test]
fn stones_are_printed_with_kilograms_and_a_refill_as_written() {
    let text = routine(&[
        ("68 kg", "10 st 7"),
        ("171 cm", "5 ft 7"),
        ("refill: 2 s", "refill: <3s"),
        ("smoker: false", "smoker: ex"),
        ("none known", "NKDA"),
    ]);
    let dir = scratch();
    std::fs::write(dir.path().join("LFC-0117.yaml"), text).expect("written");
    std::fs::write(dir.path().join("clinic.yaml"), demo_case("clinic.yaml")).expect("written");
    let ran = unguis_in(
        dir.path(),
        ["draft", "LFC-0117.yaml", "--today", "2026-11-25", "--only", "operation-note", "--out", "out"],
    );
    assert_eq!(ran.code, 0, "{}{}", ran.stdout, ran.stderr);
    let note = dir.path().join("out/LFC-0117/LFC-0117-operation-note-draft.pdf");
    let words = tool("pdftotext", &["-layout", &note.display().to_string(), "-"]);
    for part in
        ["66.7 kg (10 st 7 lb)", "170.2 cm (5 ft 7 in)", "<3 s", "Stopped smoking", "No known drug allergies"]
    {
        assert!(words.contains(part), "{part}:\n{words}");
    }
}

// ----------------------------------------------------------------------------------------- messages

/// What is typed in the clinic file in the place of what, and what the message offers.
const OF_THE_CLINIC: &[(&str, &str, &str)] = &[
    ("name: Larkmoor", "Clinic: Larkmoor", "did you mean `name`?"),
    ("address: [2", "Address: [2", "did you mean `address`?"),
    ("telephone: 01632 960 100", "Phone: 01632 960 100", "did you mean `telephone`?"),
    ("gps:", "GP:", "did you mean `gps`?"),
    ("practitioners:", "People:", "did you mean `practitioners`?"),
    ("  first_redressing_days: 3", "  redressing: 3 days", "did you mean `first_redressing_days`?"),
    ("division: england-and-wales", "division: Britain", "`england-and-wales`"),
];

#[test]
fn a_clinic_file_that_was_written_from_memory_is_led_to_its_keys() {
    let clinic = demo_case("clinic.yaml");
    for (from, typed, part) in OF_THE_CLINIC {
        assert!(clinic.contains(from), "{from}");
        let source = Arc::new(SourceText::new("clinic.yaml", clinic.replacen(from, typed, 1)));
        let found = says(&unguis::case::read_clinic(source).diagnostics);
        assert!(found.iter().any(|says| says.contains(part)), "{typed}: {found:?}");
    }
    for (from, typed) in [
        ("division: england-and-wales", "division: England"),
        ("[monday, tuesday, wednesday, thursday, friday]", "[Mon, Tues, Wed, Thurs, Fri]"),
        ("[monday, tuesday, wednesday, thursday, friday]", "Monday to Friday"),
        ("first_redressing_days: 3", "first_redressing_days: 3 days"),
        ("review_days: 42", "review_days: 6 weeks"),
        ("[2 Quay Street, Larkmoor, XX4 1AA]", "2 Quay Street, Larkmoor, XX4 1AA"),
    ] {
        assert!(clinic.contains(from), "{from}");
        let typed = SourceText::new("clinic.yaml", clinic.replacen(from, typed, 1));
        let clinic_without_comment = clinic.find("\nname:").map_or(0, |at| at + 1);
        let typed = SourceText::new("clinic.yaml", &typed.text()[clinic_without_comment..]);
        assert_eq!(tidied(&typed).as_deref(), Some(&clinic[clinic_without_comment..]));
    }
}

#[test]
fn a_file_of_a_word_processor_is_named() {
    let found =
        unguis::case::read_text("x.yaml", b"{\\rtf1\\ansi reference: LFC-0001}").expect_err("no text");
    assert_eq!(says(std::slice::from_ref(&found)).len(), 1);
    assert!(found.primary.text.contains("word processor (RTF)"), "{}", found.primary.text);
    assert!(found.help.is_some_and(|help| help.contains("save it as plain text")));
}
