//! The documents as they were issued: a reference to each, and its PDF.

use super::codes;
use super::resources::{
    Attachment, Binary, Concept, Content, DocumentReference, Identifier, Reference, Resource,
};
use super::write::base64;
use super::{Entries, IssuedPaper, OPERATION_NOTE, Source};
use crate::date::CivilDate;

/// Adds every document with its file.
pub(super) fn add(source: &Source<'_>, entries: &mut Entries<'_>) -> Vec<Reference> {
    source.papers.iter().map(|paper| one(paper, entries)).collect()
}

fn one(paper: &IssuedPaper<'_>, entries: &mut Entries<'_>) -> Reference {
    let IssuedPaper { entry, title, pdf } = paper;
    // A version is never another file, so its name tells it for good.
    let name = format!("{} {}", entry.document, entry.version);
    let binary = format!("file {name}");
    let file = Binary { id: entries.id(&binary), content_type: "application/pdf", data: base64(pdf) };
    let kind = if entry.document == OPERATION_NOTE {
        codes::OPERATION_NOTE.called(title)
    } else {
        Concept::text(title)
    };
    let digest = Identifier {
        r#type: Some(Concept::text("SHA-256 of the PDF")),
        value: Some(entry.pdf_sha256.clone()),
        ..Identifier::default()
    };
    let document = DocumentReference {
        id: entries.id(&name),
        identifier: vec![digest],
        status: "current",
        doc_status: if entry.version > 1 { "amended" } else { "final" },
        r#type: Some(kind),
        subject: entries.patient(),
        date: entry.time.clone(),
        author: vec![Reference { reference: None, display: Some(entry.by.clone()) }],
        custodian: Some(entries.to("clinic")),
        description: description(paper),
        content: vec![Content {
            attachment: Some(Attachment {
                content_type: "application/pdf",
                language: "en-GB",
                url: super::urn(&entries.id(&binary)),
                size: Some(entry.pdf_bytes),
                title: (*title).to_owned(),
                creation: entry.date.to_string(),
            }),
        }],
    };
    let reference = entries.add(&name, Resource::DocumentReference(document));
    entries.add(&binary, Resource::Binary(file));
    reference
}

/// `Operation note, version 2 of 25-Nov-2026, issued again: batch mistyped`.
pub(super) fn description(paper: &IssuedPaper<'_>) -> String {
    let IssuedPaper { entry, title, .. } = paper;
    let because = entry.because.iter().map(|why| format!(", issued again: {why}"));
    let day = CivilDate::clinical(entry.date);
    format!("{title}, version {} of {day}{}", entry.version, because.collect::<String>())
}
