//! A folder of issued documents held against its register, its seals, and what was written down elsewhere.

use std::path::Path;

use crate::register::chain::Register;
use crate::register::end::Expected;
use crate::register::seal::{self, SEALS};
use crate::register::verify::{
    Mismatch, OnDisk, REGISTER, Verdict, What, as_expected, is_trace_of_issue, registered, verify,
};
use crate::store::{Error, io, ledger};
use crate::words::Shown;

/// What somebody knows of a register who looks at it.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Known<'a> {
    /// Fingerprints of the keys whose seals count; the key of the first seal if there is none.
    pub(crate) trusted: &'a [String],
    /// Its end, as it was written down elsewhere.
    pub(crate) expected: Option<&'a Expected>,
}

/// Reads the register together with its folder, while nobody issues.
///
/// # Errors
/// A folder that cannot be read, or in which nothing was ever issued.
pub(crate) fn verdict(out: &Path, known: Known<'_>) -> Result<Verdict, Error> {
    let read = match ledger::read(out) {
        // It is in the listing, and named there.
        Err(Error::InTheWay { .. }) => None,
        read => read?,
    };
    verdict_of(out, read.as_ref(), known)
}

/// As [`verdict`], of a register that was read and is locked.
///
/// # Errors
/// As [`verdict`].
pub(crate) fn verdict_of(
    out: &Path,
    read: Option<&ledger::Reading>,
    known: Known<'_>,
) -> Result<Verdict, Error> {
    let nothing = Register::default();
    let (register, problems) =
        read.map_or((&nothing, &[][..]), |read| (&read.register, read.problems.as_slice()));
    let listing = listing(out, register)?;
    let mut verdict = verify(register, problems, &listing);
    if read.is_none() {
        let is_there = listing.iter().any(|file| file.path == REGISTER);
        if !is_there && !listing.iter().any(|file| is_trace_of_issue(&file.path)) {
            return Err(Error::Usage(format!(
                "there is no register in `{}`: nothing was issued there",
                out.shown()
            )));
        }
        // Without a register nothing is known of the others.
        verdict.mismatches.retain(|found| ["link", "not-a-file"].contains(&found.kind));
        if !is_there {
            verdict.mismatches.push(Mismatch {
                kind: "register-missing",
                path: REGISTER.to_owned(),
                says: "is not there, although something was issued here".to_owned(),
                help: "bring the register back from a backup before you issue anything here".to_owned(),
                is_fault: true,
            });
        }
    }
    verdict.mismatches.extend(known.expected.and_then(|expected| as_expected(register, expected)));
    // What lies in the place of the seals and is no file was named in the listing.
    let seals = io::read_kept(&out.join(SEALS)).or_else(|problem| match problem {
        Error::InTheWay { .. } => Ok(None),
        problem => Err(problem),
    })?;
    seal::judge(register, seals.as_deref(), known.trusted, &mut verdict);
    Ok(verdict)
}

/// What lies in a folder. Of what the register knows the hash is asked, where the length does not tell already.
fn listing(out: &Path, register: &Register) -> Result<Vec<OnDisk>, Error> {
    let registered = registered(register);
    let is_wanted = |path: &str, bytes: u64| registered.get(path).is_some_and(|(_, issued)| *issued == bytes);
    Ok(io::list(out, is_wanted)?.into_iter().map(on_disk).collect())
}

fn on_disk(found: io::Found) -> OnDisk {
    let io::Found { path, lies, bytes, sha256, is_open_to_all } = found;
    let is = match lies {
        Ok(io::Lies::File) => What::File,
        Ok(io::Lies::Folder) => What::Folder,
        Ok(io::Lies::Other(what)) => What::Other(what),
        Err(why) => What::Closed(why),
    };
    OnDisk { path, is, bytes, sha256, is_open_to_all }
}
