//! The median mass of a child of a height or an age. Whether a child is obese is not said here.

use std::sync::OnceLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;
use crate::units::{Centimetres, Kilograms, plain_decimal, round_half_up};

/// Whose medians.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "the words speak for themselves")]
pub enum Child {
    Boy,
    Girl,
}

/// One birthday.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Median {
    years: u32,
    mass: Decimal,
    height: Decimal,
}

/// Both tables and where they come from.
#[derive(Debug)]
struct Medians {
    boys: Vec<Median>,
    girls: Vec<Median>,
    source: Cite,
}

/// Where the medians come from.
pub fn source() -> Cite {
    medians().source
}

/// The median mass of children of this height, to one decimal, between two birthdays in proportion;
/// `None` below the table. Above it a child is as tall as an adult, and the last row holds.
pub fn median_mass_of_height(child: Child, height: Centimetres) -> Option<Kilograms> {
    let rows = of(child);
    if height.0 < rows.first()?.height {
        return None;
    }
    let between = rows.windows(2).find(|pair| pair[0].height <= height.0 && height.0 < pair[1].height);
    let mass = match between {
        Some(pair) => {
            let part = (height.0 - pair[0].height) / (pair[1].height - pair[0].height);
            pair[0].mass + part * (pair[1].mass - pair[0].mass)
        }
        None => rows.last()?.mass,
    };
    Some(Kilograms(round_half_up(mass, 1)))
}

/// The median mass at an age in completed years; `None` below a year.
pub fn median_mass_at_age(child: Child, years: u32) -> Option<Kilograms> {
    of(child).iter().rev().find(|row| row.years <= years).map(|row| Kilograms(row.mass))
}

fn of(child: Child) -> &'static [Median] {
    match child {
        Child::Boy => &medians().boys,
        Child::Girl => &medians().girls,
    }
}

fn medians() -> &'static Medians {
    static TABLE: OnceLock<Medians> = OnceLock::new();
    TABLE.get_or_init(|| read(built_table!("child_medians")).expect("a unit test reads this table"))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    source: SourceRow,
    boys: Vec<(u32, serde_yaml::Number, serde_yaml::Number)>,
    girls: Vec<(u32, serde_yaml::Number, serde_yaml::Number)>,
}

fn read(text: &str) -> Result<Medians, String> {
    let table: Table = table_of(text)?;
    let rows = |rows: Vec<(u32, serde_yaml::Number, serde_yaml::Number)>| {
        let rows: Vec<Median> = rows
            .into_iter()
            .map(|(years, mass, height)| {
                let [mass, height] = [plain_decimal(&mass.to_string())?, plain_decimal(&height.to_string())?];
                Ok(Median { years, mass, height })
            })
            .collect::<Result<_, String>>()?;
        let rises = |pair: &[Median]| {
            pair[0].years < pair[1].years && pair[0].mass < pair[1].mass && pair[0].height < pair[1].height
        };
        if rows.is_empty() || !rows.windows(2).all(rises) {
            return Err("children grow from birthday to birthday".to_owned());
        }
        Ok(rows)
    };
    Ok(Medians { boys: rows(table.boys)?, girls: rows(table.girls)?, source: table.source.cite()? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TextValue;

    fn of_height(child: Child, height: &str) -> Option<String> {
        let height = Centimetres::parse(height).expect("a height");
        median_mass_of_height(child, height).map(|mass| mass.to_string())
    }

    #[test]
    fn a_table_in_which_a_child_shrinks_is_refused() {
        let text = include_str!("tables/child_medians.yaml");
        assert!(read(text).is_ok());
        assert!(read(&text.replacen("[2, 12.2, 87]", "[2, 12.2, 76]", 1)).is_err());
    }

    #[test]
    fn between_two_birthdays_the_mass_is_in_proportion() {
        assert_eq!(of_height(Child::Boy, "122 cm").as_deref(), Some("23.1 kg"));
        assert_eq!(of_height(Child::Boy, "125 cm").as_deref(), Some("24.4 kg"), "half way to 25.6 kg");
        assert_eq!(of_height(Child::Girl, "150 cm").as_deref(), Some("40.3 kg"));
        assert_eq!(of_height(Child::Girl, "164 cm").as_deref(), Some("56.8 kg"));
        assert_eq!(of_height(Child::Girl, "180 cm").as_deref(), Some("56.8 kg"));
        assert_eq!(of_height(Child::Boy, "75.9 cm"), None);
    }

    #[test]
    fn at_an_age_the_last_birthday_counts() {
        let at = |years| median_mass_at_age(Child::Boy, years).map(|mass| mass.to_string());
        assert_eq!(at(0), None);
        assert_eq!(at(7).as_deref(), Some("23.1 kg"));
        assert_eq!(at(18).as_deref(), Some("66.8 kg"));
    }
}
