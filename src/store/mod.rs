//! How it reaches the disk: files, clock and environment, the register and what is issued into its
//! folder, and what goes wrong on the way.
//!
//! `io` is the only place of the crate that touches the outside; `ledger` is the one order in which files
//! and lines of the register are written, `backup` that in which they are copied.

pub(crate) mod backup;
pub mod error;
mod exit;
pub mod io;
pub(crate) mod ledger;
pub(crate) mod seal;
pub(crate) mod verdict;

pub use error::Error;
pub use exit::Exit;
