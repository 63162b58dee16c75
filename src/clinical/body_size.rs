//! Body mass and height: the ranges outside which it is asked whether the entry is right.
//!
//! A table and its arithmetic. It has not seen a patient, and nothing here says what to do.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use super::Cite;
use super::tables::SourceRow;
use crate::clinical::table_of;

/// Whose growth chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chart {
    /// Of boys.
    Boys,
    /// Of girls.
    Girls,
    /// Sex not known: the wider of both at each end.
    Either,
}

/// A range, its ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(from = "(Decimal, Decimal)")]
pub struct Range {
    /// The least.
    pub low: Decimal,
    /// The most.
    pub high: Decimal,
}

impl From<(Decimal, Decimal)> for Range {
    fn from((low, high): (Decimal, Decimal)) -> Range {
        Range { low, high }
    }
}

impl Range {
    /// The number lies in it.
    pub fn holds(self, number: Decimal) -> bool {
        self.low <= number && number <= self.high
    }

    fn joined(self, other: Range) -> Range {
        Range { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// The range part of the way from this one to another.
    fn towards(self, other: Range, part: Decimal) -> Range {
        let between = |from: Decimal, to: Decimal| from + (to - from) * part;
        Range { low: between(self.low, other.low), high: between(self.high, other.high) }
    }
}

/// Ranges of mass in kg and of height in cm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// kg.
    pub mass: Range,
    /// cm.
    pub height: Range,
}

/// What is looked at in a child of one age.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChildSize {
    /// From the 0.4th to the 99.6th centile.
    pub usual: Size,
    /// Four standard deviations either way, boys and girls together.
    pub widest: Size,
}

/// What is looked at in an adult.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdultSize {
    /// kg.
    pub mass: Range,
    /// cm.
    pub height: Range,
    /// kg/m².
    pub bmi: Range,
    source: SourceRow,
}

/// Months of age from which the table holds: below it nothing is said.
pub const CHILD_FROM_MONTHS: u32 = 12;

/// The ranges of a child; `None` below one year and from 18 years.
pub fn child(months: u32, chart: Chart) -> Option<ChildSize> {
    let (below, above) = (table().children.get(&(months / 12))?, table().children.get(&(months / 12 + 1))?);
    let part = Decimal::from(months % 12) / Decimal::from(12);
    let between = |of: fn(&Row) -> Size| {
        let (below, above) = (of(below), of(above));
        Size { mass: below.mass.towards(above.mass, part), height: below.height.towards(above.height, part) }
    };
    let (boys, girls) = (between(|row| row.boys), between(|row| row.girls));
    let usual = match chart {
        Chart::Boys => boys,
        Chart::Girls => girls,
        Chart::Either => {
            Size { mass: boys.mass.joined(girls.mass), height: boys.height.joined(girls.height) }
        }
    };
    Some(ChildSize { usual, widest: between(|row| row.widest) })
}

/// The ranges of an adult.
pub fn adult() -> &'static AdultSize {
    &table().adults
}

/// Body mass index of a mass in kg and a height in cm, exactly.
pub fn bmi(kg: Decimal, cm: Decimal) -> Decimal {
    kg * Decimal::from(10_000) / (cm * cm)
}

/// Where the ranges of children come from.
pub fn children_cite() -> Cite {
    table().children_cite
}

/// Where those of adults come from.
pub fn adults_cite() -> Cite {
    table().adults_cite
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    age: u32,
    boys: Size,
    girls: Size,
    widest: Size,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Children {
    source: SourceRow,
    ages: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    children: Children,
    adults: AdultSize,
}

struct Table {
    children: BTreeMap<u32, Row>,
    children_cite: Cite,
    adults: AdultSize,
    adults_cite: Cite,
}

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| read(built_table!("body_size")).expect("the embedded table passes its test"))
}

fn read(text: &str) -> Result<Table, String> {
    let file: File = table_of(text)?;
    let mut children: BTreeMap<u32, Row> = BTreeMap::new();
    for row in file.children.ages {
        let inside = |inner: Range, outer: Range| outer.low < inner.low && inner.high < outer.high;
        let fits = |size: Size| {
            size.mass.low < size.mass.high
                && size.height.low < size.height.high
                && inside(size.mass, row.widest.mass)
                && inside(size.height, row.widest.height)
        };
        if !fits(row.boys) || !fits(row.girls) {
            return Err(format!("{} years: a range is not inside the widest", row.age));
        }
        if children.insert(row.age, row).is_some() {
            return Err(format!("{} years stands twice", row.age));
        }
    }
    if children.keys().copied().ne(1..=18) {
        return Err("an age from 1 to 18 years is missing".to_owned());
    }
    let adults_cite = file.adults.source.clone().cite()?;
    Ok(Table { children, children_cite: file.children.source.cite()?, adults: file.adults, adults_cite })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Decimal {
        text.parse().expect("a literal number")
    }

    #[test]
    fn at_a_birthday_the_row_holds_and_between_them_the_way_between() {
        let seven = child(84, Chart::Boys).expect("a child");
        assert_eq!((seven.usual.mass.low, seven.usual.mass.high), (number("16.8"), number("35.5")));
        assert_eq!(seven.widest.mass.high, number("51.8"));
        let later = child(90, Chart::Boys).expect("a child");
        assert_eq!(later.usual.mass.high, number("38.7"), "half-way from 35.5 to 41.9");
    }

    #[test]
    fn of_unknown_sex_both_ranges_are_joined() {
        let (boys, girls) = (child(144, Chart::Boys), child(144, Chart::Girls));
        let either = child(144, Chart::Either).expect("a child").usual;
        let (boys, girls) = (boys.expect("a child").usual, girls.expect("a child").usual);
        assert_eq!(either.mass.high, girls.mass.high);
        assert_eq!(either.height.low, boys.height.low);
    }

    #[test]
    fn only_from_one_to_eighteen() {
        assert!(child(11, Chart::Boys).is_none() && child(CHILD_FROM_MONTHS, Chart::Boys).is_some());
        assert!(child(215, Chart::Girls).is_some() && child(216, Chart::Girls).is_none());
    }

    #[test]
    fn a_table_with_a_slip_is_refused() {
        let good = include_str!("tables/body_size.yaml");
        assert!(read(good).is_ok());
        for (from, to) in [
            ("{age: 7,", "{age: 8,"),
            ("{age: 18,", "{age: 19,"),
            ("boys: {mass: [16.8, 35.5]", "boys: {mass: [35.5, 16.8]"),
            ("boys: {mass: [16.8, 35.5]", "boys: {mass: [16.8, 55.5]"),
            ("key: growth-lms", "key: nowhere"),
        ] {
            let slip = good.replacen(from, to, 1);
            assert_ne!(slip, good, "{from}");
            assert!(read(&slip).is_err(), "{from} to {to}");
        }
    }

    #[test]
    fn the_index_is_mass_by_height_squared() {
        assert_eq!(bmi(number("72.25"), number("170")), number("25"));
    }
}
