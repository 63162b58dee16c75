//! Failures of the program: files, settings, templates. What is wrong *inside* a case is a finding,
//! never an error.
//!
//! `Display` says its own level only; [`chain`] prints the levels below it and what to do. No
//! message holds anything read from a case file.

use std::error::Error as StdError;
use std::io;
use std::path::PathBuf;

use crate::identity;
use crate::pipeline::SetError;
use crate::store::Exit;
use crate::words::{List, Shown};

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Wrong usage that the argument parser cannot see.
    #[error("{0}")]
    Usage(String),
    /// A file or folder could not be read, written, locked or listed.
    #[error("could not {tried} `{}`", path.shown())]
    Io {
        /// What was tried: `read`, `write`.
        tried: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        #[source]
        source: io::Error,
    },
    /// There is no clinic file.
    #[error("there is no clinic file `{}`", .0.shown())]
    NoClinic(PathBuf),
    /// A file that must be new is there already.
    #[error("`{}` is there already and was left as it is", .0.shown())]
    Exists(PathBuf),
    /// Where unguis keeps a file or a folder of its own lies something else. It follows no link there, and waits
    /// for no pipe.
    #[error("`{}` is {is}, where a {wanted} is needed", path.shown())]
    InTheWay {
        /// Its name.
        path: PathBuf,
        /// What it is.
        is: &'static str,
        /// `file` or `folder`.
        wanted: &'static str,
    },
    /// Somebody else wrote a file while it was worked on.
    #[error("`{}` was changed meanwhile and was left as it is", .0.shown())]
    ChangedMeanwhile(PathBuf),
    /// A folder that must be new or empty holds something.
    #[error("the folder `{}` is not empty and was left as it is", .0.shown())]
    NotEmpty(PathBuf),
    /// A text file that is not UTF-8.
    #[error("`{}` is not text in UTF-8", .0.shown())]
    NotText(PathBuf),
    /// A clinic's own templates cannot be read, or fail on the demo cases.
    #[error("the templates in `{}` cannot be used; nothing was made with them", dir.shown())]
    Templates {
        /// The folder.
        dir: PathBuf,
        /// What is wrong, each mistake once.
        mistakes: Vec<String>,
    },
    /// A folder of templates without a template.
    #[error("there is no template in `{}`", .0.shown())]
    NoTemplates(PathBuf),
    /// A document could not be set.
    #[error("a document could not be made")]
    Set(#[from] SetError),
    /// The register does not hold together, so nothing may be added to it.
    #[error("the register `{}` is damaged: {what}", path.shown())]
    Register {
        /// The register.
        path: PathBuf,
        /// The first thing that is wrong.
        what: String,
    },
    /// The kept text of an issued version does not match the register.
    #[error("the text of an issued version does not match the register: `{}`", .0.shown())]
    Twin(PathBuf),
    /// Two cases of one run bear the same reference.
    #[error("two cases have the reference {reference}: `{}` and `{}`", first.shown(), second.shown())]
    SameReference {
        /// The reference.
        reference: String,
        /// The case that came first.
        first: PathBuf,
        /// The case that was refused.
        second: PathBuf,
    },
    /// The register knows another patient under the reference.
    #[error("documents of another patient were issued under {0}")]
    AnotherPatient(String),
    /// A document that has gone somewhere and was never issued.
    #[error("no {document} of {reference} was ever issued")]
    NeverIssued {
        /// The reference.
        reference: String,
        /// The document.
        document: String,
        /// What was issued under the reference.
        issued: Vec<String>,
    },
    /// Something of which only what was issued is exported, and that never was.
    #[error("no {document} of {reference} was issued, and only what was issued is exported")]
    NotIssued {
        /// The reference.
        reference: String,
        /// The document.
        document: String,
    },
    /// An issued file is missing, or is not the one that was issued.
    #[error("`{}` is not there as it was issued; nothing was exported", .0.shown())]
    NotAsIssued(PathBuf),
    /// The register has it already.
    #[error("already entered: {what}; nothing was added")]
    AlreadyEntered {
        /// What went where and when.
        what: String,
    },
    /// Not one case could be read.
    #[error("not one case could be read, so there is no list")]
    NothingRead,
    /// The user asked the run to stop.
    #[error("stopped")]
    Stopped,
    /// A fault of unguis that is not tied to a document.
    #[error("unguis broke: {0}")]
    Fault(String),
    /// Part of unguis broke on a case; what it said is withheld, since it may hold a name.
    #[error("unguis broke while working on `{}`", .0.shown())]
    Broke(PathBuf),
}

impl Error {
    /// A failed call of the system.
    pub fn io(tried: &'static str, path: impl Into<PathBuf>, source: io::Error) -> Error {
        Error::Io { tried, path: path.into(), source }
    }

    /// The exit status it leads to.
    pub fn exit(&self) -> Exit {
        match self {
            // What a clinic changed is the clinic's to mend; the built-in templates are ours.
            Error::Set(problem) if problem.has_own_templates => Exit::Failure,
            Error::Set(_) | Error::Fault(_) | Error::Broke(_) => Exit::Fault,
            Error::NothingRead => Exit::Findings,
            Error::Usage(_)
            | Error::Io { .. }
            | Error::NoClinic(_)
            | Error::Exists(_)
            | Error::InTheWay { .. }
            | Error::ChangedMeanwhile(_)
            | Error::NotEmpty(_)
            | Error::NotText(_)
            | Error::Templates { .. }
            | Error::NoTemplates(_)
            | Error::Register { .. }
            | Error::Twin(_)
            | Error::AnotherPatient(_)
            | Error::NeverIssued { .. }
            | Error::NotIssued { .. }
            | Error::NotAsIssued(_)
            | Error::AlreadyEntered { .. }
            | Error::Stopped
            | Error::SameReference { .. } => Exit::Failure,
        }
    }

    /// What to do about it.
    fn help(&self) -> Option<String> {
        let help = match self {
            Error::Usage(_) | Error::Stopped => return None,
            Error::Templates { dir, .. } => {
                return Some(format!(
                    "mend the files and run `unguis check-templates {0}`; a file taken out of `{0}` is the built-in \
                     one again",
                    dir.shown()
                ));
            }
            Error::NoTemplates(_) => "`unguis templates DIR` writes the built-in ones out, to be changed",
            Error::Io { source, .. } => {
                let of_windows = if cfg!(windows) { windows_help(source.raw_os_error()) } else { None };
                of_windows.unwrap_or_else(|| io_help(source.kind()))
            }
            Error::NoClinic(path) => {
                let to = if path.file_name() == Some("clinic.yaml".as_ref()) && path.components().count() == 1
                {
                    String::new()
                } else {
                    format!(" --to {}", path.shown())
                };
                return Some(format!(
                    "`unguis setup{to}` writes one to fill in; if yours stands elsewhere, name it with `--clinic`"
                ));
            }
            Error::Exists(_) => "choose another name with `--to`, or move the file away",
            Error::InTheWay { is: "a link", .. } => {
                "move the link away and put there itself what it leads to: what lies elsewhere can be exchanged unseen, \
                 and no copy of the folder holds it"
            }
            Error::InTheWay { .. } => "move it away: it does not belong there",
            Error::ChangedMeanwhile(_) => "look at what was changed, and run it again",
            Error::NotEmpty(_) => "name a folder that is new or empty",
            Error::NotText(_) => "save the file as UTF-8",
            Error::Set(problem) if problem.has_own_templates => {
                "templates of your own were used and no demo case shows this: try without `--templates`; if it fails \
                 then too, it is a fault of unguis: please report it"
            }
            Error::Set(_) => "this is a fault of unguis: please report it; nothing of this case was issued",
            Error::Register { .. } => {
                "nothing was issued; `unguis verify` lists all that is wrong. Bring the register back from a \
                 backup, or start a new one with `--out` and keep the old folder as it is"
            }
            Error::Twin(_) => {
                "nothing was issued; `unguis verify` says what changed. Bring the file back from a backup"
            }
            Error::SameReference { .. } => "give each case its own reference",
            Error::AnotherPatient(_) => identity::ANOTHER_PATIENT_FOUND.help,
            Error::NeverIssued { issued, .. } if issued.is_empty() => {
                "nothing was issued under this reference: check it, and the folder given with `--out`"
            }
            Error::NeverIssued { issued, .. } => {
                return Some(format!("issued were {}", List::and(issued)));
            }
            Error::NotIssued { .. } => {
                "issue it first with `unguis issue`; if it was issued into another folder, name that with `--out`"
            }
            Error::NotAsIssued(_) => "`unguis verify` says what changed. Bring the file back from a backup",
            Error::AlreadyEntered { .. } => {
                "the register has it: there is nothing to do. Another day is entered with `--on`"
            }
            Error::NothingRead => "`unguis check` says what to mend",
            Error::Fault(_) => "this is a fault of unguis: please report it",
            Error::Broke(_) => "this is a fault of unguis: please report it; nothing of this case was issued",
        };
        Some(help.to_owned())
    }
}

/// Windows refuses to replace or read a file that another program holds: a sharing violation (32), a lock on a
/// part of it (33), or an access that is denied (5), which may also be what it says.
/// <https://learn.microsoft.com/windows/win32/debug/system-error-codes--0-499->
fn windows_help(code: Option<i32>) -> Option<&'static str> {
    match code? {
        32 | 33 => Some("the file is open in another program: close it there and run this again"),
        5 => Some(
            "the file may be open in another program: close it there and run this again; if it is not, check who may \
             read and write there",
        ),
        _ => None,
    }
}

fn io_help(kind: io::ErrorKind) -> &'static str {
    use io::ErrorKind as K;
    match kind {
        K::NotFound => "check the name; a folder may have been moved away",
        K::PermissionDenied => "check who may read and write there",
        K::ReadOnlyFilesystem => "choose a folder that can be written to, with `--out`",
        K::StorageFull | K::QuotaExceeded | K::FileTooLarge => {
            "make room and run it again: what was issued before is whole, the rest is made then"
        }
        K::NotADirectory => "a file stands where a folder is needed: move it away",
        K::IsADirectory => "a folder stands where a file is needed: name the file, or move the folder away",
        K::InvalidFilename | K::InvalidInput => {
            "check the name: it, or the path to it, is too long, or it holds a sign that no name may"
        }
        K::TimedOut
        | K::NetworkDown
        | K::HostUnreachable
        | K::NetworkUnreachable
        | K::StaleNetworkFileHandle => "check the connection to the network drive, and run it again",
        K::ResourceBusy | K::ExecutableFileBusy | K::WouldBlock => {
            "another program has it open: close it there, and run it again"
        }
        _ => {
            "see whether the file opens in another program; if not, bring it back from a backup or ask whoever \
              looks after the computer"
        }
    }
}

/// The whole message, ready to print: the failure, each level below it, and what to do.
pub fn chain(error: &(dyn StdError + 'static)) -> String {
    let mut text = format!("error: {error}\n");
    if let Some(Error::Templates { mistakes, .. }) = error.downcast_ref::<Error>() {
        for mistake in mistakes {
            text.push_str(&format!("  {}\n", mistake.replace('\n', "\n    ")));
        }
    }
    let mut below = error.source();
    while let Some(level) = below {
        let level_text = level.to_string().replace('\n', "\n    ");
        text.push_str(&format!("  because: {level_text}\n"));
        below = level.source();
    }
    if let Some(help) = error.downcast_ref::<Error>().and_then(Error::help) {
        text.push_str(&format!("  help: {help}\n"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_says_what_was_tried_where_why_and_what_to_do() {
        let error = Error::io("write", "out/x.pdf", io::Error::from(io::ErrorKind::StorageFull));
        let text = chain(&error);
        assert!(text.starts_with("error: could not write `out/x.pdf`\n  because: "), "{text}");
        assert!(text.contains("\n  help: make room"), "{text}");
        assert_eq!(error.exit(), Exit::Failure);
    }

    #[test]
    fn windows_is_told_apart_by_its_own_numbers() {
        for code in [5, 32, 33] {
            assert!(windows_help(Some(code)).is_some_and(|help| help.contains("open in another program")));
        }
        assert_eq!((windows_help(Some(2)), windows_help(None)), (None, None));
    }

    #[test]
    fn a_path_that_is_too_long_says_so() {
        let long = Error::io("write", "x", io::Error::from(io::ErrorKind::InvalidFilename));
        assert!(
            chain(&long).contains("help: check the name: it, or the path to it, is too long"),
            "{}",
            chain(&long)
        );
    }

    #[test]
    fn a_clinics_template_is_the_clinics_to_mend_and_ours_is_ours() {
        let set = |has_own_templates| {
            let nothing = crate::typeset::TypesetError::Source(Vec::new());
            let fault = crate::pipeline::SetFault::Typeset(nothing);
            Error::Set(SetError { document: "gp-letter", has_own_templates, fault })
        };
        assert_eq!((set(true).exit(), set(false).exit()), (Exit::Failure, Exit::Fault));
        assert!(chain(&set(true)).contains("try without `--templates`"), "{}", chain(&set(true)));
        let refused = Error::Templates { dir: "own".into(), mistakes: vec!["a:1: x\n  shows in b".into()] };
        assert_eq!(refused.exit(), Exit::Failure);
        let said = chain(&refused);
        assert!(said.contains("\n  a:1: x\n      shows in b\n  help: mend"), "{said}");
    }

    #[test]
    fn a_fault_of_ours_has_its_own_status() {
        assert_eq!(Error::Broke("a.yaml".into()).exit(), Exit::Fault);
        assert_eq!(Error::Usage("x".into()).exit(), Exit::Failure);
        assert_eq!(chain(&Error::Usage("name a case".into())), "error: name a case\n");
    }
}
