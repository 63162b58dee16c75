//! Applications of phenol in one line.

use super::{Form, Marked, Short, case};
use crate::units::{Seconds, TextValue};

pub(super) const FORM: Form = Form {
    name: "phenol",
    says: "how many applications of phenol, and how long each",
    place: case!("operation: {date: 2026-11-24, toes: {L1: {nail: total, phenol: …}}}\n"),
    examples: &[
        ("3 x 60 s", "{applications: 3, each: 60 s}"),
        ("3x60s", "{applications: 3, each: 60 s}"),
        ("3 × 60 secs", "{applications: 3, each: 60 s}"),
        ("3 times 1 min", "{applications: 3, each: 60 s}"),
        ("3 x 60 s on each edge", "{applications: 3, each: 60 s, on: each edge}"),
    ],
    refused: &[
        ("180 s", "write it like `3 x 60 s`"),
        ("3 x 60", "the unit is missing"),
        ("60 s x 3", "write it like `3 x 60 s`"),
    ],
};

pub(super) const MARKED: Marked = Marked {
    mark: "phenol",
    read: |typed| {
        let small = typed.to_lowercase();
        let ends = [("each edge", "each edge"), ("both edges together", "both edges together")];
        let end = ends.iter().find_map(|(end, on)| Some((small.strip_suffix(end)?.trim_end(), *on)));
        let (rest, on) = end.map_or((small.as_str(), None), |(rest, on)| (rest, Some(on)));
        let rest = rest.strip_suffix(" on").unwrap_or(rest);
        let like = || format!("`{typed}` is no number of applications: write it like `3 x 60 s`");
        let parted = [" times ", "×", "x", "*"].iter().find_map(|by| rest.split_once(by));
        let Some((count, each)) = parted else { return Some(Err(like())) };
        let count = count.trim();
        if count.is_empty() || count.len() > 2 || !count.bytes().all(|byte| byte.is_ascii_digit()) {
            return Some(Err(like()));
        }
        let each = match Seconds::parse(each.trim()) {
            Ok(each) => each,
            Err(says) => return Some(Err(says)),
        };
        let mut block = vec![("applications", Short::text(count)), ("each", Short::text(each.to_string()))];
        block.extend(on.map(|on| ("on", Short::text(on))));
        Some(Ok(Short::Block(block)))
    },
    pattern: "^ *[0-9]{1,2} *(?:x|X|×|[*]|times) *[0-9.]+ *[a-zA-Z]+(?: +(?:on +)?(?:each edge|both edges together))? *$",
    examples: &["3 x 60 s"],
};
