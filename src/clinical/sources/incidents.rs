//! Candour, and the recording of what went wrong.

use crate::clinical::{Seen, Source};

/// Standards of conduct, performance and ethics, standard 8: duty of candour (HCPC, in force 1 September 2024).
pub static HCPC_CANDOUR: Source = Source {
    key: "hcpc-candour",
    title: "Standards of conduct, performance and ethics, standard 8: duty of candour",
    publisher: "Health and Care Professions Council",
    year: "2024",
    seen: Seen::Original(
        "https://hcpc-uk.org/standards/standards-of-conduct-performance-and-ethics/revised-standards/duty-of-candour",
    ),
};

/// Organisational duty of candour: guidance, Annex C on the letter (Scottish Government, revised March 2025).
pub static CANDOUR_LETTER: Source = Source {
    key: "candour-letter",
    title: "Organisational duty of candour: non-statutory guidance, revised, Annex C",
    publisher: "Scottish Government",
    year: "2025",
    seen: Seen::Original(
        "https://gov.scot/publications/organisational-duty-candour-non-statutory-guidance-revised-march-2025/pages/17",
    ),
};

/// Policy guidance on recording patient safety events and levels of harm (NHS England).
pub static LEVELS_OF_HARM: Source = Source {
    key: "levels-of-harm",
    title: "Policy guidance on recording patient safety events and levels of harm",
    publisher: "NHS England",
    year: "n.d.",
    seen: Seen::Original(
        "https://england.nhs.uk/long-read/policy-guidance-on-recording-patient-safety-events-and-levels-of-harm",
    ),
};

/// What to report to the Yellow Card scheme (MHRA).
pub static YELLOW_CARD: Source = Source {
    key: "yellow-card",
    title: "Yellow Card: what to report",
    publisher: "Medicines and Healthcare products Regulatory Agency",
    year: "n.d.",
    seen: Seen::Original("https://yellowcard.mhra.gov.uk/what-to-report"),
};

/// Every source of this field.
pub static ALL: &[&Source] = &[&HCPC_CANDOUR, &CANDOUR_LETTER, &LEVELS_OF_HARM, &YELLOW_CARD];
