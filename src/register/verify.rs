//! The register against what lies on the disk. Pure: the listing comes in.

use std::collections::{BTreeMap, BTreeSet};

use crate::date::CivilDate;
use crate::register::chain::{Kind, Problem, Register};
use crate::register::end::{END, Expected};
use crate::register::seal::SEALS;
use crate::units::TextValue;
use crate::words::Count;

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

/// Something on the disk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnDisk {
    /// Path below the register's folder, with `/`.
    pub path: String,
    /// What it is.
    pub is: What,
    /// Length of a file in bytes.
    pub bytes: u64,
    /// Its hash, or why it could not be read; `None` if nobody asked, since its length says enough.
    pub sha256: Option<Result<String, String>>,
    /// Every account of this computer can read it.
    pub is_open_to_all: bool,
}

/// What lies under a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// A regular file.
    File,
    /// A folder.
    Folder,
    /// A folder that cannot be listed, and why.
    Closed(String),
    /// Whatever else, in words: `a link`.
    Other(&'static str),
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

impl Mismatch {
    /// Something that was kept may be lost, or not be what it was. Whatever else is at fault lies there too much,
    /// or is mended by the next issue.
    pub fn is_loss(&self) -> bool {
        self.is_fault
            && !["extra", "unregistered", "leftover", "line-cut-short", "end-not-marked"].contains(&self.kind)
    }
}

/// Something to know of the whole folder, which is no fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// A short permanent word for programs.
    pub kind: &'static str,
    /// What there is to know, as a sentence without its full stop.
    pub says: String,
    /// What to do.
    pub help: &'static str,
}

/// What verifying gave.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verdict {
    /// Everything that does not match, register first, then by path.
    pub mismatches: Vec<Mismatch>,
    /// What there is to know beside.
    pub notes: Vec<Note>,
    /// How many registered files are as they were issued.
    pub whole: usize,
    /// The register's end as it may be written down; `None` without a register or with an empty one.
    pub anchor: Option<String>,
    /// The last seal that holds: when it was made, by which key, up to which line of how many.
    pub sealed: Option<Sealed>,
}

/// The last seal that holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed {
    /// Up to this line.
    pub lines: usize,
    /// The register has so many.
    pub of: usize,
    /// When, as the clock of whoever sealed said, in UTC.
    pub time: String,
    /// The key's fingerprint.
    pub fingerprint: String,
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
    let registered = registered(register);
    let mut behind_closed: BTreeMap<&str, usize> = BTreeMap::new();
    for (path, (sha256, bytes)) in &registered {
        let closed = ancestors(path).find(|above| matches!(disk.get(above), Some(on) if is_closed(on)));
        if let Some((closed, _)) = closed.and_then(|above| disk.get_key_value(above)) {
            *behind_closed.entry(closed).or_default() += 1;
            continue;
        }
        match registered_file(path, sha256, *bytes, disk.get(path.as_str()).copied()) {
            Some(mismatch) => verdict.mismatches.push(mismatch),
            None => verdict.whole += 1,
        }
    }
    let is_damaged = problems.iter().any(|problem| !problem.is_harmless());
    let extra = listing.iter().filter(|file| !registered.contains_key(&file.path));
    verdict.mismatches.extend(extra.filter_map(|file| match &file.is {
        What::File => unregistered_file(&file.path, is_damaged),
        What::Folder => folder_as_file(&file.path),
        What::Closed(why) => {
            let hidden = behind_closed.get(file.path.as_str()).copied().unwrap_or_default();
            let says = format!(
                "cannot be listed: {why}; {} in it could not be looked at",
                Count(hidden, "issued file")
            );
            Some(fault("unreadable", &file.path, says, "check who may open it"))
        }
        What::Other(what) => Some(no_file(&file.path, what)),
    }));
    verdict.notes = notes(register, listing);
    let end = register.end();
    verdict.anchor = (end.lines > 0).then(|| end.anchor());
    verdict
}

/// Every file that the register knows, with its hash and length.
pub fn registered(register: &Register) -> BTreeMap<String, (&str, u64)> {
    let mut files = BTreeMap::new();
    for issued in register.issued() {
        files.insert(issued.file.clone(), (issued.pdf_sha256.as_str(), issued.pdf_bytes));
        files.insert(issued.text_file(), (issued.text_sha256.as_str(), issued.text_bytes));
    }
    files
}

/// Holds a register against its end as it was written down elsewhere.
pub fn as_expected(register: &Register, expected: &Expected) -> Option<Mismatch> {
    const HELP: &str = "an older folder may have been put back, or the register made anew: ask who did, and look into \
                        the backups for the register that was written down";
    let lines = register.end().lines;
    match register.hash_of_line(expected.lines) {
        Some(hash) if hash.starts_with(&expected.hash) => None,
        Some(_) => {
            let says =
                format!("is another register: line {} is not the one that was written down", expected.lines);
            Some(fault("register-another", REGISTER, says, HELP))
        }
        None => {
            let says = format!("has {lines} of the {} lines that were written down", expected.lines);
            Some(fault("register-behind", REGISTER, says, HELP))
        }
    }
}

/// `a/b/c` lies in `a/b` and in `a`.
fn ancestors(path: &str) -> impl Iterator<Item = &str> {
    path.match_indices('/').map(|(at, _)| &path[..at])
}

fn is_closed(on: &OnDisk) -> bool {
    matches!(on.is, What::Closed(_))
}

const FROM_BACKUP: &str = "bring it back from a backup, or issue a corrected version with `--because`";

fn registered_file(path: &str, sha256: &str, bytes: u64, file: Option<&OnDisk>) -> Option<Mismatch> {
    let Some(file) = file else {
        return Some(fault("missing", path, "was issued and is not there", FROM_BACKUP));
    };
    match &file.is {
        What::File => {}
        What::Folder | What::Closed(_) => {
            return Some(fault("not-a-file", path, "is a folder, not the file that was issued", FROM_BACKUP));
        }
        What::Other(what) => return Some(no_file(path, what)),
    }
    match &file.sha256 {
        Some(Err(why)) => {
            let says = format!("cannot be read: {why}");
            Some(fault("unreadable", path, says, "check who may read it, and the disk"))
        }
        Some(Ok(found)) if found == sha256 => None,
        _ if file.bytes < bytes => {
            let says = format!("is truncated: {} of {bytes} bytes are there", file.bytes);
            Some(fault("truncated", path, says, FROM_BACKUP))
        }
        _ => Some(fault(
            "changed",
            path,
            "is not as it was issued",
            "keep the changed file elsewhere, then bring the issued one back from a backup",
        )),
    }
}

/// Neither file nor folder: whatever it leads to, it is not looked at.
fn no_file(path: &str, what: &str) -> Mismatch {
    let kind = if what == "a link" { "link" } else { "not-a-file" };
    fault(
        kind,
        path,
        format!("is {what}: what it leads to was not looked at"),
        "take it away, and put the file or folder itself there: what lies elsewhere can be exchanged unseen, and no \
         backup holds it",
    )
}

/// A folder under a name that only a file has.
fn folder_as_file(path: &str) -> Option<Mismatch> {
    let is_own = OWN.contains(&path);
    let is_named_so = [".pdf", ".txt", ".jsonl"].iter().any(|ending| path.ends_with(ending));
    (is_own || is_named_so)
        .then(|| fault("not-a-file", path, "is a folder under the name of a file", "move it elsewhere"))
}

/// What lies directly in the folder and belongs to the register.
const OWN: [&str; 6] = [REGISTER, END, LOCK, CUT_LINES, SEALS, ".gitignore"];

/// A file that the register does not know: nothing to say of drafts and of the register's own.
fn unregistered_file(path: &str, is_damaged: bool) -> Option<Mismatch> {
    let name = path.rsplit('/').next().unwrap_or(path);
    if OWN.contains(&path) {
        return None;
    }
    if is_list(path) {
        return None;
    }
    let stem = name.strip_suffix(".pdf").or_else(|| name.strip_suffix(".txt"));
    if path.contains('/') && (name == DRAFTS || is_draft(path)) {
        return None;
    }
    if is_temporary(path) {
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

/// A temporary file of a run.
pub fn is_temporary(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.starts_with(".unguis-") && name.ends_with(".tmp")
}

fn is_draft(path: &str) -> bool {
    let stem = path.strip_suffix(".pdf").or_else(|| path.strip_suffix(".txt"));
    stem.is_some_and(|stem| stem.ends_with("-draft"))
}

/// What there is to know of the folder as a whole.
fn notes(register: &Register, listing: &[OnDisk]) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut apart = register.issued().filter(|issued| {
        let entered = issued.time.get(..10).and_then(|day| CivilDate::parse(day).ok());
        entered.is_some_and(|entered| entered.days_until(issued.date).abs() > 1)
    });
    if let Some(first) = apart.next() {
        notes.push(Note {
            kind: "dated-otherwise",
            says: format!(
                "the date on {} is more than a day from the day on which it was entered, {}: first version {} of {} of \
                 {}, dated {}",
                Count(1 + apart.count(), "document"),
                first.time.get(..10).unwrap_or_default(),
                first.version,
                first.document,
                first.reference,
                first.date.clinical()
            ),
            help: "it was issued with `--today`, or the clock was wrong: see that the date is the right one",
        });
    }
    let final_ones: BTreeSet<&str> =
        register.issued().filter_map(|issued| Some(issued.file.rsplit_once('-')?.0)).collect();
    let is_replaced = |file: &&OnDisk| {
        let stem = file.path.rsplit_once('.').and_then(|(stem, _)| stem.strip_suffix("-draft"));
        is_draft(&file.path) && stem.is_some_and(|stem| final_ones.contains(stem))
    };
    let mut drafts = listing.iter().filter(is_replaced);
    if let Some(first) = drafts.next() {
        let (count, path) = (Count(1 + drafts.count(), "draft"), crate::words::visible(&first.path));
        notes.push(Note {
            kind: "drafts",
            says: format!("{count} of what was issued since lie beside it: first `{path}`"),
            help: "delete them, so that nobody takes one for the document",
        });
    }
    let open = listing.iter().filter(|file| file.is_open_to_all && file.path != ".gitignore").count();
    if open > 0 {
        notes.push(Note {
            kind: "open-to-all",
            says: format!("every account of this computer can read {}", Count(open, "file")),
            help: "take the rights away: `chmod -R o=` and the name of the folder",
        });
    }
    notes
}

/// Where such a file lies, something was issued, whether there is a register or not.
pub fn is_trace_of_issue(path: &str) -> bool {
    [END, SEALS].contains(&path)
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

pub(super) fn fault(
    kind: &'static str,
    path: &str,
    says: impl Into<String>,
    help: impl Into<String>,
) -> Mismatch {
    Mismatch { kind, path: path.to_owned(), says: says.into(), help: help.into(), is_fault: true }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hash::sha256;
    use crate::register::entry::Event;
    use crate::register::entry::tests::issued;

    fn file(path: &str, content: &[u8]) -> OnDisk {
        OnDisk {
            path: path.into(),
            is: What::File,
            bytes: content.len() as u64,
            sha256: Some(Ok(sha256(content))),
            is_open_to_all: false,
        }
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
        let unreadable = OnDisk { sha256: Some(Err("denied".into())), ..listing[3].clone() };
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

    fn other(path: &str, is: What) -> OnDisk {
        OnDisk { is, sha256: None, ..file(path, b"") }
    }

    #[test]
    fn whatever_is_no_file_is_named() {
        let (register, listing) = issued_once();
        let said = |at: usize, changed: OnDisk| {
            let mut listing = listing.clone();
            listing[at] = changed;
            let verdict = verify(&register, &[], &listing);
            let kinds: Vec<_> =
                verdict.mismatches.iter().map(|found| (found.kind, found.is_loss())).collect();
            (kinds, verdict.whole)
        };
        let pdf = "LFC-0117/LFC-0117-gp-letter-1.pdf";
        assert_eq!(said(3, other(pdf, What::Other("a link"))), (vec![("link", true)], 1));
        assert_eq!(said(3, other(pdf, What::Other("a named pipe"))), (vec![("not-a-file", true)], 1));
        assert_eq!(said(3, other(pdf, What::Folder)), (vec![("not-a-file", true)], 1));
        let link = What::Other("a link");
        for own in [REGISTER, END, LOCK, SEALS, "lists/day.pdf", "LFC-0117/LFC-0117-gp-letter-draft.pdf"] {
            assert_eq!(said(5, other(own, link.clone())).0, [("link", true)], "{own}");
        }
        assert_eq!(said(5, other("LFC-0117/LFC-0117-gp-letter-9.pdf", What::Folder)).0.len(), 1);
        assert_eq!(said(5, other("LFC-0117", What::Folder)).0, []);
        let closed = other("LFC-0117", What::Closed("denied".into()));
        let (kinds, whole) = said(5, closed);
        assert_eq!((kinds, whole), (vec![("unreadable", true)], 0), "one fault for all that lies in it");
        // Its length alone says that a file was changed: then nobody hashes it.
        let longer = OnDisk { bytes: 1 << 40, sha256: None, ..listing[3].clone() };
        assert_eq!(said(3, longer).0, [("changed", true)]);
        let extra = said(5, file("LFC-0117/scan.jpg", b"?")).0;
        assert_eq!(extra, [("extra", false)]);
    }

    #[test]
    fn dates_drafts_and_rights_are_noted() {
        let (register, mut listing) = issued_once();
        let noted = |register: &Register, listing: &[OnDisk]| -> Vec<&'static str> {
            verify(register, &[], listing).notes.into_iter().map(|note| note.kind).collect()
        };
        assert_eq!(noted(&register, &listing), ["drafts"]);
        listing[5].path = "LFC-0117/LFC-0117-consent-form-draft.pdf".into();
        assert_eq!(noted(&register, &listing), [] as [&str; 0], "no form was issued");
        listing[0].is_open_to_all = true;
        assert_eq!(noted(&register, &listing), [] as [&str; 0], "there is no patient in it");
        listing[2].is_open_to_all = true;
        assert_eq!(noted(&register, &listing), ["open-to-all"]);
        // Entered on 24 November.
        for (dated, is_noted) in
            [("2026-11-22", true), ("2026-11-23", false), ("2026-11-25", false), ("2026-11-26", true)]
        {
            let mut register = Register::default();
            let date = CivilDate::parse(dated).expect("a date");
            let _ = register
                .append(Event::Issued(crate::register::entry::Issued { date, ..issued("gp-letter", 1) }));
            assert_eq!(noted(&register, &[]).contains(&"dated-otherwise"), is_noted, "{dated}");
        }
    }

    #[test]
    fn an_end_that_was_written_down_is_held_against_the_register() {
        let (mut register, _) = issued_once();
        let before = register.clone();
        let _ = register.append(Event::Issued(issued("gp-letter", 2)));
        let written = |register: &Register| register.end().anchor().parse::<Expected>().expect("an anchor");
        assert_eq!(as_expected(&register, &written(&register)), None);
        assert_eq!(as_expected(&register, &written(&before)), None, "it has grown since");
        let kind = |register: &Register, expected: &Expected| {
            as_expected(register, expected).map(|found| found.kind)
        };
        assert_eq!(kind(&before, &written(&register)), Some("register-behind"));
        let mut another = before.clone();
        let _ = another.append(Event::Issued(issued("consent-form", 1)));
        assert_eq!(kind(&another, &written(&register)), Some("register-another"));
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
