//! Consent and confidentiality: law, duty, who decides, who is told.

use crate::clinical::{Cite, Seen, Source};

/// Montgomery v Lanarkshire Health Board \[2015\] UKSC 11, as told in the press summary of McCulloch v Forth Valley Health Board \[2023\] UKSC 26 (UK Supreme Court, 2023).
pub static MONTGOMERY: Source = Source {
    key: "montgomery",
    title: "Montgomery v Lanarkshire Health Board [2015] UKSC 11, as told in the press summary of McCulloch v Forth Valley Health Board [2023] UKSC 26",
    publisher: "UK Supreme Court",
    year: "2023",
    seen: Seen::Original("https://supremecourt.uk/press-summary/uksc-2021-0149.html"),
};

/// Standards of conduct, performance and ethics (HCPC, 2024).
pub static HCPC_STANDARDS: Source = Source {
    key: "hcpc-standards",
    title: "Standards of conduct, performance and ethics",
    publisher: "HCPC",
    year: "2024",
    seen: Seen::Original("https://hcpc-uk.org/standards/standards-of-conduct-performance-and-ethics"),
};

/// Guidance on confidentiality: consent and confidentiality (HCPC, n.d.).
pub static HCPC_CONFIDENTIALITY: Source = Source {
    key: "hcpc-confidentiality",
    title: "Guidance on confidentiality: consent and confidentiality",
    publisher: "HCPC",
    year: "n.d.",
    seen: Seen::Original(
        "https://hcpc-uk.org/standards/meeting-our-standards/confidentiality/guidance-on-confidentiality/consent-and-confidentiality",
    ),
};

/// 0-18 years, appendix 2: parental responsibility (GMC, n.d.).
pub static GMC_PARENTAL_RESPONSIBILITY: Source = Source {
    key: "gmc-parental-responsibility",
    title: "0-18 years, appendix 2: parental responsibility",
    publisher: "GMC",
    year: "n.d.",
    seen: Seen::Original(
        "https://gmc-uk.org/professional-standards/professional-standards-for-doctors/0-18-years/appendix-2",
    ),
};

/// 0-18 years: principles of confidentiality (GMC, n.d.).
pub static GMC_CONFIDENTIALITY_0_18: Source = Source {
    key: "gmc-confidentiality-0-18",
    title: "0-18 years: principles of confidentiality",
    publisher: "GMC",
    year: "n.d.",
    seen: Seen::Original(
        "https://gmc-uk.org/ethical-guidance/ethical-guidance-for-doctors/0-18-years/principles-of-confidentiality",
    ),
};

/// Model consent form 3 (consciousness not impaired) (Department of Health model, trust copy, n.d.).
pub static CONSENT_FORM_3: Source = Source {
    key: "consent-form-3",
    title: "Model consent form 3 (consciousness not impaired)",
    publisher: "Department of Health model, trust copy",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Family Law Reform Act 1969 (UK Parliament, 1969).
pub static FAMILY_LAW_REFORM_ACT: Source = Source {
    key: "family-law-reform-act",
    title: "Family Law Reform Act 1969",
    publisher: "UK Parliament",
    year: "1969",
    seen: Seen::Original("https://legislation.gov.uk/ukpga/1969/46"),
};

/// Halsbury's Laws of England, medical professions: children (LexisNexis, n.d.).
pub static HALSBURY_CHILDREN: Source = Source {
    key: "halsbury-children",
    title: "Halsbury's Laws of England, medical professions: children",
    publisher: "LexisNexis",
    year: "n.d.",
    seen: Seen::Original(
        "https://lexisnexis.co.uk/legal/commentary/halsburys-laws-of-england/medical-professions/children",
    ),
};

/// Age of Majority Act (Northern Ireland) 1969 (Parliament of Northern Ireland, 1969).
pub static AGE_OF_MAJORITY_ACT_NI: Source = Source {
    key: "age-of-majority-act-ni",
    title: "Age of Majority Act (Northern Ireland) 1969",
    publisher: "Parliament of Northern Ireland",
    year: "1969",
    seen: Seen::NotSeen,
};

/// Age of Legal Capacity (Scotland) Act 1991 (UK Parliament, 1991).
pub static AGE_OF_LEGAL_CAPACITY_ACT: Source = Source {
    key: "age-of-legal-capacity-act",
    title: "Age of Legal Capacity (Scotland) Act 1991",
    publisher: "UK Parliament",
    year: "1991",
    seen: Seen::Quoted(
        "NHS Ayrshire and Arran, consent policy G082, section 7; the Act stands at legislation.gov.uk/ukpga/1991/50",
    ),
};

/// Mental Capacity Act 2005 (UK Parliament, 2005).
pub static MENTAL_CAPACITY: Source = Source {
    key: "mental-capacity",
    title: "Mental Capacity Act 2005",
    publisher: "UK Parliament",
    year: "2005",
    seen: Seen::Original("https://legislation.gov.uk/ukpga/2005/9/part/1"),
};

/// Adults with Incapacity (Scotland) Act 2000 (Scottish Parliament, 2000).
pub static ADULTS_WITH_INCAPACITY: Source = Source {
    key: "adults-with-incapacity",
    title: "Adults with Incapacity (Scotland) Act 2000",
    publisher: "Scottish Parliament",
    year: "2000",
    seen: Seen::Original("https://legislation.gov.uk/asp/2000/4/section/47"),
};

/// Adults with Incapacity (Scotland) Act 2000, part 5: code of practice, third edition (Scottish Government, n.d.).
pub static ADULTS_WITH_INCAPACITY_CODE: Source = Source {
    key: "adults-with-incapacity-code",
    title: "Adults with Incapacity (Scotland) Act 2000, part 5: code of practice, third edition",
    publisher: "Scottish Government",
    year: "n.d.",
    seen: Seen::Original(
        "https://gov.scot/publications/adults-incapacity-scotland-act-2000-code-practice-third-edition-practitioners-authorised-carry-out-medical-treatment-research-under-part-5-act/pages/2",
    ),
};

/// Mental Capacity (2016 Act) (Commencement No. 1) Order (Northern Ireland) 2019, SR 2019/163 (Department of Health, Northern Ireland, 2019).
pub static MENTAL_CAPACITY_NI_COMMENCEMENT: Source = Source {
    key: "mental-capacity-ni-commencement",
    title: "Mental Capacity (2016 Act) (Commencement No. 1) Order (Northern Ireland) 2019, SR 2019/163",
    publisher: "Department of Health, Northern Ireland",
    year: "2019",
    seen: Seen::Original("https://legislation.gov.uk/nisr/2019/163"),
};

/// NHS interpreters and translation services, answer to PQ 16690 (DHSC, n.d.).
pub static INTERPRETERS: Source = Source {
    key: "interpreters",
    title: "NHS interpreters and translation services, answer to PQ 16690",
    publisher: "DHSC",
    year: "n.d.",
    seen: Seen::Quoted("parallelparliament.co.uk/question/16690/nhs-interpreters-and-translation-services"),
};

/// About the consent form (may withdraw after signing) (East Kent Hospitals, 2017).
pub static CONSENT_WITHDRAWAL: Source = Source {
    key: "consent-withdrawal",
    title: "About the consent form (may withdraw after signing)",
    publisher: "East Kent Hospitals",
    year: "2017",
    seen: Seen::Original("https://ekhuft.nhs.uk"),
};

/// Consent is valid only from somebody with capacity or another proper authority.
pub const VALID_CONSENT: Cite = Cite::states(&HCPC_STANDARDS, "1.4");

/// England and Wales: a young person's own consent from 16.
pub const OWN_CONSENT_AT_16: Cite = Cite::adapts(
    &FAMILY_LAW_REFORM_ACT,
    "section 8(1)",
    "the words of the section were read where a journal quotes them",
);

/// Northern Ireland: the same.
pub const OWN_CONSENT_AT_16_NI: Cite = Cite::from_memory(&AGE_OF_MAJORITY_ACT_NI, "section 4");

/// Scotland: capacity from 16.
pub const SCOTTISH_CAPACITY_AT_16: Cite = Cite::states(&AGE_OF_LEGAL_CAPACITY_ACT, "section 1(1)");

/// Scotland: the consent of a child under 16.
pub const SCOTTISH_CHILD: Cite = Cite::adapts(
    &AGE_OF_LEGAL_CAPACITY_ACT,
    "section 2(4): a qualified medical practitioner attending",
    "read as NHS Ayrshire and Arran reports it in its consent policy G082",
);

/// England and Wales, Northern Ireland: the consent of a child under 16.
pub const COMPETENT_CHILD: Cite = Cite::states(&HALSBURY_CHILDREN, "a younger child");

/// Parental responsibility, and how long it lasts in each nation.
pub const PARENTAL: Cite = Cite::states(&GMC_PARENTAL_RESPONSIBILITY, "who has it, and until what age");

/// England and Wales: a decision in the best interests of somebody who lacks capacity.
pub const BEST_INTERESTS: Cite = Cite::states(&MENTAL_CAPACITY, "sections 1 to 5");

/// England and Wales: an attorney with power over health.
pub const ATTORNEY: Cite = Cite::from_memory(&MENTAL_CAPACITY, "sections 9 to 11");

/// England and Wales: a deputy of the court.
pub const DEPUTY: Cite = Cite::from_memory(&MENTAL_CAPACITY, "sections 16 to 20");

/// Scotland: a certificate of incapacity, and who may sign it.
pub const SECTION_47: Cite = Cite::states(&ADULTS_WITH_INCAPACITY, "section 47(1A), (3) and (5)");

/// Scotland: an attorney or guardian with power over welfare comes before the certificate.
pub const SCOTTISH_ATTORNEY: Cite = Cite::states(&ADULTS_WITH_INCAPACITY_CODE, "section 50 of the Act");

/// Northern Ireland: the Act of 2016 is not in force for ordinary treatment; common law remains.
pub const COMMON_LAW_NI: Cite = Cite::adapts(
    &MENTAL_CAPACITY_NI_COMMENCEMENT,
    "what it brings into force",
    "treatment is not among it, so that the common law of best interests is taken to hold",
);

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &MONTGOMERY,
    &HCPC_STANDARDS,
    &HCPC_CONFIDENTIALITY,
    &GMC_PARENTAL_RESPONSIBILITY,
    &GMC_CONFIDENTIALITY_0_18,
    &CONSENT_FORM_3,
    &FAMILY_LAW_REFORM_ACT,
    &HALSBURY_CHILDREN,
    &AGE_OF_MAJORITY_ACT_NI,
    &AGE_OF_LEGAL_CAPACITY_ACT,
    &MENTAL_CAPACITY,
    &ADULTS_WITH_INCAPACITY,
    &ADULTS_WITH_INCAPACITY_CODE,
    &MENTAL_CAPACITY_NI_COMMENCEMENT,
    &INTERPRETERS,
    &CONSENT_WITHDRAWAL,
];
