//! Local anaesthetics: limits, ages, onset and duration, contraindications, toxicity.

use crate::clinical::{Seen, Source};

/// Lidocaine Injection BP 1 % and 2 % w/v, summary of product characteristics (B. Braun, 2023).
pub static LIDOCAINE_SMPC: Source = Source {
    key: "lidocaine-smpc",
    title: "Lidocaine Injection BP 1 % and 2 % w/v, summary of product characteristics",
    publisher: "B. Braun",
    year: "2023",
    seen: Seen::Original("https://medicines.org.uk/emc/product/15150/smpc/print"),
};

/// Lidocaine 2 %, summary of product characteristics (HPRA Ireland, n.d.).
pub static LIDOCAINE_SMPC_IE: Source = Source {
    key: "lidocaine-smpc-ie",
    title: "Lidocaine 2 %, summary of product characteristics",
    publisher: "HPRA Ireland",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Lidocaine 2 % with preservative, summary of product characteristics (medine, n.d.).
pub static LIDOCAINE_SMPC_CAUTIONS: Source = Source {
    key: "lidocaine-smpc-cautions",
    title: "Lidocaine 2 % with preservative, summary of product characteristics",
    publisher: "medine",
    year: "n.d.",
    seen: Seen::Original("https://www.medine.co.uk/lidocaine-2-with-preservative-injection/summary"),
};

/// Podiatry dictionary, entry “percentage mass” of local anaesthetics (medical dictionary of The Free Dictionary, n.d.).
pub static PODIATRY_DICTIONARY: Source = Source {
    key: "podiatry-dictionary",
    title: "Podiatry dictionary, entry “percentage mass” of local anaesthetics",
    publisher: "medical dictionary of The Free Dictionary",
    year: "n.d.",
    seen: Seen::Original("https://medical-dictionary.thefreedictionary.com/percentage+mass"),
};

/// Podiatry dictionary, entry “local anaesthetic administration” (medical dictionary of The Free Dictionary, n.d.).
pub static PODIATRY_DICTIONARY_INTERACTIONS: Source = Source {
    key: "podiatry-dictionary-interactions",
    title: "Podiatry dictionary, entry “local anaesthetic administration”",
    publisher: "medical dictionary of The Free Dictionary",
    year: "n.d.",
    seen: Seen::Original(
        "https://medical-dictionary.thefreedictionary.com/local+anaesthetic+(LA)+administration",
    ),
};

/// Local Anaesthetic Drugs, podiatry teaching slides (slideserve, n.d.).
pub static TEACHING_SLIDES: Source = Source {
    key: "teaching-slides",
    title: "Local Anaesthetic Drugs, podiatry teaching slides",
    publisher: "slideserve",
    year: "n.d.",
    seen: Seen::Original("https://cdn.slideserve.com/Albert_Lan/local-anaesthetic-drugs"),
};

/// Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455 (European Commission, 2016).
pub static MEPIVACAINE_SMPC: Source = Source {
    key: "mepivacaine-smpc",
    title: "Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455",
    publisher: "European Commission",
    year: "2016",
    seen: Seen::Copy,
};

/// Mepivacaine 3 %, dose table by weight (Italian product characteristics, n.d.).
pub static MEPIVACAINE_TABLE: Source = Source {
    key: "mepivacaine-table",
    title: "Mepivacaine 3 %, dose table by weight",
    publisher: "Italian product characteristics",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Mepivacaine hydrochloride, chiropody monograph (Medscape UK, n.d.).
pub static MEPIVACAINE_MONOGRAPH: Source = Source {
    key: "mepivacaine-monograph",
    title: "Mepivacaine hydrochloride, chiropody monograph",
    publisher: "Medscape UK",
    year: "n.d.",
    seen: Seen::Original("https://medscape.co.uk/drug/mepivacaine-hydrochloride-70163-70163"),
};

/// Mepivacaine 3 %, summary of product characteristics: children (as quoted by imeds.se and rxreasoner.com, 2013).
pub static MEPIVACAINE_CHILD: Source = Source {
    key: "mepivacaine-child",
    title: "Mepivacaine 3 %, summary of product characteristics: children",
    publisher: "as quoted by imeds.se and rxreasoner.com",
    year: "2013",
    seen: Seen::Copy,
};

/// Mepivacaine, registration text: contraindications (Septodont, n.d.).
pub static MEPIVACAINE_REGISTRATION: Source = Source {
    key: "mepivacaine-registration",
    title: "Mepivacaine, registration text: contraindications",
    publisher: "Septodont",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Prilocaine 1 %, summary of product characteristics (Aspen, 2022).
pub static PRILOCAINE_SMPC: Source = Source {
    key: "prilocaine-smpc",
    title: "Prilocaine 1 %, summary of product characteristics",
    publisher: "Aspen",
    year: "2022",
    seen: Seen::Original("https://medicines.org.uk/emc/product/870/smpc/print"),
};

/// Bupivacaine 2.5 mg/ml, summary of product characteristics (Claris, n.d.).
pub static BUPIVACAINE_SMPC: Source = Source {
    key: "bupivacaine-smpc",
    title: "Bupivacaine 2.5 mg/ml, summary of product characteristics",
    publisher: "Claris",
    year: "n.d.",
    seen: Seen::Copy,
};

/// National formulary, bupivacaine (Bahamas national formulary, n.d.).
pub static BUPIVACAINE_FORMULARY: Source = Source {
    key: "bupivacaine-formulary",
    title: "National formulary, bupivacaine",
    publisher: "Bahamas national formulary",
    year: "n.d.",
    seen: Seen::Original("https://corp.phabahamas.org"),
};

/// Levobupivacaine 7.5 mg/ml, summary of product characteristics (Martindale, 2023).
pub static LEVOBUPIVACAINE_SMPC: Source = Source {
    key: "levobupivacaine-smpc",
    title: "Levobupivacaine 7.5 mg/ml, summary of product characteristics",
    publisher: "Martindale",
    year: "2023",
    seen: Seen::Original("https://medicines.org.uk/emc/product/13643/smpc"),
};

/// Serratus anterior plane block, learning module (RCEM Learning, n.d.).
pub static LEVOBUPIVACAINE_RCEM: Source = Source {
    key: "levobupivacaine-rcem",
    title: "Serratus anterior plane block, learning module",
    publisher: "RCEM Learning",
    year: "n.d.",
    seen: Seen::Original(
        "https://rcemlearning.co.uk/modules/ultrasound-guided-serratus-anterior-plane-block",
    ),
};

/// Ropivacaine, summary of product characteristics (HPRA Ireland, n.d.).
pub static ROPIVACAINE_SMPC: Source = Source {
    key: "ropivacaine-smpc",
    title: "Ropivacaine, summary of product characteristics",
    publisher: "HPRA Ireland",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Articaine 4 % with adrenaline 1:200 000, summary of product characteristics (patient-info, n.d.).
pub static ARTICAINE_SMPC: Source = Source {
    key: "articaine-smpc",
    title: "Articaine 4 % with adrenaline 1:200 000, summary of product characteristics",
    publisher: "patient-info",
    year: "n.d.",
    seen: Seen::Copy,
};

/// BNF for Children 2018-19, pages 850 and 851 (BNF Publications, 2018).
pub static BNFC_2018: Source = Source {
    key: "bnfc-2018",
    title: "BNF for Children 2018-19, pages 850 and 851",
    publisher: "BNF Publications",
    year: "2018",
    seen: Seen::Copy,
};

/// BNF for Children 2011-12, page 653 (BNF Publications, 2011).
pub static BNFC_2011: Source = Source {
    key: "bnfc-2011",
    title: "BNF for Children 2011-12, page 653",
    publisher: "BNF Publications",
    year: "2011",
    seen: Seen::Copy,
};

/// British National Formulary, local anaesthesia (BNF Publications, n.d.).
pub static BNF: Source = Source {
    key: "bnf",
    title: "British National Formulary, local anaesthesia",
    publisher: "BNF Publications",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Comparison of local anesthetics for digital nerve blocks: a systematic review (J Hand Surg Am, 2014).
pub static DIGITAL_BLOCK_REVIEW: Source = Source {
    key: "digital-block-review",
    title: "Comparison of local anesthetics for digital nerve blocks: a systematic review",
    publisher: "J Hand Surg Am",
    year: "2014",
    seen: Seen::Original(
        "https://research.monash.edu/en/publications/comparison-of-local-anesthetics-for-digital-nerve-blocks-a-system",
    ),
};

/// Randomized double-blind comparison of duration of anesthesia in digital blocks (Plast Reconstr Surg 2006;118:429-432, 2006).
pub static DIGITAL_BLOCK_DURATION: Source = Source {
    key: "digital-block-duration",
    title: "Randomized double-blind comparison of duration of anesthesia in digital blocks",
    publisher: "Plast Reconstr Surg 2006;118:429-432",
    year: "2006",
    seen: Seen::Original("https://journals.lww.com/plasreconsurg/Abstract/2006/08000"),
};

/// Foot and Ankle Injection Techniques (Metcalfe and Reilly, 2010).
pub static FOOT_INJECTION: Source = Source {
    key: "foot-injection",
    title: "Foot and Ankle Injection Techniques",
    publisher: "Metcalfe and Reilly",
    year: "2010",
    seen: Seen::NotSeen,
};

/// Adrenaline in digital blocks, best evidence topic (Emerg Med J 2007;24:789, 2007).
pub static ADRENALINE_DIGITS: Source = Source {
    key: "adrenaline-digits",
    title: "Adrenaline in digital blocks, best evidence topic",
    publisher: "Emerg Med J 2007;24:789",
    year: "2007",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC2658331"),
};

/// Epinephrine in 1,334 toe procedures (Can Fam Physician 2016;62:e334, 2016).
pub static ADRENALINE_TOES: Source = Source {
    key: "adrenaline-toes",
    title: "Epinephrine in 1,334 toe procedures",
    publisher: "Can Fam Physician 2016;62:e334",
    year: "2016",
    seen: Seen::Original("https://www.cfp.ca/content/62/6/e334"),
};

/// Finger-tip loss after adrenaline in undiagnosed secondary Raynaud phenomenon (Australasian J Plast Surg, n.d.).
pub static ADRENALINE_RAYNAUD: Source = Source {
    key: "adrenaline-raynaud",
    title: "Finger-tip loss after adrenaline in undiagnosed secondary Raynaud phenomenon",
    publisher: "Australasian J Plast Surg",
    year: "n.d.",
    seen: Seen::Original("https://ajops.com/article/87778"),
};

/// Toxicity of mixed local anaesthetics is additive (LipidRescue; PubMed 2457347, n.d.).
pub static ADDITIVE_TOXICITY: Source = Source {
    key: "additive-toxicity",
    title: "Toxicity of mixed local anaesthetics is additive",
    publisher: "LipidRescue; PubMed 2457347",
    year: "n.d.",
    seen: Seen::Original("https://pubmed.ncbi.nlm.nih.gov/2457347/"),
};

/// Quick reference 3-10: local anaesthetic toxicity (Association of Anaesthetists, as used by NHS Lothian, n.d.).
pub static LAST_GUIDELINE: Source = Source {
    key: "last-guideline",
    title: "Quick reference 3-10: local anaesthetic toxicity",
    publisher: "Association of Anaesthetists, as used by NHS Lothian",
    year: "n.d.",
    seen: Seen::Original(
        "https://rightdecisions.scot.nhs.uk/sjh-theatres-and-anaesthetics/anaesthetic-emergencies/3-10",
    ),
};

/// Gentamicin therapy (the ideal body weight formula) (Devine, Drug Intell Clin Pharm 1974;8:650-655, 1974).
pub static IDEAL_BODY_WEIGHT: Source = Source {
    key: "ideal-body-weight",
    title: "Gentamicin therapy (the ideal body weight formula)",
    publisher: "Devine, Drug Intell Clin Pharm 1974;8:650-655",
    year: "1974",
    seen: Seen::NotSeen,
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &LIDOCAINE_SMPC,
    &LIDOCAINE_SMPC_IE,
    &LIDOCAINE_SMPC_CAUTIONS,
    &PODIATRY_DICTIONARY,
    &PODIATRY_DICTIONARY_INTERACTIONS,
    &TEACHING_SLIDES,
    &MEPIVACAINE_SMPC,
    &MEPIVACAINE_TABLE,
    &MEPIVACAINE_MONOGRAPH,
    &MEPIVACAINE_CHILD,
    &MEPIVACAINE_REGISTRATION,
    &PRILOCAINE_SMPC,
    &BUPIVACAINE_SMPC,
    &BUPIVACAINE_FORMULARY,
    &LEVOBUPIVACAINE_SMPC,
    &LEVOBUPIVACAINE_RCEM,
    &ROPIVACAINE_SMPC,
    &ARTICAINE_SMPC,
    &BNFC_2018,
    &BNFC_2011,
    &BNF,
    &DIGITAL_BLOCK_REVIEW,
    &DIGITAL_BLOCK_DURATION,
    &FOOT_INJECTION,
    &ADRENALINE_DIGITS,
    &ADRENALINE_TOES,
    &ADRENALINE_RAYNAUD,
    &ADDITIVE_TOXICITY,
    &LAST_GUIDELINE,
    &IDEAL_BODY_WEIGHT,
];
