//! unguis writes the paperwork of toenail surgery: one case file in, the whole pack out.
//!
//! ```text
//! case.yaml ─read→ Case ─derive→ Facts ─judge→ Findings ─compose→ View ─render→ Typst ─typeset→ PDF
//! ```
//!
//! Modules, in reading order; each may use those above it, never those below.

pub mod case;
pub mod cli;
pub mod clinical;
pub mod date;
pub mod demo;
pub mod derive;
pub mod diagnostic;
pub mod documents;
pub mod facts;
pub mod pipeline;
pub mod register;
pub mod render;
pub mod rules;
pub mod trial;
pub mod typeset;
pub mod units;
