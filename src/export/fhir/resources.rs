//! The resources of FHIR R4 (4.0.1) as far as a document about nail surgery needs them. Shapes only.

use serde::Serialize;

use super::write::Number;

/// A part that is left out where it says nothing: FHIR has neither `null` nor an empty list.
pub(super) trait LeftOut {
    /// It says nothing.
    fn is_left_out(&self) -> bool;
}

impl<T> LeftOut for Option<T> {
    fn is_left_out(&self) -> bool {
        self.is_none()
    }
}

impl<T> LeftOut for Vec<T> {
    fn is_left_out(&self) -> bool {
        self.is_empty()
    }
}

impl LeftOut for String {
    fn is_left_out(&self) -> bool {
        self.is_empty()
    }
}

impl LeftOut for &str {
    fn is_left_out(&self) -> bool {
        self.is_empty()
    }
}

macro_rules! shapes {
    ($($(#[$doc:meta])* $name:ident { $($(#[$attribute:meta])* $field:ident: $type:ty,)* })*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Default, Serialize)]
        #[serde(rename_all = "camelCase")]
        pub(crate) struct $name {
            $(
                $(#[$attribute])*
                #[serde(skip_serializing_if = "LeftOut::is_left_out")]
                pub(super) $field: $type,
            )*
        }
    )* };
}

shapes! {
    /// Says why a value is not there.
    Extension { url: &'static str, value_code: &'static str, }
    /// What stands beside a simple value that is not there.
    Element { extension: Vec<Extension>, }
    Coding { system: &'static str, code: &'static str, display: &'static str, }
    Concept { coding: Vec<Coding>, text: String, }
    Reference { reference: Option<String>, display: Option<String>, }
    Identifier {
        r#type: Option<Concept>,
        system: Option<&'static str>,
        value: Option<String>,
        #[serde(rename = "_value")]
        value_absent: Option<Element>,
    }
    Quantity {
        extension: Vec<Extension>,
        value: Option<Number>,
        unit: Option<String>,
        system: Option<&'static str>,
        code: Option<&'static str>,
    }
    Period { start: Option<String>, end: Option<String>, }
    Narrative { status: &'static str, div: String, }
    Note { text: String, }
    HumanName {
        r#use: Option<&'static str>,
        text: Option<String>,
        family: Option<String>,
        given: Vec<String>,
        prefix: Vec<String>,
    }
    ContactPoint { system: &'static str, value: String, }
    Address { text: String, line: Vec<String>, }

    /// The frame of the document: who, when, and the sections.
    Composition {
        id: String,
        language: &'static str,
        text: Option<Narrative>,
        identifier: Option<Identifier>,
        status: &'static str,
        r#type: Option<Concept>,
        subject: Option<Reference>,
        date: String,
        author: Vec<Reference>,
        title: String,
        custodian: Option<Reference>,
        section: Vec<Section>,
    }
    Section {
        title: String,
        code: Option<Concept>,
        text: Option<Narrative>,
        entry: Vec<Reference>,
        empty_reason: Option<Concept>,
    }
    Patient {
        id: String,
        identifier: Vec<Identifier>,
        name: Vec<HumanName>,
        telecom: Vec<ContactPoint>,
        gender: Option<&'static str>,
        #[serde(rename = "_gender")]
        gender_absent: Option<Element>,
        birth_date: String,
        address: Vec<Address>,
        contact: Vec<PatientContact>,
        communication: Vec<Communication>,
        general_practitioner: Vec<Reference>,
        managing_organization: Option<Reference>,
    }
    PatientContact { relationship: Vec<Concept>, name: Option<HumanName>, }
    Communication { language: Option<Concept>, }
    Practitioner {
        id: String,
        identifier: Vec<Identifier>,
        name: Vec<HumanName>,
        qualification: Vec<Qualification>,
    }
    Qualification { code: Option<Concept>, }
    Organization {
        id: String,
        name: String,
        telecom: Vec<ContactPoint>,
        address: Vec<Address>,
        contact: Vec<OrganizationContact>,
    }
    OrganizationContact { name: Option<HumanName>, }
    Condition {
        id: String,
        code: Option<Concept>,
        body_site: Vec<Concept>,
        subject: Option<Reference>,
        note: Vec<Note>,
    }
    Procedure {
        id: String,
        part_of: Vec<Reference>,
        status: &'static str,
        status_reason: Option<Concept>,
        code: Option<Concept>,
        subject: Option<Reference>,
        performed_date_time: Option<String>,
        performed_period: Option<Period>,
        performer: Vec<Performer>,
        reason_reference: Vec<Reference>,
        body_site: Vec<Concept>,
        complication: Vec<Concept>,
        note: Vec<Note>,
    }
    Performer { function: Option<Concept>, actor: Option<Reference>, }
    AllergyIntolerance {
        id: String,
        clinical_status: Option<Concept>,
        code: Option<Concept>,
        patient: Option<Reference>,
        reaction: Vec<Reaction>,
    }
    Reaction { manifestation: Vec<Concept>, }
    MedicationStatement {
        id: String,
        status: &'static str,
        medication_codeable_concept: Option<Concept>,
        subject: Option<Reference>,
        dosage: Vec<Dosage>,
    }
    Dosage { text: String, }
    Medication { id: String, text: Option<Narrative>, code: Option<Concept>, batch: Option<Batch>, }
    Batch {
        lot_number: Option<String>,
        #[serde(rename = "_lotNumber")]
        lot_number_absent: Option<Element>,
        expiration_date: Option<String>,
        #[serde(rename = "_expirationDate")]
        expiration_date_absent: Option<Element>,
    }
    MedicationAdministration {
        id: String,
        part_of: Vec<Reference>,
        status: &'static str,
        medication_codeable_concept: Option<Concept>,
        medication_reference: Option<Reference>,
        subject: Option<Reference>,
        effective_date_time: String,
        performer: Vec<Performer>,
        note: Vec<Note>,
        dosage: Option<Administered>,
    }
    Administered {
        text: String,
        site: Option<Concept>,
        route: Option<Concept>,
        method: Option<Concept>,
        dose: Option<Quantity>,
    }
    Observation {
        id: String,
        status: &'static str,
        category: Vec<Concept>,
        code: Option<Concept>,
        subject: Option<Reference>,
        effective_date_time: Option<String>,
        #[serde(rename = "_effectiveDateTime")]
        effective_absent: Option<Element>,
        value_quantity: Option<Quantity>,
        value_string: Option<String>,
        data_absent_reason: Option<Concept>,
        interpretation: Vec<Concept>,
        note: Vec<Note>,
        body_site: Option<Concept>,
        method: Option<Concept>,
        component: Vec<Component>,
    }
    Component { code: Option<Concept>, value_quantity: Option<Quantity>, }
    DocumentReference {
        id: String,
        identifier: Vec<Identifier>,
        status: &'static str,
        doc_status: &'static str,
        r#type: Option<Concept>,
        subject: Option<Reference>,
        date: String,
        author: Vec<Reference>,
        custodian: Option<Reference>,
        description: String,
        content: Vec<Content>,
    }
    Content { attachment: Option<Attachment>, }
    Attachment {
        content_type: &'static str,
        language: &'static str,
        url: String,
        size: Option<u64>,
        title: String,
        creation: String,
    }
    Binary { id: String, content_type: &'static str, data: String, }
}

impl Concept {
    /// In words alone.
    pub(super) fn text(text: impl AsRef<str>) -> Concept {
        Concept { text: text.as_ref().trim().to_owned(), ..Concept::default() }
    }
}

/// A resource, by the name of its kind.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "resourceType")]
pub(crate) enum Resource {
    Composition(Composition),
    Patient(Patient),
    Practitioner(Practitioner),
    Organization(Organization),
    Condition(Condition),
    Procedure(Procedure),
    AllergyIntolerance(AllergyIntolerance),
    MedicationStatement(MedicationStatement),
    Medication(Medication),
    MedicationAdministration(MedicationAdministration),
    Observation(Observation),
    DocumentReference(DocumentReference),
    Binary(Binary),
}

/// A resource with the name by which the others refer to it.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "camelCase")]
pub(crate) struct Entry {
    pub(super) full_url: String,
    pub(super) resource: Resource,
}

/// The whole document.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "resourceType")]
pub(crate) struct Bundle {
    pub(super) id: String,
    pub(super) identifier: Identifier,
    pub(super) r#type: &'static str,
    pub(super) timestamp: String,
    pub(super) entry: Vec<Entry>,
}
