//! What each screen shows: texts, lists and yes or no. Nothing is worked out here; what is known comes from
//! the case as the commands see it.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::folder::{Listed, Opened, Problem};
use super::form::{Form, Wrong};
use super::guard::Asked;
use super::html::in_query;
use super::http::Response;
use super::{BEFORE_THEY_GO, Desk, Looked, SECTIONS, Said, shape};
use crate::case::unfolded;
use crate::clinical::tables::{agents, allergens, conditions, medicines};
use crate::derive::{Shown, shown};
use crate::diagnostic::{Diagnostic, Path, Segment, Severity};
use crate::documents::outstanding::Who;
use crate::edit::{Value, values, without_empty};
use crate::facts::Facts;
use crate::hash::sha256;
use crate::register::verify::LISTS;
use crate::rules::AnsweredBy;
use crate::store::{Exit, io};

/// What a command said, for a screen.
pub(super) fn said(said: &Said) -> Json {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let word = match said.exit {
        Exit::Done => "Done",
        Exit::Findings => "Stopped by what was found",
        Exit::Failure => "Not done",
        Exit::Fault => "A fault of unguis: please report it",
    };
    // A list lies among the lists and can be opened; what is issued is opened from its case.
    let list = |line: &str| {
        let path = std::path::Path::new(line);
        let is_list = path.parent().is_some_and(|folder| folder.ends_with(LISTS)) && line.ends_with(".pdf");
        path.file_name()
            .filter(|_| is_list)
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default()
    };
    let made: Vec<Json> = said.stdout.lines().map(|line| json!({"text": line, "list": list(line)})).collect();
    json!({"word": word, "is_done": said.exit == Exit::Done, "made": made, "told": lines(&said.stderr)})
}

/// A case on the screen.
struct Sight {
    case: Opened,
    looked: Looked,
    /// Questions without an answer stand in the file, and were left out for what is worked out.
    has_questions: bool,
    /// What this was made from.
    stamp: String,
}

/// Where each derived value comes from, for the values that have one place: the first part of its name.
const COMES_FROM: &[(&str, &str)] = &[
    ("age", "patient.born"),
    ("nhs_number", "patient.nhs_number"),
    ("ideal_body_weight", "patient.height"),
    ("dosing_weight", "patient.weight"),
    ("anaesthetic_allowance", "operation.anaesthetic"),
    ("anaesthetic_dose", "operation.anaesthetic"),
    ("anaesthetic_limit", "operation.anaesthetic"),
    ("anaesthetic_share", "operation.anaesthetic"),
    ("anaesthetic_room", "operation.anaesthetic"),
    ("hba1c", "history.diabetes"),
    ("diabetes", "history.diabetes"),
    ("pregnancy", "history.pregnant"),
    ("breastfeeding", "history.breastfeeding"),
    ("smoking", "history.smoker"),
    ("frailty", "history.frail"),
    ("weak_immunity", "history.conditions"),
    ("epilepsy", "history.conditions"),
    ("abpi", "vascular"),
    ("tbpi", "vascular"),
    ("poor_circulation", "vascular"),
    ("reduced_feeling", "sensation"),
    ("foot_risk", "history.foot"),
    ("decision_maker", "consent.by"),
    ("operation_minutes", "operation.finish"),
    ("numb_from", "operation.toes"),
    ("tourniquet_minutes", "operation.toes"),
    ("phenol_seconds", "operation.toes"),
    ("next_visits", "follow_up"),
    ("stage", "closed"),
];

/// The place in the file that a derived value belongs to.
fn comes_from(name: &str) -> Option<Path> {
    let mut parts = name.split('.');
    let first = parts.next()?;
    let rest = parts.next().unwrap_or_default();
    let (_, place) = COMES_FROM.iter().find(|(known, _)| *known == first)?;
    let path = Path::from(*place);
    Some(match (first, rest) {
        ("numb_from", toe) => path.key(toe).key("at"),
        ("tourniquet_minutes", toe) => path.key(toe).key("tourniquet").key("off"),
        ("phenol_seconds", toe) => path.key(toe).key("phenol").key("each"),
        ("abpi" | "tbpi" | "poor_circulation" | "reduced_feeling", side) if !side.is_empty() => {
            path.key(side)
        }
        _ => path,
    })
}

fn value_of(shown: &Shown) -> String {
    match (&shown.value, &shown.unit, &shown.missing) {
        (Some(number), Some(unit), _) => format!("{number} {unit}"),
        (Some(number), None, _) => number.clone(),
        (None, _, missing) => format!("not known: {}", missing.as_deref().unwrap_or("no reason given")),
    }
}

impl Desk {
    /// Looks at a case. Where questions in the file have no answer yet, they are left out for what is worked
    /// out, so that the pages appear before the last question is answered.
    fn sight(&self, reference: &str) -> Result<Sight, Problem> {
        let case = self.folder.read(reference)?;
        let clinic = io::read_bytes(&self.folder.clinic()).map(|bytes| sha256(&bytes)).unwrap_or_default();
        let register =
            io::read_kept(&self.outside.out.join(crate::register::verify::REGISTER)).ok().flatten();
        let register = register.map(|bytes| sha256(&bytes)).unwrap_or_default();
        let stamp = format!("{} {clinic} {register} {}", case.hash, self.today());
        let answered = without_empty(&case.text);
        let has_questions = answered != case.text;
        let looked = (self.outside.look)(&case.path, &answered)?;
        Ok(Sight { case, looked, has_questions, stamp })
    }

    /// The screen of a case.
    pub(super) fn case(
        &self,
        base: &str,
        reference: &str,
        section: &str,
        asked: &Asked,
        wrong: &[Wrong],
        status: u16,
    ) -> Response {
        let Some((id, title, _)) = SECTIONS.iter().find(|(id, _, _)| *id == section) else {
            return Response::plain(404);
        };
        let sight = match self.sight(reference) {
            Ok(sight) => sight,
            Err(problem) => return self.trouble(base, &problem),
        };
        let checked = &sight.looked.checked;
        let here = format!("{base}/case/{reference}");
        let stands = values(&unfolded(&sight.case.text, None));
        let mut open: Vec<Path> = asked.all("open").into_iter().map(Path::from).collect();
        // What was sent and not taken is shown again, with its toe.
        open.extend(asked.form.iter().filter_map(|(name, _)| toe_of(&Path::from(name.get(1..)?))));
        let findings: Vec<Json> =
            checked.diagnostics.iter().map(|found| finding(found, &here, &stands)).collect();
        let mut at: BTreeMap<Path, Vec<Json>> = BTreeMap::new();
        for (found, shown) in checked.diagnostics.iter().zip(&findings) {
            at.entry(found.path.clone()).or_default().push(shown.clone());
        }
        for one in wrong {
            let says = json!({"weight": "not taken", "title": one.says, "says": "", "help": "", "rule": "", "href": "", "answered": ""});
            at.entry(Path::from(one.path.as_str())).or_default().push(says);
        }
        let rows: Vec<Shown> = checked.facts.as_ref().map(|facts| shown(&facts.derived)).unwrap_or_default();
        let mut derived: BTreeMap<Path, Vec<Json>> = BTreeMap::new();
        let row = |shown: &Shown| {
            json!({
                "name": shape::label(&shown.name.replace('.', " ")), "value": value_of(shown),
                "working": shown.working.clone().unwrap_or_default(), "source": shown.source.clone().unwrap_or_default(),
            })
        };
        for shown in &rows {
            if let Some(place) = comes_from(&shown.name) {
                derived.entry(place).or_default().push(row(shown));
            }
        }
        let typed: BTreeMap<String, String> =
            // Over what somebody else has written meanwhile nothing is laid that one more click would save.
            if status == 422 { asked.form.iter().cloned().collect() } else { BTreeMap::new() };
        // What was being typed when a page or the desk was closed is shown again, to whoever opens the page.
        let left = if asked.is_script { BTreeMap::new() } else { self.folder.beside(reference).typed };
        let left: BTreeMap<String, String> = left
            .into_iter()
            .filter(|(name, text)| {
                let path = Path::from(name.get(1..).unwrap_or_default());
                let stands = match stands.get(&path) {
                    Some(Value::Text(text) | Value::Bare(text)) => text.as_str(),
                    _ => "",
                };
                section_of(&path) == *id && *text != stands && !text.trim().is_empty()
            })
            .collect();
        for name in left.keys() {
            let says = json!({"weight": "not saved", "title": "this was being typed and is not in the file yet", "says": "", "help": "save it, or leave it out", "rule": "", "href": "", "answered": ""});
            at.entry(Path::from(name.get(1..).unwrap_or_default())).or_default().push(says);
        }
        let left_typed = left.len();
        let typed: BTreeMap<String, String> = left.into_iter().chain(typed).collect();
        let form = Form {
            root: &self.outside.schema,
            values: &stands,
            found: &at,
            derived: &derived,
            typed: &typed,
            open: &open,
            choices: &choices,
            corrected: &|path| super::beside::corrected(&stands, path),
        };
        let mut fields = Vec::new();
        section_fields(&form, id, &mut fields);
        let pages = self.pages.of(&self.outside.press, checked, self.today(), &sight.stamp);
        let pages: Vec<Json> = pages
            .into_iter()
            .map(|mut page| {
                page["src"] = json!(format!("{base}/page/{}.svg", page["hash"].as_str().unwrap_or_default()));
                page
            })
            .collect();
        let wrong: Vec<Json> = wrong
            .iter()
            .map(|one| json!({"says": one.says, "label": name_of(&one.path), "href": format!("#f-{}", one.path), "path": one.path}))
            .collect();
        let said = self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner).remove(reference);
        let sections: Vec<Json> = SECTIONS
            .iter()
            .map(|(other, title, _)| {
                let count = checked
                    .diagnostics
                    .iter()
                    .filter(|found| found.blocks_issue() && section_of(&found.path) == *other)
                    .count();
                json!({"id": other, "title": title, "href": format!("{here}/{other}"), "on": other == id, "open": count})
            })
            .collect();
        let open_count = checked.blocking();
        let view = json!({
            "base": base,
            "here": here,
            "action": format!("{here}/{id}"),
            "reference": reference,
            "hash": sight.case.hash,
            "who": who(checked.facts.as_ref(), &stands),
            "section": id,
            "section_title": title,
            "sections": sections,
            "fields": &fields,
            "findings": findings,
            "open_count": open_count,
            "note_count": checked.diagnostics.len() - open_count,
            "derived": rows.iter().map(row).collect::<Vec<_>>(),
            "pages": pages,
            "papers": papers(&sight.looked, &here),
            "wrong": wrong,
            "said": said.unwrap_or(json!({"word": ""})),
            "saved": asked.asks("saved").is_some(),
            "can_undo": self.folder.can_undo(reference, &sight.case.hash),
            "open": open.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "has_questions": sight.has_questions,
            "is_readable": checked.facts.is_some(),
            "left_typed": left_typed,
            // The script keeps the lists that the page came with.
            "lists": if asked.is_script { json!([]) } else { lists(&fields, &sight.looked) },
        });
        self.show(status, "case.html", &view)
    }

    /// The table of cases.
    pub(super) fn cases(&self, base: &str, asked: &Asked) -> Response {
        let listed = match self.folder.list() {
            Ok(listed) => listed,
            Err(problem) => return self.trouble(base, &problem),
        };
        let wanted = |name: &str| asked.asks(name).unwrap_or_default().trim().to_lowercase();
        let (day, stage, words) = (wanted("day"), wanted("stage"), wanted("words"));
        let mut rows = Vec::new();
        for one in &listed {
            let file =
                one.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            let same = listed.iter().filter(|other| other.reference == one.reference).count();
            let row = match &one.reference {
                Some(reference) if same > 1 => unreadable(&file, reference, &Problem::Several.to_string()),
                Some(reference) => self
                    .row(one, reference)
                    .unwrap_or_else(|problem| unreadable(&file, reference, &problem.to_string())),
                None => unreadable(&file, "", "its reference cannot be read: mend it in a text editor"),
            };
            let text = |name: &str| row[name].as_str().unwrap_or_default().to_lowercase();
            let everything =
                format!("{} {} {} {}", text("reference"), text("name"), text("nhs_number"), text("born"));
            let fits = (day.is_empty() || text("day_typed") == day)
                && (stage.is_empty() || text("stage") == stage)
                && words
                    .split_whitespace()
                    .all(|word| everything.contains(word) || everything.replace(' ', "").contains(word));
            if fits {
                rows.push(row);
            }
        }
        let stages: Vec<Json> = crate::derive::Stage::ALL
            .iter()
            .map(|known| json!({"word": known.word(), "on": known.word() == stage}))
            .collect();
        let view = json!({
            "base": base, "shown": rows.len(), "rows": rows, "all": listed.len(), "stages": stages,
            "day": asked.asks("day").unwrap_or_default(), "words": asked.asks("words").unwrap_or_default(),
            "today": self.today().to_string(),
        });
        self.show(200, "cases.html", &view)
    }

    fn row(&self, listed: &Listed, reference: &str) -> Result<Json, Problem> {
        let case = listed.read()?;
        let clinic = io::read_bytes(&self.folder.clinic()).map(|bytes| sha256(&bytes)).unwrap_or_default();
        let register =
            io::read_kept(&self.outside.out.join(crate::register::verify::REGISTER)).ok().flatten();
        let register = register.map(|bytes| sha256(&bytes)).unwrap_or_default();
        let stamp = format!("{} {clinic} {register} {}", case.hash, self.today());
        let known =
            self.rows.lock().unwrap_or_else(std::sync::PoisonError::into_inner).get(&case.path).cloned();
        if let Some((_, row)) = known.filter(|(made_from, _)| *made_from == stamp) {
            return Ok(row);
        }
        let looked = (self.outside.look)(&case.path, &without_empty(&case.text))?;
        let checked = &looked.checked;
        let stands = values(&unfolded(&case.text, None));
        let who = who(checked.facts.as_ref(), &stands);
        let facts = checked.facts.as_ref();
        let course = facts.map(|facts| &facts.derived.course);
        let day = facts.and_then(|facts| {
            facts.case.operation.as_ref().map(|operation| operation.date).or(facts
                .case
                .booked
                .as_ref()
                .map(|booked| booked.on))
        });
        let next = course.and_then(|course| course.next.as_ref());
        let gone: usize = looked.issued.iter().filter(|issued| !issued.gone.is_empty()).count();
        let row = json!({
            "reference": reference,
            "name": who["name"], "born": who["born"], "nhs_number": who["nhs_number"], "age": who["age"],
            "day": day.map(|day| day.clinical()).unwrap_or_default(),
            "day_typed": day.map(|day| day.to_string()).unwrap_or_default(),
            "stage": course.map(|course| course.stage.word()).unwrap_or("not readable yet"),
            "open": checked.blocking(),
            "made": looked.issued.len(),
            "gone": gone,
            "next": next.map(|due| format!("{} {}{}", due.on.clinical(), due.purpose, if due.is_overdue { " (overdue)" } else { "" })).unwrap_or_default(),
            "trouble": "",
        });
        self.rows
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
            .insert(case.path, (stamp, row.clone()));
        Ok(row)
    }
}

fn unreadable(file: &str, reference: &str, why: &str) -> Json {
    json!({
        "reference": reference, "name": file, "born": "", "nhs_number": "", "age": "", "day": "", "day_typed": "",
        "stage": "", "open": "", "made": "", "gone": "", "next": "", "trouble": why,
    })
}

/// Who a case is about: from its facts, else as typed.
fn who(facts: Option<&Facts>, stands: &BTreeMap<Path, Value>) -> Json {
    if let Some(facts) = facts {
        let who = Who::of(facts);
        let age = facts.derived.age.get().map(|age| age.clinical()).unwrap_or_default();
        return json!({"name": who.name, "born": who.born, "nhs_number": who.nhs_number, "age": age});
    }
    let typed = |path: &str| match stands.get(&Path::from(path)) {
        Some(Value::Text(text) | Value::Bare(text)) => text.clone(),
        _ => "not given".to_owned(),
    };
    let name = format!("{}, {}", typed("patient.family"), typed("patient.given"));
    json!({"name": name, "born": typed("patient.born"), "nhs_number": typed("patient.nhs_number"), "age": ""})
}

/// Everything that a section asks for.
fn section_fields(form: &Form<'_>, section: &str, fields: &mut Vec<Json>) {
    // The operation is asked for key by key, in two sections: what is found of the whole stands above.
    if section == "room" {
        form.heading(&Path::from("operation"), fields);
    }
    for place in places(form.root, section) {
        form.fields(&place, fields);
    }
}

/// The places that a section asks for, in the order of the model; a key that no section names is asked for in
/// the last one, and one of the operation in the room.
fn places(root: &Json, section: &str) -> Vec<Path> {
    let named: Vec<Path> = SECTIONS
        .iter()
        .find(|(id, _, _)| *id == section)
        .map(|(_, _, places)| places.iter().map(|place| Path::from(*place)).collect())
        .unwrap_or_default();
    let mut places = Vec::new();
    for place in named {
        if place == Path::from("operation") {
            let keys = shape::order(root, &place).into_iter().map(|key| place.key(key));
            places.extend(keys.filter(|path| !BEFORE_THEY_GO.contains(&path.to_string().as_str())));
        } else {
            places.push(place);
        }
    }
    if section == "close" {
        let known: Vec<&str> = SECTIONS.iter().flat_map(|(_, _, places)| places.iter().copied()).collect();
        let others =
            shape::order(root, &Path::root()).into_iter().filter(|key| !known.contains(&key.as_str()));
        places.extend(others.map(|key| Path::root().key(key)));
    }
    places
}

/// The section in which a place is asked for.
fn section_of(path: &Path) -> &'static str {
    let text = path.to_string();
    let holds = |place: &str| {
        text.strip_prefix(place).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
    };
    if BEFORE_THEY_GO.iter().any(|place| holds(place)) {
        return "leave";
    }
    let found = SECTIONS.iter().find(|(_, _, places)| places.iter().any(|place| holds(place)));
    found.map_or("close", |(id, _, _)| id)
}

/// The toe that a place belongs to, as a place of its own.
fn toe_of(path: &Path) -> Option<Path> {
    let mut up_to = Path::root();
    for segment in path.segments() {
        up_to = match segment {
            Segment::Key(key) => up_to.key(key),
            Segment::Index(at) => up_to.index(*at),
        };
        if matches!(segment, Segment::Key(key) if shape::toe(key).is_some()) {
            return Some(up_to);
        }
    }
    None
}

fn name_of(path: &str) -> String {
    let path = Path::from(path);
    path.last_key().map(shape::label).unwrap_or_default()
}

/// One finding, with where it leads.
fn finding(found: &Diagnostic, here: &str, stands: &BTreeMap<Path, Value>) -> Json {
    let section = section_of(&found.path);
    // A toe that is not in the file yet is opened by the link.
    let open = toe_of(&found.path).filter(|toe| !stands.contains_key(toe));
    let open = open.map(|toe| format!("?open={}", in_query(&toe.to_string()))).unwrap_or_default();
    let by_reason = crate::rules::rule(found.rule)
        .is_some_and(|rule| rule.answered_by == AnsweredBy::Reason || rule.severity == Severity::Caution);
    let answered =
        found.answered.as_ref().map(|answer| format!("answered by {}: {}", answer.by, answer.because));
    json!({
        "rule": found.rule,
        "weight": found.severity.word(),
        "title": found.title,
        "says": found.primary.text,
        "help": found.help.clone().unwrap_or_default(),
        "why": found.why.clone().unwrap_or_default(),
        "holds": found.held().unwrap_or_default(),
        "place": name_of(&found.path.to_string()),
        "path": found.path.to_string(),
        "href": format!("{here}/{section}{open}#f-{}", found.path),
        "answered": answered.unwrap_or_default(),
        "blocks": found.blocks_issue(),
        "takes_reason": found.blocks_issue() && by_reason && found.severity != Severity::Unreadable,
    })
}

/// What can be made, what was issued and what has gone.
fn papers(looked: &Looked, here: &str) -> Json {
    let checked = &looked.checked;
    let papers = checked.readiness.iter().map(|readiness| {
        let name = readiness.paper.name();
        let issued = looked.issued.iter().find(|issued| issued.document == name);
        let gone: Vec<String> = issued
            .into_iter()
            .flat_map(|issued| &issued.gone)
            .map(|gone| format!("{} on {}", gone.to, gone.on.clinical()))
            .collect();
        let held: std::collections::BTreeSet<&str> =
            checked.held(readiness.paper).map(|found| found.rule).collect();
        let held: Vec<&str> = held.into_iter().collect();
        json!({
            "name": name,
            "title": readiness.paper.document.title,
            "missing": readiness.missing.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
            "is_ready": readiness.is_ready(),
            "held": held.join(", "),
            "version": issued.map(|issued| issued.version),
            "issued": issued.map(|issued| issued.issued.clinical()).unwrap_or_default(),
            "href": format!("{here}/issued/{name}"),
            "gone": gone.join(", "),
        })
    });
    json!(papers.collect::<Vec<_>>())
}

/// The list of words for a place: by its key, or by what the model says of it.
fn choices(path: &Path, help: &str) -> Option<&'static str> {
    if help.contains("a key of the clinic's practitioners") {
        return Some("people");
    }
    if path.segments() == [Segment::Key("gp".to_owned())] {
        return Some("practices");
    }
    if path.last_key() == Some("agent") {
        return Some("agents");
    }
    path.segments().iter().rev().find_map(|segment| match segment {
        Segment::Key(key) => match key.as_str() {
            "medicines" | "medicine" => Some("medicines"),
            "conditions" => Some("conditions"),
            "allergies" => Some("allergens"),
            _ => None,
        },
        Segment::Index(_) => None,
    })
}

/// The lists that the fields of a screen ask for, and no others: some are long.
fn lists(fields: &[Json], looked: &Looked) -> Json {
    // Who decided, who issues, who sent it: that is asked for on every screen.
    let takes = |field: &Json, id: &str| {
        field["choices"] == id && (field["kind"] == "text" || field["kind"] == "add")
    };
    let is_asked_for = |id: &str| id == "people" || fields.iter().any(|field| takes(field, id));
    let of = |names: Vec<(&str, &str)>| {
        names.into_iter().map(|(name, holds)| json!({"name": name, "holds": holds})).collect::<Vec<_>>()
    };
    let own = |names: &[(String, String)]| of(names.iter().map(|(key, name)| (&**key, &**name)).collect());
    let mut lists = Vec::new();
    for id in ["medicines", "conditions", "allergens", "agents", "people", "practices"] {
        if !is_asked_for(id) {
            continue;
        }
        let names = match id {
            "medicines" => of(medicines().choices()),
            "conditions" => of(conditions().choices()),
            "allergens" => of(allergens().choices()),
            "agents" => of(agents().iter().map(|agent| (agent.name, "")).collect()),
            "people" => own(&looked.people),
            _ => own(&looked.practices),
        };
        lists.push(json!({"id": id, "names": names}));
    }
    json!(lists)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::case_schema;

    /// Every key of the model, whatever it is called, has a field with its label and help on some screen: so
    /// one that is added has it too.
    #[test]
    fn every_key_of_the_model_is_asked_for_on_some_screen() {
        let schema = case_schema();
        let nothing = BTreeMap::new();
        let none = BTreeMap::new();
        let typed = BTreeMap::new();
        let open = [
            "problem.toes.L1",
            "plan.L1",
            "consent.toes.L1",
            "operation.toes.L1",
            "operation.not_done.L1",
            "visits[0]",
            "visits[0].toes.L1",
            "incidents[0]",
            "incidents[0].reported[0]",
            "accepted[0]",
            "consent.consulted[0]",
            "operation.samples[0]",
            "operation.dressing_packs[0]",
        ]
        .map(Path::from);
        let form = Form {
            root: &schema,
            values: &nothing,
            found: &none,
            derived: &none,
            typed: &typed,
            open: &open,
            choices: &|_, _| None,
            corrected: &|_| None,
        };
        let mut fields = Vec::new();
        for (id, _, _) in SECTIONS {
            section_fields(&form, id, &mut fields);
        }
        let mut missing = Vec::new();
        walk(&schema, &Path::root(), &mut |path, schema_of| {
            let path = path.to_string();
            let field =
                fields.iter().find(|field| field["path"] == json!(path) && field["kind"] != json!("close"));
            match field {
                Some(field) => {
                    assert_eq!(field["help"], json!(shape::help(&schema, schema_of)), "{path}");
                    assert!(!field["label"].as_str().unwrap_or_default().is_empty(), "{path}");
                    assert!(
                        !field["help"].as_str().unwrap_or_default().is_empty() || path.contains("not_done"),
                        "{path} says nothing of itself"
                    );
                }
                None => missing.push(path),
            }
        });
        assert_eq!(missing, Vec::<String>::new());
        let named: Vec<&Json> = fields
            .iter()
            .filter(|field| field["value"].as_str().is_some_and(|value| !value.is_empty()))
            .collect();
        assert!(named.is_empty(), "nothing is preset: {named:?}");
        let chosen = |field: &&Json| {
            field["options"].as_array().is_some_and(|options| {
                options.iter().any(|option| option["on"] == json!(true) && option["value"] != json!(""))
            })
        };
        assert_eq!(fields.iter().find(chosen), None, "nothing is chosen");
    }

    /// Each place once: of the toes the one that is open, of lists their first item, and of a place that may be
    /// said in one line that line alone.
    fn walk(root: &Json, path: &Path, see: &mut impl FnMut(&Path, &Json)) {
        let Some(schema) = shape::at(root, path) else { return };
        let shape = shape::Shape::of(root, schema);
        if path.parent().is_some()
            && path.last_key().is_some()
            && shape::toe(path.last_key().unwrap_or_default()).is_none()
        {
            see(path, schema);
        }
        if shape.is_by_toe() {
            return walk(root, &path.key("L1"), see);
        }
        if !shape.is_typed() {
            if let (Some(item), None) = (shape.list, shape.block)
                && shape::Shape::of(root, item).block.is_some()
                && !shape::Shape::of(root, item).is_typed()
            {
                walk(root, &path.index(0), see);
            }
            for (key, _) in shape.keys() {
                walk(root, &path.key(key), see);
            }
        }
    }

    #[test]
    fn derived_values_stand_at_places_of_the_model() {
        let schema = case_schema();
        for (name, _) in COMES_FROM {
            for rest in ["", ".L1", ".left"] {
                let path = comes_from(&format!("{name}{rest}")).expect("a place");
                let is_of_toe = ["numb_from", "tourniquet_minutes", "phenol_seconds"].contains(name);
                if is_of_toe == (rest == ".L1") {
                    assert!(shape::at(&schema, &path).is_some(), "{name}{rest}: {path}");
                }
            }
        }
    }

    #[test]
    fn a_place_is_asked_for_in_one_section() {
        for (path, section) in [
            ("patient.weight", "who"),
            ("history.allergies[0]", "asked"),
            ("operation.toes.L1.at", "room"),
            ("operation.complications", "leave"),
            ("operation.blood_loss", "leave"),
            ("follow_up.at", "leave"),
            ("visits[0].on", "visits"),
            ("closed", "close"),
            ("something_new", "close"),
            ("operation.new", "room"),
        ] {
            assert_eq!(section_of(&Path::from(path)), section, "{path}");
        }
    }
}
