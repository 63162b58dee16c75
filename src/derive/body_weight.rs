//! Ideal body weight, and the mass that dose limits are worked out for.
//!
//! A missing mass is never replaced by a usual one.

use rust_decimal::Decimal;

use super::age::months_of_age;
use super::{Given, Value};
use crate::case::Sex;
use crate::clinical::Cite;
use crate::clinical::sources::anaesthetic::{BNF, IDEAL_BODY_WEIGHT};
use crate::clinical::tables::ADULT_FROM_MONTHS;
use crate::units::{Centimetres, Kilograms, round_half_up};

const FORMULA: Cite = Cite::from_memory(&IDEAL_BODY_WEIGHT, "the formula");

/// 5 ft, where the formula starts.
const SHORTEST: Centimetres = Centimetres(Decimal::from_parts(1524, 0, 0, false, 1));
/// kg of a man of 5 ft.
const MALE_BASE: Decimal = Decimal::from_parts(50, 0, 0, false, 0);
/// kg of a woman of 5 ft.
const FEMALE_BASE: Decimal = Decimal::from_parts(455, 0, 0, false, 1);
/// kg for each inch above 5 ft.
const PER_INCH: Decimal = Decimal::from_parts(23, 0, 0, false, 1);
/// cm in an inch, exactly.
const INCH: Decimal = Decimal::from_parts(254, 0, 0, false, 2);

/// An adult by the table of agents: 18 years or more.
fn is_adult(given: Given<'_>) -> bool {
    months_of_age(given).is_some_and(|months| months >= ADULT_FROM_MONTHS)
}

/// Ideal body weight of an adult of at least 152.4 cm, in kg to one decimal.
pub(super) fn ideal(given: Given<'_>) -> Value<Kilograms> {
    let patient = &given.case.patient;
    let Some(height) = patient.height else { return Value::missing("patient.height") };
    if !is_adult(given) {
        return Value::because("the formula for ideal body weight is for adults");
    }
    let base = match patient.sex {
        None => return Value::missing("patient.sex"),
        Some(Sex::Other) => {
            return Value::because("the formula for ideal body weight is for `female` or `male` only");
        }
        Some(Sex::Female) => FEMALE_BASE,
        Some(Sex::Male) => MALE_BASE,
    };
    if height < SHORTEST {
        return Value::because(format!("the formula for ideal body weight starts at {SHORTEST}"));
    }
    let mass = Kilograms(round_half_up(base + PER_INCH * (height.0 / INCH - Decimal::from(60)), 1));
    let working = format!("{} kg + {PER_INCH} kg × ({height} ÷ {INCH} − 60) = {mass}", base.normalize());
    Value::known(mass, working, FORMULA)
}

/// The lower of measured and ideal mass; the measured one where no ideal one is known.
pub(super) fn dosing(given: Given<'_>, ideal: &Value<Kilograms>) -> Value<Kilograms> {
    const CITE: Cite = Cite::adapts(
        &BNF,
        "local anaesthesia, obese patients",
        "ideal body weight is asked for in obesity; here it is used whenever it is the lower",
    );
    let Some(measured) = given.case.patient.weight else { return Value::missing("patient.weight") };
    let (mass, working) = match ideal {
        Value::Known(ideal) if ideal.value < measured => {
            (ideal.value, format!("ideal {}, lower than the measured {measured}", ideal.value))
        }
        Value::Known(ideal) => {
            (measured, format!("measured {measured}, not above the ideal {}", ideal.value))
        }
        Value::Unknown(_) if !is_adult(given) => (measured, format!("measured {measured}")),
        Value::Unknown(why) => (measured, format!("measured {measured}; ideal body weight not known: {why}")),
    };
    Value::known(mass, working, CITE)
}

#[cfg(test)]
mod tests {
    use crate::rules::example::facts_of;

    fn weights(fragment: &str) -> (String, String) {
        let derived = facts_of(fragment).derived;
        (
            derived.ideal_body_weight.print(ToString::to_string),
            derived.dosing_weight.print(ToString::to_string),
        )
    }

    #[test]
    fn the_lower_mass_counts() {
        assert_eq!(weights(""), ("62.3 kg".into(), "62.3 kg".into()));
        assert_eq!(weights("patient: {weight: 62.3 kg}").1, "62.3 kg");
        assert_eq!(weights("patient: {weight: 62.2 kg}").1, "62.2 kg");
        assert_eq!(weights("patient: {sex: male}").0, "66.8 kg");
    }

    #[test]
    fn the_formula_is_for_adults_of_five_feet_or_more() {
        assert_eq!(weights("patient: {height: 152.4 cm}").0, "45.5 kg");
        let below = weights("patient: {height: 152.3 cm}");
        assert!(below.0.contains("starts at 152.4 cm"), "{}", below.0);
        assert_eq!(below.1, "68 kg");
        assert!(weights("patient: {born: 2008-11-25}").0.contains("for adults"), "17 on the day of surgery");
        assert_eq!(weights("patient: {born: 2008-11-24}").0, "62.3 kg", "18 on the day of surgery");
        assert_eq!(weights("patient: {born: 2008-11-25}").1, "68 kg");
    }

    #[test]
    fn what_is_missing_is_named() {
        assert_eq!(weights("patient: {weight: ~}").1, "not known: patient.weight missing");
        assert_eq!(
            weights("patient: {height: ~}"),
            ("not known: patient.height missing".into(), "68 kg".into())
        );
        assert_eq!(weights("patient: {sex: ~}").0, "not known: patient.sex missing");
        assert!(weights("patient: {sex: other}").0.contains("only"));
    }
}
