//! By what authority each anaesthetic was given, and by whom it was injected.
//!
//! Whether it was enough is a rule's business.

use super::Given;
use crate::case::{Anaesthetic, Annotation, AuthorityBlock, AuthorityEntry, Practitioner};
use crate::clinical::tables;
use crate::diagnostic::Path;

/// One anaesthetic of the operation: who injected it, and under what.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenUnder {
    /// Its entry, as a path.
    pub entry: Path,
    /// The name as it is printed: the table's own spelling, or what was typed if it is not there.
    pub agent: String,
    /// Who injected it.
    pub injector: Injector,
    /// The authority and its place; `None` if none is recorded.
    pub authority: Option<(Path, AuthorityBlock)>,
}

/// Who injected.
#[derive(Debug, Clone, PartialEq)]
pub enum Injector {
    /// Somebody of the clinic file, by the key there.
    OfClinic {
        /// The key.
        key: String,
        /// Full name.
        name: String,
        /// `Podiatrist`.
        role: String,
        /// The annotations, as stated; `None` if nobody stated them.
        annotations: Option<Vec<Annotation>>,
    },
    /// A name that the clinic file does not hold.
    Other(String),
    /// Nobody is recorded.
    Unknown,
}

impl Injector {
    fn of_clinic(key: &str, person: &Practitioner) -> Injector {
        Injector::OfClinic {
            key: key.to_owned(),
            name: person.name.clone(),
            role: person.role.clone(),
            annotations: person.annotations.clone(),
        }
    }
}

/// Each anaesthetic of the operation, in file order.
pub(super) fn given_under(given: Given<'_>) -> Vec<GivenUnder> {
    let Some(operation) = &given.case.operation else { return Vec::new() };
    let of_operation =
        operation.authority.as_ref().map(|entry| (Path::from("operation.authority"), block(entry)));
    let entries = operation.anaesthetic.as_ref().map(|all| all.all()).unwrap_or_default();
    entries
        .into_iter()
        .map(|(step, entry)| {
            let path = Path::from(format!("operation.anaesthetic{step}"));
            let own = entry.authority.as_ref().map(|own| (path.key("authority"), block(own)));
            GivenUnder {
                entry: path,
                agent: tables::agent(&entry.agent)
                    .map_or_else(|| entry.agent.trim().to_owned(), |agent| agent.name.to_owned()),
                injector: injector(given, entry),
                authority: own.or_else(|| of_operation.clone()),
            }
        })
        .collect()
}

/// The block; of the short form what it holds.
fn block(entry: &AuthorityEntry) -> AuthorityBlock {
    match entry {
        AuthorityEntry::Short(short) => short.0.clone(),
        AuthorityEntry::Block(block) => block.clone(),
    }
}

fn injector(given: Given<'_>, entry: &Anaesthetic) -> Injector {
    let people = &given.clinic.practitioners;
    let typed = entry.given_by.as_deref().map(str::trim).filter(|typed| !typed.is_empty());
    if let Some(typed) = typed {
        let same = |(key, person): &(&String, &Practitioner)| {
            key.as_str() == typed || tables::folded(&person.name) == tables::folded(typed)
        };
        return match people.iter().find(same) {
            Some((key, person)) => Injector::of_clinic(key, person),
            None => Injector::Other(typed.to_owned()),
        };
    }
    let operator = given.case.operation.as_ref().and_then(|operation| operation.operator.as_ref());
    match operator {
        Some(key) => people.get(key).map_or(Injector::Unknown, |person| Injector::of_clinic(key, person)),
        None if people.len() == 1 => {
            people.iter().next().map_or(Injector::Unknown, |(key, person)| Injector::of_clinic(key, person))
        }
        None => Injector::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::AuthorityKind;
    use crate::rules::example::facts_of;

    fn first(fragment: &str) -> GivenUnder {
        facts_of(fragment).derived.given_under.remove(0)
    }

    #[test]
    fn the_authority_of_the_entry_counts_before_that_of_the_operation() {
        let of_operation = first("operation: {authority: exemption}");
        let (path, block) = of_operation.authority.expect("it is recorded");
        assert_eq!(
            (path.to_string().as_str(), block.under),
            ("operation.authority", AuthorityKind::Exemption)
        );
        let own = first("operation: {authority: exemption, anaesthetic: {authority: own prescription}}");
        let (path, block) = own.authority.expect("it is recorded");
        assert_eq!(path.to_string(), "operation.anaesthetic.authority");
        assert_eq!(block.under, AuthorityKind::OwnPrescription);
        assert_eq!(first("operation: {authority: ~}").authority, None);
    }

    #[test]
    fn the_injector_is_the_one_named_or_the_operator() {
        let who = |fragment: &str| match first(fragment).injector {
            Injector::OfClinic { key, .. } => key,
            Injector::Other(name) => format!("other: {name}"),
            Injector::Unknown => "unknown".to_owned(),
        };
        assert_eq!(who(""), "quill");
        assert_eq!(who("operation: {anaesthetic: {given_by: robin quill}}"), "quill");
        assert_eq!(who("operation: {anaesthetic: {given_by: A. Stranger}}"), "other: A. Stranger");
        assert_eq!(who("operation: {operator: nobody}"), "unknown");
    }
}
