//! Whether the patient smokes: yes, no, or not any more.

use super::{Form, Marked, Short, case};

pub(super) const FORM: Form = Form {
    name: "smoker",
    says: "whether the patient smokes; `ex` for one who stopped",
    place: case!("history: {smoker: …}\n"),
    examples: &[
        ("yes", "true"),
        ("no", "false"),
        ("never", "false"),
        ("current", "true"),
        ("Ex", "ex"),
        ("ex-smoker", "ex"),
        ("stopped", "ex"),
    ],
    refused: &[("sometimes", "`true` or `false`")],
};

const WORDS: [(&str, &str); 8] = [
    ("never", "false"),
    ("non smoker", "false"),
    ("current", "true"),
    ("smoker", "true"),
    ("ex smoker", "ex"),
    ("former", "ex"),
    ("stopped", "ex"),
    ("gave up", "ex"),
];

pub(super) const MARKED: Marked = Marked {
    mark: "smoker",
    read: |typed| {
        let small = typed.to_lowercase().replace('-', " ");
        WORDS.iter().find(|(word, _)| *word == small).map(|(_, full)| Ok(Short::text(*full)))
    },
    pattern: "^(?:[nN]ever|[nN]on[- ]smoker|[cC]urrent|[sS]moker|[eE]x[- ]smoker|[eE]x|[fF]ormer|[sS]topped|[gG]ave up)$",
    examples: &["ex", "never"],
};
