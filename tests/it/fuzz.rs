//! Bounded fuzzing in the test run: the same inputs on every machine, from fixed seeds and the demo
//! cases. `UNGUIS_FUZZ=20` tries twenty times as many. The reader has its own in `reading.rs`,
//! escaping in `escaping.rs`; what was tried and found stands in DEVELOPERS.md.

use std::collections::BTreeMap;
use std::fmt::{Debug, Display};

use unguis::case::{
    AdrenalineRatio, AuthorityBlock, AuthorityKind, AuthorityText, ChiNumberText, ClosedBecause,
    DopplerSounds, FORMATS, Follows, FoundPulses, HcNumberText, NhsNumberText, PressureIndex, Reference,
};
use unguis::date::{CivilDate, Expiry, TimeOfDay};
use unguis::demo;
use unguis::derive::shown;
use unguis::diagnostic::SourceText;
use unguis::diagnostic::render::{Style, json_finding, render, summary};
use unguis::identity::Marks;
use unguis::pipeline::{Checked, Press, Version, check};
use unguis::register::chain::Register;
use unguis::register::entry::{Event, Issued, Sent};
use unguis::register::verify::verify;
use unguis::typeset::Typesetter;
use unguis::units::{
    BloodPressure, BodyHeight, BodyMass, Centimetres, Glucose, Hba1c, Kilograms, Milligrams,
    MilligramsPerKilogram, Millilitres, Millimetres, Needle, PainScore, Percent, Pulse, Refill, Seconds,
    SitesFelt, TextValue,
};

use crate::support::{Random, inputs};

// ------------------------------------------------------------------------------------- quantities

/// Whether a text is accepted; what is accepted is the same value after printing and reading.
type RoundTrip = (&'static str, fn(&str) -> bool);

fn printed<T: TextValue + Display + PartialEq + Debug>(text: &str) -> bool {
    let Ok(value) = T::parse(text) else { return false };
    assert_eq!(T::parse(&value.to_string()).as_ref(), Ok(&value), "{text:?} printed as {value}");
    true
}

/// Printed with what was typed, so that what is written into a file is read again.
fn written<T: TextValue + PartialEq + Debug>(text: &str) -> bool {
    let Ok(value) = T::parse(text) else { return false };
    let written = value.written().expect("it is written");
    assert_eq!(T::parse(&written).as_ref(), Ok(&value), "{text:?} written as {written}");
    true
}

const ROUND_TRIPS: &[RoundTrip] = &[
    (Kilograms::FORMAT, printed::<Kilograms>),
    (Centimetres::FORMAT, printed::<Centimetres>),
    (Millilitres::FORMAT, printed::<Millilitres>),
    (Milligrams::FORMAT, printed::<Milligrams>),
    (MilligramsPerKilogram::FORMAT, printed::<MilligramsPerKilogram>),
    (Percent::FORMAT, printed::<Percent>),
    (Seconds::FORMAT, printed::<Seconds>),
    (Hba1c::FORMAT, printed::<Hba1c>),
    (SitesFelt::FORMAT, printed::<SitesFelt>),
    (CivilDate::FORMAT, printed::<CivilDate>),
    (TimeOfDay::FORMAT, printed::<TimeOfDay>),
    (Expiry::FORMAT, printed::<Expiry>),
    (Reference::FORMAT, printed::<Reference>),
    (NhsNumberText::FORMAT, |text| {
        let Ok(number) = NhsNumberText::parse(text) else { return false };
        assert_eq!(NhsNumberText::parse(&number.0).as_ref(), Ok(&number), "{text:?}");
        true
    }),
    (AdrenalineRatio::FORMAT, |text| {
        let Ok(ratio) = AdrenalineRatio::parse(text) else { return false };
        assert_eq!(AdrenalineRatio::parse(&format!("1:{}", ratio.0)).as_ref(), Ok(&ratio), "{text:?}");
        true
    }),
    (AuthorityText::FORMAT, |text| {
        let Ok(authority) = AuthorityText::parse(text) else { return false };
        assert_eq!(AuthorityText::parse(&in_one_line(&authority.0)).as_ref(), Ok(&authority), "{text:?}");
        true
    }),
    (Millimetres::FORMAT, printed::<Millimetres>),
    (PainScore::FORMAT, printed::<PainScore>),
    (ClosedBecause::FORMAT, |text| {
        let Ok(reason) = ClosedBecause::parse(text) else { return false };
        assert_eq!(ClosedBecause::parse(&reason.word()).as_ref(), Ok(&reason), "{text:?}");
        true
    }),
    (BodyMass::FORMAT, written::<BodyMass>),
    (BodyHeight::FORMAT, written::<BodyHeight>),
    (Refill::FORMAT, printed::<Refill>),
    (FoundPulses::FORMAT, printed::<FoundPulses>),
    (DopplerSounds::FORMAT, printed::<DopplerSounds>),
    (PressureIndex::FORMAT, printed::<PressureIndex>),
    (Follows::FORMAT, printed::<Follows>),
    (ChiNumberText::FORMAT, |text| {
        let Ok(number) = ChiNumberText::parse(text) else { return false };
        assert_eq!(ChiNumberText::parse(&number.0).as_ref(), Ok(&number), "{text:?}");
        true
    }),
    (HcNumberText::FORMAT, |text| {
        let Ok(number) = HcNumberText::parse(text) else { return false };
        assert_eq!(HcNumberText::parse(&number.0).as_ref(), Ok(&number), "{text:?}");
        true
    }),
    (BloodPressure::FORMAT, printed::<BloodPressure>),
    (Pulse::FORMAT, printed::<Pulse>),
    (Glucose::FORMAT, printed::<Glucose>),
    (Needle::FORMAT, printed::<Needle>),
];

/// An authority as a case file has it in one line.
fn in_one_line(authority: &AuthorityBlock) -> String {
    let words = |words: &Option<String>| words.as_ref().map_or_else(String::new, |words| format!(" {words}"));
    let day =
        |day: Option<CivilDate>, before: &str| day.map_or_else(String::new, |day| format!(", {before}{day}"));
    match authority.under {
        AuthorityKind::Exemption => "exemption".into(),
        AuthorityKind::OwnPrescription => "own prescription".into(),
        AuthorityKind::PatientGroupDirection => {
            let (title, until) = (words(&authority.title), day(authority.until, "until "));
            format!("patient group direction{title}{until}")
        }
        AuthorityKind::PatientSpecificDirection => {
            format!("patient-specific direction by{}{}", words(&authority.by), day(authority.on, ""))
        }
        AuthorityKind::SupplementaryPrescribing => {
            format!("supplementary prescribing with{}{}", words(&authority.by), day(authority.on, ""))
        }
    }
}

const PIECES: &[&str] = &[
    "0",
    "1",
    "2",
    "9",
    "00",
    "12",
    "68",
    "100",
    "2026",
    "11",
    "24",
    "999999",
    "1234567",
    "4294967296",
    "18446744073709551616",
    ".",
    ".5",
    "..",
    ",",
    "-",
    "--",
    "+",
    "/",
    ":",
    "1:",
    "200,000",
    "e3",
    "E",
    "0x",
    "_",
    " ",
    "  ",
    "\t",
    "\n",
    "\u{a0}",
    "\u{3000}",
    "\u{2009}",
    "kg",
    "cm",
    "ml",
    "mL",
    "mg",
    "mg/kg",
    "%",
    "s",
    "sec",
    "mmol/mol",
    "in",
    "LFC",
    "A",
    "z",
    "٣",
    "½",
    "²",
    "−",
    "–",
    "é",
    "\u{301}",
    "😀",
    "\0",
    "\u{202e}",
    "inf",
    "NaN",
    "2026-02-29",
    "2024-02-29",
    "-01",
    "09:35",
    "24:00",
    "23:60",
    "999 000 0018",
];

/// An example of a format, damaged; or pieces in any order.
fn any_quantity(random: &mut Random, example: &str) -> String {
    let mut text: Vec<char> = Vec::new();
    if random.once_in(3) {
        for _ in 0..random.below(7) {
            text.extend(random.pick(PIECES).chars());
        }
    } else {
        text.extend(example.chars());
        for _ in 0..=random.below(3) {
            let at = random.below(text.len() + 1);
            let end = (at + random.below(3)).min(text.len());
            let piece: Vec<char> =
                if random.once_in(3) { Vec::new() } else { random.pick(PIECES).chars().collect() };
            text.splice(at..end, piece);
        }
    }
    text.into_iter().collect()
}

#[test]
fn quantities_are_refused_or_read_for_certain() {
    let names = |formats: &mut dyn Iterator<Item = &'static str>| formats.collect::<Vec<_>>();
    assert_eq!(
        names(&mut FORMATS.iter().map(|format| format.name)),
        names(&mut ROUND_TRIPS.iter().map(|(name, _)| *name)),
        "a format is not tried here"
    );
    let mut random = Random(0xf0f0_1e5e_ed00_0001);
    let mut accepted: BTreeMap<&str, usize> = BTreeMap::new();
    for round in 0..inputs(200_000) {
        let at = round % FORMATS.len();
        let text = any_quantity(&mut random, FORMATS[at].example);
        // Every format meets every text: an example of one may be nearly one of another.
        for (format, (name, round_trip)) in FORMATS.iter().zip(ROUND_TRIPS) {
            let is_accepted = round_trip(&text);
            match (format.check)(&text) {
                // A sign in front has no meaning in any of them.
                Ok(()) => assert!(is_accepted && !text.contains('+'), "{name} accepts {text:?}"),
                Err(says) => assert!(!is_accepted && !says.is_empty() && !says.ends_with('.'), "{says}"),
            }
            *accepted.entry(name).or_default() += usize::from(is_accepted);
        }
    }
    for (name, _) in ROUND_TRIPS {
        assert!(accepted[name] > 100, "{name} accepts hardly anything: {accepted:?}");
    }
}

// --------------------------------------------------------------------------------------- register

fn issued(document: &str, version: u32) -> Event {
    let hash = |of: usize| format!("{of:064x}");
    Event::Issued(Issued {
        reference: "LFC-0117".into(),
        document: document.into(),
        version,
        date: demo::today(),
        time: "2026-11-25T14:05:07Z".into(),
        by: "R. Quill".into(),
        because: (version > 1).then(|| "the “batch” was mistyped \\ \"x\"".into()),
        case_sha256: hash(1),
        clinic_sha256: hash(2),
        templates_sha256: hash(3),
        file: Issued::file_name("LFC-0117", document, version),
        pdf_sha256: hash(4),
        pdf_bytes: 30_000,
        text_sha256: hash(5),
        text_bytes: 4_000,
        tool: "unguis 0.1.0".into(),
        // As older versions wrote it, and as it is written now.
        identity: (version > 1).then(|| Marks {
            salt: hash(6),
            family: hash(7),
            born: hash(8),
            given: (version > 2).then(|| hash(12)),
            nhs_number: (version > 2).then(|| hash(9)),
            chi_number: (version > 3).then(|| hash(10)),
            hc_number: (version > 4).then(|| hash(11)),
        }),
        plan_sha256: (document == "consent-form").then(|| hash(10)),
    })
}

fn whole_register() -> Vec<u8> {
    let mut register = Register::default();
    let mut text = String::new();
    for version in 1..=3 {
        for document in ["operation-note", "gp-letter", "consent-form"] {
            text.push_str(&register.append(issued(document, version)));
        }
        text.push_str(&register.append(Event::Sent(Sent {
            reference: "LFC-0117".into(),
            document: "gp-letter".into(),
            version,
            to: "gp".into(),
            date: demo::today(),
            time: "2026-11-25T15:00:00Z".into(),
            by: None,
            how: None,
            how_reference: None,
        })));
    }
    text.into_bytes()
}

/// Whole lines moved, doubled or taken out; bytes changed; parts copied; the end cut off.
fn damage_lines(random: &mut Random, bytes: &mut Vec<u8>) {
    let end = bytes.len();
    match random.below(6) {
        0 => {
            let mut lines: Vec<Vec<u8>> =
                bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
            let (from, to) = (random.below(lines.len()), random.below(lines.len()));
            if lines.is_empty() {
                return;
            }
            match random.below(3) {
                0 => drop(lines.remove(from)),
                1 => lines.insert(to, lines[from].clone()),
                _ => lines.swap(from, to),
            }
            *bytes = lines.concat();
        }
        1 => bytes.truncate(random.below(end)),
        2 => {
            let from = random.below(end);
            let copy = bytes[from..(from + random.below(200)).min(end)].to_vec();
            let at = random.below(end + 1);
            bytes.splice(at..at, copy);
        }
        3 => {
            let from = random.below(end);
            bytes.drain(from..(from + 1 + random.below(200)).min(end));
        }
        4 => {
            let at = random.below(end + 1);
            let piece = random.pick(&["\n", "{}", "\"", "\\", "\0", "\r", "é", ",\"check\":\"", "null", " "]);
            bytes.splice(at..at, piece.bytes());
        }
        _ if end > 0 => bytes[random.below(end)] ^= 1 << random.below(8),
        _ => {}
    }
}

#[test]
fn no_damage_to_a_register_is_overlooked() {
    let whole = whole_register();
    let mark = Register::parse(&whole).0.end().text();
    let mut random = Random(0xf0f0_1e5e_ed00_0002);
    for _ in 0..inputs(20_000) {
        let mut bytes = whole.clone();
        for _ in 0..=random.below(3) {
            damage_lines(&mut random, &mut bytes);
        }
        let (register, problems) = Register::read(&bytes, Some(mark.as_bytes()));
        let verdict = verify(&register, &problems, &[]);
        assert!(verdict.whole == 0 && problems.iter().all(|problem| !problem.says().is_empty()));
        assert_eq!(problems.is_empty(), bytes == whole, "{}", String::from_utf8_lossy(&bytes));
        // What is added to whatever could be read is itself sound.
        let (mut register, problems) = Register::parse(&bytes);
        if problems.is_empty() {
            let line = register.append(issued("aftercare-leaflet", 1));
            assert_eq!(Register::parse(&[bytes, line.into_bytes()].concat()).1, []);
        }
    }
}

// ----------------------------------------------------------------------------------- whole pipeline

/// The values that any demo case or the example gives to a key, and those that are nowhere good.
fn values_by_key() -> BTreeMap<String, Vec<String>> {
    let mut values: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (_, text) in demo::CASES {
        let flat = text.replace(['{', '}'], "\n").replace(", ", "\n");
        for line in flat.lines().chain(text.lines()) {
            let Some((key, value)) = line.trim().trim_start_matches("- ").split_once(": ") else { continue };
            if !value.is_empty() && !key.contains(' ') {
                values.entry(key.to_owned()).or_default().push(value.to_owned());
            }
        }
    }
    values
}

const ODD_VALUES: &[&str] = &[
    "none",
    "[]",
    "{}",
    "0",
    "1",
    "2",
    "12",
    "65535",
    "0 ml",
    "999999 ml",
    "0.000001 ml",
    "0 kg",
    "0.000001 kg",
    "999999 kg",
    "0 cm",
    "999999 cm",
    "0 %",
    "999999 %",
    "999999 s",
    "0 s",
    "1900-01-01",
    "2100-12-31",
    "2024-02-29",
    "2026-11-25",
    "\"00:00\"",
    "\"23:59\"",
    "true",
    "false",
    "0/1",
    "255/255",
    "250 mmol/mol",
    "3 %",
    "\"#x {{ y }}\"",
    "漢",
    "\"a\\nb\\nc\"",
    "L1",
    "R1",
    "phenol",
    "patient",
    "guardian",
    "partial",
    "total",
];

/// Changes a case so that it often stays readable: values of the same key from elsewhere, other
/// numbers, blocks left out or doubled; now and then any damage.
fn change_case(random: &mut Random, values: &BTreeMap<String, Vec<String>>, text: &str) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for _ in 0..=random.below(5) {
        let at = random.below(lines.len());
        let Some(line) = lines.get(at).cloned() else { break };
        let indent = |line: &str| line.len() - line.trim_start().len();
        match random.below(8) {
            // A line with all that stands in it.
            0 => {
                let inside = lines[at + 1..].iter().take_while(|other| indent(other) > indent(&line)).count();
                lines.drain(at..=at + inside);
            }
            // One entry of a block on one line.
            1 => {
                let mut parts: Vec<&str> = line.split(", ").collect();
                if parts.len() > 2 {
                    parts.remove(1 + random.below(parts.len() - 2));
                    lines[at] = parts.join(", ");
                }
            }
            // Digits.
            2 | 3 => {
                lines[at] = line
                    .chars()
                    .map(|c| match c {
                        '0'..='9' if random.once_in(3) => random.pick(&['0', '1', '2', '3', '5', '9']),
                        _ => c,
                    })
                    .collect();
            }
            // The value of a key, at any place of the line.
            4..=6 => {
                let keys: Vec<(usize, &str)> = line
                    .match_indices(": ")
                    .filter_map(|(colon, _)| {
                        let key = line[..colon].rsplit([' ', '{']).next()?;
                        values.contains_key(key).then_some((colon + 2, key))
                    })
                    .collect();
                if keys.is_empty() {
                    continue;
                }
                let (start, key) = random.pick(&keys);
                let rest = &line[start..];
                let end = if rest.starts_with(['{', '[']) {
                    rest.len()
                } else {
                    rest.find([',', '}']).unwrap_or(rest.len())
                };
                let value = if random.once_in(3) {
                    random.pick(ODD_VALUES)
                } else {
                    values[key][random.below(values[key].len())].as_str()
                };
                lines[at] = format!("{}{value}{}", &line[..start], &rest[end..]);
            }
            _ => {
                let mut letters: Vec<char> = line.chars().collect();
                let place = random.below(letters.len() + 1);
                letters.splice(place..place, random.pick(PIECES).chars());
                lines[at] = letters.into_iter().collect();
            }
        }
    }
    lines.join("\n") + "\n"
}

/// All that any command would do with a case, short of setting it.
fn use_all(checked: &Checked, press: &Press) {
    render(&checked.diagnostics, Style::Human { colour: true });
    summary(&checked.diagnostics);
    checked.diagnostics.iter().for_each(|diagnostic| drop(json_finding(diagnostic)));
    let Some(facts) = &checked.facts else { return };
    assert!(shown(&facts.derived).iter().all(|line| line.value.is_some() != line.missing.is_some()));
    for version in [Version::Draft, Version::Issue { version: 2, replaces: None }] {
        let edition = checked.edition(version, facts.today);
        for paper in checked.ready(&[]) {
            let view = paper.view(facts, &edition);
            if let Err(problem) = press.templates.render(paper.document.template, &view) {
                panic!("{}: {problem}", paper.name());
            }
        }
    }
}

#[test]
fn changed_cases_go_through_the_whole_pipeline() {
    let values = values_by_key();
    let press = Press::built_in();
    let clinic = demo::clinic();
    let mut random = Random(0xf0f0_1e5e_ed00_0003);
    let (mut understood, mut set) = (0, 0);
    let rounds = inputs(2_000);
    for round in 0..rounds {
        let (name, text) = random.pick(demo::CASES);
        let text = change_case(&mut random, &values, text);
        let checked = check(demo::source(name, &text), &clinic, demo::today());
        let outcome = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| use_all(&checked, &press)));
        assert!(outcome.is_ok(), "this case broke something:\n{text}");
        let Some(facts) = &checked.facts else { continue };
        understood += 1;
        // Setting takes most of the time: a part of the cases stands for all.
        if round % 40 == 0 {
            let edition = checked.edition(Version::Draft, facts.today);
            for document in checked.ready(&[]) {
                if let Err(problem) = press.set(document, facts, &edition) {
                    panic!("{}\n{text}", unguis::cli::error::chain(&problem));
                }
                set += 1;
            }
            Typesetter::evict();
        }
    }
    assert!(understood * 3 > rounds, "too few cases stay readable: {understood} of {rounds}");
    assert!(set * 50 > rounds, "too few documents were set: {set}");
}

/// The largest files that reading lets pass, and shapes that are dear: all are answered.
#[test]
fn large_cases_are_answered() {
    let base = unguis::rules::example::BASE_CASE;
    let head = base.split("\naccepted:").next().unwrap_or(base);
    let many = |entry: &str| entry.repeat(((1 << 20) - head.len() - 100) / entry.len());
    let long = "a long word or two ".repeat(100);
    let files = [
        format!("{head}\naccepted:\n{}", many("  - {rule: anticoagulant, because: x, by: R. Quill}\n")),
        format!("{head}\naccepted:\n{}", many("  - {rule: accepted-unmatched, because: x, by: R. Quill}\n")),
        format!("{head}\nvisits:\n{}", many("  - {on: 2026-12-01, kind: redressing, note: dry}\n")),
        format!(
            "{head}\nvisits:\n{}",
            many(&format!("  - {{on: 2026-12-01, kind: redressing, note: {long}}}\n"))
        ),
        head.replace("medicines: [", &format!("medicines: [{}", many("salbutamol, "))),
        head.replace("conditions: [", &format!("conditions: [{}", many("asthma, "))),
        head.replace("given: ", &format!("given: {}", many("a"))),
        head.replace("given: ", &format!("given: {}", many("a "))),
        head.replace("given: ", &format!("given: {}", many("漢"))),
        format!("{head}\namendment: {}{}\n", "[".repeat(500_000), "]".repeat(500_000)),
        format!("{head}\n{}", (0..39).map(|at| format!("{}k:\n", " ".repeat(at))).collect::<String>()),
        "\n".repeat(1 << 20),
    ];
    let press = Press::built_in();
    for text in files {
        let text = SourceText::new("case.yaml", text);
        let checked = check(text.into(), &demo::clinic(), demo::today());
        use_all(&checked, &press);
    }
}
