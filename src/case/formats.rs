//! Every text format that a case or clinic file can hold, so that one walk over a file can report
//! each bad quantity in the words of its own type.

use crate::case::{
    AdrenalineRatio, AuthorityText, ChiNumberText, ClosedBecause, DopplerSounds, Follows, FoundPulses,
    HcNumberText, NhsNumberText, PressureIndex, Reference,
};
use crate::date::{CivilDate, Expiry, TimeOfDay};
use crate::units::{
    BloodPressure, BodyHeight, BodyMass, Centimetres, Glucose, Hba1c, Kilograms, Milligrams,
    MilligramsPerKilogram, Millilitres, Millimetres, Needle, PainScore, Percent, Pulse, Refill, Seconds,
    SitesFelt, TextValue,
};

/// One entry of [`FORMATS`].
pub struct Format {
    /// The name in the JSON Schema.
    pub name: &'static str,
    /// A correct example.
    pub example: &'static str,
    /// `Err` says what is wrong and what to write.
    pub check: fn(&str) -> Result<(), String>,
    /// The text as a tidy file has it; `None` if it cannot be read, or stays as it is.
    pub written: fn(&str) -> Option<String>,
    /// A tidy file has it in quotation marks.
    pub is_quoted: bool,
    /// A regular expression for the schema; empty for any text.
    pub pattern: &'static str,
}

const fn format_of<T: TextValue>() -> Format {
    Format {
        name: T::FORMAT,
        example: T::EXAMPLE,
        check: |text| T::parse(text).map(|_| ()),
        written: |text| T::parse(text).ok()?.written(),
        is_quoted: T::IS_QUOTED,
        pattern: T::PATTERN,
    }
}

/// Every text format a case or clinic file can hold.
pub const FORMATS: &[Format] = &[
    format_of::<Kilograms>(),
    format_of::<Centimetres>(),
    format_of::<Millilitres>(),
    format_of::<Milligrams>(),
    format_of::<MilligramsPerKilogram>(),
    format_of::<Percent>(),
    format_of::<Seconds>(),
    format_of::<Hba1c>(),
    format_of::<SitesFelt>(),
    format_of::<CivilDate>(),
    format_of::<TimeOfDay>(),
    format_of::<Expiry>(),
    format_of::<Reference>(),
    format_of::<NhsNumberText>(),
    format_of::<AdrenalineRatio>(),
    format_of::<AuthorityText>(),
    format_of::<Millimetres>(),
    format_of::<PainScore>(),
    format_of::<ClosedBecause>(),
    format_of::<BodyMass>(),
    format_of::<BodyHeight>(),
    format_of::<Refill>(),
    format_of::<FoundPulses>(),
    format_of::<DopplerSounds>(),
    format_of::<PressureIndex>(),
    format_of::<Follows>(),
    format_of::<ChiNumberText>(),
    format_of::<HcNumberText>(),
    format_of::<BloodPressure>(),
    format_of::<Pulse>(),
    format_of::<Glucose>(),
    format_of::<Needle>(),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_format_accepts_its_own_example() {
        for format in FORMATS {
            assert_eq!((format.check)(format.example), Ok(()), "{}", format.name);
        }
    }
}
