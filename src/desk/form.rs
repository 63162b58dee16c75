//! Between a form and a case file: which fields there are, what stands in them, and what an answer changes.
//!
//! Nothing is preset, nothing is guessed at: a field shows what the file says and is empty where it says
//! nothing. An emptied field takes its line out of the file.
//!
//! Names of fields begin with what they hold: `=` a typed value or a chosen word, `?` why it was not
//! recorded, `!` one of none, these and not asked, `+` what is added to a list, one a line, `#` that a list
//! of boxes was shown, and `*` a ticked box.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::shape::{self, Shape};
use crate::case::{NOT_RECORDED_KEY, folded, unfolded};
use crate::diagnostic::{Path, Segment};
use crate::edit::{self, Change, Value};

/// The word that says the same as an empty list.
const NONE: &str = "none";

/// What a form needs to show its fields.
pub(super) struct Form<'a> {
    /// The schema of the model.
    pub(super) root: &'a Json,
    /// What stands in the file.
    pub(super) values: &'a BTreeMap<Path, Value>,
    /// What was found, by path.
    pub(super) found: &'a BTreeMap<Path, Vec<Json>>,
    /// What was worked out, by path.
    pub(super) derived: &'a BTreeMap<Path, Vec<Json>>,
    /// What was typed and could not be taken, by name of the field.
    pub(super) typed: &'a BTreeMap<String, String>,
    /// Blocks that are not in the file and are asked for.
    pub(super) open: &'a [Path],
    /// The list of words to choose from, by the place and what the model says of it.
    pub(super) choices: &'a dyn Fn(&Path, &str) -> Option<&'static str>,
    /// What the record says of a time of the clock that was corrected.
    pub(super) corrected: &'a dyn Fn(&Path) -> Option<String>,
}

impl Form<'_> {
    /// The fields at a path and below, as a row of things to draw.
    pub(super) fn fields(&self, path: &Path, out: &mut Vec<Json>) {
        let Some(schema) = shape::at(self.root, path) else { return };
        self.place(path, schema, out);
    }

    fn place(&self, path: &Path, schema: &Json, out: &mut Vec<Json>) {
        let shape = Shape::of(self.root, schema);
        let now = self.values.get(path);
        if shape.is_by_toe() {
            return self.toes(path, schema, &shape, out);
        }
        match (now, &shape) {
            // What is written as a block or a list is shown as one.
            (Some(Value::Block(entries)), _)
                if entries.iter().any(|(key, _)| key == NOT_RECORDED_KEY)
                    && (shape.block.is_none() || shape.is_typed()) =>
            {
                self.typed(path, schema, &shape, out);
            }
            (Some(Value::Block(_)), Shape { block: Some(_), .. }) => self.block(path, schema, &shape, out),
            (Some(Value::List(_)), Shape { list: Some(_), .. }) => self.list(path, schema, &shape, out),
            (_, Shape { block: Some(_), list: None, .. }) if shape.words.is_empty() && !shape.is_typed() => {
                self.block(path, schema, &shape, out);
            }
            (_, Shape { block: Some(_), list: Some(_), .. }) if !shape.is_typed() => {
                self.block(path, schema, &shape, out);
            }
            (_, Shape { block: Some(_), .. }) if !shape.is_typed() => self.block(path, schema, &shape, out),
            (_, Shape { list: Some(_), text: None, .. }) => self.list(path, schema, &shape, out),
            _ => self.typed(path, schema, &shape, out),
        }
    }

    /// What is said of a block whose keys are asked for one by one, before the first of them.
    pub(super) fn heading(&self, path: &Path, out: &mut Vec<Json>) {
        let Some(schema) = shape::at(self.root, path) else { return };
        out.push(self.around(path, schema, "open"));
        out.push(json!({"kind": "close"}));
    }

    /// What every field shows around itself.
    fn around(&self, path: &Path, schema: &Json, is: &str) -> Json {
        let key = path.last_key().map(str::to_owned);
        let label = match (&key, path.segments().last()) {
            (Some(key), _) => shape::label(key),
            (None, Some(Segment::Index(at))) => {
                let of = path.parent().and_then(|list| list.last_key().map(shape::label));
                format!("{} {}", of.unwrap_or_default(), at + 1)
            }
            _ => String::new(),
        };
        json!({
            "kind": is,
            "path": path.to_string(),
            "label": label,
            "help": shape::help(self.root, schema),
            "hint": "",
            "found": self.found.get(path).cloned().unwrap_or_default(),
            "derived": self.derived.get(path).cloned().unwrap_or_default(),
            "value": "",
            "reason": "",
            "takes_gap": false,
            "choices": (self.choices)(path, &shape::help(self.root, schema)).unwrap_or_default(),
            "corrected": "",
            "options": [],
            "now": false,
            "stopwatch": false,
            "wide": false,
            "choice": "",
            "toes": [],
        })
    }

    fn shown(&self, name: &str, value: String) -> Json {
        json!(self.typed.get(name).cloned().unwrap_or(value))
    }

    /// A line to type on, or words to choose from.
    fn typed(&self, path: &Path, schema: &Json, shape: &Shape<'_>, out: &mut Vec<Json>) {
        let now = self.values.get(path);
        let value = match now {
            Some(Value::Text(text) | Value::Bare(text)) => text.clone(),
            _ => String::new(),
        };
        let is_choice = !shape.is_typed() && (shape.boolean || !shape.words.is_empty());
        let mut field = self.around(path, schema, if is_choice { "choice" } else { "text" });
        if is_choice {
            let words: Vec<(&str, &str)> = match shape.boolean {
                true => vec![("true", "Yes"), ("false", "No")],
                false => shape.words.iter().map(|word| (*word, *word)).collect(),
            };
            let options = words
                .iter()
                .map(|(word, label)| json!({"value": word, "label": label, "on": *word == value}));
            field["options"] = json!(options.collect::<Vec<_>>());
            field["choice"] =
                json!(if words.iter().any(|(word, _)| *word == value) { "" } else { "unanswered" });
        }
        field["value"] = self.shown(&format!("={path}"), value);
        field["hint"] = json!(shape.text.flatten().unwrap_or_default());
        field["takes_gap"] = json!(shape.gap);
        field["now"] = json!(takes_now(self.root, path));
        field["corrected"] = json!((self.corrected)(path).unwrap_or_default());
        // Seconds of phenol are counted on the screen; nothing of it is written until somebody types it.
        field["stopwatch"] =
            json!(shape.format == Some("time in s") && path.to_string().ends_with("phenol.each"));
        field["wide"] = json!(shape.text == Some(None) && shape.format.is_none());
        self.reason(path, &mut field);
        out.push(field);
        // A value that may also be a list of several: a second one is asked for when it is wanted.
        if shape.list.is_some_and(|item| Shape::of(self.root, item).block.is_some()) && now.is_some() {
            self.another(path, shape, 1, out);
        }
    }

    /// Why it was not recorded, where the file says so or somebody typed it.
    fn reason(&self, path: &Path, field: &mut Json) {
        let reason = match self.values.get(path) {
            Some(Value::Block(entries)) => {
                entries.iter().find(|(key, _)| key == NOT_RECORDED_KEY).and_then(|(_, why)| shown(Some(why)))
            }
            _ => None,
        };
        field["reason"] = self.shown(&format!("?{path}"), reason.unwrap_or_default().to_owned());
    }

    /// The place behind the last of several: its fields where it was asked for, else the way to ask.
    fn another(&self, path: &Path, shape: &Shape<'_>, at: usize, out: &mut Vec<Json>) {
        let Some(item) = shape.list else { return };
        let next = path.index(at);
        if self.open.contains(&next) {
            return self.place(&next, item, out);
        }
        let mut more = self.around(path, item, "more");
        more["path"] = json!(next.to_string());
        out.push(more);
    }

    /// A block with its keys; `none` beside it where the model has that word.
    fn block(&self, path: &Path, schema: &Json, shape: &Shape<'_>, out: &mut Vec<Json>) {
        let mut open = self.around(path, schema, "open");
        if !shape.words.is_empty() && shape.text.is_none() {
            self.three(path, shape, &mut open);
        }
        if shape.gap {
            open["takes_gap"] = json!(true);
            self.reason(path, &mut open);
        }
        out.push(open);
        if path.segments().len() < 8 {
            for (key, schema) in shape.keys() {
                self.place(&path.key(key), schema, out);
            }
        }
        out.push(json!({"kind": "close"}));
        // Several agents, several observations: the second is asked for when it is wanted.
        let is_one_of_many = shape.list.is_some_and(|item| Shape::of(self.root, item).block.is_some());
        if is_one_of_many && matches!(self.values.get(path), Some(Value::Block(_))) {
            self.another(path, shape, 1, out);
        }
    }

    /// None, these, or not asked.
    fn three(&self, path: &Path, shape: &Shape<'_>, field: &mut Json) {
        let now = self.values.get(path);
        let word = match now {
            Some(Value::Text(text) | Value::Bare(text)) => text.as_str(),
            // An empty list says that there are none, as the word does.
            Some(Value::List(items)) if items.is_empty() && shape.words.contains(&NONE) => NONE,
            Some(Value::List(_) | Value::Block(_)) => "these",
            _ => "",
        };
        let mut options: Vec<Json> = vec![];
        for known in &shape.words {
            options.push(json!({"value": known, "label": known, "on": *known == word}));
        }
        options.push(json!({"value": "these", "label": "These", "on": word == "these"}));
        options.push(json!({"value": "", "label": "Not asked", "on": word.is_empty()}));
        field["options"] = json!(options);
    }

    fn list(&self, path: &Path, schema: &Json, shape: &Shape<'_>, out: &mut Vec<Json>) {
        let Some(item) = shape.list else { return };
        let inside = Shape::of(self.root, item);
        let items = match self.values.get(path) {
            Some(Value::List(items)) => items.clone(),
            _ => Vec::new(),
        };
        let is_of_words = inside.text.is_none() && !inside.words.is_empty() && inside.block.is_none();
        if is_of_words && shape.words.is_empty() {
            let mut field = self.around(path, schema, "boxes");
            let words = ticked(self.values.get(path));
            let options = inside.words.iter().map(|word| {
                let on = words.contains(word);
                json!({"value": word, "label": word, "on": on})
            });
            let mut options: Vec<Json> = options.collect();
            // Seen as the owner of the foot sees it: the inner edge of a right toe lies to the left.
            let is_left = path.segments().iter().any(
                |one| matches!(one, Segment::Key(key) if shape::toe(key).is_some() && key.starts_with('L')),
            );
            if path.last_key() == Some("edges") {
                field["kind"] = json!("edges");
                if is_left {
                    options.reverse();
                }
            }
            field["options"] = json!(options);
            out.push(field);
            return;
        }
        let mut open = self.around(path, schema, "open");
        if !shape.words.is_empty() {
            self.three(path, shape, &mut open);
        }
        out.push(open);
        for at in 0..items.len() {
            self.place(&path.index(at), item, out);
        }
        if inside.text.is_some() {
            let mut field = self.around(path, schema, "add");
            field["value"] = self.shown(&format!("+{path}"), String::new());
            out.push(field);
        } else if inside.block.is_some() {
            self.another(path, shape, items.len(), out);
        }
        out.push(json!({"kind": "close"}));
    }

    /// Toes: those that the file names, and a drawing to choose another.
    fn toes(&self, path: &Path, schema: &Json, shape: &Shape<'_>, out: &mut Vec<Json>) {
        let mut open = self.around(path, schema, "toes");
        let is_there =
            |key: &str| self.values.contains_key(&path.key(key)) || self.open.contains(&path.key(key));
        // As the owner of the feet sees them: the left foot on the left, its little toe outermost.
        let order = ["L5", "L4", "L3", "L2", "L1", "R1", "R2", "R3", "R4", "R5"];
        let has_edges = |key: &str| shape::at(self.root, &path.key(key).key("edges")).is_some();
        let toes = order.iter().map(|toe| {
            let at = path.key(*toe);
            // The inner edge of a left toe lies to the right.
            let sides = if toe.starts_with('L') { ["lateral", "medial"] } else { ["medial", "lateral"] };
            let words = ticked(self.values.get(&at.key("edges")));
            let edges = sides.iter().filter(|_| has_edges(toe)).enumerate().map(|(side, edge)| {
                json!({
                    "word": edge, "on": words.contains(edge), "press": format!("{at}.edges {edge}"),
                    "side": if side == 0 { "left" } else { "right" },
                })
            });
            let edges: Vec<Json> = edges.collect();
            json!({
                "code": toe, "label": shape::label(toe), "on": is_there(toe), "path": at.to_string(),
                "edges": edges,
            })
        });
        open["toes"] = json!(toes.collect::<Vec<_>>());
        out.push(open);
        for (key, schema) in shape.keys() {
            if is_there(key) {
                self.place(&path.key(key), schema, out);
            }
        }
        out.push(json!({"kind": "close"}));
    }
}

/// A time that is taken when it happens: in the room and at a visit.
fn has_clock(path: &Path) -> bool {
    matches!(path.segments().first(), Some(Segment::Key(key)) if key == "operation" || key == "visits")
}

/// "Now" is an answer in this place.
pub(super) fn takes_now(root: &Json, path: &Path) -> bool {
    let is_time = |schema| Shape::of(root, schema).format == Some("time of day");
    has_clock(path) && shape::at(root, path).is_some_and(is_time)
}

/// The words of a list, or the one word that stands for it.
fn ticked(value: Option<&Value>) -> Vec<&str> {
    match value {
        Some(Value::List(items)) => items.iter().filter_map(|item| shown(Some(item))).collect(),
        // Both at once is a word of its own.
        Some(Value::Text(word) | Value::Bare(word)) if word == "both" => vec!["medial", "lateral"],
        value => shown(value).into_iter().collect(),
    }
}

/// The answers that a press on an edge of the drawing gives: that edge, with those that were ticked, or without
/// it if it was. `press` is the place and the word, with a blank between them.
pub(super) fn turned(text: &str, press: &str) -> Vec<(String, String)> {
    let Some((place, word)) = press.split_once(' ') else { return Vec::new() };
    let now = edit::value_at(&unfolded(text, None), &Path::from(place));
    let before = ticked(now.as_ref());
    let mut words: Vec<&str> = before.iter().copied().filter(|known| *known != word).collect();
    if !before.contains(&word) {
        words.push(word);
    }
    let marks = words.into_iter().map(|word| (format!("*{place}"), word.to_owned()));
    std::iter::once((format!("#{place}"), String::new())).chain(marks).collect()
}

/// The text made ready for an answer below a place that stands for something else: a reason why nothing was
/// recorded gives way to what was, and one of several becomes the first of a list.
fn made_room(text: &str, root: &Json, path: &Path) -> Result<String, String> {
    let mut text = text.to_owned();
    let order = |path: &Path| shape::order(root, path);
    let mut stands = edit::values(&text);
    let mut up_to = Path::root();
    for segment in path.segments() {
        let change = match (segment, stands.get(&up_to)) {
            (Segment::Key(key), Some(Value::Block(entries)))
                if key != NOT_RECORDED_KEY && entries.iter().any(|(key, _)| key == NOT_RECORDED_KEY) =>
            {
                Some((up_to.key(NOT_RECORDED_KEY), Change::Remove))
            }
            (Segment::Index(1), Some(block @ Value::Block(_))) => {
                Some((up_to.clone(), Change::Set(Value::List(vec![block.clone()]))))
            }
            (Segment::Index(1), Some(Value::Text(one) | Value::Bare(one))) => {
                // The key that may be said in short, as the model's own form of the item has it.
                let item = shape::at(root, &up_to.index(0)).map(|item| Shape::of(root, item));
                let key = item
                    .and_then(|item| item.keys().iter().map(|(key, _)| *key).find(|key| *key == "volume"));
                let key = key.ok_or_else(|| "there is no such field".to_owned())?;
                if one.contains(['+', ';']) || one.contains(" at ") {
                    return Err(
                        "several stand in this line already: write the further one behind them, after a +"
                            .to_owned(),
                    );
                }
                let first = Value::Block(vec![(key.to_owned(), Value::text(one.as_str()))]);
                Some((up_to.clone(), Change::Set(Value::List(vec![first]))))
            }
            _ => None,
        };
        if let Some((at, change)) = change {
            text = edit::apply(&text, &at, &change, &order).map_err(|problem| problem.to_string())?;
            stands = edit::values(&text);
        }
        up_to = match segment {
            Segment::Key(key) => up_to.key(key),
            Segment::Index(at) => up_to.index(*at),
        };
    }
    Ok(text)
}

/// What is wrong with one answer, at the field where it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Wrong {
    pub(super) path: String,
    pub(super) says: String,
}

/// The text of the case with the answers of a form in it: all of them, or none and what is wrong.
pub(super) fn answered(text: &str, root: &Json, form: &[(String, String)]) -> Result<String, Vec<Wrong>> {
    let order = |path: &Path| shape::order(root, path);
    // What stands in a line is answered like what stands in a block; only what changes is written as one.
    let before = edit::values(&unfolded(text, None));
    let mut stands = before.clone();
    let mut text = text.to_owned();
    let make = |text: &mut String,
                stands: &mut BTreeMap<Path, Value>,
                at: &Path,
                change: &Change|
     -> Result<(), String> {
        let ready = unfolded(text, Some(at));
        let ready = match change {
            Change::Set(_) => made_room(&ready, root, at)?,
            Change::Remove => ready.into_owned(),
        };
        *text = edit::apply(&ready, at, change, &order).map_err(|problem| problem.to_string())?;
        *stands = edit::values(&unfolded(text, None));
        Ok(())
    };
    let mut wrong = Vec::new();
    // Items of a list are taken out from its end, so that the places of the others stay.
    let mut removed: Vec<Path> = Vec::new();
    for (name, typed) in form {
        let Some(sign) = name.chars().next().filter(|sign| "=?!+#".contains(*sign)) else { continue };
        let path = Path::from(&name[1..]);
        let refuse = |says: String| Wrong { path: path.to_string(), says };
        // What the model does not know is no field of ours.
        let Some(schema) = shape::at(root, &path).filter(|_| path.to_string() == name[1..]) else {
            wrong.push(refuse("there is no such field".to_owned()));
            continue;
        };
        let shape = Shape::of(root, schema);
        let now = stands.get(&path).cloned();
        let typed = typed.replace("\r\n", "\n");
        let typed = typed.trim();
        let change = match sign {
            '=' => match changed(&shape, now.as_ref(), typed) {
                Some(Change::Remove) if matches!(path.segments().last(), Some(Segment::Index(_))) => {
                    removed.push(path);
                    continue;
                }
                change => change,
            },
            // What was recorded is not thrown away for a reason why nothing was.
            '?' if !typed.is_empty() && shape.block.is_some() && is_filled(now.as_ref()) => {
                wrong.push(refuse("something is recorded here: empty its fields first".to_owned()));
                continue;
            }
            // What the form showed and nobody touched gives way to what was typed beside it.
            '?' => gap(&shape, before.get(&path), typed),
            '!' => three(&shape, now.as_ref(), typed),
            '+' => {
                for line in typed.lines().map(str::trim).filter(|line| !line.is_empty()) {
                    // A word for nothing gives way to the first of these.
                    let now = stands.get(&path).cloned();
                    let (at, change) = match now {
                        Some(Value::List(items)) => (path.index(items.len()), Change::Set(Value::text(line))),
                        _ => (path.clone(), Change::Set(Value::List(vec![Value::text(line)]))),
                    };
                    if let Err(problem) = make(&mut text, &mut stands, &at, &change) {
                        wrong.push(refuse(problem));
                    }
                }
                continue;
            }
            _ => boxes(
                now.as_ref(),
                &form
                    .iter()
                    .filter(|(other, _)| other.strip_prefix('*') == Some(&name[1..]))
                    .map(|(_, word)| word.as_str())
                    .collect::<Vec<_>>(),
            ),
        };
        let Some(change) = change else { continue };
        if let Err(problem) = make(&mut text, &mut stands, &path, &change) {
            wrong.push(refuse(problem));
        }
    }
    for path in removed.iter().rev() {
        if let Err(problem) = make(&mut text, &mut stands, path, &Change::Remove) {
            wrong.push(Wrong { path: path.to_string(), says: problem });
        }
    }
    if wrong.is_empty() { Ok(text) } else { Err(wrong) }
}

/// The text after an answer, with what was written in a line before in a line again; and the places that stand as blocks
/// now, since no line says what stands there.
pub(super) fn in_lines_again(after: String, before: &str) -> (String, Vec<Path>) {
    let (old, new) = (edit::values(before), edit::values(&after));
    let was_line = |path: &Path| matches!(old.get(path), Some(Value::Text(_) | Value::Bare(_)));
    let is_block = |value: Option<&Value>| matches!(value, Some(Value::Block(entries)) if entries.iter().all(|(key, _)| key != NOT_RECORDED_KEY));
    let opened = new.iter().filter(|(path, value)| is_block(Some(value)) && was_line(path));
    let mut opened: Vec<Path> = opened.map(|(path, _)| path.clone()).collect();
    if opened.is_empty() {
        return (after, opened);
    }
    let lines = folded(&after, &opened).into_owned();
    // In whatever order: a line says both sides of a pair at once.
    let said = |text: &str| {
        let mut values = edit::values(&unfolded(text, None));
        values.retain(|_, value| !matches!(value, Value::Block(entries) if !entries.is_empty()));
        values
    };
    if said(&lines) != said(&after) {
        return (after, opened);
    }
    let new = edit::values(&lines);
    opened.retain(|path| is_block(new.get(path)));
    (lines, opened)
}

/// What was typed and is not what the file says: shown to whoever typed it, when nothing could be written.
pub(super) fn not_written(text: &str, form: &[(String, String)]) -> Vec<Wrong> {
    let stands = edit::values(&unfolded(text, None));
    let typed = form.iter().filter_map(|(name, typed)| {
        let path = name.strip_prefix(['=', '+', '?'])?;
        let now = shown(stands.get(&Path::from(path))).unwrap_or_default();
        let differs = !typed.trim().is_empty() && typed.trim() != now.trim();
        differs.then(|| Wrong { path: path.to_owned(), says: format!("not written: {}", typed.trim()) })
    });
    typed.collect()
}

/// A block with more in it than a reason why nothing was recorded.
fn is_filled(value: Option<&Value>) -> bool {
    match value {
        Some(Value::Block(entries)) => entries.iter().any(|(key, _)| key != NOT_RECORDED_KEY),
        Some(Value::List(items)) => !items.is_empty(),
        _ => false,
    }
}

fn shown(value: Option<&Value>) -> Option<&str> {
    match value {
        Some(Value::Text(text) | Value::Bare(text)) => Some(text),
        _ => None,
    }
}

/// A typed value; `None` if it says what the file says.
fn changed(shape: &Shape<'_>, now: Option<&Value>, typed: &str) -> Option<Change> {
    if typed == shown(now).unwrap_or_default().trim() {
        return None;
    }
    if typed.is_empty() {
        return shown(now).map(|_| Change::Remove);
    }
    let is_number = shape.number && typed.bytes().all(|byte| byte.is_ascii_digit());
    let is_yes_or_no = shape.boolean && matches!(typed, "true" | "false");
    Some(Change::Set(match is_number || is_yes_or_no {
        true => Value::Bare(typed.to_owned()),
        false => Value::text(typed),
    }))
}

/// Why something was not recorded.
fn gap(shape: &Shape<'_>, now: Option<&Value>, typed: &str) -> Option<Change> {
    let reason = match now {
        Some(Value::Block(entries)) => entries
            .iter()
            .find(|(key, _)| key == NOT_RECORDED_KEY)
            .and_then(|(_, reason)| shown(Some(reason))),
        _ => None,
    };
    if !shape.gap || typed == reason.unwrap_or_default().trim() {
        return None;
    }
    if typed.is_empty() {
        return reason.map(|_| Change::Remove);
    }
    Some(Change::Set(Value::Block(vec![(NOT_RECORDED_KEY.to_owned(), Value::text(typed))])))
}

/// None, these or not asked. Only a word is written: what "these" are is said by their own fields, and a
/// list is given up only for a word or with the last of its items.
fn three(shape: &Shape<'_>, now: Option<&Value>, typed: &str) -> Option<Change> {
    match typed {
        "these" => shown(now).map(|_| Change::Remove),
        "" => now.map(|_| Change::Remove),
        NONE if matches!(now, Some(Value::List(items)) if items.is_empty()) => None,
        word if shape.words.contains(&word) => {
            (shown(now) != Some(word)).then(|| Change::Set(Value::text(word)))
        }
        _ => None,
    }
}

fn boxes(now: Option<&Value>, ticked: &[&str]) -> Option<Change> {
    let before = self::ticked(now);
    let is_same = before.len() == ticked.len() && ticked.iter().all(|word| before.contains(word));
    match ticked {
        _ if is_same => None,
        [] => now.map(|_| Change::Remove),
        ticked => Some(Change::Set(Value::List(ticked.iter().map(|word| Value::text(*word)).collect()))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::case_schema;

    fn form(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
    }

    fn after(text: &str, pairs: &[(&str, &str)]) -> String {
        answered(text, &case_schema(), &form(pairs)).expect("taken")
    }

    /// Whether a case is written in lines or in blocks is nothing that an answer could change.
    #[test]
    fn an_answer_changes_a_line_as_it_changes_a_block() {
        let (_, lines) =
            crate::demo::CASES.iter().find(|(name, _)| *name == "routine-adult.yaml").expect("there");
        let blocks = unfolded(lines, None).into_owned();
        let fields = edit::values(&blocks);
        let schema = case_schema();
        let mut tried = 0;
        // Texts of every kind of block; a third of them, since each answer reads the case several times.
        for (path, value) in fields.iter().filter(|(_, value)| shown(Some(value)).is_some()).step_by(3) {
            for new in ["", "2026-01-02"] {
                let name = format!("={path}");
                let of = |text: &str| {
                    let done = answered(text, &schema, &form(&[(name.as_str(), new)]));
                    done.map(|text| edit::values(&unfolded(&text, None)))
                };
                assert_eq!(of(lines), of(&blocks), "{path}: {value:?} becomes {new:?}");
                tried += 1;
            }
        }
        assert!(tried > 30, "{tried}");
    }

    /// Each field of a case that is written in lines is emptied and filled in again: the file is as it was, to the
    /// byte, or it was said which line became a block.
    #[test]
    fn a_case_in_lines_stays_one_field_by_field() {
        let (_, lines) =
            crate::demo::CASES.iter().find(|(name, _)| *name == "routine-adult.yaml").expect("there");
        let lines = lines.replace("sensation: both", "# Monofilament.\nsensation: both");
        let schema = case_schema();
        let answer = |text: &str, name: &str, typed: &str| {
            answered(text, &schema, &form(&[(name, typed)])).map(|after| in_lines_again(after, text))
        };
        // What stands in it, in whatever order.
        let said = |text: &str| -> BTreeMap<Path, String> {
            let values = edit::values(&unfolded(text, None)).into_iter();
            values.filter_map(|(path, value)| Some((path, shown(Some(&value))?.to_owned()))).collect()
        };
        let is_without_line =
            |text: &str, path: &Path| path.parent().is_some_and(|line| !text.contains(&format!("\n{line}:")));
        let (mut same, mut told, mut gone) = (0, Vec::new(), Vec::new());
        for (path, value) in edit::values(&unfolded(&lines, None)) {
            let is_item = matches!(path.segments().last(), Some(Segment::Index(_)));
            let Some(typed) = shown(Some(&value)).filter(|_| !is_item && path.to_string() != "reference")
            else {
                continue;
            };
            let name = format!("={path}");
            let (without, opened) = answer(&lines, &name, "").expect("taken");
            let (again, further) = answer(&without, &name, typed).expect("taken");
            for comment in lines.lines().filter_map(|line| line.find('#').map(|at| &line[at..])) {
                assert!(without.contains(comment) && again.contains(comment), "{path}: {comment}");
            }
            if again == lines {
                same += 1;
            } else if path.segments().len() == 2 && is_without_line(&without, &path) {
                // It was all that its line said: with it the line went, and nothing tells how it was written.
                gone.push(path.to_string());
            } else {
                assert!(!opened.is_empty() || !further.is_empty(), "{path}: {without}\n{again}");
                assert_eq!(said(&again), said(&lines), "{path}");
                told.push(path.to_string());
            }
        }
        assert!(same > 40 && told.len() < 30, "{same} stay, of {told:?} it is said");
        assert_eq!(gone, ["follow_up.gp_actions"]);
    }

    #[test]
    fn what_a_line_can_say_stays_a_line_and_of_the_rest_it_is_said() {
        let answer = |text: &str| in_lines_again(after(text, &[("=patient.weight", "61 kg")]), text);
        let text = "reference: A-1\n# Seen twice.\npatient: Ann Bee, 2000-01-02, 60 kg\ngp: birchgate\n";
        assert_eq!(answer(text), (text.replace("60 kg", "61 kg"), Vec::new()));
        // A comment behind a text would cut it off.
        let text = text.replace("60 kg", "60 kg # scale 2");
        let block = "{given: Ann, family: Bee, born: 2000-01-02, weight: 61 kg} # scale 2";
        let block = text.replace("Ann Bee, 2000-01-02, 60 kg # scale 2", block);
        assert_eq!(answer(&text), (block, vec![Path::from("patient")]));
    }

    #[test]
    fn what_is_not_changed_stays_a_line_with_its_comment() {
        let text = "# Seen twice.\nreference: A-1\npatient: Ann Bee, born 2000-01-02, 60 kg # scale 2\n\
                    history: no diabetes, has asthma + eczema\nplan: L1 both, partial, phenol\n";
        assert_eq!(after(text, &[("=patient.weight", "60 kg"), ("=history.pregnant", "")]), text);
        assert_eq!(
            after(text, &[("=history.pregnant", "false")]),
            text.replace(
                "history: no diabetes, has asthma + eczema",
                "history:\n  diabetes: none\n  conditions: [asthma, eczema]\n  pregnant: false"
            )
        );
        assert_eq!(
            after(text, &[("=patient.weight", "61 kg")]),
            text.replace(
                "Ann Bee, born 2000-01-02, 60 kg #",
                "{given: Ann, family: Bee, born: 2000-01-02, weight: 61 kg} #"
            )
        );
        assert_eq!(after(text, &[("=plan.L1.nail", "total")]).lines().count(), 6);
    }

    #[test]
    fn answers_are_written_where_they_belong_and_silence_writes_nothing() {
        let text = "reference: A-1\npatient: {given: Ann}\n";
        assert_eq!(
            after(text, &[("=patient.given", "Ann"), ("=patient.title", ""), ("!history.allergies", "")]),
            text
        );
        assert_eq!(
            after(text, &[("=patient.weight", "68 kg"), ("=patient.given", "Anna")]),
            "reference: A-1\npatient: {given: Anna, weight: 68 kg}\n"
        );
        assert_eq!(
            after(text, &[("=history.smoker", "false")]),
            "reference: A-1\npatient: {given: Ann}\nhistory:\n  smoker: false\n"
        );
        assert_eq!(
            after(text, &[("?patient.weight", "no scales, \"broken\"")]),
            "reference: A-1\npatient: {given: Ann, weight: {not_recorded: \"no scales, \\\"broken\\\"\"}}\n"
        );
    }

    #[test]
    fn a_question_is_answered_in_three_ways() {
        let text = "reference: A-1\n";
        let none = after(text, &[("!history.allergies", "none known")]);
        assert_eq!(none, "reference: A-1\nhistory:\n  allergies: none known\n");
        let these = after(
            &none,
            &[("!history.allergies", "these"), ("+history.allergies", "penicillin\r\nlatex\r\n")],
        );
        assert_eq!(these, "reference: A-1\nhistory:\n  allergies: [penicillin, latex]\n");
        let fewer = after(&these, &[("=history.allergies[0]", ""), ("=history.allergies[1]", "rubber")]);
        assert_eq!(fewer, "reference: A-1\nhistory:\n  allergies: [rubber]\n");
        // An empty list is shown as none, and sent back it stays as it was written.
        let empty = "reference: A-1\nhistory:\n  conditions: []\n";
        assert_eq!(after(empty, &[("!history.conditions", "none")]), empty);
        assert_eq!(
            after(empty, &[("!history.conditions", "these"), ("+history.conditions", "asthma")]),
            "reference: A-1\nhistory:\n  conditions: [asthma]\n"
        );
        assert_eq!(after(empty, &[("!history.conditions", "")]), "reference: A-1\n");
        let not_asked = after(&fewer, &[("!history.allergies", "")]);
        assert!(!not_asked.contains("allergies") && not_asked.starts_with(text), "{not_asked}");
    }

    #[test]
    fn boxes_and_toes_are_written() {
        let text = "reference: A-1\n";
        let plan = after(
            text,
            &[("=plan.L1.nail", "partial"), ("#plan.L1.edges", ""), ("*plan.L1.edges", "lateral")],
        );
        assert_eq!(plan, "reference: A-1\nplan:\n  L1:\n    nail: partial\n    edges: [lateral]\n");
        assert_eq!(
            after(&plan, &[("#plan.L1.edges", "")]),
            "reference: A-1\nplan:\n  L1:\n    nail: partial\n"
        );
    }

    #[test]
    fn a_whole_block_can_be_said_not_to_be_recorded_and_gives_way_to_what_was() {
        let text = "reference: A-1\noperation:\n  date: 2026-11-24 # the day\n";
        let gap = after(text, &[("?operation.instruments", "the label was lost")]);
        assert_eq!(gap, format!("{text}  instruments:\n    not_recorded: the label was lost\n"));
        // The form shows the reason and sends it again.
        let form = [("?operation.instruments", "the label was lost"), ("=operation.instruments.tray", "T-1")];
        let found = after(&gap, &form);
        assert_eq!(found, format!("{text}  instruments:\n    tray: T-1\n"));
        let kept = answered(&found, &case_schema(), &self::form(&[("?operation.instruments", "lost")]));
        assert_eq!(kept.expect_err("refused")[0].path, "operation.instruments");
        assert_eq!(after(&gap, &[("?operation.instruments", "")]), text);
    }

    #[test]
    fn a_second_injection_makes_a_list_of_the_first() {
        let text =
            "reference: A-1\noperation:\n  toes:\n    L1:\n      injected: 2.2 ml\n      at: 09:35 # by RQ\n";
        let two = after(
            text,
            &[
                ("=operation.toes.L1.injected", "2.2 ml"),
                ("=operation.toes.L1.injected[1].volume", "0.6 ml"),
                ("=operation.toes.L1.injected[1].at", "10:05"),
            ],
        );
        let values = edit::values(&two);
        let at = |path: &str| match values.get(&Path::from(path)) {
            Some(Value::Text(text) | Value::Bare(text)) => text.clone(),
            other => panic!("{path}: {other:?} in {two}"),
        };
        assert_eq!(at("operation.toes.L1.injected[0].volume"), "2.2 ml");
        assert_eq!(at("operation.toes.L1.injected[1].volume"), "0.6 ml");
        assert_eq!(at("operation.toes.L1.injected[1].at"), "10:05");
        assert!(two.contains("at: 09:35 # by RQ"), "{two}");
        let agents =
            "reference: A-1\noperation:\n  anaesthetic:\n    agent: mepivacaine\n    strength: 3 %\n";
        let two = after(agents, &[("=operation.anaesthetic[1].agent", "lidocaine")]);
        let values = edit::values(&two);
        assert!(values.contains_key(&Path::from("operation.anaesthetic[0].strength")), "{two}");
        assert!(values.contains_key(&Path::from("operation.anaesthetic[1].agent")), "{two}");
    }

    #[test]
    fn an_edge_is_pressed_on_and_off() {
        let press =
            |text: &str, press: &str| answered(text, &case_schema(), &turned(text, press)).expect("taken");
        let one = press("reference: A-1\n", "plan.L1.edges lateral");
        assert_eq!(one, "reference: A-1\nplan:\n  L1:\n    edges: [lateral]\n");
        let two = press(&one, "plan.L1.edges medial");
        assert_eq!(two, "reference: A-1\nplan:\n  L1:\n    edges: [lateral, medial]\n");
        assert_eq!(
            press(&two, "plan.L1.edges lateral"),
            "reference: A-1\nplan:\n  L1:\n    edges: [medial]\n"
        );
        assert_eq!(press(&one, "plan.L1.edges lateral"), "reference: A-1\n");
        assert!(answered(&one, &case_schema(), &turned(&one, "plan.L9.edges lateral")).is_err());
    }

    /// A key that is added to the model has its field, its label and its help without a word of the desk.
    #[test]
    fn a_key_that_is_added_to_the_model_is_asked_for() {
        let mut schema = case_schema();
        schema["$defs"]["Patient"]["properties"]["shoe_size"] =
            serde_json::json!({"type": ["string", "null"], "description": "The `size` of the shoe."});
        schema["$defs"]["Patient"]["properties"]["shoe_kind"] =
            serde_json::json!({"type": "string", "enum": ["boot", "sandal"], "description": "Its kind."});
        let (values, none, typed) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
        let form = Form {
            root: &schema,
            values: &values,
            found: &none,
            derived: &none,
            typed: &typed,
            open: &[],
            choices: &|_, _| None,
            corrected: &|_| None,
        };
        let mut fields = Vec::new();
        form.fields(&Path::from("patient"), &mut fields);
        let field = |path: &str| fields.iter().find(|field| field["path"] == json!(path)).expect("asked for");
        let size = field("patient.shoe_size");
        assert_eq!((&size["label"], &size["help"]), (&json!("Shoe size"), &json!("The size of the shoe.")));
        assert_eq!(field("patient.shoe_kind")["options"][1]["value"], json!("sandal"));
        let text = "reference: A-1\n";
        let taken =
            answered(text, &schema, &super::tests::form(&[("=patient.shoe_size", "42")])).expect("taken");
        assert_eq!(taken, "reference: A-1\npatient:\n  shoe_size: \"42\"\n");
    }

    #[test]
    fn what_the_model_does_not_know_is_refused_and_nothing_is_written() {
        let refused = answered(
            "reference: A-1\n",
            &case_schema(),
            &form(&[("=patient.given", "A"), ("=patient.evil", "x")]),
        );
        assert_eq!(refused.expect_err("refused")[0].path, "patient.evil");
        for odd in ["=", "=patient..given", "=plan.L9.nail", "=visits[x].on", "=reference.x"] {
            assert!(answered("reference: A-1\n", &case_schema(), &form(&[(odd, "x")])).is_err(), "{odd}");
        }
    }
}
