//! What a case shows only beside others: the other cases of the run, the register, and the name of its
//! own file.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::case::{Shelf, read_case_with, read_text};
use crate::cli::io;
use crate::cli::load::Loaded;
use crate::cli::many::gather;
use crate::diagnostic::render::{Style, render};
use crate::diagnostic::{Diagnostic, Severity};
use crate::identity::{
    ANOTHER_PATIENT_FOUND, COMPARISONS, Clash, Comparison, DETAILS_CHANGED, FILE_NAME, FOLLOWS_ANOTHER,
    NOT_COMPARED, NOT_FOLLOWED, NUMBER_TWICE, Named, clashes, is_another_patient, other_reference_in_name,
};
use crate::pipeline::Read;
use crate::register::chain::Register;
use crate::store::ledger::{Owner, owner};
use crate::words::{List, Shown};

/// The cases of a run, compared with each other.
#[derive(Debug, Default)]
pub(super) struct Together {
    found: BTreeMap<PathBuf, Vec<Clash>>,
}

impl Together {
    /// Reads who each case is about. What cannot be read is said when the case has its turn.
    pub(super) fn of(cases: &[PathBuf], jobs: Option<u16>) -> Together {
        if cases.len() < 2 {
            return Together::default();
        }
        let named: Vec<(PathBuf, Named)> = gather(cases, jobs, |path| {
            let file = path.shown();
            let text = read_text(&file, &io::read_bytes(path).ok()?).ok()?;
            // Who a case is about needs no clinic file.
            let case = read_case_with(Arc::new(text), Shelf::Unread).value?;
            Some((path.to_owned(), Named::of(file, &case)))
        })
        .into_iter()
        .flatten()
        .collect();
        let (paths, named): (Vec<PathBuf>, Vec<Named>) = named.into_iter().unzip();
        let found = paths.into_iter().zip(clashes(&named)).filter(|(_, found)| !found.is_empty());
        Together { found: found.collect() }
    }

    /// What is found of one case beside the others, the register and the name of its file.
    pub(super) fn findings(&self, path: &Path, loaded: &Loaded, register: &Register) -> Vec<Diagnostic> {
        let Some(read) = &loaded.read else { return Vec::new() };
        let Some((person, reference)) = read.person().zip(loaded.checked.reference.as_deref()) else {
            return Vec::new();
        };
        let mut found: Vec<Diagnostic> =
            self.found.get(path).into_iter().flatten().map(|clash| of_clash(read, clash)).collect();
        let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        if let Some(other) = other_reference_in_name(&stem, reference) {
            let says = format!("the file is named `{other}`");
            found.push(read.compared(&FILE_NAME, FILE_NAME.severity, "reference", says));
        }
        found.extend(of_owner(read, owner(register, reference, &person)));
        found
    }
}

fn of_clash(read: &Read, clash: &Clash) -> Diagnostic {
    let Clash { kind, severity, other, path, differ } = clash;
    let verb = if differ.len() == 1 { "differs" } else { "differ" };
    let differ = List::and(differ);
    let says = if *kind == &FOLLOWS_ANOTHER {
        format!("that is `{other}`, and there {differ} {verb}")
    } else if *kind == &NOT_FOLLOWED {
        format!("that is `{other}`, and it does not follow this case")
    } else if *kind == &NUMBER_TWICE {
        format!("`{other}` has the same number, and there {differ} {verb}")
    } else {
        format!("`{other}` has it too")
    };
    read.compared(kind, *severity, path, says)
}

fn of_owner(read: &Read, owner: Owner) -> Option<Diagnostic> {
    let differ = match owner {
        Owner::Nobody => return None,
        Owner::Unknown => {
            let says = "what was issued under it has no hashes to compare with";
            return Some(read.compared(&NOT_COMPARED, NOT_COMPARED.severity, "reference", says));
        }
        Owner::Differs(differ) => differ,
    };
    let words = List::and(differ.iter().map(|detail| detail.words()));
    let verb = if differ.len() == 1 { "differs" } else { "differ" };
    if is_another_patient(&differ) {
        let says = format!("{words} {verb} from those of the patient whose documents were issued");
        return Some(read.compared(
            &ANOTHER_PATIENT_FOUND,
            ANOTHER_PATIENT_FOUND.severity,
            "reference",
            says,
        ));
    }
    let detail = differ.first()?;
    let says = format!("{words} {verb} from what was issued under this reference");
    Some(read.compared(&DETAILS_CHANGED, DETAILS_CHANGED.severity, detail.path(), says))
}

/// True if a finding of this kind is among those of a case.
pub(super) fn has(found: &[Diagnostic], kind: &Comparison) -> bool {
    found.iter().any(|one| one.rule == kind.name)
}

/// The notes of comparison, a line each: they stand in the way of nothing and are said all the same.
pub(super) fn notes(found: &[Diagnostic]) -> String {
    let is_told = |one: &&Diagnostic| {
        one.severity == Severity::Note && COMPARISONS.iter().any(|comparison| comparison.name == one.rule)
    };
    let told: Vec<Diagnostic> = found.iter().filter(is_told).cloned().collect();
    render(&told, Style::Short)
}
