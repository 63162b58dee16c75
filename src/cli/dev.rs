//! `unguis dev`, hidden: what the project's own tests, measurements and pictures need.

mod statistics;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::audit::{Letter, Row};
use crate::case::{FORMS, Form};
use crate::cli::args::{Dev, DevCommand, Listing, Reading};
use crate::cli::listing::caseload;
use crate::cli::load::{clinic_beside, day, load, press};
use crate::cli::{Error, Exit, io};
use crate::clinical::nhs_number;
use crate::diagnostic::SourceText;
use crate::documents::outcome_audit::audited;
use crate::documents::{day_list, lot_list, outstanding};
use crate::pipeline::{self, Checked, Press, Version};
use crate::register::chain::Register;
use crate::typeset::Typesetter;
use crate::words::Shown;

/// Does what the tests ask.
pub(super) fn run(args: &Dev) -> Result<Exit, Error> {
    match &args.what {
        DevCommand::NhsNumbers => nhs_numbers(),
        DevCommand::Picture { case, to, reading } => picture(case, to, reading),
        DevCommand::Times { cases, runs, reading } => times(cases, *runs, reading),
        DevCommand::Statistics => statistics::run(),
        DevCommand::Invent { dir, count, seed, year } => invent(dir, *count, *seed, *year),
        DevCommand::Lists(listing) => lists(listing),
        DevCommand::Forms => forms(),
    }
}

/// Each example of a short form in its file, for the checks from outside.
fn forms() -> Result<Exit, Error> {
    let file = |form: &Form, value: &str| form.place.replace('…', value);
    let forms: Vec<serde_json::Value> = FORMS
        .iter()
        .map(|form| {
            let examples: Vec<_> = form
                .examples
                .iter()
                .map(|(typed, full)| json!({"typed": file(form, typed), "full": file(form, full)}))
                .collect();
            let refused: Vec<_> = form.refused.iter().map(|(typed, _)| file(form, typed)).collect();
            json!({
                "name": form.name,
                "says": form.says,
                "of": if form.place.starts_with("name:") { "clinic" } else { "case" },
                "examples": examples,
                "refused": refused,
            })
        })
        .collect();
    io::print(&format!("{:#}\n", json!(forms)));
    Ok(Exit::Done)
}

fn nhs_numbers() -> Result<Exit, Error> {
    let mut answers = String::new();
    for number in io::read_standard_input()?.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let word = if nhs_number::is_valid(number) { "valid" } else { "invalid" };
        answers.push_str(&format!("{number} {word}\n"));
    }
    io::print(&answers);
    Ok(Exit::Done)
}

/// The first page of each document side by side, for README.
fn picture(case: &Path, to: &Path, reading: &Reading) -> Result<Exit, Error> {
    let checked = load(case, reading)?.checked;
    let Some(facts) = &checked.facts else { return Ok(Exit::Findings) };
    let press = press(None)?;
    let edition = checked.edition(Version::Issue { version: 1, replaces: None }, day(reading));
    let mut pages = Vec::new();
    for paper in checked.ready(&[]) {
        pages.push(press.set(paper, facts, &edition)?);
    }
    io::write_atomically(to, &crate::typeset::contact_sheet(&pages, 46))?;
    Ok(Exit::Done)
}

/// Where the time of a cold pack and of a warm document goes, step by step, in one process on one core: from
/// the bytes of the case to files that are on the disk. The files are written as `issue` writes them, into
/// a folder that is removed again.
fn times(named: &[PathBuf], runs: u32, reading: &Reading) -> Result<Exit, Error> {
    let cases = io::case_files(named)?;
    let mut lap = Lap::start();
    let press = Press::built_in();
    let templates = lap.next();
    let folder = io::scratch_folder()?;
    let mut steps = Steps::default();
    let mut documents = 0_u32;
    // The first round warms what every later case shares; it is not counted, and its first case is the cold one.
    for round in 0..=runs {
        for (at, case) in cases.iter().enumerate() {
            let Some((now, made)) = one_case(case, &press, folder.path(), reading)? else {
                return Ok(Exit::Findings);
            };
            if round == 0 && at == 0 {
                let cold = Steps { templates, ..now };
                let title = format!("{made} documents in {} passes, cold, all together", now.passes);
                io::print(&cold.table(&title, 1));
            } else if round > 0 {
                steps.add(&now);
                documents += made;
            }
        }
    }
    io::print(&steps.table(&format!("{documents} documents, warm, each"), documents));
    io::print(&format!(
        "peak memory  {} MiB\n",
        io::peak_memory_mib().map_or("not known".into(), |mib| mib.to_string())
    ));
    Ok(Exit::Done)
}

/// The times of one case and how many documents it has; `None` if it cannot be read.
fn one_case(
    path: &Path,
    press: &Press,
    folder: &Path,
    reading: &Reading,
) -> Result<Option<(Steps, u32)>, Error> {
    let text = |bytes: &[u8]| Arc::new(SourceText::new("case", String::from_utf8_lossy(bytes)));
    let case = text(&io::read_bytes(path)?);
    let clinic = text(&io::read_clinic_file(&clinic_beside(path, reading))?);
    let mut lap = Lap::start();
    let both = pipeline::read(case, &clinic);
    let read = lap.next();
    let checked = both.judged_on(day(reading));
    let edition = checked.edition(Version::Draft, day(reading));
    let Checked { facts: Some(facts), readiness, .. } = checked else { return Ok(None) };
    let judge = lap.next();
    let mut now = Steps { read, judge, ..Steps::default() };
    let mut files = Vec::new();
    for paper in readiness.iter().filter(|one| one.is_ready()).map(|one| one.paper) {
        let view = paper.view(&facts, &edition);
        now.compose += lap.next();
        let layout = press.lay_out_after(paper.document, &view, || now.render += lap.next())?;
        now.typst += lap.next();
        now.passes += layout.passes();
        let set = press.export(paper, &view, &facts, &edition, layout)?;
        now.pdf += lap.next();
        let file = folder.join(paper.file_stem());
        files.push((file.with_extension("pdf"), set.pdf));
        files.push((file.with_extension("txt"), set.text.into_bytes()));
    }
    Typesetter::evict();
    now.evict = lap.next();
    io::write_all_atomically(folder, &files)?;
    now.write = lap.next();
    let made = u32::try_from(files.len() / 2).unwrap_or(u32::MAX);
    Ok(Some((now, made)))
}

/// Times between one step and the next.
struct Lap(Instant);

impl Lap {
    fn start() -> Lap {
        Lap(io::stopwatch())
    }

    fn next(&mut self) -> Duration {
        let now = io::stopwatch();
        let passed = now - self.0;
        self.0 = now;
        passed
    }
}

#[derive(Default)]
struct Steps {
    /// Only of the cold pack: they are parsed once a run.
    templates: Duration,
    read: Duration,
    judge: Duration,
    compose: Duration,
    render: Duration,
    typst: Duration,
    pdf: Duration,
    evict: Duration,
    write: Duration,
    /// How often Typst went over the documents.
    passes: usize,
}

impl Steps {
    fn named(&self) -> [(&'static str, Duration); 9] {
        [
            ("templates", self.templates),
            ("read", self.read),
            ("judge", self.judge),
            ("compose", self.compose),
            ("render", self.render),
            ("Typst", self.typst),
            ("PDF", self.pdf),
            ("evict", self.evict),
            ("write", self.write),
        ]
    }

    fn add(&mut self, other: &Steps) {
        self.templates += other.templates;
        self.read += other.read;
        self.judge += other.judge;
        self.compose += other.compose;
        self.render += other.render;
        self.typst += other.typst;
        self.pdf += other.pdf;
        self.evict += other.evict;
        self.write += other.write;
    }

    /// Microseconds of each of so many, and the share of each step.
    fn table(&self, title: &str, count: u32) -> String {
        let total: Duration = self.named().iter().map(|(_, time)| *time).sum();
        let each = |time: Duration| time.as_micros() / u128::from(count.max(1));
        let mut text = format!("{title}\n");
        for (name, time) in self.named().into_iter().filter(|(_, time)| !time.is_zero()) {
            let permille = time.as_micros() * 1000 / total.as_micros().max(1);
            text.push_str(&format!(
                "{name:9} {:>8} µs  {:>3}.{} %\n",
                each(time),
                permille / 10,
                permille % 10
            ));
        }
        text.push_str(&format!("{:9} {:>8} µs\n", "together", each(total)));
        text
    }
}

/// How long the rows of each list take over many cases: from the files to rows that are sorted and printed
/// for a program. The pages are short, whatever the number of cases.
fn lists(listing: &Listing) -> Result<Exit, Error> {
    let today = day(&listing.cases.reading);
    let nothing = Register::default();
    let mut lap = Lap::start();
    let mut text = String::new();
    let mut line = |name: &str, read: usize, rows: usize| {
        let time = lap.next();
        text.push_str(&format!("{name:12} {read} cases  {rows:>6} rows  {:>6} ms\n", time.as_millis()));
    };
    let found = caseload(listing, today, &nothing, |one| day_list::Entry::of(one, today))?;
    line("day", found.read, day_list::rows(&found).len());
    let found = caseload(listing, today, &nothing, |one| lot_list::Row::of(one, "M4417", None))?;
    line("trace", found.read, found.rows.len());
    let found = caseload(listing, today, &nothing, outstanding::Row::of)?;
    line("outstanding", found.read, found.rows.len());
    let mut found = caseload(listing, today, &nothing, |one| Row::of(one.facts, Letter::NotKnown))?;
    let audit = audited(&mut found, None, None);
    line("audit", found.read, audit.rows.len());
    let memory = io::peak_memory_mib().map_or("not known".into(), |mib| mib.to_string());
    io::print(&format!("{text}peak memory  {memory} MiB\n"));
    Ok(Exit::Done)
}

fn invent(dir: &Path, count: u32, seed: u64, year: bool) -> Result<Exit, Error> {
    let cases = if year { crate::demo::invent_year } else { crate::demo::invent };
    io::new_folder(dir)?;
    io::write_atomically(&dir.join("clinic.yaml"), crate::demo::CLINIC.as_bytes())?;
    for (name, text) in cases(count, seed) {
        io::write_atomically(&dir.join(name), text.as_bytes())?;
    }
    io::print(&format!("{count} invented cases in {}\n", dir.shown()));
    Ok(Exit::Done)
}
