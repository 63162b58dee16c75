//! Two texts of a document, word by word. Line breaks do not count: a changed word moves them all.

use std::collections::BTreeSet;
use std::ops::Range;

use anstyle::{AnsiColor, Style};
use serde::Serialize;
use similar::{Algorithm, DiffTag, capture_diff_slices};

use crate::words::Count;

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
    /// Where the new words stand in the new text, counted in words.
    #[serde(skip)]
    place: Range<usize>,
}

/// The changes from one text to another, in the order of the text; none if the words are the same.
pub fn changes(was: &str, is: &str) -> Vec<Change> {
    let old: Vec<&str> = was.split_whitespace().collect();
    let new: Vec<&str> = is.split_whitespace().collect();
    let spans = changed_spans(&old, &new, APART);
    let words = |words: &[&str]| -> String { words.join(" ") };
    spans
        .into_iter()
        .map(|[before, after]| Change {
            before: words(&old[before.start.saturating_sub(CONTEXT)..before.start]),
            was: words(&old[before.clone()]),
            is: words(&new[after.clone()]),
            after: words(&old[before.end..(before.end + CONTEXT).min(old.len())]),
            place: after,
        })
        .collect()
}

/// The words around a span that stand on its first and its last line, a few on each side: a line is
/// often a field of a form, and the next field has nothing to do with it. A span that begins its
/// line takes the words before it all the same: they name it.
fn near(words: usize, lines: &[usize], span: &Range<usize>) -> [Range<usize>; 2] {
    let line = |at: usize| lines.get(at).copied();
    let (first, last) = (line(span.start), line(span.end.saturating_sub(1).max(span.start)));
    let before = (0..span.start).rev().take(TABLE_CONTEXT).take_while(|at| line(*at) == first).count();
    let after = (span.end..words).take(TABLE_CONTEXT).take_while(|at| line(*at) == last).count();
    let before = if before == 0 { TABLE_CONTEXT.min(span.start) } else { before };
    [span.start - before..span.start, span.end..span.end + after]
}

/// The gaps between the words that both texts share; those with fewer than `apart` words between them
/// joined.
fn changed_spans(old: &[&str], new: &[&str], apart: usize) -> Vec<[Range<usize>; 2]> {
    let mut spans: Vec<[Range<usize>; 2]> = Vec::new();
    let (mut old_at, mut new_at) = (0, 0);
    let mut gap = |old_gap: Range<usize>, new_gap: Range<usize>| match spans.last_mut() {
        _ if old_gap.is_empty() && new_gap.is_empty() => {}
        Some([last_old, last_new]) if old_gap.start - last_old.end < apart => {
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
    let style = |ansi: AnsiColor| if colour { ansi.on_default() } else { Style::new() };
    let (red, green) = (style(AnsiColor::Red), style(AnsiColor::Green));
    let mut text = String::new();
    for change in changes {
        let was =
            if change.was.is_empty() { String::new() } else { format!("{red}[-{}-]{red:#}", change.was) };
        let is =
            if change.is.is_empty() { String::new() } else { format!("{green}{{+{}+}}{green:#}", change.is) };
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

/// Where a text says who the patient is: places that are never shown in a table of changes, neither as
/// they were nor as they are.
#[derive(Debug, Default)]
pub struct Private {
    /// In the text as it is, counted in words; empty where nothing stands there now and could.
    places: Vec<Range<usize>>,
}

impl Private {
    /// The places at which a text differs from the same text about an invented patient.
    pub fn places(is: &str, of_nobody: &str) -> Private {
        let [is, of_nobody] = [is, of_nobody].map(|text| text.split_whitespace().collect::<Vec<&str>>());
        // An old word may stand beside the place of a new one, so a place reaches to its neighbours.
        Private { places: changed_spans(&is, &of_nobody, 0).into_iter().map(|[place, _]| place).collect() }
    }

    fn touches(&self, span: &Range<usize>) -> bool {
        self.places.iter().any(|place| place.start <= span.end && span.start <= place.end)
    }

    fn holds(&self, at: usize) -> bool {
        self.places.iter().any(|place| place.contains(&at))
    }

    /// Words that say who the patient is or was: those at the private places now, and those that were
    /// there before. A word that the text also uses elsewhere is none, lest a patient called Left hides
    /// every left toe.
    fn words<'a>(&self, new: &[&'a str], changes: &'a [Change]) -> BTreeSet<String> {
        let (mut private, mut used) = (BTreeSet::new(), BTreeSet::new());
        for (at, word) in new.iter().enumerate() {
            if self.holds(at) {
                private.insert(bare(word))
            } else {
                used.insert(bare(word))
            };
        }
        let before = changes.iter().filter(|change| self.touches(&change.place));
        private.extend(before.flat_map(|change| change.was.split_whitespace()).map(bare));
        let tells = |word: &String| word.chars().filter(|c| c.is_alphanumeric()).count() >= 3;
        private.into_iter().filter(|word| tells(word) && !used.contains(word)).collect()
    }
}

/// A word without the signs around it, in small letters.
fn bare(word: &str) -> String {
    word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase()
}

/// What stands in a table of changes in place of who the patient was and is.
const DETAILS_WAS: &str = "the patient’s details";
const DETAILS_IS: &str = "changed";

/// The first changes as phrases that can be read alone, at most `rows` of them; a last row says how
/// many more there are. `is` is the new text. Changes of who the patient is are one row without values,
/// and no phrase holds a word of it.
pub fn table(changes: &[Change], is: &str, private: &Private, rows: usize) -> Vec<Row> {
    let new: Vec<&str> = is.split_whitespace().collect();
    let lines: Vec<usize> =
        is.lines().enumerate().flat_map(|(at, line)| line.split_whitespace().map(move |_| at)).collect();
    let private_words = private.words(&new, changes);
    let names_the_patient =
        |phrase: &str| phrase.split_whitespace().any(|word| private_words.contains(&bare(word)));
    let is_private = |change: &&Change| {
        private.touches(&change.place) || names_the_patient(&change.was) || names_the_patient(&change.is)
    };
    let phrase = |change: &Change, changed: &str| {
        if changed.is_empty() {
            return "(nothing)".to_owned();
        }
        let [before, after] = near(new.len(), &lines, &change.place).map(|place| {
            let shown = |at: usize| match new[at] {
                word if private.holds(at) || private_words.contains(&bare(word)) => "…",
                word => word,
            };
            place.map(shown).collect::<Vec<_>>().join(" ")
        });
        let parts: Vec<&str> =
            [before.as_str(), changed, &after].into_iter().filter(|part| !part.is_empty()).collect();
        shortened(&parts.join(" "))
    };
    let (hidden, shown): (Vec<&Change>, Vec<&Change>) = changes.iter().partition(is_private);
    let details = || Row { was: DETAILS_WAS.to_owned(), is: DETAILS_IS.to_owned() };
    let mut table: Vec<Row> = if hidden.is_empty() { Vec::new() } else { vec![details()] };
    let row = |change: &&Change| Row { was: phrase(change, &change.was), is: phrase(change, &change.is) };
    table.extend(shown.iter().take(rows).map(row));
    if shown.len() > rows {
        let more = Count(shown.len() - rows, "more place");
        table.push(Row { was: format!("and {more}"), is: "see the text".to_owned() });
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
            table(&changes, &is, &Private::default(), 4),
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
        let table = |changes: &[Change], is: &str| table(changes, is, &Private::default(), 4);
        let added = changes("one two", "one two three");
        assert_eq!(render(&added, false), "  … one two {+three+} …\n");
        assert_eq!(
            table(&added, "one two three")[0],
            Row { was: "(nothing)".into(), is: "one two three".into() }
        );
        assert_eq!(render(&changes("one two", "two"), false), "  … [-one-] two …\n");
        assert_eq!(changes("one\ntwo", " one two "), []);
        assert_eq!(changes("", ""), []);
    }

    #[test]
    fn a_row_does_not_run_into_the_next_field() {
        let row = |was: &str, is: &str| table(&changes(was, is), is, &Private::default(), 1).remove(0).is;
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
        let (is, none) = (is.join(" "), Private::default());
        let all = changes(&was.join(" "), &is);
        assert_eq!(all.len(), 10);
        assert_eq!(table(&all, &is, &none, 10).len(), 10);
        let short = table(&all, &is, &none, 9);
        assert_eq!((short.len(), short[9].was.as_str()), (10, "and 1 more place"));
        let long = "word ".repeat(100);
        assert!(table(&changes("", &long), &long, &none, 1)[0].is.chars().count() <= TABLE_PHRASE + 2);
    }

    /// The same page of one patient, of another, and of nobody.
    const OF_ONE: &str = "O'BRIEN, Thomas (Mr)\nBorn 14-Mar-1981 NHS No. 943 476 5919 Preferred name Tom\n\
        Dear Mr O'Brien of 3 Long Lane\nThe left toe of Thomas was numb at 09:35. Batch M4417 today.";
    const OF_OTHER: &str = "LEFT, Petra (Ms)\nBorn 02-Jan-1999 NHS No. Not known\n\
        Dear Ms Left of 9 Row\nThe left toe of Petra was numb at 09:40. Batch M4471 today.";
    const OF_NOBODY: &str = "QQQ, Qqq (Qq)\nBorn 03-Jan-1999 NHS No. 111 222 3333 Preferred name Qqqq\n\
        Dear Qq Qqq of Qqqqq Qqqqqq\nThe left toe of Qqq was numb at 09:40. Batch M4471 today.";

    #[test]
    fn who_the_patient_is_or_was_stands_in_no_row() {
        let changes = changes(OF_ONE, OF_OTHER);
        let private = Private::places(OF_OTHER, OF_NOBODY);
        let rows = table(&changes, OF_OTHER, &private, 20);
        let text: String = rows.iter().map(|row| format!("{} | {}\n", row.was, row.is)).collect();
        for value in [
            "BRIEN", "Brien", "Thomas", "Tom", "1981", "943", "5919", "Long", "Lane", "Petra", "LEFT",
            "1999", "Row",
        ] {
            assert!(!text.contains(value), "{value}: {text}");
        }
        assert_eq!(rows[0], Row { was: DETAILS_WAS.into(), is: DETAILS_IS.into() });
        assert!(text.contains("M4417") && text.contains("M4471"), "what is not private is shown: {text}");
        assert_eq!(rows.iter().filter(|row| row.was == DETAILS_WAS).count(), 1, "{text}");
    }

    #[test]
    fn a_detail_that_has_gone_or_come_is_not_shown_either() {
        let without = "HOLLIS, Imogen\nBorn 09-Feb-1984\nThe toe was numb today.";
        let with = "HOLLIS, Imogen\nBorn 09-Feb-1984 Preferred name Immy\nThe toe was numb today.";
        let nobody = "QQQ, Qqq\nBorn 10-Feb-1984 Preferred name Qqqq\nThe toe was numb today.";
        for (was, is) in [(without, with), (with, without)] {
            let rows = table(&changes(was, is), is, &Private::places(is, nobody), 9);
            assert_eq!(rows, [Row { was: DETAILS_WAS.into(), is: DETAILS_IS.into() }]);
        }
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
            for [in_old, in_new] in changed_spans(&old, &new, APART).into_iter().rev() {
                patched.splice(in_old, new[in_new].iter().copied());
            }
            prop_assert_eq!(patched, new);
        }
    }
}
