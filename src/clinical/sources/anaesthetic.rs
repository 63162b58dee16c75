//! Local anaesthetics: limits, ages, onset and duration, contraindications, toxicity.

use crate::clinical::Source;

/// Lidocaine Injection BP 1 % and 2 % w/v, summary of product characteristics (B. Braun, 2023).
pub static LIDOCAINE_SMPC: Source = Source {
    key: "lidocaine-smpc",
    title: "Lidocaine Injection BP 1 % and 2 % w/v, summary of product characteristics",
    publisher: "B. Braun",
    year: "2023",
    link: "medicines.org.uk/emc/product/15150/smpc/print",
};

/// Lidocaine 2 %, summary of product characteristics (HPRA Ireland, n.d.).
pub static LIDOCAINE_SMPC_IE: Source = Source {
    key: "lidocaine-smpc-ie",
    title: "Lidocaine 2 %, summary of product characteristics",
    publisher: "HPRA Ireland",
    year: "n.d.",
    link: "docslib.org/doc/1485409",
};

/// Lidocaine 2 % with preservative, summary of product characteristics (medine, n.d.).
pub static LIDOCAINE_SMPC_CAUTIONS: Source = Source {
    key: "lidocaine-smpc-cautions",
    title: "Lidocaine 2 % with preservative, summary of product characteristics",
    publisher: "medine",
    year: "n.d.",
    link: "medine.co.uk/lidocaine-2-with-preservative-injection/summary",
};

/// Podiatry dictionary, entry “percentage mass” of local anaesthetics (medical dictionary of The Free Dictionary, n.d.).
pub static PODIATRY_DICTIONARY: Source = Source {
    key: "podiatry-dictionary",
    title: "Podiatry dictionary, entry “percentage mass” of local anaesthetics",
    publisher: "medical dictionary of The Free Dictionary",
    year: "n.d.",
    link: "medical-dictionary.thefreedictionary.com/percentage+mass",
};

/// Podiatry dictionary, entry “local anaesthetic administration” (medical dictionary of The Free Dictionary, n.d.).
pub static PODIATRY_DICTIONARY_INTERACTIONS: Source = Source {
    key: "podiatry-dictionary-interactions",
    title: "Podiatry dictionary, entry “local anaesthetic administration”",
    publisher: "medical dictionary of The Free Dictionary",
    year: "n.d.",
    link: "medical-dictionary.thefreedictionary.com/local+anaesthetic+(LA)+administration",
};

/// Local Anaesthetic Drugs, podiatry teaching slides (slideserve, n.d.).
pub static TEACHING_SLIDES: Source = Source {
    key: "teaching-slides",
    title: "Local Anaesthetic Drugs, podiatry teaching slides",
    publisher: "slideserve",
    year: "n.d.",
    link: "cdn.slideserve.com/Albert_Lan/local-anaesthetic-drugs",
};

/// Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455 (European Commission, 2016).
pub static MEPIVACAINE_SMPC: Source = Source {
    key: "mepivacaine-smpc",
    title: "Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455",
    publisher: "European Commission",
    year: "2016",
    link: "docslib.org/doc/8990175; patient-info.co.uk/scandonest-3procent-plain-solution-for-injection-86428",
};

/// Mepivacaine 3 %, dose table by weight (Italian product characteristics, n.d.).
pub static MEPIVACAINE_TABLE: Source = Source {
    key: "mepivacaine-table",
    title: "Mepivacaine 3 %, dose table by weight",
    publisher: "Italian product characteristics",
    year: "n.d.",
    link: "pazienti.it Scandonest 3% table",
};

/// Mepivacaine hydrochloride, chiropody monograph (Medscape UK, n.d.).
pub static MEPIVACAINE_MONOGRAPH: Source = Source {
    key: "mepivacaine-monograph",
    title: "Mepivacaine hydrochloride, chiropody monograph",
    publisher: "Medscape UK",
    year: "n.d.",
    link: "medscape.co.uk/drug/mepivacaine-hydrochloride-70163-70163",
};

/// Mepivacaine 3 %, summary of product characteristics: children (as quoted by imeds.se and rxreasoner.com, 2013).
pub static MEPIVACAINE_CHILD: Source = Source {
    key: "mepivacaine-child",
    title: "Mepivacaine 3 %, summary of product characteristics: children",
    publisher: "as quoted by imeds.se and rxreasoner.com",
    year: "2013",
    link: "imeds.se/scandonest/produktresume; rxreasoner.com/monographs/scandonest/usage",
};

/// Mepivacaine, registration text: contraindications (Septodont, n.d.).
pub static MEPIVACAINE_REGISTRATION: Source = Source {
    key: "mepivacaine-registration",
    title: "Mepivacaine, registration text: contraindications",
    publisher: "Septodont",
    year: "n.d.",
    link: "app.medpath.com/drug/9911ae1a56b76a09",
};

/// Prilocaine 1 %, summary of product characteristics (Aspen, 2022).
pub static PRILOCAINE_SMPC: Source = Source {
    key: "prilocaine-smpc",
    title: "Prilocaine 1 %, summary of product characteristics",
    publisher: "Aspen",
    year: "2022",
    link: "medicines.org.uk/emc/product/870/smpc/print",
};

/// Bupivacaine 2.5 mg/ml, summary of product characteristics (Claris, n.d.).
pub static BUPIVACAINE_SMPC: Source = Source {
    key: "bupivacaine-smpc",
    title: "Bupivacaine 2.5 mg/ml, summary of product characteristics",
    publisher: "Claris",
    year: "n.d.",
    link: "imedi.co.uk/bupivacaine-claris-2-5mg-ml-solution-for-injection/summary",
};

/// National formulary, bupivacaine (Bahamas national formulary, n.d.).
pub static BUPIVACAINE_FORMULARY: Source = Source {
    key: "bupivacaine-formulary",
    title: "National formulary, bupivacaine",
    publisher: "Bahamas national formulary",
    year: "n.d.",
    link: "corp.phabahamas.org",
};

/// Levobupivacaine 7.5 mg/ml, summary of product characteristics (Martindale, 2023).
pub static LEVOBUPIVACAINE_SMPC: Source = Source {
    key: "levobupivacaine-smpc",
    title: "Levobupivacaine 7.5 mg/ml, summary of product characteristics",
    publisher: "Martindale",
    year: "2023",
    link: "medicines.org.uk/emc/product/13643/smpc",
};

/// Serratus anterior plane block, learning module (RCEM Learning, n.d.).
pub static LEVOBUPIVACAINE_RCEM: Source = Source {
    key: "levobupivacaine-rcem",
    title: "Serratus anterior plane block, learning module",
    publisher: "RCEM Learning",
    year: "n.d.",
    link: "rcemlearning.co.uk/modules/ultrasound-guided-serratus-anterior-plane-block",
};

/// Ropivacaine, summary of product characteristics (HPRA Ireland, n.d.).
pub static ROPIVACAINE_SMPC: Source = Source {
    key: "ropivacaine-smpc",
    title: "Ropivacaine, summary of product characteristics",
    publisher: "HPRA Ireland",
    year: "n.d.",
    link: "docslib.org/doc/3499772",
};

/// Articaine 4 % with adrenaline 1:200 000, summary of product characteristics (patient-info, n.d.).
pub static ARTICAINE_SMPC: Source = Source {
    key: "articaine-smpc",
    title: "Articaine 4 % with adrenaline 1:200 000, summary of product characteristics",
    publisher: "patient-info",
    year: "n.d.",
    link: "patient-info.co.uk/bartinest-1-200-000-95601",
};

/// BNF for Children 2018-19, pages 850 and 851 (BNF Publications, 2018).
pub static BNFC_2018: Source = Source {
    key: "bnfc-2018",
    title: "BNF for Children 2018-19, pages 850 and 851",
    publisher: "BNF Publications",
    year: "2018",
    link: "issuhub.com/view/index?id=3493&pageIndex=851",
};

/// BNF for Children 2011-12, page 653 (BNF Publications, 2011).
pub static BNFC_2011: Source = Source {
    key: "bnfc-2011",
    title: "BNF for Children 2011-12, page 653",
    publisher: "BNF Publications",
    year: "2011",
    link: "yumpu.com/en/document/view/40465341/bnf-for-children-2011-2012/675",
};

/// British National Formulary, local anaesthesia (BNF Publications, n.d.).
pub static BNF: Source = Source {
    key: "bnf",
    title: "British National Formulary, local anaesthesia",
    publisher: "BNF Publications",
    year: "n.d.",
    link: "drugibank.com/Drug/Detail (reproduced text)",
};

/// Comparison of local anesthetics for digital nerve blocks: a systematic review (J Hand Surg Am, 2014).
pub static DIGITAL_BLOCK_REVIEW: Source = Source {
    key: "digital-block-review",
    title: "Comparison of local anesthetics for digital nerve blocks: a systematic review",
    publisher: "J Hand Surg Am",
    year: "2014",
    link: "research.monash.edu/en/publications/comparison-of-local-anesthetics-for-digital-nerve-blocks-a-system",
};

/// Randomized double-blind comparison of duration of anesthesia in digital blocks (Plast Reconstr Surg 2006;118:429-432, 2006).
pub static DIGITAL_BLOCK_DURATION: Source = Source {
    key: "digital-block-duration",
    title: "Randomized double-blind comparison of duration of anesthesia in digital blocks",
    publisher: "Plast Reconstr Surg 2006;118:429-432",
    year: "2006",
    link: "journals.lww.com/plasreconsurg/Abstract/2006/08000",
};

/// Foot and Ankle Injection Techniques (Metcalfe and Reilly, 2010).
pub static FOOT_INJECTION: Source = Source {
    key: "foot-injection",
    title: "Foot and Ankle Injection Techniques",
    publisher: "Metcalfe and Reilly",
    year: "2010",
    link: "believed to carry it",
};

/// Adrenaline in digital blocks, best evidence topic (Emerg Med J 2007;24:789, 2007).
pub static ADRENALINE_DIGITS: Source = Source {
    key: "adrenaline-digits",
    title: "Adrenaline in digital blocks, best evidence topic",
    publisher: "Emerg Med J 2007;24:789",
    year: "2007",
    link: "pmc.ncbi.nlm.nih.gov/articles/PMC2658331",
};

/// Epinephrine in 1,334 toe procedures (Can Fam Physician 2016;62:e334, 2016).
pub static ADRENALINE_TOES: Source = Source {
    key: "adrenaline-toes",
    title: "Epinephrine in 1,334 toe procedures",
    publisher: "Can Fam Physician 2016;62:e334",
    year: "2016",
    link: "Chapeskie et al",
};

/// Finger-tip loss after adrenaline in undiagnosed secondary Raynaud phenomenon (Australasian J Plast Surg, n.d.).
pub static ADRENALINE_RAYNAUD: Source = Source {
    key: "adrenaline-raynaud",
    title: "Finger-tip loss after adrenaline in undiagnosed secondary Raynaud phenomenon",
    publisher: "Australasian J Plast Surg",
    year: "n.d.",
    link: "ajops.com/article/87778",
};

/// Toxicity of mixed local anaesthetics is additive (LipidRescue; PubMed 2457347, n.d.).
pub static ADDITIVE_TOXICITY: Source = Source {
    key: "additive-toxicity",
    title: "Toxicity of mixed local anaesthetics is additive",
    publisher: "LipidRescue; PubMed 2457347",
    year: "n.d.",
    link: "lipidrescue.squarespace.com/faqs/post/2583672",
};

/// Quick reference 3-10: local anaesthetic toxicity (Association of Anaesthetists, as used by NHS Lothian, n.d.).
pub static LAST_GUIDELINE: Source = Source {
    key: "last-guideline",
    title: "Quick reference 3-10: local anaesthetic toxicity",
    publisher: "Association of Anaesthetists, as used by NHS Lothian",
    year: "n.d.",
    link: "rightdecisions.scot.nhs.uk/sjh-theatres-and-anaesthetics/anaesthetic-emergencies/3-10",
};

/// Gentamicin therapy (the ideal body weight formula) (Devine, Drug Intell Clin Pharm 1974;8:650-655, 1974).
pub static IDEAL_BODY_WEIGHT: Source = Source {
    key: "ideal-body-weight",
    title: "Gentamicin therapy (the ideal body weight formula)",
    publisher: "Devine, Drug Intell Clin Pharm 1974;8:650-655",
    year: "1974",
    link: "believed to carry it",
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
