//! Quantities with their units: what a case file may say, and exact decimal arithmetic on it.
//!
//! Every type reads the text a practitioner writes (`68 kg`, `2.2 ml`, `3 %`) and prints it the
//! same way. There is no floating point here, no default, and no clinical limit.

mod as_typed;

use std::fmt;

pub use as_typed::{BodyHeight, BodyMass, CM_PER_INCH, KG_PER_POUND, KG_PER_STONE, Refill};
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
    /// A regular expression for the schema: all that is read fits it, and what fits may still be refused.
    /// Empty: any text.
    const PATTERN: &'static str = "";
    /// A file that is written by us has it in quotation marks.
    const IS_QUOTED: bool = false;
    /// Reads the text.
    ///
    /// # Errors
    /// A phrase that says what is wrong and what to write instead.
    fn parse(text: &str) -> Result<Self, String>;
    /// The value as a tidy file has it, which reads as the same value; `None` if it stays as typed.
    fn written(&self) -> Option<String> {
        None
    }
}

/// Serde and JSON Schema for a [`TextValue`]: text in, text out.
#[macro_export]
#[doc(hidden)]
macro_rules! text_value {
    ($type:ty, $title:literal) => {
        impl<'de> serde::Deserialize<'de> for $type {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_str($crate::units::Typed(std::marker::PhantomData))
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

/// Reads a [`TextValue`] from the text itself, without a copy of it.
#[doc(hidden)]
#[derive(Debug)]
pub struct Typed<T>(pub std::marker::PhantomData<T>);

impl<T: TextValue> serde::de::Visitor<'_> for Typed<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a string")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<T, E> {
        T::parse(text).map_err(E::custom)
    }
}

/// Decimals of a number that somebody types.
const MOST_DECIMALS: u32 = 6;

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
    if whole.len() > 6 || fraction.len() > MOST_DECIMALS as usize {
        return Err(format!("`{text}` has more digits than any quantity here can need"));
    }
    text.parse().map_err(|_| format!("`{text}` is not a number"))
}

/// Splits `68 kg` into number and unit and checks the unit, whatever its capitals.
fn quantity(text: &str, units: &[&str], example: &str) -> Result<Decimal, String> {
    let text = text.trim().trim_end_matches('.');
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
    let number = || plain_decimal(number).map_err(|problem| format!("{problem}: write it like `{example}`"));
    match (units[0], unit.to_lowercase().as_str()) {
        // The name is in use for other things than a volume, so a record of medicines has the unit itself.
        ("ml", "cc") => Err(format!("`cc` is not written in a record: write `{} ml`", number()?.normalize())),
        ("s", "min" | "mins" | "minute" | "minutes") => Ok(number()? * Decimal::from(60)),
        (_, unit) if units.contains(&unit) => number(),
        _ => Err(format!("the unit `{unit}` is not known here: write it like `{example}`")),
    }
}

macro_rules! quantity_type {
    (
        $(#[$doc:meta])* $name:ident, $format:literal, [$unit:literal $(, $alias:literal)*], $pattern:literal,
        $example:literal,
        $least:literal to $most:literal
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub Decimal);

        impl TextValue for $name {
            const FORMAT: &'static str = $format;
            const EXAMPLE: &'static str = $example;
            const PATTERN: &'static str = concat!("^ *[0-9]+([.][0-9]+)? *(?:", $pattern, ")[.]? *$");
            fn written(&self) -> Option<String> {
                Some(self.to_string())
            }
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
                write!(f, "{} {}", shortened(self.0).normalize(), $unit)
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
    Kilograms, "mass in kg", ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"], r"[kK][gG][sS]?|[kK]ilo(?:gram)?s?", "68 kg",
    1 to 500
);
quantity_type!(
    /// A short length on the skin.
    Millimetres, "length in mm", ["mm", "mms"], "[mM][mM][sS]?", "3 mm",
    0 to 300
);
quantity_type!(
    /// Body height.
    Centimetres, "height in cm", ["cm", "cms"], "[cC][mM][sS]?", "171 cm",
    30 to 260
);
quantity_type!(
    /// Volume of a solution.
    Millilitres, "volume in ml", ["ml", "mls", "millilitre", "millilitres"], r"[mM][lL][sS]?|[mM]illilitres?", "2.2 ml",
    0 to 1000
);
quantity_type!(
    /// Mass of a medicine.
    Milligrams, "dose in mg", ["mg", "mgs"], "[mM][gG][sS]?", "66 mg",
    1 to 5000
);
quantity_type!(
    /// Dose limit for body mass.
    MilligramsPerKilogram, "dose limit in mg/kg", ["mg/kg"], "[mM][gG]/[kK][gG]", "4.4 mg/kg",
    0 to 100
);
quantity_type!(
    /// Strength of a solution, weight in volume; 1 % = 10 mg/ml.
    Percent, "strength in %", ["%"], "%", "3 %",
    0 to 100
);
quantity_type!(
    /// A short time.
    Seconds, "time in s", ["s", "sec", "secs", "second", "seconds"], r"[sS](?:[eE][cC](?:[oO][nN][dD])?[sS]?)?|[mM][iI][nN](?:[uU][tT][eE])?[sS]?", "60 s",
    0 to 3600
);

quantity_type!(
    /// Glucose of capillary blood.
    Glucose, "glucose in mmol/l", ["mmol/l"], "[mM][mM][oO][lL]/[lL]", "7.2 mmol/l",
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
    const PATTERN: &'static str = "^ *[0-9]+([.][0-9]+)? *(?:[mM][mM][oO][lL]/[mM][oO][lL]|%)? *$";
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
    fn parse(text: &str) -> Result<Self, String> {
        if let Ok(number) = plain_decimal(text.trim()) {
            return of_bare_number(text.trim(), number);
        }
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

/// Above what an HbA1c in % can be, a number can only be mmol/mol, and below what it can be in mmol/mol only %.
fn of_bare_number(text: &str, number: Decimal) -> Result<Hba1c, String> {
    let is_ifcc = number >= Decimal::from(10) && number <= Decimal::from(250);
    let is_percent = number >= Decimal::from(3) && number <= Decimal::from(25);
    match (is_ifcc, is_percent) {
        (true, false) => Ok(Hba1c::MmolPerMol(number)),
        (false, true) => Ok(Hba1c::Percent(number)),
        (true, true) => Err(format!("`{text}` has two meanings: write `{text} %` or `{text} mmol/mol`")),
        (false, false) => {
            Err(format!("{text} is outside what an HbA1c can be: write it like `58 mmol/mol` or `7.5 %`"))
        }
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
    const PATTERN: &'static str = "^ *[0-9]+ *(?:/| of ) *[0-9]+ *$";
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
    fn parse(text: &str) -> Result<Self, String> {
        let unreadable = || format!("`{text}` should be sites felt / sites tested: write it like `10/10`");
        let parts = text.trim().split_once('/').or_else(|| text.trim().split_once(" of "));
        let (felt, tested) = parts.ok_or_else(unreadable)?;
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
    const PATTERN: &'static str = "^ *[0-9]+ *(?:/| of ) *10 *$";
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
    fn parse(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no pain of ten: write it like `{}`", Self::EXAMPLE);
        let (felt, of) = text.split_once('/').or_else(|| text.split_once(" of ")).ok_or_else(wrong)?;
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

/// A number with more decimals than any scale shows, which comes from another unit, to three of them.
pub(crate) fn shortened(number: Decimal) -> Decimal {
    if number.scale() > MOST_DECIMALS { round_half_up(number, 3) } else { number }
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
        assert_eq!(Kilograms::parse("68 KGs.").map(|mass| mass.to_string()), Ok("68 kg".into()));
        assert_eq!(Seconds::parse("1 min").map(|time| time.to_string()), Ok("60 s".into()));
        refused::<Millilitres>("2.2 cc", "write `2.2 ml`");
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
    fn hba1c_in_either_unit_and_in_range() {
        assert_eq!(Hba1c::parse("58 mmol/mol"), Ok(Hba1c::MmolPerMol(58.into())));
        assert_eq!(Hba1c::parse("7.5 %"), Ok(Hba1c::Percent(Decimal::new(75, 1))));
        refused::<Hba1c>("58 %", "check the unit");
        refused::<Hba1c>("7.5 mmol/mol", "check the unit");
        assert_eq!(Hba1c::parse("54"), Ok(Hba1c::MmolPerMol(54.into())), "no patient has 54 %");
        assert_eq!(Hba1c::parse("7.5"), Ok(Hba1c::Percent(Decimal::new(75, 1))));
        refused::<Hba1c>("12", "`12 %` or `12 mmol/mol`");
        refused::<Hba1c>("1", "outside");
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
