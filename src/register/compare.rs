//! Two texts of a document, word by word. Line breaks do not count: a changed word moves them all.

use std::ops::Range;

use serde::Serialize;
use similar::{Algorithm, DiffTag, capture_diff_slices};

/// Words shown before and after a change.
const CONTEXT: usize = 6;
/// Changes with fewer unchanged words between them read better as one.
const APART: usize = 3;
/// Words around a change in the table of an amended document.
const TABLE_CONTEXT: usize = 3;
/// The longest phrase in that table, characters.
const TABLE_PHRASE: usize = 90;

/// One change, with a few words around it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// Unchanged words before it.
    pub before: String,
    /// The words that were there; may be empty.
    pub was: String,
    /// The words that are there now; may be empty.
    pub is: String,
    /// Unchanged words after it.
    pub after: String,
    /// A few words before and after it that belong to it, in the new text.
    #[serde(skip)]
    near: [String; 2],
}

/// The changes from one text to another, in the order of the text; none if the words are the same.
pub fn changes(was: &str, is: &str) -> Vec<Change> {
    let old: Vec<&str> = was.split_whitespace().collect();
    let new: Vec<&str> = is.split_whitespace().collect();
    let spans = changed_spans(&old, &new);
    let words = |words: &[&str]| -> String { words.join(" ") };
    let lines: Vec<usize> =
        is.lines().enumerate().flat_map(|(at, line)| line.split_whitespace().map(move |_| at)).collect();
    spans
        .into_iter()
        .map(|[before, after]| Change {
            before: words(&old[before.start.saturating_sub(CONTEXT)..before.start]),
            was: words(&old[before.clone()]),
            is: words(&new[after.clone()]),
            after: words(&old[before.end..(before.end + CONTEXT).min(old.len())]),
            near: near(&new, &lines, after).map(words),
        })
        .collect()
}

/// The words around a span that stand on its first and its last line, a few on each side: a line is
/// often a field of a form, and the next field has nothing to do with it. A span that begins its
/// line takes the words before it all the same: they name it.
fn near<'a, 'b>(new: &'a [&'b str], lines: &[usize], span: Range<usize>) -> [&'a [&'b str]; 2] {
    let line = |at: usize| lines.get(at).copied();
    let (first, last) = (line(span.start), line(span.end.saturating_sub(1).max(span.start)));
    let before = (0..span.start).rev().take(TABLE_CONTEXT).take_while(|at| line(*at) == first).count();
    let after = (span.end..new.len()).take(TABLE_CONTEXT).take_while(|at| line(*at) == last).count();
    let before = if before == 0 { TABLE_CONTEXT.min(span.start) } else { before };
    [&new[span.start - before..span.start], &new[span.end..span.end + after]]
}

/// The gaps between the words that both texts share, near ones joined.
fn changed_spans(old: &[&str], new: &[&str]) -> Vec<[Range<usize>; 2]> {
    let mut spans: Vec<[Range<usize>; 2]> = Vec::new();
    let (mut old_at, mut new_at) = (0, 0);
    let mut gap = |old_gap: Range<usize>, new_gap: Range<usize>| match spans.last_mut() {
        _ if old_gap.is_empty() && new_gap.is_empty() => {}
        Some([last_old, last_new]) if old_gap.start - last_old.end < APART => {
            last_old.end = old_gap.end;
            last_new.end = new_gap.end;
        }
        _ => spans.push([old_gap, new_gap]),
    };
    for op in capture_diff_slices(Algorithm::Myers, old, new) {
        let (tag, in_old, in_new) = op.as_tag_tuple();
        if tag == DiffTag::Equal {
            gap(old_at..in_old.start, new_at..in_new.start);
            (old_at, new_at) = (in_old.end, in_new.end);
        }
    }
    gap(old_at..old.len(), new_at..new.len());
    spans
}

/// One line a change: `was injected [-2.2-] {+2.4+} ml at 09:35`. The brackets stand with colour
/// too, for eyes and printers that do not tell red from green.
pub fn render(changes: &[Change], colour: bool) -> String {
    let (red, green, plain) = if colour { ("\x1b[31m", "\x1b[32m", "\x1b[0m") } else { ("", "", "") };
    let mut text = String::new();
    for change in changes {
        let was =
            if change.was.is_empty() { String::new() } else { format!("{red}[-{}-]{plain}", change.was) };
        let is =
            if change.is.is_empty() { String::new() } else { format!("{green}{{+{}+}}{plain}", change.is) };
        let parts = [change.before.as_str(), &was, &is, &change.after];
        let parts: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        text.push_str(&format!("  … {} …\n", parts.join(" ")));
    }
    text
}

/// A row of the table of changes in an amended document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// The phrase in the replaced version.
    pub was: String,
    /// The phrase now.
    pub is: String,
}

/// The first changes as phrases that can be read alone, at most `rows` of them; a last row says how
/// many more there are.
pub fn table(changes: &[Change], rows: usize) -> Vec<Row> {
    let phrase = |change: &Change, changed: &str| {
        if changed.is_empty() {
            return "(nothing)".to_owned();
        }
        let [before, after] = &change.near;
        let parts: Vec<&str> = [before, changed, after].into_iter().filter(|part| !part.is_empty()).collect();
        shortened(&parts.join(" "))
    };
    let row = |change: &Change| Row { was: phrase(change, &change.was), is: phrase(change, &change.is) };
    let mut table: Vec<Row> = changes.iter().take(rows).map(row).collect();
    if changes.len() > rows {
        let more = changes.len() - rows;
        let places = if more == 1 { "place" } else { "places" };
        table.push(Row { was: format!("and {more} more {places}"), is: "see the text".to_owned() });
    }
    table
}

fn shortened(text: &str) -> String {
    if text.chars().count() <= TABLE_PHRASE {
        return text.to_owned();
    }
    let kept: String = text.chars().take(TABLE_PHRASE).collect();
    let whole_words = kept.rsplit_once(' ').map_or(kept.as_str(), |(whole, _)| whole);
    format!("{whole_words} …")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const WAS: &str = "Left hallux, lateral edge.\nInjected 2.2 ml of mepivacaine 3 % at 09:35, numb until about\n12:30. Batch M4417.";

    #[test]
    fn one_word_is_one_change_wherever_the_lines_break() {
        let is = WAS.replace("2.2 ml", "2.4 ml").replace("about\n", "about ");
        let changes = changes(WAS, &is);
        assert_eq!(
            render(&changes, false),
            "  … Left hallux, lateral edge. Injected [-2.2-] {+2.4+} ml of mepivacaine 3 % at …\n"
        );
        assert_eq!(
            table(&changes, 4),
            [Row {
                was: "Injected 2.2 ml of mepivacaine".into(),
                is: "Injected 2.4 ml of mepivacaine".into(),
            }]
        );
        let coloured = render(&changes, true);
        assert!(coloured.contains("\x1b[31m[-2.2-]\x1b[0m \x1b[32m{+2.4+}\x1b[0m"), "{coloured:?}");
    }

    #[test]
    fn added_and_taken_out_words_stand_alone() {
        let added = changes("one two", "one two three");
        assert_eq!(render(&added, false), "  … one two {+three+} …\n");
        assert_eq!(table(&added, 4)[0], Row { was: "(nothing)".into(), is: "one two three".into() });
        assert_eq!(render(&changes("one two", "two"), false), "  … [-one-] two …\n");
        assert_eq!(changes("one\ntwo", " one two "), []);
        assert_eq!(changes("", ""), []);
    }

    #[test]
    fn a_row_does_not_run_into_the_next_field() {
        let row = |was: &str, is: &str| table(&changes(was, is), 1).remove(0).is;
        assert_eq!(row("Batch M1\nTray T2", "Batch M9\nTray T2"), "Batch M9");
        assert_eq!(row("Blood loss\nnone\nTray", "Blood loss\nlittle\nTray"), "Blood loss little");
        assert_eq!(row("a\nb c", "a\nb"), "(nothing)");
        assert_eq!(row("one", "two"), "two");
    }

    #[test]
    fn near_changes_are_one_and_far_ones_are_two() {
        assert_eq!(changes("a x y b", "A x y B").len(), 1);
        assert_eq!(changes("a x y z b", "A x y z B").len(), 2);
    }

    #[test]
    fn the_table_is_short() {
        let was: Vec<String> = (0..10).map(|at| format!("x{at} same same same same")).collect();
        let is: Vec<String> = (0..10).map(|at| format!("y{at} same same same same")).collect();
        let all = changes(&was.join(" "), &is.join(" "));
        assert_eq!(all.len(), 10);
        assert_eq!(table(&all, 10).len(), 10);
        let short = table(&all, 9);
        assert_eq!((short.len(), short[9].was.as_str()), (10, "and 1 more place"));
        let long = changes("", &"word ".repeat(100));
        assert!(table(&long, 1)[0].is.chars().count() <= TABLE_PHRASE + 2);
    }

    proptest! {
        /// The old words in order are those kept and those taken out; so no change is left out.
        #[test]
        fn no_changes_means_the_same_words(was in "[abc ]{0,40}", is in "[abc ]{0,40}") {
            let same: bool = was.split_whitespace().eq(is.split_whitespace());
            prop_assert_eq!(changes(&was, &is).is_empty(), same);
        }

        /// Putting the changed words into the old text gives the new one.
        #[test]
        fn the_changes_make_the_new_text(was in "[abcde ]{0,60}", is in "[abcde ]{0,60}") {
            let old: Vec<&str> = was.split_whitespace().collect();
            let new: Vec<&str> = is.split_whitespace().collect();
            let mut patched = old.clone();
            for [in_old, in_new] in changed_spans(&old, &new).into_iter().rev() {
                patched.splice(in_old, new[in_new].iter().copied());
            }
            prop_assert_eq!(patched, new);
        }
    }
}
