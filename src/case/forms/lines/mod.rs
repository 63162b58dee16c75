//! A block in one line: phrases parted by commas, as a colleague writes a note. Each phrase says one value of the
//! block and may stand anywhere in the line; what says nothing that the block can hold is refused, and so is what
//! could be said of two values.
//!
//! A line only parts its text: what a value means is left to the forms of the values, so a date or a volume is read
//! in a line as anywhere else. A line never says more than its words: what is not in it is not recorded.

pub(super) mod checks;
pub(super) mod consent;
pub(super) mod feet;
pub(super) mod follow_up;
pub(super) mod history;
pub(super) mod operated_toe;
pub(super) mod operation;
pub(super) mod patient;
pub(super) mod plan;
pub(super) mod problem;
mod read;
pub(super) mod visit;
mod write;

use serde_json::Value as Json;

use super::{Form, case};
use crate::case::accepts::target_of;

pub(super) use read::{Said, Value, read};
pub(super) use write::{as_block, in_flow, is_same, wrapped, write};

/// The mark in the schema of a block that can be written in one line.
pub(super) const MARK: &str = "x-line";

/// How a block is said in one line.
#[derive(Debug)]
pub(in crate::case) struct Line {
    /// The mark of its schema.
    mark: &'static str,
    /// The phrases, in the order in which they are written.
    phrases: &'static [Phrase],
    /// Parts behind a semicolon, each known by its first words.
    sections: &'static [Section],
    /// Values of both sides in a part that begins with [`RIGHT_LEFT`] or [`LEFT_RIGHT`]: `DP 136/134`.
    pairs: &'static [Pair],
    /// The key under which parts that begin with a toe stand; empty if they are the block itself.
    toes: Option<&'static str>,
    /// The key of a whole part that is nothing else.
    rest: Option<&'static str>,
    /// For the schema: what is read fits it.
    pattern: &'static str,
    /// For the schema.
    examples: &'static [&'static str],
}

/// A value of the block, and how it is said.
#[derive(Debug)]
struct Phrase {
    /// Its key, below the block.
    key: &'static str,
    how: How,
}

/// How a value is said.
#[derive(Debug)]
enum How {
    /// By words that stand for it; the first of each value is the one that is written.
    Words(&'static [(&'static str, &'static str)]),
    /// By its own words alone, or behind the first of these, which are written if there are any.
    Led(&'static [&'static str]),
    /// As above, several with ` + ` between them.
    List(&'static [&'static str]),
    /// By what looks like it; also behind one of these words.
    Like(fn(&str) -> bool, &'static [&'static str]),
    /// Behind one of these words, if it looks like it.
    LedLike(&'static [&'static str], fn(&str) -> bool),
    /// From a time to a time, which is of another key.
    FromTo(&'static str),
    /// A word of these with a date behind it, which is of another key.
    Dated(&'static str, &'static [&'static str]),
    /// Words that stand for the value, with a date behind them, which is of another key; as in `Words`.
    SaidOn(&'static str, &'static [(&'static str, &'static str)]),
    /// By its own words, which begin with one of these.
    Begins(&'static [&'static str]),
    /// One value for two keys, behind these words.
    Both(&'static [&'static str], [&'static str; 2]),
    /// `Ms Imogen Hollis`, as the first phrase.
    Name,
    /// `4 Tern Row, Larkmoor, XX4 2QD`: its last line is the postcode. Behind `at` where it does not begin with a
    /// number and a name.
    Address,
    /// `2.2 ml at 09:35`, whose time is of another key; several with ` + `.
    Injected,
}

/// A part behind a semicolon.
#[derive(Debug)]
struct Section {
    /// The words with which it begins; the first is written.
    leads: &'static [&'static str],
    /// Where it stands: in each of these keys the same.
    keys: &'static [&'static str],
    /// The line of what stands there, where several parts may say something of it.
    inside: Option<&'static Line>,
}

/// A value of each side.
#[derive(Debug)]
struct Pair {
    /// The words before it; the first is written.
    leads: &'static [&'static str],
    /// The key of the right and of the left.
    keys: [&'static str; 2],
}

/// What a part with values of both sides begins with; the first is written.
const RIGHT_LEFT: &[&str] = &["R/L", "right/left", "Rt/Lt"];
/// As before, the left first.
const LEFT_RIGHT: &[&str] = &["L/R", "left/right", "Lt/Rt"];

const NONE: Line = Line {
    mark: "",
    phrases: &[],
    sections: &[],
    pairs: &[],
    toes: None,
    rest: None,
    pattern: "^.*[a-zA-Z].*$",
    examples: &[],
};

/// For the schema of a line with a date in it, which may be all of it.
const DATED: &str = "^.*[0-9].*[-/., ].*[0-9].*$";

/// Toes, each with its line.
pub(super) const TOES: Line = Line {
    mark: "toes",
    toes: Some(""),
    pattern: "^ *[rRlLhHbBgG1-5fst].*[, ].*$",
    examples: &["L1 lateral, …; R1 both, …"],
    ..NONE
};

/// All that have a mark.
const LINES: &[&Line] = &[
    &patient::LINE,
    &history::LINE,
    &problem::LINE,
    &problem::TOE,
    &feet::CIRCULATION,
    &feet::ARMS,
    &feet::FOOT,
    &feet::SENSATION,
    &plan::TOE,
    &plan::BOOKED,
    &consent::LINE,
    &operation::LINE,
    &operation::INSTRUMENTS,
    &checks::LINE,
    &operated_toe::LINE,
    &follow_up::LINE,
    &visit::LINE,
    &visit::NEXT,
    &visit::TOE,
];

/// The line of a schema, through references and branches.
pub(in crate::case) fn of(root: &Json, schema: &Json) -> Option<&'static Line> {
    if let Some(mark) = schema.get(MARK).and_then(Json::as_str) {
        return LINES.iter().find(|line| line.mark == mark).copied();
    }
    if schema.get("properties").is_some_and(|known| known.get("R1").is_some()) {
        return Some(&TOES);
    }
    if let Some(target) = schema.get("$ref").and_then(Json::as_str) {
        return of(root, target_of(root, target)?);
    }
    let branches = ["anyOf", "oneOf"].into_iter().filter_map(|branches| schema.get(branches)?.as_array());
    branches.flatten().find_map(|branch| of(root, branch))
}

impl Line {
    /// For the schema.
    pub(super) fn pattern(&self) -> &'static str {
        self.pattern
    }

    /// For the schema.
    pub(super) fn examples(&self) -> &'static [&'static str] {
        self.examples
    }

    /// For the schema: how it is written.
    pub(super) fn described(&self) -> String {
        let mut parts = Vec::new();
        if let Some(rest) = self.rest {
            parts.push(format!("the {rest}"));
        }
        if !self.phrases.is_empty() {
            parts.push(format!("phrases parted by commas, in any order: {}", self.says().join(", ")));
        }
        if self.toes.is_some() {
            parts.push("each toe by its name: `L1 …`".to_owned());
        }
        let pairs: Vec<String> =
            self.pairs.iter().filter_map(|pair| Some(format!("{} …/…", pair.leads.first()?))).collect();
        if let Some(first) = RIGHT_LEFT.first().filter(|_| !pairs.is_empty()) {
            parts.push(format!("both sides: `{first} {}`", pairs.join(", ")));
        }
        let sections = self.sections.iter().filter_map(|section| section.leads.first());
        parts.extend(sections.map(|lead| format!("`{lead} …`")));
        format!("In one line, parts behind a semicolon: {}.", parts.join("; "))
    }

    /// All that a phrase can be, as a message shows it.
    fn says(&self) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for phrase in self.phrases {
            match &phrase.how {
                How::Words(known) => {
                    let mut values: Vec<&str> = Vec::new();
                    for (word, value) in *known {
                        if !values.contains(value) {
                            values.push(value);
                            all.push(format!("`{word}`"));
                        }
                    }
                }
                How::Led(leads)
                | How::List(leads)
                | How::Like(_, leads)
                | How::LedLike(leads, _)
                | How::Begins(leads)
                | How::Both(leads, _) => all.extend(leads.first().map(|lead| format!("`{lead} …`"))),
                How::FromTo(_) => all.push("`9.30-10.20`".to_owned()),
                How::SaidOn(_, words) => {
                    all.extend(words.first().map(|(word, _)| format!("`{word} 24 Nov 2026`")));
                }
                How::Dated(_, words) => all.extend(words.iter().map(|word| format!("`{word} 24 Nov 2026`"))),
                How::Name => {}
                How::Address => all.push("`at …` with the postcode".to_owned()),
                How::Injected => all.push("`2.2 ml at 9.35`".to_owned()),
            }
        }
        all
    }

    /// Texts in the line may hold a semicolon.
    fn keeps_semicolons(&self) -> bool {
        self.mark == patient::LINE.mark
    }
}

/// Looks like a quantity, date or time of a type.
fn is<T: crate::units::TextValue>(text: &str) -> bool {
    T::parse(text).is_ok()
}

/// Begins with a digit.
fn is_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

/// One edge or both, by their names.
fn is_edges(text: &str) -> bool {
    let text = text.to_lowercase();
    matches!(text.as_str(), "both" | "both edges" | "both sides" | "outer" | "inner" | "tibial" | "fibular")
        || text
            .split('+')
            .flat_map(|part| part.split(" and "))
            .all(|edge| matches!(edge.trim(), "medial" | "lateral" | "medial edge" | "lateral edge"))
}

/// How much of a nail, as the trade writes it.
const NAIL: &[(&str, &str)] = &[
    ("PNA", "partial"),
    ("partial", "partial"),
    ("partial avulsion", "partial"),
    ("TNA", "total"),
    ("total", "total"),
    ("total avulsion", "total"),
    ("whole nail", "total"),
];
