//! Circulation: pressure indices, toe pressure, pulses.

use crate::clinical::{Seen, Source};

/// 2016 AHA/ACC lower-extremity PAD guideline, recommendations for resting ABI (AHA/ACC, Circulation 2017;135:e726, 2017).
pub static ABI_GUIDELINE_2016: Source = Source {
    key: "abi-guideline-2016",
    title: "2016 AHA/ACC lower-extremity PAD guideline, recommendations for resting ABI",
    publisher: "AHA/ACC, Circulation 2017;135:e726",
    year: "2017",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC5477786/table/array2"),
};

/// Lower Extremity PAD 2024, pocket guideline, p. 16 (AHA / Guideline Central, 2024).
pub static PAD_GUIDE_2024: Source = Source {
    key: "pad-guide-2024",
    title: "Lower Extremity PAD 2024, pocket guideline, p. 16",
    publisher: "AHA / Guideline Central",
    year: "2024",
    seen: Seen::Original("https://eguideline.guidelinecentral.com/i/1521560/15"),
};

/// Hemodynamic parameters for diagnosis of CLI, Table 2 (Medicina 2024;60:1179, 2024).
pub static LIMB_THREAT_TABLE: Source = Source {
    key: "limb-threat-table",
    title: "Hemodynamic parameters for diagnosis of CLI, Table 2",
    publisher: "Medicina 2024;60:1179",
    year: "2024",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC11279131/table/medicina-60-01179-t002"),
};

/// CG147 peripheral arterial disease: rationale and impact, recommendations 1.3.4 to 1.3.5 (NICE, 2020).
pub static CG147: Source = Source {
    key: "cg147",
    title: "CG147 peripheral arterial disease: rationale and impact, recommendations 1.3.4 to 1.3.5",
    publisher: "NICE",
    year: "2020",
    seen: Seen::Original(
        "https://nice.org.uk/guidance/cg147/chapter/Rationale-and-impact-for-new-recommendations",
    ),
};

/// IWGDF guidance on PAD, as reported (Medical Dialogues, 2015).
pub static IWGDF_PAD: Source = Source {
    key: "iwgdf-pad",
    title: "IWGDF guidance on PAD, as reported",
    publisher: "Medical Dialogues",
    year: "2015",
    seen: Seen::Quoted("Medical Dialogues, 2015"),
};

/// 2016 and 2024 AHA/ACC guideline, toe-brachial index (AHA/ACC, 2016).
pub static TBI_GUIDELINE: Source = Source {
    key: "tbi-guideline",
    title: "2016 and 2024 AHA/ACC guideline, toe-brachial index",
    publisher: "AHA/ACC",
    year: "2016",
    seen: Seen::NotSeen,
};

/// All of this file.
pub(super) static ALL: &[&Source] =
    &[&ABI_GUIDELINE_2016, &PAD_GUIDE_2024, &LIMB_THREAT_TABLE, &CG147, &IWGDF_PAD, &TBI_GUIDELINE];
