//! The desk: a case filled in, in the browser of this computer, while its pages appear beside it.
//!
//! The case file stays the record: a screen shows what stands in it, an answer changes one place of it,
//! and every command is the command line's own. The desk decides nothing, presets nothing and copies
//! nothing from one place to another. Nothing of it is reached from another computer.

mod beside;
mod folder;
mod form;
mod guard;
mod html;
mod http;
mod idle;
mod pages;
mod screens;
mod server;
mod shape;

use std::collections::BTreeMap;
use std::io::Write;
use std::net::TcpStream;
use std::path::{Path as FilePath, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use serde_json::{Value as Json, json};

use crate::case::unfolded;
use crate::date::CivilDate;
use crate::diagnostic::Path;
use crate::edit::{Change, Value, apply, values};
use crate::facts::LastVersion;
use crate::pipeline::{Checked, Press};
use crate::store::{Error, Exit, io};
use folder::{Folder, Opened, Problem};
use form::{Wrong, answered};
use guard::Asked;
use html::Html;
use http::Response;
use pages::Pages;
use server::{Answers, Live, Server};

/// What a command of the command line came to.
#[derive(Debug, Clone)]
pub struct Said {
    /// How it ended.
    pub exit: Exit,
    /// What it printed on standard output: names of files.
    pub stdout: String,
    /// What it printed on standard error: why not, and what to do.
    pub stderr: String,
}

/// A case as the commands see it.
pub struct Looked {
    /// What checking gave, with what the register adds.
    pub checked: Checked,
    /// The last version of each document that was issued.
    pub issued: Vec<LastVersion>,
    /// The clinic's people by their keys, with their names, to choose from.
    pub people: Vec<(String, String)>,
    /// The practices of its address book, likewise.
    pub practices: Vec<(String, String)>,
}

/// Runs a command as if it had been typed.
pub type Command = Box<dyn Fn(&[String]) -> Said + Send + Sync>;
/// Looks at the text of a case that lies in a file.
pub type Look = Box<dyn Fn(&FilePath, &str) -> Result<Looked, Error> + Send + Sync>;
/// Explains a rule, if there is one of that name.
pub type ExplainRule = Box<dyn Fn(&str) -> Option<String> + Send + Sync>;

/// What the desk is given from outside: the commands, and how a case is looked at.
pub struct Outside {
    /// Runs a command as if it had been typed.
    pub command: Command,
    /// Looks at the text of a case, as it lies in a file or with its unanswered questions left out.
    pub look: Look,
    /// The text of an explanation of a rule.
    pub explain: ExplainRule,
    /// The folder of the register.
    pub out: PathBuf,
    /// The day, if it is not that of the clock.
    pub today: Option<CivilDate>,
    /// Templates and fonts.
    pub press: Press,
    /// The schema of a case.
    pub schema: Json,
}

/// Opens a folder and answers until Ctrl-C.
///
/// # Errors
/// A folder that is not there, or no port.
pub fn run(dir: &FilePath, outside: Outside, opens_browser: bool) -> Result<(), Error> {
    let desk = Arc::new(Desk::new(dir, outside)?);
    let tell = |url: &str| {
        io::eprint(&format!(
            "nobody used the desk for ten minutes, so it locked itself; it goes on at\n  {url}\n"
        ));
    };
    let server = Server::open(tell, io::stopwatch)?;
    // The first page would else wait for the faces and the looks.
    let warmed = desk.clone();
    drop(
        std::thread::Builder::new()
            .stack_size(crate::typeset::STACK)
            .spawn(move || warmed.outside.press.warm_up()),
    );
    let (live, url) = (server.live.clone(), server.live.url());
    io::on_ctrl_c(move || {
        live.stop();
        // The listener waits for somebody to come: this is somebody.
        let address = live.url();
        let host = address.trim_start_matches("http://").split('/').next().unwrap_or_default();
        drop(TcpStream::connect(host));
    });
    io::print(&format!("{url}\n"));
    io::eprint("the desk is open on this computer only; Ctrl-C ends it\n");
    if opens_browser && !io::open_browser(&url) {
        io::eprint("no browser could be opened: open that address yourself\n");
    }
    server.serve(&desk);
    Ok(())
}

/// What the screens share.
struct Desk {
    folder: Folder,
    outside: Outside,
    html: Html,
    pages: Pages,
    /// The cases that are open in some window, and how often.
    windows: Arc<Windows>,
    /// Rows of the table of cases, by file, each with what it was made from.
    rows: Mutex<BTreeMap<PathBuf, (String, Json)>>,
    /// What a command said last, by case, shown once.
    said: Mutex<BTreeMap<String, Json>>,
}

/// The sections of a case in the order of the work, each with the places in the file that it asks for.
const SECTIONS: &[(&str, &str, &[&str])] = &[
    ("who", "Who", &["reference", "patient", "gp", "follows"]),
    ("asked", "Asked today", &["history"]),
    ("foot", "The foot", &["problem", "vascular", "sensation"]),
    ("plan", "Plan and consent", &["plan", "planned_anaesthetic", "booked", "consent"]),
    ("room", "In the room", &["operation"]),
    ("leave", "Before they go", BEFORE_THEY_GO),
    ("visits", "Visits", &["visits"]),
    ("close", "Close", &["closed", "incidents", "accepted", "amendment"]),
];

/// What is asked at the end of an operation; the rest of it is asked in the room.
const BEFORE_THEY_GO: &[&str] = &[
    "operation.complications",
    "operation.blood_loss",
    "operation.haemostasis",
    "operation.specimens",
    "operation.antibiotics",
    "operation.vte_prophylaxis",
    "operation.urgency",
    "operation.dressing",
    "operation.discharge",
    "operation.not_done",
    "operation.abandoned",
    "operation.late_entry",
    "operation.times_corrected",
    "operation.note",
    "follow_up",
];

impl Desk {
    fn new(dir: &FilePath, outside: Outside) -> Result<Desk, Error> {
        Ok(Desk {
            folder: Folder::open(dir)?,
            outside,
            html: Html::new(),
            pages: Pages::default(),
            windows: Arc::default(),
            rows: Mutex::default(),
            said: Mutex::default(),
        })
    }

    fn today(&self) -> CivilDate {
        self.outside.today.unwrap_or_else(io::today)
    }

    /// Shows a template, or says that it cannot be shown: then the fault is ours.
    fn show(&self, status: u16, template: &str, view: &Json) -> Response {
        match self.html.fill(template, view) {
            Ok(text) => Response::html(status, text),
            Err(_) => Response::plain(500),
        }
    }

    fn trouble(&self, base: &str, problem: &Problem) -> Response {
        let status = match problem {
            Problem::NotThere | Problem::Several => 404,
            Problem::Changed | Problem::NothingToUndo => 409,
            Problem::Refused(_) | Problem::NotText | Problem::ClinicElsewhere => 422,
            Problem::NotWritten | Problem::Store(_) => 500,
        };
        self.show(status, "trouble.html", &json!({"base": base, "says": problem.to_string()}))
    }

    fn route(&self, asked: &Asked, live: &Arc<Live>) -> Response {
        let url = live.url();
        let base = format!("/{}", url.trim_end_matches('/').rsplit('/').next().unwrap_or_default());
        let parts: Vec<&str> = asked.path.iter().map(String::as_str).collect();
        match (asked.is_post, parts.as_slice()) {
            (false, [] | [""]) => self.cases(&base, asked),
            (false, ["desk.css"]) => Response::new(200, "text/css; charset=utf-8", html::STYLE),
            (false, ["desk.js"]) => Response::new(200, "text/javascript; charset=utf-8", html::SCRIPT),
            (false, ["icon.svg"]) => Response::new(200, "image/svg+xml", html::ICON),
            (false, ["explain", rule]) => match (self.outside.explain)(rule) {
                Some(text) => {
                    self.show(200, "explain.html", &json!({"base": base, "text": text, "rule": rule}))
                }
                None => Response::plain(404),
            },
            (false, ["page", name]) => match self.pages.picture(name) {
                Some((kind, bytes)) => Response::new(200, kind, bytes),
                None => Response::plain(404),
            },
            (false, ["lists", name]) => self.listed(&base, name),
            (true, ["new"]) => self.new_case(&base, asked),
            (true, ["list", which]) => self.list(&base, which, asked),
            (false, ["case", reference]) => Response::see(format!("{base}/case/{reference}/who")),
            (false, ["case", reference, "live"]) => self.events(reference, live),
            (false, ["case", reference, "issued", rest @ ..]) => {
                self.issued(&base, reference, &rest.join("/"))
            }
            (false, ["case", reference, section]) => self.case(&base, reference, section, asked, &[], 200),
            (true, ["case", reference, section, "save"]) => self.save(&base, reference, section, asked),
            (true, ["case", reference, section, "typing"]) => self.typing(&base, reference, section, asked),
            (true, ["case", reference, section, "accept"]) => self.accept(&base, reference, section, asked),
            (true, ["case", reference, section, "undo"]) => {
                let done = self.folder.undo(reference);
                if let Ok(case) = &done {
                    // A press of the clock that was undone is no time of the clock.
                    let _ = self.folder.keep_beside(reference, |beside| {
                        if !beside.clock.is_empty() {
                            let stands = values(&unfolded(&case.text, None));
                            beside.clock.retain(|place, _| stands.contains_key(&Path::from(place.as_str())));
                        }
                    });
                }
                self.after(&base, reference, section, asked, done.map_err(Failed::Problem))
            }
            (true, ["case", reference, section, "make", what]) => {
                self.make(&base, reference, section, what, asked)
            }
            _ => Response::plain(404),
        }
    }

    /// Answers of a section, or one of them, into the file.
    fn save(&self, base: &str, reference: &str, section: &str, asked: &Asked) -> Response {
        let mut form = asked.form.clone();
        // A time of now, which the button says it is.
        let mut pressed = None;
        if let Some(path) = asked.field("now").map(str::to_owned) {
            // The clock answers when something happened in the room, and dates no signature.
            if !form::takes_now(&self.outside.schema, &Path::from(path.as_str())) {
                return Response::plain(422);
            }
            let name = format!("={path}");
            let time = io::time_of_day().clinical();
            form.retain(|(known, _)| *known != name);
            form.push((name, time.clone()));
            pressed = Some((path, time));
        }
        // What was issued stands under the reference, and so does this page.
        if asked.field("=reference").is_some_and(|typed| typed.trim() != reference) {
            let says = "the reference stays: documents are issued under it".to_owned();
            let wrong = vec![Wrong { path: "reference".to_owned(), says }];
            return self.after(base, reference, section, asked, Err(Failed::Answers(wrong)));
        }
        let mut wrong = Vec::new();
        let mut opened = Vec::new();
        let seen = asked.field("hash").unwrap_or_default();
        let mut clock = self.folder.beside(reference).clock;
        if let Some((path, time)) = &pressed {
            // The first press is what the clock gave; another one corrects it.
            clock.entry(path.clone()).or_insert_with(|| time.clone());
        }
        let done = self.folder.change(reference, seen, |text| {
            // An edge that was pressed on the drawing: ticked if it was not, and the other way round.
            if let Some(press) = asked.field("edge") {
                let pressed = form::turned(text, press);
                let place = pressed.first().map(|(name, _)| name[1..].to_owned()).unwrap_or_default();
                form.retain(|(name, _)| name.strip_prefix(['#', '*']) != Some(place.as_str()));
                form.extend(pressed);
            }
            let order = |path: &Path| shape::order(&self.outside.schema, path);
            let edited = answered(text, &self.outside.schema, &form).map_err(|found| {
                wrong = found;
                Problem::Refused(crate::edit::Refused::NoSuchPlace(String::new()))
            })?;
            let due = match clock.is_empty() {
                true => None,
                false => beside::corrections_due(&values(&unfolded(&edited, None)), &clock),
            };
            let corrected = match due {
                None => edited,
                Some((place, lines)) => {
                    let change = match lines.is_empty() {
                        true => Change::Remove,
                        false => Change::Set(Value::List(lines.into_iter().map(Value::text).collect())),
                    };
                    apply(&unfolded(&edited, Some(&place)), &place, &change, &order)?
                }
            };
            let lines;
            (lines, opened) = form::in_lines_again(corrected, text);
            Ok(lines)
        });
        if done.is_ok() {
            self.tell_opened(reference, &opened);
            // What was answered is no longer being typed; what cannot be kept beside is not worth a refusal.
            let _ = self.folder.keep_beside(reference, |beside| {
                beside.typed.retain(|name, _| !form.iter().any(|(known, _)| known == name));
                // Another window may have pressed meanwhile: only what was pressed here is added.
                if let Some((path, time)) = pressed {
                    beside.clock.entry(path).or_insert(time);
                }
            });
        }
        let done = done.map_err(|problem| match wrong.is_empty() {
            true => Failed::Problem(problem),
            false => Failed::Answers(wrong),
        });
        self.after(base, reference, section, asked, done)
    }

    /// Says which lines of the file became blocks.
    fn tell_opened(&self, reference: &str, opened: &[Path]) {
        if opened.is_empty() {
            return;
        }
        let told = opened.iter().map(|path| {
            format!(
                "`{path}` stood in one line of the file and is a block there now: a line cannot hold all of it, or \
                 the comment beside it. It says the same."
            )
        });
        let said = json!({"word": "Saved", "is_done": true, "made": [], "told": told.collect::<Vec<_>>()});
        self.said.lock().unwrap_or_else(PoisonError::into_inner).insert(reference.to_owned(), said);
    }

    /// What somebody is typing, kept beside the file until it is an answer, so that a process that ends does
    /// not take it along; or that it is not wanted.
    fn typing(&self, base: &str, reference: &str, section: &str, asked: &Asked) -> Response {
        if asked.field("forget").is_some() {
            return match self.folder.keep_beside(reference, |beside| beside.typed.clear()) {
                Ok(()) => Response::see(format!("{base}/case/{reference}/{section}")),
                Err(problem) => self.trouble(base, &problem),
            };
        }
        let (name, value) =
            (asked.field("name").unwrap_or_default(), asked.field("value").unwrap_or_default());
        let path = name.strip_prefix(['=', '?', '+']).map(Path::from);
        let is_field = path.is_some_and(|path| {
            path.to_string() == name[1..] && shape::at(&self.outside.schema, &path).is_some()
        });
        if !is_field {
            return Response::plain(422);
        }
        let kept = self.folder.keep_beside(reference, |beside| {
            beside.typed.insert(name.to_owned(), value.to_owned());
        });
        match kept {
            Ok(()) => Response::new(204, "text/plain; charset=utf-8", ""),
            Err(problem) => self.trouble(base, &problem),
        }
    }

    /// An answer to a caution: a reason and a name, both typed.
    fn accept(&self, base: &str, reference: &str, section: &str, asked: &Asked) -> Response {
        let field = |name: &str| asked.field(name).unwrap_or_default().trim().to_owned();
        let (rule, because, by) = (field("rule"), field("because"), field("by"));
        let anchor = format!("accept-{rule}");
        if because.is_empty() || by.is_empty() {
            let says = "an answer needs a reason and the name of who decided".to_owned();
            return self.after(
                base,
                reference,
                section,
                asked,
                Err(Failed::Answers(vec![Wrong { path: anchor, says }])),
            );
        }
        let done = self.folder.change(reference, &field("hash"), |text| {
            let at = Path::root().key("accepted");
            let entries = match crate::edit::value_at(text, &at) {
                Some(Value::List(entries)) => entries.len(),
                _ => 0,
            };
            let entry = [("rule", &rule), ("because", &because), ("by", &by)]
                .map(|(key, value)| (key.to_owned(), Value::text(value.as_str())));
            let order = |path: &Path| shape::order(&self.outside.schema, path);
            let text = unfolded(text, Some(&at.index(entries)));
            Ok(apply(&text, &at.index(entries), &Change::Set(Value::Block(entry.to_vec())), &order)?)
        });
        self.after(base, reference, section, asked, done.map_err(Failed::Problem))
    }

    /// The page again after a change: for the script the page itself, for a browser without one by way of
    /// another address, so that reloading sends nothing twice.
    fn after(
        &self,
        base: &str,
        reference: &str,
        section: &str,
        asked: &Asked,
        done: Result<Opened, Failed>,
    ) -> Response {
        match done {
            Ok(_) if asked.is_script => self.case(base, reference, section, asked, &[], 200),
            Ok(_) => {
                let open: String = asked
                    .form
                    .iter()
                    .filter(|(name, _)| name == "open")
                    .map(|(_, path)| format!("&open={}", html::in_query(path)))
                    .collect();
                Response::see(format!("{base}/case/{reference}/{section}?saved=yes{open}"))
            }
            Err(Failed::Answers(wrong)) => self.case(base, reference, section, asked, &wrong, 422),
            Err(Failed::Problem(
                problem @ (Problem::Changed | Problem::Refused(_) | Problem::NothingToUndo),
            )) => {
                let status = if matches!(problem, Problem::Refused(_)) { 422 } else { 409 };
                let mut wrong = vec![Wrong { path: String::new(), says: problem.to_string() }];
                if let (Problem::Changed, Ok(case)) = (&problem, self.folder.read(reference)) {
                    wrong.extend(form::not_written(&case.text, &asked.form));
                }
                self.case(base, reference, section, asked, &wrong, status)
            }
            Err(Failed::Problem(problem)) => self.trouble(base, &problem),
        }
    }

    /// A new case: the questions of the command, and nothing else.
    fn new_case(&self, base: &str, asked: &Asked) -> Response {
        let reference = asked.field("reference").unwrap_or_default().trim().to_owned();
        let clinic = self.folder.clinic().display().to_string();
        let to = self.folder.dir().join(format!("{reference}.yaml")).display().to_string();
        let is_one = crate::units::TextValue::parse(&reference).map(|_: crate::case::Reference| ());
        if let Err(why) = is_one {
            return self.said(
                base,
                "New case",
                &Said { exit: Exit::Failure, stdout: String::new(), stderr: why },
            );
        }
        let said = self.command(&["new", &reference, &format!("--clinic={clinic}"), &format!("--to={to}")]);
        match said.exit {
            Exit::Done => Response::see(format!("{base}/case/{reference}/who")),
            _ => self.said(base, "New case", &said),
        }
    }

    fn command(&self, words: &[&str]) -> Said {
        let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
        (self.outside.command)(&words)
    }

    /// Lists of the folder, as the commands make them.
    fn list(&self, base: &str, which: &str, asked: &Asked) -> Response {
        let dir = self.folder.dir().display().to_string();
        let out = format!("--out={}", self.outside.out.display());
        let mut words = match which {
            "day" => {
                let typed = asked.field("date").unwrap_or_default().trim();
                match <CivilDate as crate::units::TextValue>::parse(typed) {
                    Ok(date) => vec!["day".to_owned(), date.to_string(), dir],
                    Err(stderr) => {
                        let said = Said { exit: Exit::Failure, stdout: String::new(), stderr };
                        return self.said(base, "List", &said);
                    }
                }
            }
            "outstanding" => vec!["outstanding".to_owned(), dir],
            "print" => vec!["print".to_owned(), "--letters".to_owned(), dir],
            "gone" => {
                let mut words = vec!["sent".to_owned(), "--printed".to_owned()];
                for name in ["by", "how"] {
                    let typed = asked.field(name).unwrap_or_default().trim();
                    if !typed.is_empty() {
                        words.push(format!("--{name}={typed}"));
                    }
                }
                words
            }
            _ => return Response::plain(404),
        };
        words.push(out);
        self.dated(&mut words);
        let said = (self.outside.command)(&words);
        self.said(base, "List", &said)
    }

    fn dated(&self, words: &mut Vec<String>) {
        if let Some(today) = self.outside.today {
            words.push(format!("--today={today}"));
        }
    }

    fn said(&self, base: &str, title: &str, said: &Said) -> Response {
        let view = json!({"base": base, "title": title, "said": screens::said(said)});
        self.show(if said.exit == Exit::Done { 200 } else { 422 }, "said.html", &view)
    }

    /// Draft, issue and sent, by the commands' own code.
    fn make(&self, base: &str, reference: &str, section: &str, what: &str, asked: &Asked) -> Response {
        let case = match self.folder.read(reference) {
            Ok(case) => case,
            Err(problem) => return self.trouble(base, &problem),
        };
        let field = |name: &str| asked.field(name).map(str::trim).filter(|text| !text.is_empty());
        let file = case.path.display().to_string();
        let mut words: Vec<String> = match what {
            "draft" => vec!["draft".into(), file],
            "issue" => vec!["issue".into(), file],
            "sweep" => {
                let seen = asked.field("hash").unwrap_or_default();
                let done = self.folder.change(reference, seen, |text| Ok(crate::edit::without_empty(text)));
                return self.after(base, reference, section, asked, done.map_err(Failed::Problem));
            }
            "sent" => {
                // A name of a document, and nothing that a command would take for an option.
                let is_name = |name: &&str| {
                    name.starts_with(|c: char| c.is_ascii_lowercase())
                        && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-/".contains(&byte))
                };
                let Some(document) = field("document").filter(is_name) else { return Response::plain(400) };
                vec!["sent".into(), reference.into(), document.into()]
            }
            _ => return Response::plain(404),
        };
        for (name, option) in [("because", "because"), ("by", "by"), ("only", "only"), ("to", "to")] {
            let takes = match what {
                "issue" => ["because", "by", "only"].contains(&name),
                "sent" => ["by", "to"].contains(&name),
                _ => false,
            };
            if let Some(value) = field(name).filter(|_| takes) {
                words.push(format!("--{option}={value}"));
            }
        }
        words.push(format!("--out={}", self.outside.out.display()));
        self.dated(&mut words);
        // What was looked at is what is issued.
        if what == "issue" && asked.field("hash") != Some(case.hash.as_str()) {
            return self.after(base, reference, section, asked, Err(Failed::Problem(Problem::Changed)));
        }
        let said = screens::said(&(self.outside.command)(&words));
        self.said.lock().unwrap_or_else(PoisonError::into_inner).insert(reference.to_owned(), said);
        Response::see(format!("{base}/case/{reference}/{section}"))
    }

    /// A list that lies among the lists.
    fn listed(&self, base: &str, name: &str) -> Response {
        let folder = self.outside.out.join(crate::register::verify::LISTS);
        let file = io::files_in(&folder).ok().and_then(|files| {
            let is_it = |file: &PathBuf| file.file_name().is_some_and(|own| own == name);
            files
                .into_iter()
                .filter(|file| file.extension().is_some_and(|ending| ending == "pdf"))
                .find(is_it)
        });
        match file.map(|file| io::read_kept(&file)) {
            Some(Ok(Some(pdf))) => Response::new(200, "application/pdf", pdf),
            Some(Err(problem)) => self.trouble(base, &Problem::Store(problem)),
            Some(Ok(None)) | None => Response::plain(404),
        }
    }

    /// An issued document, as it was issued.
    fn issued(&self, base: &str, reference: &str, document: &str) -> Response {
        let looked =
            self.folder.read(reference).and_then(|case| Ok((self.outside.look)(&case.path, &case.text)?));
        let looked = match looked {
            Ok(looked) => looked,
            Err(problem) => return self.trouble(base, &problem),
        };
        let Some(issued) = looked.issued.iter().find(|issued| issued.document == document) else {
            return Response::plain(404);
        };
        match io::read_kept(&self.outside.out.join(&issued.file)) {
            Ok(Some(pdf)) => Response::new(200, "application/pdf", pdf),
            Ok(None) => Response::plain(404),
            Err(problem) => self.trouble(base, &Problem::Store(problem)),
        }
    }

    /// Tells a window when its case was changed, by whomever, and which other cases are open.
    fn events(&self, reference: &str, live: &Arc<Live>) -> Response {
        let Some(place) = live.stream() else { return Response::plain(503) };
        let Ok(case) = self.folder.read(reference) else { return Response::plain(404) };
        let mut response = Response::new(200, "text/event-stream; charset=utf-8", "retry: 1000\n\n");
        let (live, reference) = (live.clone(), reference.to_owned());
        let (path, clinic) = (case.path, self.folder.clinic());
        let windows = Window::open(&self.windows, &reference);
        response.events = Some(Box::new(move |stream| {
            let _place = place;
            let began_at = live.url();
            let mut told = (String::new(), String::new());
            let mut beats = 0u32;
            while live.goes_on(&began_at) {
                let hash_of = |path: &FilePath| io::read_bytes(path).map(|bytes| crate::hash::sha256(&bytes));
                let now = format!(
                    "{} {}",
                    hash_of(&path).unwrap_or_default(),
                    hash_of(&clinic).unwrap_or_default()
                );
                let others = windows.others();
                let mut events = String::new();
                if now != told.0 {
                    events.push_str(&format!("event: case\ndata: {now}\n\n"));
                }
                if others != told.1 {
                    events.push_str(&format!("event: others\ndata: {others}\n\n"));
                }
                beats += 1;
                if events.is_empty() && beats.is_multiple_of(20) {
                    events.push_str(": here\n\n");
                }
                told = (now, others);
                if stream.write_all(events.as_bytes()).is_err() {
                    return;
                }
                std::thread::sleep(LOOKS_EVERY);
            }
            let _ = stream.write_all(b"event: locked\ndata: locked\n\n");
        }));
        response
    }
}

/// The cases that are open in some window, each with how many.
#[derive(Default)]
struct Windows(Mutex<BTreeMap<String, usize>>);

/// A window on a case; it counts until it is dropped.
struct Window {
    windows: Arc<Windows>,
    reference: String,
}

impl Window {
    fn open(windows: &Arc<Windows>, reference: &str) -> Window {
        let mut open = windows.0.lock().unwrap_or_else(PoisonError::into_inner);
        *open.entry(reference.to_owned()).or_default() += 1;
        Window { windows: windows.clone(), reference: reference.to_owned() }
    }

    /// The other cases that are open, by reference.
    fn others(&self) -> String {
        let open = self.windows.0.lock().unwrap_or_else(PoisonError::into_inner);
        let others: Vec<&str> =
            open.keys().map(String::as_str).filter(|one| *one != self.reference).collect();
        others.join(", ")
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        let mut open = self.windows.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.reference) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.reference);
            }
        }
    }
}

/// How often a file is looked at for changes by others.
const LOOKS_EVERY: Duration = Duration::from_millis(250);

enum Failed {
    Problem(Problem),
    Answers(Vec<Wrong>),
}

impl Answers for Desk {
    fn answer(&self, asked: &Asked, live: &Arc<Live>) -> Response {
        self.route(asked, live)
    }
}
