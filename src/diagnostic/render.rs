//! Diagnostics as a person or a program reads them: with snippet, one line each, or JSON.
//! The only place that knows the snippet library. Nothing is judged here and nothing is printed.

use std::fmt::Write as _;
use std::sync::Arc;

use annotate_snippets::{AnnotationKind, Element, Group, Level, Origin, Renderer, Snippet};

use crate::diagnostic::{Diagnostic, Label, Severity, SourceText, Span};
use crate::words::Count;

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// With the lines of the file, for a terminal; `true` for colour.
    Human {
        /// Use ANSI colour.
        colour: bool,
    },
    /// `file:line:column: severity[rule]: title: what is wrong`.
    Short,
}

/// A line longer than this is not shown: no snippet of it would fit a screen.
const LONGEST_LINE: usize = 500;

/// All diagnostics, gravest first within each file, ending in a newline. Nothing for an empty slice.
pub fn render(diagnostics: &[Diagnostic], style: Style) -> String {
    let mut files: Vec<&str> = Vec::new();
    for diagnostic in diagnostics {
        if !files.contains(&diagnostic.primary.source.name()) {
            files.push(diagnostic.primary.source.name());
        }
    }
    let file_of =
        |diagnostic: &Diagnostic| files.iter().position(|file| *file == diagnostic.primary.source.name());
    let mut ordered: Vec<&Diagnostic> = diagnostics.iter().collect();
    ordered
        .sort_by_key(|diagnostic| (file_of(diagnostic), diagnostic.severity, diagnostic.primary.span.start));
    let mut text = String::new();
    for diagnostic in ordered {
        match style {
            Style::Short => short(&mut text, diagnostic),
            Style::Human { colour } => {
                if !text.is_empty() {
                    text.push('\n');
                }
                text.push_str(&human(diagnostic, colour));
                text.push('\n');
            }
        }
    }
    text
}

/// The counts: `2 stops, 1 caution, 1 note`. Accepted ones are counted apart: `1 accepted`.
pub fn summary(diagnostics: &[Diagnostic]) -> String {
    let count = |severity| {
        diagnostics.iter().filter(|one| one.severity == severity && one.answered.is_none()).count()
    };
    let kinds = [
        (Severity::Unreadable, "unreadable place"),
        (Severity::Stop, "stop"),
        (Severity::Caution, "caution"),
        (Severity::Note, "note"),
    ];
    let mut parts: Vec<String> = kinds
        .into_iter()
        .map(|(severity, noun)| (count(severity), noun))
        .filter(|(count, _)| *count > 0)
        .map(|(count, noun)| Count(count, noun).to_string())
        .collect();
    let answered = |by_incident: bool| {
        let answers = diagnostics.iter().filter_map(|one| one.answered.as_ref());
        answers.filter(|answer| answer.incident().is_some() == by_incident).count()
    };
    for (count, word) in [(answered(false), "accepted"), (answered(true), "recorded as an incident")] {
        if count > 0 {
            parts.push(format!("{count} {word}"));
        }
    }
    if parts.is_empty() { "no findings".into() } else { parts.join(", ") }
}

/// One finding of the JSON of `check`; its keys are stable.
pub fn json_finding(diagnostic: &Diagnostic) -> serde_json::Value {
    let (line, column) = place(&diagnostic.primary);
    serde_json::json!({
        "rule": diagnostic.rule,
        "severity": diagnostic.severity,
        "path": diagnostic.path.to_string(),
        "line": line,
        "column": column,
        "message": message(diagnostic),
        "help": diagnostic.help,
        "source": diagnostic.source,
        "accepted": diagnostic.answered.as_ref().map(|answer| serde_json::json!({
            "because": answer.because,
            "by": answer.by,
            "under": answer.under.to_string(),
        })),
        "holds": diagnostic.holds,
    })
}

fn message(diagnostic: &Diagnostic) -> String {
    format!("{}: {}", diagnostic.title, diagnostic.primary.text)
}

fn place(label: &Label) -> (usize, usize) {
    label.source.line_column(label.span.start)
}

fn short(text: &mut String, diagnostic: &Diagnostic) {
    let (line, column) = place(&diagnostic.primary);
    let file = diagnostic.primary.source.name();
    let severity = diagnostic.severity.word();
    let accepted = match diagnostic.answered.as_ref().map(|answer| answer.incident()) {
        None => "",
        Some(None) => " (accepted)",
        Some(Some(_)) => " (recorded as an incident)",
    };
    let holds = diagnostic.held().map_or_else(String::new, |held| format!(" (holds {held})"));
    // A finding is one line, whatever was typed.
    let message = message(diagnostic).replace(['\n', '\r'], " ");
    let rule = diagnostic.rule;
    writeln!(text, "{file}:{line}:{column}: {severity}[{rule}]: {message}{accepted}{holds}")
        .expect("a string takes any text");
}

fn human(diagnostic: &Diagnostic, colour: bool) -> String {
    let level = match diagnostic.severity {
        Severity::Unreadable | Severity::Stop => Level::ERROR,
        Severity::Caution => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let accepted =
        diagnostic.answered.as_ref().map(|answer| format!("\"{}\", by {}", answer.because, answer.by));
    let holds = diagnostic.held();
    let how = match &diagnostic.answered {
        Some(answer) if answer.incident().is_some() => "recorded as an incident",
        _ => "accepted",
    };
    let remarks =
        [("why", &diagnostic.why), ("source", &diagnostic.source), (how, &accepted), ("holds", &holds)];
    let mut elements = places(diagnostic);
    for (name, remark) in remarks {
        if let Some(remark) = remark {
            elements.push(Level::NOTE.with_name(name).message(remark.as_str()).into());
        }
    }
    let group = level
        .with_name(diagnostic.severity.word())
        .primary_title(diagnostic.title.as_str())
        .id(diagnostic.rule)
        .elements(elements);
    let mut report = vec![group];
    if let Some(help) = &diagnostic.help {
        report.push(Group::with_title(Level::HELP.secondary_title(help.as_str())));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    renderer.render(&report)
}

/// The snippets: first the file of the finding, then the others.
fn places(diagnostic: &Diagnostic) -> Vec<Element<'_>> {
    let primary = &diagnostic.primary;
    let mut elements = Vec::new();
    let mut left: Vec<&Label> = diagnostic.others.iter().collect();
    let mut source = &primary.source;
    let mut here = vec![(AnnotationKind::Primary, primary)];
    loop {
        let is_here =
            |label: &&Label| Arc::ptr_eq(&label.source, source) || label.source.name() == source.name();
        let (same, rest): (Vec<&Label>, Vec<&Label>) = left.into_iter().partition(is_here);
        here.extend(same.into_iter().map(|label| (AnnotationKind::Context, label)));
        elements.extend(in_file(source, &here));
        left = rest;
        let Some(next) = left.first() else { return elements };
        source = &next.source;
        here.clear();
    }
}

fn in_file<'a>(source: &'a SourceText, labels: &[(AnnotationKind, &'a Label)]) -> Vec<Element<'a>> {
    let text = source.text();
    let spans: Vec<Span> = labels.iter().map(|(_, label)| inside(text, label.span)).collect();
    let first = spans.iter().map(|span| span.start).min().unwrap_or(0);
    let last = spans.iter().map(|span| span.end).max().unwrap_or(0);
    let start = text[..first].rfind('\n').map_or(0, |at| at + 1);
    let end = text[last..].find('\n').map_or(text.len(), |at| last + at);
    let end = if text[last..end].ends_with('\r') { end - 1 } else { end };
    let part = &text[start..end];
    let is_too_long = |line: &str| line.len() > LONGEST_LINE;
    if part.is_empty() || part.lines().any(is_too_long) {
        return labels
            .iter()
            .flat_map(|(_, label)| {
                let (line, column) = place(label);
                let origin = Origin::path(source.name()).line(line).char_column(column);
                [Element::from(origin), Level::NOTE.with_name("here").message(label.text.as_str()).into()]
            })
            .collect();
    }
    let line = source.line_column(start).0;
    let snippet = Snippet::source(part).path(source.name()).line_start(line).annotations(
        labels.iter().zip(&spans).map(|((kind, label), span)| {
            kind.span(span.start - start..span.end - start).label(label.text.as_str())
        }),
    );
    vec![snippet.into()]
}

/// The span, moved to where the text can be cut.
fn inside(text: &str, span: Span) -> Span {
    let floor = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(span.start);
    Span::new(start, floor(span.end).max(start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Answer, Path};

    fn label(source: &Arc<SourceText>, part: &str, text: &str) -> Label {
        let start = source.text().find(part).expect("the part is in the text");
        Label { source: Arc::clone(source), span: Span::new(start, start + part.len()), text: text.into() }
    }

    fn caution() -> Diagnostic {
        let case = Arc::new(SourceText::new("case.yaml", "operation:\r\n  date: 2026-11-24\r\n"));
        let clinic = Arc::new(SourceText::new("clinic.yaml", "protocol:\n  consent_months: 6\n"));
        Diagnostic {
            rule: "consent-old",
            severity: Severity::Caution,
            title: "consent was taken long ago".into(),
            path: Path::from("operation.date"),
            primary: label(&case, "2026-11-24", "8 months after the form was signed"),
            others: vec![label(&clinic, "6", "the clinic's limit")],
            why: Some("Circumstances change.".into()),
            source: Some("A guide, section 4".into()),
            help: Some("confirm consent again, or answer under `accepted`".into()),
            answered: None,
            holds: vec!["consent-form"],
            holds_all: false,
        }
    }

    fn in_words(diagnostic: Diagnostic) -> String {
        render(&[diagnostic], Style::Human { colour: false })
    }

    #[test]
    fn a_finding_in_two_files_with_all_its_parts() {
        assert_eq!(
            in_words(caution()),
            "\
caution[consent-old]: consent was taken long ago
 --> case.yaml:2:9
  |
2 |   date: 2026-11-24
  |         ^^^^^^^^^^ 8 months after the form was signed
  |
 ::: clinic.yaml:2:19
  |
2 |   consent_months: 6
  |                   - the clinic's limit
  |
  = why: Circumstances change.
  = source: A guide, section 4
  = holds: consent-form
help: confirm consent again, or answer under `accepted`
"
        );
    }

    #[test]
    fn an_answer_is_shown_and_counted_apart() {
        let answer = Answer {
            because: "confirmed by telephone".into(),
            by: "R. Quill".into(),
            under: "accepted[0]".into(),
        };
        let answered = Diagnostic { answered: Some(answer), ..caution() };
        assert!(
            in_words(answered.clone()).contains("  = accepted: \"confirmed by telephone\", by R. Quill\n")
        );
        let stop = Diagnostic { severity: Severity::Stop, ..caution() };
        assert_eq!(summary(&[stop.clone(), answered, stop, caution()]), "2 stops, 1 caution, 1 accepted");
        assert_eq!(summary(&[]), "no findings");
    }

    #[test]
    fn the_gravest_comes_first_and_each_takes_one_line() {
        let stop =
            Diagnostic { severity: Severity::Stop, title: "two\nlines".into(), holds_all: true, ..caution() };
        assert_eq!(
            render(&[caution(), stop], Style::Short),
            "case.yaml:2:9: stop[consent-old]: two lines: 8 months after the form was signed (holds \
             every document)\n\
             case.yaml:2:9: caution[consent-old]: consent was taken long ago: 8 months after the form was signed (holds \
             consent-form)\n"
        );
    }

    #[test]
    fn what_is_answered_or_only_told_holds_nothing() {
        let answer = Answer {
            because: "confirmed by telephone".into(),
            by: "R. Quill".into(),
            under: "accepted[0]".into(),
        };
        for one in [
            Diagnostic { answered: Some(answer), ..caution() },
            Diagnostic { severity: Severity::Note, ..caution() },
        ] {
            assert!(!in_words(one.clone()).contains("holds:"));
            assert!(!render(&[one], Style::Short).contains("(holds"));
        }
    }

    #[test]
    fn places_outside_the_text_and_long_lines_are_still_named() {
        let mut beyond = caution();
        beyond.primary.span = Span::new(900, 5);
        assert!(in_words(beyond).contains("case.yaml:3:1"));
        let long = Arc::new(SourceText::new("long.yaml", format!("a: {}é", "x".repeat(LONGEST_LINE))));
        let mut wide = caution();
        wide.primary = Label { span: Span::new(3, 504), ..label(&long, "xx", "too wide") };
        let text = in_words(wide);
        assert!(
            text.contains("long.yaml:1:4") && text.contains("too wide") && !text.contains("xxx"),
            "{text}"
        );
    }

    #[test]
    fn colour_is_asked_for_or_absent() {
        assert!(!in_words(caution()).contains('\u{1b}'));
        assert!(render(&[caution()], Style::Human { colour: true }).contains('\u{1b}'));
    }
}
