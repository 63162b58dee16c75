//! What may be said to this patient about pain relief, and why not more.
//!
//! A reason is a kind and a name; the words for a patient stand in the templates. Where something
//! that matters was not asked or is not known, the patient is told to ask, never given a usual dose.

use std::fmt;

use super::age::months_of_age;
use super::{Analgesia, Fact, Given, LookedUp, Nsaid, Paracetamol, Value};
use crate::case::{History, Ibuprofen};
use crate::clinical::Cite;
use crate::clinical::paracetamol::{self, PainDose, Span, dose_by_age, dose_by_mass};
use crate::clinical::tables::Class;
use crate::clinical::thresholds::Threshold;

const OURS: Cite = Cite::project_default(
    "a dose is only advised where allergies, medicines, conditions, age and weight are known",
);

/// Why something for pain cannot simply be advised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PainReason {
    /// The kind of reason.
    pub why: Why,
    /// The medicine, allergy or condition it is about; empty where the kind says all.
    pub name: String,
}

impl PainReason {
    fn new(why: Why) -> PainReason {
        PainReason { why, name: String::new() }
    }

    fn about(why: Why, name: impl Into<String>) -> PainReason {
        PainReason { why, name: name.into() }
    }
}

/// A kind of reason, its permanent key for templates, and its words for colleagues.
macro_rules! reasons {
    ($($(#[doc = $doc:literal])* $kind:ident = $key:literal, $says:literal;)*) => {
        /// The kinds of reason against paracetamol or an anti-inflammatory.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Why {
            $($(#[doc = $doc])* $kind,)*
        }

        impl Why {
            /// All of them.
            pub const ALL: &[Why] = &[$(Why::$kind),*];

            /// What a template asks for: it never changes.
            pub fn key(self) -> &'static str {
                match self {
                    $(Why::$kind => $key,)*
                }
            }

            /// For colleagues; `{}` stands for the name.
            fn says(self) -> &'static str {
                match self {
                    $(Why::$kind => $says,)*
                }
            }
        }
    };
}

reasons! {
    /// Allergy to paracetamol, or to a medicine that contains it.
    AllergicToParacetamol = "allergic", "allergy to paracetamol";
    /// Allergies were not asked for.
    AllergiesNotAsked = "allergies-not-asked", "allergies not recorded";
    /// Medicines were not asked for.
    MedicinesNotAsked = "medicines-not-asked", "medicines not recorded";
    /// Conditions were not asked for.
    ConditionsNotAsked = "conditions-not-asked", "conditions not recorded";
    /// An allergy is not in the table.
    AllergyUnknown = "allergy-unknown", "unknown allergy: {}";
    /// A medicine is not in the table.
    MedicineUnknown = "medicine-unknown", "unknown medicine: {}";
    /// Paracetamol is taken already.
    TakesParacetamol = "takes-paracetamol", "already takes paracetamol";
    /// Something that contains paracetamol is taken already.
    TakesParacetamolIn = "takes-paracetamol-in", "already takes paracetamol in {}";
    /// A medicine that speeds up the liver's enzymes is taken.
    LiverEnzymes = "liver-enzymes", "takes {}, which acts on the liver";
    /// A condition of the liver.
    Liver = "liver", "liver condition: {}";
    /// Alcohol.
    Alcohol = "alcohol", "alcohol: {}";
    /// Too little food or weight.
    Malnutrition = "malnutrition", "malnutrition: {}";
    /// A condition of the kidneys.
    Kidneys = "kidneys", "kidney condition: {}";
    /// The age is not known.
    AgeNotKnown = "age-not-known", "age not known";
    /// Younger than any dose of the table.
    TooYoung = "too-young", "under 2 years";
    /// The body mass is not known.
    WeightNotKnown = "weight-not-known", "weight not recorded";
    /// So light that one tablet may be too much.
    WeightLow = "weight-low", "low body weight: {}";
    /// The clinic's policy for everyone after this operation.
    Bleeding = "bleeding", "clinic policy: may bleed more";
    /// An anticoagulant is taken.
    TakesAnticoagulant = "takes-anticoagulant", "takes {}";
    /// An antiplatelet is taken.
    TakesAntiplatelet = "takes-antiplatelet", "takes {}";
    /// An antidepressant with which bleeding is likelier.
    BleedsWith = "bleeds-with", "bleeding with {}";
    /// An anti-inflammatory is taken already.
    TakesNsaid = "takes-nsaid", "already takes {}";
    /// A medicine with which anti-inflammatories are not taken.
    DoesNotMix = "does-not-mix", "does not mix with {}";
    /// Allergy to one anti-inflammatory.
    AllergicToNsaid = "allergic-to-nsaid", "allergy to {}";
    /// Allergy to all anti-inflammatories.
    AllergicToNsaids = "allergic-to-nsaids", "allergy to NSAIDs";
    /// Pregnant.
    Pregnant = "pregnant", "pregnant";
    /// Asthma.
    Asthma = "asthma", "asthma";
    /// Ulcer of the stomach.
    Ulcer = "ulcer", "peptic ulcer";
    /// A bowel that bleeds easily.
    Bowel = "bowel", "bowel condition: {}";
    /// Heart failure.
    HeartFailure = "heart-failure", "heart failure";
    /// A condition in which blood clots badly.
    BleedsEasily = "bleeds-easily", "bleeding disorder: {}";
}

/// For colleagues: `already takes paracetamol in co-codamol`.
impl fmt::Display for PainReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.why.says().replace("{}", &self.name))
    }
}

/// The advice, from the looked-up history.
pub(super) fn analgesia(
    given: Given<'_>,
    medicines: &[LookedUp],
    allergies: &[LookedUp],
    conditions: &[LookedUp],
    pregnancy: &Fact,
    breastfeeding: &Fact,
) -> Value<Analgesia> {
    let patient = Asked { given, medicines, allergies, conditions, pregnancy, breastfeeding };
    let (paracetamol, working, source) = patient.paracetamol();
    let years = months_of_age(given).map(|months| months / 12);
    let no_nsaid_because = patient.no_nsaid_because();
    let advice = Analgesia {
        paracetamol,
        nsaid: patient.nsaid(&no_nsaid_because),
        no_nsaid_because,
        no_aspirin_under_16: years.is_none_or(|years| years < Threshold::AspirinFrom.whole()),
        prescribed_antiplatelet: medicines.iter().any(|medicine| medicine.is(Class::Antiplatelet)),
    };
    Value::known(advice, working, source)
}

struct Asked<'a> {
    given: Given<'a>,
    medicines: &'a [LookedUp],
    allergies: &'a [LookedUp],
    conditions: &'a [LookedUp],
    pregnancy: &'a Fact,
    breastfeeding: &'a Fact,
}

/// The table's own name, or what was typed.
fn name_of(item: &LookedUp) -> &str {
    item.name.unwrap_or(&item.typed)
}

impl Asked<'_> {
    fn history(&self) -> Option<&History> {
        self.given.case.history.as_ref()
    }

    fn taken(&self, class: Class) -> Option<&str> {
        self.medicines.iter().find(|medicine| medicine.is(class)).map(name_of)
    }

    /// The condition of this class, as typed.
    fn has(&self, class: Class) -> Option<&str> {
        self.conditions.iter().find(|condition| condition.is(class)).map(|condition| condition.typed.as_str())
    }

    fn paracetamol(&self) -> (Paracetamol, String, Cite) {
        if self
            .allergies
            .iter()
            .any(|allergy| allergy.is(Class::Paracetamol) || allergy.is(Class::ParacetamolContaining))
        {
            let reason = PainReason::new(Why::AllergicToParacetamol);
            let working = reason.to_string();
            return (Paracetamol::Avoid(reason), working, OURS);
        }
        if let Some(reason) = self.reason_to_ask() {
            return (Paracetamol::AskUs(reason), String::new(), OURS);
        }
        match self.dose() {
            Err(reason) => (Paracetamol::AskUs(reason), String::new(), OURS),
            Ok((dose, working)) => (
                Paracetamol::Advise {
                    each: dose.each.into(),
                    counted: dose.counted.into(),
                    hours_between: dose.hours_between,
                    doses_in_24_h: dose.doses_in_24_h,
                    most_in_24_h: dose.most_in_24_h.into(),
                    most_counted: dose.most_counted.into(),
                },
                working,
                dose.cite,
            ),
        }
    }

    /// What was not asked, is not known, or makes the usual dose unsafe.
    fn reason_to_ask(&self) -> Option<PainReason> {
        let history = self.history();
        if history.is_none_or(|history| history.allergies.is_none()) {
            return Some(PainReason::new(Why::AllergiesNotAsked));
        }
        if history.is_none_or(|history| history.medicines.is_none()) {
            return Some(PainReason::new(Why::MedicinesNotAsked));
        }
        if history.is_none_or(|history| history.conditions.is_none()) {
            return Some(PainReason::new(Why::ConditionsNotAsked));
        }
        if let Some(allergy) = self.allergies.iter().find(|allergy| allergy.name.is_none()) {
            return Some(PainReason::about(Why::AllergyUnknown, allergy.typed.clone()));
        }
        match self.taken(Class::ParacetamolContaining) {
            Some("paracetamol") => return Some(PainReason::new(Why::TakesParacetamol)),
            Some(medicine) => return Some(PainReason::about(Why::TakesParacetamolIn, medicine)),
            None => {}
        }
        if let Some(medicine) = self.taken(Class::LiverEnzymeInducer) {
            return Some(PainReason::about(Why::LiverEnzymes, medicine));
        }
        // One that was looked up, and against which nothing was found, is no longer a question.
        let unknown = self.medicines.iter().find(|medicine| medicine.name.is_none() && !medicine.is_checked);
        if let Some(medicine) = unknown {
            return Some(PainReason::about(Why::MedicineUnknown, medicine.typed.clone()));
        }
        let reasons = [
            (Class::LiverDisease, Why::Liver),
            (Class::Alcohol, Why::Alcohol),
            (Class::Malnutrition, Why::Malnutrition),
            (Class::RenalImpairment, Why::Kidneys),
        ];
        reasons.into_iter().find_map(|(class, why)| Some(PainReason::about(why, self.has(class)?)))
    }

    /// The dose of this patient; the reason to ask where age or weight is not known.
    fn dose(&self) -> Result<(&'static PainDose, String), PainReason> {
        let years = months_of_age(self.given).ok_or(PainReason::new(Why::AgeNotKnown))? / 12;
        if years < paracetamol::youngest() {
            return Err(PainReason::new(Why::TooYoung));
        }
        if let Some(dose) = dose_by_age(years) {
            return Ok((dose, format!("{years} years: the dose by age")));
        }
        let weight = self.given.case.patient.mass().filter(|weight| !weight.0.is_zero());
        let weight = weight.ok_or(PainReason::new(Why::WeightNotKnown))?;
        if weight.0 < Threshold::ParacetamolAskedBelow.number() {
            return Err(PainReason::about(Why::WeightLow, weight.to_string()));
        }
        let dose = dose_by_mass(years, weight).ok_or(PainReason::new(Why::TooYoung))?;
        let band = match dose.mass {
            Some(Span { from: Some(from), below: None }) => format!("{from} and over"),
            Some(Span { below: Some(below), .. }) => format!("the dose below {below}"),
            Some(Span { from: None, below: None }) | None => "the dose by age".to_owned(),
        };
        Ok((dose, format!("{years} years, {weight}: {band}")))
    }

    fn ibuprofen(&self) -> Option<Ibuprofen> {
        self.given.clinic.protocol.aftercare.ibuprofen
    }

    /// What the clinic's policy comes to for this patient. Medicines and conditions that bear on an
    /// anti-inflammatory are many more than the reasons below name: with any on record the patient asks.
    fn nsaid(&self, against: &[PainReason]) -> Nsaid {
        let is_asked = self.history().is_some_and(|history| {
            history.allergies.is_some()
                && history.medicines.is_some()
                && history.conditions.is_some()
                && !self.breastfeeding.holds()
        });
        let nothing_else = is_asked
            && self.medicines.is_empty()
            && self.conditions.is_empty()
            && self.allergies.iter().all(|allergy| allergy.name.is_some());
        let is_old_enough =
            months_of_age(self.given).is_some_and(|months| months / 12 >= Threshold::AspirinFrom.whole());
        match (against.is_empty(), self.ibuprofen()) {
            (false, _) => Nsaid::NotAdvised,
            (true, Some(Ibuprofen::MayBeTaken)) if nothing_else && is_old_enough => Nsaid::MayTake,
            (true, _) => Nsaid::AskUs,
        }
    }

    /// The clinic's policy comes first. What matters most to this patient comes next.
    fn no_nsaid_because(&self) -> Vec<PainReason> {
        let mut reasons = Vec::new();
        if self.ibuprofen() == Some(Ibuprofen::NotAdvised) {
            reasons.push(PainReason::new(Why::Bleeding));
        }
        for allergy in self.allergies.iter().filter(|allergy| allergy.is(Class::Nsaid)) {
            reasons.push(match name_of(allergy) {
                "nsaid" => PainReason::new(Why::AllergicToNsaids),
                name => PainReason::about(Why::AllergicToNsaid, name),
            });
        }
        if self.pregnancy.holds() {
            reasons.push(PainReason::new(Why::Pregnant));
        }
        let taken =
            [(Class::Anticoagulant, Why::TakesAnticoagulant), (Class::Antiplatelet, Why::TakesAntiplatelet)];
        for (class, why) in taken {
            reasons.extend(self.taken(class).map(|medicine| PainReason::about(why, medicine)));
        }
        let antidepressant = self.taken(Class::Ssri).or_else(|| self.taken(Class::Snri));
        reasons.extend(antidepressant.map(|medicine| PainReason::about(Why::BleedsWith, medicine)));
        let nsaid = self.medicines.iter().find(|item| item.is(Class::Nsaid) && !item.is(Class::Aspirin));
        reasons.extend(nsaid.map(|medicine| PainReason::about(Why::TakesNsaid, name_of(medicine))));
        for medicine in [Class::Methotrexate, Class::Lithium] {
            reasons.extend(self.taken(medicine).map(|name| PainReason::about(Why::DoesNotMix, name)));
        }
        let by_condition = [
            (Class::Asthma, Why::Asthma),
            (Class::KidneyDisease, Why::Kidneys),
            (Class::PepticUlcer, Why::Ulcer),
            (Class::BowelBleedingRisk, Why::Bowel),
            (Class::HeartFailure, Why::HeartFailure),
            (Class::LiverDisease, Why::Liver),
            (Class::BleedingDisorder, Why::BleedsEasily),
        ];
        reasons.extend(
            by_condition
                .into_iter()
                .filter_map(|(class, why)| Some(PainReason::about(why, self.has(class)?))),
        );
        reasons
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn advice(fragment: &str) -> Analgesia {
        facts_of(fragment).derived.analgesia.get().expect("there is always something to say").clone()
    }

    /// `500mg to 1g, 4 times, 4g`, or the reason.
    fn paracetamol(fragment: &str) -> String {
        match advice(fragment).paracetamol {
            Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h, .. } => {
                assert_eq!(hours_between, 4);
                format!("{each}, {doses_in_24_h} times, {most_in_24_h}")
            }
            Paracetamol::AskUs(reason) => format!("ask: {reason}"),
            Paracetamol::Avoid(reason) => format!("avoid: {reason}"),
        }
    }

    /// NHS Telford and Wrekin 2018 states 2 g up to 40 kg, 3 g to 49 kg and 4 g from 50 kg; 3 g at 41 kg would be
    /// 73 mg/kg, so that 2 g are kept to 50 kg. At 34 kg they are 59 mg/kg, and at 33 kg 61.
    #[test]
    fn adults_by_weight() {
        let at = |kg: &str| paracetamol(&format!("patient: {{weight: {kg} kg}}"));
        assert_eq!(at("33.9"), "ask: low body weight: 33.9 kg");
        for kg in ["34", "38", "40.9", "41", "45", "49.9"] {
            assert_eq!(at(kg), "500mg, 4 times, 2g", "{kg} kg");
        }
        assert_eq!(at("60"), "500mg to 1g, 4 times, 4g");
        assert_eq!(at("50"), at("60"));
        assert_eq!(paracetamol("patient: {weight: ~}"), "ask: weight not recorded");
    }

    /// What was looked up and found harmless does not blank the advice; what nobody looked up does.
    #[test]
    fn an_unknown_medicine_is_asked_about_until_somebody_looked_it_up() {
        assert_eq!(paracetamol("history: {medicines: [moonmilk]}"), "ask: unknown medicine: moonmilk");
        let checked = "history: {medicines: [{name: moonmilk, checked: no interaction}]}";
        assert_eq!(paracetamol(checked), "500mg to 1g, 4 times, 4g");
        let known = "history: {medicines: [{name: co-codamol, checked: no interaction}]}";
        assert!(paracetamol(known).starts_with("ask:"), "what the table knows counts all the same");
    }

    /// Row 29: MHRA 2011 bands, as reported in Pulse; a 9-year-old has 7.5 ml of 250 mg in 5 ml, 4 doses.
    #[test]
    fn children_by_age() {
        let born = |date: &str| paracetamol(&format!("patient: {{born: {date}}}"));
        assert_eq!(born("2017-06-01"), "7.5ml of 250mg in 5ml, 4 times, 30ml (1.5g)");
        assert_eq!(born("2018-11-24"), "7.5ml of 250mg in 5ml, 4 times, 30ml (1.5g)", "8 on the day");
        assert_eq!(born("2018-11-25"), "5ml of 250mg in 5ml, 4 times, 20ml (1g)", "7 on the day");
        assert_eq!(born("2016-11-24"), "10ml of 250mg in 5ml, 4 times, 40ml (2g)", "10 on the day");
        assert_eq!(born("2014-11-25"), "10ml of 250mg in 5ml, 4 times, 40ml (2g)", "11 on the day");
        assert_eq!(born("2014-11-24"), "500mg to 750mg, 4 times, 3g", "12 on the day");
        assert_eq!(born("2010-11-25"), "500mg to 750mg, 4 times, 3g", "15 on the day");
        assert_eq!(born("2010-11-24"), "500mg to 1g, 4 times, 4g", "16 on the day");
        assert_eq!(born("2024-11-24"), "7.5ml of 120mg in 5ml, 4 times, 30ml (720mg)", "2 on the day");
        assert!(born("2024-11-25").starts_with("ask: under 2 years"));
        assert_eq!(paracetamol("patient: {born: 2010-01-01, weight: 45 kg}"), "500mg, 4 times, 2g");
    }

    #[test]
    fn the_patient_asks_where_something_is_not_known() {
        let history = |part: &str| paracetamol(&format!("history: {{{part}}}"));
        assert_eq!(history("allergies: [{to: Paracetemol}]"), "avoid: allergy to paracetamol");
        assert_eq!(history("allergies: [{to: co-codamol}]"), "avoid: allergy to paracetamol");
        assert_eq!(history("allergies: ~"), "ask: allergies not recorded");
        assert_eq!(history("medicines: ~"), "ask: medicines not recorded");
        assert_eq!(history("conditions: ~"), "ask: conditions not recorded");
        assert_eq!(paracetamol("history: ~"), "ask: allergies not recorded");
        assert_eq!(history("medicines: [co-codamol]"), "ask: already takes paracetamol in co-codamol");
        assert_eq!(history("medicines: [paracetamol]"), "ask: already takes paracetamol");
        assert_eq!(history("conditions: [cirrhosis]"), "ask: liver condition: cirrhosis");
        assert_eq!(history("conditions: [alcohol dependence]"), "ask: alcohol: alcohol dependence");
        assert!(history("medicines: [moonmilk]").contains("moonmilk"));
        assert!(history("allergies: [{to: moonmilk}]").contains("moonmilk"));
        assert_eq!(
            history("allergies: [{to: penicillin}], medicines: [ramipril], conditions: [asthma]"),
            paracetamol("")
        );
    }

    #[test]
    fn ibuprofen_is_as_the_clinic_has_it_unless_the_patient_must_not() {
        let said = |policy: &str, rest: &str| {
            let clinic = format!("clinic: {{protocol: {{aftercare: {{ibuprofen: {policy}}}}}}}");
            let advice = advice(&format!("{{{clinic}, {rest}}}"));
            (advice.nsaid, advice.no_nsaid_because.len())
        };
        let nothing = "history: {smoker: true}";
        assert_eq!(said("not advised", nothing), (Nsaid::NotAdvised, 1));
        assert_eq!(said("~", nothing), (Nsaid::AskUs, 0), "the clinic says nothing");
        assert_eq!(said("may be taken", nothing), (Nsaid::MayTake, 0));
        for policy in ["~", "may be taken"] {
            for against in ["conditions: [asthma]", "medicines: [apixaban]", "pregnant: true"] {
                let against = format!("history: {{{against}}}");
                assert_eq!(said(policy, &against), (Nsaid::NotAdvised, 1), "{policy}, {against}");
            }
        }
        // Ramipril and a diuretic with ibuprofen harm the kidneys, and no reason above names them.
        for more in [
            "history: {medicines: [ramipril]}",
            "history: {conditions: [hypertension]}",
            "history: {medicines: ~}",
            "history: {breastfeeding: true}",
            "history: {allergies: [{to: moonmilk}]}",
            "patient: {born: 2010-11-25, height: ~}",
        ] {
            assert_eq!(said("may be taken", more), (Nsaid::AskUs, 0), "{more}");
        }
        assert_eq!(said("may be taken", "patient: {born: 2010-11-24, height: ~}").0, Nsaid::MayTake, "16");
        assert_eq!(said("may be taken", "history: {allergies: [{to: penicillin}]}").0, Nsaid::MayTake);
    }

    #[test]
    fn where_the_clinic_advises_against_anti_inflammatories_so_does_the_advice() {
        let reasons = |part: &str| -> Vec<(Why, String)> {
            let advice = advice(&format!("history: {{{part}}}"));
            advice.no_nsaid_because.into_iter().map(|reason| (reason.why, reason.name)).collect()
        };
        let named = |why, name: &str| (why, name.to_owned());
        assert_eq!(reasons(""), [named(Why::Bleeding, "")]);
        assert_eq!(reasons("medicines: [Apixaban]")[1..], [named(Why::TakesAnticoagulant, "apixaban")]);
        assert_eq!(
            reasons("medicines: [aspirin]")[1..],
            [named(Why::TakesAntiplatelet, "aspirin")],
            "aspirin is an antiplatelet here, not one more anti-inflammatory"
        );
        assert_eq!(reasons("pregnant: true")[1..], [named(Why::Pregnant, "")]);
        assert_eq!(
            reasons("allergies: [{to: NSAIDs}, {to: asprin}]")[1..],
            [named(Why::AllergicToNsaids, ""), named(Why::AllergicToNsaid, "aspirin")]
        );
        assert_eq!(
            reasons("conditions: [asthma, CKD 3, stomach ulcer]")[1..],
            [named(Why::Asthma, "asthma"), named(Why::Kidneys, "CKD 3"), named(Why::Ulcer, "stomach ulcer")]
        );
    }

    #[test]
    fn keys_are_unique_and_say_their_name_where_they_need_one() {
        let keys: std::collections::BTreeSet<&str> = Why::ALL.iter().map(|why| why.key()).collect();
        assert_eq!(keys.len(), Why::ALL.len());
        assert_eq!(PainReason::about(Why::Liver, "cirrhosis").to_string(), "liver condition: cirrhosis");
    }

    #[test]
    fn aspirin_by_age_and_prescription() {
        let under_16 = |born: &str| advice(&format!("patient: {{born: {born}}}")).no_aspirin_under_16;
        assert!(under_16("2010-11-25") && !under_16("2010-11-24"));
        assert!(advice("history: {medicines: [clopidogrel]}").prescribed_antiplatelet);
        assert!(!advice("history: {medicines: [apixaban]}").prescribed_antiplatelet);
    }
}
