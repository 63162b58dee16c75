//! Identity, display of identity, operation notes, letters and codes.

use crate::clinical::{Seen, Source};

/// NHS Number Input and Display v4.0 (HSCIC, 2013).
pub static NHS_NUMBER_DISPLAY: Source = Source {
    key: "nhs-number-display",
    title: "NHS Number Input and Display v4.0",
    publisher: "HSCIC",
    year: "2013",
    seen: Seen::Original("https://github.com/pacharanero/nhs-cui (inputdisplay.md)"),
};

/// NHS Number modulus-11 check of the NHS Data Dictionary, as quoted in phutils and epidm (NHS Data Dictionary, n.d.).
pub static NHS_NUMBER_CHECK: Source = Source {
    key: "nhs-number-check",
    title: "NHS Number modulus-11 check of the NHS Data Dictionary, as quoted in phutils and epidm",
    publisher: "NHS Data Dictionary",
    year: "n.d.",
    seen: Seen::Quoted(
        "two packages that use it: rdrr.io/github/daudi/phutils/src/R/is.valid.NHSnum.R and rdrr.io/cran/epidm/man/valid_nhs.html",
    ),
};

/// `chi_check` of phsmethods, commit 096c743 (Public Health Scotland, 2026).
pub static CHI_CHECK: Source = Source {
    key: "chi-check",
    title: "chi_check of phsmethods, commit 096c743",
    publisher: "Public Health Scotland",
    year: "2026",
    seen: Seen::Original("https://github.com/Public-Health-Scotland/phsmethods (R/chi_check.R)"),
};

/// Numbers of patients in the four nations and their ranges (UK Faculty of Clinical Informatics, n.d.).
pub static NUMBER_RANGES: Source = Source {
    key: "number-ranges",
    title: "NHS, CHI and H&C numbers: ranges and check digit",
    publisher: "nhs-number, a package of the UK Faculty of Clinical Informatics",
    year: "n.d.",
    seen: Seen::Original("https://github.com/uk-fci/nhs-number (docs/nhs-numbers.md)"),
};

/// Patient Name Input and Display v3.0 (HSCIC, 2013).
pub static NAME_DISPLAY: Source = Source {
    key: "name-display",
    title: "Patient Name Input and Display v3.0",
    publisher: "HSCIC",
    year: "2013",
    seen: Seen::Original("https://github.com/pacharanero/nhs-cui (patnamedisp.md)"),
};

/// Patient Banner v4.0 (HSCIC, 2013).
pub static BANNER: Source = Source {
    key: "banner",
    title: "Patient Banner v4.0",
    publisher: "HSCIC",
    year: "2013",
    seen: Seen::Original("https://github.com/pacharanero/nhs-cui (patben.md)"),
};

/// Date Display v4.0 and Time Display v4.0 (HSCIC, 2013).
pub static DATE_TIME_DISPLAY: Source = Source {
    key: "date-time-display",
    title: "Date Display v4.0 and Time Display v4.0",
    publisher: "HSCIC",
    year: "2013",
    seen: Seen::Original("https://github.com/pacharanero/nhs-cui (datedisplay.md, timedisplay.md)"),
};

/// NHS digital service manual: NHS numbers, numbers and dates, health literacy (NHS England, 2026).
pub static SERVICE_MANUAL: Source = Source {
    key: "service-manual",
    title: "NHS digital service manual: NHS numbers, numbers and dates, health literacy",
    publisher: "NHS England",
    year: "2026",
    seen: Seen::Original("https://github.com/nhsuk/nhsuk-service-manual"),
};

/// How to write an operation note, on the list of the Royal College of Surgeons (BMJ Careers, 2017).
pub static OPERATION_NOTE_FRAMEWORK: Source = Source {
    key: "operation-note-framework",
    title: "How to write an operation note",
    publisher: "BMJ Careers",
    year: "2017",
    seen: Seen::Original("http://careers.bmj.com/careers/advice/How_to_write_an_operation_note"),
};

/// Audits against the operation-note list of Good Surgical Practice 2014 (Turk J Surg; WASET, 2014 to 2023).
pub static OPERATION_NOTE_2014: Source = Source {
    key: "operation-note-2014",
    title: "Audits against the operation-note list of Good Surgical Practice 2014",
    publisher: "Turk J Surg; WASET",
    year: "2014 to 2023",
    seen: Seen::Original("https://turkjsurg.com/full-text/1954/eng"),
};

/// Standards of conduct, performance and ethics, standard 10: keep records of your work (HCPC, 2024).
pub static HCPC_RECORDS: Source = Source {
    key: "hcpc-records",
    title: "Standards of conduct, performance and ethics, standard 10: keep records of your work",
    publisher: "HCPC",
    year: "2024",
    seen: Seen::Original(
        "https://hcpc-uk.org/students/guidance-on-conduct-and-ethics/keep-records-of-your-work",
    ),
};

/// Health Technical Memorandum 01-01 Part A: management of surgical instruments (Department of Health, 2016).
pub static HTM_01_01: Source = Source {
    key: "htm-01-01",
    title: "Health Technical Memorandum 01-01 Part A: management of surgical instruments",
    publisher: "Department of Health",
    year: "2016",
    seen: Seen::Copy,
};

/// WHO Surgical Safety Checklist alert (NPSA, 2009).
pub static SAFETY_CHECKLIST: Source = Source {
    key: "safety-checklist",
    title: "WHO Surgical Safety Checklist alert",
    publisher: "NPSA",
    year: "2009",
    seen: Seen::Original("https://nrls.npsa.nhs.uk/resources/?entryid45=59860"),
};

/// National Safety Standards for Invasive Procedures (NHS England, 2023).
pub static NATSSIPS: Source = Source {
    key: "natssips",
    title: "National Safety Standards for Invasive Procedures",
    publisher: "NHS England",
    year: "2023",
    seen: Seen::Original("https://england.nhs.uk/patient-safety/natssips"),
};

/// UK Core RecordStandardHeadings code system v2.2.0 (HL7 UK / NHS England, 2022).
pub static RECORD_HEADINGS: Source = Source {
    key: "record-headings",
    title: "UK Core RecordStandardHeadings code system v2.2.0",
    publisher: "HL7 UK / NHS England",
    year: "2022",
    seen: Seen::Original("https://github.com/NHSDigital/FHIR-R4-UKCORE-STAGING-MAIN"),
};

/// Outpatient Letter Standard v2.2 (PRSB, 2023).
pub static OUTPATIENT_LETTER: Source = Source {
    key: "outpatient-letter",
    title: "Outpatient Letter Standard v2.2",
    publisher: "PRSB",
    year: "2023",
    seen: Seen::Original("https://theprsb.org/standards/outpatientletterstandard"),
};

/// Please, write to me: writing outpatient letters to patients (Academy of Medical Royal Colleges, 2018).
pub static WRITE_TO_ME: Source = Source {
    key: "write-to-me",
    title: "Please, write to me: writing outpatient letters to patients",
    publisher: "Academy of Medical Royal Colleges",
    year: "2018",
    seen: Seen::Quoted(
        "MDU Journal, winter 2018, mdujournal.themdu.com/issue-archive/winter-2018/plain-english-for-patients",
    ),
};

/// ICD-10 and OPCS-4 code titles with admitted-patient counts 2023-24 (NHS England, packaged by ebmdatalab, 2025).
pub static CODE_USAGE: Source = Source {
    key: "code-usage",
    title: "ICD-10 and OPCS-4 code titles with admitted-patient counts 2023-24",
    publisher: "NHS England, packaged by ebmdatalab",
    year: "2025",
    seen: Seen::Original("https://github.com/ebmdatalab/codeusage"),
};

/// Bank holiday data, commit cb2a016 of 21 Aug 2026 (Government Digital Service, 2026).
pub static BANK_HOLIDAYS: Source = Source {
    key: "bank-holidays",
    title: "Bank holiday data, commit cb2a016 of 21 Aug 2026",
    publisher: "Government Digital Service",
    year: "2026",
    seen: Seen::Original("https://github.com/alphagov/frontend (lib/data/bank-holidays.json)"),
};

/// Accessible Information Standard DAPB1605, requirements (NHS England, 2025).
pub static ACCESSIBLE_INFORMATION: Source = Source {
    key: "accessible-information",
    title: "Accessible Information Standard DAPB1605, requirements",
    publisher: "NHS England",
    year: "2025",
    seen: Seen::Original(
        "https://england.nhs.uk/long-read/accessible-information-standard-requirements-dapb1605",
    ),
};

/// Clear print guidelines (RNIB, n.d.).
pub static CLEAR_PRINT: Source = Source {
    key: "clear-print",
    title: "Clear print guidelines",
    publisher: "RNIB",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Access for blind people, corporate standard: large print sizes (Hampshire County Council, n.d.).
pub static LARGE_PRINT: Source = Source {
    key: "large-print",
    title: "Access for blind people, corporate standard: large print sizes",
    publisher: "Hampshire County Council",
    year: "n.d.",
    seen: Seen::Original("https://www3.hants.gov.uk/cx-logos-accessforblind.htm"),
};

/// Primary and secondary care working together (BMA, 2020).
pub static CARE_TOGETHER: Source = Source {
    key: "care-together",
    title: "Primary and secondary care working together",
    publisher: "British Medical Association",
    year: "2020",
    seen: Seen::Original("https://www.bma.org.uk (Primary and secondary care working together)"),
};

/// Requests of hospitals and clinics: who answers for a test (a practice, after BMA committees, n.d.).
pub static RESULTS_RESPONSIBILITY: Source = Source {
    key: "results-responsibility",
    title: "Requests of hospitals and clinics, after the committees of the BMA",
    publisher: "Tollgate Medical Centre",
    year: "n.d.",
    seen: Seen::Original("https://tollgatemedicalcentre.nhs.uk"),
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &NHS_NUMBER_DISPLAY,
    &NHS_NUMBER_CHECK,
    &CHI_CHECK,
    &NUMBER_RANGES,
    &NAME_DISPLAY,
    &BANNER,
    &DATE_TIME_DISPLAY,
    &SERVICE_MANUAL,
    &OPERATION_NOTE_FRAMEWORK,
    &OPERATION_NOTE_2014,
    &HCPC_RECORDS,
    &HTM_01_01,
    &SAFETY_CHECKLIST,
    &NATSSIPS,
    &RECORD_HEADINGS,
    &OUTPATIENT_LETTER,
    &WRITE_TO_ME,
    &CODE_USAGE,
    &BANK_HOLIDAYS,
    &ACCESSIBLE_INFORMATION,
    &CLEAR_PRINT,
    &LARGE_PRINT,
    &CARE_TOGETHER,
    &RESULTS_RESPONSIBILITY,
];
