//! Cases for other programs: a FHIR R4 document of one case, and a table of many.
//!
//! Pure: what is exported is what the case says and what the register says was issued; both come in. Nothing is
//! worked out here. A copy in another form and nothing more: nothing is sent, and no receiver is promised.

pub(crate) mod csv;
pub(crate) mod fhir;
