//! Pain relief, anticoagulants, allergies.

use crate::clinical::{Seen, Source};

/// Oral paracetamol in at-risk adults (NHS Telford and Wrekin, 2018).
pub static PARACETAMOL_WEIGHT: Source = Source {
    key: "paracetamol-weight",
    title: "Oral paracetamol in at-risk adults",
    publisher: "NHS Telford and Wrekin",
    year: "2018",
    seen: Seen::Copy,
};

/// BNF for Children, paracetamol over 12 years (BNF Publications, n.d.).
pub static BNFC_PARACETAMOL: Source = Source {
    key: "bnfc-paracetamol",
    title: "BNF for Children, paracetamol over 12 years",
    publisher: "BNF Publications",
    year: "n.d.",
    seen: Seen::NotSeen,
};

/// Aspirin not under 16 unless prescribed (MHRA, NHS text, n.d.).
pub static ASPIRIN_UNDER_16: Source = Source {
    key: "aspirin-under-16",
    title: "Aspirin not under 16 unless prescribed",
    publisher: "MHRA, NHS text",
    year: "n.d.",
    seen: Seen::NotSeen,
};

/// Anticoagulants and dermatological surgery (Palamaras and Semkova, Br J Dermatol, 2015).
pub static ANTICOAGULANT_SKIN: Source = Source {
    key: "anticoagulant-skin",
    title: "Anticoagulants and dermatological surgery",
    publisher: "Palamaras and Semkova, Br J Dermatol",
    year: "2015",
    seen: Seen::Quoted("an abstract service, sigmaaldrich.com papers/25142961"),
};

/// INR and minor oral surgery (J Oral Sci 2007;49:253, 2007).
pub static INR_ORAL_SURGERY: Source = Source {
    key: "inr-oral-surgery",
    title: "INR and minor oral surgery",
    publisher: "J Oral Sci 2007;49:253",
    year: "2007",
    seen: Seen::NotSeen,
};

/// Antithrombotics in skin surgery, survey and BSDS 2016 guidance (Butt et al, Clin Exp Dermatol 2024;49:143, 2024).
pub static DOAC_SKIN: Source = Source {
    key: "doac-skin",
    title: "Antithrombotics in skin surgery, survey and BSDS 2016 guidance",
    publisher: "Butt et al, Clin Exp Dermatol 2024;49:143",
    year: "2024",
    seen: Seen::NotSeen,
};

/// Management of dental patients taking anticoagulants or antiplatelet drugs (SDCEP, 2022).
pub static SDCEP_ANTICOAGULANTS: Source = Source {
    key: "sdcep-anticoagulants",
    title: "Management of dental patients taking anticoagulants or antiplatelet drugs",
    publisher: "SDCEP",
    year: "2022",
    seen: Seen::Quoted("study cards of the guidance"),
};

/// Latex allergy: avoid latex gloves and tourniquets (common safety guidance, n.d.).
pub static LATEX: Source = Source {
    key: "latex",
    title: "Latex allergy: avoid latex gloves and tourniquets",
    publisher: "common safety guidance",
    year: "n.d.",
    seen: Seen::NotSeen,
};

/// Lists of medicines by NHS dm+d or BNF code (OpenSAFELY, 2020 to 2023).
pub static OPENSAFELY_LISTS: Source = Source {
    key: "opensafely-lists",
    title: "Code lists of medicines by NHS dm+d or BNF code: anticoagulants, anti-inflammatories, immunosuppressants, diabetes, risk factors",
    publisher: "OpenSAFELY",
    year: "2020 to 2023",
    seen: Seen::Original("https://github.com/opensafely (five repositories of code lists)"),
};

/// How and when to take paracetamol for adults (NHS, n.d.).
pub static NHS_PARACETAMOL_ADULTS: Source = Source {
    key: "nhs-paracetamol-adults",
    title: "How and when to take paracetamol for adults",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original(
        "https://www.nhs.uk/medicines/paracetamol-for-adults/how-and-when-to-take-paracetamol-for-adults",
    ),
};

/// How and when to give paracetamol for children (NHS, n.d.).
pub static NHS_PARACETAMOL_CHILDREN: Source = Source {
    key: "nhs-paracetamol-children",
    title: "How and when to give paracetamol for children",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original(
        "https://www.nhs.uk/medicines/paracetamol-for-children/how-and-when-to-give-paracetamol-for-children",
    ),
};

/// East Lancashire formulary (NHS, n.d.).
pub static ELMMB_FORMULARY: Source = Source {
    key: "elmmb-formulary",
    title: "East Lancashire Medicines Management Board formulary",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original("https://elmmb.nhs.uk"),
};

/// Sussex formulary (NHS, n.d.).
pub static SUSSEX_FORMULARY: Source = Source {
    key: "sussex-formulary",
    title: "Sussex formulary",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original("https://sussexformulary.nhs.uk"),
};

/// Lancashire and South Cumbria formulary (NHS, n.d.).
pub static LANCASHIRE_FORMULARY: Source = Source {
    key: "lancashire-formulary",
    title: "Lancashire and South Cumbria formulary",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original("https://lancashireandsouthcumbriaformulary.nhs.uk"),
};

/// Birmingham and surrounds formulary, wound care (NHS, n.d.).
pub static BIRMINGHAM_FORMULARY: Source = Source {
    key: "birmingham-formulary",
    title: "Birmingham and surrounds formulary, wound care",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original("https://birminghamandsurroundsformulary.nhs.uk chapter 26"),
};

/// North East and North Cumbria formulary, wound care (NHS, n.d.).
pub static NORTH_EAST_FORMULARY: Source = Source {
    key: "north-east-formulary",
    title: "North East and North Cumbria formulary, wound care",
    publisher: "NHS",
    year: "n.d.",
    seen: Seen::Original("https://northeastnorthcumbriaformulary.nhs.uk chapter 18"),
};

/// Colophonium (British Society of Cutaneous Allergy, n.d.).
pub static COLOPHONY_LEAFLET: Source = Source {
    key: "colophony-leaflet",
    title: "Colophonium, patient leaflet",
    publisher: "British Society of Cutaneous Allergy",
    year: "n.d.",
    seen: Seen::Original("https://cutaneousallergy.org/pils/colophonium"),
};

/// Chirocaine, summary of product characteristics (AbbVie, 4 January 2021).
pub static CHIROCAINE_SMPC: Source = Source {
    key: "chirocaine-smpc",
    title: "Chirocaine 2.5 and 7.5 mg/ml, summary of product characteristics",
    publisher: "AbbVie",
    year: "2021",
    seen: Seen::Original("https://www.medicines.org.uk/emc/product/1555"),
};

/// Drug interactions of macrolides (HSE, n.d.).
pub static MACROLIDE_INTERACTIONS: Source = Source {
    key: "macrolide-interactions",
    title: "Drug interactions with antimicrobials: macrolides",
    publisher: "Health Service Executive, Ireland",
    year: "n.d.",
    seen: Seen::Original(
        "https://hse.ie/eng/services/list/2/gp/antibiotic-prescribing/drug-interactions/macrolides.html",
    ),
};

/// Latex and fruit (European Academy of Allergy and Clinical Immunology, n.d.).
pub static LATEX_FRUIT: Source = Source {
    key: "latex-fruit",
    title: "Fruit, information for patients",
    publisher: "European Academy of Allergy and Clinical Immunology",
    year: "n.d.",
    seen: Seen::Original("https://patients.eaaci.org/fruit"),
};

/// Paronychia and granulation tissue with isotretinoin (J Clin Aesthet Dermatol 2019;12(4):32-36, 2019).
pub static ISOTRETINOIN_GRANULATION: Source = Source {
    key: "isotretinoin-granulation",
    title: "Periungual pyogenic granuloma with paronychia following isotretinoin, case and review",
    publisher: "J Clin Aesthet Dermatol 2019;12(4):32-36",
    year: "2019",
    seen: Seen::Original("https://jcadonline.com/pyogenic-granuloma-april-2019"),
};

/// Steroid cover for operations (NHS Highland, n.d.).
pub static STEROID_COVER: Source = Source {
    key: "steroid-cover",
    title: "Peri-operative guidelines for patients with or at risk of adrenal insufficiency",
    publisher: "NHS Highland",
    year: "n.d.",
    seen: Seen::Original(
        "https://rightdecisions.scot.nhs.uk/tam-treatments-and-medicines-nhs-highland/adult-therapeutic-guidelines/endocrine/peri-operative-guidelines-for-patients-with-or-at-risk-of-adrenal-insufficiency-guidelines",
    ),
};

/// Surgery after a stroke or a stent (NHS Highland, n.d.).
pub static SURGERY_AFTER_STROKE: Source = Source {
    key: "surgery-after-stroke",
    title: "Warfarin, DOACs and antiplatelets in adults undergoing surgery or invasive procedures",
    publisher: "NHS Highland",
    year: "n.d.",
    seen: Seen::Original(
        "https://rightdecisions.scot.nhs.uk/tam-treatments-and-medicines-nhs-highland/adult-therapeutic-guidelines/surgical/warfarin-doacs-and-antiplatelets-in-adults-undergoing-surgery-or-invasive-procedures-guidelines",
    ),
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &PARACETAMOL_WEIGHT,
    &BNFC_PARACETAMOL,
    &ASPIRIN_UNDER_16,
    &ANTICOAGULANT_SKIN,
    &INR_ORAL_SURGERY,
    &DOAC_SKIN,
    &SDCEP_ANTICOAGULANTS,
    &LATEX,
    &OPENSAFELY_LISTS,
    &NHS_PARACETAMOL_ADULTS,
    &NHS_PARACETAMOL_CHILDREN,
    &ELMMB_FORMULARY,
    &SUSSEX_FORMULARY,
    &LANCASHIRE_FORMULARY,
    &BIRMINGHAM_FORMULARY,
    &NORTH_EAST_FORMULARY,
    &COLOPHONY_LEAFLET,
    &CHIROCAINE_SMPC,
    &MACROLIDE_INTERACTIONS,
    &LATEX_FRUIT,
    &ISOTRETINOIN_GRANULATION,
    &STEROID_COVER,
    &SURGERY_AFTER_STROKE,
];
