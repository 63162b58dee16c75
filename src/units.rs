//! Quantities with their units: what a case file may say, and exact decimal arithmetic on it.
//!
//! Every type reads the text a practitioner writes (`68 kg`, `2.2 ml`, `3 %`) and prints it the
//! same way. There is no floating point here, no default, and no clinical limit.

use std::fmt;

use rust_decimal::Decimal;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize, Serializer};

/// A value written as one piece of text in a case file.
///
/// The reader looks formats up by [`TextValue::FORMAT`], so that one walk over the file can report
/// every bad quantity with the words of its own type.
pub trait TextValue: Sized {
    /// The name of the format, as the JSON Schema carries it.
    const FORMAT: &'static str;
    /// A correct example, for messages and the schema.
    const EXAMPLE: &'static str;
    /// Reads the text.
    ///
    /// # Errors
    /// A phrase that says what is wrong and what to write instead.
    fn parse(text: &str) -> Result<Self, String>;
}

/// Serde and JSON Schema for a [`TextValue`]: text in, text out.
#[macro_export]
#[doc(hidden)]
macro_rules! text_value {
    ($type:ty, $title:literal) => {
        impl<'de> serde::Deserialize<'de> for $type {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = String::deserialize(deserializer)?;
                <$type as $crate::units::TextValue>::parse(&text).map_err(serde::de::Error::custom)
            }
        }
        impl schemars::JsonSchema for $type {
            fn inline_schema() -> bool {
                true
            }
            fn schema_name() -> std::borrow::Cow<'static, str> {
                $title.into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({
                    "type": "string",
                    "format": <$type as $crate::units::TextValue>::FORMAT,
                    "examples": [<$type as $crate::units::TextValue>::EXAMPLE],
                    "title": $title,
                })
            }
        }
    };
}

/// Reads an unsigned decimal as people write it: digits, one point, no sign, no exponent.
///
/// # Errors
/// A phrase without the example, which the caller adds.
pub fn plain_decimal(text: &str) -> Result<Decimal, String> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    let is_digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if text.contains(',') {
        return Err(format!("`{text}` has a comma: write the decimal point as a point"));
    }
    if !is_digits(whole) || !is_digits(fraction) {
        return Err(format!("`{text}` is not a number"));
    }
    if whole.len() > 6 || fraction.len() > 6 {
        return Err(format!("`{text}` has more digits than any quantity here can need"));
    }
    text.parse().map_err(|_| format!("`{text}` is not a number"))
}

/// kg in a pound, exactly.
pub const KG_PER_POUND: Decimal = Decimal::from_parts(45_359_237, 0, 0, false, 8);
/// kg in a stone of 14 pounds, exactly.
pub const KG_PER_STONE: Decimal = Decimal::from_parts(635_029_318, 0, 0, false, 8);
/// cm in an inch, exactly.
pub const CM_PER_INCH: Decimal = Decimal::from_parts(254, 0, 0, false, 2);

/// Numbers with the units behind them: `10 st 7 lb`, `5'7"`; `None` if it is anything else.
fn measures(text: &str) -> Option<Vec<(Decimal, String)>> {
    let mut found = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let number = plain_decimal(&rest[..digits]).ok()?;
        rest = rest[digits..].trim_start();
        let unit = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        found.push((number, rest[..unit].trim().to_lowercase()));
        rest = &rest[unit..];
    }
    Some(found)
}

/// A mass or length in another unit that people use, in kg or cm to one decimal.
fn converted(text: &str, unit: &str) -> Option<Decimal> {
    let measures = measures(text)?;
    let words: Vec<(Decimal, &str)> =
        measures.iter().map(|(number, unit)| (*number, unit.trim_end_matches('.'))).collect();
    let is_pound = |unit: &str| matches!(unit, "lb" | "lbs" | "pound" | "pounds");
    let is_stone = |unit: &str| matches!(unit, "st" | "stone" | "stones");
    let is_foot = |unit: &str| matches!(unit, "ft" | "foot" | "feet" | "'" | "\u{2019}" | "\u{2032}");
    let is_inch =
        |unit: &str| matches!(unit, "in" | "inch" | "inches" | "ins" | "\"" | "''" | "\u{201d}" | "\u{2033}");
    let number = match (unit, words.as_slice()) {
        ("kg", [(pounds, unit)]) if is_pound(unit) => pounds * KG_PER_POUND,
        ("kg", [(stones, unit)]) if is_stone(unit) => stones * KG_PER_STONE,
        ("kg", [(stones, first), (pounds, second)])
            if is_stone(first) && (second.is_empty() || is_pound(second)) =>
        {
            stones * KG_PER_STONE + pounds * KG_PER_POUND
        }
        ("cm", [(inches, unit)]) if is_inch(unit) => inches * CM_PER_INCH,
        ("cm", [(feet, unit)]) if is_foot(unit) => feet * Decimal::from(12) * CM_PER_INCH,
        ("cm", [(feet, first), (inches, second)])
            if is_foot(first) && (second.is_empty() || is_inch(second)) =>
        {
            (feet * Decimal::from(12) + inches) * CM_PER_INCH
        }
        ("cm", [(metres, "m" | "metre" | "metres")]) => metres * Decimal::from(100),
        _ => return None,
    };
    Some(round_half_up(number, 1).normalize())
}

/// Splits `68 kg` into number and unit and checks the unit.
fn quantity(text: &str, units: &[&str], example: &str) -> Result<Decimal, String> {
    let text = text.trim();
    let split = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')));
    let (number, unit) = match split {
        Some(at) => (text[..at].trim(), text[at..].trim()),
        None => (text, ""),
    };
    if number.is_empty() {
        return Err(format!("no number found: write it like `{example}`"));
    }
    if unit.is_empty() {
        return Err(format!("the unit is missing: write it like `{example}`"));
    }
    if let Some(number) = converted(text, units[0]) {
        return Err(format!("`{text}` is {number} {0}: write `{number} {0}`", units[0]));
    }
    if !units.contains(&unit) {
        return Err(format!("the unit `{unit}` is not known here: write it like `{example}`"));
    }
    plain_decimal(number).map_err(|problem| format!("{problem}: write it like `{example}`"))
}

macro_rules! quantity_type {
    (
        $(#[$doc:meta])* $name:ident, $format:literal, [$unit:literal $(, $alias:literal)*], $example:literal,
        $least:literal to $most:literal
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub Decimal);

        impl TextValue for $name {
            const FORMAT: &'static str = $format;
            const EXAMPLE: &'static str = $example;
            fn parse(text: &str) -> Result<Self, String> {
                let number = quantity(text, &[$unit $(, $alias)*], $example)?;
                // What no patient and no label can have is a slip of the pen, not a finding.
                if number < Decimal::from($least) || Decimal::from($most) < number {
                    let (least, most) = ($least, $most);
                    // The only one that is often written in its hundredfold.
                    let metres = match number * Decimal::from(100) {
                        cm if $unit == "cm" && (Decimal::from(least)..=Decimal::from(most)).contains(&cm) => {
                            format!("; if these are metres, write `{} cm`", cm.normalize())
                        }
                        _ => String::new(),
                    };
                    return Err(format!(
                        "{} {} cannot be: it lies between {least} and {most} {}{metres}",
                        number.normalize(), $unit, $unit
                    ));
                }
                Ok($name(number))
            }
        }

        impl $name {
            /// The unit as it is printed.
            pub const UNIT: &'static str = $unit;

            /// From a whole number.
            pub fn whole(number: i64) -> Self {
                $name(Decimal::from(number))
            }

            /// The number without its unit.
            pub fn number(self) -> Decimal {
                self.0
            }
        }

        /// The number without trailing zeros, a space, the unit.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0.normalize(), $unit)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        text_value!($name, $format);
    };
}

quantity_type!(
    /// Body mass.
    Kilograms, "mass in kg", ["kg"], "68 kg",
    1 to 500
);
quantity_type!(
    /// A short length on the skin.
    Millimetres, "length in mm", ["mm"], "3 mm",
    0 to 300
);
quantity_type!(
    /// Body height.
    Centimetres, "height in cm", ["cm"], "171 cm",
    30 to 260
);
quantity_type!(
    /// Volume of a solution.
    Millilitres, "volume in ml", ["ml", "mL"], "2.2 ml",
    0 to 1000
);
quantity_type!(
    /// Mass of a medicine.
    Milligrams, "dose in mg", ["mg"], "66 mg",
    1 to 5000
);
quantity_type!(
    /// Dose limit for body mass.
    MilligramsPerKilogram, "dose limit in mg/kg", ["mg/kg"], "4.4 mg/kg",
    0 to 100
);
quantity_type!(
    /// Strength of a solution, weight in volume; 1 % = 10 mg/ml.
    Percent, "strength in %", ["%"], "3 %",
    0 to 100
);
quantity_type!(
    /// A short time.
    Seconds, "time in s", ["s", "sec"], "60 s",
    0 to 3600
);

quantity_type!(
    /// Glucose of capillary blood.
    Glucose, "glucose in mmol/l", ["mmol/l", "mmol/L"], "7.2 mmol/l",
    1 to 50
);

/// Glycated haemoglobin, in the unit the laboratory reported it in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hba1c {
    /// IFCC units, mmol/mol.
    MmolPerMol(Decimal),
    /// DCCT (NGSP) units, %.
    Percent(Decimal),
}

impl TextValue for Hba1c {
    const FORMAT: &'static str = "HbA1c in mmol/mol or %";
    const EXAMPLE: &'static str = "58 mmol/mol";
    fn parse(text: &str) -> Result<Self, String> {
        if text.trim_end().ends_with('%') {
            let number = quantity(text, &["%"], "7.5 %")?;
            return if number < Decimal::from(3) || number > Decimal::from(25) {
                Err(format!(
                    "{} % is outside what an HbA1c can be: check the unit, `58 mmol/mol` or `7.5 %`",
                    number.normalize()
                ))
            } else {
                Ok(Hba1c::Percent(number))
            };
        }
        let number = quantity(text, &["mmol/mol"], "58 mmol/mol` or `7.5 %")?;
        if number < Decimal::from(10) || number > Decimal::from(250) {
            return Err(format!(
                "{} mmol/mol is outside what an HbA1c can be: check the unit, `58 mmol/mol` or `7.5 %`",
                number.normalize()
            ));
        }
        Ok(Hba1c::MmolPerMol(number))
    }
}

impl fmt::Display for Hba1c {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Hba1c::MmolPerMol(number) => write!(f, "{} mmol/mol", number.normalize()),
            Hba1c::Percent(number) => write!(f, "{} %", number.normalize()),
        }
    }
}

text_value!(Hba1c, "HbA1c");

/// Monofilament sites: how many of those tested were felt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SitesFelt {
    /// Sites at which the filament was felt.
    pub felt: u8,
    /// Sites tested; never zero, never fewer than `felt`.
    pub tested: u8,
}

impl TextValue for SitesFelt {
    const FORMAT: &'static str = "sites felt of sites tested";
    const EXAMPLE: &'static str = "10/10";
    fn parse(text: &str) -> Result<Self, String> {
        let unreadable = || format!("`{text}` should be sites felt / sites tested: write it like `10/10`");
        let (felt, tested) = text.trim().split_once('/').ok_or_else(unreadable)?;
        let number = |part: &str| {
            let digits = Some(part.trim()).filter(|part| part.bytes().all(|byte| byte.is_ascii_digit()));
            digits.and_then(|part| part.parse::<u8>().ok()).ok_or_else(unreadable)
        };
        let (felt, tested) = (number(felt)?, number(tested)?);
        if tested == 0 || felt > tested {
            return Err(format!("{felt} of {tested} sites cannot be: write felt / tested, like `9/10`"));
        }
        Ok(SitesFelt { felt, tested })
    }
}

impl fmt::Display for SitesFelt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.felt, self.tested)
    }
}

text_value!(SitesFelt, "monofilament sites");

/// Pain as the patient says it, from 0 to 10.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PainScore(pub u8);

impl TextValue for PainScore {
    const FORMAT: &'static str = "pain of ten";
    const EXAMPLE: &'static str = "2/10";
    fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no pain of ten: write it like `{}`", Self::EXAMPLE);
        let (felt, of) = text.split_once('/').ok_or_else(wrong)?;
        let digits = felt.trim();
        if of.trim() != "10" || digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
            return Err(wrong());
        }
        digits.parse().ok().filter(|felt| *felt <= 10).map(PainScore).ok_or_else(wrong)
    }
}

impl fmt::Display for PainScore {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/10", self.0)
    }
}
text_value!(PainScore, "pain of ten");

/// Digits alone as a number: no sign, and not more than there can be.
fn whole_number(digits: &str) -> Option<u16> {
    let digits = digits.trim();
    (!digits.is_empty() && digits.len() <= 3 && digits.bytes().all(|byte| byte.is_ascii_digit()))
        .then(|| digits.parse().ok())
        .flatten()
}

/// Blood pressure in the arm, mmHg.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct BloodPressure {
    /// Systolic; above the diastolic.
    pub systolic: u16,
    /// Diastolic.
    pub diastolic: u16,
}

impl TextValue for BloodPressure {
    const FORMAT: &'static str = "blood pressure in mmHg";
    const EXAMPLE: &'static str = "132/78 mmHg";
    fn parse(text: &str) -> Result<Self, String> {
        let typed = text.trim();
        let numbers = ["mmHg", "mmhg", "mm Hg"].iter().find_map(|unit| typed.strip_suffix(unit));
        let read = numbers.unwrap_or(typed).split_once('/');
        let read = read.and_then(|(over, under)| Some((whole_number(over)?, whole_number(under)?)));
        let Some((systolic, diastolic)) = read else {
            return Err(format!("`{text}` is no blood pressure: write it like `{}`", Self::EXAMPLE));
        };
        if systolic <= diastolic || !(40..=300).contains(&systolic) || !(20..=200).contains(&diastolic) {
            return Err(format!("{systolic}/{diastolic} mmHg cannot be: systolic first, then diastolic"));
        }
        Ok(BloodPressure { systolic, diastolic })
    }
}

impl fmt::Display for BloodPressure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{} mmHg", self.systolic, self.diastolic)
    }
}
text_value!(BloodPressure, "blood pressure");

/// Heart beats a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pulse(pub u16);

impl TextValue for Pulse {
    const FORMAT: &'static str = "pulse a minute";
    const EXAMPLE: &'static str = "72/min";
    fn parse(text: &str) -> Result<Self, String> {
        let typed = text.trim();
        let number = ["/min", "/ min", "bpm", "a minute"].iter().find_map(|unit| typed.strip_suffix(unit));
        let Some(number) = number else {
            return Err(format!("the unit is missing: write it like `{}`", Self::EXAMPLE));
        };
        let Some(beats) = whole_number(number) else {
            return Err(format!("`{text}` is no pulse: write it like `{}`", Self::EXAMPLE));
        };
        if !(20..=300).contains(&beats) {
            return Err(format!("{beats}/min cannot be: it lies between 20 and 300/min"));
        }
        Ok(Pulse(beats))
    }
}

impl fmt::Display for Pulse {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/min", self.0)
    }
}
text_value!(Pulse, "pulse");

/// A needle as its pack names it. Gauges run against the width: 30 G is finer than 27 G.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Needle {
    /// Gauge.
    pub gauge: u16,
    /// Length in mm, if it was written.
    pub length: Option<Decimal>,
}

impl TextValue for Needle {
    const FORMAT: &'static str = "needle";
    const EXAMPLE: &'static str = "27 G, 25 mm";
    fn parse(text: &str) -> Result<Self, String> {
        let wrong = |what: &str| format!("`{text}` {what}: write gauge and length like `{}`", Self::EXAMPLE);
        let typed = text.trim();
        let (gauge, length) = typed.split_once(['G', 'g']).ok_or_else(|| wrong("names no gauge"))?;
        let gauge = whole_number(gauge).ok_or_else(|| wrong("names no gauge"))?;
        if !(14..=34).contains(&gauge) {
            return Err(format!("{gauge} G cannot be: needles for injections have 14 to 34 G"));
        }
        let length = length.trim_start_matches([',', ' ', 'x', '×']).trim();
        if length.is_empty() {
            return Ok(Needle { gauge, length: None });
        }
        let number = length.strip_suffix("mm").ok_or_else(|| wrong("has a length without `mm`"))?.trim();
        let number = plain_decimal(number).map_err(|problem| wrong(&format!("has no length, {problem}")))?;
        if number < Decimal::from(4) || number > Decimal::from(100) {
            return Err(format!("{} mm cannot be: it lies between 4 and 100 mm", number.normalize()));
        }
        Ok(Needle { gauge, length: Some(number) })
    }
}

impl fmt::Display for Needle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} G", self.gauge)?;
        self.length.map_or(Ok(()), |length| write!(f, ", {} mm", length.normalize()))
    }
}
text_value!(Needle, "needle");

/// A systolic pressure in mmHg, written as a whole number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(transparent)]
pub struct Mmhg(pub u16);

impl JsonSchema for Mmhg {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "pressure".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"type": "integer", "minimum": 0, "maximum": 350, "title": "systolic pressure in mmHg"})
    }
}

impl fmt::Display for Mmhg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mmHg", self.0)
    }
}

/// Half up at the given number of decimals, the way a person rounds on paper.
pub fn round_half_up(number: Decimal, decimals: u32) -> Decimal {
    number.round_dp_with_strategy(decimals, rust_decimal::RoundingStrategy::MidpointAwayFromZero)
}

/// Down at the given number of decimals: for what is still allowed.
pub fn round_down(number: Decimal, decimals: u32) -> Decimal {
    number.round_dp_with_strategy(decimals, rust_decimal::RoundingStrategy::ToZero)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused<T: TextValue>(text: &str, part: &str) {
        match T::parse(text) {
            Ok(_) => panic!("`{text}` was accepted"),
            Err(problem) => assert!(problem.contains(part), "{problem}"),
        }
    }

    #[test]
    fn quantities_read_as_written() {
        assert!(Kilograms::parse("1 kg").is_ok() && Kilograms::parse("500 kg").is_ok());
        assert!(Millilitres::parse("0 ml").is_ok(), "a toe that was not injected");
        assert_eq!(Kilograms::parse("68 kg").map(|mass| mass.to_string()), Ok("68 kg".into()));
        assert_eq!(Millilitres::parse("2.20mL").map(|volume| volume.to_string()), Ok("2.2 ml".into()));
        assert_eq!(Percent::parse("0.25 %").map(|strength| strength.to_string()), Ok("0.25 %".into()));
    }

    #[test]
    fn bad_quantities_say_what_to_write() {
        refused::<Kilograms>("68", "unit is missing");
        refused::<Kilograms>("10 kp", "unit `kp`");
        refused::<Kilograms>("6,8 kg", "comma");
        refused::<Kilograms>("-3 kg", "not a number");
        refused::<Kilograms>("kg", "no number");
        refused::<Kilograms>("1e3 kg", "unit `e3 kg`");
        refused::<Kilograms>("68.1234567 kg", "more digits");
        refused::<Kilograms>("", "no number");
        refused::<Kilograms>("0 kg", "cannot be");
        refused::<Kilograms>("501 kg", "between 1 and 500 kg");
        refused::<Centimetres>("1.71 cm", "between 30 and 260 cm");
    }

    #[test]
    fn other_units_of_mass_and_height_are_worked_out() {
        for (typed, write) in [
            ("150 lb", "`68 kg`"),
            ("150lbs", "`68 kg`"),
            ("10 st", "`63.5 kg`"),
            ("10 st 7", "`66.7 kg`"),
            ("10st 7lb", "`66.7 kg`"),
        ] {
            refused::<Kilograms>(typed, write);
        }
        for (typed, write) in [
            ("1.8 m", "`180 cm`"),
            ("68 in", "`172.7 cm`"),
            ("5 ft 7", "`170.2 cm`"),
            ("5'11\"", "`180.3 cm`"),
            ("6 feet", "`182.9 cm`"),
            ("1.71 cm", "if these are metres, write `171 cm`"),
        ] {
            refused::<Centimetres>(typed, write);
        }
        refused::<Kilograms>("10 st 7 oz", "unit `st 7 oz`");
        refused::<Kilograms>("1.8 m", "unit `m`");
        refused::<Millilitres>("2 in", "unit `in`");
        refused::<Centimetres>("271 cm", "between 30 and 260 cm");
    }

    #[test]
    fn hba1c_in_either_unit_and_in_range() {
        assert_eq!(Hba1c::parse("58 mmol/mol"), Ok(Hba1c::MmolPerMol(58.into())));
        assert_eq!(Hba1c::parse("7.5 %"), Ok(Hba1c::Percent(Decimal::new(75, 1))));
        refused::<Hba1c>("58 %", "check the unit");
        refused::<Hba1c>("7.5 mmol/mol", "check the unit");
        refused::<Hba1c>("58", "unit is missing");
    }

    #[test]
    fn sites() {
        assert_eq!(SitesFelt::parse("9/10"), Ok(SitesFelt { felt: 9, tested: 10 }));
        refused::<SitesFelt>("11/10", "cannot be");
        refused::<SitesFelt>("0/0", "cannot be");
        refused::<SitesFelt>("ten", "10/10");
        refused::<SitesFelt>("+9/10", "10/10");
        refused::<SitesFelt>("9/256", "10/10");
    }

    #[test]
    fn what_is_measured_on_the_day() {
        let pressure = BloodPressure { systolic: 132, diastolic: 78 };
        for typed in ["132/78 mmHg", "132/78", "132 / 78 mm Hg"] {
            assert_eq!(BloodPressure::parse(typed), Ok(pressure), "{typed}");
        }
        refused::<BloodPressure>("78/132", "systolic first");
        refused::<BloodPressure>("80/80", "cannot be");
        refused::<BloodPressure>("132", "132/78 mmHg");
        refused::<BloodPressure>("+132/78", "no blood pressure");
        assert_eq!((Pulse::parse("72/min"), Pulse::parse("72 bpm")), (Ok(Pulse(72)), Ok(Pulse(72))));
        refused::<Pulse>("72", "unit is missing");
        refused::<Pulse>("19/min", "between 20 and 300");
        assert_eq!(Glucose::parse("7.20 mmol/L").map(|glucose| glucose.to_string()), Ok("7.2 mmol/l".into()));
        refused::<Glucose>("7.2", "unit is missing");
        refused::<Glucose>("130 mg/dl", "unit `mg/dl`");
        refused::<Glucose>("130 mmol/l", "between 1 and 50");
    }

    #[test]
    fn a_needle_has_a_gauge_and_may_have_a_length() {
        for (typed, printed) in
            [("27 G, 25 mm", "27 G, 25 mm"), ("30G x 12.70mm", "30 G, 12.7 mm"), ("27 G", "27 G")]
        {
            assert_eq!(Needle::parse(typed).map(|needle| needle.to_string()).as_deref(), Ok(printed));
        }
        refused::<Needle>("25 mm", "names no gauge");
        refused::<Needle>("27 G, 25", "without `mm`");
        refused::<Needle>("27 G, 1 mm", "between 4 and 100");
        refused::<Needle>("72 G", "14 to 34");
    }

    #[test]
    fn rounding() {
        let number = |text: &str| -> Decimal { text.parse().expect("a literal number") };
        assert_eq!(round_half_up(number("0.905"), 2), number("0.91"));
        assert_eq!(round_half_up(number("0.904"), 2), number("0.90"));
        assert_eq!(round_down(number("7.339"), 1), number("7.3"));
    }
}
