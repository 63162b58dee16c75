//! Every code that a document may hold, with where it was read. A name in words always stands beside it.
//!
//! What no authority that we could read prints stays words: the codes of SNOMED CT for an ingrowing nail, HbA1c and
//! pressure indices, those of LOINC for height and blood pressure, and dm+d for medicines.

use super::resources::{Coding, Concept};
use crate::derive::Code;

/// A code of a system, and how the system shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Known {
    system: &'static str,
    code: &'static str,
    display: &'static str,
}

const SNOMED: &str = "http://snomed.info/sct";
const LOINC: &str = "http://loinc.org";
const UCUM: &str = "http://unitsofmeasure.org";

/// LOINC, printed in the value set of document types of FHIR R4.
pub(super) const OPERATION_NOTE: Known =
    Known { system: LOINC, code: "11504-8", display: "Surgical operation note" };
/// LOINC, printed in the profile of vital signs of FHIR R4 and in UK Core.
pub(super) const BODY_WEIGHT: Known = Known { system: LOINC, code: "29463-7", display: "Body weight" };
/// SNOMED CT, printed in UK Core.
pub(super) const BODY_WEIGHT_SNOMED: Known =
    Known { system: SNOMED, code: "27113001", display: "Body weight" };
/// SNOMED CT, printed in the value set of allergies of FHIR R4 and in UK Core.
pub(super) const NO_KNOWN_ALLERGY: Known =
    Known { system: SNOMED, code: "716186003", display: "No known allergy" };
/// SNOMED CT, printed in UK Core. For `NKDA`: only medicines were asked about.
pub(super) const NO_KNOWN_DRUG_ALLERGY: Known =
    Known { system: SNOMED, code: "409137002", display: "No known drug allergy" };
/// SNOMED CT, printed in the value set of routes of UK Core.
pub(super) const TOPICAL: Known = Known { system: SNOMED, code: "6064005", display: "Topical" };
/// FHIR R4, a code system of the standard; so the rest of these.
pub(super) const ALLERGY_ACTIVE: Known = Known {
    system: "http://terminology.hl7.org/CodeSystem/allergyintolerance-clinical",
    code: "active",
    display: "Active",
};
pub(super) const VITAL_SIGNS: Known = Known {
    system: "http://terminology.hl7.org/CodeSystem/observation-category",
    code: "vital-signs",
    display: "Vital Signs",
};
pub(super) const ABSENT_UNKNOWN: Known = Known {
    system: "http://terminology.hl7.org/CodeSystem/data-absent-reason",
    code: "unknown",
    display: "Unknown",
};

/// Which standard of record headings: UK Core RecordStandardHeadings 2.2.0
/// (`clinical::sources::records::RECORD_HEADINGS`).
const HEADINGS: &str = "https://fhir.hl7.org.uk/CodeSystem/UKCore-RecordStandardHeadings";

/// A heading of the record standard.
pub(super) const fn heading(code: &'static str, display: &'static str) -> Known {
    Known { system: HEADINGS, code, display }
}

/// A unit of UCUM that FHIR R4 prints in its value set of common ones: the unit in words, and its code.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unit {
    /// As it is printed.
    pub(super) word: &'static str,
    /// Its code.
    pub(super) code: &'static str,
}

impl Unit {
    /// The system of the code.
    pub(super) const SYSTEM: &'static str = UCUM;
}

pub(super) const KILOGRAM: Unit = Unit { word: "kilogram", code: "kg" };
pub(super) const CENTIMETRE: Unit = Unit { word: "cm", code: "cm" };
pub(super) const MMHG: Unit = Unit { word: "mmHg", code: "mm[Hg]" };
pub(super) const PER_MINUTE: Unit = Unit { word: "/min", code: "/min" };
pub(super) const MILLILITRE: Unit = Unit { word: "ml", code: "mL" };
pub(super) const MMOL_PER_MOL: Unit = Unit { word: "mmol/mol", code: "mmol/mol" };
pub(super) const MMOL_PER_LITRE: Unit = Unit { word: "mmol/l", code: "mmol/L" };

impl Known {
    fn coding(self) -> Coding {
        Coding { system: self.system, code: self.code, display: self.display }
    }

    /// The code with its own words as text.
    pub(super) fn concept(self) -> Concept {
        self.called(self.display)
    }

    /// The code with other words as text.
    pub(super) fn called(self, text: &str) -> Concept {
        Concept { coding: vec![self.coding()], ..Concept::text(text) }
    }

    /// Both codes for one thing.
    pub(super) fn and(self, other: Known) -> Concept {
        Concept { coding: vec![self.coding(), other.coding()], ..Concept::text(self.display) }
    }
}

/// A suggested code beside what was recorded in words.
///
/// ICD-10 is named as FHIR R4 names it. The name of OPCS-4 is the one of HL7 UK's identifiers; it was seen in use,
/// not in a publication of theirs, so the words count.
pub(super) fn suggested(code: &Code, text: &str) -> Concept {
    let system = match code.system {
        "ICD-10" => "http://hl7.org/fhir/sid/icd-10",
        _ => "https://fhir.hl7.org.uk/Id/opcs-4",
    };
    let coding = Coding { system, code: code.code, display: code.title };
    Concept { coding: vec![coding], ..Concept::text(text) }
}
