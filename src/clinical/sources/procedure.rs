//! Phenol, tourniquet, wound healing, outcomes, infection.

use crate::clinical::{Seen, Source};

/// Phenol application time, randomised trial (Int J Environ Res Public Health 2021;18:10478, 2021).
pub static PHENOL_TIME_TRIAL: Source = Source {
    key: "phenol-time-trial",
    title: "Phenol application time, randomised trial",
    publisher: "Int J Environ Res Public Health 2021;18:10478",
    year: "2021",
    seen: Seen::Original("https://doi.org/10.3390/ijerph181910478"),
};

/// Phenol matrixectomy in teaching and practice (Solanki and Craike) (J Foot Ankle Res 2011;4(S1):O46, 2011).
pub static PHENOL_PRACTICE: Source = Source {
    key: "phenol-practice",
    title: "Phenol matrixectomy in teaching and practice (Solanki and Craike)",
    publisher: "J Foot Ankle Res 2011;4(S1):O46",
    year: "2011",
    seen: Seen::Original("https://rd.springer.com/article/10.1186/1757-1146-4-S1-O46"),
};

/// Elimination of bottles of liquefied phenol 80 %, national patient safety alert (NHS England, 2021).
pub static PHENOL_BOTTLES_ALERT: Source = Source {
    key: "phenol-bottles-alert",
    title: "Elimination of bottles of liquefied phenol 80 %, national patient safety alert",
    publisher: "NHS England",
    year: "2021",
    seen: Seen::Original("https://www.england.nhs.uk/2021/08/elimination-of-bottles-of-liquefied-phenol-80"),
};

/// Ingrown toenail surgery systematic review, part I (J Foot Ankle Res 2023;16:35, 2023).
pub static NAIL_SURGERY_REVIEW_1: Source = Source {
    key: "nail-surgery-review-1",
    title: "Ingrown toenail surgery systematic review, part I",
    publisher: "J Foot Ankle Res 2023;16:35",
    year: "2023",
    seen: Seen::Original("https://doi.org/10.1186/s13047-023-00631-1"),
};

/// Ingrown toenail surgery systematic review, part II (J Foot Ankle Res 2023;16:55, 2023).
pub static NAIL_SURGERY_REVIEW_2: Source = Source {
    key: "nail-surgery-review-2",
    title: "Ingrown toenail surgery systematic review, part II",
    publisher: "J Foot Ankle Res 2023;16:55",
    year: "2023",
    seen: Seen::Original("https://doi.org/10.1186/s13047-023-00655-7"),
};

/// 45-second phenol matrix cautery (Dermatol Surg 2024;50:1050-5, 2024).
pub static PHENOL_45_SECONDS: Source = Source {
    key: "phenol-45-seconds",
    title: "45-second phenol matrix cautery",
    publisher: "Dermatol Surg 2024;50:1050-5",
    year: "2024",
    seen: Seen::Original("https://doi.org/10.1097/DSS.0000000000004265"),
};

/// Phenol matricectomy, 172 patients (Acta Derm Venereol 2001;81:181-183, 2001).
pub static PHENOL_SERIES: Source = Source {
    key: "phenol-series",
    title: "Phenol matricectomy, 172 patients",
    publisher: "Acta Derm Venereol 2001;81:181-183",
    year: "2001",
    seen: Seen::Quoted("a library catalogue, singlejournalindex/84038545"),
};

/// Proximolateral matrix partial excision and phenol, 225 patients (Karaca and Dereli, Ann Fam Med 2012).
pub static PHENOL_MATRIX_EXCISION: Source = Source {
    key: "phenol-matrix-excision",
    title: "Proximolateral matrix partial excision followed by chemical matricectomy with phenol, 225 patients",
    publisher: "Karaca and Dereli, Ann Fam Med 2012",
    year: "2012",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC3495930"),
};

/// Phenol wedge cauterization against surgical treatment, 388 patients (1990-1999).
pub static PHENOL_WEDGE_SERIES: Source = Source {
    key: "phenol-wedge-series",
    title: "Ingrown toenail: surgical technique versus phenol wedge cauterization, 388 patients",
    publisher: "PubMed 11353354",
    year: "n.d.",
    seen: Seen::Original("https://pubmed.ncbi.nlm.nih.gov/11353354"),
};

/// Surgical technique and local antibiotics for ingrowing toenail, randomised (Bos et al, Br J Surg 2007).
pub static PHENOL_OR_EXCISION_BOS: Source = Source {
    key: "phenol-or-excision-bos",
    title: "Randomized clinical trial of surgical technique and local antibiotics for ingrowing toenail",
    publisher: "Bos et al, Br J Surg 2007;94:292-296",
    year: "2007",
    seen: Seen::Original(
        "https://bjs-scientific-surgery.woven-stage.com/article/randomized-clinical-trial-of-surgical-technique-and-local-antibiotics-for-ingrowing-toenail",
    ),
};

/// Partial matrix excision or segmental phenolization, randomised (Gerritsma-Bleeker et al, Arch Surg 2002).
pub static PHENOL_OR_EXCISION_GERRITSMA: Source = Source {
    key: "phenol-or-excision-gerritsma",
    title: "Partial matrix excision or segmental phenolization for ingrowing toenails",
    publisher: "Gerritsma-Bleeker et al, Arch Surg 2002;137:320-325",
    year: "2002",
    seen: Seen::Original(
        "https://research.utwente.nl/en/publications/partial-matrix-excision-or-segmental-phenolization-for-ingrowing-",
    ),
};

/// Nail surgery in a community podiatry department, 354 procedures (abstract on its author's page).
pub static COMMUNITY_CLINIC: Source = Source {
    key: "community-clinic",
    title: "Minor procedure for onychocryptosis in a community podiatry department, 354 procedures, June 2018 to December 2019",
    publisher: "abstract on the author's page at scite",
    year: "n.d.",
    seen: Seen::Original("https://staging.scite.ai/authors/shek-hong-ip-Mm1y00"),
};

/// Phenol: toxicological overview (UKHSA, 2024).
pub static PHENOL_TOXICOLOGY: Source = Source {
    key: "phenol-toxicology",
    title: "Phenol: toxicological overview",
    publisher: "UKHSA",
    year: "2024",
    seen: Seen::Original(
        "https://gov.uk/government/publications/phenol-properties-incident-management-and-toxicology",
    ),
};

/// Alcohol lavage after phenol (Eur J Dermatol 2013;23:319, 2013).
pub static PHENOL_LAVAGE: Source = Source {
    key: "phenol-lavage",
    title: "Alcohol lavage after phenol",
    publisher: "Eur J Dermatol 2013;23:319",
    year: "2013",
    seen: Seen::Quoted("an abstract service, scholarmate.com/S/4qXSaz"),
};

/// Ingrown toenail management (AAFP, 2019).
pub static NAIL_SURGERY_AAFP: Source = Source {
    key: "nail-surgery-aafp",
    title: "Ingrown toenail management",
    publisher: "AAFP",
    year: "2019",
    seen: Seen::Copy,
};

/// Tourniquets left on after finger and toe surgery (BMJ 2010;340:c1981, 2010).
pub static TOURNIQUET_INCIDENTS: Source = Source {
    key: "tourniquet-incidents",
    title: "Tourniquets left on after finger and toe surgery",
    publisher: "BMJ 2010;340:c1981",
    year: "2010",
    seen: Seen::Original("https://bmj.com/content/340/bmj.c1981"),
};

/// Rapid response: digital tourniquets, as reported with pressures under digital tourniquets (NPSA, 2009).
pub static TOURNIQUET_ADVICE: Source = Source {
    key: "tourniquet-advice",
    title: "Rapid response: digital tourniquets, as reported with pressures under digital tourniquets",
    publisher: "NPSA",
    year: "2009",
    seen: Seen::Quoted(
        "discovery.researcher.life/article/variability-in-local-pressures-under-digital-tourniquets",
    ),
};

/// Basic nail surgery (Dermatol Clin, 2006).
pub static TOURNIQUET_TIME: Source = Source {
    key: "tourniquet-time",
    title: "Basic nail surgery",
    publisher: "Dermatol Clin",
    year: "2006",
    seen: Seen::NotSeen,
};

/// Risk factors for infection after ingrowing toenail surgery (J Foot Ankle Res, 2020).
pub static INFECTION_FACTORS: Source = Source {
    key: "infection-factors",
    title: "Risk factors for infection after ingrowing toenail surgery",
    publisher: "J Foot Ankle Res",
    year: "2020",
    seen: Seen::Original("https://doi.org/10.1186/s13047-020-00414-y"),
};

/// Interventions for ingrowing toenails (Cochrane review CD001541, version 3, 2012).
pub static COCHRANE_RECURRENCE: Source = Source {
    key: "cochrane-recurrence",
    title: "Interventions for ingrowing toenails, CD001541.pub3",
    publisher: "Cochrane Database of Systematic Reviews",
    year: "2012",
    seen: Seen::Original("https://doi.org/10.1002/14651858.CD001541.pub3"),
};

/// Definitions of surgical site infection as printed in a study (BMC Musculoskelet Disord, 2013).
pub static SURGICAL_SITE_INFECTION: Source = Source {
    key: "surgical-site-infection",
    title: "Definition of superficial incisional surgical site infection (Health Protection Agency), Table 1",
    publisher: "BMC Musculoskelet Disord 2013;14:356",
    year: "2013",
    seen: Seen::Original("https://doi.org/10.1186/1471-2474-14-356"),
};

/// Management of the ingrown toenail (AAFP 2009;79:303, 2009).
pub static ANTIBIOTICS_AAFP: Source = Source {
    key: "antibiotics-aafp",
    title: "Management of the ingrown toenail",
    publisher: "AAFP 2009;79:303",
    year: "2009",
    seen: Seen::NotSeen,
};

/// Attending for nail surgery (Northern Care Alliance NHS Foundation Trust, n.d.).
pub static LEAFLET_RISKS: Source = Source {
    key: "leaflet-risks",
    title: "Attending for nail surgery",
    publisher: "Northern Care Alliance NHS Foundation Trust",
    year: "n.d.",
    seen: Seen::Original(
        "https://northerncarealliance.nhs.uk/patient-information/patient-leaflets/podiatry-attending-nail-surgery",
    ),
};

/// Preparing for nail surgery and aftercare (NHS community podiatry leaflet, n.d.).
pub static LEAFLET_PREPARING: Source = Source {
    key: "leaflet-preparing",
    title: "Preparing for nail surgery and aftercare",
    publisher: "NHS community podiatry leaflet",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Nail surgery (Bradford District Care NHS Foundation Trust, n.d.).
pub static LEAFLET_BRADFORD: Source = Source {
    key: "leaflet-bradford",
    title: "Nail surgery",
    publisher: "Bradford District Care NHS Foundation Trust",
    year: "n.d.",
    seen: Seen::Original("https://bdct.nhs.uk/self-care/nail-surgery"),
};

/// Nail surgery CM113 (NHS podiatry, Wigan area, 2021).
pub static LEAFLET_WIGAN: Source = Source {
    key: "leaflet-wigan",
    title: "Nail surgery CM113",
    publisher: "NHS podiatry, Wigan area",
    year: "2021",
    seen: Seen::Copy,
};

/// Nail surgery leaflet (North Tees and Hartlepool NHS Foundation Trust, n.d.).
pub static LEAFLET_NORTH_TEES: Source = Source {
    key: "leaflet-north-tees",
    title: "Nail surgery leaflet",
    publisher: "North Tees and Hartlepool NHS Foundation Trust",
    year: "n.d.",
    seen: Seen::Original("https://nth.nhs.uk/resources/nail-surgery"),
};

/// Nail surgery (Worcestershire Health and Care NHS Trust, n.d.).
pub static LEAFLET_WORCESTERSHIRE: Source = Source {
    key: "leaflet-worcestershire",
    title: "Nail surgery",
    publisher: "Worcestershire Health and Care NHS Trust",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Overview of ingrown nails (Haneke, Dermatol Res Pract, 2012).
pub static ALTERNATIVES: Source = Source {
    key: "alternatives",
    title: "Overview of ingrown nails",
    publisher: "Haneke, Dermatol Res Pract",
    year: "2012",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC3362847"),
};

/// CG64 prophylaxis against infective endocarditis (NICE, 2016).
pub static CG64: Source = Source {
    key: "cg64",
    title: "CG64 prophylaxis against infective endocarditis",
    publisher: "NICE",
    year: "2016",
    seen: Seen::Original("https://www.nice.org.uk/guidance/cg64/chapter/Recommendations"),
};

/// Tourniquets in sickle cell disease, a review (Southern Medical Journal, n.d.).
pub static TOURNIQUET_SICKLE: Source = Source {
    key: "tourniquet-sickle",
    title: "Tourniquet use and sickle cell hemoglobinopathy: how should we proceed? (Fisher and Roberts)",
    publisher: "Southern Medical Journal",
    year: "n.d.",
    seen: Seen::Original(
        "https://sma.org/southern-medical-journal/article/tourniquet-use-and-sickle-cell-hemoglobinopathy-how-should-we-proceed",
    ),
};

/// Cellulitis and erysipelas, NICE NG141 as told to the public (n.d.).
pub static CELLULITIS_PUBLIC: Source = Source {
    key: "cellulitis-public",
    title: "Antimicrobial prescribing in cellulitis and erysipelas, NICE NG141 for the public",
    publisher: "Keep me informed",
    year: "n.d.",
    seen: Seen::Original(
        "https://keepmeinformed.eu/Article?articleGuid=d0088808-e9b8-4c23-b70d-9c8a487ee461",
    ),
};

/// Management of cellulitis or erysipelas, after NICE NG141 (n.d.).
pub static CELLULITIS_SUMMARY: Source = Source {
    key: "cellulitis-summary",
    title: "Management of cellulitis or erysipelas, after NICE NG141",
    publisher: "Pharmacy notebook",
    year: "n.d.",
    seen: Seen::Original(
        "https://pharmacynotebook.com/pages/dermatology/treatment/management-of-cellulitis-or-erysipelas-including-principles-of-antibiotic-prescribing",
    ),
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &PHENOL_TIME_TRIAL,
    &PHENOL_PRACTICE,
    &PHENOL_BOTTLES_ALERT,
    &NAIL_SURGERY_REVIEW_1,
    &NAIL_SURGERY_REVIEW_2,
    &PHENOL_45_SECONDS,
    &PHENOL_SERIES,
    &PHENOL_MATRIX_EXCISION,
    &PHENOL_WEDGE_SERIES,
    &PHENOL_OR_EXCISION_BOS,
    &PHENOL_OR_EXCISION_GERRITSMA,
    &COMMUNITY_CLINIC,
    &PHENOL_TOXICOLOGY,
    &PHENOL_LAVAGE,
    &NAIL_SURGERY_AAFP,
    &TOURNIQUET_INCIDENTS,
    &TOURNIQUET_ADVICE,
    &TOURNIQUET_TIME,
    &INFECTION_FACTORS,
    &COCHRANE_RECURRENCE,
    &SURGICAL_SITE_INFECTION,
    &ANTIBIOTICS_AAFP,
    &LEAFLET_RISKS,
    &LEAFLET_PREPARING,
    &LEAFLET_BRADFORD,
    &LEAFLET_WIGAN,
    &LEAFLET_NORTH_TEES,
    &LEAFLET_WORCESTERSHIRE,
    &ALTERNATIVES,
    &CG64,
    &TOURNIQUET_SICKLE,
    &CELLULITIS_PUBLIC,
    &CELLULITIS_SUMMARY,
];
