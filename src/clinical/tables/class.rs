//! What medicines, allergens and conditions are to a rule.
//!
//! A table that names a class which is not here is refused, and a rule cannot ask for one that no table knows.

use serde::Deserialize;

macro_rules! classes {
    ($($class:ident = $word:literal,)*) => {
        /// A class of the tables of names, or a single name that something asks for. In alphabetical order.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
        pub enum Class {
            $(
                #[doc = $word]
                #[serde(rename = $word)]
                $class,
            )*
        }

        impl Class {
            /// Every class.
            #[cfg(test)]
            pub const ALL: &[Class] = &[$(Class::$class,)*];

            /// The class that is called so.
            pub fn named(word: &str) -> Option<Class> {
                match word {
                    $($word => Some(Class::$class),)*
                    _ => None,
                }
            }

            /// What tables call it.
            pub fn word(self) -> &'static str {
                match self {
                    $(Class::$class => $word,)*
                }
            }
        }
    };
}

classes! {
    AcidReducer = "acid reducer",
    ActiveFootDisease = "active foot disease",
    Adhesive = "adhesive",
    Adrenaline = "adrenaline",
    Alcohol = "alcohol",
    Allergy = "allergy",
    AmideAnaesthetic = "amide anaesthetic",
    Anaemia = "anaemia",
    Analgesic = "analgesic",
    Anaphylaxis = "anaphylaxis",
    Aneurysm = "aneurysm",
    AntiAnginal = "anti-anginal",
    Antiarrhythmic = "antiarrhythmic",
    Antibiotic = "antibiotic",
    Anticoagulant = "anticoagulant",
    Anticonvulsant = "anticonvulsant",
    Antidepressant = "antidepressant",
    Antidiabetic = "antidiabetic",
    Antiemetic = "antiemetic",
    Antifungal = "antifungal",
    Antihistamine = "antihistamine",
    Antihypertensive = "antihypertensive",
    Antiplatelet = "antiplatelet",
    Antipsychotic = "antipsychotic",
    Antiviral = "antiviral",
    Arrhythmia = "arrhythmia",
    ArterialDisease = "arterial disease",
    Aspirin = "aspirin",
    Asthma = "asthma",
    Benzodiazepine = "benzodiazepine",
    BetaBlocker = "beta-blocker",
    Biologic = "biologic",
    BleedingDisorder = "bleeding disorder",
    Bone = "bone",
    Bowel = "bowel",
    BowelBleedingRisk = "bowel bleeding risk",
    BowelMedicine = "bowel medicine",
    Bradycardia = "bradycardia",
    Breastfeeding = "breastfeeding",
    Canagliflozin = "canagliflozin",
    Cancer = "cancer",
    Capacity = "capacity",
    CardiacGlycoside = "cardiac glycoside",
    CharcotFoot = "charcot foot",
    Chemotherapy = "chemotherapy",
    Codeine = "codeine",
    ColdRemedy = "cold remedy",
    Colophony = "colophony",
    CompleteHeartBlock = "complete heart block",
    ConductionDisturbance = "conduction disturbance",
    CongenitalHeartDisease = "congenital heart disease",
    Contraceptive = "contraceptive",
    CoronaryStent = "coronary stent",
    Dementia = "dementia",
    Diabetes = "diabetes",
    DiabetesInPregnancy = "diabetes in pregnancy",
    DirectOralAnticoagulant = "direct oral anticoagulant",
    DiseaseModifyingAntirheumatic = "disease-modifying antirheumatic",
    Diuretic = "diuretic",
    Dressing = "dressing",
    Endocarditis = "endocarditis",
    Endocrine = "endocrine",
    Environmental = "environmental",
    Epilepsy = "epilepsy",
    ErectileDysfunctionMedicine = "erectile dysfunction medicine",
    EsterAnaesthetic = "ester anaesthetic",
    EyeMedicine = "eye medicine",
    EyeOrEar = "eye or ear",
    Faints = "faints",
    Flucloxacillin = "flucloxacillin",
    Food = "food",
    FootAmputation = "foot amputation",
    FootDisease = "foot disease",
    FootUlcer = "foot ulcer",
    Frailty = "frailty",
    G6pdDeficiency = "g6pd deficiency",
    Gangrene = "gangrene",
    Glucose = "glucose",
    Gout = "gout",
    HalluxValgus = "hallux valgus",
    HeartBlock = "heart block",
    HeartDisease = "heart disease",
    HeartFailure = "heart failure",
    Heparin = "heparin",
    Honey = "honey",
    Hormone = "hormone",
    Hypovolaemia = "hypovolaemia",
    ImmuneMediated = "immune-mediated",
    Immunosuppressant = "immunosuppressant",
    Immunosuppression = "immunosuppression",
    Indigestion = "indigestion",
    InhaledSteroid = "inhaled steroid",
    Inhaler = "inhaler",
    Insulin = "insulin",
    Iodine = "iodine",
    IschaemicHeartDisease = "ischaemic heart disease",
    JointOrBone = "joint or bone",
    KidneyDisease = "kidney disease",
    Latex = "latex",
    LatexFruit = "latex fruit",
    Laxative = "laxative",
    LearningOrDevelopment = "learning or development",
    LipidLowering = "lipid-lowering",
    Lithium = "lithium",
    LiverDisease = "liver disease",
    LiverEnzymeInducer = "liver enzyme inducer",
    LiverEnzymeInhibitor = "liver enzyme inhibitor",
    LocalAnaesthetic = "local anaesthetic",
    LowBloodPressure = "low blood pressure",
    LymphOrVein = "lymph or vein",
    Macrolide = "macrolide",
    Malnutrition = "malnutrition",
    Maoi = "maoi",
    MentalHealth = "mental health",
    Metal = "metal",
    MethaemoglobinRaiser = "methaemoglobin raiser",
    Methaemoglobinaemia = "methaemoglobinaemia",
    Methotrexate = "methotrexate",
    Migraine = "migraine",
    MoodStabiliser = "mood stabiliser",
    MyastheniaGravis = "myasthenia gravis",
    MyastheniaTreatment = "myasthenia treatment",
    Neurological = "neurological",
    Neuromuscular = "neuromuscular",
    Nitrate = "nitrate",
    Nsaid = "nsaid",
    Opioid = "opioid",
    Osteomyelitis = "osteomyelitis",
    OtherAntidepressant = "other antidepressant",
    OtherMedicine = "other medicine",
    Parabens = "parabens",
    Paracetamol = "paracetamol",
    ParacetamolContaining = "paracetamol-containing",
    Parkinson = "parkinson",
    Penicillin = "penicillin",
    PepticUlcer = "peptic ulcer",
    Phaeochromocytoma = "phaeochromocytoma",
    Phenol = "phenol",
    PlainMaterial = "plain material",
    PoorCirculation = "poor circulation",
    Porphyria = "porphyria",
    Pregnancy = "pregnancy",
    Preservative = "preservative",
    PreviousFootUlcer = "previous foot ulcer",
    Prostate = "prostate",
    RaisedBloodPressure = "raised blood pressure",
    RaisedSympatheticTone = "raised sympathetic tone",
    RateLimitingCalciumChannelBlocker = "rate-limiting calcium-channel blocker",
    ReducedFeeling = "reduced feeling",
    RenalImpairment = "renal impairment",
    RenalReplacement = "renal replacement",
    Respiratory = "respiratory",
    RespiratoryImpairment = "respiratory impairment",
    Retinoid = "retinoid",
    Sedative = "sedative",
    SevereConductionDisturbance = "severe conduction disturbance",
    SevereHypotension = "severe hypotension",
    SevereIschaemia = "severe ischaemia",
    SevereRenalImpairment = "severe renal impairment",
    Sglt2Inhibitor = "sglt2 inhibitor",
    Shock = "shock",
    SickleCellDisease = "sickle cell disease",
    SickleCellTrait = "sickle cell trait",
    Silver = "silver",
    SkinOrNail = "skin or nail",
    SkinPreparation = "skin preparation",
    SleepApnoea = "sleep apnoea",
    Smoking = "smoking",
    Snri = "snri",
    SpreadingInfection = "spreading infection",
    Ssri = "ssri",
    Statin = "statin",
    Steroid = "steroid",
    SteroidDependence = "steroid dependence",
    Stimulant = "stimulant",
    Stroke = "stroke",
    Sulfonamides = "sulfonamides",
    Sulphites = "sulphites",
    Supplement = "supplement",
    Sympathomimetic = "sympathomimetic",
    Tachyarrhythmia = "tachyarrhythmia",
    Thrombosis = "thrombosis",
    Thyroid = "thyroid",
    TopicalAntibiotic = "topical antibiotic",
    TopicalImmunomodulator = "topical immunomodulator",
    TopicalNsaid = "topical nsaid",
    TopicalSteroid = "topical steroid",
    Tricyclic = "tricyclic",
    Type1Diabetes = "type 1 diabetes",
    Type2Diabetes = "type 2 diabetes",
    UncontrolledEpilepsy = "uncontrolled epilepsy",
    UncontrolledHypertension = "uncontrolled hypertension",
    Urinary = "urinary",
    ValveDisease = "valve disease",
    Vasospasm = "vasospasm",
    VitaminKAntagonist = "vitamin k antagonist",
    Weight = "weight",
    WeightLossMedicine = "weight loss medicine",
    WellControlledEpilepsy = "well controlled epilepsy",
}

impl std::fmt::Display for Class {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::super::{allergens, conditions, medicines};
    use super::*;

    /// A variant that no entry has would match nothing, whatever is written in a case.
    #[test]
    fn each_is_had_by_an_entry_of_a_table() {
        for class in Class::ALL {
            let mut entries =
                [medicines(), allergens(), conditions()].into_iter().flat_map(|names| names.entries());
            assert!(entries.any(|entry| entry.classes.contains(class)), "{class}");
        }
    }

    #[test]
    fn they_stand_in_order_and_are_found_by_their_word() {
        assert!(Class::ALL.is_sorted_by_key(|class| class.word()));
        for class in Class::ALL {
            assert_eq!(Class::named(class.word()), Some(*class));
        }
        assert_eq!(Class::named("anti-coagulant"), None);
    }
}
