//! From text to data: the scan, the check against the model, the typed reading, in this order.
//!
//! Typed reading stops at its first problem, so it comes last and only when the check found nothing.
//! Nothing here opens a file.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use serde::de::DeserializeOwned;

use super::accepts::Forms;
use super::characters::all_bytes;
use super::check::check;
use super::forms::{self, Edit, Style};
use super::problem::{self, Problem, Problems};
use super::supplies::complete;
use super::syntax::{MAX_BYTES, scan_into, too_large};
use crate::case::{Case, Clinic, Node, Shelf, Spans};
use crate::diagnostic::{Diagnostic, Path, SourceText, Span};

/// A file that was read: its data if it could be understood, and everything that was found.
#[derive(Debug, Clone)]
pub struct Read<T> {
    /// The file.
    pub source: Arc<SourceText>,
    /// The data, shared with all that is worked out from it; `None` if anything was unreadable.
    pub value: Option<Arc<T>>,
    /// Where every path stands.
    pub spans: Spans,
    /// Every text with a character beyond Latin-1, with its path: what a typeface may lack.
    pub unusual_texts: Vec<(Path, String)>,
    /// What was found while reading; all of weight [`crate::diagnostic::Severity::Unreadable`].
    pub diagnostics: Vec<Diagnostic>,
    /// What would be written into the file for each short form in it, where that was asked for.
    pub(super) edits: Vec<(Path, Edit)>,
}

/// Reads a case file that names no box of a clinic file.
pub fn read_case(source: Arc<SourceText>) -> Read<Case> {
    read_case_with(source, Shelf::Known(&BTreeMap::new()))
}

/// Reads a case file; what it takes from a box of the clinic file is completed.
pub fn read_case_with(source: Arc<SourceText>, shelf: Shelf<'_>) -> Read<Case> {
    read_case_for(source, shelf, Style::Unwritten)
}

/// As above, with what would be written into the file.
pub(super) fn read_case_for(source: Arc<SourceText>, shelf: Shelf<'_>, style: Style) -> Read<Case> {
    read(source, case_forms(), style, |tree, problems| complete(tree, shelf, problems))
}

/// What would be written into a case file for the forms in it. Nothing of the file is checked.
pub(super) fn edits_of_case(source: &Arc<SourceText>, style: Style) -> Vec<(Path, Edit)> {
    let mut problems = Problems::of(source);
    let (tree, _) = scan_into(source, &mut problems);
    tree.map_or_else(Vec::new, |tree| forms::in_full(tree, case_forms(), &mut problems, style).1)
}

fn case_forms() -> &'static Forms<'static> {
    static SCHEMA: OnceLock<serde_json::Value> = OnceLock::new();
    static FORMS: OnceLock<Forms<'static>> = OnceLock::new();
    FORMS.get_or_init(|| Forms::of(SCHEMA.get_or_init(case_schema)))
}

/// Reads a clinic file.
pub fn read_clinic(source: Arc<SourceText>) -> Read<Clinic> {
    read_clinic_for(source, Style::Unwritten)
}

/// As above, with what would be written into the file.
pub(super) fn read_clinic_for(source: Arc<SourceText>, style: Style) -> Read<Clinic> {
    static SCHEMA: OnceLock<serde_json::Value> = OnceLock::new();
    static FORMS: OnceLock<Forms<'static>> = OnceLock::new();
    read(source, FORMS.get_or_init(|| Forms::of(SCHEMA.get_or_init(clinic_schema))), style, |_, _| {})
}

/// The JSON Schema of a case file.
pub fn case_schema() -> serde_json::Value {
    schemars::schema_for!(Case).to_value()
}

/// The JSON Schema of a clinic file.
pub fn clinic_schema() -> serde_json::Value {
    schemars::schema_for!(Clinic).to_value()
}

/// The text of a file from its bytes. `name` is what messages print.
///
/// # Errors
/// The file is larger than 1 MiB, or is not UTF-8; the finding says at which line and column.
#[expect(clippy::result_large_err, reason = "once a file, and the caller lists it beside the others")]
pub fn read_text(name: &str, bytes: &[u8]) -> Result<SourceText, Diagnostic> {
    if bytes.len() > MAX_BYTES {
        return Err(too_large(bytes.len()).into_diagnostic(&Arc::new(SourceText::new(name, ""))));
    }
    if let Some(kind) = no_plain_text(bytes) {
        let source = Arc::new(SourceText::new(name, ""));
        return Err(Problem::new(&problem::NOT_PLAIN_TEXT, Span::default(), format!("this is {kind}"))
            .help("save it as plain text in that program, or type it in a text editor")
            .into_diagnostic(&source));
    }
    let problem = match std::str::from_utf8(bytes) {
        // The mark with which some editors say UTF-8 is no part of the text.
        Ok(text) => return Ok(SourceText::new(name, text.strip_prefix('\u{feff}').unwrap_or(text))),
        Err(problem) => problem,
    };
    let source = Arc::new(SourceText::new(name, String::from_utf8_lossy(bytes)));
    // The good part before the fault has the same bytes in both; the fault itself is shown as one sign.
    let at = problem.valid_up_to();
    let (line, column) = source.line_column(at);
    let help = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        "the file is in UTF-16: save it as UTF-8 in the editor"
    } else {
        "save the file as UTF-8 in the editor, then look at this place again"
    };
    let label = format!("line {line}, column {column} holds bytes that are no character");
    let span = Span::new(at, at + '\u{fffd}'.len_utf8());
    Err(Problem::new(&problem::NOT_UTF8, span, label).help(help).into_diagnostic(&source))
}

/// What a file is that begins with the mark of another program.
fn no_plain_text(bytes: &[u8]) -> Option<&'static str> {
    let known: [(&[u8], &str); 5] = [
        (b"{\\rtf", "a file of a word processor (RTF)"),
        (b"PK\x03\x04", "a file of a word processor or a packed folder"),
        (&[0xd0, 0xcf, 0x11, 0xe0], "a file of an older word processor"),
        (b"%PDF", "a PDF"),
        (b"<!DOCTYPE html", "a web page"),
    ];
    known.iter().find(|(start, _)| bytes.starts_with(start)).map(|(_, kind)| *kind)
}

fn read<'s, T: DeserializeOwned>(
    source: Arc<SourceText>,
    forms: &'s Forms<'s>,
    style: Style,
    complete: impl FnOnce(&mut Node, &mut Problems),
) -> Read<T> {
    let mut problems = Problems::of(&source);
    let (tree, edits) = scan_into(&source, &mut problems);
    let mut edits: Vec<(Path, Edit)> = edits.into_iter().map(|edit| (Path::root(), edit)).collect();
    let Some(tree) = tree else {
        let diagnostics = problems.into_list();
        let (spans, unusual_texts) = (Spans::default(), Vec::new());
        return Read { source, value: None, spans, unusual_texts, diagnostics, edits };
    };
    let (mut tree, of_values) = forms::in_full(tree, forms, &mut problems, style);
    edits.extend(of_values);
    complete(&mut tree, &mut problems);
    let values = check(&tree, forms, &mut problems);
    // Most files are plain; in quotation marks `\u6F22` is a character as well.
    let may_hold_any = !all_bytes(source.text(), |byte| byte < 0xc4 && byte != b'\\');
    let unusual_texts = if may_hold_any { tree.texts_beyond_latin_1() } else { Vec::new() };
    let mut diagnostics = problems.into_list();
    let mut value = None;
    let mut unread = None;
    match diagnostics.is_empty() {
        true => match T::deserialize(values) {
            Ok(data) => value = Some(Arc::new(data)),
            // Once more for the place of what the types refuse, which nearly no file has.
            Err(_) => unread = Some(check(&tree, forms, &mut Problems::of(&source)).spoken()),
        },
        // They are borrowed from the tree, which is kept.
        false => drop(values),
    }
    let spans = Spans::of(tree);
    if let Some(values) = unread {
        match serde_path_to_error::deserialize(values) {
            Ok(data) => value = Some(Arc::new(data)),
            Err(problem) => diagnostics.push(typed(&source, &spans, &problem)),
        }
    }
    Read { source, value, spans, unusual_texts, diagnostics, edits }
}

/// A fault that only the types see. The check should have found it; still it is never silent.
fn typed(
    source: &Arc<SourceText>,
    spans: &Spans,
    problem: &serde_path_to_error::Error<serde_yaml::Error>,
) -> Diagnostic {
    use serde_path_to_error::Segment;
    let path = problem.path().iter().fold(Path::root(), |path, segment| match segment {
        Segment::Seq { index } => path.index(*index),
        Segment::Map { key } => path.key(key),
        Segment::Enum { .. } | Segment::Unknown => path,
    });
    let span = spans.nearest(&path, false);
    Problem::new(&problem::BAD_VALUE, span, problem.inner().to_string())
        .help(format!("look at `{path}` and what stands inside it"))
        .path(path)
        .into_diagnostic(source)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::{BASE_CASE, BASE_CLINIC};

    fn case(text: &str) -> Read<Case> {
        read_case(Arc::new(SourceText::new("case.yaml", text)))
    }

    #[test]
    fn the_base_files_read_without_findings() {
        let read = case(BASE_CASE);
        assert!(read.value.is_some() && read.diagnostics.is_empty(), "{:?}", read.diagnostics);
        let read = read_clinic(Arc::new(SourceText::new("clinic.yaml", BASE_CLINIC)));
        assert!(read.value.is_some() && read.diagnostics.is_empty(), "{:?}", read.diagnostics);
    }

    /// The second reader says why; it must never be the one that takes what the first refuses.
    #[test]
    fn both_readers_take_the_same_of_every_demo_case() {
        for (name, text) in crate::demo::CASES {
            let source = crate::demo::source(name, text);
            let mut problems = Problems::of(&source);
            let (tree, _) = scan_into(&source, &mut problems);
            let tree = tree.expect("a demo case has a tree");
            let (mut tree, _) = forms::in_full(tree, case_forms(), &mut problems, Style::Unwritten);
            complete(&mut tree, Shelf::Unread, &mut problems);
            let values = check(&tree, case_forms(), &mut problems);
            let spoken: Case = serde_yaml::from_value(values.spoken()).expect("a demo case can be read");
            let taken = <Case as serde::Deserialize>::deserialize(values).expect("a demo case can be read");
            assert_eq!(format!("{taken:?}"), format!("{spoken:?}"), "{name}");
        }
    }

    #[test]
    fn digits_stay_text_where_text_is_wanted() {
        let text = BASE_CASE.replace("batch: M4417", "batch: 4417").replace("gp: birchgate", "gp: 12");
        let read = case(&text);
        assert!(read.diagnostics.is_empty(), "{:?}", read.diagnostics);
        let case = read.value.expect("it read");
        assert_eq!(case.gp, Some(crate::case::GpEntry::Key("12".into())));
    }

    #[test]
    fn an_inr_is_exact_with_and_without_quotation_marks() {
        for written in ["2.5", "\"2.5\""] {
            let inr = format!("  smoker: false\n  inr: {{value: {written}, tested: 2026-11-20}}\n");
            let read = case(&BASE_CASE.replace("  smoker: false\n", &inr));
            let history = read.value.and_then(|case| case.history.clone());
            let inr = history.and_then(|history| history.inr.get().cloned());
            assert_eq!(inr.map(|inr| inr.value), Some(rust_decimal::Decimal::new(25, 1)));
        }
    }

    #[test]
    fn places_fall_back_to_the_key_of_the_block_around() {
        let read = case(BASE_CASE);
        let text = |path: &str, at_key| {
            let span = read.spans.nearest(&path.into(), at_key);
            &read.source.text()[span.start..span.end]
        };
        assert_eq!(text("patient.weight", false), "68 kg");
        assert_eq!(text("patient.weight", true), "weight");
        assert_eq!(text("patient.language", false), "patient");
        assert_eq!(text("operation.toes.L1.tourniquet.type", false), "tourniquet");
        assert_eq!(text("patient.address[9]", false), "address");
        assert_eq!(text("nowhere.at[1].all", false), "");
        let (line, column) = read.source.line_column(read.spans.nearest(&"nowhere".into(), false).start);
        assert_eq!((line, column), (2, 1), "the first entry, after the comment");
    }

    #[test]
    fn bytes_that_are_no_text_are_placed() {
        let problem = read_text("x.yaml", b"a: 1\nb: \xe9t\xe9\n").expect_err("Latin-1");
        assert_eq!(
            (problem.rule, problem.primary.source.line_column(problem.primary.span.start)),
            ("not-utf8", (2, 4))
        );
        assert!(read_text("x.yaml", "b: été\n".as_bytes()).is_ok());
        let marked = read_text("x.yaml", "\u{feff}b: 1\n".as_bytes()).map(|source| source.text().to_owned());
        assert_eq!(marked.ok().as_deref(), Some("b: 1\n"));
    }

    #[test]
    fn size_is_bounded() {
        assert!(read_text("x.yaml", &vec![b'#'; MAX_BYTES]).is_ok());
        let problem = read_text("x.yaml", &vec![b'#'; MAX_BYTES + 1]).expect_err("one byte more");
        assert_eq!(problem.rule, "file-too-large");
    }

    #[test]
    fn what_only_the_types_see_is_still_a_finding() {
        let source = Arc::new(SourceText::new("x.yaml", "reference: LFC-0001\n"));
        let schema = serde_json::json!({"type": "object", "properties": {"reference": {"type": "string"}}});
        let read: Read<Case> = read(source, &Forms::of(&schema), Style::Unwritten, |_, _| {});
        assert!(read.value.is_none());
        assert_eq!(read.diagnostics.iter().map(|found| found.rule).collect::<Vec<_>>(), ["bad-value"]);
    }
}
