//! The check of single values: words, numbers, quantities, texts.
//!
//! Formats of quantities and dates are judged by their own types; here are only the words around.

use rust_decimal::Decimal;
use serde_json::Value as Json;

use super::accepts::{Accepts, Form, bounds};
use super::characters;
use super::check::{Check, Step, meant, shown};
use super::nothing;
use super::plain::Plain;
use super::problem;
use super::syntax::MAX_KEY;
use super::tree::Node;
use crate::case::Format;
use crate::diagnostic::Span;
use crate::units::plain_decimal;
use crate::words::List;

/// Characters of one text.
const MAX_TEXT: usize = 2_000;
/// Characters of one word; a longer one runs beyond the edge of the page.
const MAX_WORD: usize = 60;
/// Accents on one letter.
const MAX_MARKS: usize = 3;
/// Characters of a quantity, date or time; the longest good ones have about 20.
const MAX_QUANTITY: usize = 60;

impl<'t, 's: 't> Check<'t, 's, '_> {
    pub(super) fn scalar(&mut self, node: &Node, text: &'t str, quoted: bool, form: &Form<'_>) -> Plain<'t> {
        let accepts = &form.accepts;
        let span = node.span;
        let is_null = matches!(text, "" | "~" | "null" | "Null" | "NULL");
        if (is_null && !quoted) || text.trim().is_empty() {
            let help = match text {
                "" if node.comment.is_some() => {
                    "fill it in or remove the line; a text that begins with `#` needs quotation marks"
                        .to_owned()
                }
                "" | "~" => "fill it in or remove the line".to_owned(),
                _ if quoted => "fill it in or remove the line".to_owned(),
                word => {
                    format!(
                        "fill it in or remove the line; if the text is `{word}`, put it in quotation marks"
                    )
                }
            };
            let says = format!("{} has no value", self.subject());
            self.report(&problem::EMPTY_VALUE, span, says, Some(&help));
            return Plain::Null;
        }
        if accepts.words.contains(&text) {
            return Plain::Text(text);
        }
        if !quoted && self.pasted(span, text, form) {
            return Plain::Null;
        }
        if let Some(schema) = accepts.integer {
            let is_digits = !quoted && text.bytes().all(|byte| byte.is_ascii_digit());
            if is_digits || accepts.text.is_none() {
                return self.integer(span, text, quoted, schema);
            }
        }
        if accepts.boolean {
            return self.boolean(span, text, quoted);
        }
        if let Some(schema) = accepts.number {
            return self.number(span, text, schema);
        }
        if accepts.text.is_some() {
            match form.format {
                Some(format) => self.quantity(span, text, format),
                None => self.free_text(node, text),
            }
            return Plain::Text(text);
        }
        if !accepts.words.is_empty() {
            return self.word(span, text, accepts);
        }
        self.wrong_kind(span, accepts)
    }

    /// A text as the practitioner typed it: all of it must be read, and it must fit the page.
    pub(super) fn free_text(&mut self, node: &Node, text: &str) {
        if let Some(comment) = node.comment {
            self.report(
                &problem::COMMENT_IN_TEXT,
                comment,
                format!("{} ends before this `#`", self.subject()),
                Some("put the whole text in quotation marks, or the comment on a line of its own"),
            );
        } else if !node.is_quoted() && characters::is_in_curly_quotes(text) {
            self.report(
                &problem::PASTED_CHARACTER,
                node.span,
                "curly quotation marks, as a word processor writes them, would be printed with the text"
                    .to_owned(),
                Some("type straight quotation marks, or none"),
            );
        }
        self.lengths(node.span, text);
    }

    /// Reports a blank or quotation mark of a word processor in a value that cannot be read with it.
    fn pasted(&mut self, span: Span, text: &str, form: &Form<'_>) -> bool {
        // Nearly every value is plain.
        let Some((_, name)) = characters::pasted_in(text) else { return false };
        let accepts = &form.accepts;
        let is_good = match accepts.text {
            Some(_) => form.format.is_none_or(|format| (format.check)(text).is_ok()),
            // Where a list or a block belongs, another message says so.
            None => {
                accepts.words.is_empty() && accepts.integer.or(accepts.number).is_none() && !accepts.boolean
            }
        };
        if is_good {
            return false;
        }
        let plain: String = text
            .chars()
            .filter_map(|c| match characters::pasted(c) {
                Some(_) if c.is_whitespace() => Some(' '),
                Some(_) => None,
                None => Some(c),
            })
            .collect();
        let help = format!("delete it and type `{}`", shown(plain.trim()));
        self.report(
            &problem::PASTED_CHARACTER,
            span,
            format!("{} holds {name}", self.subject()),
            Some(&help),
        );
        true
    }

    fn word(&mut self, span: Span, text: &str, accepts: &Accepts<'_>) -> Plain<'t> {
        let key = self.path.last().map_or_else(String::new, |segment| match segment {
            Step::Key(key) => shown(key),
            Step::Index(_) => String::new(),
        });
        let help = match (meant(text, &accepts.words), accepts.list, accepts.words.first()) {
            (Some(near), ..) => format!("did you mean `{near}`?"),
            (None, Some(_), Some(word)) if nothing::is_word(text) => {
                format!("write `{word}` if it was asked and there is none; if nobody asked, remove the line")
            }
            (None, Some(_), Some(word)) => format!(
                "write square brackets, even around a single item: `{key}: [{}]`; or the word `{word}`",
                shown(text)
            ),
            (None, None, _) if accepts.block.is_some() => {
                let keys = accepts.block.map_or_else(String::new, |block| self.keys_to_write(block));
                format!("write {}, in braces: `{key}: {{{keys}}}`", List::or(accepts.phrases()))
            }
            (None, ..) => format!("write {}", List::or(accepts.phrases())),
        };
        let key = self.path.iter().rev().find_map(|segment| match segment {
            Step::Key(key) => Some(format!(" for `{}`", shown(key))),
            Step::Index(_) => None,
        });
        let says = format!("`{}` is not a known word{}", shown(text), key.unwrap_or_default());
        self.report(&problem::BAD_VALUE, span, says, Some(&help));
        Plain::Null
    }

    fn boolean(&mut self, span: Span, text: &str, quoted: bool) -> Plain<'t> {
        match text {
            "true" if !quoted => return Plain::Bool(true),
            "false" if !quoted => return Plain::Bool(false),
            _ => {}
        }
        let says = format!("{} should be `true` or `false`", self.subject());
        let help = match text.to_lowercase().as_str() {
            "yes" | "true" | "y" | "on" => "write `true`",
            "no" | "false" | "n" | "off" => "write `false`",
            _ => "write `true` or `false`, without quotation marks",
        };
        let help = if quoted && matches!(text, "true" | "false") {
            "write it without quotation marks"
        } else {
            help
        };
        self.report(&problem::BAD_VALUE, span, says, Some(help));
        Plain::Null
    }

    fn integer(&mut self, span: Span, text: &str, quoted: bool, schema: &Json) -> Plain<'t> {
        let (low, high) = bounds(schema);
        let range = match (low, high) {
            (Some(low), Some(high)) => format!("write a whole number from {low} to {high}"),
            _ => "write a whole number".to_owned(),
        };
        let digits = text.strip_prefix('-').unwrap_or(text);
        let is_number = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        if !is_number || (digits.len() > 1 && digits.starts_with('0')) {
            let says = format!("`{}` is not a whole number", shown(text));
            let help = format!("{range}, without a unit, a point or zeros in front");
            self.report(&problem::WRONG_TYPE, span, says, Some(&help));
            return Plain::Null;
        }
        if quoted {
            let says = format!("{} should be a whole number, and this is a text", self.subject());
            self.report(&problem::WRONG_TYPE, span, says, Some("write it without quotation marks"));
            return Plain::Null;
        }
        let number = text.parse::<Decimal>().ok();
        let is_inside = |number: &Decimal| {
            low.is_none_or(|low| low <= *number) && high.is_none_or(|high| *number <= high)
        };
        match number.filter(is_inside).and_then(|number| i64::try_from(number).ok()) {
            Some(number) => Plain::Whole(number),
            None => self.out_of_range(span, text, low, high, &range),
        }
    }

    fn number(&mut self, span: Span, text: &'t str, schema: &Json) -> Plain<'t> {
        let (low, high) = bounds(schema);
        let range = match (low, high) {
            (Some(low), Some(high)) => format!("write a number from {low} to {high}, like `2.5`"),
            _ => "write a number, like `2.5`".to_owned(),
        };
        if text.chars().count() > MAX_QUANTITY {
            let says = format!("{} should be a number", self.subject());
            self.report(&problem::WRONG_TYPE, span, says, Some(&range));
            return Plain::Null;
        }
        let number = match plain_decimal(text) {
            Ok(number) => number,
            Err(says) => {
                self.report(&problem::BAD_VALUE, span, says, Some(&range));
                return Plain::Null;
            }
        };
        if low.is_some_and(|low| number < low) || high.is_some_and(|high| number > high) {
            return self.out_of_range(span, text, low, high, &range);
        }
        // As text: the model reads it digit by digit, never through binary floating point.
        Plain::Text(text)
    }

    fn out_of_range(
        &mut self,
        span: Span,
        text: &str,
        low: Option<Decimal>,
        high: Option<Decimal>,
        help: &str,
    ) -> Plain<'t> {
        let says = match (low, high) {
            (Some(low), Some(high)) => format!("`{}` is outside {low} to {high}", shown(text)),
            _ => format!("`{}` is more than can be used here", shown(text)),
        };
        self.report(&problem::BAD_VALUE, span, says, Some(help));
        Plain::Null
    }

    fn quantity(&mut self, span: Span, text: &str, format: &Format) {
        let help = || format!("a correct one is `{}`", format.example);
        if text.chars().count() > MAX_QUANTITY || text.contains(['\n', '\t']) {
            let says = format!("this is a text, and {} is one value", self.subject());
            self.report(&problem::BAD_VALUE, span, says, Some(&help()));
        } else if let Err(says) = (format.check)(text) {
            // Most formats say what to write themselves: one remedy is enough.
            let help = (!says.contains("write") && !says.contains(format.example)).then(help);
            self.report(&problem::BAD_VALUE, span, says, help.as_deref());
        }
    }

    pub(super) fn lengths(&mut self, span: Span, text: &str) {
        // Too short to be too long, and without accents.
        if text.len() <= MAX_WORD.min(MAX_KEY) && text.is_ascii() {
            return;
        }
        let is_key = self.path.last() == Some(&Step::Key(text));
        let most = if is_key { MAX_KEY } else { MAX_TEXT };
        let count = text.chars().count();
        let (says, help) = if count > most {
            (format!("{count} characters, where at most {most} fit"), "shorten it, or split it into items")
        } else if let Some(word) = text.split_whitespace().find(|word| word.chars().count() > MAX_WORD) {
            let count = word.chars().count();
            (
                format!("a word of {count} characters, where at most {MAX_WORD} fit a line"),
                "break it with blanks",
            )
        } else if most_marks(text) > MAX_MARKS {
            (format!("more than {MAX_MARKS} accents on one letter"), "type the letter again")
        } else {
            return;
        };
        self.report(&problem::TEXT_TOO_LONG, span, says, Some(help));
    }
}

/// The longest run of accents.
fn most_marks(text: &str) -> usize {
    let mut most = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if unicode_normalization::char::is_combining_mark(c) { run + 1 } else { 0 };
        most = most.max(run);
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_are_counted_in_a_row() {
        assert_eq!(most_marks("e\u{301}\u{301}\u{301}"), 3);
        assert_eq!(most_marks("e\u{301}e\u{301}e\u{301}e\u{301}"), 1);
        assert_eq!(most_marks("plain"), 0);
    }
}
