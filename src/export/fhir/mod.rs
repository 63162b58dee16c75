//! A case as a FHIR R4 document: a Bundle that begins with a Composition under the headings of the record standard,
//! with the documents that were issued inside it.
//!
//! Words stand beside every code and are what counts. What was not recorded is said to be absent, with the reason
//! where one was written. Same case, same register: same bytes. No profile is claimed.

mod clock;
mod codes;
mod composition;
mod history;
mod measured;
mod operation;
mod papers;
mod people;
mod resources;
mod write;

use self::resources::{
    Bundle, Concept, Element, Entry, Extension, Identifier, Quantity, Reference, Resource,
};
use self::write::{Ids, Number};
use crate::documents::Edition;
use crate::facts::Facts;
use crate::hash::sha256;
use crate::register::entry::Issued;

/// What a document is made of.
pub(crate) struct Source<'a> {
    /// The case, as of the day of the last issue.
    pub(crate) facts: &'a Facts,
    /// Which findings were answered, and by what.
    pub(crate) edition: &'a Edition,
    /// The salt of the register; empty in one that an older version wrote.
    pub(crate) salt: &'a str,
    /// The last version of every document of the case, by name; one at least.
    pub(crate) papers: &'a [IssuedPaper<'a>],
    /// Documents that the case is ready for and that were never issued.
    pub(crate) never_issued: &'a [String],
}

/// An issued version with its file.
pub(crate) struct IssuedPaper<'a> {
    /// What the register says.
    pub(crate) entry: &'a Issued,
    /// The title on its page.
    pub(crate) title: &'static str,
    /// The PDF, as it was issued.
    pub(crate) pdf: Vec<u8>,
}

/// The name of the note that makes it a document about an operation.
pub(crate) const OPERATION_NOTE: &str = "operation-note";

/// The document as JSON in one line, with its line end.
pub(crate) fn document(source: &Source<'_>) -> String {
    let mut entries = Entries {
        ids: Ids { salt: source.salt, reference: source.facts.case.reference.as_str() },
        all: Vec::new(),
    };
    let people = people::add(source.facts, &mut entries);
    let diagnoses = history::diagnoses(source.facts, &mut entries);
    let conditions = history::conditions(source.facts, &mut entries);
    let allergies = history::allergies(source.facts, &mut entries);
    let medicines = history::medicines(source.facts, &mut entries);
    let procedures = operation::procedures(source.facts, &people, &mut entries);
    let given = operation::given(source.facts, &procedures, &mut entries);
    let found = measured::found(source.facts, &mut entries);
    let results = measured::results(source.facts, &mut entries);
    let papers = papers::add(source, &mut entries);
    let parts = composition::Parts {
        people,
        diagnoses,
        conditions,
        allergies,
        medicines,
        procedures,
        given,
        found,
        results,
        papers,
    };
    let made = last_issue(source.papers);
    let composition = composition::of(source, &parts, &entries, &made);
    let first = entries.entry("composition", Resource::Composition(composition));
    entries.all.insert(0, first);
    // The document is another as soon as one of its words is.
    let id = entries.ids.of(&sha256(write::json(&entries.all).as_bytes()));
    let identifier =
        Identifier { system: Some("urn:ietf:rfc:3986"), value: Some(urn(&id)), ..Identifier::default() };
    let bundle = Bundle { id, identifier, r#type: "document", timestamp: made, entry: entries.all };
    write::json(&bundle) + "\n"
}

/// When the youngest of the documents was issued: the only clock that a copy of them has.
fn last_issue(papers: &[IssuedPaper<'_>]) -> String {
    papers.iter().map(|paper| paper.entry.time.as_str()).max().unwrap_or_default().to_owned()
}

/// A line of a section: what it is, and what was recorded.
type Line = (String, String);

/// What a section holds: resources, and the same in words.
#[derive(Default)]
struct Told {
    to: Vec<Reference>,
    lines: Vec<Line>,
}

impl Told {
    fn push(&mut self, to: Reference, name: impl Into<String>, says: impl Into<String>) {
        self.to.push(to);
        self.lines.push((name.into(), says.into()));
    }
}

/// The resources so far.
struct Entries<'a> {
    ids: Ids<'a>,
    all: Vec<Entry>,
}

impl Entries<'_> {
    /// The identifier of a resource, by its name within the case.
    fn id(&self, name: &str) -> String {
        self.ids.of(name)
    }

    /// A reference to a resource.
    fn to(&self, name: &str) -> Reference {
        Reference { reference: Some(urn(&self.id(name))), display: None }
    }

    fn entry(&self, name: &str, resource: Resource) -> Entry {
        Entry { full_url: urn(&self.id(name)), resource }
    }

    /// Adds a resource and gives a reference to it.
    fn add(&mut self, name: &str, resource: Resource) -> Reference {
        let entry = self.entry(name, resource);
        self.all.push(entry);
        self.to(name)
    }

    /// A reference to the patient.
    fn patient(&self) -> Option<Reference> {
        Some(self.to("patient"))
    }
}

fn urn(id: &str) -> String {
    format!("urn:uuid:{id}")
}

/// What says that a value is not known.
fn unknown() -> Extension {
    Extension { url: "http://hl7.org/fhir/StructureDefinition/data-absent-reason", value_code: "unknown" }
}

/// What stands beside a simple value that is not known.
fn absent() -> Option<Element> {
    Some(Element { extension: vec![unknown()] })
}

/// Why a value is not known: the code of the standard with the reason as it was written.
fn absent_because(reason: &str) -> Option<Concept> {
    Some(codes::ABSENT_UNKNOWN.called(reason))
}

/// A number with its unit in words, and its code where one is known.
fn quantity(number: rust_decimal::Decimal, word: &str, unit: Option<codes::Unit>) -> Quantity {
    Quantity {
        value: Some(Number(number)),
        unit: Some(word.to_owned()),
        system: unit.map(|_| codes::Unit::SYSTEM),
        code: unit.map(|unit| unit.code),
        ..Quantity::default()
    }
}

/// A quantity of which only the unit is known.
fn quantity_absent(word: &str) -> Quantity {
    Quantity { extension: vec![unknown()], unit: Some(word.to_owned()), ..Quantity::default() }
}
