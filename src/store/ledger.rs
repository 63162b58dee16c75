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

use crate::date::CivilDate;
use crate::documents::{ChangedPhrase, Paper, Replaces};
use crate::hash::sha256;
use crate::identity::{Detail, Person, is_another_patient};
use crate::register::chain::{Kind, Problem, Register};
use crate::register::compare::{self, Private};
use crate::register::end::END;
use crate::register::entry::{Event, Issued, Sent, Undone};
use crate::register::verify::{CUT_LINES, LOCK, REGISTER, SET_ASIDE, is_trace_of_issue};
use crate::register::versions::{Next, next};
use crate::store::{Error, backup, error, io};
use crate::typeset::each;
use crate::words::Shown;

/// Rows in the table of changes of an amended document.
const TABLE_ROWS: usize = 6;

/// An open register, locked against every other run.
#[derive(Debug)]
pub(crate) struct Ledger {
    out: PathBuf,
    state: Mutex<State>,
    /// Held while lines go to the disk, so that they get there in their order and nobody who only
    /// looks into the state has to wait for the disk.
    appending: Mutex<()>,
    /// How many lines the register had when it was opened.
    lines_before: usize,
    _lock: io::Lock,
}

#[derive(Debug)]
struct State {
    register: Register,
    /// References of this run with the case that bears each.
    claimed: BTreeMap<String, PathBuf>,
    /// For the hashes of whom the documents are about.
    salt: String,
    /// A write failed and the register could not be read again: nothing more is numbered.
    is_lost: bool,
}

/// What a document says of itself: version, date and what it replaces.
#[derive(Debug, Clone)]
pub(crate) struct Numbered {
    /// From 1.
    pub(crate) version: u32,
    /// The date of issue.
    pub(crate) made_on: CivilDate,
    /// What it replaces.
    pub(crate) replaces: Option<Replaces>,
}

/// A document as made.
#[derive(Debug, Clone)]
pub(crate) struct Made {
    /// The PDF.
    pub(crate) pdf: Vec<u8>,
    /// Its words.
    pub(crate) text: String,
}

/// Whose document is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Whose {
    /// The patient's.
    Patient,
    /// The same about nobody who exists: it shows where a page says who the patient is. Only its words
    /// count.
    Nobody,
}

/// One case to issue.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Batch<'a> {
    /// The case file.
    pub(crate) case: &'a Path,
    /// Its reference.
    pub(crate) reference: &'a str,
    /// Whom it is about.
    pub(crate) person: &'a Person,
    /// The papers to issue.
    pub(crate) papers: &'a [Paper],
    /// The form that a recorded signature closes.
    pub(crate) form: Form<'a>,
    /// Hash of the case file.
    pub(crate) case_sha256: &'a str,
    /// Hash of the clinic file.
    pub(crate) clinic_sha256: &'a str,
    /// Hash of the templates.
    pub(crate) templates_sha256: &'a str,
    /// Who issues.
    pub(crate) by: &'a str,
    /// Why documents are issued again, as said for this run.
    pub(crate) because: Option<&'a str>,
    /// Why documents are issued again, as the case file says. It stays there, so it does not count
    /// for a document whose last version already gave it.
    pub(crate) amendment: Option<&'a str>,
    /// The date of issue.
    pub(crate) today: CivilDate,
}

/// The form that the patient signs: once it was issued and the record says that it was signed, it is
/// left as it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Form<'a> {
    /// The document.
    pub(crate) document: &'static str,
    /// Hash of the plan that it is about.
    pub(crate) plan_sha256: &'a str,
    /// The day on which it was signed, as the case says.
    pub(crate) signed: Option<CivilDate>,
    /// Another one is asked for by name and with a reason.
    pub(crate) is_asked_for: bool,
}

impl Form<'_> {
    /// The day on which it was signed, if it is to be left as it is.
    fn closed(&self) -> Option<CivilDate> {
        self.signed.filter(|_| !self.is_asked_for)
    }

    /// True if this form was issued and signed, and the plan is not the one on it; false where that is
    /// not known.
    pub(crate) fn is_outdated(&self, latest: Option<&Issued>) -> bool {
        let plan = latest.and_then(|latest| latest.plan_sha256.as_deref());
        self.closed().is_some() && plan.is_some_and(|plan| plan != self.plan_sha256)
    }
}

impl<'a> Batch<'a> {
    /// Every reason that may be entered.
    pub(crate) fn reasons(&self) -> impl Iterator<Item = &'a str> {
        [self.because, self.amendment].into_iter().flatten()
    }

    /// The reason that counts for a document after its last version.
    fn because_after(&self, latest: Option<&Issued>) -> Option<&'a str> {
        let given_before = latest.and_then(|latest| latest.because.as_deref());
        let new = self.amendment.map(str::trim).filter(|amendment| Some(*amendment) != given_before);
        self.because.map(str::trim).filter(|because| !because.is_empty()).or(new)
    }
}

/// What became of a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Fate {
    /// Each document is issued, or unchanged.
    Done(Vec<DocumentFate>),
    /// These have other words than their last version, or this of the patient is not as it was, and
    /// nobody said why: nothing was issued.
    ReasonWanted(Vec<Latest>, Vec<Detail>),
}

/// What became of one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum DocumentFate {
    /// A new version lies in the file.
    Issued {
        /// The PDF.
        file: PathBuf,
        /// The version that it replaces, and where that one has gone.
        replaces: Option<(Latest, Vec<Sent>)>,
    },
    /// The words are those of the last version.
    Unchanged(Latest),
    /// It was signed on that day and is left as it is, whatever the words would be now; whether the plan
    /// on it is known.
    Closed(Latest, CivilDate, bool),
}

/// The last version of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Latest {
    /// The document.
    pub(crate) document: String,
    /// Its version.
    pub(crate) version: u32,
    /// Its date of issue.
    pub(crate) date: CivilDate,
}

impl From<&Issued> for Latest {
    fn from(issued: &Issued) -> Latest {
        Latest { document: issued.document.clone(), version: issued.version, date: issued.date }
    }
}

/// The documents of a case, made and not yet written.
#[derive(Debug, Default)]
pub(crate) struct Prepared {
    unchanged: Vec<Latest>,
    closed: Vec<(Latest, CivilDate, bool)>,
    details: Vec<Detail>,
    unexplained: Vec<Latest>,
    ready: Vec<Ready>,
}

/// What was prepared of one document.
enum One {
    Closed(Latest, CivilDate, bool),
    Unchanged(Option<Latest>),
    Unexplained(Option<Latest>),
    Ready(Box<Ready>),
}

/// A version that is to be replaced: why, and what changed.
struct Replaced<'a> {
    latest: &'a Issued,
    because: &'a str,
    rows: Vec<compare::Row>,
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
    pub(crate) fn open(out: &Path) -> Result<(Ledger, Vec<String>), Error> {
        backup::must_be_none(out)?;
        io::create_folder(out)?;
        let lock = io::lock(&out.join(LOCK), || {
            io::eprint(&format!("waiting for another run that issues into `{}`\n", out.shown()));
        })?;
        let file = out.join(REGISTER);
        if io::read_kept(&file)?.is_none() {
            begin_register(out)?;
        }
        let mut told = Vec::new();
        let register = read_and_mend(out, &mut told)?;
        let removed = io::remove_leftovers(out)?;
        if removed > 0 {
            told.push(format!("removed temporary files of a run that was cut short: {removed}"));
        }
        mark_end(out, &register)?;
        let lines_before = register.end().lines;
        let salt = register.salt().map_or_else(io::salt, str::to_owned);
        let state = Mutex::new(State { register, claimed: BTreeMap::new(), salt, is_lost: false });
        let appending = Mutex::new(());
        Ok((Ledger { out: out.to_owned(), state, appending, lines_before, _lock: lock }, told))
    }

    /// Marks the end of the register as far as this run has come. A run that is cut short before
    /// leaves an earlier mark, which the next run moves. So a mark that cannot be written is no failure
    /// of what was entered: it is told.
    pub(crate) fn close(self) -> String {
        let state = self.state();
        if state.is_lost {
            return String::new();
        }
        match mark_end(&self.out, &state.register) {
            Ok(()) => String::new(),
            Err(problem) => format!(
                "note: all of this is in the register; only the mark of its end, `{END}`, is that of an earlier line, \
                 and the next run moves it\n{}",
                error::chain(&problem).replace("error: ", "  because: ")
            ),
        }
    }

    /// The end of the register as somebody may write it down, if this run has added to it.
    pub(crate) fn grown_to(&self) -> Option<String> {
        let state = self.state();
        let end = state.register.end();
        (end.lines > self.lines_before && !state.is_lost).then(|| end.anchor())
    }

    /// What the register says of a case before anything is made.
    pub(crate) fn look<T>(&self, see: impl FnOnce(&Register) -> T) -> T {
        see(&self.state().register)
    }

    /// Makes the documents of a case in memory: those whose words have changed, and those that are
    /// new. Nothing is written yet.
    ///
    /// # Errors
    /// A document that cannot be made, a kept text that cannot be read, or another patient's reference.
    pub(crate) fn prepare(
        &self,
        batch: &Batch<'_>,
        threads: usize,
        make: impl Fn(Paper, &Numbered, Whose) -> Result<Made, Error> + Sync,
    ) -> Result<Prepared, Error> {
        self.claim(batch)?;
        let mut prepared = Prepared { details: self.unexplained_details(batch)?, ..Prepared::default() };
        for one in each(batch.papers, threads, |paper| self.prepare_one(batch, *paper, &make)) {
            match one? {
                One::Closed(latest, signed, has_plan) => prepared.closed.push((latest, signed, has_plan)),
                One::Unchanged(latest) => prepared.unchanged.extend(latest),
                One::Unexplained(latest) => prepared.unexplained.extend(latest),
                One::Ready(ready) => prepared.ready.push(*ready),
            }
        }
        Ok(prepared)
    }

    fn prepare_one(
        &self,
        batch: &Batch<'_>,
        paper: Paper,
        make: &impl Fn(Paper, &Numbered, Whose) -> Result<Made, Error>,
    ) -> Result<One, Error> {
        let document = paper.name();
        let latest = self.state().register.latest(batch.reference, &document).cloned();
        let closed = batch.form.closed().filter(|_| batch.form.document == document);
        if let Some((latest, signed)) = latest.as_ref().zip(closed) {
            return Ok(One::Closed(Latest::from(latest), signed, latest.plan_sha256.is_some()));
        }
        let mut changed = Vec::new();
        let mut now = String::new();
        if let Some(latest) = &latest {
            now = make(paper, &self.as_issued(latest), Whose::Patient)?.text;
            changed = changes_since(&self.out, latest, &now)?;
        }
        let because = batch.because_after(latest.as_ref());
        let version = match next(latest.as_ref(), changed.is_empty(), because) {
            Next::Unchanged => return Ok(One::Unchanged(latest.as_ref().map(Latest::from))),
            Next::ReasonWanted => return Ok(One::Unexplained(latest.as_ref().map(Latest::from))),
            Next::Version(version) => version,
        };
        let replaced = match latest.as_ref().zip(because) {
            Some((latest, because)) => {
                let nobody = make(paper, &self.as_issued(latest), Whose::Nobody)?.text;
                let private = Private::places(&now, &nobody);
                let rows = compare::table(&changed, &now, &private, TABLE_ROWS);
                Some(Replaced { latest, because, rows })
            }
            None => None,
        };
        Ok(One::Ready(Box::new(self.made(batch, (paper, version), replaced, make)?)))
    }

    /// One detail of the patient is not as it was, and nobody has said why.
    ///
    /// # Errors
    /// Two or more are not: that is somebody else. The findings said so before; this is the last door.
    fn unexplained_details(&self, batch: &Batch<'_>) -> Result<Vec<Detail>, Error> {
        let state = self.state();
        let Some(known) = state.register.known(batch.reference) else { return Ok(Vec::new()) };
        let details = known.differences(batch.person);
        if is_another_patient(&details) {
            return Err(Error::AnotherPatient(batch.reference.to_owned()));
        }
        // A reason in the case file counts for these if no line of the reference has given it yet.
        let given = state.register.issued_of(batch.reference).filter_map(|issued| issued.because.as_deref());
        let is_explained = match (batch.because, batch.amendment) {
            (Some(because), _) if !because.trim().is_empty() => true,
            (_, Some(amendment)) => !given.into_iter().any(|because| because == amendment.trim()),
            _ => false,
        };
        Ok(if is_explained { Vec::new() } else { details })
    }

    /// Writes what was prepared. Either every line of the case is entered or none.
    ///
    /// # Errors
    /// A file that cannot be read or written.
    pub(crate) fn finish(&self, prepared: Prepared) -> Result<Fate, Error> {
        let Prepared { unchanged, closed, details, unexplained, ready } = prepared;
        if !unexplained.is_empty() || !details.is_empty() {
            return Ok(Fate::ReasonWanted(unexplained, details));
        }
        if !ready.is_empty() {
            self.write(&ready)?;
        }
        let unchanged = unchanged.into_iter().map(DocumentFate::Unchanged);
        let closed =
            closed.into_iter().map(|(latest, on, has_plan)| DocumentFate::Closed(latest, on, has_plan));
        let issued = ready.into_iter().map(|ready| DocumentFate::Issued {
            file: self.out.join(&ready.entry.file),
            replaces: ready.replaces,
        });
        Ok(Fate::Done(unchanged.chain(closed).chain(issued).collect()))
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
        (paper, version): (Paper, u32),
        replaced: Option<Replaced<'_>>,
        make: &impl Fn(Paper, &Numbered, Whose) -> Result<Made, Error>,
    ) -> Result<Ready, Error> {
        let document = paper.name();
        if let Some(latest) = replaced.as_ref().map(|old| old.latest).filter(|old| old.date > batch.today) {
            let (issued, today) = (latest.date.clinical(), batch.today.clinical());
            return Err(Error::Usage(format!(
                "version {} of {document} was issued on {issued}, after {today}: check `--today`",
                latest.version
            )));
        }
        let replaces = replaced.as_ref().map(|old| Replaces {
            version: old.latest.version,
            issued_on: old.latest.date,
            because: old.because.to_owned(),
            changes: Vec::new(),
        });
        let mut numbered = Numbered { version, made_on: batch.today, replaces };
        let mut made = make(paper, &numbered, Whose::Patient)?;
        if let (Some(replaces), Some(old)) = (&mut numbered.replaces, &replaced) {
            let rows = old.rows.iter().cloned();
            replaces.changes = rows.map(|row| ChangedPhrase { was: row.was, is: row.is }).collect();
            // The kept text is without the table, so that the next comparison is of the document's
            // own words.
            made.pdf = make(paper, &numbered, Whose::Patient)?.pdf;
        }
        let is_form = batch.form.document == document;
        let entry = Issued {
            reference: batch.reference.to_owned(),
            document: document.clone(),
            version,
            date: batch.today,
            time: io::now(),
            by: batch.by.to_owned(),
            because: replaced.as_ref().map(|old| old.because.to_owned()),
            case_sha256: batch.case_sha256.to_owned(),
            clinic_sha256: batch.clinic_sha256.to_owned(),
            templates_sha256: batch.templates_sha256.to_owned(),
            file: Issued::file_name(batch.reference, &document, version),
            pdf_sha256: sha256(&made.pdf),
            pdf_bytes: made.pdf.len() as u64,
            text_sha256: sha256(made.text.as_bytes()),
            text_bytes: made.text.len() as u64,
            tool: concat!("unguis ", env!("CARGO_PKG_VERSION")).to_owned(),
            identity: Some(batch.person.marks(&self.state().salt)),
            plan_sha256: is_form.then(|| batch.form.plan_sha256.to_owned()),
        };
        let replaces = replaced.map(|Replaced { latest, .. }| {
            let sent = self.sent(batch.reference, &document, latest.version);
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
        // A run issues each document of a case at most once, and knows it by its files until the next one: ten
        // thousand cases shall not need more memory than ten.
        let entered = self.enter(|register| {
            ready.iter().map(|ready| register.append_unkept(&Event::Issued(ready.entry.clone()))).collect()
        });
        if entered.is_err() {
            self.withdraw(ready);
        }
        entered
    }

    /// Takes away the files of lines that could not be entered, lest somebody take them for issued.
    /// Whether a line is in the register is judged by the register on the disk.
    fn withdraw(&self, ready: &[Ready]) {
        let state = self.state();
        if state.is_lost && !matches!(io::read_kept(&self.out.join(REGISTER)), Ok(None)) {
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
    fn enter(&self, lines: impl FnOnce(&mut Register) -> String) -> Result<(), Error> {
        let _in_turn = self.appending.lock().unwrap_or_else(PoisonError::into_inner);
        let lines = lines(&mut self.state().register);
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
    pub(crate) fn enter_sent(&self, parcel: &Parcel<'_>) -> Result<Latest, Error> {
        let Parcel { reference, document, version, to, on, by, how, how_reference, today } = *parcel;
        let (latest, newest, before) = {
            let state = self.state();
            let register = &state.register;
            let Some(latest) = register.latest(reference, document).map(Latest::from) else {
                return Err(Error::NeverIssued {
                    reference: reference.to_owned(),
                    document: document.to_owned(),
                    issued: register.latest_of(reference).into_keys().map(str::to_owned).collect(),
                });
            };
            let sent = register.sent(reference, document, latest.version);
            let before = sent.into_iter().any(|sent| sent.to == to && sent.date == on);
            let newest = register.issued().map(|issued| issued.date).max();
            (latest, newest, before)
        };
        if let Some(version) = version.filter(|version| *version != latest.version) {
            return Err(Error::Usage(format!(
                "version {} of {document} of {reference} has been issued since version {version} was printed: \
                 print it again",
                latest.version
            )));
        }
        if on < latest.date {
            let (sent, issued) = (on.clinical(), latest.date.clinical());
            return Err(Error::Usage(format!(
                "version {} of {document} was issued on {issued}: it cannot have gone on {sent}; check `--on`",
                latest.version
            )));
        }
        // A clock that runs behind what is in the register is not believed.
        let today = newest.map_or(today, |newest| newest.max(today));
        if on > today {
            return Err(Error::Usage(format!(
                "{} lies in the future, today is {}: enter it when it has gone, or check `--on`",
                on.clinical(),
                today.clinical()
            )));
        }
        if before {
            return Err(Error::AlreadyEntered {
                what: format!(
                    "version {} of {document} of {reference} went to {} on {}",
                    latest.version,
                    whom(to),
                    on.clinical()
                ),
            });
        }
        let event = Event::Sent(Sent {
            reference: reference.to_owned(),
            document: document.to_owned(),
            version: latest.version,
            to: to.to_owned(),
            date: on,
            time: io::now(),
            by: by.map(str::to_owned),
            how: how.map(str::to_owned),
            how_reference: how_reference.map(str::to_owned),
        });
        self.enter(|register| register.append(event))?;
        Ok(latest)
    }

    /// Takes back the last entry that a document has gone to somebody, by a further line; returns its
    /// version and day. Nothing is removed.
    ///
    /// # Errors
    /// Nothing of the kind was entered, or a register that cannot be written.
    pub(crate) fn take_back(&self, parcel: &Parcel<'_>, because: &str) -> Result<(u32, CivilDate), Error> {
        let Parcel { reference, document, to, by, .. } = *parcel;
        let last = {
            let state = self.state();
            let versions = state.register.latest(reference, document).map_or(0, |latest| latest.version);
            (1..=versions).rev().find_map(|version| {
                let sent = state.register.sent(reference, document, version);
                let of = sent.into_iter().rev().find(|sent| sent.to == to)?;
                Some((version, of.date))
            })
        };
        let Some((version, date)) = last else {
            return Err(Error::Usage(format!(
                "the register does not say that {document} of {reference} went to {}: there is nothing to take back",
                whom(to)
            )));
        };
        let event = Event::Undone(Undone {
            reference: reference.to_owned(),
            document: document.to_owned(),
            version,
            to: to.to_owned(),
            date,
            time: io::now(),
            by: by.map(str::to_owned),
            because: because.to_owned(),
        });
        self.enter(|register| register.append(event))?;
        Ok((version, date))
    }

    fn sent(&self, reference: &str, document: &str, version: u32) -> Vec<Sent> {
        self.state().register.sent(reference, document, version).into_iter().cloned().collect()
    }

    /// A thread that broke cannot have left the state half changed: it is changed in one step.
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// An issued document that has left the clinic.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parcel<'a> {
    /// The case.
    pub(crate) reference: &'a str,
    /// The document, in its last version.
    pub(crate) document: &'a str,
    /// The version that went, where it is known; else the last.
    pub(crate) version: Option<u32>,
    /// To whom: `patient`, `gp`.
    pub(crate) to: &'a str,
    /// How it went, where it is said.
    pub(crate) how: Option<&'a str>,
    /// The reference of the message or the parcel.
    pub(crate) how_reference: Option<&'a str>,
    /// The day it went.
    pub(crate) on: CivilDate,
    /// Who sent it, where it is said.
    pub(crate) by: Option<&'a str>,
    /// Today.
    pub(crate) today: CivilDate,
}

/// `the patient`, `the GP`, `somebody else`.
pub(crate) fn whom(to: &str) -> String {
    match to {
        "gp" => "the GP".to_owned(),
        "other" => "somebody else".to_owned(),
        person => format!("the {person}"),
    }
}

/// What a register says of whom a reference belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Owner {
    /// Nothing was issued under it.
    Nobody,
    /// Something was, by a version that kept no hashes.
    Unknown,
    /// Somebody who differs from the patient of the case in these details; in none if it is this one.
    Differs(Vec<Detail>),
}

/// To whom a reference belongs, compared with the patient of a case.
pub(crate) fn owner(register: &Register, reference: &str, person: &Person) -> Owner {
    match register.known(reference) {
        Some(known) => Owner::Differs(known.differences(person)),
        None if register.has_issued(reference) => Owner::Unknown,
        None => Owner::Nobody,
    }
}

/// A file of that name can only be left from a run that was cut short, since the register does not
/// know it; one that differs is kept under another name all the same.
fn set_aside(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let Some(found) = io::read_kept(path)? else { return Ok(()) };
    let found = sha256(&found);
    if found == sha256(bytes) {
        return Ok(());
    }
    let mut aside = path.as_os_str().to_owned();
    aside.push(format!("{SET_ASIDE}{}", &found[..8]));
    io::rename(path, &PathBuf::from(aside))
}

/// How an issued version described itself, without its table of changes.
pub(crate) fn as_issued(register: &Register, issued: &Issued) -> Numbered {
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
pub(crate) fn changes_since(out: &Path, issued: &Issued, now: &str) -> Result<Vec<compare::Change>, Error> {
    if sha256(now.as_bytes()) == issued.text_sha256 {
        return Ok(Vec::new());
    }
    let path = out.join(issued.text_file());
    let kept = io::read_kept(&path)?.unwrap_or_default();
    match String::from_utf8(kept) {
        Ok(kept) if sha256(kept.as_bytes()) == issued.text_sha256 => Ok(compare::changes(&kept, now)),
        _ => Err(Error::Twin(path)),
    }
}

/// A register as read, together with the lock that keeps it from changing meanwhile.
#[derive(Debug)]
pub(crate) struct Reading {
    /// What could be read.
    pub(crate) register: Register,
    /// What is wrong in it.
    pub(crate) problems: Vec<Problem>,
    _lock: Option<io::Lock>,
}

/// What can be read of a register without waiting for a run that issues, for those who only compare.
///
/// # Errors
/// A register that is there and cannot be read.
pub(crate) fn glance(out: &Path) -> Result<Register, Error> {
    // A folder or file that is not there has nothing to compare with.
    let is_there = out.is_dir();
    let bytes = if is_there { io::read_kept(&out.join(REGISTER))? } else { None };
    Ok(bytes.map_or_else(Register::default, |bytes| Register::parse(&bytes).0))
}

/// The register of a folder for those who only read, with what is wrong in it; `None` if there is
/// none.
///
/// # Errors
/// A register that cannot be read or locked.
pub(crate) fn read(out: &Path) -> Result<Option<Reading>, Error> {
    let lock = io::lock_to_read(&out.join(LOCK), || {
        io::eprint(&format!("waiting for a run that issues into `{}`\n", out.shown()));
    })?;
    read_under(out, lock)
}

/// As [`read`], for whoever holds the lock.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_under(out: &Path, lock: Option<io::Lock>) -> Result<Option<Reading>, Error> {
    let bytes = io::read_kept(&out.join(REGISTER))?;
    let mark = io::read_kept(&out.join(END))?;
    Ok(bytes.map(|bytes| {
        let (register, problems) = Register::read(&bytes, mark.as_deref());
        Reading { register, problems, _lock: lock }
    }))
}

/// An empty register, before the first document is written: so documents beside which there is no
/// register at all always mean that it was lost, and their versions are not counted anew.
fn begin_register(out: &Path) -> Result<(), Error> {
    let path = out.join(REGISTER);
    if io::list(out, |_, _| false)?.iter().any(|found| is_trace_of_issue(&found.path)) {
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
    if io::read_kept(&path)?.is_some_and(|found| found == mark.as_bytes()) {
        return Ok(());
    }
    io::write_all_for_issue(out, &[(path, mark.as_bytes())])
}

/// Reads the register under the lock; a last line that was cut short is completed if all of it is
/// there but the line end, and otherwise moved to a file of its own.
fn read_and_mend(out: &Path, told: &mut Vec<String>) -> Result<Register, Error> {
    let path = out.join(REGISTER);
    let bytes = io::read_kept(&path)?.ok_or_else(|| Error::Register {
        path: path.clone(),
        what: "it has gone while documents were issued".to_owned(),
    })?;
    let mark = io::read_kept(&out.join(END))?;
    let (register, problems) = Register::read(&bytes, mark.as_deref());
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
    let bytes = io::read_kept(&path)?.unwrap_or_default();
    Ok(Register::parse(&bytes).0)
}

fn keep_cut_line(out: &Path, piece: &[u8]) -> Result<(), Error> {
    let path = out.join(CUT_LINES);
    let mut kept = io::read_kept(&path)?.unwrap_or_default();
    kept.extend_from_slice(piece);
    kept.push(b'\n');
    io::write_all_for_issue(out, &[(path, &kept)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::register::verify::Verdict;
    use crate::store::verdict::Known;
    use crate::units::TextValue;

    fn verdict(out: &Path) -> Result<Verdict, Error> {
        crate::store::verdict::verdict(out, Known::default())
    }

    fn paper(name: &str) -> Paper {
        Paper::once(crate::documents::document(name).expect("a document"))
    }

    fn both() -> &'static [Paper] {
        static BOTH: std::sync::OnceLock<[Paper; 2]> = std::sync::OnceLock::new();
        BOTH.get_or_init(|| ["operation-note", "gp-letter"].map(paper))
    }

    fn day(text: &str) -> CivilDate {
        CivilDate::parse(text).expect("a date")
    }

    /// The patient of the routine case, with other details.
    fn person(details: &str) -> Person {
        Person::of(&crate::rules::example::facts_of(&format!("patient: {{{details}}}")).case)
    }

    fn hollis() -> &'static Person {
        static HOLLIS: std::sync::OnceLock<Person> = std::sync::OnceLock::new();
        HOLLIS.get_or_init(|| person(""))
    }

    fn batch(because: Option<&'static str>) -> Batch<'static> {
        Batch {
            case: Path::new("case.yaml"),
            reference: "LFC-0117",
            person: hollis(),
            papers: both(),
            form: Form { document: "consent-form", plan_sha256: "p", signed: None, is_asked_for: false },
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
    fn maker(words: &str) -> impl Fn(Paper, &Numbered, Whose) -> Result<Made, Error> {
        move |paper, numbered, _| {
            let document = paper.name();
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
        make: impl Fn(Paper, &Numbered, Whose) -> Result<Made, Error> + Sync,
    ) -> Result<Fate, Error> {
        ledger.finish(ledger.prepare(batch, 2, make)?)
    }

    fn issue(out: &Path, batch: &Batch<'_>, words: &str) -> Result<Fate, Error> {
        issue_with(&Ledger::open(out)?.0, batch, maker(words))
    }

    fn issued(fate: Result<Fate, Error>) -> Vec<String> {
        match fate.expect("issued") {
            Fate::ReasonWanted(latest, details) if details.is_empty() => {
                vec![format!("reason wanted for {}", latest.len())]
            }
            Fate::ReasonWanted(_, details) => vec![format!("reason wanted: {details:?}")],
            Fate::Done(fates) => fates
                .into_iter()
                .map(|fate| match fate {
                    DocumentFate::Issued { file, .. } => {
                        file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
                    }
                    DocumentFate::Unchanged(latest) => {
                        format!("{} {} unchanged", latest.document, latest.version)
                    }
                    DocumentFate::Closed(latest, on, _) => {
                        format!("{} {} signed {on}", latest.document, latest.version)
                    }
                })
                .collect(),
        }
    }

    fn folder() -> tempfile::TempDir {
        tempfile::tempdir().expect("a temporary folder can be made")
    }

    fn parcel(document: &'static str, on: &str) -> Parcel<'static> {
        Parcel {
            reference: "LFC-0117",
            document,
            version: None,
            to: "gp",
            on: day(on),
            by: None,
            how: None,
            how_reference: None,
            today: day("2026-11-30"),
        }
    }

    fn text(path: &Path) -> String {
        String::from_utf8(io::read_bytes(path).expect("readable")).expect("text")
    }

    /// Ten thousand cases: what a run has issued is on the disk, and its memory does not grow with it.
    #[test]
    fn what_a_run_issues_is_entered_and_not_kept_in_memory() {
        let dir = folder();
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        issued(issue_with(&ledger, &batch(None), maker("a")));
        assert_eq!(ledger.look(|register| register.events.len()), 0);
        let grown = ledger.grown_to().expect("it has grown");
        assert_eq!(ledger.close(), "");
        let register = glance(dir.path()).expect("readable");
        assert_eq!((register.events.len(), register.end().anchor()), (2, grown));
    }

    #[test]
    fn issued_once_then_unchanged_then_amended_with_a_reason() {
        let dir = folder();
        let out = dir.path().join("out");
        assert_eq!(
            issued(issue(&out, &batch(None), "2.2 ml")),
            ["LFC-0117-operation-note-1.pdf", "LFC-0117-gp-letter-1.pdf"]
        );
        let register = text(&out.join(REGISTER));
        let later = Batch { today: day("2026-12-01"), case_sha256: "other", ..batch(None) };
        let again = issued(issue(&out, &later, "2.2\nml"));
        assert_eq!(again, ["operation-note 1 unchanged", "gp-letter 1 unchanged"]);
        assert_eq!(text(&out.join(REGISTER)), register, "nothing is entered");
        assert_eq!(issued(issue(&out, &later, "2.4 ml")), ["reason wanted for 2"]);
        assert_eq!(text(&out.join(REGISTER)), register, "nothing is entered");
        let because = Batch { because: Some(" volume mistyped "), ..later };
        assert_eq!(
            issued(issue(&out, &because, "2.4 ml")),
            ["LFC-0117-operation-note-2.pdf", "LFC-0117-gp-letter-2.pdf"]
        );
        let pdf = text(&out.join("LFC-0117/LFC-0117-gp-letter-2.pdf"));
        assert!(pdf.contains("Amended: replaces version 1 because volume mistyped. "), "{pdf}");
        assert!(pdf.contains("2.2 ml -> 1 of 2026-11-24 2.4 ml"), "{pdf}");
        let kept = text(&out.join("LFC-0117/LFC-0117-gp-letter-2.txt"));
        assert!(kept.ends_with("because volume mistyped. \n2.4 ml"), "{kept}");
        let unchanged = issued(issue(&out, &later, "2.4 ml"));
        assert_eq!(unchanged, ["operation-note 2 unchanged", "gp-letter 2 unchanged"]);
        let verdict = verdict(&out).expect("readable");
        assert_eq!((verdict.is_clean(), verdict.whole), (true, 8), "{:?}", verdict.mismatches);
    }

    #[test]
    fn a_reference_stays_with_its_patient() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let register = text(&dir.path().join(REGISTER));
        assert!(!register.to_lowercase().contains("hollis") && !register.contains("1984"), "{register}");
        let other = person("family: Marsh, born: 1961-03-02, nhs_number: 999 000 0026");
        for because in [None, Some("typo")] {
            let batch = Batch { person: &other, amendment: Some("typo"), ..batch(because) };
            assert!(matches!(issue(dir.path(), &batch, "b"), Err(Error::AnotherPatient(_))));
        }
        assert_eq!(text(&dir.path().join(REGISTER)), register, "nothing is entered");
        let married = person("family: Marsh");
        let renamed = |because| Batch { person: &married, ..batch(because) };
        // Even where no word that was issued before changes.
        assert_eq!(issued(issue(dir.path(), &renamed(None), "a")), ["reason wanted: [FamilyName]"]);
        assert_eq!(issued(issue(dir.path(), &renamed(Some("married")), "b")).len(), 2);
        assert_eq!(issued(issue(dir.path(), &renamed(None), "b"))[0], "operation-note 2 unchanged");
        let salts: Vec<String> = Register::parse(text(&dir.path().join(REGISTER)).as_bytes())
            .0
            .issued()
            .filter_map(|issued| Some(issued.identity.as_ref()?.salt.clone()))
            .collect();
        assert!(salts.len() == 4 && salts.iter().all(|salt| *salt == salts[0] && salt.len() >= 32));
        let elsewhere = folder();
        issued(issue(elsewhere.path(), &batch(None), "a"));
        assert_ne!(glance(elsewhere.path()).expect("readable").salt(), Some(salts[0].as_str()));
    }

    /// A register of an older version still verifies, is compared with nothing, and gets its hashes.
    #[test]
    fn a_register_without_hashes_gets_them_with_the_next_issue() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let path = dir.path().join(REGISTER);
        let (new, _) = Register::parse(&io::read_bytes(&path).expect("readable"));
        let (mut old, mut lines) = (Register::default(), String::new());
        for entry in new.issued() {
            let entry = Issued { identity: None, plan_sha256: None, ..entry.clone() };
            lines.push_str(&old.append(Event::Issued(entry)));
        }
        io::write_atomically(&path, lines.as_bytes()).expect("written");
        io::write_atomically(&dir.path().join(END), old.end().text().as_bytes()).expect("written");
        assert!(verdict(dir.path()).expect("readable").is_clean());
        let other = person("family: Marsh, born: 1961-03-02");
        assert_eq!(owner(&old, "LFC-0117", &other), Owner::Unknown);
        assert_eq!(owner(&old, "LFC-0118", &other), Owner::Nobody);
        assert_eq!(issued(issue(dir.path(), &batch(Some("why")), "b")).len(), 2);
        assert!(verdict(dir.path()).expect("readable").is_clean());
        let now = glance(dir.path()).expect("readable");
        assert_eq!(owner(&now, "LFC-0117", &other), Owner::Differs(vec![Detail::FamilyName, Detail::Born]));
        assert_eq!(owner(&now, "LFC-0117", hollis()), Owner::Differs(Vec::new()));
    }

    #[test]
    fn a_signed_form_is_left_as_it_is() {
        let dir = folder();
        let form = Form { document: "gp-letter", plan_sha256: "p", signed: None, is_asked_for: false };
        let only = &[paper("gp-letter")][..];
        issued(issue(dir.path(), &Batch { papers: only, form, ..batch(None) }, "a"));
        let signed = Form { signed: Some(day("2026-11-23")), ..form };
        let later = |because| Batch { form: signed, ..batch(because) };
        let closed = "gp-letter 1 signed 2026-11-23";
        assert_eq!(issued(issue(dir.path(), &later(None), "b")), [closed, "LFC-0117-operation-note-1.pdf"]);
        assert_eq!(
            issued(issue(dir.path(), &later(Some("why")), "c")),
            [closed, "LFC-0117-operation-note-2.pdf"]
        );
        let latest = |register: &Register| register.latest("LFC-0117", "gp-letter").cloned();
        let before = latest(&glance(dir.path()).expect("readable"));
        assert!(!signed.is_outdated(before.as_ref()) && !signed.is_outdated(None));
        let replanned = Form { plan_sha256: "q", ..signed };
        assert!(replanned.is_outdated(before.as_ref()));
        let asked = Form { is_asked_for: true, ..replanned };
        let again = Batch { papers: only, form: asked, ..batch(Some("another edge")) };
        assert_eq!(issued(issue(dir.path(), &again, "d")), ["LFC-0117-gp-letter-2.pdf"]);
        assert!(!replanned.is_outdated(latest(&glance(dir.path()).expect("readable")).as_ref()));
    }

    #[test]
    fn what_went_is_entered_once_and_not_before_it_has_gone() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        let letter = |on| parcel("gp-letter", on);
        ledger.enter_sent(&letter("2026-11-30")).expect("today");
        let again = ledger.enter_sent(&letter("2026-11-30"));
        assert!(matches!(again, Err(Error::AlreadyEntered { .. })));
        assert!(matches!(ledger.enter_sent(&letter("2026-12-01")), Err(Error::Usage(_))), "tomorrow");
        // Another day, recipient or document is another parcel.
        ledger.enter_sent(&letter("2026-11-29")).expect("entered");
        ledger.enter_sent(&Parcel { to: "patient", ..letter("2026-11-30") }).expect("entered");
        ledger.enter_sent(&parcel("operation-note", "2026-11-30")).expect("entered");
        assert_eq!(ledger.look(|register| register.events.len()), 6);
        // A clock that is behind the register.
        let behind = Parcel { today: day("2020-01-01"), ..letter("2026-11-24") };
        ledger.enter_sent(&behind).expect("the day of issue has been");
    }

    /// The line is on the disk: a mark that cannot follow it is told, and no retry enters it twice.
    #[test]
    fn a_mark_that_cannot_be_written_is_a_note() {
        let dir = folder();
        issued(issue(dir.path(), &batch(None), "a"));
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        ledger.enter_sent(&parcel("gp-letter", "2026-11-30")).expect("entered");
        io::remove(&dir.path().join(END)).expect("removed");
        io::create_folder(&dir.path().join(END)).expect("made");
        let note = ledger.close();
        assert!(note.starts_with("note: all of this is in the register"), "{note}");
        assert!(note.contains("  because: `") && !note.contains("error:"), "{note}");
        let register = text(&dir.path().join(REGISTER));
        assert_eq!(register.matches("\"event\":\"sent\"").count(), 1);
    }

    #[test]
    fn a_reason_in_the_case_file_counts_once() {
        let dir = folder();
        let amended = Batch { amendment: Some("batch mistyped"), ..batch(None) };
        assert_eq!(issued(issue(dir.path(), &amended, "a")).len(), 2);
        assert_eq!(
            issued(issue(dir.path(), &amended, "b")),
            ["LFC-0117-operation-note-2.pdf", "LFC-0117-gp-letter-2.pdf"]
        );
        assert_eq!(
            issued(issue(dir.path(), &amended, "c")),
            ["reason wanted for 2"],
            "the reason is the old one"
        );
        let other = Batch { amendment: Some("time mistyped"), ..batch(None) };
        assert_eq!(
            issued(issue(dir.path(), &other, "c")),
            ["LFC-0117-operation-note-3.pdf", "LFC-0117-gp-letter-3.pdf"]
        );
    }

    #[test]
    fn a_register_that_vanishes_stops_the_run_and_leaves_no_document() {
        let dir = folder();
        let out = dir.path().join("out");
        let (ledger, _) = Ledger::open(&out).expect("opened");
        io::rename(&out.join(REGISTER), &dir.path().join("elsewhere")).expect("moved");
        assert!(issue_with(&ledger, &batch(None), maker("a")).is_err());
        assert!(!out.join("LFC-0117/LFC-0117-gp-letter-1.pdf").exists());
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
            let sent = |document, on| ledger.enter_sent(&parcel(document, on));
            assert_eq!(sent("gp-letter", "2026-11-24").map(|latest| latest.version).expect("entered"), 1);
            assert!(sent("gp-letter", "2026-11-23").is_err(), "before it was issued");
            assert!(matches!(sent("consent-form", "2026-11-24"), Err(Error::NeverIssued { .. })));
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
        ledger.enter_sent(&parcel("gp-letter", "2026-11-24")).expect("entered");
        assert_eq!(ledger.close(), "");
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
        io::write_new(&dir.path().join("LFC-0117/LFC-0117-gp-letter-1.pdf"), b"mine").expect("written");
        issued(issue(dir.path(), &batch(None), "a"));
        let verdict_now = verdict(dir.path()).expect("readable");
        let kinds: Vec<&str> = verdict_now.mismatches.iter().map(|mismatch| mismatch.kind).collect();
        assert_eq!((verdict_now.is_clean(), kinds), (true, vec!["set-aside"]));
        io::write_atomically(&dir.path().join("LFC-0117/LFC-0117-gp-letter-1.txt"), b"x").expect("written");
        assert!(matches!(issue(dir.path(), &batch(Some("why")), "b"), Err(Error::Twin(_))));
    }

    #[test]
    fn a_document_that_cannot_be_made_leaves_nothing() {
        let dir = folder();
        let (ledger, _) = Ledger::open(dir.path()).expect("opened");
        let fate = issue_with(&ledger, &batch(None), |paper, numbered, whose| match paper.document.name {
            "gp-letter" => Err(Error::Usage("no".into())),
            _ => maker("a")(paper, numbered, whose),
        });
        assert!(fate.is_err());
        assert!(!dir.path().join("LFC-0117").exists());
    }
}
