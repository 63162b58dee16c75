//! Consent: law, duty, who signs.

use crate::clinical::{Seen, Source};

/// Montgomery v Lanarkshire Health Board \[2015\] UKSC 11 (UK Supreme Court, 2015).
pub static MONTGOMERY: Source = Source {
    key: "montgomery",
    title: "Montgomery v Lanarkshire Health Board [2015] UKSC 11",
    publisher: "UK Supreme Court",
    year: "2015",
    seen: Seen::Quoted(
        "Law Gazette, lawgazette.co.uk/legal-updates/patient-consent-and-medical-advice/5048955.article",
    ),
};

/// Decision making and consent (GMC, 2020).
pub static GMC_CONSENT: Source = Source {
    key: "gmc-consent",
    title: "Decision making and consent",
    publisher: "GMC",
    year: "2020",
    seen: Seen::Quoted(
        "Medical Defence Union, themdu.com/guidance-and-advice/guides/new-guidance-on-decision-making-and-consent",
    ),
};

/// Standards of conduct, performance and ethics (HCPC, 2024).
pub static HCPC_STANDARDS: Source = Source {
    key: "hcpc-standards",
    title: "Standards of conduct, performance and ethics",
    publisher: "HCPC",
    year: "2024",
    seen: Seen::Original("https://hcpc-uk.org/standards/standards-of-conduct-performance-and-ethics"),
};

/// Model consent form 3 (consciousness not impaired) (Department of Health model, trust copy, n.d.).
pub static CONSENT_FORM_3: Source = Source {
    key: "consent-form-3",
    title: "Model consent form 3 (consciousness not impaired)",
    publisher: "Department of Health model, trust copy",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Treatment decisions up to 18; Mental Capacity Act pages (My Adult Still My Child, n.d.).
pub static CONSENT_UNDER_18: Source = Source {
    key: "consent-under-18",
    title: "Treatment decisions up to 18; Mental Capacity Act pages",
    publisher: "My Adult Still My Child",
    year: "n.d.",
    seen: Seen::Original("https://myadultstillmychild.co.uk"),
};

/// Children: which decision counts (Bevan Brittan, 2022).
pub static CONSENT_CHILDREN: Source = Source {
    key: "consent-children",
    title: "Children: which decision counts",
    publisher: "Bevan Brittan",
    year: "2022",
    seen: Seen::Original(
        "https://bevanbrittan.com/insights/articles/2022/children-which-decision-counts-part-one-medical-treatment-decisions",
    ),
};

/// Mental Capacity Act 2005 sections 1 to 4, summary (Sunderland Safeguarding Adults Board, n.d.).
pub static MENTAL_CAPACITY: Source = Source {
    key: "mental-capacity",
    title: "Mental Capacity Act 2005 sections 1 to 4, summary",
    publisher: "Sunderland Safeguarding Adults Board",
    year: "n.d.",
    seen: Seen::Original("https://www.sunderlandsab.org.uk/?page_id=968"),
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

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &MONTGOMERY,
    &GMC_CONSENT,
    &HCPC_STANDARDS,
    &CONSENT_FORM_3,
    &CONSENT_UNDER_18,
    &CONSENT_CHILDREN,
    &MENTAL_CAPACITY,
    &INTERPRETERS,
    &CONSENT_WITHDRAWAL,
];
