//! Issuing safely: the order in which files and register lines reach the disk.
//!
//! Whoever issues holds the lock of the register for the whole run. For each case every document
//! is made in memory first; then the files are written, synced and renamed; only then their lines
//! are appended, all in one call. So whatever the moment at which the process or the power ends,
//! each line in the register names whole files, and what is missing is made by the next run.
//! Nothing here knows Typst or a case; the documents come from a closure.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::cli::{Error, io};
use crate::date::CivilDate;
use crate::documents::{ChangedPhrase, Replaces};
use crate::register::chain::{Kind, Problem, Register};
use crate::register::compare;
use crate::register::end::{self, END};
use crate::register::entry::{Event, Issued, Sent};
use crate::register::verify::{CUT_LINES, LOCK, REGISTER, SET_ASIDE, is_trace_of_issue};
use crate::register::versions::{Next, next};

/// Rows in the table of changes of an amended document.
const TABLE_ROWS: usize = 6;

/// An open register, locked against every other run.
#[derive(Debug)]
pub(super) struct Ledger {
    out: PathBuf,
    state: Mutex<State>,
    /// Held while lines go to the disk, so that they get there in their order and nobody who only
    /// looks into the state has to wait for the disk.
    appending: Mutex<()>,
    _lock: io::Lock,
}

#[derive(Debug)]
struct State {
    register: Register,
    /// References of this run with the case that bears each.
    claimed: BTreeMap<String, PathBuf>,
    /// A write failed and the register could not be read again: nothing more is numbered.
    is_lost: bool,
}

/// What a document says of itself: version, date and what it replaces.
#[derive(Debug, Clone)]
pub(super) struct Numbered {
    /// From 1.
    pub(super) version: u32,
    /// The date of issue.
    pub(super) made_on: CivilDate,
    /// What it replaces.
    pub(super) replaces: Option<Replaces>,
}

/// A document as made.
#[derive(Debug, Clone)]
pub(super) struct Made {
    /// The PDF.
    pub(super) pdf: Vec<u8>,
    /// Its words.
    pub(super) text: String,
}

/// One case to issue.
#[derive(Debug, Clone, Copy)]
pub(super) struct Batch<'a> {
    /// The case file.
    pub(super) case: &'a Path,
    /// Its reference.
    pub(super) reference: &'a str,
    /// The documents to issue.
    pub(super) documents: &'a [&'static str],
    /// Hash of the case file.
    pub(super) case_sha256: &'a str,
    /// Hash of the clinic file.
    pub(super) clinic_sha256: &'a str,
    /// Hash of the templates.
    pub(super) templates_sha256: &'a str,
    /// Who issues.
    pub(super) by: &'a str,
    /// Why documents are issued again, as said for this run.
    pub(super) because: Option<&'a str>,
    /// Why documents are issued again, as the case file says. It stays there, so it does not count
    /// for a document whose last version already gave it.
    pub(super) amendment: Option<&'a str>,
    /// The date of issue.
    pub(super) today: CivilDate,
}

impl<'a> Batch<'a> {
    /// The reason that counts for a document after its last version.
    fn because_after(&self, latest: Option<&Issued>) -> Option<&'a str> {
        let given_before = latest.and_then(|latest| latest.because.as_deref());
        let new = self.amendment.map(str::trim).filter(|amendment| Some(*amendment) != given_before);
        self.because.map(str::trim).filter(|because| !because.is_empty()).or(new)
    }
}

/// What became of a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fate {
    /// Each document is issued, or unchanged.
    Done(Vec<DocumentFate>),
    /// These have other words than their last version, and nobody said why: nothing was issued.
    ReasonWanted(Vec<Latest>),
}

/// What became of one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum DocumentFate {
    /// A new version lies in the file.
    Issued {
        /// The PDF.
        file: PathBuf,
        /// The version that it replaces, and where that one has gone.
        replaces: Option<(Latest, Vec<Sent>)>,
    },
    /// The words are those of the last version.
    Unchanged(Latest),
}

/// The last version of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Latest {
    /// The document.
    pub(super) document: String,
    /// Its version.
    pub(super) version: u32,
    /// Its date of issue.
    pub(super) date: CivilDate,
}

impl From<&Issued> for Latest {
    fn from(issued: &Issued) -> Latest {
        Latest { document: issued.document.clone(), version: issued.version, date: issued.date }
    }
}

/// The documents of a case, made and not yet written.
#[derive(Debug, Default)]
pub(super) struct Prepared {
    unchanged: Vec<Latest>,
    unexplained: Vec<Latest>,
    ready: Vec<Ready>,
}

/// A document that is to be written.
#[derive(Debug)]
struct Ready {
    entry: Issued,
    made: Made,
    replaces: Option<(Latest, Vec<Sent>)>,
}

impl Ledger {
    /// Locks and reads the register of a folder, and mends what an earlier run left half done.
    /// Returns what was mended, to be told.
    ///
    /// # Errors
    /// A folder that cannot be written, or a register that is damaged or has gone.
    pub(super) fn open(out: &Path) -> Result<(Ledger, Vec<String>), Error> {
        io::create_folder(out)?;
        let lock = io::lock(&out.join(LOCK), || {
            io::eprint(&format!("waiting for another run that issues into `{}`\n", out.display()));
        })?;
        let file = out.join(REGISTER);
        if io::read_if_there(&file)?.is_none() {
            begin_register(out)?;
        }
        let mut told = Vec::new();
        let register = read_and_mend(out, &mut told)?;
        let removed = io::remove_leftovers(out)?;
        if removed > 0 {
            told.push(format!("removed temporary files of a run that was cut short: {removed}"));
        }
        mark_end(out, &register)?;
        let state = Mutex::new(State { register, claimed: BTreeMap::new(), is_lost: false });
        Ok((Ledger { out: out.to_owned(), state, appending: Mutex::new(()), _lock: lock }, told))
    }

    /// Marks the end of the register as far as this run has come. A run that is cut short before
    /// leaves an earlier mark, which the next run moves.
    ///
    /// # Errors
    /// A mark that cannot be written.
    pub(super) fn close(self) -> Result<(), Error> {
        let state = self.state();
        if state.is_lost { Ok(()) } else { mark_end(&self.out, &state.register) }
    }

    /// Makes the documents of a case in memory: those whose words have changed, and those that are
    /// new. Nothing is written yet.
    ///
    /// # Errors
    /// A document that cannot be made, or a kept text that cannot be read.
    pub(super) fn prepare(
        &self,
        batch: &Batch<'_>,
        make: impl Fn(&'static str, &Numbered) -> Result<Made, Error>,
    ) -> Result<Prepared, Error> {
        self.claim(batch)?;
        let mut prepared = Prepared::default();
        for document in batch.documents.iter().copied() {
            let latest = self.state().register.latest(batch.reference, document).cloned();
            let mut changed = Vec::new();
            if let Some(latest) = &latest {
                let now = make(document, &self.as_issued(latest))?.text;
                changed = changes_since(&self.out, latest, &now)?;
            }
            let because = batch.because_after(latest.as_ref());
            match next(latest.as_ref(), changed.is_empty(), because) {
                Next::Unchanged => prepared.unchanged.extend(latest.iter().map(Latest::from)),
                Next::ReasonWanted => prepared.unexplained.extend(latest.iter().map(Latest::from)),
                Next::Version(version) => {
                    let replaced = latest.as_ref().zip(because);
                    prepared.ready.push(self.made(batch, (document, version), replaced, &changed, &make)?);
                }
            }
        }
        Ok(prepared)
    }

    /// Writes what was prepared. Either every line of the case is entered or none.
    ///
    /// # Errors
    /// A file that cannot be read or written.
    pub(super) fn finish(&self, prepared: Prepared) -> Result<Fate, Error> {
        let Prepared { unchanged, unexplained, ready } = prepared;
        if !unexplained.is_empty() {
            return Ok(Fate::ReasonWanted(unexplained));
        }
        if !ready.is_empty() {
            self.write(&ready)?;
        }
        let unchanged = unchanged.into_iter().map(DocumentFate::Unchanged);
        let issued = ready.into_iter().map(|ready| DocumentFate::Issued {
            file: self.out.join(&ready.entry.file),
            replaces: ready.replaces,
        });
        Ok(Fate::Done(unchanged.chain(issued).collect()))
    }

    /// Two threads must not number the same document, and one reference is one patient's case.
    fn claim(&self, batch: &Batch<'_>) -> Result<(), Error> {
        let mut state = self.state();
        if state.is_lost {
            return Err(Error::Register {
                path: self.out.join(REGISTER),
                what: "it could not be read again after a failed write".to_owned(),
            });
        }
        match state.claimed.get(batch.reference) {
            Some(first) => Err(Error::SameReference {
                reference: batch.reference.to_owned(),
                first: first.clone(),
                second: batch.case.to_owned(),
            }),
            None => {
                state.claimed.insert(batch.reference.to_owned(), batch.case.to_owned());
                Ok(())
            }
        }
    }

    /// How an issued version described itself, without its table of changes.
    fn as_issued(&self, issued: &Issued) -> Numbered {
        as_issued(&self.state().register, issued)
    }

    fn made(
        &self,
        batch: &Batch<'_>,
        (document, version): (&'static str, u32),
        replaced: Option<(&Issued, &str)>,
        changed: &[compare::Change],
        make: &impl Fn(&'static str, &Numbered) -> Result<Made, Error>,
    ) -> Result<Ready, Error> {
        if let Some((latest, _)) = replaced.filter(|(latest, _)| latest.date > batch.today) {
            let (issued, today) = (latest.date.clinical(), batch.today.clinical());
            return Err(Error::Usage(format!(
                "version {} of {document} was issued on {issued}, after {today}: check `--today`",
                latest.version
            )));
        }
        let replaces = replaced.map(|(latest, because)| Replaces {
            version: latest.version,
            issued_on: latest.date,
            because: because.to_owned(),
            changes: Vec::new(),
        });
        let mut numbered = Numbered { version, made_on: batch.today, replaces };
        let mut made = make(document, &numbered)?;
        if let Some(replaces) = &mut numbered.replaces {
            let rows = compare::table(changed, TABLE_ROWS).into_iter();
            replaces.changes = rows.map(|row| ChangedPhrase { was: row.was, is: row.is }).collect();
            // The kept text is without the table, so that the next comparison is of the document's
            // own words.
            made.pdf = make(document, &numbered)?.pdf;
        }
        let entry = Issued {
            reference: batch.reference.to_owned(),
            document: document.to_owned(),
            version,
            date: batch.today,
            time: io::now(),
            by: batch.by.to_owned(),
            because: replaced.map(|(_, because)| because.to_owned()),
            case_sha256: batch.case_sha256.to_owned(),
            clinic_sha256: batch.clinic_sha256.to_owned(),
            templates_sha256: batch.templates_sha256.to_owned(),
            file: Issued::file_name(batch.reference, document, version),
            pdf_sha256: io::sha256(&made.pdf),
            pdf_bytes: made.pdf.len() as u64,
            text_sha256: io::sha256(made.text.as_bytes()),
            text_bytes: made.text.len() as u64,
            tool: concat!("unguis ", env!("CARGO_PKG_VERSION")).to_owned(),
        };
        let replaces = replaced.map(|(latest, _)| {
            let sent = self.sent(batch.reference, document, latest.version);
            (Latest::from(latest), sent)
        });
        Ok(Ready { entry, made, replaces })
    }

    /// Files first, their folder, then their lines.
    fn write(&self, ready: &[Ready]) -> Result<(), Error> {
        let mut files = Vec::new();
        for Ready { entry, made, .. } in ready {
            files.push((self.out.join(&entry.file), made.pdf.as_slice()));
            files.push((self.out.join(entry.text_file()), made.text.as_bytes()));
        }
        if let Some(Ready { entry, .. }) = ready.first() {
            let folder = self.out.join(&entry.reference);
            // Not its parents too: a folder of documents that has vanished is not begun anew midway.
            io::create_subfolder(&folder)?;
            files.iter().try_for_each(|(path, bytes)| set_aside(path, bytes))?;
            io::write_all_for_issue(&folder, &files)?;
        }
        let entered = self.enter(ready.iter().map(|ready| Event::Issued(ready.entry.clone())));
        if entered.is_err() {
            self.withdraw(ready);
        }
        entered
    }

    /// Takes away the files of lines that could not be entered, lest somebody take them for issued.
    /// Whether a line is in the register is judged by the register on the disk.
    fn withdraw(&self, ready: &[Ready]) {
        let state = self.state();
        if state.is_lost && !matches!(io::read_if_there(&self.out.join(REGISTER)), Ok(None)) {
            return;
        }
        for Ready { entry, .. } in ready {
            let entered = state.register.version(&entry.reference, &entry.document, entry.version);
            if state.is_lost || entered.is_none() {
                // What cannot be removed is reported by `unguis verify`.
                let _ = io::remove(&self.out.join(&entry.file));
                let _ = io::remove(&self.out.join(entry.text_file()));
            }
        }
    }

    /// Appends lines in one call. If that fails, the register in memory is read anew from the disk,
    /// so that both agree again.
    fn enter(&self, events: impl Iterator<Item = Event>) -> Result<(), Error> {
        let _in_turn = self.appending.lock().unwrap_or_else(PoisonError::into_inner);
        let lines: String = {
            let mut state = self.state();
            events.map(|event| state.register.append(event)).collect()
        };
        let Err(problem) = io::append_line(&self.out.join(REGISTER), &lines) else { return Ok(()) };
        let mut state = self.state();
        match read_and_mend(&self.out, &mut Vec::new()) {
            Ok(register) => state.register = register,
            Err(_) => state.is_lost = true,
        }
        Err(problem)
    }

    /// Enters that the last version of a document has gone to somebody; returns that version.
    ///
    /// # Errors
    /// A document that was never issued, or a register that cannot be written.
    pub(super) fn enter_sent(
        &self,
        reference: &str,
        document: &str,
        to: &str,
        on: CivilDate,
        by: Option<&str>,
    ) -> Result<Latest, Error> {
        let Some(latest) = self.state().register.latest(reference, document).map(Latest::from) else {
            return Err(Error::Usage(format!("no {document} of {reference} was ever issued")));
        };
        if on < latest.date {
            let (sent, issued) = (on.clinical(), latest.date.clinical());
            return Err(Error::Usage(format!(
                "version {} of {document} was issued on {issued}: it cannot have gone on {sent}",
                latest.version
            )));
        }
        let event = Event::Sent(Sent {
            reference: reference.to_owned(),
            document: document.to_owned(),
            version: latest.version,
            to: to.to_owned(),
            date: on,
            time: io::now(),
            by: by.map(str::to_owned),
        });
        self.enter(std::iter::once(event))?;
        Ok(latest)
    }

    fn sent(&self, reference: &str, document: &str, version: u32) -> Vec<Sent> {
        self.state().register.sent(reference, document, version).into_iter().cloned().collect()
    }

    /// A thread that broke cannot have left the state half changed: it is changed in one step.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A file of that name can only be left from a run that was cut short, since the register does not
/// know it; one that differs is kept under another name all the same.
fn set_aside(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let Some(found) = io::read_if_there(path)? else { return Ok(()) };
    let found = io::sha256(&found);
    if found == io::sha256(bytes) {
        return Ok(());
    }
    io::rename(path, &PathBuf::from(format!("{}{SET_ASIDE}{}", path.display(), &found[..8])))
}

/// How an issued version described itself, without its table of changes.
pub(super) fn as_issued(register: &Register, issued: &Issued) -> Numbered {
    let before = issued.version.checked_sub(1);
    let before = before.and_then(|before| register.version(&issued.reference, &issued.document, before));
    Numbered {
        version: issued.version,
        made_on: issued.date,
        replaces: before.map(|before| Replaces {
            version: before.version,
            issued_on: before.date,
            because: issued.because.clone().unwrap_or_default(),
            changes: Vec::new(),
        }),
    }
}

/// The changes of words from an issued version to the same document made now.
///
/// # Errors
/// A kept text that cannot be read or is not the one that was issued.
pub(super) fn changes_since(out: &Path, issued: &Issued, now: &str) -> Result<Vec<compare::Change>, Error> {
    if io::sha256(now.as_bytes()) == issued.text_sha256 {
        return Ok(Vec::new());
    }
    let path = out.join(issued.text_file());
    let kept = io::read_if_there(&path)?.unwrap_or_default();
    match String::from_utf8(kept) {
        Ok(kept) if io::sha256(kept.as_bytes()) == issued.text_sha256 => Ok(compare::changes(&kept, now)),
        _ => Err(Error::Twin(path)),
    }
}

/// A register as read, together with the lock that keeps it from changing meanwhile.
#[derive(Debug)]
pub(super) struct Reading {
    /// What could be read.
    pub(super) register: Register,
    /// What is wrong in it.
    pub(super) problems: Vec<Problem>,
    _lock: Option<io::Lock>,
}

/// The register of a folder for those who only read, with what is wrong in it; `None` if there is
/// none.
///
/// # Errors
/// A register that cannot be read or locked.
pub(super) fn read(out: &Path) -> Result<Option<Reading>, Error> {
    let lock = io::lock_to_read(&out.join(LOCK))?;
    let bytes = io::read_if_there(&out.join(REGISTER))?;
    let mark = io::read_if_there(&out.join(END))?;
    Ok(bytes.map(|bytes| {
        let (register, problems) = end::read(&bytes, mark.as_deref());
        Reading { register, problems, _lock: lock }
    }))
}

/// An empty register, before the first document is written: so documents beside which there is no
/// register at all always mean that it was lost, and their versions are not counted anew.
fn begin_register(out: &Path) -> Result<(), Error> {
    let path = out.join(REGISTER);
    if io::list(out)?.iter().any(|found| is_trace_of_issue(&found.path)) {
        let what = "it is missing, although something was issued here".to_owned();
        return Err(Error::Register { path, what });
    }
    io::write_all_for_issue(out, &[(path, b"")])?;
    mark_end(out, &Register::default())
}

/// Writes down how far the register has come, after its lines are on the disk; nothing if that is
/// written there already.
fn mark_end(out: &Path, register: &Register) -> Result<(), Error> {
    let (path, mark) = (out.join(END), register.end().text());
    if io::read_if_there(&path)?.is_some_and(|found| found == mark.as_bytes()) {
        return Ok(());
    }
    io::write_all_for_issue(out, &[(path, mark.as_bytes())])
}

/// Reads the register under the lock; a last line that was cut short is completed if all of it is
/// there but the line end, and otherwise moved to a file of its own.
fn read_and_mend(out: &Path, told: &mut Vec<String>) -> Result<Register, Error> {
    let path = out.join(REGISTER);
    let bytes = io::read_if_there(&path)?.ok_or_else(|| Error::Register {
        path: path.clone(),
        what: "it has gone while documents were issued".to_owned(),
    })?;
    let mark = io::read_if_there(&out.join(END))?;
    let (register, problems) = end::read(&bytes, mark.as_deref());
    if let Some(problem) = problems.iter().find(|problem| !problem.is_harmless()) {
        return Err(Error::Register { path, what: problem.says() });
    }
    let mut cut = None;
    for Problem { kind, .. } in problems {
        match kind {
            Kind::CutShort { at, is_whole } => cut = Some((at, is_whole)),
            Kind::EndNotMarked => told.push(format!(
                "`{END}` was missing or damaged and is written anew: look whether the register's last lines are there"
            )),
            _ => {}
        }
    }
    let Some((at, is_whole)) = cut else { return Ok(register) };
    if is_whole {
        io::append_line(&path, "\n")?;
        told.push("gave the last line of the register its end: a run was cut short".to_owned());
    } else {
        keep_cut_line(out, &bytes[at..])?;
        io::cut(&path, at as u64)?;
        told.push(
            "took half a line off the register: a run was cut short, and its documents are made again"
                .to_owned(),
        );
    }
    let bytes = io::read_if_there(&path)?.unwrap_or_default();
    Ok(Register::parse(&bytes).0)
}

fn keep_cut_line(out: &Path, piece: &[u8]) -> Result<(), Error> {
    let path = out.join(CUT_LINES);
    let mut kept = io::read_if_there(&path)?.unwrap_or_default();
    kept.extend_from_slice(piece);
    kept.push(b'\n');
    io::write_all_for_issue(out, &[(path, &kept)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::verify::verdict;
    use crate::units::TextValue;

    const DOCUMENTS: &[&str] = &["operation-note", "gp-letter"];

    fn day(text: &str) -> CivilDate {
        CivilDate::parse(text).expect("a date")
    }

    fn batch(because: Option<&'static str>) -> Batch<'static> {
        Batch {
            case: Path::new("case.yaml"),
            reference: "LFC-0117",
            documents: DOCUMENTS,
            case_sha256: "c",
            clinic_sha256: "k",
            templates_sha256: "t",
            by: "R. Quill",
            because,
            amendment: None,
            today: day("2026-11-24"),
        }
    }

    /// A document that holds its own edition, as the real ones do.
    fn maker(words: &str) -> impl Fn(&'static str, &Numbered) -> Result<Made, Error> {
        move |document, numbered| {
            let replaces = numbered.replaces.as_ref();
            let amended = replaces.map_or_else(String::new, |replaces| {
                let rows: Vec<String> = replaces
                    .changes
                    .iter()
                    .map(|change| format!("{} -> {}", change.was, change.is))
                    .collect();
                format!(
                    " Amended: replaces version {} because {}. {}",
                    replaces.version,
                    replaces.because,
                    rows.join("; ")
                )
            });
            let text =
                format!("{document} version {} of {}{amended}\n{words}", numbered.version, numbered.made_on);
            Ok(Made { pdf: format!("%PDF {text}").into_bytes(), text })
        }
    }

    fn issue_with(
        ledger: &Ledger,
        batch: &Batch<'_>,
        make: impl Fn(&'static str, &Numbered) -> Result<Made, Error>,
    ) -> Result<Fate, Error> {
        ledger.finish(ledger.prepare(batch, make)?)
    }

    fn issue(out: &Path, batch: &Batch<'_>, words: &str) -> Result<Fate, Error> {
        issue_with(&Ledger::open(out)?.0, batch, maker(words))
    }

    fn issued(fate: Result<Fate, Error>) -> Vec<String> {
        match fate.expect("issued") {
            Fate::ReasonWanted(latest) => vec![format!("reason wanted for {}", latest.len())],
            Fate::Done(fates) => fates
                .into_iter()
                .map(|fate| match fate {
                    DocumentFate::Issued { file, .. } => {
                        file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
                    }
                    DocumentFate::Unchanged(latest) => {
                        format!("{} {} unchanged", latest.document, latest.version)
                    }
                })
                .collect(),
        }
    }

    fn folder() -> tempfile::TempDir {
        tempfile::tempdir().expect("a temporary folder can be made")
    }

    fn text(path: &Path) -> String {
        String::from_utf8(io::read_bytes(path).expect("readable")).expect("text")
    }

    #[test]
    fn issued_once_then_unchanged_then_amended_with_a_reason() {
        let dir = folder();
        let out = dir.path().join("out");
        assert_eq!(issued(issue(&out, &batch(None), "2.2 ml")), ["operation-note-1.pdf", "gp-letter-1.pdf"]);
        let register = text(&out.join(REGISTER));
        let later = Batch { today: day("2026-12-01"), case_sha256: "other", ..batch(None) };
        let again = issued(issue(&out, &later, "2.2\nml"));
        assert_eq!(again, ["operation-note 1 unchanged", "gp-letter 1 unchanged"]);
        assert_eq!(text(&out.join(REGISTER)), register, "nothing is entered");
        assert_eq!(issued(issue(&out, &later, "2.4 ml")), ["reason wanted for 2"]);
        assert_eq!(text(&out.join(REGISTER)), register, "nothing is entered");
        let because = Batch { because: Some(" volume mistyped "), ..later };
        assert_eq!(issued(issue(&out, &because, "2.4 ml")), ["operation-note-2.pdf", "gp-letter-2.pdf"]);
        let pdf = text(&out.join("LFC-0117/gp-letter-2.pdf"));
        assert!(pdf.contains("Amended: replaces version 1 because volume mistyped. "), "{pdf}");
        assert!(pdf.contains("2.2 ml -> 1 of 2026-11-24 2.4 ml"), "{pdf}");
        let kept = text(&out.join("LFC-0117/gp-letter-2.txt"));
        assert!(kept.ends_with("because volume mistyped. \n2.4 ml"), "{kept}");
        let unchanged = issued(issue(&out, &later, "2.4 ml"));
        assert_eq!(unchanged, ["operation-note 2 unchanged", "gp-letter 2 unchanged"]);
        let verdict = verdict(&out).expect("readable");
        assert_eq!((verdict.is_clean(), verdict.whole), (true, 8), "{:?}", verdict.mismatches);
    }

    #[test]
    fn a_reason_in_the_case_file_counts_once() {
        let dir = folder();
        let amended = Batch { amendment: Some("batch mistyped"), ..batch(None) };
        assert_eq!(issued(issue(dir.path(), &amended, "a")).len(), 2);
        assert_eq!(issued(issue(dir.path(), &amended, "b")), ["operation-note-2.pdf", "gp-letter-2.pdf"]);
        assert_eq!(
            issued(issue(dir.path(), &amended, "c")),
            ["reason wanted for 2"],
            "the reason is the old one"
        );
        let other = Batch { amendment: Some("time mistyped"), ..batch(None) };
        assert_eq!(issued(issue(dir.path(), &other, "c")), ["operation-note-3.pdf", "gp-letter-3.pdf"]);
    }

    #[test]
    fn a_register_that_vanishes_stops_the_run_and_leaves_no_document() {
        let dir = folder();
        let out = dir.path().join("out");
        let (ledger, _) = Ledger::open(&out).expect("opened");
        io::rename(&out.join(REGISTER), &dir.path().join("elsewhere")).expect("moved");
        assert!(issue_with(&ledger, &batch(None), maker("a")).is_err());
        assert!(!out.join("LFC-0117/gp-letter-1.pdf").exists());
        let next = Batch { reference: "LFC-0118", ..batch(None) };
        assert!(matches!(issue_with(&ledger, &next, maker("a")), Err(Error::Register { .. })));
        drop(ledger);
        io::rename(&out, &dir.path().join("moved")).expect("moved");
        assert_eq!(issued(issue(&out, &batch(None), "a")).len(), 2, "a new folder is begun");
    }

    #[test]
    fn what_was_sent_is_told_when_it_is_replaced() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        {
            let (ledger, _) = Ledger::open(dir.path()).expect("opened");
            let sent = |document, on| ledger.enter_sent("LFC-0117", document, "gp", day(on), None);
            assert_eq!(sent("gp-letter", "2026-11-24").map(|latest| latest.version).expect("entered"), 1);
            assert!(sent("gp-letter", "2026-11-23").is_err(), "before it was issued");
            assert!(sent("consent-form", "2026-11-24").is_err(), "never issued");
        }
        let fate = issue(dir.path(), &batch(Some("why")), "b").expect("issued");
        let Fate::Done(fates) = fate else { panic!("a reason was given") };
        let gone: Vec<usize> = fates
            .iter()
            .map(|fate| match fate {
                DocumentFate::Issued { replaces: Some((_, sent)), .. } => sent.len(),
                _ => 99,
            })
            .collect();
        assert_eq!(gone, [0, 1]);
    }

    #[test]
    fn a_reference_is_one_case_in_a_run_and_time_does_not_run_back() {
        let dir = folder();
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        issue_with(&ledger, &batch(None), maker("a")).expect("issued");
        let other = Batch { case: Path::new("other.yaml"), ..batch(None) };
        assert!(matches!(issue_with(&ledger, &other, maker("a")), Err(Error::SameReference { .. })));
        drop(ledger);
        let earlier = Batch { today: day("2026-11-23"), ..batch(Some("why")) };
        assert!(matches!(issue(dir.path(), &earlier, "b"), Err(Error::Usage(_))));
    }

    /// The register cut at every byte, as a crash of the machine could leave it: the next run
    /// mends it and everything is whole.
    #[test]
    fn a_register_cut_anywhere_is_mended_by_the_next_run() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let whole = io::read_bytes(&dir.path().join(REGISTER)).expect("readable");
        let begun = Register::default().end().text();
        for end in (0..whole.len()).rev() {
            // A run that is cut short leaves the mark of the one before.
            io::write_atomically(&dir.path().join(END), begun.as_bytes()).expect("written");
            io::cut(&dir.path().join(REGISTER), end as u64).expect("cut");
            assert!(!verdict(dir.path()).expect("readable").is_clean(), "{end}");
            issued(issue(dir.path(), &batch(None), "a"));
            let verdict = verdict(dir.path()).expect("readable");
            assert!(verdict.is_clean() && verdict.whole == 4, "{end}: {:?}", verdict.mismatches);
            assert_eq!(Register::parse(text(&dir.path().join(REGISTER)).as_bytes()).1, [], "{end}");
        }
    }

    #[test]
    fn lines_lost_off_the_end_of_a_closed_register_are_missed() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        let path = dir.path().join(REGISTER);
        let before_sent = io::read_bytes(&path).expect("readable").len() as u64;
        ledger.enter_sent("LFC-0117", "gp-letter", "gp", day("2026-11-24"), None).expect("entered");
        ledger.close().expect("closed");
        let kinds = || -> Vec<&str> {
            let verdict = verdict(dir.path()).expect("readable");
            verdict.mismatches.into_iter().map(|mismatch| mismatch.kind).collect()
        };
        assert_eq!(kinds(), [] as [&str; 0]);
        io::cut(&path, before_sent).expect("cut");
        assert_eq!(kinds(), ["register-truncated"]);
        assert!(matches!(issue(dir.path(), &batch(None), "a"), Err(Error::Register { .. })));
        // Without the mark nothing speaks against the register but that there is no mark.
        io::remove(&dir.path().join(END)).expect("removed");
        assert_eq!(kinds(), ["end-not-marked"]);
        let (_, told) = Ledger::open(dir.path()).expect("opened");
        assert!(told.len() == 1 && told[0].contains("written anew"), "{told:?}");
        assert_eq!(kinds(), [] as [&str; 0]);
    }

    #[test]
    fn a_damaged_or_lost_register_takes_no_new_lines() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let path = dir.path().join(REGISTER);
        let register = text(&path);
        io::write_atomically(&path, register.replace("R. Quill", "R. Quell").as_bytes()).expect("written");
        assert!(matches!(issue(dir.path(), &batch(None), "a"), Err(Error::Register { .. })));
        io::rename(&path, &dir.path().join("elsewhere")).expect("moved");
        assert!(matches!(issue(dir.path(), &batch(None), "a"), Err(Error::Register { .. })));
        assert!(!path.exists(), "no new register is begun beside issued documents");
    }

    #[test]
    fn a_strange_file_in_the_way_is_set_aside_and_a_damaged_text_is_not_built_upon() {
        let dir = folder();
        drop(Ledger::open(dir.path()).expect("opened"));
        io::write_new(&dir.path().join("LFC-0117/gp-letter-1.pdf"), b"mine").expect("written");
        issued(issue(dir.path(), &batch(None), "a"));
        let verdict_now = verdict(dir.path()).expect("readable");
        let kinds: Vec<&str> = verdict_now.mismatches.iter().map(|mismatch| mismatch.kind).collect();
        assert_eq!((verdict_now.is_clean(), kinds), (true, vec!["set-aside"]));
        io::write_atomically(&dir.path().join("LFC-0117/gp-letter-1.txt"), b"x").expect("written");
        assert!(matches!(issue(dir.path(), &batch(Some("why")), "b"), Err(Error::Twin(_))));
    }

    #[test]
    fn a_document_that_cannot_be_made_leaves_nothing() {
        let dir = folder();
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        let fate = issue_with(&ledger, &batch(None), |document, numbered| match document {
            "gp-letter" => Err(Error::Usage("no".into())),
            _ => maker("a")(document, numbered),
        });
        assert!(fate.is_err());
        assert!(!dir.path().join("LFC-0117").exists());
    }
}
