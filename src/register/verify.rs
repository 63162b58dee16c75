//! The register against what lies on the disk. Pure: the listing comes in.

use std::collections::BTreeMap;

use crate::register::chain::{Kind, Problem, Register};
use crate::register::end::END;

/// The register's own file, below its folder.
pub const REGISTER: &str = "register.jsonl";
/// The file that is locked while the register is written.
pub const LOCK: &str = ".register.lock";
/// Where the beginnings of lines are kept whose writing was cut short.
pub const CUT_LINES: &str = ".register.cut";
/// The folder of lists: working papers about many cases, which are not issued.
pub const LISTS: &str = "lists";
/// Whose drafts lie in the folder of a case, as salted hashes.
pub const DRAFTS: &str = ".drafts";
/// In the name of a file that lay where a document had to go and was not that document.
pub const SET_ASIDE: &str = ".set-aside-";

/// A file on the disk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnDisk {
    /// Path below the register's folder, with `/`.
    pub path: String,
    /// Length in bytes.
    pub bytes: u64,
    /// Its hash, or why it could not be read.
    pub sha256: Result<String, String>,
}

/// Something that does not match, with what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mismatch {
    /// A short permanent word for programs.
    pub kind: &'static str,
    /// The file, below the register's folder.
    pub path: String,
    /// What is wrong, as a phrase.
    pub says: String,
    /// What to do.
    pub help: String,
    /// It is a fault; otherwise only something to know.
    pub is_fault: bool,
}

/// What verifying gave.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verdict {
    /// Everything that does not match, register first, then by path.
    pub mismatches: Vec<Mismatch>,
    /// How many registered files are as they were issued.
    pub whole: usize,
}

impl Verdict {
    /// Whether anything is at fault.
    pub fn is_clean(&self) -> bool {
        self.mismatches.iter().all(|mismatch| !mismatch.is_fault)
    }
}

/// Compares the register and what was wrong in it with a listing of its folder.
pub fn verify(register: &Register, problems: &[Problem], listing: &[OnDisk]) -> Verdict {
    let mut verdict = Verdict::default();
    for problem in problems {
        verdict.mismatches.push(fault(
            match problem.kind {
                Kind::CutShort { .. } => "line-cut-short",
                Kind::EndNotMarked => "end-not-marked",
                Kind::EndLost { .. } => "register-truncated",
                _ => "register-damaged",
            },
            REGISTER,
            problem.says(),
            problem.help(),
        ));
    }
    let disk: BTreeMap<&str, &OnDisk> = listing.iter().map(|file| (file.path.as_str(), file)).collect();
    let mut registered = BTreeMap::new();
    for issued in register.issued() {
        registered.insert(issued.file.clone(), (issued.pdf_sha256.as_str(), issued.pdf_bytes));
        registered.insert(issued.text_file(), (issued.text_sha256.as_str(), issued.text_bytes));
    }
    for (path, (sha256, bytes)) in &registered {
        match registered_file(path, sha256, *bytes, disk.get(path.as_str()).copied()) {
            Some(mismatch) => verdict.mismatches.push(mismatch),
            None => verdict.whole += 1,
        }
    }
    let extra = listing.iter().filter(|file| !registered.contains_key(&file.path));
    let is_damaged = problems.iter().any(|problem| !problem.is_harmless());
    verdict.mismatches.extend(extra.filter_map(|file| unregistered_file(&file.path, is_damaged)));
    verdict
}

const FROM_BACKUP: &str = "bring it back from a backup, or issue a corrected version with `--because`";

fn registered_file(path: &str, sha256: &str, bytes: u64, file: Option<&OnDisk>) -> Option<Mismatch> {
    let Some(file) = file else {
        return Some(fault("missing", path, "was issued and is not there", FROM_BACKUP));
    };
    match &file.sha256 {
        Err(why) => {
            let says = format!("cannot be read: {why}");
            Some(fault("unreadable", path, says, "check who may read it, and the disk"))
        }
        Ok(found) if found == sha256 => None,
        Ok(_) if file.bytes < bytes => {
            let says = format!("is truncated: {} of {bytes} bytes are there", file.bytes);
            Some(fault("truncated", path, says, FROM_BACKUP))
        }
        Ok(_) => Some(fault(
            "changed",
            path,
            "is not as it was issued",
            "keep the changed file elsewhere, then bring the issued one back from a backup",
        )),
    }
}

/// A file that the register does not know: nothing to say of drafts and of the register's own.
fn unregistered_file(path: &str, is_damaged: bool) -> Option<Mismatch> {
    let name = path.rsplit('/').next().unwrap_or(path);
    if [REGISTER, END, LOCK, CUT_LINES, ".gitignore"].contains(&path) {
        return None;
    }
    if is_list(path) {
        return None;
    }
    let stem = name.strip_suffix(".pdf").or_else(|| name.strip_suffix(".txt"));
    if path.contains('/') && (name == DRAFTS || stem.is_some_and(|stem| stem.ends_with("-draft"))) {
        return None;
    }
    if name.starts_with(".unguis-") && name.ends_with(".tmp") {
        return Some(fault(
            "leftover",
            path,
            "is a temporary file of a run that was cut short, not a document",
            "delete it; the next `unguis issue` does so too",
        ));
    }
    if name.contains(SET_ASIDE) {
        return Some(Mismatch {
            is_fault: false,
            ..fault(
                "set-aside",
                path,
                "lay where a document had to go, and was set aside",
                "look at it, and delete it if it is not needed",
            )
        });
    }
    if stem.is_some_and(is_versioned) {
        let (says, help) = if is_damaged {
            (
                "is named like an issued document, and its line may be among the damaged ones",
                "mend the register first, from a backup",
            )
        } else {
            (
                "is named like an issued document and is not in the register: an issue was cut short, or the \
                 register lost its last lines",
                "do not use it; run `unguis issue` on the case again, or bring the register back from a backup",
            )
        };
        return Some(fault("unregistered", path, says, help));
    }
    Some(fault("extra", path, "does not belong here", "move it elsewhere"))
}

/// Where such a file lies, something was issued, whether there is a register or not.
pub fn is_trace_of_issue(path: &str) -> bool {
    path == END
        || (path.contains('/') && !is_list(path) && path.strip_suffix(".pdf").is_some_and(is_versioned))
}

/// A list lies there, which is printed and not issued.
fn is_list(path: &str) -> bool {
    path.strip_prefix(LISTS).is_some_and(|rest| rest.starts_with('/'))
}

/// `operation-note-12`.
fn is_versioned(stem: &str) -> bool {
    stem.rsplit_once('-').is_some_and(|(name, version)| {
        !name.is_empty() && !version.is_empty() && version.bytes().all(|byte| byte.is_ascii_digit())
    })
}

fn fault(kind: &'static str, path: &str, says: impl Into<String>, help: impl Into<String>) -> Mismatch {
    Mismatch { kind, path: path.to_owned(), says: says.into(), help: help.into(), is_fault: true }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hash::sha256;
    use crate::register::entry::Event;
    use crate::register::entry::tests::issued;

    fn file(path: &str, content: &[u8]) -> OnDisk {
        OnDisk { path: path.into(), bytes: content.len() as u64, sha256: Ok(sha256(content)) }
    }

    fn issued_once() -> (Register, Vec<OnDisk>) {
        let mut register = Register::default();
        let line = register.append(Event::Issued(issued("gp-letter", 1)));
        let listing = vec![
            file(".gitignore", b"*"),
            file(".register.lock", b""),
            file("register.jsonl", line.as_bytes()),
            file("LFC-0117/LFC-0117-gp-letter-1.pdf", b"pdf"),
            file("LFC-0117/LFC-0117-gp-letter-1.txt", b"text"),
            file("LFC-0117/LFC-0117-gp-letter-draft.pdf", b"draft"),
            file("LFC-0117/.drafts", b"{}"),
        ];
        (register, listing)
    }

    fn kinds(listing: &[OnDisk]) -> Vec<&'static str> {
        let (register, _) = issued_once();
        verify(&register, &[], listing).mismatches.into_iter().map(|mismatch| mismatch.kind).collect()
    }

    #[test]
    fn what_was_issued_is_whole() {
        let (register, listing) = issued_once();
        let verdict = verify(&register, &[], &listing);
        assert_eq!((verdict.whole, verdict.mismatches.len()), (2, 0));
        assert!(verdict.is_clean());
    }

    #[test]
    fn each_fault_has_its_word() {
        let (_, listing) = issued_once();
        let with = |at: usize, changed: OnDisk| {
            let mut listing = listing.clone();
            listing[at] = changed;
            kinds(&listing)
        };
        assert_eq!(with(3, file("LFC-0117/LFC-0117-gp-letter-1.pdf", b"pdg")), ["changed"]);
        assert_eq!(with(3, file("LFC-0117/LFC-0117-gp-letter-1.pdf", b"pd")), ["truncated"]);
        assert_eq!(with(3, file("LFC-0117/LFC-0117-gp-letter-draft.txt", b"")), ["missing"]);
        let unreadable = OnDisk { sha256: Err("denied".into()), ..listing[3].clone() };
        assert_eq!(with(3, unreadable), ["unreadable"]);
        for (path, kind) in [
            ("LFC-0117/LFC-0117-gp-letter-2.pdf", "unregistered"),
            ("LFC-0117/.unguis-issue-abc.tmp", "leftover"),
            ("LFC-0117/LFC-0117-gp-letter-2.pdf.set-aside-1a2b3c4d", "set-aside"),
            ("LFC-0117/notes.docx", "extra"),
            ("gp-letter-draft.pdf", "extra"),
        ] {
            assert_eq!(with(5, file(path, b"?")), [kind], "{path}");
        }
    }

    #[test]
    fn a_file_set_aside_is_no_fault_and_a_damaged_line_is() {
        let (register, mut listing) = issued_once();
        listing.push(file("LFC-0117/LFC-0117-gp-letter-2.pdf.set-aside-1a2b3c4d", b"?"));
        assert!(verify(&register, &[], &listing).is_clean());
        let (register, problems) = Register::parse(b"?\n?");
        let verdict = verify(&register, &problems, &[]);
        let kinds: Vec<&str> = verdict.mismatches.iter().map(|mismatch| mismatch.kind).collect();
        assert_eq!(kinds, ["register-damaged", "line-cut-short"]);
        assert!(!verdict.is_clean());
    }
}
