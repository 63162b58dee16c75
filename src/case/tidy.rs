//! A file in its one way of writing: every value is written as it is printed, all else stays as it is. A block stays
//! a block and a line a line, but where the shortest form is asked for; and each line can be unfolded into its block.

use std::borrow::Cow;
use std::sync::Arc;

use super::forms::{Edit, Style};
use super::read::{Read, edits_of_case, read_case_for, read_clinic_for};
use crate::case::Shelf;
use crate::diagnostic::{Diagnostic, Path, SourceText};

/// Why a file was not written anew.
#[derive(Debug)]
pub enum Untidy {
    /// It cannot be read.
    Unreadable(Vec<Diagnostic>),
    /// What would be written does not read as the same: a mistake of ours.
    Changed,
}

/// The text in full; `None` if it is so already. Comments and order stay, and so does the key of a box: what the
/// case takes from the shelf is only compared, before and after. `is_short` asks for lines in place of blocks.
///
/// # Errors
/// A file that cannot be read; or one that would not read as the same afterwards.
pub fn tidy(
    source: &SourceText,
    is_clinic: bool,
    is_short: bool,
    shelf: Shelf<'_>,
) -> Result<Option<String>, Untidy> {
    let style = if is_short { Style::Short } else { Style::Kept };
    match is_clinic {
        true => of(source, |source| read_clinic_for(source, style)),
        false => of(source, |source| read_case_for(source, shelf, style)),
    }
}

/// The text of a case file with the lists and blocks in full that are written in short; of them only those on the way
/// to a path, if one is given. All else stays as it was typed. A file that cannot be read stays as it is.
pub fn unfolded<'t>(text: &'t str, to: Option<&Path>) -> Cow<'t, str> {
    let source = Arc::new(SourceText::new("", text));
    let edits = edits_of_case(&source, Style::Unfolded);
    let is_on_the_way = |path: &Path| {
        to.is_none_or(|to| {
            to.segments().len() > path.segments().len() && to.segments().starts_with(path.segments())
        })
    };
    // A whole file that is one text has no place in it.
    let edits: Vec<(Path, Edit)> =
        edits.into_iter().filter(|(path, _)| *path != Path::root() && is_on_the_way(path)).collect();
    if edits.is_empty() { Cow::Borrowed(text) } else { Cow::Owned(written(text, edits)) }
}

/// The text of a case file with the blocks at these paths as lines, so far as a line says all of one. All else stays as
/// it was typed.
pub fn folded<'t>(text: &'t str, at: &[Path]) -> Cow<'t, str> {
    let mut edits = edits_of_case(&Arc::new(SourceText::new("", text)), Style::Short);
    edits.retain(|(path, _)| at.contains(path));
    if edits.is_empty() { Cow::Borrowed(text) } else { Cow::Owned(written(text, edits)) }
}

/// As [`tidy`], of a case or a clinic file by its first key; `None` also if it cannot be read.
pub fn tidied(source: &SourceText) -> Option<String> {
    tidy(source, source.text().starts_with("name:"), false, Shelf::Unread).ok().flatten()
}

/// As [`tidied`], with a line for each block that can be written as one.
pub fn shortened(source: &SourceText) -> Option<String> {
    tidy(source, source.text().starts_with("name:"), true, Shelf::Unread).ok().flatten()
}

fn of<T: PartialEq>(
    source: &SourceText,
    read: impl Fn(Arc<SourceText>) -> Read<T>,
) -> Result<Option<String>, Untidy> {
    let before = read(Arc::new(source.clone()));
    let Some(value) = before.value else { return Err(Untidy::Unreadable(before.diagnostics)) };
    let text = written(source.text(), before.edits);
    if text == source.text() {
        return Ok(None);
    }
    let after = read(Arc::new(SourceText::new(source.name(), text.clone())));
    let is_in_full = written(&text, after.edits) == text;
    if after.value.as_ref() == Some(&value) && is_in_full { Ok(Some(text)) } else { Err(Untidy::Changed) }
}

/// The text with the edits. Of two at one place the later one knows more: it was found further on.
fn written(text: &str, edits: Vec<(Path, Edit)>) -> String {
    let mut edits: Vec<Edit> = edits.into_iter().map(|(_, edit)| edit).collect();
    let touch = |one: &Edit, other: &Edit| {
        one.span.start < other.span.end && other.span.start < one.span.end || one.span == other.span
    };
    let mut kept: Vec<Edit> = Vec::with_capacity(edits.len());
    while let Some(edit) = edits.pop() {
        if !kept.iter().any(|kept| touch(kept, &edit)) {
            kept.push(edit);
        }
    }
    kept.sort_by_key(|edit| edit.span.start);
    let mut written = String::with_capacity(text.len());
    let mut done = 0;
    for edit in kept {
        written.push_str(&text[done..edit.span.start]);
        written.push_str(&edit.text);
        done = edit.span.end;
    }
    written.push_str(&text[done..]);
    written
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::BASE_CASE;

    #[test]
    fn comments_and_order_stay() {
        let text = BASE_CASE
            .replace("  smoker: false", "  # asked twice\n  smoker: No # today")
            .replace("weight: 68 kg", "weight: 68 KGS   # scale 2")
            .replace("lavage: saline", "lavage: “saline”");
        let full = BASE_CASE
            .replace("  smoker: false", "  # asked twice\n  smoker: false # today")
            .replace("weight: 68 kg", "weight: 68 kg   # scale 2");
        assert_eq!(tidied(&SourceText::new("x.yaml", text)), Some(full));
        assert_eq!(tidied(&SourceText::new("x.yaml", BASE_CASE)), None);
    }

    #[test]
    fn what_cannot_be_read_is_not_written() {
        let source =
            SourceText::new("x.yaml", "reference: LFC-0001\nhistory: {smoker: perhaps, pregnant: No}\n");
        assert!(
            matches!(tidy(&source, false, false, Shelf::Unread), Err(Untidy::Unreadable(found)) if !found.is_empty())
        );
    }
}
