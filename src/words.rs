//! Small pieces of English: counts, lists and suggestions, so that messages read well everywhere.

use std::fmt;
use std::path::Path;

/// A text that may hold anything, such as the name of a file, as it may be shown: what would act on a terminal,
/// break the line, turn the direction of writing or hide is written as its code, `\u{1b}`.
pub(crate) fn visible(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        let acts = c.is_control()
            || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
            || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}');
        match acts {
            true => shown.extend(c.escape_default()),
            false => shown.push(c),
        }
    }
    shown
}

/// A path in a message. For programs it is written exactly, with [`Shown::exact`].
pub(crate) trait Shown {
    /// As [`visible`].
    fn shown(&self) -> String;
    /// Letter by letter, for JSON and for the arguments of a command.
    fn exact(&self) -> String;
}

impl Shown for Path {
    fn shown(&self) -> String {
        visible(&self.to_string_lossy())
    }

    fn exact(&self) -> String {
        self.to_string_lossy().into_owned()
    }
}

/// `1 toe`, `2 toes`, `1 entry`, `2 entries`.
pub(crate) struct Count<'a>(pub usize, pub &'a str);

impl fmt::Display for Count<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Count(number, noun) = *self;
        if number == 1 {
            return write!(f, "1 {noun}");
        }
        match noun.strip_suffix('y') {
            Some(stem) if !stem.ends_with(['a', 'e', 'i', 'o', 'u']) => write!(f, "{number} {stem}ies"),
            _ => write!(f, "{number} {noun}s"),
        }
    }
}

/// `a`, `a and b`, `a, b and c`; with [`List::or`] the last word is "or".
pub(crate) struct List<'a> {
    items: Vec<String>,
    joiner: &'a str,
}

impl List<'static> {
    /// A list joined by "and".
    pub(crate) fn and<T: fmt::Display>(items: impl IntoIterator<Item = T>) -> List<'static> {
        List { items: items.into_iter().map(|item| item.to_string()).collect(), joiner: "and" }
    }

    /// A list joined by "or".
    pub(crate) fn or<T: fmt::Display>(items: impl IntoIterator<Item = T>) -> List<'static> {
        List { items: items.into_iter().map(|item| item.to_string()).collect(), joiner: "or" }
    }

    /// A list joined by "or", each item in backticks, for keys and values as they are typed.
    pub(crate) fn or_ticked<T: fmt::Display>(items: impl IntoIterator<Item = T>) -> List<'static> {
        List::or(items.into_iter().map(|item| format!("`{item}`")))
    }
}

impl fmt::Display for List<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.items.as_slice() {
            [] => Ok(()),
            [only] => write!(f, "{only}"),
            [first @ .., last] => write!(f, "{} {} {last}", first.join(", "), self.joiner),
        }
    }
}

/// The nearest of `known` to what was typed, if any is near enough to be meant.
pub(crate) fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    // Words of very different length are further apart than this without being compared letter by letter.
    let most = |word: &str| (word.chars().count().max(length) / 3).max(1);
    known
        .into_iter()
        .filter(|word| word.chars().count().abs_diff(length) <= most(word))
        .map(|word| (strsim::damerau_levenshtein(&typed, &word.to_lowercase()), word))
        .filter(|(distance, word)| *distance <= most(word))
        .min()
        .map(|(_, word)| word)
}

/// How many slips of the pen two texts are apart: a letter more, less, another or swapped.
pub(crate) fn slips_apart(one: &str, other: &str) -> usize {
    strsim::damerau_levenshtein(one, other)
}

/// The first letter in upper case, the rest as it is.
pub(crate) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Broken at spaces; a word that is longer than a line keeps its line.
pub(crate) fn broken(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Titles, and whether one is greeted by it with the family name alone: not `Dear Sir Ng`.
const TITLES: [(&str, bool); 14] = [
    ("Dr", true),
    ("Prof", true),
    ("Professor", true),
    ("Mr", true),
    ("Mrs", true),
    ("Ms", true),
    ("Miss", true),
    ("Mx", true),
    ("Rev", false),
    ("Master", false),
    ("Sir", false),
    ("Dame", false),
    ("Lady", false),
    ("Lord", false),
];

/// The word is a title, whatever its capitals.
pub(crate) fn is_title(word: &str) -> bool {
    TITLES.iter().any(|(title, _)| title.eq_ignore_ascii_case(word.trim_end_matches('.')))
}

/// The title with which a letter greets somebody by the family name.
pub(crate) fn greeting_title(word: &str) -> Option<&'static str> {
    let word = word.trim_end_matches('.');
    TITLES.iter().find(|(title, greets)| *greets && *title == word).map(|(title, _)| *title)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts() {
        assert_eq!(Count(1, "toe").to_string(), "1 toe");
        assert_eq!(Count(2, "entry").to_string(), "2 entries");
        assert_eq!(Count(0, "day").to_string(), "0 days");
    }

    #[test]
    fn lists() {
        assert_eq!(List::and(["a"]).to_string(), "a");
        assert_eq!(List::and(["a", "b"]).to_string(), "a and b");
        assert_eq!(List::or_ticked(["a", "b", "c"]).to_string(), "`a`, `b` or `c`");
    }

    #[test]
    fn suggestions_are_near_or_none() {
        assert_eq!(nearest("minuets", ["minutes", "toes"]), Some("minutes"));
        assert_eq!(nearest("wieght", ["weight", "height"]), Some("weight"));
        assert_eq!(nearest("banana", ["weight", "height"]), None);
    }

    #[test]
    fn titles() {
        assert!(is_title("professor") && is_title("Dr.") && is_title("Sir") && !is_title("Imogen"));
        assert_eq!(
            (greeting_title("Dr."), greeting_title("Sir"), greeting_title("dr")),
            (Some("Dr"), None, None)
        );
    }

    #[test]
    fn capitals() {
        assert_eq!(capitalised("élan"), "Élan");
        assert_eq!(capitalised(""), "");
    }
}
