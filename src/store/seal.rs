//! Keys and seals on the disk.

use std::path::{Path, PathBuf};

use crate::register::seal::{PublicKey, SEALS, Seal, SecretKey};
use crate::register::verify::{LOCK, REGISTER, Sealed, Verdict};
use crate::store::verdict::{Known, verdict_of};
use crate::store::{Error, io, ledger};
use crate::words::Shown;

/// Makes a key: the secret half into a file of that name, for its owner alone, the public one beside it, with `.pub`.
/// Nothing that is there is written over.
///
/// # Errors
/// One of the two is there already, or cannot be written.
pub(crate) fn new_key(file: &Path) -> Result<(PublicKey, PathBuf), Error> {
    let mut beside = file.as_os_str().to_owned();
    beside.push(".pub");
    let beside = PathBuf::from(beside);
    io::must_be_new(file)?;
    io::must_be_new(&beside)?;
    let key = SecretKey::of(&io::random()?);
    io::write_secret(file, key.pem().as_bytes())?;
    io::write_new(&beside, key.public().pem().as_bytes())?;
    Ok((key.public(), beside))
}

/// The public half of a key, from either half.
///
/// # Errors
/// A file that cannot be read or is no key.
pub(crate) fn public_key(file: &Path) -> Result<PublicKey, Error> {
    let text = String::from_utf8(io::read_bytes(file)?).unwrap_or_default();
    PublicKey::parse(&text)
        .or_else(|| SecretKey::parse(&text).map(|key| key.public()))
        .ok_or_else(|| no_key(file, "no key to seal with"))
}

fn secret_key(file: &Path) -> Result<SecretKey, Error> {
    let text = String::from_utf8(io::read_bytes(file)?).unwrap_or_default();
    if PublicKey::parse(&text).is_some() {
        return Err(no_key(file, "the public half of a key, with which nothing can be sealed"));
    }
    SecretKey::parse(&text).ok_or_else(|| no_key(file, "no key to seal with"))
}

fn no_key(file: &Path, is: &str) -> Error {
    Error::Usage(format!("`{}` is {is}; `unguis verify --new-key FILE` makes one", file.shown()))
}

/// What sealing came to.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// How the folder stands, with the new seal if there is one.
    pub(crate) verdict: Verdict,
    /// A seal was added. None is where the folder is not clean, or its end is sealed already.
    pub(crate) is_new: bool,
    /// Other accounts can read the key.
    pub(crate) is_key_open: bool,
}

/// Seals the end of the register of a folder, if everything in it is as it was issued.
///
/// # Errors
/// No key, a key that lies in the folder itself or is not the one that sealed before; no register or an empty one;
/// a file that cannot be read or written.
pub(crate) fn seal(out: &Path, key_file: &Path, trusted: &[String]) -> Result<Outcome, Error> {
    let key = secret_key(key_file)?;
    if io::real_place(key_file)?.starts_with(io::real_place(out)?) {
        return Err(Error::Usage(format!(
            "the key lies in `{0}` itself, where whoever can change the register has it too, and every copy of it: \
             keep it elsewhere, best on something that is locked away",
            out.shown()
        )));
    }
    if io::read_kept(&out.join(REGISTER))?.is_none() {
        return Err(Error::Usage(format!(
            "there is no register in `{}`: nothing was issued there",
            out.shown()
        )));
    }
    let lock = io::lock(&out.join(LOCK), || {
        io::eprint(&format!("waiting for a run that issues into `{}`\n", out.shown()));
    })?;
    let read = ledger::read_under(out, Some(lock))?;
    let own = key.public().fingerprint();
    let known = Known { trusted, expected: None };
    let verdict = verdict_of(out, read.as_ref(), known)?;
    let is_key_open = io::is_readable_by_others(key_file);
    let as_it_is = |verdict: Verdict| Outcome { verdict, is_new: false, is_key_open };
    let Some(register) = read.as_ref().map(|read| &read.register).filter(|register| register.end().lines > 0)
    else {
        return Err(Error::Usage("the register is empty: there is nothing to seal yet".to_owned()));
    };
    // A first seal by a trusted key is asked for by `--trust` itself.
    let faults = verdict.mismatches.iter().filter(|found| found.is_fault && found.kind != "not-sealed");
    if faults.count() > 0 {
        return Ok(as_it_is(verdict));
    }
    let is_known = match (&verdict.sealed, trusted) {
        (_, [_, ..]) => trusted.contains(&own),
        (Some(sealed), []) => sealed.fingerprint == own,
        (None, []) => true,
    };
    if !is_known {
        return Err(Error::Usage(format!(
            "`{}` is not the key that sealed before, its fingerprint is {own}; if the clinic changed its key, name \
             both with `--trust`",
            key_file.shown()
        )));
    }
    if verdict.sealed.as_ref().is_some_and(|Sealed { lines, of, .. }| lines == of) {
        return Ok(as_it_is(verdict));
    }
    let path = out.join(SEALS);
    let mut seals = io::read_kept(&path)?.unwrap_or_default();
    if !seals.is_empty() && !seals.ends_with(b"\n") {
        seals.push(b'\n');
    }
    let seal = Seal::new(register, &seals, io::now(), &key);
    seals.extend_from_slice(seal.line().as_bytes());
    io::write_all_for_issue(out, &[(path, &seals)])?;
    Ok(Outcome { verdict: verdict_of(out, read.as_ref(), known)?, is_new: true, is_key_open })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_made_once_and_read_from_either_half() {
        let dir = tempfile::tempdir().expect("a temporary folder can be made");
        let file = dir.path().join("clinic.key");
        let (public, beside) = new_key(&file).expect("made");
        assert!(matches!(new_key(&file), Err(Error::Exists(_))));
        assert_eq!((public_key(&file).expect("read"), public_key(&beside).expect("read")), (public, public));
        assert!(matches!(secret_key(&beside), Err(Error::Usage(says)) if says.contains("public half")));
        #[cfg(unix)]
        assert!(!io::is_readable_by_others(&file));
        io::remove(&file).expect("removed");
        assert!(matches!(new_key(&file), Err(Error::Exists(path)) if path == beside), "the other half stays");
        assert!(!file.exists());
        let another = new_key(&dir.path().join("other.key")).expect("made").0;
        assert_ne!(another, public);
    }
}
