//! A folder of issued documents held against its register.

use std::path::Path;

use crate::register::verify::{Mismatch, OnDisk, REGISTER, Verdict, is_trace_of_issue, verify};
use crate::store::{Error, io, ledger};

/// Reads the register together with its folder, while nobody issues.
///
/// # Errors
/// A folder that cannot be read, or in which nothing was ever issued.
pub(crate) fn verdict(out: &Path) -> Result<Verdict, Error> {
    let read = ledger::read(out)?;
    let listing: Vec<OnDisk> = io::list(out)?
        .into_iter()
        .map(|io::Found { path, bytes, sha256 }| OnDisk { path, bytes, sha256 })
        .collect();
    if let Some(read) = &read {
        return Ok(verify(&read.register, &read.problems, &listing));
    }
    if !listing.iter().any(|file| is_trace_of_issue(&file.path)) {
        return Err(Error::Usage(format!(
            "there is no register in `{}`: nothing was issued there",
            out.display()
        )));
    }
    Ok(Verdict {
        mismatches: vec![Mismatch {
            kind: "register-missing",
            path: REGISTER.to_owned(),
            says: "is not there, although something was issued here".to_owned(),
            help: "bring the register back from a backup before you issue anything here".to_owned(),
            is_fault: true,
        }],
        whole: 0,
    })
}
