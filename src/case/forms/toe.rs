//! Toes by their names.

use super::{Form, case};
use crate::anatomy::{Side, Toe};

pub(super) const FORM: Form = Form {
    name: "toe",
    says: "a toe by its side and name",
    place: case!("problem: {toes: {…: {stage: 2}}}\n"),
    examples: &[
        ("Left big toe", "L1"),
        ("left hallux", "L1"),
        ("L hallux", "L1"),
        ("Lt hallux", "L1"),
        ("l1", "L1"),
        ("Rt great toe", "R1"),
        ("right 2nd toe", "R2"),
        ("R second", "R2"),
        ("left little toe", "L5"),
        ("hallux left", "L1"),
    ],
    refused: &[("big toe", "left or right"), ("LL1", "may hold `R1`")],
};

/// For the schema: what names a toe, by its number from 0.
pub(super) fn pattern(toe: Toe) -> String {
    let side = match toe.side() {
        Side::Right => "(?:[rR]|[rR][tT]\\.?|[rR]ight|RIGHT)",
        Side::Left => "(?:[lL]|[lL][tT]\\.?|[lL]eft|LEFT)",
    };
    let name = match toe.number() {
        1 => "(?:1|1st|[fF]irst|[bB]ig|[gG]reat|[hH]allux|HALLUX)",
        2 => "(?:2|2nd|[sS]econd)",
        3 => "(?:3|3rd|[tT]hird)",
        4 => "(?:4|4th|[fF]ourth)",
        _ => "(?:5|5th|[fF]ifth|[lL]ittle)",
    };
    format!("^(?:{side} *{name}(?: *[tT]oe)?|{name}(?: *[tT]oe)?,? *{side})$")
}

/// The toe that a text names; `None` where the side or the toe is not said.
pub(super) fn named(text: &str) -> Option<Toe> {
    let small = text.to_lowercase().replace(['-', '_', ',', '.', '\u{a0}'], " ");
    let mut side = None;
    let mut number = None;
    for word in small.split_whitespace() {
        // `l1` and `lt1` are side and number in one word.
        let (letters, digits) = match word.find(|c: char| c.is_ascii_digit()) {
            Some(at) if at > 0 => word.split_at(at),
            _ => (word, ""),
        };
        let words: &[&str] = if digits.is_empty() { &[letters] } else { &[letters, digits] };
        for word in words {
            match (side_of(word), number_of(word)) {
                (Some(found), _) if side.is_none() => side = Some(found),
                (None, Some(found)) if number.is_none() => number = Some(found),
                (None, None) if *word == "toe" => {}
                _ => return None,
            }
        }
    }
    let (side, number) = (side?, number?);
    Toe::ALL.into_iter().find(|toe| toe.side() == side && toe.number() == number)
}

/// A text that names a toe of no side.
pub(in crate::case) fn lacks_a_side(text: &str) -> bool {
    named(&format!("left {text}")).is_some() && named(text).is_none() && text.chars().count() > 2
}

fn side_of(word: &str) -> Option<Side> {
    match word {
        "r" | "rt" | "right" => Some(Side::Right),
        "l" | "lt" | "left" => Some(Side::Left),
        _ => None,
    }
}

fn number_of(word: &str) -> Option<usize> {
    match word {
        "1" | "1st" | "first" | "big" | "great" | "hallux" => Some(1),
        "2" | "2nd" | "second" => Some(2),
        "3" | "3rd" | "third" => Some(3),
        "4" | "4th" | "fourth" => Some(4),
        "5" | "5th" | "fifth" | "little" => Some(5),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_toe_is_never_guessed() {
        for no_toe in
            ["", "big toe", "left", "left toe", "LL1", "R6", "left big second", "L1 R1", "rl1", "x1"]
        {
            assert_eq!(named(no_toe), None, "{no_toe}");
        }
        for toe in Toe::ALL {
            assert_eq!(named(&toe.clinical()), Some(toe));
            assert_eq!(named(&toe.plain().to_uppercase()), Some(toe));
            assert_eq!(named(toe.code()), Some(toe));
        }
        assert!(lacks_a_side("big toe") && !lacks_a_side("left big toe") && !lacks_a_side("colour"));
    }
}
