//! The register: what was issued, in which version, with which hashes. Pure; it reads no file, and
//! it knows neither a case nor a document's content.
//!
//! The register is one JSON line an event. A line carries the hash of the line before it and a
//! check value over itself, so that a line that was changed, moved or taken out of the middle
//! shows. What it cannot show by itself is that whole lines were taken off its end: [`end`] keeps
//! count of them, and files whose lines are lost lie there without an entry. Nor can it show that somebody who may
//! write into the folder made all of it anew, or put an older one back: for that there are seals ([`seal`]) and
//! an end that was written down elsewhere ([`end::Expected`]).
//!
//! No line names a patient: it holds the reference, hashes, and who issued and why. Among the hashes are
//! salted ones of who the patient is, so that a reference is not used for two.

pub mod chain;
pub mod compare;
pub mod end;
pub mod entry;
pub mod seal;
pub mod verify;
pub mod versions;

/// What the first line names as the line before it.
pub const BEFORE_THE_FIRST: &str = "0000000000000000000000000000000000000000000000000000000000000000";
