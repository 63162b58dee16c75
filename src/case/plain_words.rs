//! What the YAML parser complains of, in the words of somebody who has never heard of YAML.
//!
//! Only wording: where the fault is, the scan knows. The parser's phrases are not a promise of its
//! authors, so a phrase that is not known here still gives an honest, general answer.

use super::problem::{self, ReadingRule};

/// The parser found a comment where a text of several lines goes on.
pub(super) fn is_comment_in_text(info: &str) -> bool {
    info.contains("comment intercepting")
}

/// The rule, what is wrong, and what to do.
pub(super) fn of(info: &str) -> (&'static ReadingRule, &'static str, &'static str) {
    let says = |part: &str| info.contains(part);
    if says("unknown anchor") || says("anchor or alias") || says("for anchor") {
        let label = "a `*` or `&` at the start of a value refers to another place";
        return (&problem::ANCHOR_OR_ALIAS, label, "put the text in quotation marks, or write the value out");
    }
    if says("handle wasn't declared") || says("tag") {
        let label = "a `!` at the start of a value sets its type";
        return (&problem::TAG, label, "put the text in quotation marks");
    }
    let (label, help) = if says("escape") || says("hexadecimal") {
        ("a backslash has a special meaning in \"…\"", "double the backslash, or use '…' quotation marks")
    } else if says("trailing content") {
        (
            "text stands after the closing quotation mark",
            "put the whole value inside one pair of quotation marks",
        )
    } else if says("quoted scalar") && !says("tab") {
        ("a quotation mark is not closed", "put the closing quotation mark where the text ends")
    } else if says("tab") {
        ("a tab stands where blanks are needed", "indent with blanks, not with tabs")
    } else if says("mapping values are not allowed") {
        (
            "a colon where no key can stand",
            "put a text that holds a colon in quotation marks, and check that the line is indented like those \
             around it",
        )
    } else if says("simple key") {
        ("a colon is missing after a key", "write `key: value`, with a blank after the colon")
    } else if says("expected ',' or '}'") {
        ("a comma or a `}` is missing", "close the bracket, or put a comma between the entries")
    } else if says("expected ',' or ']'") {
        ("a comma or a `]` is missing", "close the bracket, or put a comma between the items")
    } else if says("bracket") {
        ("this bracket closes nothing", "remove it, or put the text in quotation marks")
    } else if says("unexpected character") || says("cannot start with") || says("directive") {
        ("a value cannot begin with this character", "put the value in quotation marks")
    } else if says("block scalar") {
        (
            "a `>` or `|` at the start of a value has a special meaning",
            "put the value in quotation marks; if a text of several lines was meant, begin it on the next line",
        )
    } else if says("recursion limit") {
        ("brackets stand too deep inside one another", "close the brackets before this place")
    } else if says("expected '-' indicator") {
        (
            "a key stands among the items of a list",
            "begin the item with `- `, or indent the key as it belongs",
        )
    } else if says("placement of ':'") || says("flow construct") {
        ("a bracket before this place is not closed", "close the bracket where the list or block ends")
    } else if says("'-'") || says("\"-\"") || says("block sequence entries") {
        (
            "a list item cannot stand here",
            "put all items of a list under one another, each with `- ` at the same place",
        )
    } else if says("expected key") || says("indent") {
        (
            "this line does not fit those around it",
            "give keys of one block the same indentation, and check quotation marks and brackets above it",
        )
    } else {
        ("this cannot be read", "check indentation, colons, quotation marks and brackets here and above")
    };
    (&problem::YAML_SYNTAX, label, help)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_is_still_answered() {
        let (rule, label, help) = of("a phrase of a later version");
        assert_eq!((rule.name, label), ("yaml-syntax", "this cannot be read"));
        assert!(help.contains("indentation"));
    }

    #[test]
    fn references_and_type_marks_have_their_own_rules() {
        assert_eq!(of("while parsing node, found unknown anchor").0.name, "anchor-or-alias");
        assert_eq!(of("the handle wasn't declared").0.name, "tag");
    }

    #[test]
    fn a_quotation_mark_is_told_from_a_tab() {
        assert_eq!(
            of("while scanning a quoted scalar, found unexpected end of stream").1,
            "a quotation mark is not closed"
        );
        assert!(of("tab cannot be used as indentation").1.starts_with("a tab"));
    }
}
