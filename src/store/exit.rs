//! Exit status: what the shell and other programs learn.

use std::process::ExitCode;

/// How it ended. Ordered: the gravest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// 0: done; cautions that were answered and notes are allowed.
    Done,
    /// 1: findings stop it.
    Findings,
    /// 2: wrong usage, or a file could not be read, used or written; own templates that fail are such files.
    Failure,
    /// 3: a fault of unguis itself.
    Fault,
}

impl Exit {
    /// The number of it.
    pub fn status(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::Findings => 1,
            Exit::Failure => 2,
            Exit::Fault => 3,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit.status())
    }
}
