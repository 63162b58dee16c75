//! What all documents share: page furniture here; banner, people, consent, history, and toes in words and as a
//! picture each in a file of its own. Strings ready to print; nothing is judged here and no sentence of a document
//! is written.

mod banner;
mod consent;
mod history;
mod people;
mod toes;
mod units;

use serde::Serialize;
use serde_json::{Map, Value as Json};

use self::banner::Banner;
use self::units::with_bound_units;
use super::{Audience, ChangedPhrase, Document, Edition, List};
use crate::case::{Clinic, Measured};
use crate::date::{CivilDate, TimeOfDay};
use crate::derive::Value;
use crate::facts::{Caseload, Facts, LeftOut};

pub(super) use banner::{banner_name, full_name};
pub(super) use consent::{Consent, risks_discussed};
pub(super) use history::{Medicines, allergies};
pub(crate) use people::name_of;
pub(super) use people::{Person, address_lines, person_called};
pub(super) use toes::{Diagnosis, DrawnToe, Naming, Procedure, diagnoses, part_in_words, procedures};
pub(crate) use toes::{Feet, nail_is, toe_in_words};

/// What is printed where nothing was recorded.
pub(super) const NOT_RECORDED: &str = "not recorded";

/// What is printed in a table where a value could not be worked out; the reason stands below it.
pub(super) const NOT_KNOWN: &str = "not known";

/// A date as this reader is used to it.
pub(super) fn day_for(audience: Audience, date: CivilDate) -> String {
    match audience {
        Audience::Clinician => date.clinical(),
        Audience::Patient => date.long(),
    }
}

/// A measured value as recorded; `not recorded` with the reason, where one was written.
pub(super) fn measured<T>(value: &Measured<T>, show: impl FnOnce(&T) -> String) -> String {
    match value {
        Measured::Missing => NOT_RECORDED.to_owned(),
        Measured::Value(value) => show(value),
        Measured::NotRecorded(reason) => format!("{NOT_RECORDED}: {}", without_stop(reason)),
    }
}

/// Why a measured value was not recorded, where that was written; else empty.
pub(super) fn gap<T>(value: &Measured<T>) -> String {
    without_stop(value.gap().unwrap_or_default()).to_owned()
}

/// As recorded, or `not recorded`.
pub(super) fn recorded(text: Option<&str>) -> String {
    text.unwrap_or(NOT_RECORDED).to_owned()
}

/// Furniture of every page.
#[derive(Debug, Serialize)]
struct Page {
    title: String,
    subtitle: String,
    shows_title: bool,
    kind: String,
    reference: String,
    /// `2`; empty in a draft.
    version: String,
    /// The version that it replaces, and the day on which that was issued; else empty.
    replaced_version: String,
    replaced_on: String,
    made: String,
    is_draft: bool,
    /// Close lines, for readers who scan.
    is_dense: bool,
    is_amended: bool,
    amended_because: String,
    /// Phrases that were changed; empty in a text that is made only to be compared.
    changes: Vec<Changed>,
}

/// A phrase as it was and as it is; `–` where there was or is nothing.
#[derive(Debug, Serialize)]
struct Changed {
    was: String,
    is: String,
}

impl Changed {
    fn of(phrase: &ChangedPhrase) -> Changed {
        let shown = |text: &String| if text.is_empty() { "–".to_owned() } else { text.clone() };
        Changed { was: shown(&phrase.was), is: shown(&phrase.is) }
    }
}

/// A typed text without its last full stop: it stands inside a sentence or a list.
pub(crate) fn without_stop(text: &str) -> &str {
    let text = text.trim_end();
    // Not the points of `etc...`, and not one that belongs to a letter, as in `p.r.n.`.
    let before = |at: usize| text.chars().rev().nth(at);
    let is_abbreviation = before(1) == Some('.') || before(2) == Some('.');
    text.strip_suffix('.').filter(|_| !is_abbreviation).unwrap_or(text)
}

#[derive(Debug, Serialize)]
struct ClinicView {
    name: String,
    address: Vec<String>,
    telephone: String,
    hours: String,
    out_of_hours: String,
    email: String,
}

/// Puts the shared keys (`page`, `banner`, `clinic`, `operator`) beside a document's own.
///
/// `subtitle` may be empty. `shows_title` is false where the template writes its own first heading.
pub(super) fn with_shared(
    facts: &Facts,
    edition: &Edition,
    document: &Document,
    subtitle: String,
    shows_title: bool,
    own: &impl Serialize,
) -> Json {
    let audience = document.audience;
    let shared = [
        ("page", json(&page(facts, edition, document, subtitle, shows_title))),
        ("banner", json(&Banner::of(facts, audience))),
        ("clinic", json(&clinic(&facts.clinic))),
        ("operator", json(&Person::of(facts.operator()))),
    ];
    let mut all: Map<String, Json> = shared.into_iter().map(|(key, value)| (key.to_owned(), value)).collect();
    if let Json::Object(own) = json(own) {
        all.extend(own);
    }
    with_bound_units(Json::Object(all))
}

/// Furniture of every page of a list.
#[derive(Debug, Serialize)]
struct ListPage {
    title: String,
    /// What it is about: a day, a lot; may be empty.
    subtitle: String,
    is_across: bool,
    /// `27-Nov-2026 16:05`.
    made: String,
    /// From 1, of a list that is told apart from an earlier one; else empty.
    version: String,
    /// The version that it replaces, and when that was made; else empty.
    replaced_version: String,
    replaced_made: String,
    /// How many cases were read.
    read: String,
}

/// Puts the shared keys of a list (`page`, `clinic`, `left_out`) beside its own.
pub(super) fn with_list_page<R>(
    caseload: &Caseload<R>,
    list: &List,
    subtitle: String,
    is_numbered: bool,
    own: &impl Serialize,
) -> Json {
    let made = |on: CivilDate, at: Option<TimeOfDay>| {
        at.map_or_else(|| on.clinical(), |at| format!("{} {}", on.clinical(), at.clinical()))
    };
    let replaced = caseload.replaces;
    let number = replaced.map_or(1, |old| old.version.saturating_add(1));
    let page = ListPage {
        title: list.title.to_owned(),
        subtitle,
        is_across: list.is_across,
        made: made(caseload.today, caseload.made_at),
        version: if is_numbered { number.to_string() } else { String::new() },
        replaced_version: replaced.map_or_else(String::new, |old| old.version.to_string()),
        replaced_made: replaced.map_or_else(String::new, |old| made(old.made, Some(old.at))),
        read: caseload.read.to_string(),
    };
    let left_out: &[LeftOut] = &caseload.left_out;
    let shared =
        [("page", json(&page)), ("clinic", json(&clinic(&caseload.clinic))), ("left_out", json(&left_out))];
    let mut all: Map<String, Json> = shared.into_iter().map(|(key, value)| (key.to_owned(), value)).collect();
    if let Json::Object(own) = json(own) {
        all.extend(own);
    }
    with_bound_units(Json::Object(all))
}

fn json(view: &impl Serialize) -> Json {
    serde_json::to_value(view).expect("a view holds only strings, booleans, lists and structs of them")
}

fn page(facts: &Facts, edition: &Edition, document: &Document, subtitle: String, shows_title: bool) -> Page {
    let day = |date| day_for(document.audience, date);
    let replaced = edition.replaces.as_ref();
    Page {
        title: document.title.into(),
        subtitle,
        shows_title,
        kind: document.title.into(),
        reference: facts.case.reference.to_string(),
        version: if edition.is_draft { String::new() } else { edition.version.to_string() },
        replaced_version: replaced.map_or_else(String::new, |old| old.version.to_string()),
        replaced_on: replaced.map_or_else(String::new, |old| day(old.issued_on)),
        made: day(edition.made_on),
        is_draft: edition.is_draft,
        is_dense: document.audience == Audience::Clinician,
        is_amended: edition.replaces.is_some(),
        amended_because: edition.replaces.as_ref().map_or_else(String::new, |old| old.because.clone()),
        changes: edition.replaces.iter().flat_map(|old| &old.changes).map(Changed::of).collect(),
    }
}

fn clinic(clinic: &Clinic) -> ClinicView {
    let text = |part: &Option<String>| part.clone().unwrap_or_default();
    ClinicView {
        name: clinic.name.clone(),
        address: clinic.address.clone(),
        telephone: clinic.telephone.clone(),
        hours: text(&clinic.hours),
        out_of_hours: text(&clinic.out_of_hours),
        email: text(&clinic.email),
    }
}

/// The printed value and nothing more, or `not known`; the reason stands elsewhere.
pub(super) fn short<T>(value: &Value<T>, show: impl Fn(&T) -> String) -> String {
    value.get().map_or_else(|| NOT_KNOWN.into(), show)
}

/// `mepivacaine, apixaban 5 mg twice a day`; `none`; `not recorded`.
pub(super) fn listed(items: Option<Vec<String>>) -> String {
    match items {
        None => NOT_RECORDED.into(),
        Some(items) if items.is_empty() => "none".into(),
        Some(items) => items.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    #[test]
    fn a_text_inside_a_sentence_has_no_stop_of_its_own() {
        for (text, wanted) in [
            ("He agrees.", "He agrees"),
            ("as agreed", "as agreed"),
            ("and so on...", "and so on..."),
            ("paracetamol p.r.n.", "paracetamol p.r.n."),
            ("É.", "É"),
            (".", ""),
            ("", ""),
        ] {
            assert_eq!(without_stop(text), wanted);
        }
    }

    #[test]
    fn an_amended_page_says_what_it_replaces_in_the_dates_of_its_reader() {
        let edition = Edition {
            is_draft: false,
            version: 2,
            made_on: CivilDate::of(2026, 11, 25).expect("a literal date"),
            replaces: Some(crate::documents::Replaces {
                version: 1,
                issued_on: CivilDate::of(2026, 11, 24).expect("a literal date"),
                because: "batch mistyped".into(),
                changes: vec![ChangedPhrase { was: "M4417".into(), is: String::new() }],
            }),
            answered: Vec::new(),
            open: Vec::new(),
        };
        let facts = facts_of("");
        for (name, day) in [("operation-note", "24-Nov-2026"), ("consent-form", "24 November 2026")] {
            let document = crate::documents::document(name).expect("a document of that name");
            let page = page(&facts, &edition, document, String::new(), true);
            assert_eq!((page.version.as_str(), page.replaced_version.as_str()), ("2", "1"));
            assert_eq!(page.replaced_on, day);
            let changed = &page.changes[0];
            assert_eq!((changed.was.as_str(), changed.is.as_str()), ("M4417", "–"));
        }
    }
}
