//! What was injected and when, in one line, with top-ups.

use super::{Form, Marked, Short, case};
use crate::date::TimeOfDay;
use crate::units::{Millilitres, TextValue};

pub(super) const FORM: Form = Form {
    name: "injected",
    says: "volumes that were injected, each with its time",
    place: case!("operation: {date: 2026-11-24, toes: {L1: {nail: total, injected: …}}}\n"),
    examples: &[
        (
            "2.2 ml at 9.35 + 0.6 ml at 10.05",
            "[{volume: 2.2 ml, at: \"09:35\"}, {volume: 0.6 ml, at: \"10:05\"}]",
        ),
        ("2.2 mls at 9.35", "[{volume: 2.2 ml, at: \"09:35\"}]"),
        (
            "2.2 ml at 9.35 and 0.6 ml top-up at 10.05",
            "[{volume: 2.2 ml, at: \"09:35\"}, {volume: 0.6 ml, at: \"10:05\"}]",
        ),
        ("2.2 ml + 0.6 ml top up at 10:55", "[{volume: 2.2 ml}, {volume: 0.6 ml, at: \"10:55\"}]"),
    ],
    refused: &[
        ("2.2 ml at half nine", "not a time"),
        ("2.2 + 0.6 ml", "write it like `2.2 ml at 9.35 + 0.6 ml at 10.05`"),
        ("a carpule", "write it like `2.2 ml"),
    ],
};

const LIKE: &str = "write it like `2.2 ml at 9.35 + 0.6 ml at 10.05`";

pub(super) const MARKED: Marked = Marked {
    mark: "injected",
    read: |typed| {
        let small = typed.to_lowercase();
        let is_short = small.contains([' '])
            && (small.contains(" at ") || small.contains('+') || small.contains(" and "));
        if !is_short {
            return None;
        }
        let parts = small.split('+').flat_map(|part| part.split(" and "));
        let each: Result<Vec<Short>, String> = parts.map(|part| one(part.trim())).collect();
        Some(each.map(Short::List))
    },
    pattern: "^ *[0-9.]+ *[mM][lL][sS]?(?: *(?:top[- ]?up))?(?: +at +[0-9:.]+(?: *[aApP][mM])?)?(?: *(?:[+]|and) *[0-9.]+ *[mM][lL][sS]?(?: *(?:top[- ]?up))?(?: +at +[0-9:.]+(?: *[aApP][mM])?)?)* *$",
    examples: &["2.2 ml at 9.35 + 0.6 ml at 10.05"],
};

/// `0.6 ml top up at 10.05`.
fn one(part: &str) -> Result<Short, String> {
    let (volume, at) = match part.split_once(" at ") {
        Some((volume, at)) => (volume, Some(at)),
        None => (part, None),
    };
    let volume = ["top-up", "top up", "topup"]
        .iter()
        .find_map(|end| volume.trim_end().strip_suffix(end))
        .unwrap_or(volume)
        .trim();
    let volume =
        Millilitres::parse(volume).map_err(|says| match says.contains(" cc ") || says.contains("`cc`") {
            true => says,
            false => format!("`{part}` is no volume with its time: {LIKE}"),
        })?;
    let mut block = vec![("volume", Short::text(volume.to_string()))];
    if let Some(at) = at {
        block.push(("at", Short::quoted(TimeOfDay::parse(at.trim())?.to_string())));
    }
    Ok(Short::Block(block))
}
