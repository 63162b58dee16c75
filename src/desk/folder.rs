//! The folder that was opened: its cases by reference, what is written into them, and how to undo it.
//!
//! A change is made to the text that the page was made from and to no other: the hash of what was read
//! comes with it. What somebody else has written meanwhile is never overwritten.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::case::{NodeKind, Reference};
use crate::case::{read_text, scan};
use crate::diagnostic::SourceText;
use crate::hash::sha256;
use crate::store::{Error, error, io};
use crate::units::TextValue as _;

use super::beside::Beside;

/// Changes of a case that can be undone.
const MOST_UNDONE: usize = 200;
/// Held while a case is written, so that two desks on one folder take turns.
const LOCK: &str = ".unguis-desk.lock";
/// What the desk keeps beside a case file begins and ends so.
const BESIDE: (&str, &str) = (".unguis-desk-", ".json");

/// Why a case could not be opened or written. Holds nothing of a case.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Problem {
    /// No file has this reference.
    #[error("there is no case of this reference in the folder")]
    NotThere,
    /// Several have.
    #[error("several files have this reference: give one of them another, in a text editor")]
    Several,
    /// It is no text.
    #[error("the file is no plain text in UTF-8")]
    NotText,
    /// It was changed since the page was made.
    #[error(
        "the file was changed meanwhile, here in another window or by another program; nothing was written"
    )]
    Changed,
    /// The change cannot be made.
    #[error("{0}; nothing was written")]
    Refused(#[from] crate::edit::Refused),
    /// There is nothing to undo.
    #[error("there is nothing to undo, or the file was changed since by another program")]
    NothingToUndo,
    /// The disk does not hold what was written to it.
    #[error("the file does not hold what was written: look at it, and at the disk")]
    NotWritten,
    /// The clinic file is a link to another folder.
    #[error(
        "`clinic.yaml` is a link that leads out of the folder, and the desk reads nothing outside it: put the file itself there"
    )]
    ClinicElsewhere,
    /// Files and folders.
    #[error("{}", error::chain(.0).trim())]
    Store(#[from] Error),
}

/// A case as it lies on the disk.
#[derive(Debug, Clone)]
pub(crate) struct Opened {
    /// Its file.
    pub(crate) path: PathBuf,
    /// Its bytes.
    pub(crate) bytes: Vec<u8>,
    /// Its text, without the mark of its encoding.
    pub(crate) text: String,
    /// The hash of its bytes.
    pub(crate) hash: String,
}

/// One case file of the folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Listed {
    /// Its file.
    pub(crate) path: PathBuf,
    /// Its reference, as far as it can be told.
    pub(crate) reference: Option<String>,
}

impl Listed {
    /// The case as it is now.
    pub(crate) fn read(&self) -> Result<Opened, Problem> {
        opened(self.path.clone())
    }
}

struct Step {
    before: Vec<u8>,
    /// Hash of what was written over it.
    after: String,
}

/// The folder.
pub(crate) struct Folder {
    dir: PathBuf,
    steps: Mutex<BTreeMap<String, Vec<Step>>>,
    known: Mutex<BTreeMap<PathBuf, (io::State, Option<String>)>>,
}

impl Folder {
    /// A folder that is there.
    ///
    /// # Errors
    /// One that is not.
    pub(crate) fn open(dir: &Path) -> Result<Folder, Error> {
        io::own_case_files(dir)?;
        if !io::is_not_elsewhere(&dir.join("clinic.yaml"), dir) {
            return Err(Error::Usage(Problem::ClinicElsewhere.to_string()));
        }
        Ok(Folder { dir: dir.to_owned(), steps: Mutex::default(), known: Mutex::default() })
    }

    /// Where it is.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }

    /// The clinic file.
    pub(crate) fn clinic(&self) -> PathBuf {
        self.dir.join("clinic.yaml")
    }

    /// Every case file, by name.
    pub(crate) fn list(&self) -> Result<Vec<Listed>, Problem> {
        let files = io::own_case_files(&self.dir)?;
        let mut known = locked(&self.known);
        let listed = files.into_iter().map(|path| {
            let state = io::state_of(&path);
            let reference = match (known.get(&path), state) {
                (Some((old, reference)), Some(now)) if *old == now => reference.clone(),
                _ => {
                    let reference = io::read_bytes(&path).ok().and_then(|bytes| reference_of(&bytes));
                    if let Some(state) = state {
                        known.insert(path.clone(), (state, reference.clone()));
                    }
                    reference
                }
            };
            Listed { path, reference }
        });
        Ok(listed.collect())
    }

    /// The file of a reference; of a name that is no reference there is none.
    fn find(&self, reference: &str) -> Result<PathBuf, Problem> {
        Reference::parse(reference).map_err(|_| Problem::NotThere)?;
        let mut found = self.list()?.into_iter().filter(|one| one.reference.as_deref() == Some(reference));
        let first = found.next().ok_or(Problem::NotThere)?;
        if found.next().is_some() { Err(Problem::Several) } else { Ok(first.path) }
    }

    /// A case as it is now.
    pub(crate) fn read(&self, reference: &str) -> Result<Opened, Problem> {
        if !io::is_not_elsewhere(&self.clinic(), &self.dir) {
            return Err(Problem::ClinicElsewhere);
        }
        let case = opened(self.find(reference)?)?;
        // Written between the look at the folder and this one.
        let is_it = reference_of(&case.bytes).as_deref() == Some(reference);
        is_it.then_some(case).ok_or(Problem::NotThere)
    }

    /// What is kept beside a case file.
    pub(crate) fn beside(&self, reference: &str) -> Beside {
        let bytes = io::read_if_there(&self.beside_of(reference)).ok().flatten();
        bytes.and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default()
    }

    /// Changes what is kept beside the file of a case that is there.
    pub(crate) fn keep_beside(
        &self,
        reference: &str,
        change: impl FnOnce(&mut Beside),
    ) -> Result<(), Problem> {
        self.find(reference)?;
        let _turn = self.turn()?;
        let before = self.beside(reference);
        let mut now = before.clone();
        change(&mut now);
        let path = self.beside_of(reference);
        if now == Beside::default() {
            io::remove_if_there(&path)?;
        } else if now != before {
            let text = serde_json::to_vec(&now).map_err(|_| Problem::NotWritten)?;
            io::write_atomically(&path, &text)?;
        }
        Ok(())
    }

    fn beside_of(&self, reference: &str) -> PathBuf {
        self.dir.join(format!("{}{reference}{}", BESIDE.0, BESIDE.1))
    }

    /// Makes changes of a case's text, all or none, and only if the file is still the one that the page
    /// was made from. Returns the case as it is then.
    pub(crate) fn change(
        &self,
        reference: &str,
        seen: &str,
        change: impl FnOnce(&str) -> Result<String, Problem>,
    ) -> Result<Opened, Problem> {
        let _turn = self.turn()?;
        let case = self.read(reference)?;
        if case.hash != seen {
            return Err(Problem::Changed);
        }
        let text = change(&case.text)?;
        if text == case.text {
            return Ok(case);
        }
        let mark = case.bytes.len() - case.text.len();
        let bytes = [&case.bytes[..mark], text.as_bytes()].concat();
        let after = sha256(&bytes);
        let written = write(&case, &bytes)?;
        let mut steps = locked(&self.steps);
        let steps = steps.entry(reference.to_owned()).or_default();
        steps.push(Step { before: case.bytes, after });
        let too_many = steps.len().saturating_sub(MOST_UNDONE);
        steps.drain(..too_many);
        Ok(written)
    }

    /// Takes the last change back, if the file is still as that change left it.
    pub(crate) fn undo(&self, reference: &str) -> Result<Opened, Problem> {
        let _turn = self.turn()?;
        let case = self.read(reference)?;
        let mut steps = locked(&self.steps);
        let steps = steps.get_mut(reference).ok_or(Problem::NothingToUndo)?;
        let step = steps.pop_if(|step| step.after == case.hash).ok_or(Problem::NothingToUndo)?;
        match write(&case, &step.before) {
            Ok(written) => Ok(written),
            Err(problem) => {
                steps.push(step);
                Err(problem)
            }
        }
    }

    /// There is a change that could be taken back.
    pub(crate) fn can_undo(&self, reference: &str, hash: &str) -> bool {
        let steps = locked(&self.steps);
        steps.get(reference).and_then(|steps| steps.last()).is_some_and(|step| step.after == hash)
    }

    /// Windows of one desk, and desks on one folder, write one after the other.
    fn turn(&self) -> Result<io::Lock, Problem> {
        Ok(io::lock(&self.dir.join(LOCK), || {})?)
    }
}

/// Writes a case that is still as it was read, and reads it again.
fn write(case: &Opened, bytes: &[u8]) -> Result<Opened, Problem> {
    io::replace(&case.path, bytes, |now| sha256(now) == case.hash)?.then_some(()).ok_or(Problem::Changed)?;
    let written = opened(case.path.clone())?;
    if written.bytes == bytes { Ok(written) } else { Err(Problem::NotWritten) }
}

fn opened(path: PathBuf) -> Result<Opened, Problem> {
    let bytes = io::read_bytes(&path)?;
    let source = read_text("", &bytes).map_err(|_| Problem::NotText)?;
    Ok(Opened { path, hash: sha256(&bytes), text: source.text().to_owned(), bytes })
}

/// The reference of a case file, also of one that is otherwise not filled in.
fn reference_of(bytes: &[u8]) -> Option<String> {
    let source = read_text("", bytes).ok()?;
    let (tree, _) = scan(&std::sync::Arc::new(SourceText::new("", source.text())));
    let NodeKind::Block(entries) = tree?.kind else { return None };
    let (_, _, value) = entries.into_iter().find(|(key, _, _)| key == "reference")?;
    let NodeKind::Scalar { text, .. } = value.kind else { return None };
    Some(Reference::parse(&text).ok()?.to_string())
}

fn locked<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Path as At;
    use crate::edit::{Change, Value, apply};

    fn folder(text: &str) -> (tempfile::TempDir, Folder) {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        io::write_new(&dir.path().join("A-1.yaml"), text.as_bytes()).expect("written");
        let folder = Folder::open(dir.path()).expect("it is there");
        (dir, folder)
    }

    fn set(folder: &Folder, seen: &str, value: &str) -> Result<Opened, Problem> {
        folder.change("A-1", seen, |text| {
            Ok(apply(text, &At::from("a"), &Change::Set(Value::text(value)), &|_| Vec::new())?)
        })
    }

    #[test]
    fn what_was_read_is_changed_and_undone_and_nothing_else() {
        let (dir, folder) = folder("reference: A-1\na: one\n");
        let path = dir.path().join("A-1.yaml");
        let first = folder.read("A-1").expect("read");
        let second = set(&folder, &first.hash, "two").expect("written");
        assert_eq!(second.text, "reference: A-1\na: two\n");
        // The other window still shows what was there before.
        assert!(matches!(set(&folder, &first.hash, "three"), Err(Problem::Changed)));
        assert_eq!(io::read_bytes(&path).expect("read"), second.bytes);
        // Another program writes: nothing is taken back over it.
        io::write_atomically(&path, b"reference: A-1\na: theirs\n").expect("written");
        assert!(matches!(folder.undo("A-1"), Err(Problem::NothingToUndo)));
        assert!(matches!(set(&folder, &second.hash, "three"), Err(Problem::Changed)));
        io::write_atomically(&path, &second.bytes).expect("written");
        assert_eq!(folder.undo("A-1").expect("undone").bytes, first.bytes);
        assert!(matches!(folder.undo("A-1"), Err(Problem::NothingToUndo)));
    }

    #[cfg(unix)]
    #[test]
    fn the_file_becomes_the_owners_only_and_keeps_the_mark_of_its_encoding() {
        use std::os::unix::fs::PermissionsExt;
        let (dir, folder) = folder("\u{feff}reference: A-1\r\na: one\r\n");
        let first = folder.read("A-1").expect("read");
        let second = set(&folder, &first.hash, "two").expect("written");
        assert_eq!(second.bytes, "\u{feff}reference: A-1\r\na: two\r\n".as_bytes());
        let mode = std::fs::metadata(dir.path().join("A-1.yaml")).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }

    #[test]
    fn only_a_reference_of_this_folder_names_a_file() {
        let (dir, folder) = folder("reference: A-1\n");
        for name in ["..", "../A-1", "A-1.yaml", "a-1", "", "/etc/passwd", "A-2", "A-1\0", "clinic"] {
            assert!(matches!(folder.read(name), Err(Problem::NotThere)), "{name}");
        }
        io::write_new(&dir.path().join("copy.yaml"), b"reference: A-1\n").expect("written");
        assert!(matches!(folder.read("A-1"), Err(Problem::Several)));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leads_out_of_the_folder_is_no_case() {
        let (dir, folder) = folder("reference: A-1\n");
        let outside = tempfile::tempdir().expect("a temporary folder can be made");
        io::write_new(&outside.path().join("B-1.yaml"), b"reference: B-1\n").expect("written");
        std::os::unix::fs::symlink(outside.path().join("B-1.yaml"), dir.path().join("B-1.yaml"))
            .expect("linked");
        assert!(matches!(folder.read("B-1"), Err(Problem::NotThere)));
        // Nor is a clinic file elsewhere read; one beside it is.
        io::write_new(&outside.path().join("clinic.yaml"), b"name: Elsewhere\n").expect("written");
        io::write_new(&dir.path().join("ours.yaml.txt"), b"name: Here\n").expect("written");
        let link = dir.path().join("clinic.yaml");
        for (target, is_read) in [
            (outside.path().join("clinic.yaml"), false),
            (dir.path().join("ours.yaml.txt"), true),
            (dir.path().join("nothing"), false),
        ] {
            std::os::unix::fs::symlink(&target, &link).expect("linked");
            assert_eq!(folder.read("A-1").is_ok(), is_read, "{}", target.display());
            assert_eq!(Folder::open(dir.path()).is_ok(), is_read, "{}", target.display());
            std::fs::remove_file(&link).expect("removed");
        }
    }

    #[test]
    fn what_is_kept_beside_a_case_is_the_owners_only_and_goes_when_it_is_settled() {
        let (dir, folder) = folder("reference: A-1\n");
        let typed = |beside: &mut Beside| drop(beside.typed.insert("=a".to_owned(), "half a wo".to_owned()));
        folder.keep_beside("A-1", typed).expect("kept");
        // Another desk on the folder, or the same one after it was killed.
        let other = Folder::open(dir.path()).expect("it is there");
        assert_eq!(other.beside("A-1").typed["=a"], "half a wo");
        assert!(folder.keep_beside("../A-1", typed).is_err() && folder.keep_beside("A-2", typed).is_err());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let file = dir.path().join(".unguis-desk-A-1.json");
            assert_eq!(std::fs::metadata(file).expect("there").permissions().mode() & 0o777, 0o600);
        }
        folder.keep_beside("A-1", |beside| beside.typed.clear()).expect("kept");
        let names = io::names_in(dir.path());
        assert!(names.iter().all(|name| !name.ends_with(".json")), "{names:?}");
    }
}
