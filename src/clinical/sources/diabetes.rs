//! Diabetes: HbA1c, foot risk, sensation.

use crate::clinical::{Seen, Source};

/// IFCC standardisation of HbA1c (NGSP, n.d.).
pub static NGSP_IFCC: Source = Source {
    key: "ngsp-ifcc",
    title: "IFCC standardisation of HbA1c",
    publisher: "NGSP",
    year: "n.d.",
    seen: Seen::Original("https://ngsp.org/ifcc.asp"),
};

/// Master equations (IFCC HbA1c network, 2004).
pub static IFCC_EQUATIONS: Source = Source {
    key: "ifcc-equations",
    title: "Master equations",
    publisher: "IFCC HbA1c network",
    year: "2004",
    seen: Seen::Original(
        "https://information.ifcchba1c.org/sustainable-implementation/master-equations.aspx",
    ),
};

/// Changes to HbA1c values (Diabetes UK, 2011).
pub static DIABETES_UK_HBA1C: Source = Source {
    key: "diabetes-uk-hba1c",
    title: "Changes to HbA1c values",
    publisher: "Diabetes UK",
    year: "2011",
    seen: Seen::Original("https://diabetes.org.uk/Professionals/Changes-to-HbA1c-values"),
};

/// JBDS-IP surgery and elective procedures guideline, summary (Guidelines.co.uk (JBDS-IP), n.d.).
pub static JBDS_SURGERY: Source = Source {
    key: "jbds-surgery",
    title: "JBDS-IP surgery and elective procedures guideline, summary",
    publisher: "Guidelines.co.uk (JBDS-IP)",
    year: "n.d.",
    seen: Seen::Original(
        "https://guidelines.co.uk/diabetes/jbds-ip-undergoing-surgery-and-elective-procedures-guideline/252711.article",
    ),
};

/// Guideline for Perioperative Care for People with Diabetes (Centre for Perioperative Care, 2021).
pub static CPOC_DIABETES: Source = Source {
    key: "cpoc-diabetes",
    title: "Guideline for Perioperative Care for People with Diabetes",
    publisher: "Centre for Perioperative Care",
    year: "2021",
    seen: Seen::Copy,
};

/// Care plans for a procedure in hospital (Diabetes Hub, n.d.).
pub static GLUCOSE_ON_THE_DAY: Source = Source {
    key: "glucose-on-the-day",
    title: "Care plans: major surgery, glucose on arrival",
    publisher: "Diabetes Hub, Australia",
    year: "n.d.",
    seen: Seen::Original(
        "https://www.diabeteshub.com.au/info-for-medical-professionals/procedures/care-plans-major-surgery",
    ),
};

/// Foot-risk stratification, NHS England pathway (FRAME, n.d.).
pub static FOOT_RISK_ENGLAND: Source = Source {
    key: "foot-risk-england",
    title: "Foot-risk stratification, NHS England pathway",
    publisher: "FRAME",
    year: "n.d.",
    seen: Seen::Original("https://diabetesframe.org/nhs-england"),
};

/// NG19 diabetic foot problems (NICE, 2019).
pub static NG19: Source = Source {
    key: "ng19",
    title: "NG19 diabetic foot problems",
    publisher: "NICE",
    year: "2019",
    seen: Seen::Original("https://nice.org.uk/guidance/ng19"),
};

/// Protocols and pathways: active foot problems and their urgency, after NICE NG19 (Improving Diabetic Foot Care, n.d.).
pub static ACTIVE_FOOT: Source = Source {
    key: "active-foot",
    title: "Protocols and pathways, after NICE NG19",
    publisher: "Improving Diabetic Foot Care",
    year: "n.d.",
    seen: Seen::Original("https://improvingdiabeticfootcare.com/protocols-and-pathways"),
};

/// Addendum: sensory foot examination (IWGDF, n.d.).
pub static MONOFILAMENT: Source = Source {
    key: "monofilament",
    title: "Addendum: sensory foot examination",
    publisher: "IWGDF",
    year: "n.d.",
    seen: Seen::Original("https://iwgdf.org/concensus/uk/Addendum.htm"),
};

/// Neurological screening (sites) (FRAME, n.d.).
pub static MONOFILAMENT_SITES: Source = Source {
    key: "monofilament-sites",
    title: "Neurological screening (sites)",
    publisher: "FRAME",
    year: "n.d.",
    seen: Seen::Original("https://diabetesframe.org/category/nhs-england/the-procedure-nhs-england"),
};

/// Classes of infection of the diabetic foot, IWGDF and IDSA (EFORT Open Rev, 2018).
pub static FOOT_INFECTION_TABLE: Source = Source {
    key: "foot-infection-table",
    title: "Classification of diabetic foot infection (IWGDF and IDSA), Table 1",
    publisher: "EFORT Open Reviews 2018;3:513",
    year: "2018",
    seen: Seen::Original("https://pmc.ncbi.nlm.nih.gov/articles/PMC6174858/table/table1-2058-5241.3.180010"),
};

/// SGLT2 inhibitors and amputation of toes, advice of the MHRA (2017).
pub static SGLT2_AMPUTATION: Source = Source {
    key: "sglt2-amputation",
    title: "SGLT2 inhibitors: updated MHRA advice on increased risk of lower-limb amputation (mainly toes)",
    publisher: "MHRA, as given by NHS North of England Commissioning Support",
    year: "2017",
    seen: Seen::Original(
        "https://medicines.necsu.nhs.uk/sglt2-inhibitors-updated-mhra-advice-on-increased-risk-of-lower-limb-amputation-mainly-toes",
    ),
};

/// All of this file.
pub(super) static ALL: &[&Source] = &[
    &NGSP_IFCC,
    &IFCC_EQUATIONS,
    &DIABETES_UK_HBA1C,
    &JBDS_SURGERY,
    &CPOC_DIABETES,
    &GLUCOSE_ON_THE_DAY,
    &FOOT_RISK_ENGLAND,
    &NG19,
    &ACTIVE_FOOT,
    &MONOFILAMENT,
    &MONOFILAMENT_SITES,
    &FOOT_INFECTION_TABLE,
    &SGLT2_AMPUTATION,
];
