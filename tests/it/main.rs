//! The integration tests: one binary, a file per subject.
//!
//! Run them with `cargo test --release`; Typst unoptimised is thirty times slower. Some use outside
//! tools (poppler, qpdf), which README names. Snapshots: see `documents.rs`.

mod agreement;
mod cautions;
mod charts;
mod classes;
mod cli;
mod desk;
mod documents;
mod escaping;
mod export;
mod faults;
mod forms;
mod fuzz;
mod handbook;
mod hazards;
mod hostile;
mod layout;
mod lengths;
mod lists;
mod outside;
mod own_templates;
mod packages;
mod passed_over;
mod patients;
mod pdf;
mod properties;
mod reading;
mod refused;
mod register;
mod safekeeping;
mod setup;
mod shell;
mod support;
mod tidy;
mod year;
