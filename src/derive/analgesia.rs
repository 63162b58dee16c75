//! What may be said to this patient about pain relief, in a patient's words.
//!
//! Reasons are half sentences that follow "because". Where something that matters was not asked or
//! is not known, the patient is told to ask, never given a usual dose.

use super::body_weight::months_of_age;
use super::{Analgesia, Given, LookedUp, Paracetamol, Value};
use crate::case::History;
use crate::clinical::Cite;
use crate::clinical::paracetamol::{self, PainDose, Span, dose_by_age, dose_by_mass};

const OURS: Cite = Cite::project_default(
    "a dose is only advised where allergies, medicines, conditions, age and weight are known",
);

/// Completed years of age below which aspirin is not given (Aspirin not under 16 unless prescribed).
const NO_ASPIRIN_BELOW_YEARS: u32 = 16;

/// The advice, from the looked-up history.
pub(super) fn analgesia(
    given: Given<'_>,
    medicines: &[LookedUp],
    allergies: &[LookedUp],
    conditions: &[LookedUp],
) -> Value<Analgesia> {
    let patient = Asked { given, medicines, allergies, conditions };
    let (paracetamol, working, source) = patient.paracetamol();
    let years = months_of_age(given).map(|months| months / 12);
    let advice = Analgesia {
        paracetamol,
        no_nsaid_because: patient.no_nsaid_because(),
        no_aspirin_under_16: years.is_none_or(|years| years < NO_ASPIRIN_BELOW_YEARS),
        prescribed_antiplatelet: medicines.iter().any(|medicine| medicine.is("antiplatelet")),
    };
    Value::known(advice, working, source)
}

struct Asked<'a> {
    given: Given<'a>,
    medicines: &'a [LookedUp],
    allergies: &'a [LookedUp],
    conditions: &'a [LookedUp],
}

/// The table's own name, or what was typed.
fn name_of(item: &LookedUp) -> &str {
    item.name.unwrap_or(&item.typed)
}

impl Asked<'_> {
    fn history(&self) -> Option<&History> {
        self.given.case.history.as_ref()
    }

    fn taken(&self, class: &str) -> Option<&str> {
        self.medicines.iter().find(|medicine| medicine.is(class)).map(name_of)
    }

    fn has(&self, class: &str) -> bool {
        self.conditions.iter().any(|condition| condition.is(class))
    }

    fn paracetamol(&self) -> (Paracetamol, String, Cite) {
        if self
            .allergies
            .iter()
            .any(|allergy| allergy.is("paracetamol") || allergy.is("paracetamol-containing"))
        {
            return (
                Paracetamol::Avoid("you are allergic to it".into()),
                "allergy to paracetamol".into(),
                OURS,
            );
        }
        if let Some(reason) = self.reason_to_ask() {
            return (Paracetamol::AskUs(reason), String::new(), OURS);
        }
        match self.dose() {
            Err(reason) => (Paracetamol::AskUs(reason.into()), String::new(), OURS),
            Ok((dose, working)) => (
                Paracetamol::Advise {
                    each: dose.each.into(),
                    hours_between: dose.hours_between,
                    doses_in_24_h: dose.doses_in_24_h,
                    most_in_24_h: dose.most_in_24_h.into(),
                },
                working,
                dose.cite,
            ),
        }
    }

    /// What was not asked, is not known, or makes the usual dose unsafe.
    fn reason_to_ask(&self) -> Option<String> {
        let history = self.history();
        if history.is_none_or(|history| history.allergies.is_none()) {
            return Some("we do not have a list of your allergies".into());
        }
        if history.is_none_or(|history| history.medicines.is_none()) {
            return Some("we do not have a list of your medicines".into());
        }
        if history.is_none_or(|history| history.conditions.is_none()) {
            return Some("we do not have a list of your health conditions".into());
        }
        let unknown =
            |items: &[LookedUp]| items.iter().find(|item| item.name.is_none()).map(|item| item.typed.clone());
        if let Some(allergy) = unknown(self.allergies) {
            return Some(format!("we need to check your allergy to {allergy} first"));
        }
        match self.taken("paracetamol-containing") {
            Some("paracetamol") => return Some("you already take paracetamol".into()),
            Some(medicine) => {
                return Some(format!("you already take {medicine}, which has paracetamol in it"));
            }
            None => {}
        }
        if let Some(medicine) = self.taken("liver enzyme inducer") {
            return Some(format!("you take {medicine}, which can change how paracetamol works in the liver"));
        }
        if let Some(medicine) = unknown(self.medicines) {
            return Some(format!("we need to check if your medicine {medicine} has paracetamol in it"));
        }
        let reasons = [
            ("liver disease", "you have a liver condition"),
            ("alcohol", "drinking a lot of alcohol can make paracetamol harm the liver"),
            ("malnutrition", "your usual dose may need to be lower"),
            ("renal impairment", "you have a kidney condition"),
        ];
        reasons.into_iter().find(|(class, _)| self.has(class)).map(|(_, reason)| reason.into())
    }

    /// The dose of this patient; the reason to ask where age or weight is not known.
    fn dose(&self) -> Result<(&'static PainDose, String), &'static str> {
        const TOO_YOUNG: &str = "the dose for a child under 2 must be checked";
        let years = months_of_age(self.given).ok_or("we do not know your age")? / 12;
        if years < paracetamol::youngest() {
            return Err(TOO_YOUNG);
        }
        if let Some(dose) = dose_by_age(years) {
            return Ok((dose, format!("{years} years: the dose by age")));
        }
        let weight = self.given.case.patient.weight.filter(|weight| !weight.0.is_zero());
        let weight = weight.ok_or("we do not have your weight")?;
        let dose = dose_by_mass(years, weight).ok_or(TOO_YOUNG)?;
        let band = match dose.mass {
            Some(Span { from: Some(from), below: None }) => format!("{from} and over"),
            Some(Span { below: Some(below), .. }) => format!("the dose below {below}"),
            Some(Span { from: None, below: None }) | None => "the dose by age".to_owned(),
        };
        Ok((dose, format!("{years} years, {weight}: {band}")))
    }

    /// Never empty: the first reason holds for everyone after this operation.
    fn no_nsaid_because(&self) -> Vec<String> {
        let mut reasons = vec!["they can make bleeding more likely".to_owned()];
        for class in ["anticoagulant", "antiplatelet"] {
            if let Some(medicine) = self.taken(class) {
                reasons.push(format!("you take {medicine}, which already makes bleeding more likely"));
            }
        }
        if let Some(medicine) = self.taken("ssri").or_else(|| self.taken("snri")) {
            reasons.push(format!("together with {medicine} they make bleeding more likely still"));
        }
        if let Some(medicine) = self.medicines.iter().find(|item| item.is("nsaid") && !item.is("aspirin")) {
            reasons.push(format!("you already take {}, and more would be too much", name_of(medicine)));
        }
        for medicine in ["methotrexate", "lithium"] {
            if self.taken(medicine).is_some() {
                reasons.push(format!("they do not mix with {medicine}"));
            }
        }
        for allergy in self.allergies.iter().filter(|allergy| allergy.is("nsaid")) {
            reasons.push(match name_of(allergy) {
                "nsaid" => "you are allergic to medicines of this kind".into(),
                name => format!("you are allergic to {name}"),
            });
        }
        let is_pregnant = self.history().and_then(|history| history.pregnant) == Some(true);
        if is_pregnant || self.has("pregnancy") {
            reasons.push("you are pregnant".into());
        }
        let by_condition = [
            ("asthma", "they can make asthma worse"),
            ("renal impairment", "they can harm the kidneys"),
            ("peptic ulcer", "they can make a stomach ulcer bleed"),
            ("bowel bleeding risk", "they can make your bowel condition worse"),
            ("heart failure", "they can make heart failure worse"),
            ("liver disease", "they are not safe with your liver condition"),
            ("bleeding disorder", "you bleed more easily than other people"),
        ];
        let held = by_condition.into_iter().filter(|(class, _)| self.has(class));
        reasons.extend(held.map(|(_, reason)| reason.to_owned()));
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
            Paracetamol::Advise { each, hours_between, doses_in_24_h, most_in_24_h } => {
                assert_eq!(hours_between, 4);
                format!("{each}, {doses_in_24_h} times, {most_in_24_h}")
            }
            Paracetamol::AskUs(reason) => format!("ask: {reason}"),
            Paracetamol::Avoid(reason) => format!("avoid: {reason}"),
        }
    }

    /// Row 30 of the check values: NHS Telford and Wrekin 2018; 38, 45 and 60 kg give 2, 3 and 4 g.
    #[test]
    fn adults_by_weight() {
        let at = |kg: &str| paracetamol(&format!("patient: {{weight: {kg} kg}}"));
        assert_eq!(at("38"), "500mg, 4 times, 2g");
        assert_eq!(at("45"), "500mg to 1g, 3 times, 3g");
        assert_eq!(at("60"), "500mg to 1g, 4 times, 4g");
        assert_eq!((at("40.9"), at("41")), (at("38"), at("45")));
        assert_eq!((at("49.9"), at("50")), (at("45"), at("60")));
        assert_eq!(paracetamol("patient: {weight: ~}"), "ask: we do not have your weight");
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
        assert_eq!(born("2014-11-24"), "480mg to 750mg, 4 times, 3g", "12 on the day");
        assert_eq!(born("2010-11-25"), "480mg to 750mg, 4 times, 3g", "15 on the day");
        assert_eq!(born("2010-11-24"), "500mg to 1g, 4 times, 4g", "16 on the day");
        assert_eq!(born("2024-11-24"), "7.5ml of 120mg in 5ml, 4 times, 30ml (720mg)", "2 on the day");
        assert!(born("2024-11-25").starts_with("ask: the dose for a child under 2"));
        assert_eq!(paracetamol("patient: {born: 2010-01-01, weight: 45 kg}"), "500mg to 1g, 3 times, 3g");
    }

    #[test]
    fn the_patient_asks_where_something_is_not_known() {
        let history = |part: &str| paracetamol(&format!("history: {{{part}}}"));
        assert_eq!(history("allergies: [{to: Paracetemol}]"), "avoid: you are allergic to it");
        assert_eq!(history("allergies: [{to: co-codamol}]"), "avoid: you are allergic to it");
        assert_eq!(history("allergies: ~"), "ask: we do not have a list of your allergies");
        assert_eq!(history("medicines: ~"), "ask: we do not have a list of your medicines");
        assert_eq!(history("conditions: ~"), "ask: we do not have a list of your health conditions");
        assert_eq!(paracetamol("history: ~"), "ask: we do not have a list of your allergies");
        assert_eq!(
            history("medicines: [co-codamol]"),
            "ask: you already take co-codamol, which has paracetamol in it"
        );
        assert_eq!(history("medicines: [paracetamol]"), "ask: you already take paracetamol");
        assert_eq!(history("conditions: [cirrhosis]"), "ask: you have a liver condition");
        assert!(history("conditions: [alcohol dependence]").starts_with("ask: drinking"));
        assert!(history("medicines: [moonmilk]").contains("moonmilk"));
        assert!(history("allergies: [{to: moonmilk}]").contains("moonmilk"));
        assert_eq!(
            history("allergies: [{to: penicillin}], medicines: [ramipril], conditions: [asthma]"),
            paracetamol("")
        );
    }

    #[test]
    fn anti_inflammatories_are_always_advised_against() {
        let reasons = |part: &str| advice(&format!("history: {{{part}}}")).no_nsaid_because;
        assert_eq!(reasons(""), ["they can make bleeding more likely"]);
        assert_eq!(
            reasons("medicines: [Apixaban]")[1..],
            ["you take apixaban, which already makes bleeding more likely"]
        );
        assert_eq!(
            reasons("medicines: [aspirin]").len(),
            2,
            "aspirin is an antiplatelet here, not one more anti-inflammatory"
        );
        assert_eq!(reasons("pregnant: true")[1..], ["you are pregnant"]);
        assert_eq!(reasons("allergies: [{to: NSAIDs}, {to: asprin}]")[1..].len(), 2);
        assert_eq!(
            reasons("conditions: [asthma, CKD 3, stomach ulcer]")[1..],
            [
                "they can make asthma worse",
                "they can harm the kidneys",
                "they can make a stomach ulcer bleed"
            ]
        );
    }

    #[test]
    fn aspirin_by_age_and_prescription() {
        let under_16 = |born: &str| advice(&format!("patient: {{born: {born}}}")).no_aspirin_under_16;
        assert!(under_16("2010-11-25") && !under_16("2010-11-24"));
        assert!(advice("history: {medicines: [clopidogrel]}").prescribed_antiplatelet);
        assert!(!advice("history: {medicines: [apixaban]}").prescribed_antiplatelet);
    }
}
