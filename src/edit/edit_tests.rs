//! Thousands of random changes of the demo cases, each compared with the same change made by another
//! library on the data alone.

use super::*;
use crate::demo::CASES;

const NO_ORDER: Order<'static> = &|_| Vec::new();

fn set(text: &str, path: &str, value: &str) -> Result<String, Refused> {
    apply(text, &Path::from(path), &Change::Set(Value::text(value)), NO_ORDER)
}

fn remove(text: &str, path: &str) -> Result<String, Refused> {
    apply(text, &Path::from(path), &Change::Remove, NO_ORDER)
}

#[test]
fn a_value_is_replaced_and_its_neighbours_stay() {
    let text = "a: one # first\nb:\n  c: {d: 2 kg, e: [x, y]}\n";
    assert_eq!(set(text, "b.c.d", "3 kg").as_deref(), Ok("a: one # first\nb:\n  c: {d: 3 kg, e: [x, y]}\n"));
    assert_eq!(set(text, "a", "two").as_deref(), Ok("a: \"two\" # first\nb:\n  c: {d: 2 kg, e: [x, y]}\n"));
    assert_eq!(
        set(text, "b.c.e[1]", "z, w").as_deref(),
        Ok("a: one # first\nb:\n  c: {d: 2 kg, e: [x, \"z, w\"]}\n")
    );
    assert_eq!(
        set(text, "b.c.e[2]", "z").as_deref(),
        Ok("a: one # first\nb:\n  c: {d: 2 kg, e: [x, y, z]}\n")
    );
    assert_eq!(
        set(text, "b.c.f", "09:30").as_deref(),
        Ok("a: one # first\nb:\n  c: {d: 2 kg, e: [x, y], f: \"09:30\"}\n")
    );
}

#[test]
fn an_unanswered_question_is_answered_on_its_line() {
    let text = "patient:\n  # With its unit.\n  weight:\n  height:  # cm\ngp:\n";
    assert_eq!(
        set(text, "patient.weight", "68 kg").as_deref(),
        Ok("patient:\n  # With its unit.\n  weight: 68 kg\n  height:  # cm\ngp:\n")
    );
    assert_eq!(
        set(text, "patient.height", "171 cm").as_deref(),
        Ok("patient:\n  # With its unit.\n  weight:\n  height: \"171 cm\"  # cm\ngp:\n")
    );
    assert_eq!(
        set(text, "gp.name", "Dr A").as_deref(),
        Ok("patient:\n  # With its unit.\n  weight:\n  height:  # cm\ngp:\n  name: Dr A\n")
    );
}

#[test]
fn what_is_not_there_is_made_in_its_place() {
    let order = |path: &Path| -> Vec<String> {
        let keys: &[&str] = match path.to_string().as_str() {
            "" => &["reference", "patient", "plan", "operation", "accepted"],
            "operation.toes.L1.tourniquet" => &["on", "off"],
            _ => &[],
        };
        keys.iter().map(|key| (*key).to_owned()).collect()
    };
    let text = "reference: A-1\noperation: {date: 2026-11-24}\n# the end\n";
    let make = |text: &str, path: &str, value: Value| {
        apply(text, &Path::from(path), &Change::Set(value), &order).expect("it can be made")
    };
    let text = make(text, "plan.L1.nail", Value::text("partial"));
    assert_eq!(
        text,
        "reference: A-1\nplan:\n  L1:\n    nail: partial\noperation: {date: 2026-11-24}\n# the end\n"
    );
    let text = make(
        "reference: A-1\noperation:\n  date: 2026-11-24\n",
        "operation.toes.L1.tourniquet.off",
        Value::text("10:01"),
    );
    let text = make(&text, "operation.toes.L1.tourniquet.on", Value::text("09:50"));
    let text = make(&text, "patient.given", Value::text("Ann"));
    let accepted = Value::Block(vec![
        ("rule".into(), Value::text("hba1c-old")),
        ("because".into(), Value::text("seen, \"today\"")),
        ("by".into(), Value::text("R. Quill")),
    ]);
    let text = make(&text, "accepted[0]", accepted.clone());
    let text = make(&text, "accepted[1]", accepted);
    assert_eq!(
        text,
        "reference: A-1\npatient:\n  given: Ann\noperation:\n  date: 2026-11-24\n  toes:\n    L1:\n      \
         tourniquet: {on: \"09:50\", off: \"10:01\"}\naccepted:\n  \
         - {rule: hba1c-old, because: \"seen, \\\"today\\\"\", by: R. Quill}\n  \
         - {rule: hba1c-old, because: \"seen, \\\"today\\\"\", by: R. Quill}\n"
    );
}

#[test]
fn what_is_taken_out_takes_an_empty_block_with_it_and_no_comment() {
    let text = "a:\n  b: {c: 1}\n  # stays\n  d: 2 # stays too\ne: [x, y]\n";
    assert_eq!(remove(text, "a.b.c").as_deref(), Ok("a:\n  # stays\n  d: 2 # stays too\ne: [x, y]\n"));
    assert_eq!(remove(text, "a.d").as_deref(), Ok("a:\n  b: {c: 1}\n  # stays\n  # stays too\ne: [x, y]\n"));
    assert_eq!(
        remove(text, "e[0]").as_deref(),
        Ok("a:\n  b: {c: 1}\n  # stays\n  d: 2 # stays too\ne: [y]\n")
    );
    assert_eq!(
        remove(text, "a").as_deref(),
        Ok("  # stays\n  # stays too\ne: [x, y]\n".replace("  #", "#").as_str())
    );
    assert!(matches!(remove(text, "f"), Err(Refused::NoSuchPlace(_))));
    assert!(matches!(remove("a: 1\n", "a"), Err(Refused::NoSuchPlace(_))), "a file is never emptied");
    let list = "v:\n  - on: 1\n    b: 2\n  - on: 3\n";
    assert_eq!(remove(list, "v[0].on").as_deref(), Ok("v:\n  - b: 2\n  - on: 3\n"));
    assert_eq!(remove(list, "v[1].on").as_deref(), Ok("v:\n  - on: 1\n    b: 2\n"));
}

#[test]
fn what_cannot_be_changed_alone_is_refused() {
    let refused = |text: &str, path: &str| set(text, path, "x").expect_err("refused");
    assert_eq!(refused("a: [1\n", "a"), Refused::Unreadable);
    assert_eq!(refused("a: &b 1\nc: *b\n", "a"), Refused::Unreadable);
    assert!(matches!(refused("a: mepi\n", "a.agent"), Refused::NoSuchPlace(_)));
    assert!(matches!(refused("a: 1\n", "b[3]"), Refused::NoSuchPlace(_)));
    assert!(matches!(refused("a:\n  - x # seen\n  - y\n", "a"), Refused::CommentLost(_)));
}

#[test]
fn unanswered_questions_are_left_out_and_nothing_else() {
    let form = "# Case\nreference: A-1\npatient:\n  given: Ann # as on the card\n  family:\n  toes:\n    TOE:\n      nail:\n";
    assert_eq!(without_empty(form), "# Case\nreference: A-1\npatient:\n  given: Ann # as on the card\n");
}

/// Numbers that look random and are the same on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % bound.max(1)
    }
}

const TEXTS: &[&str] = &[
    "68 kg",
    "09:30",
    "none",
    "true",
    "~",
    "null",
    "2026-11-25",
    "12",
    "1e3",
    "0x1F",
    "no",
    "O'Brien",
    "a # b",
    "a: b",
    "{",
    "[x",
    "- x",
    "a, b",
    "\"",
    "\\",
    "'",
    "é ☐ 漢",
    "line one\nline two",
    " x ",
    "&a",
    "*a",
    "!x",
    "%",
    "@",
    "`",
    "| x",
    "> x",
    "? x",
    "x:",
    "#",
    "{{ x }}",
    "<b>",
    "1:200000",
    "yes",
    "a  b",
    "tab\there",
    "{not_recorded: x}",
];

fn paths_of(value: &serde_yaml::Value, path: &Path, out: &mut Vec<(Path, bool)>) {
    match value {
        serde_yaml::Value::Mapping(entries) => {
            for (key, value) in entries {
                let path = path.key(key.as_str().expect("keys are words"));
                out.push((path.clone(), value.is_mapping()));
                paths_of(value, &path, out);
            }
        }
        serde_yaml::Value::Sequence(items) => {
            for (at, value) in items.iter().enumerate() {
                out.push((path.index(at), value.is_mapping()));
                paths_of(value, &path.index(at), out);
            }
        }
        _ => {}
    }
}

/// The same change on the data alone.
fn changed(value: &mut serde_yaml::Value, path: &[Segment], new: Option<&str>) {
    use serde_yaml::Value as Yaml;
    let (first, rest) = path.split_first().expect("never the top");
    match (value, first) {
        (Yaml::Mapping(entries), Segment::Key(key)) => {
            let key = Yaml::from(key.as_str());
            match (rest.is_empty(), new) {
                (true, Some(new)) => drop(entries.insert(key, Yaml::from(new))),
                (true, None) => drop(entries.remove(&key)),
                (false, _) => {
                    let inside = entries.get_mut(&key).expect("it is there");
                    changed(inside, rest, new);
                    if is_emptied(inside) {
                        entries.remove(&key);
                    }
                }
            }
        }
        (Yaml::Sequence(items), Segment::Index(at)) => match (rest.is_empty(), new) {
            (true, Some(new)) if *at == items.len() => items.push(Yaml::from(new)),
            (true, Some(new)) => items[*at] = Yaml::from(new),
            (true, None) => drop(items.remove(*at)),
            (false, _) => {
                changed(&mut items[*at], rest, new);
                if is_emptied(&items[*at]) {
                    items.remove(*at);
                }
            }
        },
        _ => panic!("no such place"),
    }
}

fn is_emptied(value: &serde_yaml::Value) -> bool {
    value.as_mapping().is_some_and(|entries| entries.is_empty())
        || value.as_sequence().is_some_and(|items| items.is_empty())
}

/// How many lines of the old text are not in the new one, counted from both ends.
fn lines_touched(before: &str, after: &str) -> usize {
    let (before, after): (Vec<&str>, Vec<&str>) = (before.split('\n').collect(), after.split('\n').collect());
    let head = before.iter().zip(&after).take_while(|(one, other)| one == other).count();
    let most = before.len().min(after.len()) - head;
    let tail = before
        .iter()
        .rev()
        .zip(after.iter().rev())
        .take(most)
        .take_while(|(one, other)| one == other)
        .count();
    before.len() - head - tail
}

/// Lines that a value takes, from its key to its end.
fn lines_of(text: &str, path: &Path) -> usize {
    fn find(item: &layout::Item, path: &[Segment], start: usize) -> Option<(usize, usize)> {
        let Some((first, rest)) = path.split_first() else { return Some((start, item.end)) };
        match (&item.kind, first) {
            (layout::Kind::Block { entries, .. }, Segment::Key(key)) => {
                let entry = entries.iter().find(|entry| entry.key == *key)?;
                find(&entry.value, rest, entry.start)
            }
            (layout::Kind::List { items, .. }, Segment::Index(at)) => {
                let item = items.get(*at)?;
                find(item, rest, item.start)
            }
            _ => None,
        }
    }
    let layout = layout::of(text).expect("a demo case can be followed");
    let (from, to) = find(&layout, path.segments(), 0).expect("it is there");
    text[from..to].matches('\n').count() + 1
}

/// With a comment above and behind as many lines as take one.
fn noted(plain: &str) -> String {
    let data: serde_yaml::Value = serde_yaml::from_str(plain).expect("a demo case is YAML");
    let mut lines: Vec<String> = plain.lines().map(str::to_owned).collect();
    for at in (0..lines.len()).rev() {
        let before = lines.clone();
        let indent = lines[at].len() - lines[at].trim_start().len();
        match at % 2 {
            0 => lines[at].push_str(&format!("  # of line {at}")),
            _ => lines.insert(at, format!("{}# above line {at}", " ".repeat(indent))),
        }
        let text = lines.join("\n") + "\n";
        let is_same = serde_yaml::from_str::<serde_yaml::Value>(&text).is_ok_and(|noted| noted == data);
        if !is_same || layout::of(&text).is_none() {
            lines = before;
        }
    }
    lines.join("\n") + "\n"
}

#[test]
fn thousands_of_changes_are_exact_and_touch_no_other_line() {
    let mut dice = Dice(7);
    let (mut made, mut refused) = (0, 0);
    for (name, plain) in CASES {
        let windows = plain.replace('\n', "\r\n");
        let noted = noted(plain);
        for text in [*plain, windows.as_str(), noted.as_str()] {
            let data: serde_yaml::Value = serde_yaml::from_str(text).expect("a demo case is YAML");
            let mut paths = Vec::new();
            paths_of(&data, &Path::root(), &mut paths);
            for _ in 0..110 {
                let (path, is_block) = paths[dice.below(paths.len())].clone();
                let new = TEXTS[dice.below(TEXTS.len())];
                let (path, new, most) = match dice.below(4) {
                    0 => (path.clone(), None, lines_of(text, &path)),
                    1 if is_block => (path.key("added"), Some(new), 1),
                    _ => (path.clone(), Some(new), lines_of(text, &path)),
                };
                let change = new.map_or(Change::Remove, |new| Change::Set(Value::text(new)));
                let edited = match apply(text, &path, &change, NO_ORDER) {
                    Ok(edited) => edited,
                    Err(problem) => {
                        assert!(
                            matches!(problem, Refused::CommentLost(_)),
                            "{}: {path} {new:?}: {problem}",
                            name
                        );
                        refused += 1;
                        continue;
                    }
                };
                made += 1;
                let mut wanted = data.clone();
                changed(&mut wanted, path.segments(), new);
                let got: serde_yaml::Value = serde_yaml::from_str(&edited)
                    .unwrap_or_else(|problem| panic!("{}: {path} {new:?}: {problem}\n{edited}", name));
                assert_eq!(got, wanted, "{}: {path} {new:?}", name);
                // A block that is emptied goes as well, and so do its lines.
                let touched = lines_touched(text, &edited);
                let pruned = if new.is_none() { 3 } else { 0 };
                assert!(touched <= most + pruned, "{}: {path} {new:?} touched {touched} of {most}", name);
            }
        }
    }
    assert!(made > 5_000, "{made}");
    assert!(refused * 4 < made, "{refused} refused of {made}");
}
