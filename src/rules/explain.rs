//! What `explain` prints: the page of a rule, and the table of all rules for the terminal and for README.
//!
//! Plain text only. Everything it says comes from the rule itself; it judges no case.

use serde_yaml::Value;

use super::{AnsweredBy, Holds, Rule, Topic, answers, rules};
use crate::clinical::{Cite, Relation};
use crate::diagnostic::Severity;
use crate::words::{List, broken};

/// Columns of a page.
const WIDTH: usize = 80;
/// Columns by which the text under a heading is moved in.
const INDENT: usize = 4;

/// The page of a rule: what it means, why, where it comes from, what it does not know, a case that
/// raises it and one that does not, and how to answer it. Lines of at most 80 columns.
pub fn page(rule: &Rule) -> String {
    let mut page = format!("{}\n{}\n{}\n", rule.name, "=".repeat(rule.name.len()), wrapped(rule.title, 0));
    page.push_str(&format!(
        "Topic:  {}\nWeight: {}\nHolds:  {}\n\n",
        rule.topic.title(),
        wrapped_after(8, weight(rule)),
        wrapped_after(8, &holds(rule))
    ));
    let mut section = |heading: &str, text: &str| page.push_str(&format!("{heading}\n{text}\n"));
    section("Why", &wrapped(rule.why, INDENT));
    section("Source", &source(&rule.cite));
    section("What it does not know", &wrapped(rule.limits, INDENT));
    section("A case that raises it", &example(rule.example.bad));
    section("A case that does not", &example(rule.example.good));
    if let Some(why) = answers::why(rule) {
        section(
            "What answers a stop, and why",
            &wrapped(&format!("{}. {why}", answer_in_a_word(rule)), INDENT),
        );
    }
    section("How to answer it", how_to_answer(rule).trim_end());
    page
}

/// The usual weight in a sentence.
fn weight(rule: &Rule) -> &'static str {
    match (rule.severity, rule.answered_by) {
        (Severity::Unreadable, _) => "unreadable. Nothing is made from the file.",
        (Severity::Stop, AnsweredBy::Never) => "stop. What it holds is not issued while it stands.",
        (Severity::Stop, AnsweredBy::Reason) => {
            "stop. What it holds is not issued until it is mended or answered with a reason."
        }
        (Severity::Stop, AnsweredBy::Incident) => {
            "stop. What it holds is not issued until it is mended or, if it really happened, recorded under \
             `incidents`."
        }
        (Severity::Caution, AnsweredBy::Never) => {
            "caution. What it holds is not issued until somebody has looked and answered it."
        }
        (Severity::Caution, AnsweredBy::Reason | AnsweredBy::Incident) => {
            "caution, in grave cases a stop. What it holds is not issued until somebody has looked and \
             answered it."
        }
        (Severity::Note, _) => "note. For information; it stands in the way of nothing.",
    }
}

fn answer_in_a_word(rule: &Rule) -> &'static str {
    match rule.answered_by {
        AnsweredBy::Never => "Nothing: the file is mended",
        AnsweredBy::Reason => "A reason and a name",
        AnsweredBy::Incident => "A complete entry under `incidents`",
    }
}

/// The documents that an open finding of the rule holds back.
fn holds(rule: &Rule) -> String {
    match rule.holds {
        _ if rule.severity == Severity::Note => "nothing.".to_owned(),
        Holds::All => "every document.".to_owned(),
        Holds::Only(names) => format!("{}.", List::and(names)),
    }
}

fn source(cite: &Cite) -> String {
    let mut text = String::new();
    if let Some(source) = cite.source {
        let gap = if cite.locator.is_empty() { "" } else { ", " };
        let named = format!("{}, {} {}{gap}{}.", source.title, source.publisher, source.year, cite.locator);
        text.push_str(&wrapped(&named, INDENT));
        text.push_str(&wrapped(&source.seen.to_string(), INDENT));
    }
    text + &wrapped(&relation(cite.relation), INDENT)
}

fn relation(relation: Relation) -> String {
    match relation {
        Relation::States => "The source says so.".into(),
        Relation::Adapts(how) => format!("Adapted: {how}."),
        Relation::CommonPractice => "Common practice; no publication was found.".into(),
        Relation::ProjectDefault(why) => format!("A default of this tool: {why}."),
        Relation::FromMemory => {
            "From memory: the publication was not at hand. Check it before relying on it.".into()
        }
    }
}

/// The fragment as a case file shows it; `~` stands for a key that is left out.
fn example(fragment: &str) -> String {
    let value: Value = serde_yaml::from_str(fragment).expect("a unit test reads every example");
    if value.is_null() {
        return wrapped("The routine case as it is.", INDENT);
    }
    let mut lines = String::new();
    block(&value, INDENT, &mut lines);
    if lines.contains(": ~") {
        lines.push_str(&wrapped("(`~` stands for a key that is left out.)", INDENT));
    }
    lines
}

/// Each entry on one line where it fits, else as a block.
fn block(value: &Value, indent: usize, lines: &mut String) {
    let space = " ".repeat(indent);
    let mut entry = |start: String, value: &Value| {
        let line = format!("{space}{start} {}", flow(value));
        if line.chars().count() <= WIDTH {
            lines.push_str(&format!("{line}\n"));
        } else if !(value.is_mapping() || value.is_sequence()) {
            // YAML joins the lines of a long text again.
            let folded = broken(&line, WIDTH - indent - 2).join(&format!("\n{space}  "));
            lines.push_str(&format!("{space}{folded}\n"));
        } else {
            lines.push_str(&format!("{space}{start}\n"));
            block(value, indent + 2, lines);
        }
    };
    match value {
        Value::Mapping(keys) => keys.iter().for_each(|(key, value)| entry(format!("{}:", flow(key)), value)),
        Value::Sequence(items) => items.iter().for_each(|item| entry("-".into(), item)),
        scalar => lines.push_str(&format!("{space}{}\n", flow(scalar))),
    }
}

/// A value on one line.
fn flow(value: &Value) -> String {
    match value {
        Value::Null => "~".into(),
        Value::Bool(is_so) => is_so.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => quoted_if_needed(text),
        Value::Sequence(items) => format!("[{}]", items.iter().map(flow).collect::<Vec<_>>().join(", ")),
        Value::Mapping(keys) => {
            let entries = keys.iter().map(|(key, value)| format!("{}: {}", flow(key), flow(value)));
            format!("{{{}}}", entries.collect::<Vec<_>>().join(", "))
        }
        Value::Tagged(tagged) => flow(&tagged.value),
    }
}

/// Times and ratios stand in quotation marks in a case file, and so does what YAML would misread.
fn quoted_if_needed(text: &str) -> String {
    let is_plain = text.chars().all(|c| c.is_alphanumeric() || " _./%-;'()".contains(c))
        && matches!(serde_yaml::from_str::<Value>(text), Ok(Value::String(same)) if same == text);
    if is_plain {
        text.to_owned()
    } else {
        format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
    }
}

fn how_to_answer(rule: &Rule) -> String {
    let entry =
        format!("    accepted:\n      - {{rule: {}, because: your reason, by: your name}}\n", rule.name);
    let printed = wrapped("The operation note prints the reason and the name.", INDENT);
    let say = |text: &str| wrapped(text, INDENT);
    match (rule.severity, rule.answered_by) {
        (Severity::Note | Severity::Unreadable, _) => say("Nothing has to be done."),
        (Severity::Stop, AnsweredBy::Never) => say(
            "Correct the entry, or change what is planned. A stop of this rule cannot be accepted with a \
                 reason; a finding of it that weighs only a caution can.",
        ),
        (Severity::Stop, AnsweredBy::Reason) => {
            say("Correct the entry, or change what is planned. If it was right to go on, say why:")
                + &entry
                + &printed
        }
        (Severity::Stop, AnsweredBy::Incident) => {
            let incident = format!(
                "    incidents:\n      - answers: [{}]\n        what_happened: facts only\n        …\n",
                rule.name
            );
            say("Correct the entry if it is wrong. If it really happened, record it:")
                + &incident
                + &say("The operation note prints it, and `check` names what the entry still lacks.")
        }
        (Severity::Caution, _) => {
            say("Correct the entry. If it is right and surgery goes on, say why:") + &entry + &printed
        }
    }
}

/// The table for README: topic, rule, weight, title. `stop*` may be accepted with a reason,
/// `stop+` recorded as an incident.
pub fn table_markdown() -> String {
    let mut table = String::from("| topic | rule | weight | says that |\n|---|---|---|---|\n");
    for rule in rules() {
        let (topic, title) = (rule.topic.title(), rule.title.replace('|', "\\|"));
        table.push_str(&format!("| {topic} | `{}` | {} | {title} |\n", rule.name, short_weight(rule)));
    }
    table
}

/// The table for the terminal, by topic, in lines of at most 80 columns.
pub fn table_text() -> String {
    let name_width = rules().map(|rule| rule.name.len()).max().unwrap_or(0);
    let mut table = String::new();
    let mut topic: Option<Topic> = None;
    for rule in rules() {
        if topic != Some(rule.topic) {
            let gap = if topic.is_some() { "\n" } else { "" };
            table.push_str(&format!("{gap}{}\n", rule.topic.title()));
            topic = Some(rule.topic);
        }
        let start = format!("  {:<name_width$}  {:<7}  ", rule.name, short_weight(rule));
        let title = wrapped_after(start.chars().count(), rule.title);
        table.push_str(&format!("{start}{title}\n"));
    }
    table.push_str(
        "\nstop: the documents that it holds are not issued while it stands. stop*: the\n\
         same, but it may be accepted with a reason. stop+: the same, but if it really\n\
         happened it is recorded under `incidents`. caution: to be answered under\n\
         `accepted` before issue. note: for information. `unguis explain RULE` prints\n\
         the page of one rule.\n",
    );
    table
}

fn short_weight(rule: &Rule) -> String {
    let mark = match (rule.severity, rule.answered_by) {
        (Severity::Stop, AnsweredBy::Reason) => "*",
        (Severity::Stop, AnsweredBy::Incident) => "+",
        _ => "",
    };
    format!("{}{mark}", rule.severity.word())
}

/// The text in lines of at most [`WIDTH`] columns, each moved in and ended.
fn wrapped(text: &str, indent: usize) -> String {
    let space = " ".repeat(indent);
    broken(text, WIDTH - indent).iter().map(|line| format!("{space}{line}\n")).collect()
}

/// The same for text that follows `column` characters on its first line; no line end after the last.
fn wrapped_after(column: usize, text: &str) -> String {
    broken(text, WIDTH.saturating_sub(column).max(20)).join(&format!("\n{}", " ".repeat(column)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = r#"tourniquet-long
===============
the tourniquet was on for long

Topic:  tourniquet
Weight: stop. What it holds is not issued until it is mended or answered with a
        reason.
Holds:  operation-note and gp-letter.

Why
    A toe without blood for long can suffer in its nerves and skin, and a long
    time often means that the tourniquet was forgotten.

Source
    A default of this tool: no published limit for a digit was found; 20 minutes
    for a caution and 30 for a stop were chosen on the safe side.

What it does not know
    Limits known for whole limbs do not apply to a toe. The clinic may replace
    the 20 minutes under `limits.tourniquet_minutes`; the 30 stay.

A case that raises it
    operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:11"}}}}

A case that does not
    operation: {toes: {L1: {tourniquet: {on: "09:50", off: "10:10"}}}}

What answers a stop, and why
    A reason and a name. A difficult toe can need longer. Why, and how the toe
    was afterwards, is the reason; one that was forgotten is an incident.

How to answer it
    Correct the entry, or change what is planned. If it was right to go on, say
    why:
    accepted:
      - {rule: tourniquet-long, because: your reason, by: your name}
    The operation note prints the reason and the name.
"#;

    #[test]
    fn a_page_in_full() {
        assert_eq!(page(super::super::rule("tourniquet-long").expect("a rule of the table")), PAGE);
    }

    #[test]
    fn every_page_fits_and_its_examples_read_back() {
        for rule in rules() {
            let page = page(rule);
            let is_address = |line: &str| !line.trim().contains(' ');
            for line in page.lines().filter(|line| !is_address(line)) {
                assert!(line.chars().count() <= WIDTH, "{}: {line}", rule.name);
                assert_eq!(line, line.trim_end(), "{}", rule.name);
            }
            for fragment in [rule.example.bad, rule.example.good] {
                let meant: Value = serde_yaml::from_str(fragment).expect("an example");
                let mut lines = String::new();
                block(&meant, 0, &mut lines);
                let printed: Value = serde_yaml::from_str(&lines).expect("a printed example");
                assert!(meant.is_null() || printed == meant, "{}: {lines}", rule.name);
            }
        }
    }

    #[test]
    fn the_tables_name_every_rule_once() {
        let (text, markdown) = (table_text(), table_markdown());
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        for rule in rules() {
            let named = format!("  {} ", rule.name);
            assert_eq!(text.lines().filter(|line| line.starts_with(&named)).count(), 1, "{}", rule.name);
            assert_eq!(markdown.matches(&format!("| `{}` |", rule.name)).count(), 1, "{}", rule.name);
        }
        assert!(
            markdown
                .contains("| tourniquet | `tourniquet-long` | stop* | the tourniquet was on for long |\n")
        );
    }

    #[test]
    fn examples_are_printed_as_a_case_file_is_written() {
        assert_eq!(
            example("operation: ~"),
            "    operation: ~\n    (`~` stands for a key that is left out.)\n"
        );
        assert_eq!(example(""), "    The routine case as it is.\n");
        assert_eq!(quoted_if_needed("1:200000"), "\"1:200000\"");
        assert_eq!(quoted_if_needed("2231"), "\"2231\"");
        assert_eq!(quoted_if_needed("10/10"), "10/10");
    }
}
