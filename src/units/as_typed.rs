//! Values that keep how they were typed: a mass in stones, a height in feet, a refill under so many seconds.
//!
//! The conversion is exact; what is printed shows the metric value and what was typed.

use std::fmt;

use rust_decimal::Decimal;

use super::{Centimetres, Kilograms, Seconds, TextValue, plain_decimal, round_half_up};
use crate::text_value;

/// kg in a pound, exactly (Weights and Measures Act 1985, schedule 1: from memory).
pub const KG_PER_POUND: Decimal = Decimal::from_parts(45_359_237, 0, 0, false, 8);
/// kg in a stone of 14 pounds, exactly.
pub const KG_PER_STONE: Decimal = Decimal::from_parts(635_029_318, 0, 0, false, 8);
/// Pounds in a stone.
const POUNDS_PER_STONE: u32 = 14;
/// cm in an inch, exactly.
pub const CM_PER_INCH: Decimal = Decimal::from_parts(254, 0, 0, false, 2);
/// Inches in a foot.
const INCHES_PER_FOOT: u32 = 12;

/// `10 st 7 lb`: numbers with units that are not metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Imperial {
    first: (Decimal, &'static str),
    second: Option<(Decimal, &'static str)>,
}

impl fmt::Display for Imperial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.first.0.normalize(), self.first.1)?;
        match self.second {
            Some((number, unit)) => write!(f, " {} {unit}", number.normalize()),
            None => Ok(()),
        }
    }
}

/// A large unit and the small one in it, as people write them.
struct Pair {
    large: &'static str,
    small: &'static str,
    /// Small ones in a large one.
    in_large: u32,
    /// kg or cm in a small one.
    metric: Decimal,
    words: fn(&str) -> Option<Size>,
}

#[derive(PartialEq)]
enum Size {
    Large,
    Small,
}

const STONES: Pair = Pair {
    large: "st",
    small: "lb",
    in_large: POUNDS_PER_STONE,
    metric: KG_PER_POUND,
    words: |unit| match unit {
        "st" | "stone" | "stones" => Some(Size::Large),
        "lb" | "lbs" | "pound" | "pounds" => Some(Size::Small),
        _ => None,
    },
};

const FEET: Pair = Pair {
    large: "ft",
    small: "in",
    in_large: INCHES_PER_FOOT,
    metric: CM_PER_INCH,
    words: |unit| match unit {
        "ft" | "foot" | "feet" | "'" | "\u{2019}" | "\u{2032}" => Some(Size::Large),
        "in" | "ins" | "inch" | "inches" | "\"" | "''" | "\u{201d}" | "\u{2033}" => Some(Size::Small),
        _ => None,
    },
};

impl Pair {
    /// The text in these units, and its exact metric value. `None` if it is in none of them.
    fn read(&self, text: &str) -> Option<Result<(Decimal, Imperial), String>> {
        let measures = measures(text)?;
        let sizes: Vec<(Decimal, Option<Size>)> =
            measures.iter().map(|(number, unit)| (*number, (self.words)(unit))).collect();
        let small = |number: Decimal| number * self.metric;
        let large = |number: Decimal| number * Decimal::from(self.in_large) * self.metric;
        match sizes.as_slice() {
            [(number, Some(Size::Small))] => {
                Some(Ok((small(*number), Imperial { first: (*number, self.small), second: None })))
            }
            [(number, Some(Size::Large))] if !number.fract().is_zero() => {
                Some(Err(self.two_meanings(text, *number)))
            }
            [(number, Some(Size::Large))] => {
                Some(Ok((large(*number), Imperial { first: (*number, self.large), second: None })))
            }
            [(first, Some(Size::Large)), (second, unit)]
                if *unit == Some(Size::Small) || measures[1].1.is_empty() =>
            {
                if !first.fract().is_zero() || *second >= Decimal::from(self.in_large) {
                    return Some(Err(format!(
                        "`{text}` cannot be: write whole {} and fewer than {} {}",
                        self.large, self.in_large, self.small
                    )));
                }
                let typed = Imperial { first: (*first, self.large), second: Some((*second, self.small)) };
                Some(Ok((large(*first) + small(*second), typed)))
            }
            _ => None,
        }
    }

    /// `10.5 st` is ten and a half to some and 10 st 5 lb to others.
    fn two_meanings(&self, text: &str, number: Decimal) -> String {
        let whole = number.trunc().normalize();
        let part = round_half_up(number.fract() * Decimal::from(self.in_large), 1).normalize();
        let written = number.normalize().to_string();
        let digits = written.split_once('.').map_or("", |(_, digits)| digits);
        let (large, small) = (self.large, self.small);
        format!(
            "`{text}` has two meanings: write `{whole} {large} {part} {small}` or `{whole} {large} {digits} {small}`"
        )
    }
}

/// Numbers with the units behind them: `10 st 7 lb`, `5'7"`; `None` if it is anything else.
fn measures(text: &str) -> Option<Vec<(Decimal, String)>> {
    let mut found = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let number = plain_decimal(&rest[..digits]).ok()?;
        rest = rest[digits..].trim_start();
        let unit = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let word = rest[..unit].trim().trim_end_matches([',', '.']).trim_end().to_lowercase();
        found.push((number, word));
        rest = &rest[unit..];
    }
    Some(found)
}

macro_rules! as_typed {
    ($(#[$doc:meta])* $name:ident, $metric:ident, $pair:ident, $title:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub struct $name {
            /// The metric value, exact.
            pub metric: $metric,
            typed: Option<Imperial>,
        }

        impl $name {
            fn of(text: &str) -> Result<Self, String> {
                match $pair.read(text) {
                    // The limits are those of the metric value.
                    Some(read) => {
                        let (metric, typed) = read?;
                        $metric::parse(&format!("{} {}", round_half_up(metric, 1), $metric::UNIT))?;
                        Ok($name { metric: $metric(metric.normalize()), typed: Some(typed) })
                    }
                    None => Ok($name { metric: $metric::parse(text)?, typed: None }),
                }
            }
        }

        /// The metric value; where it was typed in other units, to one decimal and with what was typed.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match self.typed {
                    Some(typed) => {
                        let number = round_half_up(self.metric.0, 1).normalize();
                        write!(f, "{number} {} ({typed})", $metric::UNIT)
                    }
                    None => write!(f, "{}", self.metric),
                }
            }
        }

        text_value!($name, $title);
    };
}

as_typed!(
    /// Body mass, and how it was typed.
    BodyMass, Kilograms, STONES, "body mass"
);
as_typed!(
    /// Body height, and how it was typed.
    BodyHeight, Centimetres, FEET, "body height"
);

impl TextValue for BodyMass {
    const FORMAT: &'static str = "body mass in kg or st and lb";
    const EXAMPLE: &'static str = "68 kg";
    const PATTERN: &'static str = "^ *[0-9]+([.][0-9]+)? *(?:[kK][gG][sS]?|[kK]ilo(?:gram)?s?|[lL][bB][sS]?|\
                                   [pP]ounds?|[sS][tT](?:[oO][nN][eE][sS]?)?,?(?: *[0-9]+([.][0-9]+)? *\
                                   (?:[lL][bB][sS]?|[pP]ounds?)?)?)[.]? *$";
    fn parse(text: &str) -> Result<Self, String> {
        BodyMass::of(text)
    }
    fn written(&self) -> Option<String> {
        Some(self.typed.map_or_else(|| self.metric.to_string(), |typed| typed.to_string()))
    }
}

impl TextValue for BodyHeight {
    const FORMAT: &'static str = "body height in cm or ft and in";
    const EXAMPLE: &'static str = "171 cm";
    const PATTERN: &'static str = "^ *[0-9]+([.][0-9]+)? *(?:[cC][mM][sS]?|[mM](?:etres?)?|[iI][nN](?:[cC][hH])?(?:[eE]?[sS])?|\
                                   (?:[fF][tT]|[fF]oot|[fF]eet|['\u{2019}\u{2032}]),?(?: *[0-9]+([.][0-9]+)? *\
                                   (?:[iI][nN](?:[cC][hH])?(?:[eE]?[sS])?|\"|''|[\u{201d}\u{2033}])?)?)[.]? *$";
    fn parse(text: &str) -> Result<Self, String> {
        match measures(text).as_deref() {
            Some([(metres, unit)]) if matches!(unit.as_str(), "m" | "metre" | "metres") => {
                BodyHeight::of(&format!("{} cm", (metres * Decimal::from(100)).normalize()))
            }
            _ => BodyHeight::of(text),
        }
    }
    fn written(&self) -> Option<String> {
        Some(self.typed.map_or_else(|| self.metric.to_string(), |typed| typed.to_string()))
    }
}

/// How a number of seconds is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Bound {
    Exactly,
    Under,
    Over,
}

/// Capillary refill: counted, or under or over so many seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Refill {
    seconds: Seconds,
    bound: Bound,
}

impl Refill {
    /// It is at most so long, as far as what was typed says.
    pub fn is_at_most(self, limit: Seconds) -> bool {
        match self.bound {
            Bound::Exactly | Bound::Under => self.seconds <= limit,
            Bound::Over => false,
        }
    }
}

impl fmt::Display for Refill {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = match self.bound {
            Bound::Exactly => "",
            Bound::Under => "<",
            Bound::Over => ">",
        };
        write!(f, "{sign}{}", self.seconds)
    }
}

impl TextValue for Refill {
    const FORMAT: &'static str = "refill in s";
    const EXAMPLE: &'static str = "2 s";
    const PATTERN: &'static str = "^ *(?:[<>]|under |less than |over |more than )? *[0-9]+([.][0-9]+)? *[sS](?:[eE][cC](?:[oO][nN][dD])?[sS]?)?[.]? *$";
    fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let signs = [
            ("<", Bound::Under),
            ("under ", Bound::Under),
            ("less than ", Bound::Under),
            (">", Bound::Over),
            ("over ", Bound::Over),
            ("more than ", Bound::Over),
        ];
        let (number, bound) = signs
            .iter()
            .find_map(|(sign, bound)| Some((text.strip_prefix(sign)?, *bound)))
            .unwrap_or((text, Bound::Exactly));
        let seconds = Seconds::parse(number).map_err(|says| says.replace(Seconds::EXAMPLE, Self::EXAMPLE))?;
        Ok(Refill { seconds, bound })
    }
    fn written(&self) -> Option<String> {
        Some(self.to_string())
    }
}

text_value!(Refill, "capillary refill");

#[cfg(test)]
mod tests {
    use super::*;

    fn mass(text: &str) -> Result<String, String> {
        BodyMass::parse(text).map(|mass| mass.to_string())
    }

    fn height(text: &str) -> Result<String, String> {
        BodyHeight::parse(text).map(|height| height.to_string())
    }

    /// 147 lb of 0.45359237 kg each are 66.67807839 kg; 67 in of 2.54 cm each are 170.18 cm.
    #[test]
    fn other_units_are_converted_exactly_and_kept() {
        let stones = BodyMass::parse("10 st 7").expect("a mass");
        assert_eq!(stones.metric.0.to_string(), "66.67807839");
        assert_eq!(stones.metric.to_string(), "66.678 kg");
        assert_eq!(stones.to_string(), "66.7 kg (10 st 7 lb)");
        assert_eq!(mass("10st 7lbs").as_deref(), Ok("66.7 kg (10 st 7 lb)"));
        assert_eq!(mass("150 lb").as_deref(), Ok("68 kg (150 lb)"));
        assert_eq!(mass("10 stone").as_deref(), Ok("63.5 kg (10 st)"));
        assert_eq!(mass("68 KG").as_deref(), Ok("68 kg"));
        for typed in ["5 ft 7", "5'7\"", "5\u{2019}7\u{201d}", "5 feet 7 inches", "5'7"] {
            assert_eq!(height(typed).as_deref(), Ok("170.2 cm (5 ft 7 in)"), "{typed}");
        }
        assert_eq!(height("1.8 m").as_deref(), Ok("180 cm"));
        assert_eq!(BodyHeight::parse("5 ft 7").map(|height| height.metric.0), Ok(Decimal::new(17018, 2)));
    }

    #[test]
    fn half_a_stone_has_two_meanings() {
        let refused = mass("10.5 st").expect_err("7 lb or 5 lb");
        assert!(refused.contains("`10 st 7 lb` or `10 st 5 lb`"), "{refused}");
        let refused = height("5.11 ft").expect_err("1.3 in or 11 in");
        assert!(refused.contains("`5 ft 1.3 in` or `5 ft 11 in`"), "{refused}");
        for wrong in ["10 st 14 lb", "10 st 7 oz", "100 st", "10.5 st 3 lb", "68"] {
            assert!(mass(wrong).is_err(), "{wrong}");
        }
        for wrong in ["5 ft 12", "3 m", "9 ft", "171", "1.71 cm"] {
            assert!(height(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_refill_under_a_limit_is_at_most_that() {
        let refill = |text: &str| Refill::parse(text).expect("a refill");
        let three = Seconds::whole(3);
        assert!(refill("<3s").is_at_most(three) && refill("3 s").is_at_most(three));
        assert!(!refill("> 2 s").is_at_most(three) && !refill("<4 s").is_at_most(three));
        assert_eq!(refill("under 3 secs").to_string(), "<3 s");
        assert!(Refill::parse("3").is_err_and(|says| says.contains("`2 s`")));
    }
}
