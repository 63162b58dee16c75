//! `unguis setup`: the clinic file. On a terminal each question is asked; elsewhere the questions are written.
//!
//! The questions are those of the file itself, and an answer counts if the reader takes it: so they cannot
//! disagree. What is not answered is left out; no practice is made up.

use std::io::{self, BufRead, Write};
use std::sync::Arc;

use crate::case::read_clinic;
use crate::cli::args::Setup;
use crate::cli::new::quoted;
use crate::cli::{Error, Exit, io as edge};
use crate::diagnostic::{Path, SourceText};

/// The file with its questions.
const TEMPLATE: &str = include_str!("new_clinic.yaml");

/// Writes the file; never over one that is there.
pub(super) fn run(args: &Setup) -> Result<Exit, Error> {
    edge::must_be_new(&args.to)?;
    let text = if edge::is_conversation() {
        let (mut answers, mut questions) = (io::stdin().lock(), io::stderr().lock());
        ask(&mut answers, &mut questions).map_err(|source| Error::io("read", "the answers", source))?
    } else {
        TEMPLATE.to_owned()
    };
    edge::write_new(&args.to, text.as_bytes())?;
    edge::print(&format!("{}\n", args.to.display()));
    edge::eprint(&format!("`unguis check {}` lists what is still open\n", args.to.display()));
    Ok(Exit::Done)
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

/// Asks every question and gives the file.
fn ask(answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    writeln!(out, "An empty answer leaves the line out. Nothing is filled in for you.")?;
    let mut file = String::from("# Written by `unguis setup` from the answers given.\n");
    let mut open_block: Option<Path> = None;
    for question in questions() {
        let lines = match question.key.as_str() {
            "practitioners" => people(&question, answers, out)?,
            "gps" => practices(&question, answers, out)?,
            _ => one(&question, answers, out)?,
        };
        if lines.is_empty() {
            continue;
        }
        // A block is opened by the first of its keys that has an answer.
        let block = question.path.parent().unwrap_or_default();
        if open_block.as_ref() != Some(&block) {
            open(&block, open_block.as_ref(), &mut file);
            open_block = Some(block);
        }
        file.push_str(&lines);
    }
    // Without any answer the questions themselves are of more use.
    Ok(if open_block.is_some() { file } else { TEMPLATE.to_owned() })
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

/// One answer as a line of the file; asked again until it can be read or is empty.
fn one(question: &Question, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<String> {
    if !question.says.is_empty() {
        writeln!(out, "\n{}", question.says)?;
    }
    loop {
        let Some(answer) = line(&format!("{}: ", question.key), answers, out)? else {
            return Ok(String::new());
        };
        match written(question, &answer) {
            Ok(value) => return Ok(format!("{}{}: {value}\n", " ".repeat(question.indent), question.key)),
            Err(problem) => writeln!(out, "{problem}")?,
        }
    }
}

/// The answer as the reader takes it: as a text, as it was typed, or as a list.
fn written(question: &Question, answer: &str) -> Result<String, String> {
    let items: Vec<String> = answer
        .trim_matches(['[', ']'])
        .split(',')
        .map(|item| quoted(item.trim()))
        .filter(|item| item != "\"\"")
        .collect();
    let mut problem = None;
    for value in [quoted(answer), answer.to_owned(), format!("[{}]", items.join(", "))] {
        match refusal(&question.path, &value) {
            None => return Ok(value),
            // What is said of the words as they were typed is what the person understands.
            Some(said) => problem = problem.or(Some(said).filter(|_| value == answer)),
        }
    }
    Err(problem.unwrap_or_else(|| "this cannot be read".to_owned()))
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
    writeln!(out, "\nWho works here? An empty name ends the list.")?;
    entries(question, &["name", "registration", "role"], answers, out)
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
    let mut lines = String::new();
    let mut taken: Vec<String> = Vec::new();
    loop {
        let Some(first) = line(&format!("{}: ", keys[0]), answers, out)? else { return Ok(lines) };
        let short = loop {
            let Some(short) = line("short key for it, as you will type it in each case: ", answers, out)?
            else {
                return Ok(lines);
            };
            if taken.contains(&short) {
                writeln!(out, "`{short}` is taken")?;
            } else if !short.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_')) {
                writeln!(out, "letters, digits and hyphens only")?;
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
            lines.push_str(&one(&inner, answers, out)?);
        }
        taken.push(short);
    }
}

/// One typed line; `None` if it is empty or there are no more.
fn line(prompt: &str, answers: &mut impl BufRead, out: &mut impl Write) -> io::Result<Option<String>> {
    write!(out, "{prompt}")?;
    out.flush()?;
    let mut typed = String::new();
    answers.read_line(&mut typed)?;
    let typed = typed.trim();
    Ok((!typed.is_empty()).then(|| typed.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_without_keys_below_is_a_question() {
        let asked: Vec<String> = questions().iter().map(|question| question.path.to_string()).collect();
        for key in [
            "name",
            "division",
            "practitioners",
            "gps",
            "protocol.anaesthetic.agent",
            "protocol.opening_days",
        ] {
            assert!(asked.iter().any(|path| path == key), "{key} in {asked:?}");
        }
        assert!(!asked.iter().any(|path| path == "protocol" || path == "protocol.anaesthetic"), "{asked:?}");
        let days = questions().into_iter().find(|question| question.key == "first_redressing_days");
        assert_eq!(
            days.map(|question| question.says).as_deref(),
            Some("How many days after surgery is the first redressing? A whole number.")
        );
    }

    fn answered(lines: &str) -> (String, String) {
        let mut out = Vec::new();
        let file = ask(&mut lines.as_bytes(), &mut out).expect("memory does not fail");
        (file, String::from_utf8(out).expect("questions are text"))
    }

    #[test]
    fn whole_answers_make_a_file_that_reads() {
        let (file, _) = answered(
            "Larkmoor Foot Clinic\n2 Quay Street, Larkmoor, XX4 1AA\n01632 960 100\nMonday to Friday, 8:30am to 5pm\n\
             01632 960 111\nfeet@larkmoor.example\nEngland and Wales\nengland-and-wales\n\
             Robin Quill\nquill\nHCPC CH00000\nPodiatrist\n\n\
             Birchgate Surgery\nbirchgate\nDr A. Fenwright\n1 Birch Gate, Larkmoor\n\n\n\
             mepivacaine\n3\n3 %\n89 %\ndigital block, two-sided\nchlorhexidine: 0.5 % # pink\n\nalginate, gauze\n\
             3 days\n3\n42\nMon\nmonday, tuesday, friday\n2026-12-24\n6\nkeep dry\n\n",
        );
        let read = read_clinic(Arc::new(SourceText::new("clinic.yaml", file.as_str())));
        let clinic = read.value.unwrap_or_else(|| panic!("{:?}\n{file}", read.diagnostics));
        assert_eq!(clinic.address, ["2 Quay Street", "Larkmoor", "XX4 1AA"]);
        assert_eq!(clinic.practitioners["quill"].role, "Podiatrist");
        assert_eq!(clinic.gps["birchgate"].practice, "Birchgate Surgery");
        assert_eq!(clinic.protocol.skin_preparation.as_deref(), Some("chlorhexidine: 0.5 % # pink"));
        assert_eq!(
            (clinic.protocol.tourniquet.as_deref(), clinic.protocol.first_redressing_days),
            (None, Some(3))
        );
        assert_eq!(clinic.protocol.opening_days.len(), 3);
    }

    #[test]
    fn an_answer_that_cannot_be_read_is_asked_for_again_with_the_reason() {
        let (_, said) = answered(&format!("{}Narnia\nscotland\n", "\n".repeat(6)));
        assert!(said.contains("`Narnia` is not a known word"), "{said}");
        assert_eq!(said.matches("division: ").count(), 2, "{said}");
    }

    /// What is not answered is not in the file, and the reader says what it needs.
    #[test]
    fn no_answer_makes_no_practice() {
        let (file, _) = answered("");
        assert_eq!(file, TEMPLATE);
        let (file, _) = answered("Larkmoor Foot Clinic\n");
        assert_eq!(
            file,
            "# Written by `unguis setup` from the answers given.\nname: \"Larkmoor Foot Clinic\"\n"
        );
    }
}
