//! Copies of a folder of issued documents, of which at any moment one is whole.
//!
//! ```text
//! DIR/.unguis-backup     says which copy is the last whole one: replaced in one step, and last of all
//! DIR/copy-0007/         the copy before
//! DIR/copy-0008/         the last one; `unguis verify DIR` looks at it
//! ```
//!
//! A copy is made beside the others under another name, synced, verified and renamed; only then does the mark name
//! it, and only then does the one before the last go. So whenever the process or the power ends, the mark names a
//! whole copy, and what is unfinished is swept away by the next run. Issued files never change, so a file that lies
//! in the copy before gets a second name in the new one where the disk can do that; the register and whatever may
//! change is written anew.
//!
//! A copy also knows what the folder was: if lines of the register that were copied are not in the folder any more,
//! it is an older one or another, and nothing is copied.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::register::chain::Register;
use crate::register::end::{EndMark, Expected};
use crate::register::entry::Event;
use crate::register::verify::{LOCK, Verdict, as_expected, is_temporary, registered};
use crate::store::verdict::{Known, verdict, verdict_of};
use crate::store::{Error, io, ledger};
use crate::words::Shown;

/// The mark of a folder of copies.
const MARK: &str = ".unguis-backup";
/// Held while a copy is made or looked at.
const LOCK_OF_COPIES: &str = ".unguis-backup.lock";
/// The name of a copy begins so, and goes on with its number.
const COPY: &str = "copy-";
/// The end of the name of a copy that is not finished.
const UNFINISHED: &str = ".unfinished";
/// The form of the mark.
const FORMAT: u32 = 1;

/// What the mark says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Mark {
    format: u32,
    /// The last whole copy; none before the first is finished.
    last: Option<CopyOf>,
    /// The name of the one before it.
    before: Option<String>,
}

/// One copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CopyOf {
    /// The name of its folder.
    name: String,
    /// When it was made, in UTC.
    made: String,
    /// How far the register had come.
    end: EndMark,
}

/// What became of the wish for a copy.
#[derive(Debug)]
pub(crate) enum Fate {
    /// The folder is damaged: the last copy is better, and was left as it is.
    Refused(Verdict),
    /// There is a new copy.
    Copied(Box<Report>),
}

/// A copy that was made.
#[derive(Debug)]
pub(crate) struct Report {
    /// Its folder.
    pub(crate) folder: PathBuf,
    /// How many files it holds.
    pub(crate) files: usize,
    /// How it stands against its register.
    pub(crate) verdict: Verdict,
    /// What has changed since the copy before; `None` for the first.
    pub(crate) since: Option<Since>,
}

/// What has changed since an earlier copy.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Since {
    /// When that one was made, in UTC.
    pub(crate) made: String,
    /// Versions that were issued.
    pub(crate) issued: usize,
    /// Entries of what has gone or was taken back.
    pub(crate) entered: usize,
    /// Other files that are new, without the register's own.
    pub(crate) new: Vec<String>,
    /// Those that hold something else now.
    pub(crate) changed: Vec<String>,
    /// Those that are not there any more.
    pub(crate) gone: Vec<String>,
}

/// Copies a folder of issued documents.
///
/// # Errors
/// No register; a folder of copies that holds something else, lies in the folder itself, or knows more than it; a
/// file that cannot be read or written. The last copy is then as it was.
pub(crate) fn backup(out: &Path, dir: &Path, with_faults: bool) -> Result<Fate, Error> {
    by_steps(out, dir, with_faults, true, &mut || Ok(()))
}

/// `step` is called before each change of the disk; where it fails, the copy ends there. `tidies` removes what is
/// then unfinished, which a crash cannot.
fn by_steps(
    out: &Path,
    dir: &Path,
    with_faults: bool,
    tidies: bool,
    step: &mut dyn FnMut() -> Result<(), Error>,
) -> Result<Fate, Error> {
    let Some(read) = ledger::read(out)? else {
        return Err(Error::Usage(format!(
            "there is no register in `{}`: nothing was issued there",
            out.shown()
        )));
    };
    must_be_apart(out, dir)?;
    let mark = mark_of(dir)?;
    let source = verdict_of(out, Some(&read), Known::default())?;
    if !with_faults && source.mismatches.iter().any(crate::register::verify::Mismatch::is_loss) {
        return Ok(Fate::Refused(source));
    }
    must_not_be_ahead(out, dir, mark.as_ref(), &read.register)?;
    step()?;
    io::create_folder(dir)?;
    let _lock = io::lock(&dir.join(LOCK_OF_COPIES), || {
        io::eprint(&format!("waiting for another copy into `{}`\n", dir.shown()));
    })?;
    // Another run may have come first.
    let mark = match mark_of(dir)? {
        Some(mark) => mark,
        None => {
            let mark = Mark { format: FORMAT, last: None, before: None };
            step()?;
            write_mark(dir, &mark)?;
            mark
        }
    };
    must_not_be_ahead(out, dir, Some(&mark), &read.register)?;
    sweep(dir, &mark, step)?;
    let number = mark.last.as_ref().and_then(|last| number_of(&last.name)).unwrap_or_default() + 1;
    let name = format!("{COPY}{number:04}");
    let unfinished = dir.join(format!("{name}{UNFINISHED}"));
    let previous = mark.last.as_ref().map(|last| dir.join(&last.name));
    let job = Job { out, unfinished: &unfinished, previous: previous.as_deref(), register: &read.register };
    let filled = job.fill(&source, step);
    let (files, mut verdict) = match filled {
        Ok(filled) => filled,
        Err(problem) => {
            if tidies {
                let _ = io::remove_folder(&unfinished);
            }
            return Err(problem);
        }
    };
    let since = match (&mark.last, &previous) {
        (Some(last), Some(previous)) => Some(since(last, previous, &unfinished, &read.register)?),
        _ => None,
    };
    let folder = dir.join(&name);
    step()?;
    io::rename(&unfinished, &folder)?;
    io::sync_folder(dir)?;
    let last = CopyOf { name, made: io::now(), end: read.register.end() };
    let mark = Mark { format: FORMAT, before: mark.last.map(|last| last.name), last: Some(last) };
    step()?;
    write_mark(dir, &mark)?;
    sweep(dir, &mark, step)?;
    verdict.mismatches.retain(|found| found.is_fault);
    Ok(Fate::Copied(Box::new(Report { folder, files, verdict, since })))
}

/// What a copy is made of.
struct Job<'a> {
    out: &'a Path,
    unfinished: &'a Path,
    previous: Option<&'a Path>,
    register: &'a Register,
}

impl Job<'_> {
    /// Fills the folder, waits until all of it is on the disk, and verifies it. Returns how many files it holds.
    fn fill(
        &self,
        source: &Verdict,
        step: &mut dyn FnMut() -> Result<(), Error>,
    ) -> Result<(usize, Verdict), Error> {
        let registered = registered(self.register);
        let mut folders = BTreeSet::from([self.unfinished.to_owned()]);
        step()?;
        io::create_folder(self.unfinished)?;
        let mut files = 0;
        for found in io::list(self.out, |_, _| false)? {
            if found.lies != Ok(io::Lies::File) || found.path == LOCK || is_temporary(&found.path) {
                continue;
            }
            let to = self.unfinished.join(&found.path);
            if let Some(folder) = to.parent().filter(|folder| folders.insert((*folder).to_owned())) {
                step()?;
                io::create_folder(folder)?;
            }
            step()?;
            let is_same =
                |previous: &Path| registered.contains_key(&found.path) && io::link_new(previous, &to);
            if self.previous.is_some_and(|previous| is_same(&previous.join(&found.path)))
                || io::copy_new(&self.out.join(&found.path), &to)?
            {
                files += 1;
            }
        }
        for folder in &folders {
            step()?;
            io::sync_folder(folder)?;
        }
        let verdict = self.as_in_the_source(source, step)?;
        Ok((files, verdict))
    }

    /// The copy may have no fault that the folder itself has not. A file that only has a second name here may have
    /// been damaged in the copy before: it is written anew.
    fn as_in_the_source(
        &self,
        source: &Verdict,
        step: &mut dyn FnMut() -> Result<(), Error>,
    ) -> Result<Verdict, Error> {
        let known: BTreeSet<&str> = faults(source).collect();
        let first = verdict(self.unfinished, Known::default())?;
        let worse: Vec<String> =
            faults(&first).filter(|path| !known.contains(path)).map(str::to_owned).collect();
        if worse.is_empty() {
            return Ok(first);
        }
        for path in &worse {
            step()?;
            let to = self.unfinished.join(path);
            io::remove_if_there(&to)?;
            io::copy_new(&self.out.join(path), &to)?;
            if let Some(folder) = to.parent() {
                io::sync_folder(folder)?;
            }
        }
        let second = verdict(self.unfinished, Known::default())?;
        let still = faults(&second).find(|path| !known.contains(path)).map(str::to_owned);
        match still {
            None => Ok(second),
            Some(path) => Err(Error::Usage(format!(
                "`{}` is not what was copied: the disk may be failing; the copy before is as it was",
                self.unfinished.join(path).shown()
            ))),
        }
    }
}

fn faults(verdict: &Verdict) -> impl Iterator<Item = &str> {
    verdict.mismatches.iter().filter(|found| found.is_fault).map(|found| found.path.as_str())
}

/// Where `unguis verify` is asked about a folder of copies, the last whole one, which stays while the lock is held;
/// `None` if it is no such folder.
///
/// # Errors
/// A mark that is damaged, or no copy yet.
pub(crate) fn last_copy(dir: &Path) -> Result<Option<(PathBuf, Option<io::Lock>)>, Error> {
    if io::lies(&dir.join(MARK)).is_none() {
        return Ok(None);
    }
    let lock = io::lock_to_read(&dir.join(LOCK_OF_COPIES), || {
        io::eprint(&format!("waiting for a copy into `{}`\n", dir.shown()));
    })?;
    match mark_of(dir)?.and_then(|mark| mark.last) {
        Some(last) => Ok(Some((dir.join(last.name), lock))),
        None => Err(Error::Usage(format!("no copy was finished in `{}` yet", dir.shown()))),
    }
}

/// Nothing is issued into a copy: it would no longer be one.
///
/// # Errors
/// It is a folder of copies, or one of them.
pub(crate) fn must_be_none(out: &Path) -> Result<(), Error> {
    let is_marked = |folder: &Path| io::lies(&folder.join(MARK)).is_some();
    let is_copy = out.file_name().is_some_and(|name| name.to_string_lossy().starts_with(COPY))
        && out.parent().is_some_and(is_marked);
    if is_copy || is_marked(out) {
        return Err(Error::Usage(format!(
            "`{}` is a backup: nothing is entered there; to use it, copy the newest `{COPY}…` in it to where you work",
            out.shown()
        )));
    }
    Ok(())
}

/// Neither lies in the other.
fn must_be_apart(out: &Path, dir: &Path) -> Result<(), Error> {
    // A folder of which not even the one above is there lies elsewhere.
    let (Ok(from), Ok(to)) = (io::real_place(out), io::real_place(dir)) else { return Ok(()) };
    if from.starts_with(&to) || to.starts_with(&from) {
        return Err(Error::Usage(format!(
            "`{}` and `{}` lie in one another: a copy belongs elsewhere, best on another disk",
            dir.shown(),
            out.shown()
        )));
    }
    Ok(())
}

/// The mark of a folder; `None` for one that is new or empty.
///
/// # Errors
/// Something else lies there, or the mark is damaged.
fn mark_of(dir: &Path) -> Result<Option<Mark>, Error> {
    if io::lies(dir).is_none() {
        return Ok(None);
    }
    if !io::is_folder(dir) {
        return Err(Error::InTheWay { path: dir.to_owned(), is: "no folder", wanted: "folder" });
    }
    let Some(text) = io::read_kept(&dir.join(MARK))? else {
        let others =
            io::names_in(dir).into_iter().filter(|name| name != LOCK_OF_COPIES && !is_temporary(name));
        return if others.count() == 0 { Ok(None) } else { Err(Error::NotEmpty(dir.to_owned())) };
    };
    let mark: Option<Mark> = serde_json::from_slice(&text).ok();
    let names_copies = |mark: &Mark| {
        let names = mark.last.iter().map(|last| &last.name).chain(&mark.before);
        mark.format == FORMAT && names.into_iter().all(|name| number_of(name).is_some())
    };
    mark.filter(names_copies).map(Some).ok_or_else(|| {
        Error::Usage(format!(
            "`{}` is damaged or of another version: which copy is whole cannot be told; look at each with \
             `unguis verify`, and copy into a new folder",
            dir.join(MARK).shown()
        ))
    })
}

fn write_mark(dir: &Path, mark: &Mark) -> Result<(), Error> {
    let text = serde_json::to_vec_pretty(mark).unwrap_or_default();
    io::write_atomically(&dir.join(MARK), &text)
}

/// `copy-0012` has the number 12.
fn number_of(name: &str) -> Option<u32> {
    let digits = name.strip_prefix(COPY).filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()))?;
    digits.parse().ok()
}

/// The folder holds every line that the last copy holds.
fn must_not_be_ahead(out: &Path, dir: &Path, mark: Option<&Mark>, register: &Register) -> Result<(), Error> {
    let Some(last) = mark.and_then(|mark| mark.last.as_ref()) else { return Ok(()) };
    let expected = Expected { lines: last.end.lines, hash: last.end.last.clone() };
    match as_expected(register, &expected) {
        None => Ok(()),
        Some(_) => Err(Error::Usage(format!(
            "the register in `{0}` is not the one of which `{1}` holds a copy of {2}, or an older one was put back: \
             {3} lines were copied then, and they are not all there. Nothing was copied; look at both with \
             `unguis verify`, and copy another register into a folder of its own",
            out.shown(),
            dir.join(&last.name).shown(),
            last.made,
            last.end.lines
        ))),
    }
}

/// Removes what is neither the last copy nor the one before it.
fn sweep(dir: &Path, mark: &Mark, step: &mut dyn FnMut() -> Result<(), Error>) -> Result<(), Error> {
    let kept = [mark.last.as_ref().map(|last| last.name.as_str()), mark.before.as_deref()];
    for name in io::names_in(dir) {
        let is_ours = number_of(name.strip_suffix(UNFINISHED).unwrap_or(&name)).is_some();
        if is_ours
            && !kept.contains(&Some(name.as_str()))
            && io::lies(&dir.join(&name)) == Some(io::Lies::Folder)
        {
            step()?;
            io::remove_folder(&dir.join(&name))?;
        }
    }
    Ok(())
}

/// What has changed from the copy before to the new one.
fn since(last: &CopyOf, previous: &Path, now: &Path, register: &Register) -> Result<Since, Error> {
    let mut since = Since { made: last.made.clone(), ..Since::default() };
    for (line, event) in &register.events {
        if *line > last.end.lines {
            match event {
                Event::Issued(_) => since.issued += 1,
                Event::Sent(_) | Event::Undone(_) => since.entered += 1,
            }
        }
    }
    let registered = registered(register);
    let others = |folder: &Path| -> Result<BTreeMap<String, Option<Result<String, String>>>, Error> {
        let is_other = |path: &str| !registered.contains_key(path) && !is_own(path);
        let found = io::list(folder, |path, _| is_other(path))?.into_iter();
        let found = found.filter(|found| found.lies == Ok(io::Lies::File) && is_other(&found.path));
        Ok(found.map(|found| (found.path, found.sha256)).collect())
    };
    // A copy that somebody took away has nothing to compare with.
    let before = if io::is_folder(previous) { others(previous)? } else { BTreeMap::new() };
    let now = others(now)?;
    for (path, hash) in &now {
        match before.get(path) {
            None => since.new.push(path.clone()),
            Some(old) if old != hash => since.changed.push(path.clone()),
            Some(_) => {}
        }
    }
    since.gone = before.into_keys().filter(|path| !now.contains_key(path)).collect();
    Ok(since)
}

/// The register's own files, which change with every line.
fn is_own(path: &str) -> bool {
    path == ".gitignore" || path.starts_with(".register.") || path.starts_with("register.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hash::sha256;
    use crate::register::end::END;
    use crate::register::entry::{Issued, tests::issued};
    use crate::register::verify::REGISTER;

    /// A folder in which so many versions of one letter were issued.
    fn folder(versions: u32) -> tempfile::TempDir {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        grow(dir.path(), versions);
        dir
    }

    /// Issues up to a version into a folder.
    fn grow(out: &Path, versions: u32) {
        let (mut register, mut lines) = (Register::default(), String::new());
        for version in 1..=versions {
            let [pdf, text] = ["pdf", "text"].map(|what| format!("{what} of version {version}"));
            let entry = Issued {
                pdf_sha256: sha256(pdf.as_bytes()),
                pdf_bytes: pdf.len() as u64,
                text_sha256: sha256(text.as_bytes()),
                text_bytes: text.len() as u64,
                ..issued("gp-letter", version)
            };
            io::write_atomically(&out.join(&entry.file), pdf.as_bytes()).expect("written");
            io::write_atomically(&out.join(entry.text_file()), text.as_bytes()).expect("written");
            lines.push_str(&register.append(Event::Issued(entry)));
        }
        io::write_atomically(&out.join(REGISTER), lines.as_bytes()).expect("written");
        io::write_atomically(&out.join(END), register.end().text().as_bytes()).expect("written");
    }

    fn copied(out: &Path, dir: &Path) -> Report {
        match backup(out, dir, false).expect("copied") {
            Fate::Copied(report) => *report,
            Fate::Refused(verdict) => panic!("{:?}", verdict.mismatches),
        }
    }

    /// How many lines the last whole copy has, which must be as it was issued.
    fn whole_lines(dir: &Path) -> usize {
        let (copy, _lock) = last_copy(dir).expect("a whole mark").expect("a folder of copies");
        let verdict = verdict(&copy, Known::default()).expect("readable");
        assert!(verdict.is_clean(), "{:?}", verdict.mismatches);
        verdict.whole / 2
    }

    #[test]
    fn a_copy_is_whole_and_the_next_says_what_has_changed() {
        let (out, top) = (folder(1), tempfile::tempdir().expect("a temporary folder can be made"));
        let dir = top.path().join("disk/copies");
        let first = copied(out.path(), &dir);
        assert_eq!((first.files, first.since, whole_lines(&dir)), (4, None, 1));
        grow(out.path(), 3);
        io::write_atomically(&out.path().join("lists/day.pdf"), b"list").expect("written");
        let second = copied(out.path(), &dir);
        let since = second.since.expect("there was one before");
        assert_eq!(
            (since.issued, since.entered, since.new.as_slice()),
            (2, 0, &["lists/day.pdf".to_owned()][..])
        );
        assert_eq!(whole_lines(&dir), 3);
        io::write_atomically(&out.path().join("lists/day.pdf"), b"other").expect("written");
        let third = copied(out.path(), &dir).since.expect("there was one before");
        assert_eq!((third.issued, third.changed.len(), third.gone.len()), (0, 1, 0));
        let names = io::names_in(&dir);
        assert_eq!(names, [MARK, LOCK_OF_COPIES, "copy-0002", "copy-0003"], "the last and the one before");
    }

    /// The process ends before each step there is, from the first copy and from a later one.
    #[test]
    fn ended_at_any_step_the_old_copy_or_the_new_one_is_whole() {
        for is_first in [true, false] {
            for at in 0.. {
                let (out, dir) = (folder(1), tempfile::tempdir().expect("a temporary folder can be made"));
                if !is_first {
                    copied(out.path(), dir.path());
                    copied(out.path(), dir.path());
                    grow(out.path(), 2);
                }
                let mut left = at;
                let mut step = || match left {
                    0 => Err(Error::Stopped),
                    _ => {
                        left -= 1;
                        Ok(())
                    }
                };
                let ended = by_steps(out.path(), dir.path(), false, false, &mut step);
                let is_over = ended.is_ok();
                match last_copy(dir.path()) {
                    Ok(Some(_)) => assert!((1..=2).contains(&whole_lines(dir.path())), "{at}"),
                    Ok(None) | Err(Error::Usage(_)) => {
                        assert!(is_first && !is_over, "{at}: no copy any more")
                    }
                    Err(problem) => panic!("{at}: {problem}"),
                }
                copied(out.path(), dir.path());
                assert_eq!(
                    whole_lines(dir.path()),
                    if is_first { 1 } else { 2 },
                    "{at}: the next run completes it"
                );
                assert!(!io::names_in(dir.path()).iter().any(|name| name.ends_with(UNFINISHED)), "{at}");
                if is_over {
                    assert!(at > 8, "only {at} steps were tried");
                    break;
                }
            }
        }
    }

    #[test]
    fn what_holds_something_else_or_knows_more_is_left_alone() {
        let out = folder(2);
        let other = tempfile::tempdir().expect("a temporary folder can be made");
        io::write_new(&other.path().join("photos.txt"), b"mine").expect("written");
        assert!(matches!(backup(out.path(), other.path(), true), Err(Error::NotEmpty(_))));
        assert_eq!(io::names_in(other.path()), ["photos.txt"]);
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        copied(out.path(), dir.path());
        // An older folder is put back; then another clinic's.
        for earlier in [folder(1), folder(0)] {
            let refused = backup(earlier.path(), dir.path(), true);
            assert!(matches!(refused, Err(Error::Usage(says)) if says.contains("older one was put back")));
            assert_eq!(whole_lines(dir.path()), 2);
        }
        for inside in [out.path().join("copies"), out.path().to_owned()] {
            assert!(matches!(backup(out.path(), &inside, false), Err(Error::Usage(_))));
            assert!(!inside.join(MARK).exists());
        }
        assert!(matches!(must_be_none(dir.path()), Err(Error::Usage(_))));
        assert!(matches!(must_be_none(&dir.path().join("copy-0001")), Err(Error::Usage(_))));
        assert!(must_be_none(out.path()).is_ok());
        io::write_atomically(&dir.path().join(MARK), b"{").expect("written");
        assert!(
            matches!(backup(out.path(), dir.path(), false), Err(Error::Usage(says)) if says.contains("damaged"))
        );
    }

    #[test]
    fn a_damaged_folder_is_not_copied_over_a_good_copy() {
        let (out, dir) = (folder(2), tempfile::tempdir().expect("a temporary folder can be made"));
        copied(out.path(), dir.path());
        let pdf = out.path().join(issued("gp-letter", 1).file);
        io::write_atomically(&pdf, b"something else").expect("written");
        let refused = backup(out.path(), dir.path(), false).expect("looked at");
        assert!(matches!(refused, Fate::Refused(verdict) if verdict.mismatches.len() == 1));
        assert_eq!(whole_lines(dir.path()), 2);
        let Fate::Copied(report) = backup(out.path(), dir.path(), true).expect("copied") else {
            panic!("asked for")
        };
        assert_eq!(report.verdict.mismatches.len(), 0, "the good file of the copy before is kept");
    }

    /// A file that was damaged in the copy before does not get a second name.
    #[test]
    fn damage_in_the_copy_before_does_not_spread() {
        let (out, dir) = (folder(1), tempfile::tempdir().expect("a temporary folder can be made"));
        let first = copied(out.path(), dir.path());
        let inside = first.folder.join(issued("gp-letter", 1).file);
        let length = io::read_bytes(&inside).expect("readable").len();
        io::cut(&inside, length as u64 - 1).expect("cut");
        copied(out.path(), dir.path());
        assert_eq!(whole_lines(dir.path()), 1);
    }
}
