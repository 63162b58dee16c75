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

/// Lidocaine Injection BP with Preservative 2 %, summary of product characteristics (hameln, 2020).
pub static LIDOCAINE_SMPC_CAUTIONS: Source = Source {
    key: "lidocaine-smpc-cautions",
    title: "Lidocaine Injection BP with Preservative 2 %, summary of product characteristics",
    publisher: "hameln",
    year: "2020",
    seen: Seen::Original("https://medicines.org.uk/emc/product/6273/smpc/print"),
};

/// Local anaesthetic maximum doses (NHS Greater Glasgow and Clyde, 2020).
pub static LIDOCAINE_NHSGGC: Source = Source {
    key: "lidocaine-nhsggc",
    title: "Local anaesthetic maximum doses",
    publisher: "NHS Greater Glasgow and Clyde",
    year: "2020",
    seen: Seen::Original(
        "https://mypsych.nhsggc.org.uk/ggc-covid-19/physical-health/physical-examination-procedures/local-anaesthetic-la-maximum-doses",
    ),
};

/// Lidocaine 1 % with adrenaline 1:200 000, summary of product characteristics (Aspen, 2023).
pub static LIDOCAINE_ADRENALINE_SMPC: Source = Source {
    key: "lidocaine-adrenaline-smpc",
    title: "Lidocaine 1 % with adrenaline 1:200 000, summary of product characteristics",
    publisher: "Aspen",
    year: "2023",
    seen: Seen::Original("https://medicines.org.uk/emc/product/2397/smpc/print"),
};

/// Lignospan Special (lidocaine 2 % with adrenaline 1:80 000), summary of product characteristics (Septodont, n.d.).
pub static LIGNOSPAN_SMPC: Source = Source {
    key: "lignospan-smpc",
    title: "Lignospan Special (lidocaine 2 % with adrenaline 1:80 000), summary of product characteristics",
    publisher: "Septodont",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Toxicology and Toxinology guidelines, maximum doses of local anaesthetics (Therapeutic Guidelines, Australia, n.d.).
pub static MAXIMUM_DOSES_AU: Source = Source {
    key: "maximum-doses-au",
    title: "Toxicology and Toxinology guidelines, maximum doses of local anaesthetics",
    publisher: "Therapeutic Guidelines, Australia",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455 (European Commission, 2016).
pub static MEPIVACAINE_SMPC: Source = Source {
    key: "mepivacaine-smpc",
    title: "Mepivacaine 3 % plain, summary of product characteristics after EU referral A30/1455",
    publisher: "European Commission",
    year: "2016",
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

/// Mepivacaine 3 %, summary of product characteristics: children (Septodont, Swedish product text, 2013).
pub static MEPIVACAINE_CHILD: Source = Source {
    key: "mepivacaine-child",
    title: "Mepivacaine 3 %, summary of product characteristics: children",
    publisher: "Septodont, Swedish product text",
    year: "2013",
    seen: Seen::Copy,
};

/// Scandonest 2 % Special (mepivacaine with adrenaline), product information (Septodont, New Zealand, n.d.).
pub static MEPIVACAINE_ADRENALINE_NZ: Source = Source {
    key: "mepivacaine-adrenaline-nz",
    title: "Scandonest 2 % Special (mepivacaine with adrenaline), product information",
    publisher: "Septodont, New Zealand",
    year: "n.d.",
    seen: Seen::Original("https://henryschein.co.nz"),
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

/// Prilocaine hydrochloride 1 %, monograph (Medscape UK, n.d.).
pub static PRILOCAINE_MONOGRAPH: Source = Source {
    key: "prilocaine-monograph",
    title: "Prilocaine hydrochloride 1 %, monograph",
    publisher: "Medscape UK",
    year: "n.d.",
    seen: Seen::Original("https://medscape.co.uk/drug/prilocaine-25995-25995"),
};

/// Bupivacaine 5 mg/ml, summary of product characteristics (Baxter, 2024).
pub static BUPIVACAINE_SMPC: Source = Source {
    key: "bupivacaine-smpc",
    title: "Bupivacaine 5 mg/ml, summary of product characteristics",
    publisher: "Baxter",
    year: "2024",
    seen: Seen::Original("https://medicines.org.uk/emc/product/11612/smpc/print"),
};

/// Levobupivacaine 2.5 and 7.5 mg/ml, summary of product characteristics (AbbVie, 2021).
pub static LEVOBUPIVACAINE_SMPC: Source = Source {
    key: "levobupivacaine-smpc",
    title: "Levobupivacaine 2.5 and 7.5 mg/ml, summary of product characteristics",
    publisher: "AbbVie",
    year: "2021",
    seen: Seen::Original("https://medicines.org.uk/emc/product/1555"),
};

/// Levobupivacaine injection 75 mg/10 ml, monograph (Medscape UK, 2023).
pub static LEVOBUPIVACAINE_MONOGRAPH: Source = Source {
    key: "levobupivacaine-monograph",
    title: "Levobupivacaine injection 75 mg/10 ml, monograph",
    publisher: "Medscape UK",
    year: "2023",
    seen: Seen::Original("https://medscape.co.uk/drug/levobupivacaine-injection-75mg-10ml-60248-60248"),
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

/// Septanest (articaine 4 % with adrenaline 1:200 000), summary of product characteristics (Septodont, n.d.).
pub static ARTICAINE_SMPC: Source = Source {
    key: "articaine-smpc",
    title: "Septanest (articaine 4 % with adrenaline 1:200 000), summary of product characteristics",
    publisher: "Septodont",
    year: "n.d.",
    seen: Seen::Copy,
};

/// Septanest 1:200 000, abridged prescribing information, in the RADC Bulletin (Septodont, 2018).
pub static ARTICAINE_ABRIDGED: Source = Source {
    key: "articaine-abridged",
    title: "Septanest 1:200 000, abridged prescribing information, in the RADC Bulletin",
    publisher: "Septodont",
    year: "2018",
    seen: Seen::Original("https://online.flipbuilder.com/cwao/idrl"),
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

/// Ropivacaine versus lidocaine in digital nerve blocks (Plast Reconstr Surg 2007;119:2148-2152, 2007).
pub static DIGITAL_BLOCK_RANGES: Source = Source {
    key: "digital-block-ranges",
    title: "Ropivacaine versus lidocaine in digital nerve blocks: a prospective study",
    publisher: "Keramidas and Rodopoulou, Plast Reconstr Surg 2007;119:2148-2152",
    year: "2007",
    seen: Seen::Original("https://doi.org/10.1097/01.prs.0000260725.33655.88"),
};

/// Lidocaine with adrenaline against bupivacaine in digital nerve blocks (Emerg Med J 2009;26:347).
pub static DIGITAL_BLOCK_MEDIANS: Source = Source {
    key: "digital-block-medians",
    title: "Comparison of bupivacaine and lidocaine with epinephrine for digital nerve blocks",
    publisher: "Alhelail et al, Emerg Med J 2009;26:347",
    year: "2009",
    seen: Seen::Original("https://emj.bmj.com/content/26/5/347"),
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

/// Local anaesthesia, including dental (European Porphyria Network, n.d.).
pub static PORPHYRIA_NETWORK: Source = Source {
    key: "porphyria-network",
    title: "Local anaesthesia, including dental",
    publisher: "European Porphyria Network",
    year: "n.d.",
    seen: Seen::Original("https://porphyria.eu/en/content/local-anaesthesia-including-dental"),
};

/// Formulary, chapter 15.2, local anaesthesia (South and West Devon Formulary, NHS, n.d.).
pub static ADRENALINE_FORMULARY: Source = Source {
    key: "adrenaline-formulary",
    title: "Formulary, chapter 15.2, local anaesthesia",
    publisher: "South and West Devon Formulary, NHS",
    year: "n.d.",
    seen: Seen::Original("https://southwest.devonformularyguidance.nhs.uk/formulary/chapters/15-anaesthesia"),
};

/// UK-WHO growth reference, LMS tables (commit f6d92e48) (Royal College of Paediatrics and Child Health, 2024).
pub static GROWTH_LMS: Source = Source {
    key: "growth-lms",
    title: "UK-WHO growth reference, LMS tables (commit f6d92e48)",
    publisher: "Royal College of Paediatrics and Child Health",
    year: "2024",
    seen: Seen::Original("https://github.com/rcpch/rcpchgrowth-python"),
};

/// Human Medicines Regulations 2012, Schedule 17, Part 3 (SI 2012/1916, 2012).
pub static HUMAN_MEDICINES_SCHEDULE_17: Source = Source {
    key: "human-medicines-schedule-17",
    title: "Human Medicines Regulations 2012, Schedule 17, Part 3",
    publisher: "SI 2012/1916",
    year: "2012",
    seen: Seen::Original("https://legislation.gov.uk/uksi/2012/1916/schedule/17/part/3"),
};

/// Human Medicines Regulations 2012, Schedule 16, Part 1 (SI 2012/1916, 2012).
pub static HUMAN_MEDICINES_SCHEDULE_16: Source = Source {
    key: "human-medicines-schedule-16",
    title: "Human Medicines Regulations 2012, Schedule 16, Part 1",
    publisher: "SI 2012/1916",
    year: "2012",
    seen: Seen::Original("https://legislation.gov.uk/uksi/2012/1916/schedule/16/part/1"),
};

/// Human Medicines Regulations 2012, regulation 214 (SI 2012/1916, 2012).
pub static HUMAN_MEDICINES_214: Source = Source {
    key: "human-medicines-214",
    title: "Human Medicines Regulations 2012, regulation 214",
    publisher: "SI 2012/1916",
    year: "2012",
    seen: Seen::Original("https://legislation.gov.uk/uksi/2012/1916/regulation/214"),
};

/// Changes to the annotations of chiropodists and podiatrists on the register (HCPC, n.d.).
pub static HCPC_ANNOTATIONS: Source = Source {
    key: "hcpc-annotations",
    title: "Changes to the annotations of chiropodists and podiatrists on the register",
    publisher: "HCPC",
    year: "n.d.",
    seen: Seen::Original("https://hpc-uk.org/mediaandevents/news/archive/index.asp?id=785"),
};

/// Patient specific directions (Institute of Podiatrists, n.d.).
pub static PATIENT_SPECIFIC_DIRECTIONS: Source = Source {
    key: "patient-specific-directions",
    title: "Patient specific directions",
    publisher: "Institute of Podiatrists",
    year: "n.d.",
    seen: Seen::Original("https://iop-uk.org/become-a-member/patient-specific-directions-psd"),
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &LIDOCAINE_SMPC,
    &LIDOCAINE_SMPC_IE,
    &LIDOCAINE_SMPC_CAUTIONS,
    &LIDOCAINE_NHSGGC,
    &LIDOCAINE_ADRENALINE_SMPC,
    &LIGNOSPAN_SMPC,
    &MAXIMUM_DOSES_AU,
    &MEPIVACAINE_SMPC,
    &MEPIVACAINE_MONOGRAPH,
    &MEPIVACAINE_CHILD,
    &MEPIVACAINE_ADRENALINE_NZ,
    &MEPIVACAINE_REGISTRATION,
    &PRILOCAINE_SMPC,
    &PRILOCAINE_MONOGRAPH,
    &BUPIVACAINE_SMPC,
    &LEVOBUPIVACAINE_SMPC,
    &LEVOBUPIVACAINE_MONOGRAPH,
    &LEVOBUPIVACAINE_RCEM,
    &ROPIVACAINE_SMPC,
    &ARTICAINE_SMPC,
    &ARTICAINE_ABRIDGED,
    &BNFC_2018,
    &BNFC_2011,
    &BNF,
    &DIGITAL_BLOCK_REVIEW,
    &DIGITAL_BLOCK_RANGES,
    &DIGITAL_BLOCK_MEDIANS,
    &ADRENALINE_DIGITS,
    &ADRENALINE_TOES,
    &ADRENALINE_RAYNAUD,
    &ADDITIVE_TOXICITY,
    &LAST_GUIDELINE,
    &IDEAL_BODY_WEIGHT,
    &PORPHYRIA_NETWORK,
    &ADRENALINE_FORMULARY,
    &GROWTH_LMS,
    &HUMAN_MEDICINES_SCHEDULE_17,
    &HUMAN_MEDICINES_SCHEDULE_16,
    &HUMAN_MEDICINES_214,
    &HCPC_ANNOTATIONS,
    &PATIENT_SPECIFIC_DIRECTIONS,
];
