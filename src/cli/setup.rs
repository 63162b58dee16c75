//! `unguis setup`: the clinic file. On a terminal each question is asked; elsewhere the questions are written.
//!
//! The questions are those of the file itself, and an answer counts if the reader takes it: so they cannot
//! disagree. What is not answered is left out; no practice is made up.

use std::io::{self, BufRead, Write};
use std::sync::Arc;

use crate::case::{Shelf, quoted, read_clinic, tidy};
use crate::cli::args::Setup;
use crate::cli::{Error, Exit, io as edge};
use crate::diagnostic::{Path, SourceText};
use crate::words::Shown;

/// The file with its questions.
const TEMPLATE: &str = include_str!("new_clinic.yaml");

/// Writes the file; never over one that is there.
pub(super) fn run(args: &Setup) -> Result<Exit, Error> {
    edge::must_be_new(&args.to)?;
    let text = if edge::is_conversation() {
        let (mut answers, mut questions) = (io::stdin().lock(), io::stderr().lock());
        let said =
            ask(&mut answers, &mut questions).map_err(|source| Error::io("read", "the answers", source))?;
        in_full(said)
    } else {
        TEMPLATE.to_owned()
    };
    edge::write_new(&args.to, text.as_bytes())?;
    edge::print(&format!("{}\n", args.to.shown()));
    let clinic = args.to.shown();
    edge::eprint(&format!(
        "`unguis check {clinic}` lists what is still open; `unguis new REFERENCE` then begins a case\n"
    ));
    Ok(Exit::Done)
}

/// The answers as a tidy file has them.
fn in_full(file: String) -> String {
    let source = SourceText::new("clinic.yaml", file.as_str());
    tidy(&source, true, false, Shelf::Unread).ok().flatten().unwrap_or(file)
}

/// One line of the template that a person answers.
struct Question {
    /// The comment above it, without its signs.
    says: String,
    /// Blanks before the key.
    indent: usize,
    /// The key.
    key: String,
    /// The way to it.
    path: Path,
}

/// The questions in the order of the file. A key with keys below it is not asked for itself.
fn questions() -> Vec<Question> {
    let mut found: Vec<Question> = Vec::new();
    let mut comment: Vec<String> = Vec::new();
    let mut around: Vec<(usize, String)> = Vec::new();
    for line in TEMPLATE.lines() {
        let text = line.trim_start();
        let indent = line.len() - text.len();
        if text.is_empty() {
            comment.clear();
        } else if let Some(says) = text.strip_prefix('#') {
            comment.push(says.trim().to_owned());
        } else if let Some(key) = text.strip_suffix(':') {
            around.retain(|(outer, _)| *outer < indent);
            let path = around.iter().fold(Path::root(), |path, (_, key)| path.key(key.as_str())).key(key);
            // What stands deeper shows that the one before is a block.
            if found
                .last()
                .is_some_and(|last| last.indent < indent && path.parent().as_ref() == Some(&last.path))
            {
                let block = found.pop().map(|block| block.says).unwrap_or_default();
                comment.insert(0, block);
            }
            around.push((indent, key.to_owned()));
            let says = std::mem::take(&mut comment).join(" ").trim().to_owned();
            found.push(Question { says, indent, key: key.to_owned(), path });
        }
    }
    found
}

/// What a first case needs; the rest is offered afterwards.
const FIRST: [&str; 14] = [
    "name",
    "address",
    "telephone",
    "out_of_hours",
    "division",
    "practitioners",
    "gps",
    "protocol.anaesthetic.agent",
    "protocol.anaesthetic.strength",
    "protocol.phenol",
    "protocol.technique",
    "protocol.first_redressing_days",
    "protocol.review_days",
    "protocol.opening_days",
];

/// What no case can be read without.
const NEEDED: [&str; 6] =
    ["name", "address", "telephone", "division", "practitioners", "protocol.opening_days"];

/// What an entry cannot be read without, by the key of its list.
const NEEDED_OF_EACH: [(&str, &[&str]); 2] =
    [("practitioners", &["name", "registration", "role"]), ("gps", &["practice", "address"])];

/// Asks the questions and gives the file.
fn ask(answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    writeln!(
        out,
        "An empty answer leaves the line out. Nothing is filled in for you, and all of it can be changed in the \
         file later."
    )?;
    let questions = questions();
    let mut found: Vec<Option<String>> = vec![None; questions.len()];
    let is_first = |question: &Question| FIRST.contains(&question.path.to_string().as_str());
    for (question, found) in questions.iter().zip(&mut found).filter(|(question, _)| is_first(question)) {
        *found = Some(answer(question, answers, out)?);
    }
    let rest = questions.iter().filter(|question| !is_first(question)).count();
    writeln!(
        out,
        "\nThat is enough for a first case. {rest} more questions are about the routine of the operation, the advice \
         for home and days on which the clinic is closed."
    )?;
    if is_yes(line("Answer them now? yes or no: ", answers, out)?) {
        for (question, found) in questions.iter().zip(&mut found).filter(|(question, _)| !is_first(question))
        {
            *found = Some(answer(question, answers, out)?);
        }
    }
    let mut file = String::from("# Written by `unguis setup` from the answers given.\n");
    let mut open_block: Option<Path> = None;
    let mut silent: Vec<String> = Vec::new();
    for (question, lines) in questions.iter().zip(found) {
        let Some(lines) = lines.filter(|lines| !lines.is_empty()) else {
            silent.push(format!("`{}`", question.path));
            continue;
        };
        // A block is opened by the first of its keys that has an answer.
        let block = question.path.parent().unwrap_or_default();
        if open_block.as_ref() != Some(&block) {
            open(&block, open_block.as_ref(), &mut file);
            open_block = Some(block);
        }
        file.push_str(&lines);
    }
    // Without any answer the questions themselves are of more use.
    if open_block.is_none() {
        return Ok(TEMPLATE.to_owned());
    }
    if !silent.is_empty() {
        file.push_str(&format!("\n# Not answered, and so not printed:\n{}", wrapped(&silent)));
    }
    Ok(file)
}

/// Words with commas between, as lines of a comment.
fn wrapped(words: &[String]) -> String {
    let mut text = String::new();
    let mut line = String::from("#");
    for (at, word) in words.iter().enumerate() {
        let comma = if at + 1 < words.len() { "," } else { "." };
        if line.len() + word.len() > 98 {
            text.push_str(&line);
            text.push('\n');
            line = String::from("#");
        }
        line.push_str(&format!(" {word}{comma}"));
    }
    text + &line + "\n"
}

fn is_yes(typed: Typed) -> bool {
    matches!(typed, Typed::Answer(answer) if ["y", "yes"].contains(&answer.to_lowercase().as_str()))
}

fn answer(question: &Question, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    match question.key.as_str() {
        "practitioners" => people(question, answers, out),
        "gps" => practices(question, answers, out),
        _ => {
            let is_needed = NEEDED.contains(&question.path.to_string().as_str());
            one(question, is_needed, answers, out)
        }
    }
}

/// The keys of the blocks around a value, as far as they are not open already.
fn open(block: &Path, before: Option<&Path>, file: &mut String) {
    let open = before.map_or(&[][..], Path::segments);
    for (depth, segment) in block.segments().iter().enumerate() {
        if open.get(depth) != Some(segment)
            && let crate::diagnostic::Segment::Key(key) = segment
        {
            file.push_str(&format!("{}{key}:\n", "  ".repeat(depth)));
        }
    }
}

/// One answer as a line of the file; asked again until it can be read, or is empty where it may be.
fn one(
    question: &Question,
    is_needed: bool,
    answers: &mut impl BufRead,
    out: &mut impl Write,
) -> io::Result<String> {
    if !question.says.is_empty() {
        // At a prompt commas alone will do.
        let says = question.says.replace("in square brackets", "with commas between");
        writeln!(out, "\n{}", says.replace("In square brackets", "With commas between"))?;
    }
    loop {
        let answer = match line(&format!("{}: ", question.key), answers, out)? {
            Typed::Answer(answer) => answer,
            Typed::Nothing if is_needed => {
                writeln!(out, "this one is needed: no case can be read without it")?;
                continue;
            }
            Typed::Nothing | Typed::End => return Ok(String::new()),
        };
        match written(question, &answer) {
            Ok(value) => return Ok(format!("{}{}: {value}\n", " ".repeat(question.indent), question.key)),
            Err(problem) => writeln!(out, "{problem}")?,
        }
    }
}

/// The answer as the reader takes it: as a text, as it was typed, or as a list.
fn written(question: &Question, answer: &str) -> Result<String, String> {
    let days = (question.key == "opening_days").then(|| days(answer)).flatten();
    let answer = days.as_deref().unwrap_or(answer);
    let list = |answer: &str| {
        let items = answer.trim_matches(['[', ']']).split(',').map(|item| quoted(item.trim()));
        let items: Vec<String> = items.filter(|item| item != "\"\"").collect();
        format!("[{}]", items.join(", "))
    };
    let mut problem = None;
    // A word of a fixed list may be typed with capitals and blanks, and a nation of two by one of them.
    let small = answer.to_lowercase();
    let joined = if question.key == "division" && ["england", "wales"].contains(&small.as_str()) {
        "england-and-wales".to_owned()
    } else {
        small.replace(' ', "-")
    };
    let as_typed = [quoted(answer), answer.to_owned(), list(answer)];
    for value in as_typed.into_iter().chain([quoted(&small), quoted(&joined), list(&small)]) {
        match refusal(&question.path, &value) {
            None => return Ok(value),
            // What is said of the words as they were typed is what the person understands.
            Some(said) => problem = problem.or(Some(said).filter(|_| value == answer)),
        }
    }
    Err(problem.unwrap_or_else(|| "this cannot be read".to_owned()))
}

/// `monday to friday` and `Mon-Fri` as the days that they stand for; a day by its first three letters.
fn days(answer: &str) -> Option<String> {
    const ALL: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    let day = |typed: &str| {
        let typed = typed.trim().trim_end_matches('.').to_lowercase();
        ALL.iter().position(|day| typed.len() >= 3 && day.starts_with(&typed))
    };
    let small =
        answer.trim_matches(['[', ']']).to_lowercase().replace(['–', '-'], " to ").replace(" and ", ",");
    let mut found = Vec::new();
    for part in small.split(',').filter(|part| !part.trim().is_empty()) {
        match part.split_once(" to ") {
            Some((from, to)) => found.extend(day(from)?..=day(to)?),
            None => found.push(day(part)?),
        }
    }
    (!found.is_empty()).then(|| found.into_iter().map(|at| ALL[at]).collect::<Vec<_>>().join(", "))
}

/// What the reader says of a value in its place; nothing if it takes it.
fn refusal(path: &Path, value: &str) -> Option<String> {
    let mut file = String::new();
    open(&path.parent().unwrap_or_default(), None, &mut file);
    let depth = path.segments().len().saturating_sub(1);
    file.push_str(&format!("{}{}: {value}\n", "  ".repeat(depth), path.last_key().unwrap_or_default()));
    let read = read_clinic(Arc::new(SourceText::new("the answer", file)));
    let inside = |found: &Path| found.segments().starts_with(path.segments());
    // A fault of the layout has no path of its own, and a key that is missing elsewhere is asked for later.
    let found =
        read.diagnostics.into_iter().find(|found| inside(&found.path) || found.rule == "yaml-syntax")?;
    let help = found.help.map_or_else(String::new, |help| format!("; {help}"));
    Some(format!("{}{help}", found.primary.text))
}

/// People, one after the other, each under a short key.
fn people(question: &Question, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    writeln!(
        out,
        "\nWho works here? An empty name ends the list. Annotations are those of the entry in the register, with \
         commas between: administration, sale and supply, independent prescriber, supplementary prescriber."
    )?;
    entries(question, &["name", "registration", "role", "annotations"], answers, out)
}

/// General practices, one after the other, each under a short key.
fn practices(question: &Question, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    writeln!(out, "\nWhich general practices? An empty practice ends the list.")?;
    entries(question, &["practice", "name", "address", "telephone"], answers, out)
}

fn entries(
    question: &Question,
    keys: &[&str],
    answers: &mut impl BufRead,
    out: &mut impl Write,
) -> io::Result<String> {
    let is_needed = NEEDED.contains(&question.key.as_str());
    let of_each = NEEDED_OF_EACH.iter().find(|(list, _)| *list == question.key);
    let mut lines = String::new();
    let mut taken: Vec<String> = Vec::new();
    loop {
        let first = match line(&format!("{}: ", keys[0]), answers, out)? {
            Typed::Answer(first) => first,
            Typed::Nothing if is_needed && taken.is_empty() => {
                writeln!(out, "at least one is needed: no case can be read without it")?;
                continue;
            }
            Typed::Nothing | Typed::End => return Ok(lines),
        };
        let short = loop {
            let short = match line("a short key, as you will type it in each case: ", answers, out)? {
                Typed::Answer(short) => short,
                Typed::Nothing => {
                    writeln!(out, "one word will do, like the family name in small letters")?;
                    continue;
                }
                Typed::End => return Ok(lines),
            };
            if taken.contains(&short) {
                writeln!(out, "`{short}` is taken")?;
            } else if !short.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_')) {
                writeln!(out, "letters, digits and hyphens only, without blanks")?;
            } else {
                break short;
            }
        };
        if lines.is_empty() {
            lines.push_str(&format!("{}:\n", question.key));
        }
        lines.push_str(&format!("  {short}:\n    {}: {}\n", keys[0], quoted(&first)));
        let place = question.path.key(short.as_str());
        for key in &keys[1..] {
            let inner =
                Question { says: String::new(), indent: 4, key: (*key).to_owned(), path: place.key(*key) };
            let is_needed = of_each.is_some_and(|(_, needed)| needed.contains(key));
            lines.push_str(&one(&inner, is_needed, answers, out)?);
        }
        taken.push(short);
    }
}

/// What came of a prompt.
enum Typed {
    Answer(String),
    /// An empty line.
    Nothing,
    /// There are no more answers.
    End,
}

/// One typed line.
fn line(prompt: &str, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<Typed> {
    write!(out, "{prompt}")?;
    out.flush()?;
    let mut typed = String::new();
    if answers.read_line(&mut typed)? == 0 {
        return Ok(Typed::End);
    }
    let typed = typed.trim();
    Ok(if typed.is_empty() { Typed::Nothing } else { Typed::Answer(typed.to_owned()) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::clinic_schema;

    #[test]
    fn every_key_without_keys_below_is_a_question() {
        let asked: Vec<String> = questions().iter().map(|question| question.path.to_string()).collect();
        for key in FIRST.iter().chain(&NEEDED).chain(&["protocol.vte_prophylaxis", "protocol.aftercare.wet"])
        {
            assert!(asked.iter().any(|path| path == key), "{key} in {asked:?}");
        }
        assert!(!asked.iter().any(|path| path == "protocol" || path == "protocol.anaesthetic"), "{asked:?}");
        let days = questions().into_iter().find(|question| question.key == "first_redressing_days");
        assert_eq!(
            days.map(|question| question.says).as_deref(),
            Some("How many days after surgery is the first redressing? A whole number.")
        );
    }

    /// Nothing is asked again and again that the reader would do without, and the other way round.
    #[test]
    fn what_is_needed_is_what_the_reader_needs() {
        let schema = clinic_schema();
        let required = |at: &serde_json::Value| -> Vec<String> {
            let keys = at["required"].as_array().into_iter().flatten();
            keys.filter_map(|key| key.as_str().map(str::to_owned)).collect()
        };
        let defs = &schema["$defs"];
        let mut needed: Vec<String> = required(&schema).into_iter().filter(|key| key != "protocol").collect();
        needed.extend(required(&defs["Protocol"]).into_iter().map(|key| format!("protocol.{key}")));
        needed.sort();
        let mut ours = NEEDED.map(str::to_owned);
        ours.sort();
        assert_eq!(needed, ours);
        for (list, name) in [("practitioners", "Practitioner"), ("gps", "Gp")] {
            let ours = NEEDED_OF_EACH.iter().find(|(known, _)| *known == list).map(|(_, keys)| keys.to_vec());
            assert_eq!(
                Some(required(&defs[name])),
                ours.map(|keys| keys.into_iter().map(str::to_owned).collect())
            );
        }
    }

    fn answered(lines: &str) -> (String, String) {
        let mut out = Vec::new();
        let file = ask(&mut lines.as_bytes(), &mut out).expect("memory does not fail");
        (file, String::from_utf8(out).expect("questions are text"))
    }

    const FIRST_ANSWERS: &str = "Larkmoor Foot Clinic\n2 Quay Street, Larkmoor, XX4 1AA\n01632 960 100\n01632 960 111\n\
        United Kingdom\nEngland and Wales\nRobin Quill\nquill\nHCPC CH00000\nPodiatrist\nPrescriber\nAdministration, sale and supply\n\n\
        Birchgate Surgery\nbirchgate\nDr A. Fenwright\n1 Birch Gate, Larkmoor\n\n\n\
        mepivacaine\n3\n3 %\n89 %\ndigital block, two-sided\n3 days\n3\n42\nevery day\nMon, Tue - Fri\n";

    fn reads(file: &str) -> crate::case::Clinic {
        let read = read_clinic(Arc::new(SourceText::new("clinic.yaml", file)));
        Arc::unwrap_or_clone(read.value.unwrap_or_else(|| panic!("{:?}\n{file}", read.diagnostics)))
    }

    #[test]
    fn the_first_answers_make_a_file_that_reads() {
        let (file, said) = answered(&format!("{FIRST_ANSWERS}no\n"));
        let clinic = reads(&file);
        assert_eq!(clinic.address, ["2 Quay Street", "Larkmoor", "XX4 1AA"]);
        assert_eq!(clinic.practitioners["quill"].role, "Podiatrist");
        assert_eq!(clinic.practitioners["quill"].annotations.as_ref().map(Vec::len), Some(2));
        assert_eq!(clinic.gps["birchgate"].practice, "Birchgate Surgery");
        assert_eq!((clinic.protocol.tourniquet, clinic.protocol.first_redressing_days), (None, Some(3)));
        assert_eq!(clinic.protocol.opening_days.len(), 5);
        assert!(file.contains("# Not answered, and so not printed:\n# `hours`, `email`,"), "{file}");
        assert!(!said.contains("Where does nail varnish"), "the rest is not asked: {said}");
    }

    #[test]
    fn answers_are_written_as_a_tidy_file_has_them() {
        let (file, _) = answered(&format!("{FIRST_ANSWERS}no\n"));
        let full = in_full(file.clone());
        assert_eq!(reads(&full), reads(&file));
        assert_eq!(in_full(full.clone()), full, "nothing is left to tidy");
        let typed = "name: X\naddress: 1 Row, Larkmoor\ntelephone: 1\ndivision: Scotland\npractitioners: {}\n\
                     protocol: {opening_days: Mon to Wed, review_days: 6 weeks}\n";
        assert!(
            in_full(typed.to_owned()).contains("opening_days: [monday, tuesday, wednesday], review_days: 42")
        );
    }

    #[test]
    fn whole_answers_make_a_file_that_reads() {
        let (file, _) = answered(&format!(
            "{FIRST_ANSWERS}yes\nMonday to Friday, 8:30am to 5pm\nfeet@larkmoor.example\n\
             chlorhexidine: 0.5 % # pink\nsterile saline\nroutine\nelective\nnone\nnone\n\nalginate, gauze\n\
             2026-12-24\n6\n2\n\n\n\nkeep dry\n\n",
        ));
        let clinic = reads(&file);
        assert_eq!(clinic.protocol.skin_preparation.as_deref(), Some("chlorhexidine: 0.5 % # pink"));
        assert_eq!(clinic.protocol.vte_prophylaxis.as_deref(), Some("none"));
        assert_eq!(clinic.protocol.dressing, ["alginate", "gauze"]);
        assert_eq!(clinic.protocol.aftercare.rest_days, Some(2));
    }

    #[test]
    fn an_answer_that_cannot_be_read_is_asked_for_again_with_the_reason() {
        let (_, said) = answered("\nLarkmoor\nx\n1\n\nNarnia\nscotland\n");
        assert!(said.contains("`Narnia` is not a known word"), "{said}");
        assert_eq!(said.matches("division: ").count(), 2, "{said}");
        assert_eq!(said.matches("this one is needed").count(), 1, "an empty name is asked for again: {said}");
    }

    #[test]
    fn days_are_taken_as_people_say_them() {
        assert_eq!(days("monday to friday").as_deref(), Some("monday, tuesday, wednesday, thursday, friday"));
        assert_eq!(days("Mon-Wed, Sat.").as_deref(), Some("monday, tuesday, wednesday, saturday"));
        assert_eq!(days("tues and thurs").as_deref(), Some("tuesday, thursday"));
        for unclear in ["every day", "m", "fri to", "friday to mon"] {
            assert_eq!(days(unclear), None, "{unclear}");
        }
    }

    /// What is not answered is not in the file, and the reader says what it needs.
    #[test]
    fn no_answer_makes_no_practice() {
        let (file, _) = answered("");
        assert_eq!(file, TEMPLATE);
        let (file, _) = answered("Larkmoor Foot Clinic\n");
        assert!(
            file.starts_with(
                "# Written by `unguis setup` from the answers given.\nname: \"Larkmoor Foot Clinic\"\n\n#"
            ),
            "{file}"
        );
        assert_eq!(file.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).count(), 1);
    }
}
