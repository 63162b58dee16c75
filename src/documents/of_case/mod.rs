//! What is made of one case, one file a document.

mod aftercare_leaflet;
mod candour_letter;
mod closing_letter;
mod consent_form;
mod dressing_leaflet;
mod gp_letter;
mod operation_note;
mod preparation_leaflet;
mod school_note;
mod visit_letter;
mod visit_note;

use super::Document;

/// Every document of a case, in the order in which they are listed.
pub static DOCUMENTS: &[&Document] = &[
    &operation_note::DOCUMENT,
    &gp_letter::DOCUMENT,
    &consent_form::DOCUMENT,
    &aftercare_leaflet::DOCUMENT,
    &candour_letter::DOCUMENT,
    &school_note::DOCUMENT,
    &preparation_leaflet::DOCUMENT,
    &dressing_leaflet::DOCUMENT,
    &visit_note::DOCUMENT,
    &visit_letter::DOCUMENT,
    &closing_letter::DOCUMENT,
];
