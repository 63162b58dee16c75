//! The only place that touches files, the environment, the terminal and the clock.
//!
//! A file of a patient is written whole or not at all: to a temporary file in the same folder,
//! synced, then renamed. Files are readable by their owner only, or by a group where the folder says so
//! ([`is_shared`]). What unguis keeps itself is a regular file and nothing else: no link is followed to it.
//! Nothing here knows what a case or a register is.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::hash::{BuildHasher, Hasher, RandomState};
use std::io::{ErrorKind, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant, SystemTime};

use chrono::{NaiveTime, Timelike};

use crate::date::{CivilDate, TimeOfDay};
use crate::hash::Sum;
use crate::store::Error;
use crate::words::{Shown, visible};

/// Every temporary file begins so; it is hidden, and no document can be called so.
pub const TEMPORARY_PREFIX: &str = ".unguis-";
/// And ends so.
pub const TEMPORARY_SUFFIX: &str = ".tmp";
/// Temporary files of an issue: whoever holds the lock of the register may remove them at once.
const ISSUE_PREFIX: &str = ".unguis-issue-";
/// A temporary file of another command may be in use; after this long it is not.
const ABANDONED_AFTER: Duration = Duration::from_secs(60 * 60);
/// Owner only: documents hold what is said between a patient and a clinic.
#[cfg(unix)]
const FOLDER_MODE: u32 = 0o700;
/// Files larger than this are refused before they are read into memory, bytes.
const MAX_INPUT: u64 = 8 * 1024 * 1024;
/// The same for files that unguis keeps itself: a register of a million lines has less.
const MAX_KEPT: u64 = 1024 * 1024 * 1024;
/// Files are hashed and copied in pieces of so many bytes.
const PIECE: usize = 64 * 1024;

// ---------------------------------------------------------------------------------------- reading

/// A file's bytes.
///
/// # Errors
/// A file that cannot be read, or is larger than 8 MiB.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Error> {
    let failed = |source| Error::io("read", path, source);
    let mut bytes = Vec::new();
    File::open(path).map_err(failed)?.take(MAX_INPUT + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MAX_INPUT {
        return Err(Error::Usage(format!("`{}` is larger than 8 MiB: that is no case file", path.shown())));
    }
    Ok(bytes)
}

/// The bytes of the clinic file.
///
/// # Errors
/// There is none, or it cannot be read.
pub fn read_clinic_file(path: &Path) -> Result<Vec<u8>, Error> {
    match read_bytes(path) {
        Err(Error::Io { source, .. }) if source.kind() == ErrorKind::NotFound => {
            Err(Error::NoClinic(path.to_owned()))
        }
        other => other,
    }
}

/// A file's bytes however large, or `None` if there is no such file.
///
/// # Errors
/// A file that is there but cannot be read.
pub fn read_if_there(path: &Path) -> Result<Option<Vec<u8>>, Error> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(source) if source.kind() == ErrorKind::NotFound => Ok(None),
        Err(source) => Err(Error::io("read", path, source)),
    }
}

/// What lies under a name; a link is not followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lies {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// Whatever else, in words: `a link`.
    Other(&'static str),
}

impl Lies {
    fn of(kind: fs::FileType) -> Lies {
        if kind.is_file() {
            return Lies::File;
        }
        if kind.is_dir() {
            return Lies::Folder;
        }
        if kind.is_symlink() {
            return Lies::Other("a link");
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::FileTypeExt;
            if kind.is_fifo() {
                return Lies::Other("a named pipe");
            }
            if kind.is_socket() {
                return Lies::Other("a socket");
            }
        }
        Lies::Other("a device")
    }

    fn words(self) -> &'static str {
        match self {
            Lies::File => "a file",
            Lies::Folder => "a folder",
            Lies::Other(words) => words,
        }
    }
}

/// Opens a file that unguis keeps itself: a regular one, or none at all. What is a link, a pipe or a device is
/// neither followed nor waited for, whatever somebody exchanges meanwhile.
fn open_kept(options: &mut OpenOptions, tried: &'static str, path: &Path) -> Result<Option<File>, Error> {
    let is_there = |meta: fs::Metadata| match Lies::of(meta.file_type()) {
        Lies::File => Ok(()),
        lies => Err(Error::InTheWay { path: path.to_owned(), is: lies.words(), wanted: "file" }),
    };
    match fs::symlink_metadata(path) {
        Ok(meta) => is_there(meta)?,
        Err(source) if source.kind() == ErrorKind::NotFound => return Ok(None),
        Err(source) => return Err(Error::io(tried, path, source)),
    }
    #[cfg(unix)]
    {
        use nix::libc::{O_NOFOLLOW, O_NONBLOCK};
        std::os::unix::fs::OpenOptionsExt::custom_flags(options, O_NOFOLLOW | O_NONBLOCK);
    }
    match options.open(path) {
        Ok(file) => {
            is_there(file.metadata().map_err(|source| Error::io(tried, path, source))?)?;
            Ok(Some(file))
        }
        Err(source) if source.kind() == ErrorKind::NotFound => Ok(None),
        Err(source) => Err(Error::io(tried, path, source)),
    }
}

/// The bytes of a file that unguis keeps itself, or `None` if there is no such file.
///
/// # Errors
/// Something else in its place, or a file that is there but cannot be read.
pub fn read_kept(path: &Path) -> Result<Option<Vec<u8>>, Error> {
    let Some(file) = open_kept(OpenOptions::new().read(true), "read", path)? else { return Ok(None) };
    let mut bytes = Vec::new();
    file.take(MAX_KEPT + 1).read_to_end(&mut bytes).map_err(|source| Error::io("read", path, source))?;
    if bytes.len() as u64 > MAX_KEPT {
        return Err(Error::Usage(format!("`{}` is larger than 1 GiB: no file of unguis is", path.shown())));
    }
    Ok(Some(bytes))
}

/// Standard input to its end.
///
/// # Errors
/// Input that cannot be read or is not UTF-8.
pub fn read_standard_input() -> Result<String, Error> {
    std::io::read_to_string(std::io::stdin().lock())
        .map_err(|source| Error::io("read", "standard input", source))
}

/// Every text file below a folder, by its path with `/`; hidden files are left out. A link to a file counts as
/// the file.
///
/// # Errors
/// A folder or file that cannot be read, or is not UTF-8; a pipe or a device.
pub fn read_tree(dir: &Path) -> Result<Vec<(String, String)>, Error> {
    let mut files = Vec::new();
    for (name, Entry { path, lies }) in walk(dir)? {
        let lies = lies.map_err(|source| Error::io("list", &path, source))?;
        if name.split('/').any(|part| part.starts_with('.')) || lies == Lies::Folder {
            continue;
        }
        if lies != Lies::File && !path.is_file() {
            return Err(Error::InTheWay { path, is: lies.words(), wanted: "file" });
        }
        let text = String::from_utf8(read_bytes(&path)?).map_err(|_| Error::NotText(path))?;
        files.push((visible(&name), text));
    }
    Ok(files)
}

/// The case files meant by what was typed: a file stands for itself, a folder for the `.yaml` and
/// `.yml` files in it by name, without `clinic.yaml` and hidden files.
///
/// # Errors
/// A name that is not there, or a folder without case files.
pub fn case_files(named: &[PathBuf]) -> Result<Vec<PathBuf>, Error> {
    let mut found: Vec<PathBuf> = Vec::new();
    for path in named {
        let meta = fs::metadata(path).map_err(|source| Error::io("read", path, source))?;
        if !meta.is_dir() {
            found.push(path.clone());
            continue;
        }
        let mut inside = Vec::new();
        for entry in fs::read_dir(path).map_err(|source| Error::io("list", path, source))? {
            let file = entry.map_err(|source| Error::io("list", path, source))?.path();
            let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            let is_yaml = file.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
            if is_yaml && !is_clinic_file(&file) && !name.starts_with('.') && file.is_file() {
                inside.push(file);
            }
        }
        if inside.is_empty() {
            return Err(Error::Usage(format!("there is no case file in `{}`", path.shown())));
        }
        inside.sort();
        found.extend(inside);
    }
    // A case named twice, in whatever spelling, is one case.
    let mut seen = std::collections::BTreeSet::new();
    found.retain(|path| seen.insert(fs::canonicalize(path).unwrap_or_else(|_| path.clone())));
    Ok(found)
}

/// The names of the files in the folders among what was typed that are no case files by their endings, in
/// alphabetical order; what cannot be listed is left to [`case_files`].
pub fn other_files(named: &[PathBuf]) -> Vec<String> {
    let folders = named.iter().filter(|path| path.is_dir());
    let files = folders.filter_map(|folder| fs::read_dir(folder).ok()).flatten().flatten();
    let files = files.map(|entry| entry.path()).filter(|file| file.is_file());
    let is_yaml = |file: &PathBuf| file.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
    let names = files.filter(|file| !is_yaml(file)).filter_map(|file| {
        let name = file.file_name()?.to_string_lossy().into_owned();
        Some(name)
    });
    names.collect::<std::collections::BTreeSet<_>>().into_iter().collect()
}

/// The file is called as the clinic file of a folder is.
pub fn is_clinic_file(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name == "clinic.yaml" || name == "clinic.yml")
}

/// One thing below a folder, as it is on the disk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Path below the folder, with `/`.
    pub path: String,
    /// What it is; for a folder that cannot be listed, what the system said.
    pub lies: Result<Lies, String>,
    /// Length of a file in bytes.
    pub bytes: u64,
    /// SHA-256 of a file in lowercase hex, or what the system said; `None` if nobody asked.
    pub sha256: Option<Result<String, String>>,
    /// Other accounts of this computer, beside owner and group, can read it.
    pub is_open_to_all: bool,
}

/// Everything below a folder, by path. Regular files are hashed if they are wanted, by path and length; nothing
/// else is opened.
///
/// # Errors
/// The folder itself cannot be listed. What cannot be read below it is part of the answer.
pub fn list(dir: &Path, is_wanted: impl Fn(&str, u64) -> bool) -> Result<Vec<Found>, Error> {
    let mut found = Vec::new();
    for (name, Entry { path, lies }) in walk(dir)? {
        let meta = fs::symlink_metadata(&path);
        let bytes = meta.as_ref().map_or(0, fs::Metadata::len);
        let is_file = matches!(lies, Ok(Lies::File));
        found.push(Found {
            sha256: (is_file && is_wanted(&name, bytes))
                .then(|| hash_kept(&path).map_err(|problem| why(&problem))),
            is_open_to_all: is_file && is_open_to_all(dir, &path),
            bytes: if is_file { bytes } else { 0 },
            lies: lies.map_err(|problem| problem.to_string()),
            path: name,
        });
    }
    Ok(found)
}

/// What the system said.
fn why(problem: &Error) -> String {
    match problem {
        Error::Io { source, .. } => source.to_string(),
        other => other.to_string(),
    }
}

/// The hash of a file that unguis keeps itself, read in pieces.
///
/// # Errors
/// Something else in its place, or a file that cannot be read.
fn hash_kept(path: &Path) -> Result<String, Error> {
    let failed = |source| Error::io("read", path, source);
    let Some(mut file) = open_kept(OpenOptions::new().read(true), "read", path)? else {
        return Err(failed(ErrorKind::NotFound.into()));
    };
    let (mut sum, mut piece) = (Sum::default(), vec![0; PIECE]);
    loop {
        match file.read(&mut piece) {
            Ok(0) => return Ok(sum.hex()),
            Ok(length) => sum.add(&piece[..length]),
            Err(problem) if problem.kind() == ErrorKind::Interrupted => {}
            Err(problem) => return Err(failed(problem)),
        }
    }
}

/// Everybody on this computer can read a file below a folder, as far as the rights from that folder on say.
fn is_open_to_all(dir: &Path, path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let lets = |path: &Path, bit: u32| {
            fs::metadata(path).is_ok_and(|meta| meta.permissions().mode() & bit == bit)
        };
        let mut folders = path.ancestors().skip(1).take_while(|folder| folder.starts_with(dir));
        lets(path, 0o004) && folders.all(|folder| lets(folder, 0o001))
    }
    #[cfg(not(unix))]
    {
        let _ = (dir, path);
        false
    }
}

/// One thing that a walk came by.
struct Entry {
    path: PathBuf,
    /// What it is, or why it cannot be listed.
    lies: Result<Lies, std::io::Error>,
}

/// Everything below a folder: its path with `/`, and what it is. Links are not followed, so a loop ends.
fn walk(dir: &Path) -> Result<BTreeMap<String, Entry>, Error> {
    let mut files = BTreeMap::new();
    let mut folders = vec![(String::new(), dir.to_owned())];
    while let Some((prefix, folder)) = folders.pop() {
        let entries = match fs::read_dir(&folder).and_then(Iterator::collect::<Result<Vec<_>, _>>) {
            Ok(entries) => entries,
            Err(source) if prefix.is_empty() => return Err(Error::io("list", &folder, source)),
            Err(source) => {
                let name = prefix.trim_end_matches('/').to_owned();
                files.insert(name, Entry { path: folder, lies: Err(source) });
                continue;
            }
        };
        for entry in entries {
            let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
            let lies = entry.file_type().map(Lies::of);
            if matches!(lies, Ok(Lies::Folder)) {
                folders.push((format!("{name}/"), entry.path()));
            }
            files.insert(name, Entry { path: entry.path(), lies });
        }
    }
    Ok(files)
}

// ---------------------------------------------------------------------------------------- writing

/// Writes a file whole or not at all; its folder is made if need be. A file of that name is
/// replaced.
///
/// # Errors
/// A folder or file that cannot be written. Whatever stood there before is then unharmed.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    write_all_atomically(folder_of(path), &[(path.to_owned(), bytes)])
}

/// Writes several files, all in this folder, each as [`write_atomically`] does.
///
/// # Errors
/// As [`write_atomically`].
pub fn write_all_atomically(folder: &Path, files: &[(PathBuf, impl AsRef<[u8]>)]) -> Result<(), Error> {
    create_folder(folder)?;
    write_all(folder, TEMPORARY_PREFIX, files)
}

/// Like [`write_all_atomically`], for whoever holds the register's lock. The folder must be there.
///
/// # Errors
/// As [`write_atomically`].
pub fn write_all_for_issue(folder: &Path, files: &[(PathBuf, impl AsRef<[u8]>)]) -> Result<(), Error> {
    write_all(folder, ISSUE_PREFIX, files)
}

/// All are written before the first is synced, and they are synced side by side: the disk then waits once or
/// twice rather than for each. None has its name before all are synced.
fn write_all(folder: &Path, prefix: &str, files: &[(PathBuf, impl AsRef<[u8]>)]) -> Result<(), Error> {
    let mut written = Vec::new();
    for (path, bytes) in files {
        written.push((write_temporary(folder, prefix, path, bytes.as_ref())?, path));
    }
    for (file, _) in &written {
        share_file(file.path(), folder);
    }
    let opened: Vec<(&File, &Path)> =
        written.iter().map(|(file, path)| (file.as_file(), path.as_path())).collect();
    sync_all(&opened)?;
    for (file, path) in written {
        file.persist(path).map_err(|problem| Error::io("write", path, problem.error))?;
    }
    sync_folder(folder)
}

/// How many files wait for the disk at once.
const SYNCED_AT_ONCE: usize = 16;

/// Waits until all of these are on the disk. A disk answers many that wait at once as soon as one.
fn sync_all(files: &[(&File, &Path)]) -> Result<(), Error> {
    let sync =
        |(file, path): &(&File, &Path)| file.sync_all().map_err(|source| Error::io("write", *path, source));
    for some in files.chunks(SYNCED_AT_ONCE) {
        let Some((own, others)) = some.split_first() else { continue };
        std::thread::scope(|scope| {
            // Where a thread cannot be started, this one waits in its place.
            let waiting: Vec<_> = others
                .iter()
                .map(|file| {
                    let wait = move || sync(file);
                    (file, std::thread::Builder::new().stack_size(WAITING).spawn_scoped(scope, wait).ok())
                })
                .collect();
            let mut synced = sync(own);
            for (file, thread) in waiting {
                let its = match thread.map(std::thread::ScopedJoinHandle::join) {
                    Some(Ok(its)) => its,
                    Some(Err(panic)) => std::panic::resume_unwind(panic),
                    None => sync(file),
                };
                synced = synced.and(its);
            }
            synced
        })?;
    }
    Ok(())
}

/// The stack of a thread that only waits.
const WAITING: usize = 64 * 1024;

/// Writes a new file whole; never over one that is there.
///
/// # Errors
/// A file of that name, or one that cannot be written.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let folder = folder_of(path);
    create_folder(folder)?;
    let file = write_temporary(folder, TEMPORARY_PREFIX, path, bytes)?;
    share_file(file.path(), folder);
    name_new(file, path)
}

/// As [`write_new`], for the owner alone whatever the folder says.
///
/// # Errors
/// As [`write_new`].
pub fn write_secret(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let folder = folder_of(path);
    create_folder(folder)?;
    name_new(write_temporary(folder, TEMPORARY_PREFIX, path, bytes)?, path)
}

fn name_new(file: tempfile::NamedTempFile, path: &Path) -> Result<(), Error> {
    file.as_file().sync_all().map_err(|source| Error::io("write", path, source))?;
    file.persist_noclobber(path).map_err(|problem| match problem.error.kind() {
        ErrorKind::AlreadyExists => Error::Exists(path.to_owned()),
        _ => Error::io("write", path, problem.error),
    })?;
    sync_folder(folder_of(path))
}

/// Whether accounts other than the owner's can read a file; false where the system has no such rights.
pub fn is_readable_by_others(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::metadata(path).is_ok_and(|meta| meta.permissions().mode() & 0o077 != 0)
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

/// A folder that its group may write into and hands its group on (`chmod g+ws`): somebody has chosen that the
/// accounts of the group work there together. So what is made in it is theirs too.
fn is_shared(folder: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::metadata(folder).is_ok_and(|meta| meta.permissions().mode() & SHARED == SHARED)
    }
    #[cfg(not(unix))]
    {
        let _ = folder;
        false
    }
}

/// Set group on entry, and the group may write.
#[cfg(unix)]
const SHARED: u32 = 0o2020;

/// Lets the group of a shared folder at a file in it. A file of somebody else is left as it is.
fn share_file(file: &Path, folder: &Path) {
    #[cfg(unix)]
    if is_shared(folder) {
        let _ = fs::set_permissions(file, std::os::unix::fs::PermissionsExt::from_mode(0o660));
    }
    #[cfg(not(unix))]
    let _ = (file, folder);
}

/// Makes one folder for the owner only, or for the group of a shared folder above it.
fn make_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, FOLDER_MODE);
    builder.create(folder)?;
    #[cfg(unix)]
    if is_shared(folder_of(folder)) {
        let _ = fs::set_permissions(folder, std::os::unix::fs::PermissionsExt::from_mode(0o2770));
    }
    Ok(())
}

/// Writes another text into a file that holds what was read: aside, synced, then renamed; with the rights that
/// the file has. A link stays a link.
///
/// # Errors
/// A file that changed meanwhile, or that cannot be read or written. It is then as it was.
pub fn rewrite(path: &Path, read: &[u8], bytes: &[u8]) -> Result<(), Error> {
    let failed = |source| Error::io("write", path, source);
    let file = fs::canonicalize(path).map_err(failed)?;
    let written = write_temporary(folder_of(&file), TEMPORARY_PREFIX, path, bytes)?;
    let rights = fs::metadata(&file).map_err(failed)?.permissions();
    written.as_file().set_permissions(rights).map_err(failed)?;
    match take_its_place(written, &file, path, |now| now == read)? {
        true => Ok(()),
        false => Err(Error::ChangedMeanwhile(path.to_owned())),
    }
}

/// Replaces a file by [`write_atomically`]'s way if what lies there is still what is expected; asked at the
/// last moment, when the new file is on the disk and only has to take the name. False if it is not.
///
/// # Errors
/// As [`write_atomically`].
pub fn replace(path: &Path, bytes: &[u8], is_expected: impl FnOnce(&[u8]) -> bool) -> Result<bool, Error> {
    take_its_place(write_temporary(folder_of(path), TEMPORARY_PREFIX, path, bytes)?, path, path, is_expected)
}

/// Syncs a file written aside and gives it the name of another, if that one still holds what is expected;
/// `named` is what a message calls it.
fn take_its_place(
    written: tempfile::NamedTempFile,
    file: &Path,
    named: &Path,
    is_expected: impl FnOnce(&[u8]) -> bool,
) -> Result<bool, Error> {
    written.as_file().sync_all().map_err(|source| Error::io("write", named, source))?;
    if !is_expected(&read_bytes(file)?) {
        return Ok(false);
    }
    written.persist(file).map_err(|problem| Error::io("write", named, problem.error))?;
    sync_folder(folder_of(file))?;
    Ok(true)
}

/// Makes sure that there is no file of a name, before somebody types what is to stand in it.
///
/// # Errors
/// A file of that name.
pub fn must_be_new(path: &Path) -> Result<(), Error> {
    if path.exists() { Err(Error::Exists(path.to_owned())) } else { Ok(()) }
}

/// Not yet synced. The temporary file goes with its guard if anything fails. It is made for the owner
/// only.
fn write_temporary(
    folder: &Path,
    prefix: &str,
    path: &Path,
    bytes: &[u8],
) -> Result<tempfile::NamedTempFile, Error> {
    let failed = |source| Error::io("write", path, source);
    let mut file = tempfile::Builder::new()
        .prefix(prefix)
        .suffix(TEMPORARY_SUFFIX)
        .rand_bytes(12)
        .tempfile_in(folder)
        .map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    Ok(file)
}

/// Adds to the end of a file that is there, in one call, and waits until it is on the disk.
///
/// # Errors
/// A file that is not there or cannot be opened, written or synced. After a failed write the file is cut back to
/// what it was, as far as the system allows; the next reader copes with a half-written line.
pub fn append_line(path: &Path, lines: &str) -> Result<(), Error> {
    let failed = |source| Error::io("write", path, source);
    let file = open_kept(OpenOptions::new().append(true), "write", path)?;
    let mut file = file.ok_or_else(|| failed(ErrorKind::NotFound.into()))?;
    let before = file.metadata().map_err(failed)?.len();
    if let Err(problem) = file.write_all(lines.as_bytes()) {
        let _ = file.set_len(before);
        let _ = file.sync_all();
        return Err(failed(problem));
    }
    file.sync_all().map_err(failed)
}

/// Cuts a file to its first `length` bytes and waits until that is on the disk.
///
/// # Errors
/// A file that cannot be written.
pub fn cut(path: &Path, length: u64) -> Result<(), Error> {
    let failed = |source| Error::io("mend", path, source);
    let file = open_kept(OpenOptions::new().write(true), "mend", path)?;
    let file = file.ok_or_else(|| failed(ErrorKind::NotFound.into()))?;
    file.set_len(length).map_err(failed)?;
    file.sync_all().map_err(failed)
}

/// Gives a file another name in the same folder.
///
/// # Errors
/// A file that cannot be renamed.
pub fn rename(from: &Path, to: &Path) -> Result<(), Error> {
    fs::rename(from, to).map_err(|source| Error::io("rename", from, source))
}

/// Removes a file.
///
/// # Errors
/// A file that is not there or cannot be removed.
pub fn remove(path: &Path) -> Result<(), Error> {
    fs::remove_file(path).map_err(|source| Error::io("remove", path, source))
}

/// Removes a file if it is there; returns whether it was.
///
/// # Errors
/// A file that cannot be removed.
pub fn remove_if_there(path: &Path) -> Result<bool, Error> {
    match fs::remove_file(path) {
        Ok(()) => Ok(true),
        Err(problem) if matches!(problem.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => Ok(false),
        Err(source) => Err(Error::io("remove", path, source)),
    }
}

/// Makes a folder in one that is there, for the owner only or as that one is shared. A link in its place is not
/// followed: it could lead anywhere.
///
/// # Errors
/// A folder that cannot be made, one above it that has gone, or something else in its place.
pub fn create_subfolder(folder: &Path) -> Result<(), Error> {
    if let Ok(meta) = fs::symlink_metadata(folder) {
        return match Lies::of(meta.file_type()) {
            Lies::Folder => Ok(()),
            lies => Err(Error::InTheWay { path: folder.to_owned(), is: lies.words(), wanted: "folder" }),
        };
    }
    make_folder(folder).map_err(|source| Error::io("make the folder", folder, source))?;
    sync_folder(folder_of(folder))
}

/// Makes a folder and those above it, for the owner only or as the one above is shared.
///
/// # Errors
/// A folder that cannot be made.
pub fn create_folder(folder: &Path) -> Result<(), Error> {
    let missing: Vec<&Path> =
        folder.ancestors().take_while(|above| !above.as_os_str().is_empty() && !above.is_dir()).collect();
    for one in missing.into_iter().rev() {
        match make_folder(one) {
            Ok(()) => {}
            Err(_) if one.is_dir() => {}
            Err(source) if source.kind() == ErrorKind::AlreadyExists => {
                let is = lies(one).map_or("something else", Lies::words);
                return Err(Error::InTheWay { path: one.to_owned(), is, wanted: "folder" });
            }
            Err(source) => return Err(Error::io("make the folder", folder, source)),
        }
        sync_folder(folder_of(one))?;
    }
    Ok(())
}

/// A folder of this run's own, removed with the value, and when the run is asked to end: what is in it may be of a
/// patient.
///
/// # Errors
/// A folder that cannot be made.
pub fn scratch_folder() -> Result<tempfile::TempDir, Error> {
    let made = tempfile::tempdir();
    let folder = made.map_err(|source| Error::io("make a folder in", std::env::temp_dir(), source))?;
    let path = folder.path().to_owned();
    on_ctrl_c(move || {
        let _ = remove_folder(&path);
        end_at_once(super::Exit::Failure, "stopped\n");
    });
    Ok(folder)
}

/// Makes sure that a folder is new or empty.
///
/// # Errors
/// A folder with something in it, or one that cannot be made.
pub fn new_folder(folder: &Path) -> Result<(), Error> {
    create_folder(folder)?;
    let mut entries = fs::read_dir(folder).map_err(|source| Error::io("list", folder, source))?;
    if entries.next().is_some() { Err(Error::NotEmpty(folder.to_owned())) } else { Ok(()) }
}

/// The files that lie in a folder itself, by name; none if there is no such folder.
///
/// # Errors
/// A folder that cannot be listed.
pub fn files_in(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(source) if source.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(source) => return Err(Error::io("list", folder, source)),
    };
    let mut files = Vec::new();
    for entry in entries {
        let path = entry.map_err(|source| Error::io("list", folder, source))?.path();
        if path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// The names of what lies in a folder, in alphabetical order; none if it cannot be listed.
pub fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> =
        entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// Waits until the names in a folder are on the disk.
///
/// # Errors
/// A folder that cannot be opened or synced.
pub fn sync_folder(folder: &Path) -> Result<(), Error> {
    // Elsewhere a folder cannot be opened as a file; renames are then as durable as the system makes them.
    if cfg!(unix) {
        let synced = File::open(folder).and_then(|folder| folder.sync_all());
        synced.map_err(|source| Error::io("sync the folder", folder, source))?;
    }
    Ok(())
}

/// Removes temporary files that a killed process left below `dir`. The caller holds the register's
/// lock. Returns how many.
///
/// # Errors
/// A folder that cannot be listed, or a file that cannot be removed.
pub fn remove_leftovers(dir: &Path) -> Result<usize, Error> {
    let mut removed = 0;
    for (name, Entry { path, lies }) in walk(dir)? {
        if matches!(lies, Err(_) | Ok(Lies::Folder)) {
            continue;
        }
        let name = name.rsplit('/').next().unwrap_or_default();
        if !(name.starts_with(TEMPORARY_PREFIX) && name.ends_with(TEMPORARY_SUFFIX)) {
            continue;
        }
        if name.starts_with(ISSUE_PREFIX) || is_abandoned(&path) {
            fs::remove_file(&path).map_err(|source| Error::io("remove", &path, source))?;
            removed += 1;
        }
    }
    Ok(removed)
}

fn is_abandoned(path: &Path) -> bool {
    let changed = fs::metadata(path).and_then(|meta| meta.modified());
    changed.is_ok_and(|at| SystemTime::now().duration_since(at).is_ok_and(|age| age > ABANDONED_AFTER))
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn owner_only(options: &mut OpenOptions) {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    #[cfg(not(unix))]
    let _ = options;
}

// ---------------------------------------------------------------------------------------- locking

/// A lock on a folder's register; it goes with the value, and with the process however that ends.
#[derive(Debug)]
pub struct Lock(#[expect(dead_code, reason = "held, never read: closing it frees the lock")] File);

/// Takes the lock alone; waits for others, after saying so through `waiting`.
///
/// # Errors
/// A lock file that cannot be made or locked, or something else in its place.
pub fn lock(path: &Path, waiting: impl FnOnce()) -> Result<Lock, Error> {
    let failed = |source| Error::io("lock", path, source);
    let mut options = OpenOptions::new();
    options.write(true);
    let file = match open_kept(&mut options, "lock", path)? {
        Some(file) => file,
        None => {
            options.create(true).truncate(false);
            owner_only(&mut options);
            let file = options.open(path).map_err(failed)?;
            share_file(path, folder_of(path));
            file
        }
    };
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            waiting();
            file.lock().map_err(failed)?;
        }
        Err(TryLockError::Error(source)) => return Err(failed(source)),
    }
    Ok(Lock(file))
}

/// Takes the lock together with other readers; `None` if nobody has ever issued here. Waits for whoever
/// writes, after saying so through `waiting`.
///
/// # Errors
/// A lock file that cannot be locked, or something else in its place.
pub fn lock_to_read(path: &Path, waiting: impl FnOnce()) -> Result<Option<Lock>, Error> {
    let failed = |source| Error::io("lock", path, source);
    let Some(file) = open_kept(OpenOptions::new().read(true), "lock", path)? else { return Ok(None) };
    match file.try_lock_shared() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            waiting();
            file.lock_shared().map_err(failed)?;
        }
        Err(TryLockError::Error(source)) => return Err(failed(source)),
    }
    Ok(Some(Lock(file)))
}

// ---------------------------------------------------------------------------------------- copying

/// Copies a file that unguis keeps itself to a new name, for the owner alone, and waits until it is on the
/// disk; false if it has gone meanwhile.
///
/// # Errors
/// A file that cannot be read or written.
pub fn copy_new(from: &Path, to: &Path) -> Result<bool, Error> {
    let failed = |source| Error::io("write", to, source);
    let Some(mut source) = open_kept(OpenOptions::new().read(true), "read", from)? else { return Ok(false) };
    let mut options = OpenOptions::new();
    options.create_new(true).write(true);
    owner_only(&mut options);
    let mut target = options.open(to).map_err(failed)?;
    share_file(to, folder_of(to));
    let mut piece = vec![0; PIECE];
    loop {
        match source.read(&mut piece) {
            Ok(0) => break,
            Ok(length) => target.write_all(&piece[..length]).map_err(failed)?,
            Err(problem) if problem.kind() == ErrorKind::Interrupted => {}
            Err(problem) => return Err(Error::io("read", from, problem)),
        }
    }
    target.sync_all().map_err(failed)?;
    Ok(true)
}

/// Gives a file a second name on the same disk, without its content being written again; false where the disk
/// cannot do that, or the file is not there.
pub fn link_new(from: &Path, to: &Path) -> bool {
    fs::symlink_metadata(from).is_ok_and(|meta| meta.is_file()) && fs::hard_link(from, to).is_ok()
}

/// Removes a folder with all that is in it. Links in it are removed, not followed.
///
/// # Errors
/// A folder that cannot be removed.
pub fn remove_folder(folder: &Path) -> Result<(), Error> {
    fs::remove_dir_all(folder).map_err(|source| Error::io("remove", folder, source))
}

/// The real place of a file or folder, which need not be there yet if the folder above it is.
///
/// # Errors
/// A folder above that is not there.
pub fn real_place(path: &Path) -> Result<PathBuf, Error> {
    let failed = |source| Error::io("find", path, source);
    match (fs::canonicalize(path), path.file_name()) {
        (Ok(place), _) => Ok(place),
        (Err(_), Some(name)) => {
            let above = fs::canonicalize(folder_of(path)).map_err(failed)?;
            Ok(above.join(name))
        }
        (Err(source), None) => Err(failed(source)),
    }
}

/// What lies under a name, if anything does; a link is not followed.
pub fn lies(path: &Path) -> Option<Lies> {
    fs::symlink_metadata(path).ok().map(|meta| Lies::of(meta.file_type()))
}

// ------------------------------------------------------------------------- clock and environment

/// Today where the computer stands.
pub fn today() -> CivilDate {
    CivilDate(chrono::Local::now().date_naive())
}

/// A note where `TZ` names no time zone, since the day and the times are then those of another one.
pub fn unknown_zone_note() -> String {
    let zone = std::env::var_os("TZ").unwrap_or_default();
    if !cfg!(unix) || is_zone(&zone.to_string_lossy()) {
        return String::new();
    }
    let offset = chrono::Local::now().offset().to_string();
    format!(
        "note: `TZ` names no time zone that this computer knows: today and the times are those of UTC{offset}\n"
    )
}

/// A name with a file in the folders of time zones, or a rule like `GMT0BST,M3.5.0/1,M10.5.0`: POSIX.1-2017,
/// section 8.3. Nothing is UTC.
fn is_zone(zone: &str) -> bool {
    const FOLDERS: [&str; 4] =
        ["/usr/share/zoneinfo", "/share/zoneinfo", "/etc/zoneinfo", "/usr/share/lib/zoneinfo"];
    let file = zone.strip_prefix(':').unwrap_or(zone);
    if zone.is_empty() || zone == "localtime" {
        return true;
    }
    // A path from the root stands for itself.
    if FOLDERS.iter().any(|folder| Path::new(folder).join(file).is_file()) {
        return true;
    }
    let name = zone.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let is_named = zone.len() - name.len() >= 3;
    let rule = match zone.strip_prefix('<').and_then(|rest| rest.split_once('>')) {
        Some((name, rule)) if name.len() >= 3 => rule,
        _ if is_named => name,
        _ => return false,
    };
    let hours = rule.strip_prefix(['+', '-']).unwrap_or(rule);
    let digits = hours.bytes().take_while(u8::is_ascii_digit).count();
    hours.get(..digits).and_then(|hours| hours.parse::<u8>().ok()).is_some_and(|hours| hours <= 24)
}

/// The answer of somebody at the terminal; `None` if there is nobody, or the answer is empty.
pub fn ask(question: &str) -> Option<String> {
    if !is_conversation() {
        return None;
    }
    eprint(&format!("{question} "));
    let mut answer = String::new();
    std::io::stdin().read_line(&mut answer).ok()?;
    Some(answer.trim().to_owned()).filter(|answer| !answer.is_empty())
}

/// The time of day where the computer stands, to the minute.
pub fn time_of_day() -> TimeOfDay {
    let now = chrono::Local::now().time();
    TimeOfDay(NaiveTime::from_hms_opt(now.hour(), now.minute(), 0).unwrap_or(NaiveTime::MIN))
}

/// Now in UTC, to the second: `2026-11-25T14:05:07Z`.
pub fn now() -> String {
    chrono::Utc::now().format("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// A text that nobody can guess, 128 bits in hex: from the random keys that the standard library takes
/// from the system for its hash tables.
pub fn salt() -> String {
    let half = || {
        let mut hasher = RandomState::new().build_hasher();
        hasher.write_u128(u128::from(std::process::id()) ^ now_nanos());
        hasher.finish()
    };
    format!("{:016x}{:016x}", half(), half())
}

/// A key that nobody can guess: 128 random bits of the system, in hex.
///
/// # Errors
/// A system without random bytes.
pub fn key() -> Result<String, Error> {
    let bytes: [u8; 16] = random()?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Random bytes of the system.
///
/// # Errors
/// A system without them.
pub fn random<const N: usize>() -> Result<[u8; N], Error> {
    let mut bytes = [0; N];
    let failed = |problem: getrandom::Error| std::io::Error::other(problem.to_string());
    getrandom::fill(&mut bytes).map_err(|problem| Error::io("read", "random bytes", failed(problem)))?;
    Ok(bytes)
}

/// Calls this when Ctrl-C is pressed, or the process is asked to end. Whoever asks a second time is not asked to
/// wait: the process ends at once, which loses nothing that was entered.
pub fn on_ctrl_c(then: impl Fn() + Send + 'static) {
    let was_asked = AtomicBool::new(false);
    // Without a handler the first signal ends the process at once.
    let _ = ctrlc::set_handler(move || {
        if was_asked.swap(true, Ordering::Relaxed) {
            end_at_once(super::Exit::Failure, "stopped at once; what was entered in a register is whole\n");
        }
        then();
    });
}

/// Makes sure that a crash leaves no copy of the memory behind: there would be patients in it.
pub fn leave_no_memory_behind() {
    #[cfg(unix)]
    {
        use nix::sys::resource::{Resource, setrlimit};
        let _ = setrlimit(Resource::RLIMIT_CORE, 0, 0);
    }
}

/// Says why, and ends the process at once, whatever its threads are at: what was written is whole, since every
/// file is written under another name first.
pub fn end_at_once(exit: super::Exit, why: &str) -> ! {
    eprint(why);
    #[expect(clippy::exit, reason = "threads that do not answer cannot be waited for")]
    std::process::exit(exit.status().into())
}

/// The memory that this process holds now, in MiB; `None` where the system does not tell.
pub fn memory_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    line.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok().map(|kib| kib / 1024)
}

/// Runs something and keeps what it prints from this thread instead of printing it: standard output, then
/// standard error. Nobody is asked anything meanwhile.
pub fn captured<R>(run: impl FnOnce() -> R) -> (R, String, String) {
    CAPTURED.with_borrow_mut(|captured| *captured = Some((String::new(), String::new())));
    let result = run();
    let (out, err) = CAPTURED.with_borrow_mut(Option::take).unwrap_or_default();
    (result, out, err)
}

thread_local! {
    static CAPTURED: std::cell::RefCell<Option<(String, String)>> = const { std::cell::RefCell::new(None) };
}

/// Keeps a text for whoever captures this thread's output; false if nobody does.
fn capture(text: &str, is_error: bool) -> bool {
    CAPTURED.with_borrow_mut(|captured| match captured {
        Some((_, err)) if is_error => {
            err.push_str(text);
            true
        }
        Some((out, _)) => {
            out.push_str(text);
            true
        }
        None => false,
    })
}

/// Shows an address in the browser of whoever sits here; false if there is none.
pub fn open_browser(url: &str) -> bool {
    opener::open_browser(url).is_ok()
}

/// The case files that lie in a folder itself, by name: no links, which may lead out of it, and none that
/// is hidden.
///
/// # Errors
/// A folder that cannot be listed.
pub fn own_case_files(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let failed = |source| Error::io("list", folder, source);
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let path = entry.path();
        let is_hidden = entry.file_name().to_string_lossy().starts_with('.');
        let is_yaml = path.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
        if is_yaml
            && !is_hidden
            && !is_clinic_file(&path)
            && entry.file_type().is_ok_and(|kind| kind.is_file())
        {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// What tells whether a file was written since it was looked at last: its length, when it was changed, and which
/// file it is.
pub type State = (u64, SystemTime, u64);

/// The state of a file; `None` if it cannot be told.
pub fn state_of(path: &Path) -> Option<State> {
    let meta = fs::metadata(path).ok()?;
    #[cfg(unix)]
    let which = std::os::unix::fs::MetadataExt::ino(&meta);
    #[cfg(not(unix))]
    let which = 0;
    Some((meta.len(), meta.modified().ok()?, which))
}

/// A file that is not there, or that lies in this folder itself once links are followed.
pub fn is_not_elsewhere(path: &Path, folder: &Path) -> bool {
    let Ok(file) = fs::canonicalize(path) else { return fs::symlink_metadata(path).is_err() };
    fs::canonicalize(folder).is_ok_and(|folder| file.parent() == Some(&folder))
}

/// A folder that is there.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

fn now_nanos() -> u128 {
    SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_nanos())
}

/// Now on a clock that never runs back, for measuring.
pub fn stopwatch() -> Instant {
    Instant::now()
}

/// The most memory this process has held, MiB, where the system tells.
pub fn peak_memory_mib() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: u64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kib / 1024)
}

/// How many cases can be worked on at once here.
pub fn processors() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZeroUsize::get)
}

/// Somebody sits at a terminal and can be asked.
pub fn is_conversation() -> bool {
    let is_captured = CAPTURED.with_borrow(Option::is_some);
    !is_captured && is_terminal_conversation()
}

fn is_terminal_conversation() -> bool {
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// Whether standard output takes colour: a terminal, and no `NO_COLOR`.
pub fn takes_colour() -> bool {
    let is_set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let is_dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    std::io::stdout().is_terminal() && !is_set("NO_COLOR") && !is_dumb
}

/// Whether standard error is a terminal, for progress.
pub fn has_terminal() -> bool {
    std::io::stderr().is_terminal()
}

// --------------------------------------------------------------------------------------- printing

/// Something that was to be printed could not be written, and it was not the reader who went away.
static IS_LOST: AtomicBool = AtomicBool::new(false);

/// Prints to standard output. Whether there is colour in the text was decided by [`takes_colour`] or by the user.
/// A reader that has gone away is not a failure: the work on the disk is done. A disk that is full is: see
/// [`lost_output`].
pub fn print(text: &str) {
    if capture(text, false) {
        return;
    }
    let mut out = anstream::AutoStream::always_ansi(std::io::stdout().lock());
    note_lost(out.write_all(text.as_bytes()).and_then(|()| out.flush()));
}

/// Prints to standard error, without colour unless it is a terminal or colour was asked for.
pub fn eprint(text: &str) {
    if capture(text, true) {
        return;
    }
    let mut out = anstream::AutoStream::auto(std::io::stderr().lock());
    note_lost(out.write_all(text.as_bytes()).and_then(|()| out.flush()));
}

/// Keeps in mind that something could not be printed.
pub fn note_lost(printed: std::io::Result<()>) {
    if printed.is_err_and(|problem| problem.kind() != ErrorKind::BrokenPipe) {
        IS_LOST.store(true, Ordering::Relaxed);
    }
}

/// Says so if part of the output was lost, and whether it was: a report that is cut off reads like a clean one.
pub fn lost_output() -> bool {
    note_lost(std::io::stdout().lock().flush());
    let is_lost = IS_LOST.load(Ordering::Relaxed);
    if is_lost {
        eprint("error: not all of the output could be written: the disk that it goes to may be full\n");
    }
    is_lost
}

/// Colour on standard error too, or none, where it was asked for.
pub fn choose_colour(is_wanted: bool) {
    let choice = if is_wanted { anstream::ColorChoice::Always } else { anstream::ColorChoice::Never };
    choice.write_global();
}

/// Makes a panic say where it happened and nothing of what it was about, which may be a name.
pub fn keep_panics_private() {
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map_or_else(String::new, |at| format!(" at {}:{}", at.file(), at.line()));
        eprint(&format!("unguis broke{place}: this is a fault of unguis, please report it\n"));
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_zone_is_a_file_or_a_rule() {
        for known in ["", "UTC0", "GMT0BST,M3.5.0/1,M10.5.0", "<+0330>-3:30", "EST5EDT"] {
            assert!(is_zone(known), "{known}");
        }
        for unknown in ["Europe/Lundon", "UTC99", "+1", "/no/such/file", "ab1", "<x>1", "UTC+x"] {
            assert!(!is_zone(unknown), "{unknown}");
        }
    }

    fn folder() -> tempfile::TempDir {
        tempfile::tempdir().expect("a temporary folder can be made")
    }

    fn files_below(dir: &Path) -> Vec<String> {
        let found = list(dir, |_, _| false).expect("listed").into_iter();
        found.filter(|found| found.lies == Ok(Lies::File)).map(|found| found.path).collect()
    }

    #[test]
    fn a_file_is_replaced_whole_and_is_the_owners_only() {
        let dir = folder();
        let file = dir.path().join("a/b/c.txt");
        write_atomically(&file, b"one").expect("written");
        write_atomically(&file, b"two").expect("written");
        assert_eq!(read_bytes(&file).expect("read"), b"two");
        assert_eq!(files_below(dir.path()).len(), 1, "no temporary file stays");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
            assert_eq!(mode(&file), 0o600);
            assert_eq!(mode(&dir.path().join("a/b")), 0o700);
        }
    }

    #[test]
    fn a_new_file_never_replaces() {
        let dir = folder();
        let file = dir.path().join("case.yaml");
        write_new(&file, b"one").expect("written");
        assert!(matches!(write_new(&file, b"two"), Err(Error::Exists(_))));
        assert_eq!(read_bytes(&file).expect("read"), b"one");
        assert!(new_folder(dir.path()).is_err());
        assert!(new_folder(&dir.path().join("fresh")).is_ok());
    }

    #[test]
    fn lines_are_added_and_cut() {
        let dir = folder();
        let file = dir.path().join("lines");
        assert!(append_line(&file, "a\n").is_err(), "a file that has gone is not begun anew");
        write_new(&file, b"").expect("written");
        append_line(&file, "a\n").expect("added");
        append_line(&file, "b\n").expect("added");
        cut(&file, 2).expect("cut");
        assert_eq!(read_if_there(&file).expect("read").as_deref(), Some(&b"a\n"[..]));
        assert_eq!(read_if_there(&dir.path().join("none")).expect("read"), None);
    }

    #[test]
    fn folders_stand_for_their_cases_by_name() {
        let dir = folder();
        for name in ["b.yaml", "a.yml", "clinic.yaml", ".hidden.yaml", "notes.txt"] {
            write_new(&dir.path().join(name), b"").expect("written");
        }
        let names = |paths: Vec<PathBuf>| -> Vec<String> {
            let name = |path: PathBuf| path.file_name().map(|name| name.to_string_lossy().into_owned());
            paths.into_iter().filter_map(name).collect()
        };
        let found = case_files(&[dir.path().to_owned(), dir.path().join("b.yaml")]).expect("found");
        assert_eq!(names(found), ["a.yml", "b.yaml"]);
        assert!(case_files(&[dir.path().join("missing.yaml")]).is_err());
        fs::create_dir(dir.path().join("empty")).expect("made");
        assert!(case_files(&[dir.path().join("empty")]).is_err());
    }

    #[test]
    fn only_dead_temporary_files_are_removed() {
        let dir = folder();
        for name in [".unguis-issue-abc.tmp", ".unguis-abc.tmp", "x/.unguis-issue-def.tmp", "kept.tmp"] {
            write_new(&dir.path().join(name), b"half").expect("written");
        }
        assert_eq!(remove_leftovers(dir.path()).expect("removed"), 2, "a draft's may be in use");
        assert_eq!(files_below(dir.path()), [".unguis-abc.tmp", "kept.tmp"]);
    }

    #[test]
    fn no_salt_comes_twice() {
        let salts: std::collections::BTreeSet<String> = (0..1000).map(|_| salt()).collect();
        assert_eq!(salts.len(), 1000);
        assert!(salts.iter().all(|salt| salt.len() == 32));
    }

    #[test]
    fn a_lock_is_free_again_when_dropped() {
        let dir = folder();
        let path = dir.path().join(".lock");
        assert!(lock_to_read(&path, || {}).expect("no lock yet").is_none());
        let held = lock(&path, || {}).expect("locked");
        let second = File::open(&path).expect("opened");
        assert!(matches!(second.try_lock_shared(), Err(TryLockError::WouldBlock)));
        drop(held);
        assert!(lock_to_read(&path, || {}).expect("free").is_some());
    }
}
