//! Ideal body weight, and the mass that dose limits are worked out for.
//!
//! A missing mass is never replaced by a usual one. In obesity the lower of measured and ideal mass
//! counts, and nowhere else: a limit that falls with every kilogram above a formula stops healthy people.

use rust_decimal::Decimal;

use super::age::months_of_age;
use super::{Given, Value};
use crate::case::Sex;
use crate::clinical::Cite;
use crate::clinical::child_medians::{self, Child, median_mass_at_age, median_mass_of_height};
use crate::clinical::sources::anaesthetic::{BNF, BNFC_2011, IDEAL_BODY_WEIGHT};
use crate::clinical::tables::adult_from_months;
use crate::clinical::thresholds::Threshold;
use crate::units::{Centimetres, Kilograms, round_down, round_half_up};

const FORMULA: Cite = Cite::from_memory(&IDEAL_BODY_WEIGHT, "the formula");

const OBESE: Cite = Cite::adapts(
    &BNF,
    "local anaesthesia, doses at extremes of body-weight",
    "ideal body weight is asked for in obesity, here a body mass index of 30 or more; the guideline on the \
     obese surgical patient (Anaesthesia 2015;70:859) names lean body weight, which is a little higher",
);

const OBESE_CHILD: Cite = Cite::adapts(
    &BNFC_2011,
    "mepivacaine",
    "ideal weight for height is asked for in obese children, here the median mass of the height where the \
     measured mass is more than 120 % of it; used for every agent",
);

/// cm² in a m².
const SQUARE_METRE: Decimal = Decimal::from_parts(10_000, 0, 0, false, 0);

/// The formula starts at 5 ft and is carried on below: a limit must not jump at a height. Further down
/// than this it would leave hardly any mass at all, so that of this height is used.
const FORMULA_FROM: Centimetres = Centimetres(Decimal::from_parts(130, 0, 0, false, 0));
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
    months_of_age(given).is_some_and(|months| months >= adult_from_months())
}

/// Ideal body weight in kg to one decimal: of an adult by the formula, of a child the median mass of the
/// height. Where the sex is not `female` or `male`, the lower of both.
pub(super) fn ideal(given: Given<'_>) -> Value<Kilograms> {
    let patient = &given.case.patient;
    let Some(height) = patient.stature() else { return Value::lacking("patient.height", &patient.height) };
    if is_adult(given) { of_adult(given.case.patient.sex, height) } else { of_child(given, height) }
}

fn of_adult(sex: Option<Sex>, height: Centimetres) -> Value<Kilograms> {
    let base = if sex == Some(Sex::Male) { MALE_BASE } else { FEMALE_BASE };
    let used = height.max(FORMULA_FROM);
    let mass = Kilograms(round_half_up(base + PER_INCH * (used.0 / INCH - Decimal::from(60)), 1));
    let mut working = format!("{} kg + {PER_INCH} kg × ({used} ÷ {INCH} − 60) = {mass}", base.normalize());
    if !matches!(sex, Some(Sex::Female | Sex::Male)) {
        working.push_str(", the lower of the two formulas");
    }
    Value::known(mass, working, FORMULA)
}

fn of_child(given: Given<'_>, height: Centimetres) -> Value<Kilograms> {
    match lower_of(given.case.patient.sex, |child| median_mass_of_height(child, height)) {
        Some(mass) => Value::known(
            mass,
            format!("the median of children of {height} is {mass}"),
            child_medians::source(),
        ),
        None => Value::because(format!("there is no median mass of a child of {height}")),
    }
}

/// Of one sex; of both the lower where it is not recorded or other.
fn lower_of(sex: Option<Sex>, of: impl Fn(Child) -> Option<Kilograms>) -> Option<Kilograms> {
    match sex {
        Some(Sex::Female) => of(Child::Girl),
        Some(Sex::Male) => of(Child::Boy),
        _ => of(Child::Girl).min(of(Child::Boy)),
    }
}

/// The mass that a limit would use if a patient without a height were short and obese: of an adult that of
/// 5 ft, of a child the median of the age. `None` where the height is recorded.
pub(super) fn lowest_without_height(given: Given<'_>) -> Option<Value<Kilograms>> {
    let patient = &given.case.patient;
    if patient.height.is_known() {
        return None;
    }
    let measured = patient.mass()?;
    let lowest = if is_adult(given) {
        Kilograms(if patient.sex == Some(Sex::Male) { MALE_BASE } else { FEMALE_BASE })
    } else {
        lower_of(patient.sex, |child| median_mass_at_age(child, months_of_age(given)? / 12))?
    };
    Some(Value::known(lowest.min(measured), "", FORMULA))
}

/// The measured mass; in obesity the lower of measured and ideal.
pub(super) fn dosing(given: Given<'_>, ideal: &Value<Kilograms>) -> Value<Kilograms> {
    let patient = &given.case.patient;
    let Some(measured) = patient.mass() else { return Value::lacking("patient.weight", &patient.weight) };
    let cite = if is_adult(given) { OBESE } else { OBESE_CHILD };
    let (ideal, height) = match (ideal, given.case.patient.stature()) {
        (Value::Known(ideal), Some(height)) => (ideal.value, height),
        (Value::Unknown(why), _) => {
            return Value::known(
                measured,
                format!("measured {measured}; not compared with the height: {why}"),
                cite,
            );
        }
        (Value::Known(_), None) => return Value::known(measured, format!("measured {measured}"), cite),
    };
    let (is_obese, compared) = if is_adult(given) {
        // Compared without dividing, so that exactly 30 is 30; printed rounded down, so that 29.96 is not.
        let square = height.0 * height.0;
        let index = round_down(measured.0 * SQUARE_METRE / square, 1).normalize();
        (
            measured.0 * SQUARE_METRE >= Threshold::ObeseFrom.number() * square,
            format!("body mass index {index}"),
        )
    } else {
        let is_obese = measured.0 * Decimal::ONE_HUNDRED > Threshold::ObeseChildOver.number() * ideal.0;
        (is_obese, format!("the median of the height is {ideal}"))
    };
    if is_obese && ideal < measured {
        return Value::known(
            ideal,
            format!("ideal {ideal}, since the measured {measured} is obese ({compared})"),
            cite,
        );
    }
    Value::known(measured, format!("measured {measured} ({compared})"), cite)
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

    fn working(fragment: &str) -> String {
        facts_of(fragment).derived.dosing_weight.entry().expect("the mass is recorded").working.clone()
    }

    /// 171 cm: 30 × 1.71² is 87.723 kg.
    #[test]
    fn the_ideal_mass_counts_from_a_body_mass_index_of_30() {
        assert_eq!(weights(""), ("62.3 kg".into(), "68 kg".into()));
        assert_eq!(weights("patient: {weight: 87.7 kg}").1, "87.7 kg");
        assert_eq!(working("patient: {weight: 87.7 kg}"), "measured 87.7 kg (body mass index 29.9)");
        assert_eq!(weights("patient: {weight: 87.723 kg}").1, "62.3 kg", "exactly 30");
        assert_eq!(weights("patient: {weight: 87.722 kg}").1, "87.722 kg");
        assert_eq!(
            working("patient: {weight: 90 kg}"),
            "ideal 62.3 kg, since the measured 90 kg is obese (body mass index 30.7)"
        );
        assert_eq!(weights("patient: {sex: male}").0, "66.8 kg");
    }

    /// Worked out from the formula: 45.5 or 50 kg and 2.3 kg for each inch from 5 ft.
    #[test]
    fn nothing_jumps_at_five_feet() {
        let of = |sex: &str, height: &str, weight: &str| {
            weights(&format!("patient: {{sex: {sex}, height: {height} cm, weight: {weight} kg}}"))
        };
        assert_eq!(of("female", "152", "100"), ("45.1 kg".into(), "45.1 kg".into()));
        assert_eq!(of("female", "152.4", "100"), ("45.5 kg".into(), "45.5 kg".into()));
        assert_eq!(of("female", "153", "100"), ("46 kg".into(), "46 kg".into()));
        assert_eq!(of("male", "178", "120"), ("73.2 kg".into(), "73.2 kg".into()));
        assert_eq!(of("male", "175", "70"), ("70.5 kg".into(), "70 kg".into()));
        assert_eq!(of("female", "160", "60"), ("52.4 kg".into(), "60 kg".into()), "nobody obese");
        assert_eq!(of("female", "130", "60").0, of("female", "110", "60").0, "not below 130 cm");
    }

    #[test]
    fn the_lower_of_both_where_the_sex_does_not_say() {
        for sex in ["other", "~"] {
            let fragment = format!("patient: {{sex: {sex}, weight: 95 kg}}");
            assert_eq!(weights(&fragment), ("62.3 kg".into(), "62.3 kg".into()), "{sex}");
        }
    }

    /// The median of girls of 150 cm is 40.3 kg: 120 % of it are 48.36 kg.
    #[test]
    fn an_obese_child_has_the_median_mass_of_the_height() {
        let girl =
            |weight: &str| format!("patient: {{born: 2014-05-01, height: 150 cm, weight: {weight} kg}}");
        assert_eq!(weights(&girl("48.3")), ("40.3 kg".into(), "48.3 kg".into()));
        assert_eq!(weights(&girl("48.36")).1, "48.36 kg", "exactly 120 %");
        assert_eq!(weights(&girl("48.4")).1, "40.3 kg");
        let boy = "patient: {sex: other, born: 2014-05-01, height: 150 cm, weight: 60 kg}";
        assert_eq!(weights(boy).1, "39.5 kg", "the lower of girls and boys");
        assert_eq!(weights("patient: {born: 2008-11-25}").0, "56.8 kg", "17 on the day of surgery");
        assert_eq!(weights("patient: {born: 2008-11-24}").0, "62.3 kg", "18 on the day of surgery");
    }

    #[test]
    fn what_is_missing_is_named() {
        assert_eq!(weights("patient: {weight: ~}").1, "not known: patient.weight missing");
        assert_eq!(
            weights("patient: {height: ~}"),
            ("not known: patient.height missing".into(), "68 kg".into())
        );
        assert_eq!(
            working("patient: {height: ~}"),
            "measured 68 kg; not compared with the height: patient.height missing"
        );
        assert_eq!(
            weights("patient: {weight: {not_recorded: scale broken}}").1,
            "not known: patient.weight not recorded: scale broken",
            "the ideal mass never stands in for the measured one"
        );
    }
}
