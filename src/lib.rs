//! unguis writes the paperwork of toenail surgery: one case file in, the whole pack out.
//!
//! ```text
//! case.yaml ─read→ Case ─derive→ Facts ─judge→ Findings ─compose→ View ─render→ Typst ─typeset→ PDF
//! ```
//!
//! The modules stand here by name; in which order they are read, and which may use which, is the map of
//! `DEVELOPERS.md` and enforced by `tests/it/tidy.rs`.

pub mod anatomy;
pub(crate) mod audit;
pub mod case;
pub mod cli;
pub mod clinical;
pub mod date;
pub mod demo;
pub mod derive;
pub mod desk;
pub mod diagnostic;
pub mod documents;
pub mod edit;
pub(crate) mod export;
pub mod facts;
pub mod handbook;
pub mod hash;
pub mod identity;
pub mod nation;
pub mod pipeline;
pub mod register;
pub mod render;
pub mod rules;
pub(crate) mod statistics;
pub mod store;
pub(crate) mod trial;
pub mod typeset;
pub mod units;
pub(crate) mod words;
