//! Whether mass and height can be this patient's: against the growth charts in a child, against wide limits in
//! an adult, and in which other unit or place they would make sense.
//!
//! A doubt is no verdict: what it weighs is for the rules. The mass itself is never replaced.

use rust_decimal::Decimal;

use super::{Given, age};
use crate::case::Sex;
use crate::clinical::body_size::{AdultSize, Chart, ChildSize, Range, adult, bmi, child};
use crate::clinical::tables::adult_from_months;
use crate::units::{CM_PER_INCH, Centimetres, KG_PER_POUND, KG_PER_STONE, Kilograms, round_half_up};

/// What is doubtful about mass and height.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BodySize {
    /// Each taken for the other, they would make sense, or at least more.
    pub swapped: Option<Swapped>,
    /// The mass cannot easily be this patient's.
    pub mass: Option<Doubt<Kilograms>>,
    /// Nor the height.
    pub height: Option<Doubt<Centimetres>>,
}

/// Mass and height stand in each other's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swapped {
    /// As pounds and inches they would make sense in the place where they are.
    pub or_imperial: Option<(Kilograms, Centimetres)>,
}

/// A doubt about one of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt<T> {
    /// Beyond what is likely at all, not only beyond what is usual.
    pub is_gross: bool,
    /// What it was held against.
    pub against: Against,
    /// The same number in other units that would make sense: the unit in words, and the value.
    pub meant: Vec<(&'static str, T)>,
}

/// What a mass or height was held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// The 0.4th and 99.6th centile at this age.
    Centiles(Range),
    /// Four standard deviations at this age.
    Deviations(Range),
    /// The limits of adults.
    Adult(Range),
    /// The body mass index, and the range in which it is not asked about.
    BodyMassIndex(Decimal, Range),
}

/// The index above which pounds are thought of in an adult.
const HIGH_BMI: Decimal = Decimal::from_parts(40, 0, 0, false, 0);
/// The index that makes sense of pounds.
const BMI_IN_POUNDS: Range =
    Range { low: Decimal::from_parts(18, 0, 0, false, 0), high: Decimal::from_parts(30, 0, 0, false, 0) };
/// An adult's mass in stones.
const IN_STONES: Range =
    Range { low: Decimal::from_parts(4, 0, 0, false, 0), high: Decimal::from_parts(25, 0, 0, false, 0) };
/// An adult's height in inches.
const IN_INCHES: Range =
    Range { low: Decimal::from_parts(48, 0, 0, false, 0), high: Decimal::from_parts(80, 0, 0, false, 0) };
/// Below this height and above this mass, an adult's two entries are in each other's place.
const SWAPPED_AT: Decimal = Decimal::from_parts(120, 0, 0, false, 0);

pub(super) fn body_size_of(given: Given<'_>) -> BodySize {
    let patient = &given.case.patient;
    let Some(months) = age::months_of_age(given) else { return BodySize::default() };
    let mass = patient.mass().map(|mass| mass.0);
    let height = patient.stature().map(|height| height.0);
    if months >= adult_from_months() {
        return of_adult(adult(), mass, height);
    }
    let chart = match patient.sex {
        Some(Sex::Male) => Chart::Boys,
        Some(Sex::Female) => Chart::Girls,
        Some(Sex::Other) | None => Chart::Either,
    };
    child(months, chart).map_or_else(BodySize::default, |size| of_child(&size, mass, height))
}

fn of_child(size: &ChildSize, mass: Option<Decimal>, height: Option<Decimal>) -> BodySize {
    if let (Some(mass), Some(height)) = (mass, height)
        && height < mass
    {
        return BodySize { swapped: Some(Swapped { or_imperial: None }), ..BodySize::default() };
    }
    let doubt = |number: Decimal, usual: Range, widest: Range| match number {
        _ if !widest.holds(number) => Some((true, Against::Deviations(widest))),
        _ if !usual.holds(number) => Some((false, Against::Centiles(usual))),
        _ => None,
    };
    let mass = mass.and_then(|mass| {
        let (is_gross, against) = doubt(mass, size.usual.mass, size.widest.mass)?;
        let fits = |mass: &Decimal| size.usual.mass.holds(*mass);
        let pounds = Some(mass * KG_PER_POUND).filter(fits);
        let stones = Some(mass * KG_PER_STONE).filter(fits);
        Some(Doubt { is_gross, against, meant: in_kilograms(pounds, stones) })
    });
    let height = height.and_then(|height| {
        let (is_gross, against) = doubt(height, size.usual.height, size.widest.height)?;
        let inches = Some(height * CM_PER_INCH).filter(|height| size.usual.height.holds(*height));
        Some(Doubt { is_gross, against, meant: in_centimetres(inches) })
    });
    BodySize { swapped: None, mass, height }
}

fn of_adult(limits: &AdultSize, mass: Option<Decimal>, height: Option<Decimal>) -> BodySize {
    let is_likely = |mass: Decimal, height: Decimal| {
        limits.mass.holds(mass) && limits.height.holds(height) && limits.bmi.holds(bmi(mass, height))
    };
    if let (Some(mass), Some(height)) = (mass, height) {
        let is_clear = height < SWAPPED_AT && SWAPPED_AT < mass;
        let is_ordinary = is_likely(height, mass) && bmi(height, mass) <= HIGH_BMI;
        if is_clear || (!is_likely(mass, height) && is_ordinary) {
            let (kg, cm) = (mass * KG_PER_POUND, height * CM_PER_INCH);
            let or_imperial = is_likely(kg, cm).then(|| (kilograms(kg), centimetres(cm)));
            return BodySize { swapped: Some(Swapped { or_imperial }), ..BodySize::default() };
        }
    }
    let height_doubt = height.filter(|height| !limits.height.holds(*height)).map(|height| {
        let inches =
            Some(height * CM_PER_INCH).filter(|as_cm| IN_INCHES.holds(height) && limits.height.holds(*as_cm));
        Doubt { is_gross: true, against: Against::Adult(limits.height), meant: in_centimetres(inches) }
    });
    // Against a height that is in doubt itself, no index says anything.
    let height = height.filter(|_| height_doubt.is_none());
    let mass_doubt = mass.and_then(|mass| {
        let index = height.map(|height| bmi(mass, height));
        let pounds = Some(mass * KG_PER_POUND).filter(|as_kg| match height {
            Some(height) => BMI_IN_POUNDS.holds(bmi(*as_kg, height)),
            None => mass > limits.mass.high && limits.mass.holds(*as_kg),
        });
        let stones = Some(mass * KG_PER_STONE).filter(|as_kg| {
            IN_STONES.holds(mass)
                && height.map_or(limits.mass.holds(*as_kg), |height| is_likely(*as_kg, height))
        });
        let (is_gross, against) = match index {
            _ if !limits.mass.holds(mass) => (true, Against::Adult(limits.mass)),
            Some(index) if !limits.bmi.holds(index) => (true, Against::BodyMassIndex(index, limits.bmi)),
            Some(index) if index > HIGH_BMI && pounds.is_some() => {
                let range = Range { high: HIGH_BMI, ..limits.bmi };
                (false, Against::BodyMassIndex(index, range))
            }
            _ => return None,
        };
        Some(Doubt { is_gross, against, meant: in_kilograms(pounds, stones) })
    });
    BodySize { swapped: None, mass: mass_doubt, height: height_doubt }
}

fn kilograms(number: Decimal) -> Kilograms {
    Kilograms(round_half_up(number, 1))
}

fn centimetres(number: Decimal) -> Centimetres {
    Centimetres(round_half_up(number, 1))
}

fn in_kilograms(pounds: Option<Decimal>, stones: Option<Decimal>) -> Vec<(&'static str, Kilograms)> {
    let meant = [("pounds", pounds), ("stones", stones)];
    meant.into_iter().filter_map(|(unit, number)| Some((unit, kilograms(number?)))).collect()
}

fn in_centimetres(inches: Option<Decimal>) -> Vec<(&'static str, Centimetres)> {
    inches.into_iter().map(|number| ("inches", centimetres(number))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::example::facts_of;

    fn size(patient: &str) -> BodySize {
        facts_of(&format!("patient: {{{patient}}}")).derived.body_size
    }

    fn mass(patient: &str) -> Option<(bool, Vec<(&'static str, String)>)> {
        let doubt = size(patient).mass?;
        Some((doubt.is_gross, doubt.meant.iter().map(|(unit, mass)| (*unit, mass.to_string())).collect()))
    }

    #[test]
    fn the_base_case_raises_no_doubt() {
        assert_eq!(size(""), BodySize::default());
        assert_eq!(size("weight: ~, height: ~"), BodySize::default());
    }

    /// A boy of exactly 7: 16.8 to 35.5 kg, at most 13.9 to 51.8 kg.
    #[test]
    fn each_end_of_a_childs_ranges_as_a_pair() {
        let boy = |kg: &str| mass(&format!("born: 2019-11-24, sex: male, height: ~, weight: {kg} kg"));
        assert_eq!(boy("16.8"), None);
        assert_eq!(boy("35.5"), None);
        assert_eq!(boy("16.7"), Some((false, vec![])));
        assert_eq!(boy("35.6").map(|doubt| doubt.0), Some(false));
        assert_eq!(boy("51.8").map(|doubt| doubt.0), Some(false));
        assert_eq!(boy("51.9").map(|doubt| doubt.0), Some(true));
        assert_eq!(boy("13.8").map(|doubt| doubt.0), Some(true));
    }

    #[test]
    fn each_limit_of_an_adult_as_a_pair() {
        let alone = |kg: &str| mass(&format!("height: ~, weight: {kg} kg")).map(|doubt| doubt.0);
        assert_eq!((alone("35"), alone("34.9")), (None, Some(true)));
        assert_eq!((alone("200"), alone("200.1")), (None, Some(true)));
        let tall = |cm: &str| size(&format!("weight: ~, height: {cm} cm")).height.map(|doubt| doubt.is_gross);
        assert_eq!((tall("120"), tall("119.9")), (None, Some(true)));
        assert_eq!((tall("215"), tall("215.1")), (None, Some(true)));
        // 170 cm squared is 2.89 m²: 14 and 60 kg/m² are 40.46 and 173.4 kg.
        let index = |kg: &str| mass(&format!("height: 170 cm, weight: {kg} kg")).map(|doubt| doubt.0);
        assert_eq!((index("40.46"), index("40.45")), (None, Some(true)));
        assert_eq!((index("173.4"), index("173.5")), (Some(false), Some(true)));
        // 40 kg/m² is 115.6 kg; above it pounds are thought of.
        assert_eq!((index("115.6"), index("115.7")), (None, Some(false)));
    }

    #[test]
    fn entries_in_each_others_place_are_one_doubt() {
        for swapped in ["weight: 180 kg, height: 67 cm", "weight: 190 kg, height: 125 cm"] {
            let size = size(swapped);
            assert!(size.swapped.is_some() && size.mass.is_none() && size.height.is_none(), "{swapped}");
        }
        let both = size("weight: 150 kg, height: 68 cm").swapped.and_then(|swapped| swapped.or_imperial);
        assert_eq!(
            both.map(|(kg, cm)| (kg.to_string(), cm.to_string())),
            Some(("68 kg".into(), "172.7 cm".into()))
        );
        let heavy = size("weight: 173.5 kg, height: 170 cm");
        assert!(heavy.swapped.is_none() && heavy.mass.is_some(), "the other way round it is no likelier");
        assert!(size("born: 2019-11-24, weight: 122 kg, height: 33 cm").swapped.is_some());
    }

    #[test]
    fn a_small_adult_is_asked_about_and_not_called_swapped() {
        let small = size("weight: 40 kg, height: 118 cm");
        assert!(small.swapped.is_none() && small.height.is_some_and(|doubt| doubt.is_gross));
    }
}
